//! Check 58, sharp bend.

use measure::{FOOT_M, Point, apart_deg, bearing, distance};
use plan::{BoxFacts, Line, LineId, StructureKind};

use super::{grade_change, shape};
use crate::offer::Offer;
use crate::site::ANGLE_TOLERANCE_DEG;
use crate::site::TOUCH_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 58,
    slug: "sharp-bend",
    title: "Sharp bend",
    manual: "A new line that turns more than 45° at one point where no branch enters (a branch means a fitting). Tubing \
             kinks and a cleaning hose sticks there. A sweep drawn as several small bends passes. Conservation \
             practice standard, from memory. To decide.",
    source: "[CPS606, memory]",
    find,
};

/// How far from a bend its sweep begins and ends, metres: 20 ft, less where there is no room (judgement).
const SWEEPS_M: [f64; 3] = [20.0 * FOOT_M, 10.0 * FOOT_M, 5.0 * FOOT_M];

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().flat_map(|(id, line, _)| of_line(site, id, line)).collect()
}

fn of_line(site: &Site, id: LineId, line: &Line) -> Vec<Finding> {
    let mut station_m = 0.0;
    let mut found = Vec::new();
    for (i, three) in line.points.windows(3).enumerate() {
        station_m += distance(three[0], three[1]);
        let turn_deg = turn_deg(three);
        if turn_deg > site.plan.criteria.sharpest_bend_deg + ANGLE_TOLERANCE_DEG
            && !has_branch(site, id, three[1])
            && !has_box(line, station_m)
        {
            found.push(finding(site, id, line, (station_m, i + 1), turn_deg));
        }
    }
    found
}

/// Change of direction at the middle of three points, degrees; 0 where two of them are one.
fn turn_deg(three: &[Point]) -> f64 {
    if distance(three[0], three[1]) == 0.0 || distance(three[1], three[2]) == 0.0 {
        return 0.0;
    }
    apart_deg(bearing(three[1], three[2]), bearing(three[0], three[1]))
}

/// True where a box stands at the bend.
fn has_box(line: &Line, station_m: f64) -> bool {
    let is_box = |s: &plan::Structure| matches!(s.kind, plan::StructureKind::JunctionBox(_));
    line.structures.iter().any(|s| is_box(s) && (s.station_m - station_m).abs() <= 1.0)
}

fn has_branch(site: &Site, id: LineId, at: Point) -> bool {
    site.joints.iter().any(|joint| joint.main == id && distance(joint.at, at) <= TOUCH_M)
}

fn finding(site: &Site, id: LineId, line: &Line, (station_m, bend): (f64, usize), turn_deg: f64) -> Finding {
    let name = &line.name;
    let place = site.station(station_m);
    let (limit_deg, turn_deg) = (site.plan.criteria.sharpest_bend_deg, turn_deg.ceil());
    let message = format!("{name} turns {turn_deg:.0}° at {place}, more than {limit_deg:.0}° at one point.");
    Finding::new(&RULE, Severity::Decide, site.point(id, station_m), format!("{name} bends sharply"), message)
        .on(id, station_m, station_m)
        .amount(format!("turns {turn_deg:.0}°"))
        .offers(move |site| {
            let label = format!("Draw the bend at {} of {} as a sweep", site.station(station_m), site.name(id));
            let sweeps = SWEEPS_M.into_iter().filter_map(|apart_m| shape::swept(site.plan, id, bend, apart_m));
            let sweep = Offer::First(sweeps.map(|after| shape::redrawn(site.plan, &after, label.clone())).collect());
            let kind = StructureKind::JunctionBox(BoxFacts::default());
            [sweep].into_iter().chain(grade_change::stands_at(site, id, station_m, kind)).collect()
        })
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL, MAIN};

    /// A square corner at 1+00; the same with a branch at it; a corner drawn as two bends of 45°.
    #[test]
    fn a_square_corner() {
        let mut job = Job::new();
        let m1 = job.line("M1", MAIN, &[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0)], Joins::Nothing);
        job.line("M2", MAIN, &[(0.0, 500.0), (100.0, 500.0), (120.0, 520.0), (120.0, 600.0)], Joins::Nothing);
        assert_eq!(job.only(&RULE).message, "M1 turns 90° at 1+00, more than 45° at one point.");
        job.line("L1", LATERAL, &[(100.0, 0.0), (200.0, 0.0)], Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
    }
}
