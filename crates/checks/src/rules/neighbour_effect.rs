//! Check 130, lateral effect over the boundary.

use measure::{FOOT_M, Point, nearest_on};
use plan::LandmarkKind;

use super::marks::{Near, near, near_boundary};
use super::soil::served_m;
use crate::stretch::without;
use crate::{Finding, Place, Rule, Severity, Site};

/// A side of the field is the marked one where the mark lies this near to it, metres: 10 ft (judgement).
const SAME_SIDE_M: f64 = 10.0 * FOOT_M;

/// Way to the outlet on which the boundary must be met, metres: that of check 63.
fn at_outlet_m(site: &Site, near: &Near) -> f64 {
    if matches!(near.line.joins, plan::Joins::Outlet(_)) { site.plan.criteria.outlet_reach_m } else { 0.0 }
}

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 130,
    slug: "neighbour-effect",
    title: "Lateral effect over the boundary",
    manual: "Perforated pipe so near to the boundary that it may lower the water table beyond: nearer than the distance it \
             drains, half the computed spacing or 50 ft. To decide along a boundary marked as a neighbour's, a note \
             along the other sides; a side whose neighbour agreed does not count, nor does the way to an outlet. From \
             memory. One of each weight for the plan.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let marked = site.marks(|mark| matches!(mark.kind, LandmarkKind::Neighbour { agreed: false }));
    let widest_m = site.new_lines().map(|(_, _, worked)| served_m(site, worked)).fold(0.0, f64::max);
    let marked = marked.flat_map(|(_, mark)| parts(site, near(site, &mark.outline, widest_m), |_, _| true)).collect();
    let sides: Vec<Vec<Point>> = site
        .marks(|mark| matches!(mark.kind, LandmarkKind::Neighbour { .. }))
        .map(|(_, m)| m.outline.path())
        .collect();
    let is_other = |at: Point, away_m: f64| {
        let apart = |side: &Vec<Point>| nearest_on(side, at).is_none_or(|(.., to_m)| to_m > away_m + SAME_SIDE_M);
        sides.iter().all(apart)
    };
    let other = parts(site, near_boundary(site, widest_m), is_other);
    let weights = [(Severity::Decide, marked), (Severity::Note, other)];
    weights.into_iter().filter_map(|(severity, parts)| finding(site, severity, parts)).collect()
}

/// Perforated parts of lines that drain land beyond what they are near: the place and its length, metres. A part counts
/// where `wanted` says so of its nearest place and its distance there.
fn parts(site: &Site, lines: Vec<Near>, wanted: impl Fn(Point, f64) -> bool) -> Vec<(Place, f64)> {
    let of_line = |mut near: Near| {
        let (reach_m, skipped_m) = (served_m(site, near.worked), at_outlet_m(site, &near));
        let id = near.id;
        near.parts.retain(|part| part.worst <= reach_m && wanted(site.point(id, part.worst_m), part.worst));
        near.parts = if skipped_m > 0.0 { without(&near.parts, -1.0, skipped_m) } else { near.parts };
        let near = near.perforated()?;
        let part = near.nearest()?;
        let (extent, length_m) = (near.extent(), near.length_m());
        let length = site.units().length(length_m);
        Some((site.place(id, extent, part.worst_m.clamp(extent.0, extent.1), &length), length_m))
    };
    lines.into_iter().filter_map(of_line).collect()
}

fn finding(site: &Site, severity: Severity, parts: Vec<(Place, f64)>) -> Option<Finding> {
    let length_m: f64 = parts.iter().map(|(_, length_m)| length_m).sum();
    let message = format!(
        "{} may lower water across the boundary. Move it, use solid pipe, or note the neighbour's word.",
        site.units().length(length_m)
    );
    let title = "Drains near the boundary".to_string();
    let places: Vec<Place> = parts.into_iter().map(|(place, _)| place).collect();
    let first = places.first()?.at;
    Some(Finding::new(&RULE, severity, first, title, message).gathers(places))
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

    /// Lines 30 ft inside the south and the north side, 20 ft of whose corner lie within 50 ft too: a neighbour's word in the south leaves the note in the north,
    /// and says nothing of the neighbour there.
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
        assert!(finding.message.starts_with("320 ft may lower"), "{}", finding.message);
    }
}
