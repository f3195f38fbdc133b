//! A grid of parallel laterals over the whole field, off a main along its low side.

use land::Soils;
use measure::{FOOT_M, Point, along, closed, distance, part_of, point_at};
use plan::{Change, Line, LineId, Parallel, Pattern, Plan};

use super::candidates::Way;
use super::draw::{Drawn, Into};
use super::lattice::Lattice;
use super::site::EDGE_M;
use super::{Asked, Kind, Proposal, Site};
use crate::network::{Ask, Stopped};

/// Sides of the field along which a main is tried, the lowest first (own choice).
const MOST_SIDES: usize = 3;
/// Shorter parts of a side have no main, as a share of the square root of the field ([judgement]).
const LEAST_SIDE: f64 = 0.4;
/// Of a side that runs past an outlet the part beyond it is left out where it is no more than this share of the side ([judgement]).
const SHORTER: f64 = 0.3;
/// A side is looked at so often, metres (own choice).
const LOOK_M: f64 = 3.0;

/// The grid to begin with off a main, from a place on it: as far apart as the soil there lets drains serve at the depth
/// wanted, in whole rows where it runs along rows.
pub fn usual(plan: &Plan, main: LineId, at: Point) -> Option<Parallel> {
    let depth_m = plan.criteria.target_depth_m;
    let fit_m = 2.0 * Soils::of(plan).served_m(at, depth_m);
    let grid = Parallel::usual(plan, main, at, fit_m)?;
    let step_m = grid.rows(plan).map_or(round_m(plan), |rows| rows.spacing_m);
    let spacing_m = (fit_m / step_m).floor().max(1.0) * step_m;
    Some(Parallel { spacing_m, ..grid })
}

/// What spacings off the rows are rounded to: a foot, or a quarter of a metre (own choice).
fn round_m(plan: &Plan) -> f64 {
    if plan.title.units.is_metric() { 0.25 } else { FOOT_M }
}

/// A main along a side, and what digging it costs.
struct Main {
    /// Its course, downstream.
    path: Vec<Point>,
    /// Where it begins to run along the side, from below.
    near: Point,
    outlet: usize,
    level_m: f64,
}

/// The grid whose main lies lowest; `go_on` is asked before each that is laid.
pub fn grid(asked: &Asked, outlets: &[Way], go_on: Ask) -> Result<Option<Proposal>, Stopped> {
    let mut worked: Vec<Proposal> = Vec::new();
    for main in mains(asked.site, outlets) {
        if !go_on() {
            return Err(Stopped);
        }
        worked.extend(laid(asked, &main));
    }
    // Of several the one that serves most, and of those that serve as much the cheapest.
    let order = |x: &Proposal, y: &Proposal| {
        y.served_m2.total_cmp(&x.served_m2).then(x.estimate.total().total_cmp(&y.estimate.total()))
    };
    Ok(worked.into_iter().min_by(order))
}

/// Mains along the lowest sides of the field.
fn mains(site: &Site, outlets: &[Way]) -> Vec<Main> {
    let nearest = |(a, b): (Point, Point)| beside_outlet(a, b, outlets);
    let chords: Vec<(Point, Point)> = chords(site).into_iter().map(nearest).collect();
    let ends = chords.iter().flat_map(|chord| [chord.0, chord.1]);
    let places: Vec<Point> = outlets.iter().map(|way| way.outlet.at).chain(ends).collect();
    let lattice = Lattice::of(site, &places, outlets.len());
    let from = |number: usize, other: Point| {
        let at = outlets.len() + number;
        let ways = lattice.ways_from(site, (at, site.start(places[at])?), &[], (outlets.len(), 1));
        let way = ways.into_iter().next()?;
        let path: Vec<Point> = std::iter::once(other).chain(way.path).collect();
        let start = site.start(other)?;
        let (cost, _) = site.run_down(start, &path)?;
        let near = places[at];
        let leaves = site.can_leave(outlets[way.to].outlet, start, &path);
        let level_m = level_along(site, other, near)?;
        leaves.then_some((cost, Main { path, near, outlet: way.to, level_m }))
    };
    let best = |number: usize| {
        let (one, other) = (places[outlets.len() + 2 * number], places[outlets.len() + 2 * number + 1]);
        let tried = [from(2 * number, other), from(2 * number + 1, one)];
        tried.into_iter().flatten().min_by(|x, y| x.0.total_cmp(&y.0)).map(|(_, main)| main)
    };
    let mut found: Vec<Main> = (0..chords.len()).filter_map(best).collect();
    found.sort_by(|x, y| x.level_m.total_cmp(&y.level_m));
    found
}

/// A line without what would run past an outlet and back to it, where that is the shorter part.
fn beside_outlet(a: Point, b: Point, outlets: &[Way]) -> (Point, Point) {
    let line = measure::Segment::new(a, b);
    let feet = outlets.iter().map(|way| (line.square_to(way.outlet.at), line.nearest(way.outlet.at)));
    let Some((_, (along_m, foot))) = feet.min_by(|x, y| x.0.total_cmp(&y.0)) else { return (a, b) };
    let share = along_m / line.length_m();
    match share {
        share if share < SHORTER => (foot, b),
        share if share > 1.0 - SHORTER => (a, foot),
        _ => (a, b),
    }
}

/// Lines inside the field along its sides, the lowest first.
fn chords(site: &Site) -> Vec<(Point, Point)> {
    let in_m = site.plan.criteria.channel_near_m;
    let least_m = LEAST_SIDE * site.field.area_m2().sqrt();
    let side = closed(&terrain::simplify(&closed(&site.field.ring), in_m / 2.0)[..]);
    let inward = if measure::ring_m2(&site.field.ring) >= 0.0 { 1.0 } else { -1.0 };
    let chord = |pair: &[Point]| {
        let length_m = distance(pair[0], pair[1]);
        let (x, y) = ((pair[1].x - pair[0].x) / length_m, (pair[1].y - pair[0].y) / length_m);
        let moved = |at: Point| Point::new(at.x - inward * y * in_m, at.y + inward * x * in_m);
        let found = site.longest_open(moved(pair[0]), moved(pair[1]), LOOK_M)?;
        let level_m = level_along(site, found.0, found.1)?;
        (distance(found.0, found.1) >= least_m).then_some((level_m, found))
    };
    let long = side.windows(2).filter(|pair| distance(pair[0], pair[1]) >= least_m);
    let mut chords: Vec<(f64, (Point, Point))> = long.filter_map(chord).collect();
    chords.sort_by(|x, y| x.0.total_cmp(&y.0));
    chords.into_iter().take(MOST_SIDES).map(|(_, chord)| chord).collect()
}

/// Mean level of the ground along a line, metres.
fn level_along(site: &Site, from: Point, to: Point) -> Option<f64> {
    const LOOKS: usize = 20;
    let levels: Vec<f64> =
        (0..=LOOKS).filter_map(|look| site.ground.elevation(along(from, to, look as f64 / LOOKS as f64))).collect();
    (!levels.is_empty()).then(|| levels.iter().sum::<f64>() / levels.len() as f64)
}

/// The layout of a grid off a main.
fn laid(asked: &Asked, main: &Main) -> Option<Proposal> {
    let points = main.path.iter().rev().copied().collect();
    let drawn = Drawn { points, into: Into::Outlet(main.outlet), pattern: Pattern::Targeted, gathers: false };
    let mut changes = asked.changes(vec![drawn], false);
    let with_main = asked.plan.with(&plan::Edit { label: String::new(), changes: changes.clone() });
    let id = with_main.lines.iter().find(|(_, line)| !line.kind.is_old()).map(|(id, _)| *id)?;
    let through = along(main.near, main.path[0], 0.5);
    let grid = Parallel { headland_m: EDGE_M, ..usual(&with_main, id, through)? };
    let grid = Parallel { both_sides: grid.spacing_m / 2.0 < asked.plan.criteria.channel_near_m, ..grid };
    let laterals = grid.lay(&with_main).ok()?.edit.changes;
    changes.extend(laterals.into_iter().map(|change| on_ground(asked.site, id, change)));
    asked.proposed(changes, Kind::Grid)
}

/// A lateral that ends where the ground that was read does; the main stays.
fn on_ground(site: &Site, main: LineId, change: Change) -> Change {
    let Change::Line(id, Some(line)) = change else { return change };
    if id == main {
        return Change::Line(id, Some(line));
    }
    let length_m = line.length_m();
    let looks = (0..=(length_m / LOOK_M) as usize).map(|look| look as f64 * LOOK_M).chain([length_m]);
    let known =
        looks.take_while(|at_m| point_at(&line.points, *at_m).is_some_and(|at| site.ground.elevation(at).is_some()));
    match known.last() {
        Some(known_m) if known_m < length_m => {
            let points = part_of(&line.points, 0.0, known_m);
            Change::Line(id, Some(Line { points, ..line }))
        }
        _ => Change::Line(id, Some(line)),
    }
}
