//! Check 130, lateral effect over the boundary.

use plan::{LandmarkKind, Outline};

use super::marks::{Near, near};
use super::soil::served_m;
use crate::stretch::without;
use crate::{Finding, Place, Rule, Severity, Site};

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
             elsewhere; the way to an outlet does not count. From memory. One for the plan.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let marked = site.marks(|mark| matches!(mark.kind, LandmarkKind::Neighbour { agreed: false }));
    let marked: Vec<Place> = marked.flat_map(|(_, mark)| places(site, &mark.outline)).collect();
    if !marked.is_empty() {
        return vec![finding(site, Severity::Decide, marked)];
    }
    let agreed = site.marks(|mark| matches!(mark.kind, LandmarkKind::Neighbour { agreed: true })).next().is_some();
    let Some(field) = site.plan.field.as_ref().filter(|_| !agreed) else { return Vec::new() };
    let mut ring = field.ring.clone();
    ring.extend(field.ring.first().copied());
    let near = places(site, &Outline::Along(ring));
    if near.is_empty() { Vec::new() } else { vec![finding(site, Severity::Note, near)] }
}

fn places(site: &Site, outline: &Outline) -> Vec<Place> {
    let widest_m = site.new_lines().map(|(_, _, worked)| served_m(site, worked)).fold(0.0, f64::max);
    let of_line = |mut near: Near| {
        let (reach_m, skipped_m) = (served_m(site, near.worked), at_outlet_m(site, &near));
        near.parts.retain(|part| part.worst <= reach_m);
        near.parts = if skipped_m > 0.0 { without(&near.parts, -1.0, skipped_m) } else { near.parts };
        let near = near.perforated()?;
        let part = near.nearest()?;
        let extent = near.extent();
        let length = site.units().length(near.length_m());
        Some(site.place(near.id, extent, part.worst_m.clamp(extent.0, extent.1), &length))
    };
    near(site, outline, widest_m).into_iter().filter_map(of_line).collect()
}

fn finding(site: &Site, severity: Severity, places: Vec<Place>) -> Finding {
    let length_m: f64 = places.iter().map(|place| place.to_m - place.from_m).sum();
    let message = format!(
        "{} may lower water across the boundary. Move it, use solid pipe, or note the neighbour's word.",
        site.units().length(length_m)
    );
    let title = "Drains near the boundary".to_string();
    Finding::new(&RULE, severity, places[0].at, title, message).gathers(places)
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
}
