//! Check 132, acid or sulfate soil with concrete.

use plan::{LandmarkKind, LineKind, Material};

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 132,
    slug: "acid-soil",
    title: "Acid soil with concrete",
    manual: "A pit shows a pH under 5.5 and an old line of concrete is kept and joined: acid eats it. New pipe of plastic is \
             safe. From memory. A note, one for the plan.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let acids = site.plan.landmarks.values().filter_map(|mark| match &mark.kind {
        LandmarkKind::Pit(pit) => pit.ph,
        _ => None,
    });
    let Some(ph) = acids.reduce(f64::min).filter(|ph| *ph < site.plan.criteria.acid_ph) else { return Vec::new() };
    let concrete = |kind: LineKind| matches!(kind, LineKind::OldTile(old) if old.material == Material::Concrete);
    let joined = site.joints.iter().find_map(|joint| {
        let old = [joint.branch, joint.main].into_iter().find(|id| concrete(site.plan.lines[id].kind))?;
        let new = [joint.branch, joint.main].into_iter().any(|id| !site.is_old(id));
        new.then_some((old, joint.at))
    });
    let Some((old, at)) = joined else { return Vec::new() };
    let message = format!("The concrete of {} can corrode at pH {ph:.1}. Use plastic.", site.name(old));
    let place = site.place(old, (0.0, 0.0), 0.0, "concrete");
    vec![Finding::new(&RULE, Severity::Note, at, "Concrete in acid soil".into(), message).gathers(vec![place])]
}

#[cfg(test)]
mod tests {
    use plan::{Joins, OldTile, Pit};

    use super::*;
    use crate::job::{Job, at};

    #[test]
    fn concrete_at_five() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let old = LineKind::OldTile(OldTile { material: Material::Concrete, ..OldTile::default() });
        job.line("T1", old, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        let pit = |ph| LandmarkKind::Pit(Pit { ph: Some(ph), ..Pit::default() });
        let mark = job.mark("P1", pit(6.0), at(50.0, 50.0));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, pit(5.0));
        assert_eq!(job.only(&RULE).message, "The concrete of T1 can corrode at pH 5.0. Use plastic.");
    }
}
