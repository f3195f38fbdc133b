//! Check 50, junction angle.

use design::Joint;

use crate::site::ANGLE_TOLERANCE_DEG;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 50,
    slug: "joint-against-flow",
    title: "Junction angle",
    manual: "A branch that enters against the flow of its main: more than 95° between the two flows (0° runs along, \
             90° is square). Its water brakes the main's and silt drops at the joint. That branches point downstream \
             is old advice; 5° over square allow for drawing. To decide.",
    source: "[EB11] [GARDEN]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let limit_deg = site.plan.criteria.joint_angle_deg + ANGLE_TOLERANCE_DEG;
    let new_work = site.joints.iter().filter(|joint| !(site.is_old(joint.branch) && site.is_old(joint.main)));
    new_work.filter(|joint| joint.angle_deg > limit_deg).map(|joint| finding(site, joint)).collect()
}

fn finding(site: &Site, joint: &Joint) -> Finding {
    let (lateral, main) = (site.name(joint.branch), site.name(joint.main));
    let angle = format!("{:.0}°", joint.angle_deg);
    let message = format!("{lateral} points {angle} against the flow of {main}. Turn it downstream (wye 45–60°).");
    Finding::new(&RULE, Severity::Decide, joint.at, format!("{lateral} enters {main} against the flow"), message)
        .on(joint.branch, 0.0, 0.0)
        .amount(format!("{angle} against the flow"))
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL};

    /// M1 flows west. A branch from (0, 90) down to (100, 0) flows east and south: 180° − 42° = 138°.
    #[test]
    fn against_the_flow() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (0.0, 90.0)], Joins::Line(m1));
        assert_eq!(
            job.only(&RULE).message,
            "L1 points 138° against the flow of M1. Turn it downstream (wye 45–60°)."
        );
    }

    /// Square, and down along the flow.
    #[test]
    fn square_or_with_the_flow() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(200.0, 0.0), (290.0, 90.0)], Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
    }
}
