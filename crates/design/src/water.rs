//! The flow every line must carry, station by station, and its contributing areas.

mod beside;
mod fence;
mod panels;
mod piece;
mod round;
mod strips;

use std::collections::BTreeMap;

use plan::{Joins, Line, LineId, LineKind, Plan, Served, Wall};
use terrain::{Grid, Water};

pub(crate) use self::strips::KnownStrips;
use self::strips::Strips;
use crate::course::{Course, nearest_station};
use crate::topology::Joint;

/// Where water comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Origin {
    /// The land nearest to the line, at most so far to either side, metres: its strip.
    Strip(f64),
    /// A strip of a given total width, metres.
    Width(f64),
    /// The catchment: what the terrain sheds toward it.
    Catchment,
    /// An area given by hand.
    ByHand,
    /// The catchment of an inlet at a station, metres from the downstream end.
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
    /// Contributing area, square metres; 0 for seepage.
    pub area_m2: f64,
    /// Drainage coefficient: depth of water leaving that area per second, m/s.
    pub coefficient_ms: f64,
    /// Discharge, m³/s.
    pub flow_m3s: f64,
    /// Relative uncertainty of the area; 0 unless it is computed.
    pub off: f64,
}

/// The flow of one line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LineFlow {
    /// Inflows, the line's own land first.
    pub inflows: Vec<Inflow>,
    /// Discharge in the pipe above each station, measured at that station, m³/s; 0 above the upper end.
    pub through_m3s: Vec<f64>,
    /// What branches, inlets and seeps bring in at each station, m³/s.
    pub entering_m3s: Vec<f64>,
    /// Contributing area of the whole line, square metres.
    pub area_m2: f64,
    /// Factor on its capacity because its flow increases evenly along it; 1 unless that was asked for.
    pub even_factor: f64,
}

impl LineFlow {
    /// Discharge at the downstream end, m³/s.
    pub fn required_m3s(&self) -> f64 {
        self.through_m3s.first().copied().unwrap_or(0.0)
    }
}

/// More laterals than this feed a main as evenly as the soil feeds a lateral ([FAO62] p. 214).
const EVEN_LATERALS: usize = 5;

/// The flow of every line, branches before the lines they join; strips are reused from the last time if nothing near them has
/// changed.
pub(crate) fn flows(
    plan: &Plan,
    courses: &BTreeMap<LineId, Course>,
    order: &[LineId],
    joints: &[Joint],
    terrain: Option<(&Grid, &Water)>,
    known: &mut KnownStrips,
) -> BTreeMap<LineId, LineFlow> {
    let strips = Strips::of(plan, known);
    let mut flows: BTreeMap<LineId, LineFlow> = BTreeMap::new();
    for id in order.iter().rev() {
        let line = &plan.lines[id];
        let own = own_area(plan, *id, line, &courses[id], (&strips, known), terrain);
        let entering = joints.iter().filter(|joint| joint.main == *id);
        let flow = gather(plan, line, &courses[id], own, entering, &flows);
        flows.insert(*id, flow);
    }
    flows
}

/// The contributing area of the line's own land at or above each station, and its origin.
struct Own {
    origin: Origin,
    area_m2: Vec<f64>,
    off: f64,
}

fn own_area(
    plan: &Plan,
    id: LineId,
    line: &Line,
    course: &Course,
    (strips, known): (&Strips, &mut KnownStrips),
    terrain: Option<(&Grid, &Water)>,
) -> Own {
    let even = |area_m2: f64| -> Vec<f64> {
        let share = |station_m: f64| if course.length_m > 0.0 { 1.0 - station_m / course.length_m } else { 1.0 };
        course.stations.iter().map(|station| area_m2 * share(station.station_m).max(0.0)).collect()
    };
    if let LineKind::OldTile(old) = line.kind {
        let above_m2 = old.upstream_m2.unwrap_or(0.0);
        return Own { origin: Origin::OldTile, area_m2: vec![above_m2; course.stations.len()], off: 0.0 };
    }
    let (origin, area_m2) = match line.own_land() {
        Served::Carrier => (Origin::ByHand, even(0.0)),
        Served::Area(area_m2) => (Origin::ByHand, even(area_m2)),
        Served::Width(width_m) => (Origin::Width(width_m), even(width_m * course.length_m)),
        Served::Strip => {
            let strip = strips.again(id, line, &course.stations, known);
            return Own { origin: Origin::Strip(strip.reach_m), area_m2: strip.above_m2, off: strip.off };
        }
        Served::Catchment => {
            (Origin::Catchment, catchment(plan, course, matches!(line.joins, Joins::Line(_)), terrain))
        }
    };
    Own { origin, area_m2, off: 0.0 }
}

/// Flow accumulation at each station of a line in a swale: the largest found at or above it, within the distance at which a
/// line still counts as lying in its swale.
fn catchment(plan: &Plan, course: &Course, joins: bool, terrain: Option<(&Grid, &Water)>) -> Vec<f64> {
    let mut areas = vec![0.0; course.stations.len()];
    let Some((grid, water)) = terrain else { return areas };
    let reach = (plan.criteria.swale_offset_m / grid.cell_m().0).round().clamp(1.0, 10.0) as usize;
    // Near the line it joins, the accumulation found would be that line's.
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

/// Sums the inflows of a line.
fn gather<'a>(
    plan: &Plan,
    line: &Line,
    course: &Course,
    mut own: Own,
    joints: impl Iterator<Item = &'a Joint>,
    flows: &BTreeMap<LineId, LineFlow>,
) -> LineFlow {
    let coefficient_ms = plan.brief.coefficient_ms();
    let branch = |joint: &Joint| {
        (joint.branch, &plan.lines[&joint.branch], nearest_station(&course.stations, joint.station_m))
    };
    let mut branches: Vec<(LineId, &Line, usize)> = joints.map(branch).collect();
    // In order of station, so that sums do not depend on the order of drawing.
    branches.sort_by_key(|(_, _, at)| *at);
    if line.own_land() == Served::Catchment {
        // The catchments of branches in other swales are included already.
        for (branch, _, at) in branches.iter().filter(|(_, joined, _)| joined.own_land() == Served::Catchment) {
            let brought_m2 = flows.get(branch).map_or(0.0, |flow| flow.area_m2);
            own.area_m2[..*at].iter_mut().for_each(|area_m2| *area_m2 -= brought_m2.min(*area_m2));
        }
    }
    let mut flow = LineFlow {
        through_m3s: own.area_m2.iter().map(|area_m2| hydraulics::drainage_m3s(*area_m2, coefficient_ms)).collect(),
        entering_m3s: vec![0.0; own.area_m2.len()],
        area_m2: own.area_m2.first().copied().unwrap_or(0.0),
        even_factor: even_factor(plan, line, branches.len()),
        ..LineFlow::default()
    };
    if flow.area_m2 > 0.0 {
        let (origin, area_m2, off) = (own.origin, flow.area_m2, own.off);
        flow.inflows.push(Inflow { origin, area_m2, coefficient_ms, flow_m3s: area_m2 * coefficient_ms, off });
    }
    let last = course.stations.len().saturating_sub(1);
    let mut enter = |at: usize, inflow: Inflow| {
        // Inflow at a station passes through the pipe below it; at the lowest station it leaves right there.
        flow.through_m3s.iter_mut().take(at.max(1)).for_each(|through| *through += inflow.flow_m3s);
        if let Some(entering) = flow.entering_m3s.get_mut(at) {
            *entering += inflow.flow_m3s;
        }
        flow.area_m2 += inflow.area_m2;
        flow.inflows.push(inflow);
    };
    for structure in &line.structures {
        if let Some(catching) = structure.kind.catching() {
            let coefficient_ms = catching.coefficient_ms.unwrap_or(coefficient_ms);
            let (origin, area_m2) = (Origin::Inlet(structure.station_m), catching.area_m2);
            let flow_m3s = area_m2 * coefficient_ms;
            let inflow = Inflow { origin, area_m2, coefficient_ms, flow_m3s, off: 0.0 };
            enter(nearest_station(&course.stations, structure.station_m), inflow);
        }
    }
    if line.seepage_m3s > 0.0 {
        let flow_m3s = line.seepage_m3s;
        enter(last, Inflow { origin: Origin::Seepage, area_m2: 0.0, coefficient_ms: 0.0, flow_m3s, off: 0.0 });
    }
    for (branch, _, at) in branches {
        // In a loop a branch may not have been visited yet; the loop itself is a finding.
        let Some(joined) = flows.get(&branch) else { continue };
        let (origin, area_m2) = (Origin::Branch(branch), joined.area_m2);
        enter(at, Inflow { origin, area_m2, coefficient_ms, flow_m3s: joined.required_m3s(), off: 0.0 });
    }
    flow
}

fn even_factor(plan: &Plan, line: &Line, branches: usize) -> f64 {
    match line.wall {
        _ if !plan.brief.even_inflow || (1..=EVEN_LATERALS).contains(&branches) => 1.0,
        Wall::Corrugated => hydraulics::EVEN_INFLOW_ROUGH,
        Wall::Smooth | Wall::Rigid => hydraulics::EVEN_INFLOW_SMOOTH,
    }
}
