//! Check 90, old tile below the new main.

use design::Joint;

use super::joint_level::low_entry;
use crate::{Finding, Rule, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 90,
    slug: "old-tile-low",
    title: "Old tile below the new main",
    manual: "An old tile that is joined to new pipe below that pipe's centre; levels and weights as in check 48. The \
             old line would stand in the new one's water. Silent while its level at the joint is not known.",
    source: "[MSU-sed]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let tapped = site.joints.iter().filter(|joint| site.is_old(joint.branch) && !site.is_old(joint.main));
    tapped.filter_map(|joint| finding(site, joint)).collect()
}

fn finding(site: &Site, joint: &Joint) -> Option<Finding> {
    let (old, main) = (site.name(joint.branch), site.name(joint.main));
    let message = |low: &str| {
        format!("{old} would stand {low} below the centre of {main}. Lower {main} or keep the old tile apart.")
    };
    low_entry(site, &RULE, joint, format!("Old tile {old} enters {main} too low"), message)
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, suspected};

    /// Trade-practice scenario S3: main 731.50 at 0.40 %, so 733.25 at 4+37, centre of a 5-in pipe 733.46; an old
    /// line at 734.86 passes. At 733.20 it would stand 0.26 ft under the centre.
    #[test]
    fn old_line_at_a_new_main() {
        for (level_ft, found) in [(734.86, None), (733.20, Some("T1 would stand 0.26 ft below the centre of M1."))] {
            let mut job = Job::new();
            let outlet = job.outlet("O1", (0.0, 0.0), 731.5);
            let m1 = job.line("M1", crate::job::MAIN, &[(0.0, 0.0), (500.0, 0.0)], outlet);
            job.size(m1, 5.0).pin(m1, 500.0, 733.5);
            let t1 = job.line("T1", suspected(), &[(437.0, 0.0), (437.0, 90.0)], Joins::Line(m1));
            job.pin(t1, 0.0, level_ft);
            let messages: Vec<String> = job.found(&RULE).into_iter().map(|finding| finding.message).collect();
            assert_eq!(messages.len(), usize::from(found.is_some()));
            assert!(messages.iter().all(|message| message.starts_with(found.unwrap())), "{messages:?}");
        }
    }
}
