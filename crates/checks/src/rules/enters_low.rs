//! Check 48, lateral enters low.

use design::Joint;
use plan::LineId;

use super::joint_level::low_entry;
use super::levels::{self, Wants};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 48,
    slug: "enters-low",
    title: "Lateral enters low",
    manual: "A branch whose invert lies below the center of its main. A main that runs half full backs up into it and \
             leaves its silt there. Branch center below the main's center is to fix before digging; branch center \
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
    let message = |low: &str| format!("{lateral} enters {main} {low} too low.");
    let branch = joint.branch;
    let found = low_entry(site, &RULE, joint, title, message)?;
    Some(found.offers(move |site| offers(site, branch)))
}

/// A branch starts at its main's centre unless its own end was fixed by hand: that is freed or raised; or what is fixed
/// on the main gives way.
fn offers<'s>(site: &'s Site, branch: LineId) -> Vec<Offer<'s>> {
    let Some((line, joint)) = site.plan.lines.get(&branch).zip(site.joint_of(branch)) else { return Vec::new() };
    let low_m =
        joint.main_centre_m.zip(joint.branch_invert_m).map_or(0.0, |(centre_m, invert_m)| centre_m - invert_m);
    let start = line.pins.first().filter(|pin| pin.station_m < LEVEL_TOLERANCE_M);
    let unlocked = start.and_then(|pin| {
        let label = format!("Let {} start at the center of {}", line.name, site.name(joint.main));
        Offer::one(label, plan::set_pin(site.plan, branch, pin.station_m, None))
    });
    let levels = levels::ways(site, branch, (0.0, 0.0), Wants::Higher(low_m));
    unlocked.into_iter().chain(levels).chain(lowered_main(site, joint, low_m)).collect()
}

/// Offers that the main is lowered at the joint.
pub(crate) fn lowered_main<'s>(site: &'s Site, joint: &Joint, low_m: f64) -> Vec<Offer<'s>> {
    levels::ways(site, joint.main, (joint.station_m, joint.station_m), Wants::Lower(low_m))
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
        assert_eq!(finding.message, "L1 enters M1 0.25 ft too low.");
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
