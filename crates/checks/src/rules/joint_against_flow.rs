//! Check 50, junction angle.

use design::Joint;
use measure::{FOOT_M, along, distance, point_at};
use plan::Plan;

use super::shape::{on_arc, redrawn};
use crate::offer::Offer;
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
    // Rounded up: what is over a limit is never told as on it.
    let angle = format!("{:.0}°", joint.angle_deg.ceil());
    let message = format!("{lateral} points {angle} against the flow of {main}.");
    let branch = joint.branch;
    Finding::new(&RULE, Severity::Decide, joint.at, format!("{lateral} enters {main} against the flow"), message)
        .once_on(joint.branch, 0.0, 0.0)
        .amount(format!("{angle} against the flow"))
        .misses(joint.angle_deg, site.plan.criteria.joint_angle_deg)
        .offers(move |site| {
            let turned = site.joint_of(branch).and_then(|joint| turned(site.plan, joint));
            let label = format!("Turn the end of {} downstream into a wye", site.name(branch));
            turned.map(|after| Offer::One(redrawn(site.plan, &after, label))).into_iter().collect()
        })
}

/// Length of branch that is bent, and how far downstream it enters then, metres: 20 ft (judgement: room for a wye and
/// gentle bends).
const TURNED_M: f64 = 20.0 * FOOT_M;

/// Leads the end of the branch into the main a little further down, in a sweep that ends along the flow; `None` where
/// there is no room for it.
pub(crate) fn turned(plan: &Plan, joint: &Joint) -> Option<Plan> {
    let (branch, main) = (plan.lines.get(&joint.branch)?, plan.lines.get(&joint.main)?);
    let (id, down_m) = (joint.branch, joint.station_m - TURNED_M);
    if down_m < 0.0 || distance(branch.points[0], *branch.points.get(1)?) < TURNED_M * 1.5 {
        return None;
    }
    let (end, knee) = (point_at(&main.points, down_m)?, point_at(&branch.points, TURNED_M)?);
    let mut after = plan.clone();
    for (i, t) in [0.25, 0.5, 0.75].into_iter().enumerate() {
        let sweep = on_arc(end, joint.at, knee, t)?;
        // First on the line, so that what hangs on it keeps its place, then out to the sweep.
        after.apply(&plan::insert_point(&after, id, 1 + i, along(joint.at, knee, t))?).ok()?;
        after.apply(&plan::move_point(&after, id, 1 + i, sweep)?).ok()?;
    }
    after.apply(&plan::insert_point(&after, id, 4, knee)?).ok()?;
    after.apply(&plan::move_point(&after, id, 0, end)?).ok()?;
    Some(after)
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
        assert_eq!(job.only(&RULE).message, "L1 points 139° against the flow of M1.");
    }

    /// The sweep enters along the flow and has no sharp bend.
    #[test]
    fn turned_downstream() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (0.0, 90.0)], Joins::Line(m1));
        let finding = job.only(&RULE);
        assert_eq!(job.remedies(&finding)[0], "Turn the end of L1 downstream into a wye");
        let mended = job.mended(&finding);
        assert!(mended.found(&RULE).is_empty());
        assert!(mended.found(&crate::rules::sharp_bend::RULE).is_empty());
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
