//! The course of a line over the ground: where its stations stand and how high the ground is there.

use std::collections::BTreeMap;

use measure::{FOOT_M, Point, distance, nearest_on, path_length, point_at};
use plan::{Joins, Line, LineId, Pin, Plan};
use terrain::Ground;

use crate::{Crossing, Mark, Station};

/// Stations nearer than this are one (a thousandth of a foot would be noise in any level book).
pub(crate) const SAME_STATION_M: f64 = 1e-3;

/// A line's stations with their ground; inverts come later.
pub struct Course {
    pub length_m: f64,
    pub stations: Vec<Station>,
}

/// Distance between regular stations: 25 ft, or 10 m on a metric plan; half of what a crew stakes (50 ft, trade-practice
/// stage 21), so that a dip between two stakes is seen.
pub fn step_m(plan: &Plan) -> f64 {
    if plan.title.units.is_metric() { 10.0 } else { 25.0 * plan.title.units.length_unit().metres().max(FOOT_M) }
}

/// The course of every line, with a station wherever two cross that must clear each other.
pub fn courses(plan: &Plan, ground: Option<&Ground>, crossings: &[Crossing]) -> BTreeMap<LineId, Course> {
    let step_m = step_m(plan);
    let mut apart: BTreeMap<LineId, Vec<f64>> = BTreeMap::new();
    for crossing in crossings.iter().filter(|crossing| crossing.is_apart(plan)) {
        apart.entry(crossing.a).or_default().push(crossing.a_station_m);
        apart.entry(crossing.b).or_default().push(crossing.b_station_m);
    }
    let of_line = |(id, line): (&LineId, &Line)| {
        let crossed = apart.get(id).map_or(&[][..], Vec::as_slice);
        (*id, course(plan, *id, line, ground, step_m, crossed))
    };
    plan.lines.iter().map(of_line).collect()
}

fn course(plan: &Plan, id: LineId, line: &Line, ground: Option<&Ground>, step_m: f64, crossed: &[f64]) -> Course {
    let length_m = path_length(&line.points);
    let mut places = places(plan, id, line, length_m, step_m);
    places.extend(crossed.iter().map(|station_m| (*station_m, Mark::default())));
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let places = merge(places);
    let station = |(station_m, mark): (f64, Mark)| {
        let at = point_at(&line.points, station_m).unwrap_or(Point::new(f64::NAN, f64::NAN));
        Station { station_m, at, ground_m: ground.and_then(|g| g.elevation(at)), invert_m: None, head_m: None, mark }
    };
    Course { length_m, stations: places.into_iter().map(station).collect() }
}

/// Every place that needs a station.
fn places(plan: &Plan, id: LineId, line: &Line, length_m: f64, step_m: f64) -> Vec<(f64, Mark)> {
    let bend = Mark { bend: true, ..Mark::default() };
    let joint = Mark { joint: true, ..Mark::default() };
    let pinned = Mark { pinned: true, ..Mark::default() };
    let mut places: Vec<(f64, Mark)> = Vec::new();
    let mut so_far = 0.0;
    for (i, point) in line.points.iter().enumerate() {
        so_far += if i > 0 { distance(line.points[i - 1], *point) } else { 0.0 };
        places.push((so_far, bend));
    }
    places.extend(plan.branches(id).filter_map(|(_, branch)| {
        let (station_m, _, _) = nearest_on(&line.points, branch.downstream_end()?)?;
        Some((station_m, joint))
    }));
    places.extend(line.pins.iter().map(|pin| (pin.station_m.min(length_m), pinned)));
    let held = line.reaches.iter().flat_map(|reach| [reach.from_m, reach.to_m]);
    let standing = (line.passes.iter().map(|pass| pass.station_m))
        .chain(line.structures.iter().map(|structure| structure.station_m));
    places.extend(held.chain(standing).map(|station_m| (station_m.min(length_m), Mark::default())));
    // Cover begins to count where the solid outlet pipe ends.
    let solid_m = outlet_pipe_m(plan, line);
    places.extend((solid_m > 0.0 && solid_m < length_m).then_some((solid_m, Mark::default())));
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let regular = (length_m / step_m).ceil() as usize;
    let between = (1..regular.min(100_000)).map(|i| i as f64 * step_m).filter(|m| !stands_near(&places, *m));
    let between: Vec<(f64, Mark)> = between.map(|station_m| (station_m, Mark::default())).collect();
    places.extend(between);
    places
}

/// A station for the ground alone is left out this near to one that must be there, metres: 10 ft. A reach so short cannot
/// be dug (judgement).
const NO_REACH_M: f64 = 10.0 * FOOT_M;

/// True where one of some places, by rising station, lies near a station.
fn stands_near(places: &[(f64, Mark)], station_m: f64) -> bool {
    let after = places.partition_point(|(place_m, _)| *place_m < station_m - NO_REACH_M + SAME_STATION_M);
    places.get(after).is_some_and(|(place_m, _)| *place_m < station_m + NO_REACH_M - SAME_STATION_M)
}

/// Makes one station of places that fall together; a fixed level keeps its exact distance, and so does what is drawn
/// where no level is fixed.
fn merge(places: Vec<(f64, Mark)>) -> Vec<(f64, Mark)> {
    let mut merged: Vec<(f64, Mark)> = Vec::with_capacity(places.len());
    for (station_m, mark) in places {
        match merged.last_mut() {
            Some((last_m, last)) if station_m - *last_m < SAME_STATION_M => {
                if *last == Mark::default() || (mark.pinned && !last.pinned) {
                    *last_m = station_m;
                }
                last.bend |= mark.bend;
                last.joint |= mark.joint;
                last.pinned |= mark.pinned;
            }
            _ => merged.push((station_m, mark)),
        }
    }
    merged
}

/// Level known at a station from levels fixed by hand: straight between two, `None` beyond them.
pub fn known_level(pins: &[Pin], station_m: f64) -> Option<f64> {
    let after = pins.partition_point(|pin| pin.station_m < station_m - SAME_STATION_M);
    let high = pins.get(after)?;
    if (high.station_m - station_m).abs() <= SAME_STATION_M {
        return Some(high.invert_m);
    }
    let low = pins.get(after.checked_sub(1)?)?;
    let t = (station_m - low.station_m) / (high.station_m - low.station_m);
    Some(low.invert_m + (high.invert_m - low.invert_m) * t)
}

/// Index of the station nearest to a distance from the downstream end.
pub(crate) fn nearest_station(stations: &[Station], station_m: f64) -> usize {
    let after = stations.partition_point(|station| station.station_m < station_m);
    let before = after.saturating_sub(1);
    let away = |i: usize| stations.get(i).map_or(f64::INFINITY, |station| (station.station_m - station_m).abs());
    if away(after) < away(before) { after } else { before }
}

/// Length of solid pipe at the downstream end of a line that ends in an open outlet, metres.
pub fn outlet_pipe_m(plan: &Plan, line: &Line) -> f64 {
    match line.joins {
        Joins::Outlet(id) => plan.outlets.get(&id).map_or(0.0, |outlet| outlet.outlet_pipe_m),
        _ => 0.0,
    }
}
