//! Check 90, old tile below the new main.

use design::Joint;
use plan::{Decision, Joins, LineId, LineKind};

use super::enters_low::lowered_main;
use super::joint_level::low_entry;
use crate::offer::Offer;
use crate::{Finding, Rule, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 90,
    slug: "old-tile-low",
    title: "Old tile below the new main",
    manual: "An old tile that is joined to new pipe below that pipe's center; levels and weights as in check 48. The \
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
    let message = |low: &str| format!("{old} would stand {low} below the center of {main}.");
    let found = low_entry(site, &RULE, joint, format!("Old tile {old} enters {main} too low"), message)?;
    let branch = joint.branch;
    Some(found.offers(move |site| {
        let Some(joint) = site.joint_of(branch) else { return Vec::new() };
        let low_m = joint.main_centre_m.zip(joint.branch_invert_m).map_or(0.0, |(centre_m, old_m)| centre_m - old_m);
        lowered_main(site, joint, low_m).into_iter().chain(kept_apart(site, branch)).collect()
    }))
}

/// Offers that an old tile is led across and not joined.
fn kept_apart<'s>(site: &'s Site, old: LineId) -> Option<Offer<'s>> {
    let label = format!("Bridge {} and do not join it", site.name(old));
    Offer::line(site, old, label, |line| {
        if let LineKind::OldTile(tile) = &mut line.kind {
            (tile.decision, line.joins) = (Some(Decision::Bridge), Joins::Nothing);
        }
    })
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, suspected};

    /// The worked example Mapperwick Draw: main 731.50 at 0.40 %, so 733.25 at 4+37, centre of a 5-in pipe 733.46; an
    /// old line at 734.86 passes. At 733.20 it would stand 0.26 ft under the centre.
    #[test]
    fn old_line_at_a_new_main() {
        for (level_ft, found) in [(734.86, None), (733.20, Some("T1 would stand 0.26 ft below the center of M1."))] {
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
