//! Check 130, lateral effect over the boundary.

use measure::{FOOT_M, Paths, Segment, along, closed, segments};
use plan::{Change, Edit, LandmarkKind, LineId};

use super::marks::{Near, near_edges};
use super::pipe::{Solid, laid};
use super::soil::served_m;
use crate::offer::Offer;
use crate::stretch::{Stretch, total_m, without};
use crate::{Finding, Place, Rule, Severity, Site};

/// A side of the field is the marked one where the mark lies this near to it, metres: 10 ft (judgement).
const SAME_SIDE_M: f64 = 10.0 * FOOT_M;
/// A side is held against the marks in parts no longer than this, metres.
const SIDE_PART_M: f64 = 25.0 * FOOT_M;

/// Way to the outlet on which the boundary must be met, metres: that of check 63.
fn at_outlet_m(site: &Site, near: &Near) -> f64 {
    if matches!(near.line.joins, plan::Joins::Outlet(_)) { site.plan.criteria.outlet_reach_m } else { 0.0 }
}

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 130,
    slug: "neighbor-effect",
    title: "Lateral effect over the boundary",
    manual: "Perforated pipe so near to the boundary that it may lower the water table beyond: nearer than the distance it \
             drains, half the computed spacing or 50 ft. To decide along a boundary marked as a neighbor's, a note \
             along the other sides; a side whose neighbor agreed does not count, nor does the way to an outlet. From \
             memory. One of each weight for the plan.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let marks = |wanted: fn(bool) -> bool| {
        let of_kind =
            move |mark: &plan::Landmark| matches!(mark.kind, LandmarkKind::Neighbour { agreed } if wanted(agreed));
        Paths::new(site.marks(of_kind).flat_map(|(_, mark)| segments(0, &mark.outline.path())).collect())
    };
    let (marked, other) = (marks(|agreed| !agreed), Paths::new(unmarked(site, &marks(|_| true))));
    [
        finding(site, Severity::Decide, "Drains near a neighbor's boundary", parts(site, &marked))
            .map(|found| found.keyed("neighbour").advises("Ask the neighbor, and enter that he agreed.")),
        finding(site, Severity::Note, "Drains near the boundary", parts(site, &other))
            .map(|found| found.keyed("boundary").advises("Mark the neighbor's side, and enter that he agreed.")),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The sides of the field along which no neighbour is marked.
fn unmarked(site: &Site, marks: &Paths) -> Vec<Segment> {
    let Some(field) = &site.plan.field else { return Vec::new() };
    let sides = segments(0, &closed(&field.ring));
    if marks.is_empty() {
        return sides;
    }
    let is_marked = |part: &Segment| {
        let middle = along(part.a, part.b, 0.5);
        let mut near = marks.reached(part, SAME_SIDE_M).into_iter();
        near.any(|mark| mark.square_to(middle) <= SAME_SIDE_M * SAME_SIDE_M)
    };
    sides.iter().flat_map(|side| side.parts(SIDE_PART_M)).filter(|part| !is_marked(part)).collect()
}

/// Perforated parts of lines that drain land beyond edges: the place and its length, metres.
fn parts(site: &Site, edges: &Paths) -> Vec<(Place, LineId, Vec<Stretch>)> {
    let of_line = |mut near: Near| {
        let skipped_m = at_outlet_m(site, &near);
        near.parts = if skipped_m > 0.0 { without(&near.parts, -1.0, skipped_m) } else { near.parts };
        let near = near.perforated()?;
        let part = near.nearest()?;
        let (extent, length) = (near.extent(), site.length(near.length_m()));
        let place = site.place(near.id, extent, part.worst_m.clamp(extent.0, extent.1), &length);
        Some((place, near.id, near.parts))
    };
    near_edges(site, edges, |worked| served_m(site, worked)).into_iter().filter_map(of_line).collect()
}

fn finding(
    site: &Site,
    severity: Severity,
    title: &str,
    parts: Vec<(Place, LineId, Vec<Stretch>)>,
) -> Option<Finding> {
    let length_m: f64 = parts.iter().map(|(_, _, parts)| total_m(parts)).sum();
    let message = format!("{} of pipe may lower water across the boundary.", site.length(length_m));
    let places: Vec<Place> = parts.iter().map(|(place, ..)| place.clone()).collect();
    let first = places.first()?.at;
    let of_lines: Vec<(LineId, Vec<Stretch>)> = parts.into_iter().map(|(_, id, parts)| (id, parts)).collect();
    let found = Finding::new(&RULE, severity, first, title.into(), message).gathers(places);
    Some(found.offers(move |site| sealed(site, &of_lines).into_iter().collect()))
}

/// Offers solid pipe along the boundary on all the lines.
fn sealed<'s>(site: &'s Site, of_lines: &[(LineId, Vec<Stretch>)]) -> Option<Offer<'s>> {
    let mut changes = Vec::new();
    let mut words = Vec::new();
    for (id, parts) in of_lines {
        let (said, laid) = laid(site, site.plan.lines.get(id)?, parts, Solid::default(), 0.0);
        words.push(said);
        changes.push(Change::Line(*id, Some(laid)));
    }
    Some(Offer::One(Edit { label: format!("Lay solid pipe {}", measure::listed(&words)), changes }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, along};

    /// The main runs 30 ft inside the south side, and 60 ft inside; then that side is a neighbour's.
    #[test]
    fn thirty_feet_inside() {
        let mut job = Job::new();
        job.main(300.0);
        job.field(&[(-100.0, -60.0), (400.0, -60.0), (400.0, 300.0), (-100.0, 300.0)]);
        assert!(job.found(&RULE).is_empty());
        job.field(&[(-100.0, -30.0), (400.0, -30.0), (400.0, 300.0), (-100.0, 300.0)]);
        assert_eq!(job.only(&RULE).severity, Severity::Note);
        let side = along(&[(-100.0, -30.0), (400.0, -30.0)]);
        let mark = job.mark("N1", LandmarkKind::Neighbour { agreed: false }, side);
        assert_eq!(job.only(&RULE).severity, Severity::Decide);
        job.remark(mark, LandmarkKind::Neighbour { agreed: true });
        assert!(job.found(&RULE).is_empty());
    }

    /// Two lines 30 ft inside the south and the north side; at the corner between them 20 ft of L1 lie within 50 ft of
    /// the north too. The neighbour's word in the south leaves the note in the north and says nothing of the one there.
    #[test]
    fn one_neighbours_word_is_not_the_others() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", crate::job::LATERAL, &[(300.0, 0.0), (300.0, 100.0), (0.0, 100.0)], plan::Joins::Line(m1));
        job.field(&[(-100.0, -30.0), (400.0, -30.0), (400.0, 130.0), (-100.0, 130.0)]);
        let south = along(&[(-100.0, -30.0), (400.0, -30.0)]);
        job.mark("N1", LandmarkKind::Neighbour { agreed: true }, south);
        let finding = job.only(&RULE);
        assert_eq!((finding.severity, finding.places.len()), (Severity::Note, 1));
        assert!(finding.places[0].text.starts_with("L1 "), "{}", finding.places[0].text);
        let north = along(&[(-100.0, 130.0), (400.0, 130.0)]);
        job.mark("N2", LandmarkKind::Neighbour { agreed: false }, north);
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Decide);
        assert!(finding.message.starts_with("320 ft of pipe may lower"), "{}", finding.message);
    }

    /// L1 goes round a corner, 15 ft inside the south side, whose neighbour agreed, and 20 ft inside the east side: the
    /// 230 ft along the east still count, and so do the last 30 ft of the south, which drain the east.
    #[test]
    fn a_corner_between_a_word_and_none() {
        let mut job = Job::new();
        job.field(&[(-100.0, -15.0), (320.0, -15.0), (320.0, 400.0), (-100.0, 400.0)]);
        let outlet = job.outlet("O1", (0.0, 100.0), 100.0);
        job.line("M1", crate::job::MAIN, &[(0.0, 100.0), (0.0, 0.0), (300.0, 0.0), (300.0, 230.0)], outlet);
        job.mark("N1", LandmarkKind::Neighbour { agreed: true }, along(&[(-100.0, -15.0), (320.0, -15.0)]));
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Note);
        assert!(finding.message.starts_with("260 ft of pipe may lower"), "{}", finding.message);
    }
}
