//! Where new lines come near marks on the land and cross them; what the checks of place share.

use std::collections::BTreeMap;

use design::LineDesign;
use measure::{Paths, Point, Segment, extent, ring_holds, segments};
use plan::{Line, LineId, Outline, Stretch as Pipe};

use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{Stretch, join, without};
use crate::{Site, stretch};

/// A new line and the parts of it that come near something.
pub(crate) struct Near<'a> {
    pub id: LineId,
    pub line: &'a Line,
    pub worked: &'a LineDesign,
    /// The parts; `worst` is the least distance, metres.
    pub parts: Vec<Stretch>,
}

impl Near<'_> {
    /// The part that comes nearest.
    pub fn nearest(&self) -> Option<&Stretch> {
        stretch::worst(&self.parts)
    }

    /// Length of the parts together, metres.
    pub fn length_m(&self) -> f64 {
        stretch::total_m(&self.parts)
    }

    /// From the lowest to the highest station of the parts, metres.
    pub fn extent(&self) -> (f64, f64) {
        let from_m = self.parts.first().map_or(0.0, |part| part.from_m);
        (from_m, self.parts.iter().map(|part| part.to_m).fold(from_m, f64::max))
    }

    /// Leaves only the parts without solid pipe; the outlet pipe is solid.
    pub fn perforated(mut self) -> Option<Self> {
        self.parts = perforated(self.line, self.worked, self.parts);
        (!self.parts.is_empty()).then_some(self)
    }
}

/// New lines within reach of an outline, by name; whatever lies in an area is within reach of it.
pub(crate) fn near<'a>(site: &Site<'a>, outline: &Outline, reach_m: f64) -> Vec<Near<'a>> {
    let edges = segments(0, &outline.path());
    let mut parts = parts_of_all(site, &edges, reach_m, |_, _| true);
    if let Outline::Around(ring) = outline {
        inside(site, ring, &edges, &mut parts);
    }
    by_line(site, parts)
}

/// New lines that run along a course within reach of it, by name; what crosses it does not.
pub(crate) fn beside<'a>(site: &Site<'a>, course: &[Point], reach_m: f64) -> Vec<Near<'a>> {
    by_line(site, parts_of_all(site, &segments(0, course), reach_m, Segment::runs_along))
}

/// The parts of lines within reach of edges, where a piece and an edge count together.
fn parts_of_all(
    site: &Site,
    edges: &[Segment],
    reach_m: f64,
    count: impl Fn(&Segment, &Segment) -> bool,
) -> BTreeMap<LineId, Vec<Stretch>> {
    let reach_m = reach_m + LEVEL_TOLERANCE_M;
    let mut parts: BTreeMap<LineId, Vec<Stretch>> = BTreeMap::new();
    for edge in edges {
        for own in site.pieces.around(edge, reach_m).into_iter().filter(|own| count(own, edge)) {
            parts.entry(LineId(own.path)).or_default().extend(parts_near(own, edge, reach_m));
        }
    }
    parts
}

/// New lines that come as near to an edge as their reach says, by name.
pub(crate) fn near_edges<'a>(site: &Site<'a>, edges: &Paths, reach_m: impl Fn(&LineDesign) -> f64) -> Vec<Near<'a>> {
    let parts = site.new_lines().map(|(id, line, worked)| {
        let reach_m = reach_m(worked) + LEVEL_TOLERANCE_M;
        let of_piece = |own: Segment| {
            let edges = edges.reached(&own, reach_m).into_iter();
            edges.flat_map(move |edge| parts_near(&own, edge, reach_m)).collect::<Vec<_>>()
        };
        (id, segments(id.0, &line.points).into_iter().flat_map(of_piece).collect())
    });
    by_line(site, parts.collect())
}

/// The parts of a piece within reach of an edge.
pub(crate) fn parts_near(own: &Segment, edge: &Segment, reach_m: f64) -> impl Iterator<Item = Stretch> + use<> {
    let (nearest_m, apart_m) = own.nearest_to(edge);
    let start_m = own.start_m;
    own.reaches(edge, reach_m).map(move |(from_m, to_m)| Stretch {
        from_m: start_m + from_m,
        to_m: start_m + to_m,
        worst_m: start_m + nearest_m.clamp(from_m, to_m),
        worst: apart_m,
    })
}

/// The parts of lines inside a ring.
fn inside(site: &Site, ring: &[Point], edges: &[Segment], parts: &mut BTreeMap<LineId, Vec<Stretch>>) {
    let Some((low, high)) = extent(ring.iter().copied()) else { return };
    let diagonal = Segment::new(low, high);
    for own in site.pieces.around(&diagonal, 0.0) {
        let mut cuts: Vec<f64> = edges.iter().filter_map(|edge| Some(own.crossing(edge)?.0)).collect();
        cuts.extend([0.0, own.length_m()]);
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0]) {
            let middle_m = (pair[0] + pair[1]) / 2.0;
            let at = measure::along(own.a, own.b, middle_m / own.length_m());
            if ring_holds(ring, at) {
                let (from_m, to_m) = (own.start_m + pair[0], own.start_m + pair[1]);
                let part = Stretch { from_m, to_m, worst_m: own.start_m + middle_m, worst: 0.0 };
                parts.entry(LineId(own.path)).or_default().push(part);
            }
        }
    }
}

fn by_line<'a>(site: &Site<'a>, parts: BTreeMap<LineId, Vec<Stretch>>) -> Vec<Near<'a>> {
    let mut found: Vec<Near<'a>> = parts
        .into_iter()
        .filter(|(id, parts)| !parts.is_empty() && !site.is_old(*id))
        .filter_map(|(id, mut parts)| {
            let (line, worked) = site.line(id)?;
            parts.sort_by(|x, y| x.from_m.total_cmp(&y.from_m).then(x.to_m.total_cmp(&y.to_m)));
            Some(Near { id, line, worked, parts: join(parts, LEVEL_TOLERANCE_M) })
        })
        .collect();
    found.sort_by_key(|near| site.rank(near.id));
    found
}

/// A place where a new line crosses something.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hit {
    pub id: LineId,
    pub station_m: f64,
    pub at: Point,
}

/// Where new lines cross a path, by name and station.
pub(crate) fn crossings(site: &Site, path: &[Point]) -> Vec<Hit> {
    let mut hits: Vec<Hit> = Vec::new();
    for edge in segments(0, path) {
        let pieces = site.pieces.around(&edge, 0.0).into_iter().filter(|own| !site.is_old(LineId(own.path)));
        hits.extend(pieces.filter_map(|own| {
            let (along_m, at) = own.crossing(&edge)?;
            Some(Hit { id: LineId(own.path), station_m: own.start_m + along_m, at })
        }));
    }
    hits.sort_by(|x, y| site.rank(x.id).cmp(&site.rank(y.id)).then(x.station_m.total_cmp(&y.station_m)));
    // A crossing at a bend is met by two pieces.
    hits.dedup_by(|x, y| x.id == y.id && (x.station_m - y.station_m).abs() < 1e-6);
    hits
}

/// The parts that are not laid in pipe of a kind.
pub(crate) fn without_pipe(line: &Line, parts: Vec<Stretch>, is_kind: impl Fn(&Pipe) -> bool) -> Vec<Stretch> {
    let laid = line.stretches.iter().filter(|pipe| is_kind(pipe));
    let left = laid.fold(parts, |left, pipe| without(&left, pipe.from_m, pipe.to_m));
    left.into_iter().filter(|part| part.length_m() > LEVEL_TOLERANCE_M + 1e-9).collect()
}

/// The parts that are laid in perforated pipe.
pub(crate) fn perforated(line: &Line, worked: &LineDesign, parts: Vec<Stretch>) -> Vec<Stretch> {
    let outlet = without(&parts, -1.0, worked.outlet_pipe_m);
    without_pipe(line, if worked.outlet_pipe_m > 0.0 { outlet } else { parts }, |pipe| pipe.solid)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, along, around, at};
    use measure::FOOT_M;

    fn feet(parts: &[Stretch]) -> Vec<(f64, f64, f64)> {
        let round = |m: f64| (m / FOOT_M * 10.0).round() / 10.0;
        parts.iter().map(|part| (round(part.from_m), round(part.to_m), round(part.worst))).collect()
    }

    /// M1 along the x axis, 300 ft: a point 30 ft aside, a course across, an area over part of it.
    #[test]
    fn parts_near_a_place_a_course_and_an_area() {
        let mut job = Job::new();
        job.main(300.0);
        let design = job.design();
        let land = land::Land::default();
        let site = Site::new(&job.plan, &design, &land);
        let parts = |outline: &Outline, reach_ft: f64| feet(&near(&site, outline, reach_ft * FOOT_M)[0].parts);
        assert_eq!(parts(&at(100.0, 30.0), 50.0), [(60.0, 140.0, 30.0)]);
        assert_eq!(parts(&along(&[(200.0, -10.0), (200.0, 90.0)]), 5.0), [(195.0, 205.0, 0.0)]);
        assert_eq!(parts(&around(50.0, -40.0, 150.0, 40.0), 0.0), [(50.0, 150.0, 0.0)]);
        assert!(near(&site, &at(100.0, 60.0), 50.0 * FOOT_M).is_empty());
        let hits = crossings(&site, &around(50.0, -40.0, 150.0, 40.0).path());
        assert_eq!(hits.iter().map(|hit| (hit.station_m / FOOT_M).round()).collect::<Vec<_>>(), [50.0, 150.0]);
    }

    /// Of 60 to 140 ft, 100 to 120 ft are solid; the outlet pipe of 20 ft is solid by itself.
    #[test]
    fn solid_pipe_is_no_perforated_pipe() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let pipe = |from_ft: f64, to_ft: f64| Pipe {
            from_m: from_ft * FOOT_M,
            to_m: to_ft * FOOT_M,
            solid: true,
            heavy: false,
            must_be_solid: false,
            plugged: false,
            ..Pipe::default()
        };
        job.change(m1, |line| *line = line.with_stretch(pipe(100.0, 120.0)));
        let design = job.design();
        let land = land::Land::default();
        let site = Site::new(&job.plan, &design, &land);
        let near = |x: f64| near(&site, &at(x, 30.0), 50.0 * FOOT_M).remove(0).perforated().map(|n| feet(&n.parts));
        let part = |from: f64, to: f64, worst: f64| (from, to, worst);
        assert_eq!(near(100.0), Some(vec![part(60.0, 100.0, 30.0), part(120.0, 140.0, 30.0)]));
        assert_eq!(near(0.0), Some(vec![part(20.0, 40.0, 30.0)]));
    }
}
