//! Swales as the checks see them: where they run inside the field, where they are the channel that takes the water
//! away, and where a drain lies along them. Stations run from the top of a swale down.

use std::collections::BTreeMap;

use measure::{
    Paths, Point, Segment, along, closed, crossings, distance, extent, nearest_on, path_length, point_at, ring_holds,
    segments,
};
use plan::{Decision, Evidence, LandmarkKind, Line, LineId, LineKind, OldTile, Outline};
use terrain::Swale;

use super::marks::perforated;
use super::soil::{groups, served_m};
use crate::Site;
use crate::stretch::{Stretch, join};

/// The direction of a swale is that of its chord this far up and down, metres: it winds more than it turns (judgement).
const CHORD_M: f64 = 15.0;
/// A swale is held against the boundary in parts no longer than this, metres.
const PART_M: f64 = 7.5;
/// So many pieces of a swale are looked at together.
const AT_ONCE: usize = 8;

fn stretch(from_m: f64, to_m: f64) -> Stretch {
    Stretch { from_m, to_m, worst_m: from_m, worst: 0.0 }
}

fn joined(mut parts: Vec<Stretch>) -> Vec<Stretch> {
    parts.sort_by(|x, y| x.from_m.total_cmp(&y.from_m));
    join(parts, 1e-6)
}

/// What is left of stretches when others are taken out; both in order, none over another.
pub(crate) fn less(parts: &[Stretch], taken: &[Stretch]) -> Vec<Stretch> {
    let starts = std::iter::once(f64::NEG_INFINITY).chain(taken.iter().map(|part| part.to_m));
    let ends = taken.iter().map(|part| part.from_m).chain([f64::INFINITY]);
    let gaps: Vec<Stretch> = starts.zip(ends).map(|(from_m, to_m)| stretch(from_m, to_m)).collect();
    common(parts, &gaps)
}

/// What two lists of stretches have in common; both in order, none over another.
pub(crate) fn common(one: &[Stretch], other: &[Stretch]) -> Vec<Stretch> {
    let (mut one, mut other) = (one.iter().peekable(), other.iter().peekable());
    let mut shared = Vec::new();
    while let (Some(x), Some(y)) = (one.peek(), other.peek()) {
        let part = stretch(x.from_m.max(y.from_m), x.to_m.min(y.to_m));
        let next = if x.to_m < y.to_m { &mut one } else { &mut other };
        next.next();
        shared.extend((part.length_m() > 1e-6).then_some(part));
    }
    shared
}

/// A swale as it lies in the plan.
pub(crate) struct Course<'a> {
    pub swale: &'a Swale,
    /// Parts inside the field.
    pub inside: Vec<Stretch>,
    /// Parts that are the channel which takes the water: along a drawn ditch or culvert, along the boundary, and below an
    /// outlet into the open.
    pub channel: Vec<Stretch>,
    /// Parts along which a drain lies near; between the lines of a grid, as far as they drain.
    pub drained: Vec<Stretch>,
}

/// How far the lines of grids take water out of the soil, metres, where that is farther than a swale asks.
type OfGrids = BTreeMap<LineId, f64>;

impl<'a> Course<'a> {
    /// Every swale of the site.
    pub fn all(site: &Site<'a>) -> Vec<Self> {
        let lines = groups(site).into_iter().flat_map(|group| group.lines);
        let of_line = |id: LineId| Some((id, served_m(site, site.line(id)?.1)));
        let of_grids: OfGrids = lines.filter_map(of_line).collect();
        site.land.swales.iter().map(|swale| Self::of(site, swale, &of_grids)).collect()
    }

    fn of(site: &Site, swale: &'a Swale, of_grids: &OfGrids) -> Self {
        let mut course = Self { swale, inside: Vec::new(), channel: Vec::new(), drained: Vec::new() };
        let mut came_inside: Option<bool> = None;
        // Neighbours are asked for many pieces at a time: most have the same.
        for pieces in segments(0, &swale.points).chunks(AT_ONCE) {
            course.add(site, pieces, of_grids, &mut came_inside);
        }
        course.add_ditches(site);
        course.add_outlets(site);
        course.channel = joined(course.channel);
        course.inside = joined(course.inside);
        course.drained = joined(course.drained);
        course
    }

    fn add(&mut self, site: &Site, pieces: &[Segment], of_grids: &OfGrids, came_inside: &mut Option<bool>) {
        let (near_m, side_m) = (site.plan.criteria.swale_near_m, site.plan.criteria.channel_near_m);
        let Some((low, high)) = extent(pieces.iter().flat_map(|piece| [piece.a, piece.b])) else { return };
        let all = Segment::new(low, high);
        let sides = site.sides().reached(&all, side_m);
        let reach_m = |path: u32| of_grids.get(&LineId(path)).map_or(near_m, |of_grid| of_grid.max(near_m));
        let widest_m = of_grids.values().copied().fold(near_m, f64::max);
        let near = site.pieces.reached(&all, widest_m).into_iter();
        let drains: Vec<Segment> = near.flat_map(|own| drains(site, own)).collect();
        for piece in pieces.iter().filter(|piece| piece.length_m() > 0.0) {
            let sides: Vec<&Segment> = sides.iter().copied().filter(|side| piece.may_reach(side, side_m)).collect();
            self.add_inside(site, piece, &sides, came_inside);
            self.add_boundary(site, piece, &sides);
            let near = drains.iter().map(|drain| (drain, reach_m(drain.path)));
            let near = near.filter(|(drain, reach_m)| piece.may_reach(drain, *reach_m));
            self.drained.extend(near.flat_map(|(drain, reach_m)| within(piece, drain, reach_m)));
        }
    }

    fn add_inside(&mut self, site: &Site, piece: &Segment, sides: &[&Segment], came_inside: &mut Option<bool>) {
        let mut cuts: Vec<f64> = sides.iter().filter_map(|side| Some(piece.crossing(side)?.0)).collect();
        // Where no side is crossed it goes on as it came.
        let uncut = cuts.is_empty();
        cuts.extend([0.0, piece.length_m()]);
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0]) {
            let middle = along(piece.a, piece.b, (pair[0] + pair[1]) / 2.0 / piece.length_m());
            let inside = came_inside.filter(|_| uncut).unwrap_or_else(|| site.in_field(middle));
            *came_inside = Some(inside);
            self.inside.extend(inside.then(|| stretch(piece.start_m + pair[0], piece.start_m + pair[1])));
        }
    }

    fn add_boundary(&mut self, site: &Site, piece: &Segment, sides: &[&Segment]) {
        if sides.is_empty() {
            return;
        }
        for part in piece.parts(PART_M) {
            let middle_m = part.start_m + part.length_m() / 2.0;
            let end = |off_m: f64| point_at(&self.swale.points, middle_m + off_m).unwrap_or(part.a);
            let chord = Segment::new(end(-CHORD_M), end(CHORD_M));
            let along = sides.iter().filter(|side| chord.runs_along(side));
            self.channel.extend(along.flat_map(|side| within(&part, side, site.plan.criteria.channel_near_m)));
        }
    }

    fn add_ditches(&mut self, site: &Site) {
        let near_m = site.plan.criteria.swale_near_m;
        for watercourse in site.plan.watercourses.values() {
            let ditch = Paths::new(segments(0, &watercourse.points));
            for piece in segments(0, &self.swale.points) {
                let near = ditch.reached(&piece, near_m).into_iter();
                self.channel.extend(near.flat_map(|edge| within(&piece, edge, near_m)));
            }
        }
    }

    fn add_outlets(&mut self, site: &Site) {
        let near_m = site.plan.criteria.channel_near_m;
        for outlet in site.plan.outlets.values().filter(|outlet| outlet.is_open()) {
            let met = nearest_on(&self.swale.points, outlet.at).filter(|(_, _, away_m)| *away_m <= near_m);
            let below = met.map(|(station_m, ..)| stretch(station_m, path_length(&self.swale.points)));
            self.channel.extend(below.filter(|part| part.length_m() > 0.0));
        }
    }
}

/// The parts of a piece within reach of another, by station.
fn within(piece: &Segment, other: &Segment, reach_m: f64) -> impl Iterator<Item = Stretch> + use<> {
    let start_m = piece.start_m;
    piece.reaches(other, reach_m).map(move |(from_m, to_m)| stretch(start_m + from_m, start_m + to_m))
}

/// True for a place at a drawn ditch or culvert, at an outlet into the open, or at a swale where it is the channel.
pub(crate) fn is_in_channel(site: &Site, at: Point) -> bool {
    let (near_m, outlet_m) = (site.plan.criteria.swale_near_m, site.plan.criteria.channel_near_m);
    let on = |path: &[Point]| nearest_on(path, at).filter(|(_, _, away_m)| *away_m <= near_m);
    let of_swale = |course: &Course| {
        let met = if course.channel.is_empty() { None } else { on(&course.swale.points) };
        let in_channel =
            |station_m| course.channel.iter().any(|part| part.from_m <= station_m && station_m <= part.to_m);
        met.is_some_and(|(station_m, ..)| in_channel(station_m))
    };
    site.plan.watercourses.values().any(|ditch| on(&ditch.points).is_some())
        || site.plan.outlets.values().any(|outlet| outlet.is_open() && distance(outlet.at, at) <= outlet_m)
        || site.courses().iter().any(of_swale)
}

/// Wet areas that are left as they are.
fn left_rings<'a>(site: &Site<'a>) -> impl Iterator<Item = &'a Vec<Point>> {
    site.plan.landmarks.values().filter_map(|mark| {
        let is_left = matches!(mark.kind, LandmarkKind::WetArea { leave: true, .. });
        let Outline::Around(ring) = &mark.outline else { return None };
        is_left.then_some(ring)
    })
}

/// True in a wet area that is left as it is.
pub(crate) fn is_left(site: &Site, at: Point) -> bool {
    left_rings(site).any(|ring| ring_holds(ring, at))
}

/// Parts of a swale in wet areas that are left as they are.
pub(crate) fn left(site: &Site, swale: &Swale) -> Vec<Stretch> {
    let of_ring = |ring: &Vec<Point>| {
        let met = crossings(&swale.points, &closed(ring));
        let mut cuts: Vec<f64> = met.iter().map(|(at_m, _)| *at_m).collect();
        cuts.extend([0.0, path_length(&swale.points)]);
        cuts.sort_by(f64::total_cmp);
        let middle = |pair: &&[f64]| point_at(&swale.points, (pair[0] + pair[1]) / 2.0);
        let inside = |pair: &&[f64]| middle(pair).is_some_and(|at| ring_holds(ring, at));
        cuts.windows(2).filter(inside).map(|pair| stretch(pair[0], pair[1])).collect::<Vec<_>>()
    };
    joined(left_rings(site).flat_map(of_ring).collect())
}

/// The parts of a piece of a line in which water is taken out of the soil: perforated pipe, and old tile that was seen and
/// runs.
pub(crate) fn drains(site: &Site, piece: &Segment) -> Vec<Segment> {
    let Some((line, worked)) = site.line(LineId(piece.path)) else { return Vec::new() };
    let (from_m, to_m) = (piece.start_m, piece.start_m + piece.length_m());
    let open = match line.kind {
        LineKind::OldTile(old) => {
            if runs(old) {
                vec![stretch(from_m, to_m)]
            } else {
                Vec::new()
            }
        }
        _ if is_open(line, from_m, worked.outlet_pipe_m) => return vec![*piece],
        _ => perforated(line, worked, vec![stretch(from_m, to_m)]),
    };
    open.iter().map(|part| piece.part(part.from_m, part.to_m)).collect()
}

/// True where a piece of new pipe holds no solid part, as most.
fn is_open(line: &Line, from_m: f64, outlet_pipe_m: f64) -> bool {
    line.stretches.is_empty() && from_m >= outlet_pipe_m
}

/// True for old tile that was seen, runs as far as anybody knows, and stays.
fn runs(old: OldTile) -> bool {
    let goes = [Decision::Plug, Decision::Bypass, Decision::Replace];
    let stays = old.decision.is_none_or(|decision| !goes.contains(&decision));
    old.evidence != Evidence::Suspected && old.runs != Some(false) && stays
}
