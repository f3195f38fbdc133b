//! Check 59, loop: water that has two ways, or none out.

use measure::{Point, distance};
use plan::{Line, LineId};

use super::shape;
use crate::site::TOUCH_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 59,
    slug: "loop",
    title: "Loop",
    manual: "A network that is no tree: lines that drain into each other in a ring, or a line whose upper end lies on \
             another line (within 0.01 ft) of the same network, so that water has two ways. Which way it goes then \
             hangs on a hand's breadth of level, and one branch silts up. A line that carries on from another's upper \
             end is no loop. A judgment. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let rings = site.design.loops.iter().filter_map(|ring| ring_finding(site, ring));
    let ends = site.new_lines().flat_map(|(id, line, _)| two_ways(site, id, line));
    rings.chain(ends).collect()
}

/// A ring, named from the line that comes first by name.
fn ring_finding(site: &Site, ring: &[LineId]) -> Option<Finding> {
    let start = (0..ring.len()).min_by_key(|i| site.rank(ring[*i]))?;
    let around: Vec<LineId> = ring[start..].iter().chain(&ring[..start]).copied().collect();
    if around.iter().all(|id| site.is_old(*id)) {
        return None;
    }
    let names: Vec<&str> = around.iter().chain(around.first()).map(|id| site.name(*id)).collect();
    let message = format!("{} drain into each other in a ring; the water never leaves.", names.join(" → "));
    let places = around.iter().map(|id| site.place(*id, (0.0, 0.0), 0.0, "part of the ring"));
    let first = around[0];
    Some(
        Finding::new(
            &RULE,
            Severity::Block,
            site.point(first, 0.0),
            format!("{} drains in a ring", names[0]),
            message,
        )
        .once_on(first, 0.0, 0.0)
        .keyed("ring")
        .amount("ring".into())
        .gathers(places.collect())
        .advises("Give one of them an outlet, or join it to a line outside the ring."),
    )
}

fn two_ways(site: &Site, id: LineId, line: &Line) -> Vec<Finding> {
    let Some(end) = line.upper_end() else { return Vec::new() };
    let touching = site.pieces.paths_near(end, TOUCH_M).into_iter().map(|near| LineId(near.0));
    let others = touching.filter(|other| *other != id && makes_loop(site, id, *other, end));
    others.map(|other| finding(site, id, line, other, end)).collect()
}

/// True when the upper end of a line opens a second way for the water of another line that passes or ends there.
fn makes_loop(site: &Site, id: LineId, other: LineId, end: Point) -> bool {
    let Some(other_line) = site.plan.lines.get(&other) else { return false };
    let is_at = |place: Option<Point>| place.is_some_and(|place| distance(place, end) <= TOUCH_M);
    let starts_here = is_at(other_line.downstream_end());
    let told_already = is_at(other_line.upper_end()) && !site.is_old(other) && site.rank(other) < site.rank(id);
    !starts_here && !told_already && site.root(id) == site.root(other)
}

fn finding(site: &Site, id: LineId, line: &Line, other: LineId, end: Point) -> Finding {
    let (name, other_name, length_m) = (&line.name, site.name(other), line.length_m());
    let message = format!(
        "Water has two ways at {} of {name}: its upper end lies on {other_name} and both lead to the same place.",
        site.station(length_m)
    );
    Finding::new(&RULE, Severity::Block, end, format!("{name} and {other_name} make a loop"), message)
        .once_on(id, length_m, length_m)
        .keyed_with(other)
        .amount("loop".into())
        .offers(move |site| {
            let gap_m = site.plan.criteria.gap_m + 2.0 * TOUCH_M;
            let by_m = [TOUCH_M, gap_m];
            by_m.into_iter().filter_map(|by_m| shape::trimmed_by(site, id, by_m)).collect()
        })
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL, MAIN};

    /// L2 leaves M1 at 2+00 and its upper end lies on L1, which drains into M1 as well.
    #[test]
    fn an_upper_end_on_a_line_of_the_same_network() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 200.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(200.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        let finding = job.only(&RULE);
        assert_eq!(finding.title, "L2 and L1 make a loop");
        assert!(finding.message.starts_with("Water has two ways at 1+34.5 of L2: its upper end lies on L1"));
    }

    /// Two tops that meet are one loop, told once.
    #[test]
    fn two_tops_that_meet() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (150.0, 90.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(200.0, 0.0), (150.0, 90.0)], Joins::Line(m1));
        assert_eq!(job.only(&RULE).title, "L1 and L2 make a loop");
    }

    /// M1 → M2 → M1.
    #[test]
    fn a_ring() {
        let mut job = Job::new();
        let m1 = job.line("M1", MAIN, &[(0.0, 0.0), (100.0, 0.0)], Joins::Nothing);
        let m2 = job.line("M2", MAIN, &[(50.0, 0.0), (0.0, 0.0)], Joins::Line(m1));
        job.change(m1, |line| line.joins = Joins::Line(m2));
        let found = job.found(&RULE);
        let message = "M1 → M2 → M1 drain into each other in a ring; the water never leaves.";
        assert!(found[0].message.starts_with(message), "{found:#?}");
        assert_eq!(found[0].places.len(), 2);
    }

    /// A continuation, a second line that starts at the same end, and a top on a line of another network.
    #[test]
    fn trees() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let l1 = job.line("L1", LATERAL, &[(300.0, 0.0), (400.0, 0.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(300.0, 0.0), (400.0, 90.0)], Joins::Line(l1));
        job.line("L3", LATERAL, &[(300.0, 0.0), (400.0, -90.0)], Joins::Line(m1));
        let outlet = job.outlet("O2", (350.0, -300.0), 90.0);
        job.line("M2", MAIN, &[(350.0, -300.0), (350.0, 0.0)], outlet);
        assert!(job.found(&RULE).is_empty());
    }
}
