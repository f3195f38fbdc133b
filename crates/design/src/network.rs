//! What a grade method is given: the new lines as a forest, downstream lines first, with what binds each station.

use std::collections::BTreeMap;

use measure::nearest_on;
use plan::{Joins, Line, LineId, Plan};

use crate::course::{self, Course};
use crate::tangle::Order;

/// A method that finds the inverts: for each run of the network one level a stake, metres.
pub type GradeRule = fn(&Network) -> Vec<Vec<f64>>;

/// The new lines of a plan in an order in which every line comes after the one it joins.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// The lines.
    pub runs: Vec<Run>,
}

/// One line as a grade method sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Which line it is.
    pub id: LineId,
    /// What sets the level of its downstream end.
    pub start: Start,
    /// Flattest grade allowed, as a ratio.
    pub least_grade: f64,
    /// Depth the invert should have, metres.
    pub wanted_depth_m: f64,
    /// Stations from the downstream end up.
    pub stakes: Vec<Stake>,
}

/// What sets the level of a run's downstream end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Start {
    /// A level that is given: an outlet's invert, or the centre of an old tile whose level is known.
    Level(f64),
    /// So far above the invert of another run at one of its stakes: half that pipe for a lateral, 0 in line.
    Joint {
        /// Index of the run it joins.
        run: usize,
        /// Index of the stake on it.
        stake: usize,
        /// Rise above that invert, metres.
        rise_m: f64,
    },
    /// Nothing: the line goes nowhere yet.
    Free,
}

/// What binds one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stake {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Ground level, metres, where known.
    pub ground_m: Option<f64>,
    /// Highest invert that keeps the least cover, metres; `None` where cover does not bind.
    pub highest_m: Option<f64>,
    /// Invert fixed by hand, metres.
    pub pinned_m: Option<f64>,
    /// True when the pipe runs dead straight from this fixed level down to the next one below.
    pub straight: bool,
}

/// Builds the network of the new lines.
pub(crate) fn build(plan: &Plan, courses: &BTreeMap<LineId, Course>, order: &Order) -> Network {
    let mut network = Network::default();
    let mut index: BTreeMap<LineId, usize> = BTreeMap::new();
    for id in &order.sequence {
        let line = &plan.lines[id];
        if line.kind.is_old() {
            continue;
        }
        let start = start(plan, line, &index, &network);
        index.insert(*id, network.runs.len());
        network.runs.push(run(plan, *id, line, &courses[id], start));
    }
    network
}

fn run(plan: &Plan, id: LineId, line: &Line, course: &Course, start: Start) -> Run {
    let criteria = &plan.criteria;
    let cover_depth_m = criteria.least_cover_m + hydraulics::top_above_invert_m(line.size_m);
    let solid_m = course::outlet_pipe_m(plan, line);
    let mut pins = line.pins.iter().peekable();
    let stake = |station: &crate::Station| {
        let pin = pins.next_if(|_| station.mark.pinned);
        Stake {
            station_m: station.station_m,
            ground_m: station.ground_m,
            highest_m: station.ground_m.filter(|_| station.station_m >= solid_m).map(|g| g - cover_depth_m),
            pinned_m: pin.map(|pin| pin.invert_m),
            straight: pin.is_some_and(|pin| pin.straight),
        }
    };
    Run {
        id,
        start,
        least_grade: hydraulics::grade_for_velocity(criteria.roughness_n, line.size_m, criteria.clean_velocity_ms),
        wanted_depth_m: criteria.target_depth_m.max(cover_depth_m),
        stakes: course.stations.iter().map(stake).collect(),
    }
}

fn start(plan: &Plan, line: &Line, index: &BTreeMap<LineId, usize>, network: &Network) -> Start {
    match line.joins {
        Joins::Nothing => Start::Free,
        Joins::Outlet(id) => Start::Level(plan.outlets[&id].invert_m),
        Joins::Line(id) => {
            let main = &plan.lines[&id];
            let Some((station_m, _, _)) = line.downstream_end().and_then(|end| nearest_on(&main.points, end)) else {
                return Start::Free;
            };
            match index.get(&id) {
                Some(run) => joint(*run, &network.runs[*run], station_m, main.size_m),
                None => old_joint(main, station_m),
            }
        }
    }
}

/// A lateral starts at its main's centre, so that it enters the upper half ([MSU-sed], [OLD1912]); a line that carries
/// on from the main's upper end starts at its invert.
fn joint(run: usize, main: &Run, station_m: f64, main_size_m: f64) -> Start {
    let stake = nearest_stake(&main.stakes, station_m);
    let in_line = stake + 1 == main.stakes.len();
    Start::Joint { run, stake, rise_m: if in_line { 0.0 } else { main_size_m / 2.0 } }
}

fn old_joint(old: &Line, station_m: f64) -> Start {
    let level_m = course::known_level(&old.pins, station_m).filter(|_| old.kind.is_old());
    level_m.map_or(Start::Free, |level_m| Start::Level(level_m + old.size_m / 2.0))
}

fn nearest_stake(stakes: &[Stake], station_m: f64) -> usize {
    let away = |stake: &Stake| (stake.station_m - station_m).abs();
    (0..stakes.len()).min_by(|a, b| away(&stakes[*a]).total_cmp(&away(&stakes[*b]))).unwrap_or(0)
}
