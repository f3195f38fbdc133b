//! The water every line must carry, station by station, and where it comes from.

use std::collections::BTreeMap;

use measure::{Point, distance, nearest_on, point_at};
use plan::{Field, Joins, Line, LineId, LineKind, Plan, Served, Wall};
use rstar::{AABB, RTree, RTreeObject};
use terrain::{Grid, Water};

use crate::course::{Course, nearest_station};
use crate::tangle::Order;

/// Where water comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Origin {
    /// The strip on either side of the line.
    Strip,
    /// What the terrain sheds toward it.
    Catchment,
    /// An area typed by hand.
    ByHand,
    /// The land above an inlet at a station, metres from the downstream end.
    Inlet(f64),
    /// The land above an old tile.
    OldTile,
    /// A seep or spring.
    Seepage,
    /// Another line.
    Branch(LineId),
}

/// One inflow of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inflow {
    /// Where it comes from.
    pub origin: Origin,
    /// The land behind it, square metres; 0 for seepage.
    pub area_m2: f64,
    /// Depth of water that leaves that land in a second, m/s.
    pub coefficient_ms: f64,
    /// Discharge, m³/s.
    pub flow_m3s: f64,
}

/// The water of one line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LineFlow {
    /// What flows in, the line's own land first.
    pub inflows: Vec<Inflow>,
    /// Discharge in the pipe above each station, measured at that station, m³/s; 0 above the upper end.
    pub through_m3s: Vec<f64>,
    /// The land behind the whole line, square metres.
    pub area_m2: f64,
    /// How many times its capacity the line carries because its flow grows evenly along it; 1 unless that was asked for.
    pub even_factor: f64,
}

impl LineFlow {
    /// Discharge at the downstream end, m³/s.
    pub fn required_m3s(&self) -> f64 {
        self.through_m3s.first().copied().unwrap_or(0.0)
    }
}

/// More laterals than this feed a main as evenly as the soil feeds a lateral (FAO 62 p. 214, reference-values section
/// 1.4, secondary).
const EVEN_LATERALS: usize = 5;

/// The water of every line, branches before the lines they join.
pub(crate) fn flows(
    plan: &Plan,
    courses: &BTreeMap<LineId, Course>,
    order: &Order,
    terrain: Option<(&Grid, &Water)>,
) -> BTreeMap<LineId, LineFlow> {
    let strips = Strips::of(plan);
    let mut flows: BTreeMap<LineId, LineFlow> = BTreeMap::new();
    for id in order.sequence.iter().rev() {
        let line = &plan.lines[id];
        let own = own_area(plan, *id, line, &courses[id], &strips, terrain);
        let flow = gather(plan, *id, line, &courses[id], own, &flows);
        flows.insert(*id, flow);
    }
    flows
}

/// Land that drains into a line by itself at or above each station, and what kind of land that is.
struct Own {
    origin: Origin,
    area_m2: Vec<f64>,
}

fn own_area(
    plan: &Plan,
    id: LineId,
    line: &Line,
    course: &Course,
    strips: &Strips,
    terrain: Option<(&Grid, &Water)>,
) -> Own {
    let even = |area_m2: f64| -> Vec<f64> {
        let share = |station_m: f64| if course.length_m > 0.0 { 1.0 - station_m / course.length_m } else { 1.0 };
        course.stations.iter().map(|station| area_m2 * share(station.station_m).max(0.0)).collect()
    };
    if let LineKind::OldTile(old) = line.kind {
        let above_m2 = old.upstream_m2.unwrap_or(0.0);
        return Own { origin: Origin::OldTile, area_m2: vec![above_m2; course.stations.len()] };
    }
    let (origin, area_m2) = match line.served {
        Served::Carrier => (Origin::ByHand, even(0.0)),
        Served::Area(area_m2) => (Origin::ByHand, even(area_m2)),
        Served::Width(width_m) => (Origin::Strip, even(width_m * course.length_m)),
        Served::Strip => (Origin::Strip, strips.areas(plan, id, line, course)),
        Served::Catchment => {
            (Origin::Catchment, catchment(plan, course, matches!(line.joins, Joins::Line(_)), terrain))
        }
    };
    Own { origin, area_m2 }
}

/// Uphill area at each station of a line in a swale: the most that any place of the line at or above it gathers, seen
/// within the distance at which a line still lies in its swale.
fn catchment(plan: &Plan, course: &Course, joins: bool, terrain: Option<(&Grid, &Water)>) -> Vec<f64> {
    let mut areas = vec![0.0; course.stations.len()];
    let Some((grid, water)) = terrain else { return areas };
    let reach = (plan.criteria.swale_offset_m / grid.cell_m().0).round().clamp(1.0, 10.0) as usize;
    // Where the line comes near the one it joins, what is seen there is that one's water.
    let foot_m = if joins { (reach as f64 + 1.0) * 2f64.sqrt() * grid.cell_m().0 } else { 0.0 };
    let mut most = 0.0f64;
    for (area, station) in areas.iter_mut().zip(&course.stations).rev() {
        if station.station_m < foot_m && most > 0.0 {
            *area = most;
            continue;
        }
        let wettest = water.wettest_near(grid, station.at, reach);
        most = most.max(wettest.and_then(|at| water.uphill_area_m2(grid, at)).unwrap_or(0.0));
        *area = most;
    }
    areas
}

/// Adds up what flows into a line.
fn gather(
    plan: &Plan,
    id: LineId,
    line: &Line,
    course: &Course,
    mut own: Own,
    flows: &BTreeMap<LineId, LineFlow>,
) -> LineFlow {
    let coefficient_ms = plan.brief.coefficient_ms();
    let mut branches: Vec<(LineId, &Line, usize)> = plan
        .branches(id)
        .filter_map(|(branch, joined)| {
            let (station_m, _, _) = nearest_on(&line.points, joined.downstream_end()?)?;
            Some((branch, joined, nearest_station(&course.stations, station_m)))
        })
        .collect();
    // In order of place, so that no sum hangs on the order in which lines were drawn.
    branches.sort_by_key(|(_, _, at)| *at);
    if line.served == Served::Catchment {
        // What branches up other swales bring has been counted there.
        for (branch, _, at) in branches.iter().filter(|(_, joined, _)| joined.served == Served::Catchment) {
            let brought_m2 = flows.get(branch).map_or(0.0, |flow| flow.area_m2);
            own.area_m2[..*at].iter_mut().for_each(|area_m2| *area_m2 -= brought_m2.min(*area_m2));
        }
    }
    let mut flow = LineFlow {
        through_m3s: own.area_m2.iter().map(|area_m2| hydraulics::drainage_m3s(*area_m2, coefficient_ms)).collect(),
        area_m2: own.area_m2.first().copied().unwrap_or(0.0),
        even_factor: even_factor(plan, line, branches.len()),
        ..LineFlow::default()
    };
    if flow.area_m2 > 0.0 {
        let (origin, area_m2) = (own.origin, flow.area_m2);
        flow.inflows.push(Inflow { origin, area_m2, coefficient_ms, flow_m3s: area_m2 * coefficient_ms });
    }
    let last = course.stations.len().saturating_sub(1);
    let mut enter = |at: usize, inflow: Inflow| {
        // What enters at a station flows through the pipe below it; at the lowest one it still leaves there.
        flow.through_m3s.iter_mut().take(at.max(1)).for_each(|through| *through += inflow.flow_m3s);
        flow.area_m2 += inflow.area_m2;
        flow.inflows.push(inflow);
    };
    for structure in &line.structures {
        if let Some(catching) = structure.kind.catching() {
            let coefficient_ms = catching.coefficient_ms.unwrap_or(coefficient_ms);
            let (origin, area_m2) = (Origin::Inlet(structure.station_m), catching.area_m2);
            let inflow = Inflow { origin, area_m2, coefficient_ms, flow_m3s: area_m2 * coefficient_ms };
            enter(nearest_station(&course.stations, structure.station_m), inflow);
        }
    }
    if line.seepage_m3s > 0.0 {
        let flow_m3s = line.seepage_m3s;
        enter(last, Inflow { origin: Origin::Seepage, area_m2: 0.0, coefficient_ms: 0.0, flow_m3s });
    }
    for (branch, _, at) in branches {
        // In a ring a branch may not have been reached yet; the ring itself is a finding.
        let Some(joined) = flows.get(&branch) else { continue };
        let (origin, area_m2) = (Origin::Branch(branch), joined.area_m2);
        enter(at, Inflow { origin, area_m2, coefficient_ms, flow_m3s: joined.required_m3s() });
    }
    flow
}

fn even_factor(plan: &Plan, line: &Line, branches: usize) -> f64 {
    match line.wall {
        _ if !plan.brief.even_inflow || (1..=EVEN_LATERALS).contains(&branches) => 1.0,
        Wall::Corrugated => hydraulics::EVEN_INFLOW_ROUGH,
        Wall::Smooth => hydraulics::EVEN_INFLOW_SMOOTH,
    }
}

/// Something at which a strip ends: another line, half-way, or the field's boundary.
struct Stop {
    line: Option<LineId>,
    from: Point,
    to: Point,
}

impl RTreeObject for Stop {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners([self.from.x, self.from.y], [self.to.x, self.to.y])
    }
}

/// How wide the strips are that the lines drain.
struct Strips {
    stops: RTree<Stop>,
}

/// Distance between the places of a drawn segment at which its strip is measured, metres, and the most such places.
const SAMPLE_M: f64 = 15.0;
const MOST_SAMPLES: f64 = 8.0;

impl Strips {
    fn of(plan: &Plan) -> Self {
        let collects = |line: &Line| !line.kind.is_old() && line.served != Served::Carrier;
        let mut stops: Vec<Stop> = Vec::new();
        for (id, line) in plan.lines.iter().filter(|(_, line)| collects(line)) {
            let pieces = line.points.windows(2);
            stops.extend(pieces.map(|pair| Stop { line: Some(*id), from: pair[0], to: pair[1] }));
        }
        for ring in plan.field.iter().flat_map(Field::rings) {
            let next = ring.iter().cycle().skip(1);
            stops.extend(ring.iter().zip(next).map(|(from, to)| Stop { line: None, from: *from, to: *to }));
        }
        Self { stops: RTree::bulk_load(stops) }
    }

    /// Area of a line's own strip at or above each station, square metres.
    fn areas(&self, plan: &Plan, id: LineId, line: &Line, course: &Course) -> Vec<f64> {
        let pieces = self.pieces(plan, id, line);
        let above = |station_m: f64| {
            pieces.iter().map(|(from_m, to_m, width_m)| width_m * (to_m - from_m.max(station_m)).max(0.0)).sum()
        };
        course.stations.iter().map(|station| above(station.station_m)).collect()
    }

    /// Stretches of a line with the width of the strip there: from, to, width, metres.
    fn pieces(&self, plan: &Plan, id: LineId, line: &Line) -> Vec<(f64, f64, f64)> {
        let branches = branch_sides(plan, id, line);
        let served_m = plan.brief.served_m;
        let mut pieces = Vec::new();
        let mut start_m = 0.0;
        for pair in line.points.windows(2) {
            let length_m = distance(pair[0], pair[1]);
            let samples = (length_m / SAMPLE_M).ceil().clamp(1.0, MOST_SAMPLES);
            let step_m = length_m / samples;
            let across = Point::new((pair[0].y - pair[1].y) / length_m, (pair[1].x - pair[0].x) / length_m);
            for k in 0..samples as usize {
                let along_m = (k as f64 + 0.5) * step_m;
                let at = measure::along(pair[0], pair[1], along_m / length_m);
                let side = |sign: f64| {
                    let near = |(m, on): &(f64, f64)| on * sign > 0.0 && (m - start_m - along_m).abs() <= served_m;
                    if branches.iter().any(near) { 0.0 } else { self.half_width(id, at, across, sign, served_m) }
                };
                let from_m = start_m + k as f64 * step_m;
                pieces.push((from_m, from_m + step_m, side(1.0) + side(-1.0)));
            }
            start_m += length_m;
        }
        pieces
    }

    /// Width of the strip on one side of a place: half-way to the next line, to the boundary, or as far as a line
    /// drains.
    fn half_width(&self, id: LineId, at: Point, across: Point, sign: f64, served_m: f64) -> f64 {
        let far_m = 2.0 * served_m;
        let end = Point::new(at.x + sign * across.x * far_m, at.y + sign * across.y * far_m);
        let reach = AABB::from_corners([at.x, at.y], [end.x, end.y]);
        let near = self.stops.locate_in_envelope_intersecting(&reach).filter(|stop| stop.line != Some(id));
        let widths = near.filter_map(|stop| {
            let away_m = crossing_share(at, end, stop.from, stop.to)? * far_m;
            Some(if stop.line.is_some() { away_m / 2.0 } else { away_m })
        });
        widths.fold(served_m, f64::min)
    }
}

/// Where branches come in on a line, and on which side: station, and a number that is positive on the left of the way up.
fn branch_sides(plan: &Plan, id: LineId, line: &Line) -> Vec<(f64, f64)> {
    let side = |branch: &Line| {
        let (station_m, foot, _) = nearest_on(&line.points, branch.downstream_end()?)?;
        let ahead = point_at(&line.points, station_m + 0.1).filter(|p| distance(*p, foot) > 0.0)?;
        let up = branch.points.get(1)?;
        Some((station_m, (ahead.x - foot.x) * (up.y - foot.y) - (ahead.y - foot.y) * (up.x - foot.x)))
    };
    plan.branches(id).filter_map(|(_, branch)| side(branch)).collect()
}

/// Share of the way from `a` to `b` at which it meets the piece from `c` to `d`.
fn crossing_share(a: Point, b: Point, c: Point, d: Point) -> Option<f64> {
    let (ab, cd) = (Point::new(b.x - a.x, b.y - a.y), Point::new(d.x - c.x, d.y - c.y));
    let cross = ab.x * cd.y - ab.y * cd.x;
    let ac = Point::new(c.x - a.x, c.y - a.y);
    let (t, u) = ((ac.x * cd.y - ac.y * cd.x) / cross, (ac.x * ab.y - ac.y * ab.x) / cross);
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)).then_some(t)
}
