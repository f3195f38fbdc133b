//! Check 92, replacement too small.

use plan::{Decision, Line, LineId, LineKind, Material, OldTile, Outline, Wall};

use super::marks::near;
use super::pipe;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 92,
    slug: "replacement-small",
    title: "Replacement too small",
    manual: "An old line is to be replaced, and the new line along it carries less than the old one did, or is corrugated \
             pipe of the same size in place of clay or concrete, whose inside is smoother. The state specification goes one \
             size up. To decide.",
    source: "[OH-9]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.old_lines().filter_map(|(id, line, _)| finding(site, id, line)).collect()
}

fn finding(site: &Site, old_id: LineId, old: &Line) -> Option<Finding> {
    let LineKind::OldTile(OldTile { decision: Some(Decision::Replace), material, .. }) = old.kind else {
        return None;
    };
    let beside_m = site.plan.criteria.old_tile_near_m;
    let along = near(site, &Outline::Along(old.points.clone()), beside_m);
    let new = along.into_iter().max_by(|x, y| x.length_m().total_cmp(&y.length_m()))?;
    let rough = matches!(material, Material::Clay | Material::Concrete) && new.line.wall == Wall::Corrugated;
    // At the same grade the size decides, and the wall where the sizes are one.
    let least_m = if rough { site.plan.cost_weights.next_larger(old.size_m) } else { Some(old.size_m) };
    if new.worked.sizes_m().0 >= least_m.unwrap_or(old.size_m + 1e-2) - 1e-3 {
        return None;
    }
    let units = site.units();
    let (wall, of) = if rough { (" corrugated pipe", format!(" {}", material.word())) } else { ("", String::new()) };
    let message = format!(
        "{} in {}{wall} carries less than old tile {} in {}{of}.",
        new.line.name,
        units.pipe(new.worked.sizes_m().0),
        old.name,
        units.pipe(old.size_m)
    );
    let (id, (from_m, to_m)) = (new.id, new.extent());
    let title = format!("{} replaces a larger line", new.line.name);
    Some(
        Finding::new(&RULE, Severity::Decide, site.point(new.id, from_m), title, message)
            .once_on(id, from_m, to_m)
            .keyed_with(old_id)
            .offers(move |site| {
                let larger = least_m.and_then(|least_m| pipe::larger(site, id, least_m));
                larger.into_iter().chain(pipe::smooth(site, id)).collect()
            }),
    )
}

#[cfg(test)]
mod tests {
    use measure::INCH_M;
    use plan::Joins;

    use super::*;
    use crate::job::Job;

    /// 6 in corrugated along 6 in clay: 8 in is asked for. Smooth pipe of 6 in is enough.
    #[test]
    fn corrugated_for_clay() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let kind = LineKind::OldTile(OldTile {
            decision: Some(Decision::Replace),
            material: Material::Clay,
            ..OldTile::default()
        });
        let t1 = job.line("T1", kind, &[(0.0, 6.0), (300.0, 6.0)], Joins::Nothing);
        job.change(t1, |line| line.size_m = 6.0 * INCH_M);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 in 6 in corrugated pipe carries less than old tile T1 in 6 in clay.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.change(m1, |line| line.wall = Wall::Smooth);
        assert!(job.found(&RULE).is_empty());
    }

    /// Where the old line has the largest size of the table, there is no size to go up to.
    #[test]
    fn no_larger_pipe() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let largest_m = hydraulics::stocked_sizes_m().into_iter().fold(0.0, f64::max);
        let clay = OldTile { decision: Some(Decision::Replace), material: Material::Clay, ..OldTile::default() };
        let t1 = job.line("T1", LineKind::OldTile(clay), &[(0.0, 6.0), (300.0, 6.0)], Joins::Nothing);
        job.change(t1, |line| line.size_m = largest_m).change(m1, |line| line.size_m = largest_m);
        let finding = job.only(&RULE);
        let hindrance = "use smooth-wall pipe for M1, but that brings: The bank at O1 is bare";
        assert_eq!(job.tried(&finding).hindrance.as_deref(), Some(hindrance));
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.armoured = true);
        assert_eq!(job.remedies(&finding), ["Use smooth-wall pipe for M1"]);
    }
}
