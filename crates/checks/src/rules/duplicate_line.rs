//! Check 60, duplicate line: two lines in one trench.

use plan::{Line, LineId};

use super::alongside::alongside;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{Stretch, without};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 60,
    slug: "duplicate-line",
    title: "Duplicate line",
    manual: "Two new lines within 2 ft (0.6 m) sideways of each other for more than 20 ft (6 m): they would lie in one \
             trench. The last 20 ft to a joint of the two do not count, for a branch starts on its main. The figures \
             are judgments. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().flat_map(|(id, line, _)| of_line(site, id, line)).collect()
}

fn of_line(site: &Site, id: LineId, line: &Line) -> Vec<Finding> {
    let criteria = &site.plan.criteria;
    let beside = alongside(site, id, line, criteria.duplicate_offset_m + LEVEL_TOLERANCE_M, false);
    let others = beside.into_iter().filter(|(other, _)| site.rank(id) < site.rank(*other) && !site.is_old(*other));
    let long = |part: &Stretch| part.length_m() > criteria.duplicate_length_m + LEVEL_TOLERANCE_M;
    let findings = |(other, parts): (LineId, Vec<Stretch>)| {
        let parts = clear_of_joints(site, id, other, parts);
        parts.into_iter().filter(long).map(|part| finding(site, id, other, &part)).collect::<Vec<_>>()
    };
    others.flat_map(findings).collect()
}

/// Takes out what lies near a joint of the two lines.
fn clear_of_joints(site: &Site, id: LineId, other: LineId, parts: Vec<Stretch>) -> Vec<Stretch> {
    let near_m = site.plan.criteria.duplicate_length_m;
    let own = site.joint_of(id).filter(|joint| joint.main == other).map(|_| 0.0);
    let others = site.joint_of(other).filter(|joint| joint.main == id).map(|joint| joint.station_m);
    let joints = own.into_iter().chain(others);
    joints.fold(parts, |parts, station_m| without(&parts, station_m - near_m, station_m + near_m))
}

fn finding(site: &Site, id: LineId, other: LineId, part: &Stretch) -> Finding {
    let (one, two) = (site.name(id), site.name(other));
    let length = site.length(part.length_m());
    let message =
        format!("{one} and {two} lie in one trench for {length} ({one} {}).", site.stretch(part.from_m, part.to_m));
    let at = site.point(id, (part.from_m + part.to_m) / 2.0);
    Finding::new(&RULE, Severity::Decide, at, format!("{one} and {two} lie in one trench"), message)
        .on(id, part.from_m, part.to_m)
        .amount(format!("doubled for {length}"))
        .keyed_with(other)
        .offers(move |site| deleted(site, id, other))
}

/// Offers to delete one of the two, the shorter first.
fn deleted<'s>(site: &'s Site, id: LineId, other: LineId) -> Vec<Offer<'s>> {
    let length_m = |id: LineId| site.plan.lines.get(&id).map_or(0.0, Line::length_m);
    let by_length = if length_m(id) < length_m(other) { [id, other] } else { [other, id] };
    let alone = by_length.into_iter().filter(|id| site.upstream(*id).is_empty());
    alone.filter_map(|id| Offer::one(format!("Delete {}", site.name(id)), plan::remove_line(site.plan, id))).collect()
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL, stations_ft};

    /// L1 was drawn twice: L2 lies 1 ft beside it from end to end.
    #[test]
    fn a_line_drawn_twice() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 150.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(101.0, 10.0), (101.0, 150.0)], Joins::Nothing);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (10.0, 150.0));
        assert_eq!(finding.message, "L1 and L2 lie in one trench for 140 ft (L1 from 0+10 to 1+50).");
        assert_eq!(job.remedies(&finding)[0], "Delete L2");
    }

    /// A branch that leaves its main at a small angle, lines 3 ft apart, and 20 ft side by side.
    #[test]
    fn neighbours_that_are_no_doubles() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (250.0, 15.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(0.0, -3.0), (300.0, -3.0)], Joins::Nothing);
        job.line("L3", LATERAL, &[(300.0, -4.0), (280.0, -4.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
    }
}
