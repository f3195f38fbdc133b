//! Check 126, steep pipe without anchors.

use design::LineDesign;
use plan::{Line, LineId, LineKind, Texture};

use crate::offer::Offer;
use crate::site::GRADE_TOLERANCE;
use crate::stretch::graded;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 126,
    slug: "steep-pipe-washout",
    title: "Steep pipe without anchors",
    manual: "A lateral steeper than 2 % in sand, loamy sand or sandy loam, or any line steeper than 10 %, without trench \
             breakers or anchors marked. Water runs down the loose trench, carries the fill away and lets the pipe slide. \
             Figures from memory and judgment. To decide, one for each line.",
    source: "[memory] [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let lines = site.new_lines().filter(|(_, line, _)| !line.bed.anchored);
    lines.filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let criteria = &site.plan.criteria;
    let sandy = |i: usize| {
        let station = &worked.stations[i];
        let texture = site.soils.texture_at(station.at, station.depth_m().unwrap_or(criteria.target_depth_m));
        matches!(texture, Some(Texture::Sand | Texture::LoamySand | Texture::SandyLoam))
    };
    let limit = |i: usize| match line.kind {
        LineKind::Lateral if sandy(i) => criteria.washout_grade.min(criteria.steepest_grade),
        _ => criteria.steepest_grade,
    };
    let steep = graded(worked, |i, grade| grade > limit(i) + GRADE_TOLERANCE);
    let part = steep.iter().max_by(|x, y| x.worst.total_cmp(&y.worst))?;
    let name = &line.name;
    let message = format!(
        "{name} falls {} {}; water can run down the trench and wash it out.",
        site.units().grade(part.worst),
        site.stretch(part.from_m, part.to_m)
    );
    Some(
        Finding::new(&RULE, Severity::Decide, site.point(id, part.from_m), format!("{name} is steep"), message)
            .once_on(id, part.from_m, part.to_m)
            .amount(site.units().grade(part.worst))
            .offers(move |site| {
                let label = format!("Put trench breakers or anchors on {}", site.name(id));
                Offer::line(site, id, label, |line| line.bed.anchored = true).into_iter().collect()
            }),
    )
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL};

    /// A lateral at 3 %: in sandy loam it wants anchors, in clay not.
    #[test]
    fn a_steep_lateral_in_sand() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let l1 = job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 100.0)], Joins::Line(m1));
        job.pin(m1, 200.0, 101.0).pin(l1, 0.0, 101.0).pin(l1, 100.0, 104.0);
        job.plan.brief.texture = Some(Texture::Clay);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.texture = Some(Texture::SandyLoam);
        assert!(job.only(&RULE).message.starts_with("L1 falls 3.00 % from 0+00 to 1+00"));
        job.change(l1, |line| line.bed.anchored = true);
        assert!(job.found(&RULE).is_empty());
    }
}
