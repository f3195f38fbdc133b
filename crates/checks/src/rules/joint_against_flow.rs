//! Check 50, junction angle.

use std::f64::consts::PI;

use design::Joint;
use measure::{FOOT_M, Point, along, distance, point_at};
use plan::{Change, Edit};

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
        .misses(joint.angle_deg, site.plan.criteria.joint_angle_deg)
        .fix(turned(site, joint))
}

/// Length of branch that is bent, and how far downstream it enters then, metres: 20 ft (judgement: room for a wye and
/// gentle bends).
const TURNED_M: f64 = 20.0 * FOOT_M;

/// Leads the end of the branch into the main a little further down, in a sweep that ends along the flow; `None` where
/// there is no room for it.
fn turned(site: &Site, joint: &Joint) -> Option<Edit> {
    let (branch, main) = (site.plan.lines.get(&joint.branch)?, site.plan.lines.get(&joint.main)?);
    let (id, down_m) = (joint.branch, joint.station_m - TURNED_M);
    if down_m < 0.0 || distance(branch.points[0], *branch.points.get(1)?) < TURNED_M * 1.5 {
        return None;
    }
    let (end, knee) = (point_at(&main.points, down_m)?, point_at(&branch.points, TURNED_M)?);
    let mut after = site.plan.clone();
    for (i, t) in [0.25, 0.5, 0.75].into_iter().enumerate() {
        let sweep = on_arc(end, joint.at, knee, t)?;
        // First on the line, so that what hangs on it keeps its place, then out to the sweep.
        after.apply(&plan::insert_point(&after, id, 1 + i, along(joint.at, knee, t))?).ok()?;
        after.apply(&plan::move_point(&after, id, 1 + i, sweep)?).ok()?;
    }
    after.apply(&plan::insert_point(&after, id, 4, knee)?).ok()?;
    after.apply(&plan::move_point(&after, id, 0, end)?).ok()?;
    let moved = after.lines.iter().filter(|(id, line)| site.plan.lines.get(id) != Some(line));
    let changes = moved.map(|(id, line)| Change::Line(*id, Some(line.clone()))).collect();
    Some(Edit { label: format!("Wye of {} turned downstream", branch.name), changes })
}

/// A place on the arc that leaves `from` toward `corner` and comes in from there to `to`, both as far from the corner;
/// `share` of the way. Even bends, where a corner would be one sharp one.
fn on_arc(from: Point, corner: Point, to: Point, share: f64) -> Option<Point> {
    let (d_m, middle) = (distance(from, corner), along(from, to, 0.5));
    let (half_m, height_m) = (distance(from, middle), distance(corner, middle));
    if half_m <= 0.0 || height_m <= 0.0 {
        return None;
    }
    // The centre lies on the line from the corner through the middle, where the tangents are square to the radii.
    let centre = along(corner, middle, d_m * d_m / (height_m * height_m));
    let angle = |p: Point| (p.y - centre.y).atan2(p.x - centre.x);
    let turn = (angle(to) - angle(from) + PI).rem_euclid(2.0 * PI) - PI;
    let (sin, cos) = (angle(from) + turn * share).sin_cos();
    let radius_m = distance(centre, from);
    Some(Point::new(centre.x + radius_m * cos, centre.y + radius_m * sin))
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

    /// The sweep enters along the flow and has no sharp bend.
    #[test]
    fn turned_downstream() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (0.0, 90.0)], Joins::Line(m1));
        let finding = job.only(&RULE);
        assert_eq!(finding.fix.as_ref().unwrap().label, "Wye of L1 turned downstream");
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
