//! The course of a line: the ground profile along it, and the stations at which the pipe may change its grade.

use std::collections::BTreeMap;
use std::sync::Arc;

use measure::{FOOT_M, Point, distance, nearest_on, path_length, point_at};
use plan::{Joins, Line, LineId, Pin, Plan};
use terrain::{Ground, Piece, Profile};

use crate::{Mark, Station, pipe};

/// Stations nearer than this are merged (a thousandth of a foot is below any level book's resolution).
pub(crate) const SAME_STATION_M: f64 = 1e-3;

/// A line on the ground, without inverts.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Length on the plan, metres.
    pub length_m: f64,
    /// The exact ground profile along it.
    pub ground: Arc<Profile>,
    /// Stations where the pipe may change its grade: stakes, bends, joints, structures, control points.
    pub stations: Vec<Station>,
    /// The ground between each station and the next.
    pub spans: Arc<[Span]>,
}

/// The ground between two neighbouring stations, reduced to what matters for a straight pipe.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Span {
    /// Vertices of the highest convex polyline below the ground, as station and level, metres: a straight pipe under it is
    /// under the ground.
    pub floor: Vec<(f64, f64)>,
    /// Vertices of the lowest concave polyline above the ground: a straight pipe at a depth below it is no deeper below the
    /// ground.
    pub roof: Vec<(f64, f64)>,
    /// The part of the ground attributed to the lower and to the upper station, each place in proportion to its nearness.
    pub part: [Part; 2],
}

/// The ground attributed to a station.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Part {
    /// Length of line with ground that the station represents, metres.
    pub length_m: f64,
    /// That length times the mean height of the ground above the straight line between the grounds at the two stations,
    /// square metres. Summed over all stations, their grounds and these heights give the area under the ground exactly.
    pub over_m2: f64,
}

/// Courses from the last time, by line.
#[derive(Debug, Clone, Default)]
pub(crate) struct Known {
    ground: Option<u64>,
    lines: BTreeMap<LineId, KnownLine>,
}

/// The course of every line; reused from the last time if ground and line are the same.
pub(crate) fn courses(plan: &Plan, ground: Option<&Ground>, known: &mut Known) -> BTreeMap<LineId, Course> {
    let of_ground = ground.map(Ground::number);
    let mut before = std::mem::take(known);
    if before.ground != of_ground {
        before.lines.clear();
    }
    known.ground = of_ground;
    let mut of_line = |(id, line): (&LineId, &Line)| {
        let course = course(plan, *id, line, ground, before.lines.remove(id));
        let stations = course.stations.iter().map(|station| station.station_m).collect();
        known.lines.insert(*id, (line.points.clone(), course.ground.clone(), stations, course.spans.clone()));
        (*id, course)
    };
    plan.lines.iter().map(&mut of_line).collect()
}

type KnownLine = (Vec<Point>, Arc<Profile>, Vec<f64>, Arc<[Span]>);

fn course(plan: &Plan, id: LineId, line: &Line, ground: Option<&Ground>, known: Option<KnownLine>) -> Course {
    let length_m = path_length(&line.points);
    let known = known.filter(|(points, ..)| *points == line.points);
    let profile = match &known {
        Some((_, profile, ..)) => profile.clone(),
        None => Arc::new(ground.map(|ground| Profile::along(ground, &line.points)).unwrap_or_default()),
    };
    let station = |(station_m, mark): (f64, Mark)| {
        let at = point_at(&line.points, station_m).unwrap_or(Point::new(f64::NAN, f64::NAN));
        Station { station_m, at, ground_m: profile.level(station_m), invert_m: None, step_m: 0.0, head_m: None, mark }
    };
    let stations: Vec<Station> =
        merge(places(plan, (id, line), length_m, &profile)).into_iter().map(station).collect();
    let same = |stations_m: &[f64]| stations_m.iter().copied().eq(stations.iter().map(|s| s.station_m));
    let spans = match known.filter(|(_, _, stations_m, _)| same(stations_m)) {
        Some((.., spans)) => spans,
        None => spans(&profile, &stations),
    };
    Course { length_m, ground: profile, stations, spans }
}

/// The ground between each station and the next.
fn spans(profile: &Profile, stations: &[Station]) -> Arc<[Span]> {
    stations.windows(2).map(|pair| Span::of(profile, pair[0].station_m, pair[1].station_m)).collect()
}

/// Every place where the pipe may change its grade, by rising station.
fn places(plan: &Plan, (id, line): (LineId, &Line), length_m: f64, ground: &Profile) -> Vec<(f64, Mark)> {
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
    let built = line.structures.iter().map(|structure| structure.station_m);
    // Where the ground ends, so do the levels that depend on it.
    let edges = if ground.pieces().is_empty() { Vec::new() } else { ground.gaps(length_m) };
    let edges = edges.iter().flat_map(|gap| [gap.0, gap.1]);
    let others = held.chain(built).chain(edges).chain(pipe::changes_m(line));
    places.extend(others.map(|station_m| (station_m.min(length_m), Mark::default())));
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let every_m = plan.criteria.staking_m;
    let regular = (length_m / every_m).ceil() as usize;
    let between = (1..regular.min(100_000)).map(|i| i as f64 * every_m).filter(|m| !stands_near(&places, *m));
    let between: Vec<(f64, Mark)> = between.map(|station_m| (station_m, Mark::default())).collect();
    places.extend(between);
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    places
}

/// A regular stake is left out within this distance of another station, metres: 10 ft. So short a reach cannot be dug
/// (judgement).
const NO_REACH_M: f64 = 10.0 * FOOT_M;

/// True if one of some places, sorted by station, is near a station.
fn stands_near(places: &[(f64, Mark)], station_m: f64) -> bool {
    let after = places.partition_point(|(place_m, _)| *place_m < station_m - NO_REACH_M + SAME_STATION_M);
    places.get(after).is_some_and(|(place_m, _)| *place_m < station_m + NO_REACH_M - SAME_STATION_M)
}

/// Merges places at the same station; a control point keeps its exact station, and otherwise a drawn point does.
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

/// Largest distance between places at which [`Course::with_ground`] asks for levels, metres: errors of a survey are
/// correlated over longer distances (own choice).
const ASKED_M: f64 = 5.0;

impl Course {
    /// The place on the plan at a station.
    pub fn at(&self, station_m: f64) -> Point {
        let after = self.stations.partition_point(|station| station.station_m < station_m);
        let high = self.stations.get(after).or(self.stations.last());
        let low = self.stations.get(after.saturating_sub(1));
        let Some((low, high)) = low.zip(high) else { return Point::new(f64::NAN, f64::NAN) };
        let length_m = high.station_m - low.station_m;
        let share = if length_m > 0.0 { ((station_m - low.station_m) / length_m).clamp(0.0, 1.0) } else { 0.0 };
        measure::along(low.at, high.at, share)
    }

    /// The same course over other ground: `level` returns the new ground level for a station, its place and the former level.
    ///
    /// It is evaluated at both ends of every piece of the profile and at least every 5 m along it. Between these places the
    /// change of level is interpolated linearly, and the curvature of a piece stays.
    pub(crate) fn with_ground(&self, level: impl Fn(f64, Point, f64) -> f64) -> Self {
        let more_m = |station_m: f64, level_m: f64| level(station_m, self.at(station_m), level_m) - level_m;
        let raised = |piece: Piece| {
            let (low_m, high_m) = (more_m(piece.from_m, piece.level_m), more_m(piece.to_m, piece.at(piece.to_m)));
            let slope = piece.slope + (high_m - low_m) / piece.length_m();
            Piece { level_m: piece.level_m + low_m, slope, ..piece }
        };
        let ground = Arc::new(Profile::of(self.ground.pieces().iter().flat_map(cut).map(raised).collect()));
        let mut stations = self.stations.clone();
        stations.iter_mut().for_each(|station| station.ground_m = ground.level(station.station_m));
        Self { length_m: self.length_m, spans: spans(&ground, &stations), ground, stations }
    }
}

/// Cuts a piece of ground into equal parts no longer than [`ASKED_M`].
fn cut(piece: &Piece) -> impl Iterator<Item = Piece> + use<> {
    let piece = *piece;
    let parts = (piece.length_m() / ASKED_M).ceil().clamp(1.0, 1e5);
    let end_m = move |k: usize| piece.from_m + piece.length_m() * k as f64 / parts;
    (0..parts as usize).filter_map(move |k| match parts {
        1.0 => Some(piece),
        _ => piece.part(end_m(k), end_m(k + 1)),
    })
}

impl Span {
    /// The ground between two stations.
    fn of(profile: &Profile, from_m: f64, to_m: f64) -> Self {
        let mut part = [Part::default(); 2];
        let (low, high) = (profile.level(from_m), profile.level(to_m));
        // If ground is known at one end only, the straight line is level.
        let chord = Piece::straight((from_m, low.or(high).unwrap_or(0.0)), (to_m, high.or(low).unwrap_or(0.0)));
        for piece in profile.between(from_m, to_m).map(|piece| piece.less(&chord)) {
            let nearness = |station_m: f64| (station_m - from_m) / (to_m - from_m);
            let ends = (nearness(piece.from_m), nearness(piece.to_m));
            part[0].add(&piece, 1.0 - ends.0, 1.0 - ends.1);
            part[1].add(&piece, ends.0, ends.1);
        }
        Self { floor: floor(profile, from_m, to_m), roof: roof(profile, from_m, to_m), part }
    }
}

impl Part {
    /// Adds a piece of ground weighted by a share that changes linearly along it.
    fn add(&mut self, piece: &Piece, from: f64, to: f64) {
        let (length_m, gain) = (piece.length_m(), (to - from) / piece.length_m());
        // The integral of (from + gain t) (level + slope t + bend t²) from 0 to the length.
        let (a, b, c, d) = (
            from * piece.level_m,
            from * piece.slope + gain * piece.level_m,
            from * piece.bend + gain * piece.slope,
            gain * piece.bend,
        );
        self.length_m += (from + to) / 2.0 * length_m;
        self.over_m2 += length_m * (a + length_m * (b / 2.0 + length_m * (c / 3.0 + length_m * d / 4.0)));
    }
}

/// Tolerance of the polyline that replaces a curved piece, metres; on the safe side.
const OFF_M: f64 = 1e-3;

/// Vertices of the highest convex polyline below the ground between two stations: station and level, metres.
///
/// A concave-up piece of ground is replaced by tangents at its ends and between, which lie below it: by at most `bend ×
/// (length / 2)²`, where two of them meet.
pub fn floor(profile: &Profile, from_m: f64, to_m: f64) -> Vec<(f64, f64)> {
    let mut corners: Vec<(f64, f64)> = Vec::new();
    for piece in profile.between(from_m, to_m) {
        let deepest_m = piece.bend * piece.length_m() * piece.length_m() / 4.0;
        let parts = (deepest_m / OFF_M).max(0.0).sqrt().ceil().max(1.0);
        let length_m = piece.length_m() / parts;
        for k in 0..parts as usize {
            let start_m = piece.from_m + length_m * k as f64;
            add_convex(&mut corners, (start_m, piece.at(start_m)));
            if piece.bend > 0.0 {
                let middle_m = start_m + length_m / 2.0;
                add_convex(&mut corners, (middle_m, piece.at(middle_m) - piece.bend * length_m * length_m / 4.0));
            }
        }
        add_convex(&mut corners, (piece.to_m, piece.at(piece.to_m)));
    }
    corners
}

/// Vertices of the lowest concave polyline above the ground between two stations: station and level, metres.
pub fn roof(profile: &Profile, from_m: f64, to_m: f64) -> Vec<(f64, f64)> {
    let turned = Profile::of(profile.between(from_m, to_m).map(|piece| piece.turned()).collect());
    floor(&turned, from_m, to_m).into_iter().map(|(station_m, level_m)| (station_m, -level_m)).collect()
}

/// Adds a vertex to a convex polyline and removes those left above it (Andrew 1979, Another efficient algorithm for convex
/// hulls in two dimensions, Information Processing Letters 9).
fn add_convex(corners: &mut Vec<(f64, f64)>, new: (f64, f64)) {
    while let [.., before, last] = corners.as_slice() {
        let turn = (last.0 - before.0) * (new.1 - before.1) - (last.1 - before.1) * (new.0 - before.0);
        if turn > 0.0 {
            break;
        }
        corners.pop();
    }
    match corners.last_mut().filter(|last| last.0 >= new.0) {
        Some(last) => last.1 = last.1.min(new.1),
        None => corners.push(new),
    }
}

/// Level at a station interpolated between control points; `None` beyond them.
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A dip 1.5 m deep and 16 m wide half-way between two stations 40 m apart on level ground: the line under it goes
    /// straight to the bottom and back.
    #[test]
    fn a_dip_is_a_corner() {
        let dip = [(0.0, 10.0), (12.0, 10.0), (20.0, 8.5), (28.0, 10.0), (40.0, 10.0)];
        let profile = Profile::through(&dip.map(|(m, level)| (m, Some(level))));
        let span = Span::of(&profile, 0.0, 40.0);
        assert_eq!(span.floor, [(0.0, 10.0), (20.0, 8.5), (40.0, 10.0)]);
        assert_eq!(span.roof, [(0.0, 10.0), (40.0, 10.0)]);
        assert!((span.part[0].length_m - 20.0).abs() < 1e-12 && (span.part[1].length_m - 20.0).abs() < 1e-12);
        // The dip takes 1.5 × 16 / 2 = 12 m² off in all, by its place half from either side.
        assert!((span.part[0].over_m2 + 6.0).abs() < 1e-9 && (span.part[1].over_m2 + 6.0).abs() < 1e-9);
    }

    /// Over a hollow curve the line lies under it and a millimetre off at most.
    #[test]
    fn tangents_lie_under_a_hollow() {
        let hollow = Piece { from_m: 0.0, to_m: 10.0, level_m: 3.0, slope: -0.2, bend: 0.02 };
        let profile = Profile::of(vec![hollow]);
        let corners = floor(&profile, 0.0, 10.0);
        for k in 0..=1000 {
            let station_m = f64::from(k) / 100.0;
            let after = corners.partition_point(|corner| corner.0 < station_m).clamp(1, corners.len() - 1);
            let line = Piece::straight(corners[after - 1], corners[after]);
            let over_m = hollow.at(station_m) - line.at(station_m);
            assert!((-1e-12..=OFF_M + 1e-12).contains(&over_m), "{over_m} at {station_m}");
        }
        assert_eq!(roof(&profile, 0.0, 10.0), [(0.0, 3.0), (10.0, 3.0)]);
    }
}
