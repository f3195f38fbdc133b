//! Check 52, opposite laterals.

use design::Joint;
use measure::{FOOT_M, Point, distance, path_length, point_at};
use plan::{Line, LineId};

use super::shape::redrawn;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 52,
    slug: "opposite-laterals",
    title: "Opposite laterals",
    manual: "Two branches that enter a line from both sides within 1 ft (0.3 m) of the same station. Their streams meet \
             and brake each other, and two tees cannot be fitted in one place. Stagger them by a couple of feet. Old \
             advice; the figure is a judgment. A note, one for each line.",
    source: "[EB11] [GARDEN]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, _)| finding(site, id, line)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line) -> Option<Finding> {
    let pairs = pairs(site, id, line);
    let (first, _) = *pairs.first()?;
    let (count, enter) = match pairs.len() {
        1 => ("A pair of laterals".to_string(), "enters"),
        n => (format!("{n} pairs of laterals"), "enter"),
    };
    let message = format!("{count} {enter} {} opposite each other.", line.name);
    let second: Vec<LineId> = pairs.iter().map(|(_, other)| other.branch).collect();
    let places = pairs.iter().map(|(one, other)| {
        let names = format!("{} and {}", site.name(one.branch), site.name(other.branch));
        site.place(id, (one.station_m, one.station_m), one.station_m, &names)
    });
    Some(
        Finding::new(&RULE, Severity::Note, first.at, format!("Laterals meet head-on in {}", line.name), message)
            .once_on(id, first.station_m, first.station_m)
            .gathers(places.collect())
            .offers(move |site| staggered(site, id, &second)),
    )
}

/// How far two branches are staggered beyond what counts as opposite, metres: 1 ft (judgement: room for two fittings).
const STAGGER_M: f64 = FOOT_M;

/// Offers that one of each pair enters a little farther up the main, or down.
fn staggered<'s>(site: &'s Site, main: LineId, branches: &[LineId]) -> Vec<Offer<'s>> {
    let said = site.units().said_up(site.plan.criteria.opposite_m + STAGGER_M);
    let to = |sign: f64, way: &str| {
        let mut after = site.plan.clone();
        for branch in branches {
            let points = &site.plan.lines.get(&main)?.points;
            let at_m = site.joint_of(*branch)?.station_m + sign * said.value;
            let at = point_at(points, at_m).filter(|_| (0.0..=path_length(points)).contains(&at_m))?;
            after.apply(&plan::move_point(&after, *branch, 0, at)?).ok()?;
        }
        let names: Vec<&str> = branches.iter().map(|id| site.name(*id)).collect();
        let ends = if names.len() == 1 { "end" } else { "ends" };
        let label = format!("Move the {ends} of {} {} {way} {}", measure::listed(&names), said.text, site.name(main));
        Some(Offer::One(redrawn(site.plan, &after, label)))
    };
    [to(1.0, "up"), to(-1.0, "down")].into_iter().flatten().collect()
}

/// Pairs of branches that meet, by station; each branch in one pair only.
fn pairs<'a>(site: &Site<'a>, main: LineId, line: &Line) -> Vec<(&'a Joint, &'a Joint)> {
    let mut joints: Vec<&Joint> = site.joints.iter().copied().filter(|j| j.main == main && !j.in_line).collect();
    joints.sort_by(|x, y| x.station_m.total_cmp(&y.station_m));
    let mut pairs: Vec<(&Joint, &Joint)> = Vec::new();
    let mut alone: Vec<(&Joint, bool)> = Vec::new();
    for joint in joints {
        let Some(is_left) = enters_left(site, line, joint) else { continue };
        alone.retain(|(other, _)| {
            joint.station_m - other.station_m <= site.plan.criteria.opposite_m + LEVEL_TOLERANCE_M
        });
        match alone.iter().position(|(_, other_left)| *other_left != is_left) {
            Some(opposite) => pairs.push((alone.remove(opposite).0, joint)),
            None => alone.push((joint, is_left)),
        }
    }
    pairs
}

/// True when a branch comes in from the left of its main, looking upstream; `None` where it lies along it.
fn enters_left(site: &Site, main: &Line, joint: &Joint) -> Option<bool> {
    let branch = &site.plan.lines.get(&joint.branch)?.points;
    let (start, next) = (branch.first()?, branch.get(1)?);
    let (from, to) = piece_at(&main.points, joint.station_m)?;
    let (own, way) = ((next.x - start.x, next.y - start.y), (to.x - from.x, to.y - from.y));
    let turn = way.0 * own.1 - way.1 * own.0;
    (turn != 0.0).then_some(turn > 0.0)
}

/// The piece of a path that holds a station.
fn piece_at(points: &[Point], station_m: f64) -> Option<(Point, Point)> {
    let mut left_m = station_m;
    for pair in points.windows(2) {
        let length_m = distance(pair[0], pair[1]);
        if left_m <= length_m {
            return Some((pair[0], pair[1]));
        }
        left_m -= length_m;
    }
    points.windows(2).last().map(|pair| (pair[0], pair[1]))
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL};

    /// L1 and L2 meet at 1+00; L3 and L4 enter from one side, L5 comes in 2 ft further on.
    #[test]
    fn two_from_both_sides() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (120.0, 90.0)], Joins::Line(m1));
        job.line("L3", LATERAL, &[(200.0, 0.0), (220.0, 90.0)], Joins::Line(m1));
        job.line("L4", LATERAL, &[(200.5, 0.0), (240.0, 90.0)], Joins::Line(m1));
        job.line("L5", LATERAL, &[(202.5, 0.0), (220.0, -90.0)], Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
        job.line("L2", LATERAL, &[(100.5, 0.0), (120.0, -90.0)], Joins::Line(m1));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "A pair of laterals enters M1 opposite each other.");
        assert_eq!(finding.places[0].text, "M1 at 1+00, L1 and L2");
    }
}
