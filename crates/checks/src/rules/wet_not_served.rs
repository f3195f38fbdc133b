//! Check 77, wet area not served.

use measure::{Point, Segment, extent, ring_holds};
use plan::{Landmark, LandmarkId, LandmarkKind, Outline};

use super::marks::{near, perforated};
use super::soil::served_m;
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// Places of a wet area that are looked at, about (judgement).
const PLACES: f64 = 150.0;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 77,
    slug: "wet-not-served",
    title: "Wet area not served",
    manual: "Part of a wet area lies farther from perforated pipe than the pipe drains: half the computed spacing, or 50 ft \
             where no pit allows one. Marked \"leave\" it is silent. The area is sampled on a grid of some 150 places. A \
             judgment. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = |mark: &Landmark| matches!(mark.kind, LandmarkKind::WetArea { leave: false, .. });
    site.marks(open).filter_map(|(id, mark)| finding(site, id, mark)).collect()
}

fn finding(site: &Site, id: LandmarkId, mark: &Landmark) -> Option<Finding> {
    let Outline::Around(ring) = &mark.outline else { return None };
    let (places, each_m2) = places(ring);
    let drains = drains(site, &mark.outline);
    let served =
        |at: Point| drains.iter().any(|(piece, reach_m)| measure::distance(piece.nearest(at).1, at) <= *reach_m);
    let dry: Vec<Point> = places.iter().copied().filter(|at| !served(*at)).collect();
    let at = *dry.first()?;
    let area = site.units().some_area(dry.len() as f64 * each_m2);
    let message = format!("{area} of {} stay wet: no pipe that drains lies near enough.", mark.name);
    let title = format!("{} is not served", mark.name);
    Some(Finding::new(&RULE, Severity::Decide, at, title, message).of_landmark(id).offers(move |site| {
        let label =
            format!("Leave {} as it is", site.plan.landmarks.get(&id).map(Landmark::called).unwrap_or_default());
        let left = |mark: &mut Landmark| {
            if let LandmarkKind::WetArea { leave, .. } = &mut mark.kind {
                *leave = true;
            }
        };
        Offer::mark(site, id, label, left).into_iter().collect()
    }))
}

/// Corners and places inside a ring, and the area each stands for.
fn places(ring: &[Point]) -> (Vec<Point>, f64) {
    let Some((low, high)) = extent(ring.iter().copied()) else { return (Vec::new(), 0.0) };
    let (wide_m, tall_m) = (high.x - low.x, high.y - low.y);
    let step_m = (wide_m * tall_m / PLACES).sqrt().max(0.5);
    let count = |length_m: f64| ((length_m / step_m).ceil() as usize).clamp(1, 1_000);
    let (cols, rows) = (count(wide_m), count(tall_m));
    let place = |i: usize| {
        let (col, row) = ((i % cols) as f64 + 0.5, (i / cols) as f64 + 0.5);
        Point::new(low.x + col * wide_m / cols as f64, low.y + row * tall_m / rows as f64)
    };
    let inner = (0..cols * rows).map(place).filter(|at| ring_holds(ring, *at));
    let places: Vec<Point> = inner.chain(ring.iter().copied()).collect();
    (places, wide_m * tall_m / (cols * rows) as f64)
}

/// Pieces of perforated pipe that may drain an area, each with how far it drains, metres.
fn drains(site: &Site, outline: &Outline) -> Vec<(Segment, f64)> {
    let widest_m = site.new_lines().map(|(_, _, worked)| served_m(site, worked)).fold(0.0, f64::max);
    let mut found = Vec::new();
    for near in near(site, outline, widest_m) {
        let reach_m = served_m(site, near.worked);
        for part in perforated(near.line, near.worked, near.parts) {
            let ends = [part.from_m, part.to_m].map(|station_m| (station_m, site.point(near.id, station_m)));
            let mut bends = vec![ends[0]];
            let mut station_m = 0.0;
            for pair in near.line.points.windows(2) {
                station_m += measure::distance(pair[0], pair[1]);
                bends.extend((part.from_m < station_m && station_m < part.to_m).then_some((station_m, pair[1])));
            }
            bends.push(ends[1]);
            let piece = |pair: &[(f64, Point)]| Segment { path: 0, start_m: pair[0].0, a: pair[0].1, b: pair[1].1 };
            found.extend(bends.windows(2).map(|pair| (piece(pair), reach_m)));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, around};

    /// A wet area 20 to 45 ft north of the main is served; one that reaches 90 ft is not; "leave" silences it.
    #[test]
    fn as_far_as_a_line_drains() {
        let mut job = Job::new();
        job.main(300.0);
        job.mark("wet corner", LandmarkKind::WetArea { cause: None, leave: false }, around(100.0, 20.0, 200.0, 45.0));
        assert!(job.found(&RULE).is_empty());
        let wet = |leave| LandmarkKind::WetArea { cause: None, leave };
        let mark = job.mark("wet shoulder", wet(false), around(100.0, 20.0, 200.0, 90.0));
        assert!(job.only(&RULE).message.contains("ac of wet shoulder stay wet"));
        job.remark(mark, wet(true));
        assert!(job.found(&RULE).is_empty());
    }
}
