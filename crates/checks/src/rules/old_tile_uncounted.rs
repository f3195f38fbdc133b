//! Check 43, old tile joined but not counted.

use plan::LineKind;

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 43,
    slug: "old-tile-uncounted",
    title: "Old tile joined but not counted",
    manual: "An old tile that drains into new pipe, with no estimate of the land above it. What it brings is then missing \
             from the size of every line below. Plugged, bridged or led round it brings nothing. The terrain's uphill area at the joint is a first estimate. A judgment. \
             To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let joined = site.joints.iter().filter(|joint| site.is_old(joint.branch) && !site.is_old(joint.main));
    let uncounted = joined.filter(|joint| {
        let kind = site.plan.lines.get(&joint.branch).map(|line| line.kind);
        matches!(kind, Some(LineKind::OldTile(old)) if old.upstream_m2.unwrap_or(0.0) <= 0.0)
    });
    let finding = |joint: &&design::Joint| {
        let (old, main) = (site.name(joint.branch), site.name(joint.main));
        let message = format!("{old} joins {main} and drains an unknown area.");
        Finding::new(&RULE, Severity::Decide, joint.at, format!("The water of {old} is not counted"), message)
            .once_on(joint.branch, 0.0, 0.0)
            .amount("area?".into())
            .advises("Estimate it, and enter it with the old tile.")
    };
    uncounted.map(finding).collect()
}

#[cfg(test)]
mod tests {
    use plan::{Decision, Joins, OldTile};

    use super::*;
    use crate::job::{Job, suspected};

    #[test]
    fn joined_without_an_area() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let t1 = job.line("T1", suspected(), &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "T1 joins M1 and drains an unknown area.");
        for (decision, word) in Decision::ALL {
            let old = OldTile { decision: Some(decision), ..OldTile::default() };
            job.change(t1, |line| line.kind = LineKind::OldTile(old));
            assert_eq!(job.found(&RULE).len(), usize::from(["join", "replace"].contains(&word)), "{word}");
        }
        let counted = OldTile { upstream_m2: Some(4000.0), ..OldTile::default() };
        job.change(t1, |line| line.kind = LineKind::OldTile(counted));
        assert!(job.found(&RULE).is_empty());
    }
}
