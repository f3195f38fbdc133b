//! Check 48, lateral enters low.

use design::Joint;
use plan::Edit;

use super::joint_level::low_entry;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 48,
    slug: "enters-low",
    title: "Lateral enters low",
    manual: "A branch whose invert lies below the centre of its main. A main that runs half full backs up into it and \
             leaves its silt there. Branch centre below the main's centre is to fix before digging; branch centre \
             above but invert below is to decide. 0.01 ft is tolerated. A line that carries on from the main's upper \
             end is no lateral. That branches enter the upper half is in extension advice and old texts alike. An old \
             tile joined to new pipe is check 90.",
    source: "[MSU-sed] [OLD1912]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let new = site.joints.iter().filter(|joint| !site.is_old(joint.branch));
    new.filter_map(|joint| finding(site, joint)).collect()
}

fn finding(site: &Site, joint: &Joint) -> Option<Finding> {
    let (lateral, main) = (site.name(joint.branch), site.name(joint.main));
    let title = format!("{lateral} enters {main} too low");
    let message = |low: &str| format!("{lateral} enters {main} {low} too low. Raise it by {low} or join on top.");
    Some(low_entry(site, &RULE, joint, title, message)?.fix(freed(site, joint)))
}

/// A branch starts at its main's centre unless its own end was fixed by hand; so that is freed.
fn freed(site: &Site, joint: &Joint) -> Option<Edit> {
    let line = site.plan.lines.get(&joint.branch)?;
    let pin = line.pins.first().filter(|pin| pin.station_m < LEVEL_TOLERANCE_M)?;
    let edit = plan::set_pin(site.plan, joint.branch, pin.station_m, None)?;
    Some(Edit { label: format!("Let {} start at the centre of {}", line.name, site.name(joint.main)), ..edit })
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::Severity;
    use crate::job::{Job, LATERAL};

    /// M1 6 in, 100.00 to 101.00 in 200 ft: its invert at 1+00 is 100.50, its centre 100.75. L1 is 4 in.
    fn joined(level_ft: f64) -> Job {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0);
        let l1 = job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        job.pin(l1, 0.0, level_ft);
        job
    }

    /// L1's centre is 0.167 ft over its invert: from 100.583 up it is over M1's centre.
    #[test]
    fn below_the_centre() {
        let finding = joined(100.50).only(&RULE);
        assert_eq!(finding.severity, Severity::Block);
        assert_eq!(finding.message, "L1 enters M1 0.25 ft too low. Raise it by 0.25 ft or join on top.");
        assert_eq!(joined(100.65).only(&RULE).severity, Severity::Decide);
        assert!(joined(100.50).mended(&finding).found(&RULE).is_empty());
    }

    /// At the centre, within a hundredth below it, and a line that carries on in line.
    #[test]
    fn sound_joints() {
        assert!(joined(100.75).found(&RULE).is_empty());
        assert!(joined(100.741).found(&RULE).is_empty());
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.line("L1", LATERAL, &[(200.0, 0.0), (300.0, 0.0)], Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
    }
}
