//! Check 49, lateral far above its main.

use design::Joint;
use plan::{LineId, Structure, StructureKind};

use crate::offer::Offer;
use crate::site::JOINT_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 49,
    slug: "high-drop",
    title: "Lateral far above",
    manual: "A branch whose invert lies more than 1 ft (0.3 m) over the center of its main. The last length would hang \
             in loose backfill and water would fall onto the joint; a riser bend carries it down. Counts for an old \
             tile joined to new pipe as well. Silent where a drop is set at the joint. The figure is a judgment. A note.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let new_work = site.joints.iter().filter(|joint| !(site.is_old(joint.branch) && site.is_old(joint.main)));
    new_work.filter_map(|joint| finding(site, joint)).collect()
}

fn finding(site: &Site, joint: &Joint) -> Option<Finding> {
    let drop_m = joint.branch_invert_m? - joint.main_centre_m?;
    if joint.in_line || has_drop(site, joint.branch) || drop_m <= site.plan.criteria.joint_drop_m + JOINT_TOLERANCE_M
    {
        return None;
    }
    let branch = joint.branch;
    let (lateral, main) = (site.name(joint.branch), site.name(joint.main));
    let message = format!("{lateral} falls {} where it joins {main}.", site.units().depth(drop_m));
    Some(
        Finding::new(&RULE, Severity::Note, joint.at, format!("{lateral} enters {main} from high above"), message)
            .once_on(joint.branch, 0.0, 0.0)
            .amount(format!("falls {}", site.short(drop_m)))
            .offers(move |site| {
                let label = format!("Put a riser bend at the end of {}", site.name(branch));
                let drop = Structure { station_m: 0.0, kind: StructureKind::Drop };
                Offer::line(site, branch, label, |line| *line = line.with_structure(drop)).into_iter().collect()
            }),
    )
}

/// True where a drop is set at the end of a branch, no farther up than its first metre.
fn has_drop(site: &Site, branch: LineId) -> bool {
    let structures = site.plan.lines.get(&branch).map_or(&[][..], |line| &line.structures);
    structures.iter().any(|s| s.kind == StructureKind::Drop && s.station_m <= 1.0)
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL};

    /// M1's centre at 1+00 is 100.75.
    #[test]
    fn a_fall_at_the_joint() {
        for (level_ft, count) in [(102.15, 1), (101.75, 0), (100.75, 0)] {
            let mut job = Job::new();
            let m1 = job.main(200.0);
            job.pin(m1, 200.0, 101.0);
            let l1 = job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
            job.pin(l1, 0.0, level_ft);
            let found = job.found(&RULE);
            assert_eq!(found.len(), count, "{level_ft}");
            assert!(found.iter().all(|f| f.message == "L1 falls 1.40 ft where it joins M1."));
            assert!(found.iter().all(|f| job.mended(f).found(&RULE).is_empty()));
        }
    }
}
