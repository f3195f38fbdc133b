//! Topology of the lines: order, loops, joints and crossings.

use std::collections::BTreeSet;

use geo::line_intersection::{LineIntersection, line_intersection};
use measure::{Paths, Point, Segment, apart_deg, bearing, distance, nearest_on, segments};
use plan::{Joins, Line, LineId, Plan};

use crate::Design;

/// Ends this near each other are one place, metres (0.01 ft, the trade's tolerance at joints).
const TOUCH_M: f64 = 0.003;

/// The lines sorted so that each comes after the one it joins, and the loops found on the way, each starting at its lowest
/// id.
pub(crate) fn order(plan: &Plan) -> (Vec<LineId>, Vec<Vec<LineId>>) {
    let (mut order, mut loops) = (Vec::new(), Vec::new());
    let mut placed: BTreeSet<LineId> = BTreeSet::new();
    for id in plan.lines.keys() {
        let mut way = vec![*id];
        while let Some(next) = downstream(plan, way[way.len() - 1]) {
            if placed.contains(&next) {
                break;
            }
            if let Some(start) = way.iter().position(|on_way| *on_way == next) {
                loops.push(from_lowest(&way[start..]));
                break;
            }
            way.push(next);
        }
        order.extend(way.into_iter().rev().filter(|id| placed.insert(*id)));
    }
    (order, loops)
}

/// The line that a line's water flows into.
fn downstream(plan: &Plan, id: LineId) -> Option<LineId> {
    plan.lines.get(&id)?.flows_into()
}

fn from_lowest(ring: &[LineId]) -> Vec<LineId> {
    let lowest = (0..ring.len()).min_by_key(|i| ring[*i]).unwrap_or(0);
    ring[lowest..].iter().chain(&ring[..lowest]).copied().collect()
}

/// True if the line ends in an outlet or flows into a line that reaches one; lines come downstream first.
pub(crate) fn reaches_outlet(plan: &Plan, id: LineId, design: &Design) -> bool {
    let line = &plan.lines[&id];
    let next = line.flows_into().and_then(|next| design.lines.get(&next));
    matches!(line.joins, Joins::Outlet(_)) || next.is_some_and(|next| next.reaches_outlet)
}

/// A joint: a branch that enters a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// The line that enters.
    pub branch: LineId,
    /// The line it enters.
    pub main: LineId,
    /// Where on the main, metres from its downstream end.
    pub station_m: f64,
    /// The place on the main.
    pub at: Point,
    /// Distance of the branch's end from the main, metres; 0 for a sound joint.
    pub off_m: f64,
    /// True when the branch carries on from the main's upper end.
    pub in_line: bool,
    /// Angle between the flow of the branch and the flow of the main, degrees: 0 along, 180 against.
    pub angle_deg: f64,
    /// Invert of the branch at its end, metres; no level is known in a [`crate::Layout`].
    pub branch_invert_m: Option<f64>,
    /// Invert of the main there, metres.
    pub main_invert_m: Option<f64>,
    /// Level of the main's centre there, metres.
    pub main_centre_m: Option<f64>,
}

/// Every joint in order of branch, levels not yet known.
pub(crate) fn joints(plan: &Plan) -> Vec<Joint> {
    plan.lines.iter().filter_map(|(id, line)| joint(plan, *id, line)).collect()
}

fn joint(plan: &Plan, branch: LineId, branch_line: &Line) -> Option<Joint> {
    let main = branch_line.flows_into()?;
    let main_line = plan.lines.get(&main)?;
    let (station_m, at, off_m) = nearest_on(&main_line.points, branch_line.downstream_end()?)?;
    Some(Joint {
        branch,
        main,
        station_m,
        at,
        off_m,
        in_line: main_line.length_m() - station_m < TOUCH_M,
        angle_deg: flow_angle_deg(&branch_line.points, &main_line.points, station_m),
        branch_invert_m: None,
        main_invert_m: None,
        main_centre_m: None,
    })
}

impl Joint {
    /// Nominal inside diameters of main and branch where they meet, metres.
    pub fn sizes_m(&self, design: &Design) -> Option<(f64, f64)> {
        let main = design.lines.get(&self.main)?;
        let main = if self.in_line { main.pipe.last()? } else { main.pipe_at(self.station_m) };
        Some((main.size_m, design.lines.get(&self.branch)?.pipe.first()?.size_m))
    }

    /// The joint with the levels of a design.
    pub(crate) fn with_levels(self, design: &Design) -> Self {
        let (branch, main) = (design.lines.get(&self.branch), design.lines.get(&self.main));
        let main_invert_m = main.and_then(|main| main.at(self.station_m)?.invert_m);
        Self {
            branch_invert_m: branch.and_then(|branch| branch.stations.first()?.invert_m),
            main_invert_m,
            main_centre_m: main_invert_m
                .zip(main)
                .map(|(invert_m, main)| invert_m + main.pipe_at(self.station_m).size_m / 2.0),
            ..self
        }
    }
}

/// Angle between the flow in a branch at its end and in the main at a station, degrees.
fn flow_angle_deg(branch: &[Point], main: &[Point], station_m: f64) -> f64 {
    let mut left = station_m;
    let mut segment = 0;
    while segment + 2 < main.len() && left >= distance(main[segment], main[segment + 1]) - TOUCH_M {
        left -= distance(main[segment], main[segment + 1]);
        segment += 1;
    }
    apart_deg(bearing(branch[1], branch[0]), bearing(main[segment + 1], main[segment]))
}

/// Two lines that cross without being joined there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// The line with the lower id.
    pub a: LineId,
    /// The other line.
    pub b: LineId,
    /// Where they cross.
    pub at: Point,
    /// Station on `a`, metres.
    pub a_station_m: f64,
    /// Station on `b`, metres.
    pub b_station_m: f64,
    /// Invert of `a` above invert of `b`, metres, where both are known.
    pub a_above_b_m: Option<f64>,
}

/// The piece as the exact crossing of the library takes it.
fn shape(piece: &Segment) -> geo::Line<f64> {
    geo::Line::new((piece.a.x, piece.a.y), (piece.b.x, piece.b.y))
}

/// Every place where two lines cross, in order of ids and station, levels not yet known. Joints and ends that touch are no
/// crossings.
pub(crate) fn crossings(plan: &Plan) -> Vec<Crossing> {
    let pieces = || plan.lines.iter().flat_map(|(id, line)| segments(id.0, &line.points));
    let paths = Paths::new(pieces().collect());
    let mut crossings: Vec<Crossing> = Vec::new();
    for one in pieces() {
        let others = paths.around(&one, 0.0).into_iter().filter(|other| one.path < other.path);
        crossings.extend(others.filter_map(|other| crossing(plan, &one, other)));
    }
    crossings.sort_by(|x, y| (x.a, x.b).cmp(&(y.a, y.b)).then(x.a_station_m.total_cmp(&y.a_station_m)));
    crossings.dedup_by(|x, y| (x.a, x.b) == (y.a, y.b) && (x.a_station_m - y.a_station_m).abs() < TOUCH_M);
    crossings
}

fn crossing(plan: &Plan, one: &Segment, other: &Segment) -> Option<Crossing> {
    let LineIntersection::SinglePoint { intersection, .. } = line_intersection(shape(one), shape(other))? else {
        return None;
    };
    let at = Point::new(intersection.x, intersection.y);
    let touches = |id: LineId| {
        let line = &plan.lines[&id];
        [line.downstream_end(), line.upper_end()].into_iter().flatten().any(|end| distance(end, at) < TOUCH_M)
    };
    let (a, b) = (LineId(one.path), LineId(other.path));
    if touches(a) || touches(b) {
        return None;
    }
    let station_m = |piece: &Segment| piece.start_m + distance(piece.a, at);
    Some(Crossing { a, b, at, a_station_m: station_m(one), b_station_m: station_m(other), a_above_b_m: None })
}

impl Crossing {
    /// The crossing with the levels of a design.
    pub(crate) fn with_levels(self, design: &Design) -> Self {
        let level = |id: LineId, station_m| design.lines.get(&id)?.at(station_m)?.invert_m;
        let levels = level(self.a, self.a_station_m).zip(level(self.b, self.b_station_m));
        Self { a_above_b_m: levels.map(|(a, b)| a - b), ..self }
    }

    /// True if both lines are new and the person said that they cross without a joint.
    pub(crate) fn is_apart(&self, plan: &Plan) -> bool {
        let (Some(a), Some(b)) = (plan.lines.get(&self.a), plan.lines.get(&self.b)) else { return false };
        let is_said = a.crosses_apart.contains(&self.b) || b.crosses_apart.contains(&self.a);
        is_said && !a.kind.is_old() && !b.kind.is_old()
    }
}
