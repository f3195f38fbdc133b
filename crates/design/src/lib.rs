//! The worked-out plan: what follows from [`plan::Plan`] and [`terrain::Ground`], never stored and never edited.
//!
//! [`work_out`] gives one [`Design`] that every surface a person sees reads: map, profile, punch list, totals, files.
//! The levels come from a [`GradeRule`] working on a [`Network`]; a better method drops in there.

mod course;
mod network;
mod plain_rule;
mod survey;
mod tangle;

use std::collections::BTreeMap;

use measure::Point;
use plan::{Line, LineId, Plan};
use terrain::Ground;

pub use network::{GradeRule, Network, Run, Stake, Start};
pub use plain_rule::plain_rule;
pub use survey::{corrected, lidar_shift_m, shot_name};
pub use tangle::Crossing;

/// A place on a line where ground and pipe are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Distance from the line's downstream end, metres.
    pub station_m: f64,
    /// Where it is.
    pub at: Point,
    /// Ground level, metres; `None` where no ground was measured.
    pub ground_m: Option<f64>,
    /// Invert of the pipe, metres; `None` on old tile whose levels are not known.
    pub invert_m: Option<f64>,
    /// What is special about the place.
    pub mark: Mark,
}

/// Why a station stands where it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mark {
    /// A bend or an end as drawn.
    pub bend: bool,
    /// A branch enters here.
    pub joint: bool,
    /// The invert was fixed by hand.
    pub pinned: bool,
}

/// One line, worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct LineDesign {
    /// Length on the plan, metres.
    pub length_m: f64,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Stations from the downstream end up.
    pub stations: Vec<Station>,
    /// The flattest grade the pipe keeps itself clean at, as a ratio.
    pub least_grade: f64,
    /// True when the water of this line reaches an outlet object.
    pub reaches_outlet: bool,
    /// Length of rigid solid pipe at the downstream end, metres; 0 unless the line ends in an open outlet.
    pub outlet_pipe_m: f64,
}

/// A branch entering a line.
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
    /// Invert of the branch at its end, metres.
    pub branch_invert_m: Option<f64>,
    /// Invert of the main there, metres.
    pub main_invert_m: Option<f64>,
    /// Level of the main's centre there, metres.
    pub main_centre_m: Option<f64>,
}

/// Everything that follows from a plan and its ground.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Design {
    /// Lines by id.
    pub lines: BTreeMap<LineId, LineDesign>,
    /// Joints in order of branch.
    pub joints: Vec<Joint>,
    /// Places where two lines cross, in order of the two ids.
    pub crossings: Vec<Crossing>,
    /// Rings of lines that drain into each other, each from its lowest id.
    pub loops: Vec<Vec<LineId>>,
}

impl Station {
    /// Depth of the invert below ground, metres.
    pub fn depth_m(&self) -> Option<f64> {
        Some(self.ground_m? - self.invert_m?)
    }

    /// Soil over the top of the pipe, metres, for a pipe of that inside diameter.
    pub fn cover_m(&self, size_m: f64) -> Option<f64> {
        Some(self.depth_m()? - hydraulics::top_above_invert_m(size_m))
    }
}

impl LineDesign {
    /// Grade from station `index` up to the next, as a ratio; positive falls toward the outlet.
    pub fn grade(&self, index: usize) -> Option<f64> {
        let (low, high) = (self.stations.get(index)?, self.stations.get(index + 1)?);
        let length_m = high.station_m - low.station_m;
        (length_m > 0.0).then_some((high.invert_m? - low.invert_m?) / length_m)
    }

    /// Grade between the two ends, as a ratio.
    pub fn mean_grade(&self) -> Option<f64> {
        let (low, high) = (self.stations.first()?, self.stations.last()?);
        (self.length_m > 0.0).then_some((high.invert_m? - low.invert_m?) / self.length_m)
    }

    /// Ground and invert at any station of the line, straight between its neighbours.
    pub fn at(&self, station_m: f64) -> Option<Station> {
        let after = self.stations.partition_point(|s| s.station_m < station_m);
        let high = self.stations.get(after).or(self.stations.last())?;
        let low = self.stations.get(after.saturating_sub(1))?;
        let length_m = high.station_m - low.station_m;
        let t = if length_m > 0.0 { ((station_m - low.station_m) / length_m).clamp(0.0, 1.0) } else { 0.0 };
        let between = |a: Option<f64>, b: Option<f64>| Some(a? + (b? - a?) * t);
        Some(Station {
            station_m: low.station_m + length_m * t,
            at: measure::along(low.at, high.at, t),
            ground_m: between(low.ground_m, high.ground_m),
            invert_m: between(low.invert_m, high.invert_m),
            mark: Mark::default(),
        })
    }

    /// Least and greatest of a value over the stations that have it.
    pub fn range(&self, value: impl Fn(&Station) -> Option<f64>) -> Option<(f64, f64)> {
        self.stations
            .iter()
            .filter_map(value)
            .fold(None, |range, v| Some(range.map_or((v, v), |(low, high): (f64, f64)| (low.min(v), high.max(v)))))
    }

    /// Depth of the trench at a station, metres: invert, wall and bedding below ground.
    pub fn trench_depth_m(&self, station: &Station, bedding_m: f64) -> Option<f64> {
        Some(station.depth_m()? + hydraulics::wall_m(self.size_m) + bedding_m)
    }
}

/// Works a plan out on its ground with the plain grade rule.
pub fn work_out(plan: &Plan, ground: Option<&Ground>) -> Design {
    work_out_with(plan, ground, plain_rule)
}

/// Works a plan out with a grade rule of choice. Without ground the lines still have lengths, joints and fixed levels.
pub fn work_out_with(plan: &Plan, ground: Option<&Ground>, rule: GradeRule) -> Design {
    let order = tangle::order(plan);
    let courses = course::courses(plan, ground);
    let network = network::build(plan, &courses, &order);
    let levels = rule(&network);
    let mut design = Design { loops: order.loops, ..Design::default() };
    for (run, inverts) in network.runs.iter().zip(&levels) {
        let line = &plan.lines[&run.id];
        design.lines.insert(run.id, graded(plan, line, &courses[&run.id], run, inverts));
    }
    for id in &order.sequence {
        let line = &plan.lines[id];
        if line.kind.is_old() {
            design.lines.insert(*id, old_tile(plan, line, &courses[id]));
        }
        let reaches = tangle::reaches_outlet(plan, *id, &design);
        if let Some(line) = design.lines.get_mut(id) {
            line.reaches_outlet = reaches;
        }
    }
    design.joints = tangle::joints(plan, &courses, &design);
    design.crossings = tangle::crossings(plan, &design);
    design
}

fn graded(plan: &Plan, line: &Line, course: &course::Course, run: &Run, inverts: &[f64]) -> LineDesign {
    let with_level = |(station, invert): (&Station, &f64)| Station { invert_m: Some(*invert), ..*station };
    LineDesign {
        stations: course.stations.iter().zip(inverts).map(with_level).collect(),
        least_grade: run.least_grade,
        ..bare(plan, line, course)
    }
}

/// Old tile keeps the levels that were measured, straight between them, and none beyond.
fn old_tile(plan: &Plan, line: &Line, course: &course::Course) -> LineDesign {
    let level = |station_m| course::known_level(&line.pins, station_m);
    let stations = course.stations.iter().map(|s| Station { invert_m: level(s.station_m), ..*s }).collect();
    LineDesign { stations, ..bare(plan, line, course) }
}

fn bare(plan: &Plan, line: &Line, course: &course::Course) -> LineDesign {
    LineDesign {
        length_m: course.length_m,
        size_m: line.size_m,
        stations: Vec::new(),
        least_grade: 0.0,
        reaches_outlet: false,
        outlet_pipe_m: course::outlet_pipe_m(plan, line),
    }
}
