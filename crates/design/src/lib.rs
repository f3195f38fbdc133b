//! The worked-out plan: what follows from [`plan::Plan`] and [`terrain::Ground`], never stored and never edited.
//!
//! [`work_out`] gives one [`Design`] that every surface a person sees reads: map, profile, punch list, totals, files.
//! The levels are the cheapest that hold every limit ([`Tree`]), made into reaches that can be dug.

mod anchored;
mod apart;
mod clash;
mod corridor;
mod course;
mod dig;
mod digging;
mod enclosed;
mod even;
mod flat;
mod known;
mod laying;
mod leeway;
mod levels;
mod network;
mod passing;
mod pressure;
mod sizing;
mod survey;
mod tangle;
mod tight;
mod tree;
mod valley;
mod water;
mod ways;

use std::cell::RefCell;
use std::collections::BTreeMap;

use std::sync::Arc;

use hydraulics::CapacityRange;
use measure::{FOOT_M, Point};
use plan::{Condition, Line, LineId, LineKind, Material, OutletId, Plan};
use terrain::{Extreme, Ground, Piece, Profile, Stretch, Water};

pub use apart::CROSSING_CLEAR_M;
pub use clash::{Bound, Breach, Broken, Cause, Clash, Flattest};
pub use corridor::Corridor;
pub use dig::DugReach;
pub use digging::Memory;
pub use enclosed::{Flaw, counted_m2, flaws, is_caught, pieces, side_crossings};
pub use flat::Flat;
pub use leeway::{End, Leeway, even_edit};
pub use passing::{Passed, Untried};
pub use survey::{corrected, lidar_shift_m, shot_name};
pub use tangle::Crossing;
pub use tree::{Between, Missing, NoLevel, Node, Slope, Tie, Tree};
pub use water::{Inflow, LineFlow, Origin};
pub use ways::{Printed, Trial, Way};

/// A place on a line with what is known of ground and pipe there.
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
    /// Level of the water in the pipe, or above it where it is under pressure, metres; `None` where the invert is.
    pub head_m: Option<f64>,
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

/// Grades this far apart print as two, as a ratio (0.005 percentage points, [judgement]).
pub const PRINTED_BREAK: f64 = 5e-5;

/// Differences of level this small are none, metres: a thousandth of a foot (judgement; no level book has more).
pub const ON_LIMIT_M: f64 = 1e-3 * FOOT_M;

/// A place where the grade of a line changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Break {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Index of the station.
    pub index: usize,
    /// Grade downstream of it, as a ratio.
    pub below: f64,
    /// Grade upstream of it, as a ratio.
    pub above: f64,
}

/// One line, worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct LineDesign {
    /// Length on the plan, metres.
    pub length_m: f64,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Manning roughness.
    pub n: f64,
    /// Stations from the downstream end up: where the pipe may change its grade.
    pub stations: Vec<Station>,
    /// The ground all along it.
    pub ground: Arc<Profile>,
    /// Depth of the invert below the ground all along it, where both are known: pieces by rising station.
    pub depth: Vec<Piece>,
    /// Reaches of constant grade, from the downstream end up; none on old tile.
    pub reaches: Vec<DugReach>,
    /// What flows into it.
    pub inflows: Vec<Inflow>,
    /// Discharge in the pipe above each station, m³/s.
    pub through_m3s: Vec<f64>,
    /// What branches, inlets and seeps bring in at each station, m³/s.
    pub entering_m3s: Vec<f64>,
    /// The land behind the whole line, square metres.
    pub area_m2: f64,
    /// How many times its capacity it carries because its flow grows evenly along it; 1 unless that was asked for.
    pub even_factor: f64,
    /// What an old line of uncertain condition carries; `None` for new pipe and where its grade is not known.
    pub old_capacity: Option<CapacityRange>,
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
    /// Inverts of the outlets that new lines reach, metres: as given, or as found where that was left free.
    pub outlet_inverts_m: BTreeMap<OutletId, f64>,
    /// Limits that no grade line holds at once.
    pub clashes: Vec<Clash>,
    /// Utilities whose level was exposed, as the lines pass them.
    pub passed: Vec<Passed>,
    /// Networks with so many of them that not all sides were tried.
    pub untried: Vec<Untried>,
    /// Networks with lines flatter than the job's even grade, and what it would cost to have none.
    pub flat: Vec<Flat>,
    /// What the grade lines cost.
    pub cost: GradeCost,
}

impl Design {
    /// Invert of an outlet, metres: as found, else as given.
    pub fn outlet_invert_m(&self, id: OutletId, outlet: &plan::Outlet) -> f64 {
        self.outlet_inverts_m.get(&id).copied().unwrap_or(outlet.invert_m)
    }
}

/// What the grade lines cost at the plan's prices, digging and missed wishes together.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GradeCost {
    /// What no levels that hold every limit can cost less than.
    pub least: f64,
    /// The cheapest levels found that hold every limit, between the stations too.
    pub cheapest: f64,
    /// Of the cheapest, digging and what is missing to the wanted depth alone.
    pub digging: f64,
    /// The levels as they are to be dug.
    pub dug: f64,
    /// Pipe.
    pub pipe: f64,
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

/// How full a line is where it is fullest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fullest {
    /// Index of the reach's lower station.
    pub index: usize,
    /// Its grade, as a ratio.
    pub grade: f64,
    /// Discharge there, m³/s.
    pub required_m3s: f64,
    /// What the pipe carries there when full, m³/s.
    pub capacity_m3s: f64,
}

impl Fullest {
    /// Discharge as a share of the capacity; infinite where water flows and nothing can be carried.
    pub fn share(&self) -> f64 {
        if self.required_m3s <= 0.0 { 0.0 } else { self.required_m3s / self.capacity_m3s }
    }
}

impl LineDesign {
    /// Grade from station `index` up to the next, as a ratio; positive falls toward the outlet.
    pub fn grade(&self, index: usize) -> Option<f64> {
        let (low, high) = (self.stations.get(index)?, self.stations.get(index + 1)?);
        let length_m = high.station_m - low.station_m;
        (length_m > 0.0).then_some((high.invert_m? - low.invert_m?) / length_m)
    }

    /// Every place where the grade changes by more than `over`, as a ratio, from the downstream end up.
    pub fn breaks(&self, over: f64) -> impl Iterator<Item = Break> {
        (1..self.stations.len().saturating_sub(1)).filter_map(move |index| {
            let (below, above) = (self.grade(index - 1)?, self.grade(index)?);
            let station_m = self.stations[index].station_m;
            ((above - below).abs() > over).then_some(Break { station_m, index, below, above })
        })
    }

    /// Grade between the two ends, as a ratio.
    pub fn mean_grade(&self) -> Option<f64> {
        let (low, high) = (self.stations.first()?, self.stations.last()?);
        (self.length_m > 0.0).then_some((high.invert_m? - low.invert_m?) / self.length_m)
    }

    /// Ground, invert and water at any station of the line; pipe and water straight between its neighbours.
    pub fn at(&self, station_m: f64) -> Option<Station> {
        let after = self.stations.partition_point(|s| s.station_m < station_m);
        let high = self.stations.get(after).or(self.stations.last())?;
        let low = self.stations.get(after.saturating_sub(1))?;
        let length_m = high.station_m - low.station_m;
        let t = if length_m > 0.0 { ((station_m - low.station_m) / length_m).clamp(0.0, 1.0) } else { 0.0 };
        // At a station only its own level counts, whether or not its neighbour has one.
        let between = |a: Option<f64>, b: Option<f64>| match t {
            0.0 => a,
            1.0 => b,
            t => Some(a? + (b? - a?) * t),
        };
        let station_m = low.station_m + length_m * t;
        Some(Station {
            station_m,
            at: measure::along(low.at, high.at, t),
            ground_m: self.ground.level(station_m),
            invert_m: between(low.invert_m, high.invert_m),
            head_m: between(low.head_m, high.head_m),
            mark: Mark::default(),
        })
    }

    /// The reach that is fullest at the design flow, or the flattest where nothing flows; `None` without inverts.
    pub fn fullest(&self) -> Option<Fullest> {
        self.fullest_of(|_| true)
    }

    /// The same among the reaches of some grades only.
    pub fn fullest_of(&self, counts: impl Fn(f64) -> bool) -> Option<Fullest> {
        let reaches = (0..self.stations.len().saturating_sub(1)).filter_map(|i| {
            let (grade, required_m3s) =
                (self.grade(i).filter(|grade| counts(*grade))?, self.through_m3s.get(i).copied().unwrap_or(0.0));
            let capacity_m3s = hydraulics::full_capacity_m3s(self.n, self.size_m, grade) * self.even_factor;
            Some(Fullest { index: i, grade, required_m3s, capacity_m3s })
        });
        let by_fullness = |a: &Fullest, b: &Fullest| {
            a.share()
                .total_cmp(&b.share())
                .then(b.capacity_m3s.total_cmp(&a.capacity_m3s))
                .then(b.index.cmp(&a.index))
        };
        reaches.max_by(by_fullness)
    }

    /// Discharge at the downstream end, m³/s.
    pub fn required_m3s(&self) -> f64 {
        self.through_m3s.first().copied().unwrap_or(0.0)
    }

    /// Least and greatest of a value over the stations that have it.
    pub fn range(&self, value: impl Fn(&Station) -> Option<f64>) -> Option<(f64, f64)> {
        self.stations
            .iter()
            .filter_map(value)
            .fold(None, |range, v| Some(range.map_or((v, v), |(low, high): (f64, f64)| (low.min(v), high.max(v)))))
    }

    /// Lays the line on another ground, without working it out anew.
    pub fn lay_on(&mut self, ground: Arc<Profile>) {
        self.ground = ground;
        for station in &mut self.stations {
            station.ground_m = self.ground.level(station.station_m);
        }
        self.fathom();
    }

    /// Works out how deep the pipe lies all along it.
    fn fathom(&mut self) {
        let mut depth: Vec<Piece> = Vec::with_capacity(self.ground.pieces().len() + self.stations.len());
        for pair in self.stations.windows(2) {
            let Some((low_m, high_m)) = pair[0].invert_m.zip(pair[1].invert_m) else { continue };
            let pipe = Piece::straight((pair[0].station_m, low_m), (pair[1].station_m, high_m));
            depth.extend(self.ground.between(pipe.from_m, pipe.to_m).map(|ground| ground.less(&pipe)));
        }
        self.depth = depth;
    }

    /// Depth of the invert below the ground from a station up: pieces by rising station.
    pub fn depth_from(&self, from_m: f64) -> impl Iterator<Item = Piece> + '_ {
        let first = self.depth.partition_point(|piece| piece.to_m <= from_m);
        self.depth[first..].iter().filter_map(move |piece| piece.part(from_m, f64::INFINITY))
    }

    /// Where the invert lies least deep above a station, and how deep, metres.
    pub fn shallowest_from(&self, from_m: f64) -> Option<Extreme> {
        self.depth_from(from_m).map(|piece| piece.least()).reduce(Extreme::lower_of)
    }

    /// Where there is least soil over the pipe, and how much, metres; the solid outlet pipe does not count.
    pub fn least_cover(&self) -> Option<Extreme> {
        let least = self.shallowest_from(self.outlet_pipe_m)?;
        Some(Extreme { value_m: least.value_m - hydraulics::top_above_invert_m(self.size_m), ..least })
    }

    /// Stretches above a station with less soil over the pipe than a limit, metres; the worst is the cover there.
    pub fn cover_under(&self, from_m: f64, limit_m: f64) -> Vec<Stretch> {
        let top_m = hydraulics::top_above_invert_m(self.size_m);
        let thin = terrain::under(self.depth_from(from_m), limit_m + top_m).into_iter();
        thin.map(|part| part.with_worst(part.worst - top_m)).collect()
    }

    /// Stretches above a station where the invert lies less deep than a limit, metres; the worst is the depth there.
    pub fn depth_under(&self, from_m: f64, limit_m: f64) -> Vec<Stretch> {
        terrain::under(self.depth_from(from_m), limit_m)
    }

    /// Stretches whose trench is deeper than a limit, metres; the worst is the depth of the trench there.
    pub fn trench_over(&self, limit_m: f64, bedding_m: f64) -> Vec<Stretch> {
        let below_m = self.below_invert_m(bedding_m);
        let deep = terrain::over(self.depth.iter().copied(), limit_m - below_m).into_iter();
        deep.map(|part| part.with_worst(part.worst + below_m)).collect()
    }

    /// Stretches whose trench is as deep as a limit or deeper, metres: what is deep enough for a rule counts, to a
    /// thousandth of a foot. One extent for findings, sheets and quantities.
    pub fn trench_from(&self, limit_m: f64, bedding_m: f64) -> Vec<Stretch> {
        self.trench_over(limit_m - ON_LIMIT_M, bedding_m)
    }

    /// Where the invert lies deepest, and how deep, metres.
    pub fn deepest(&self) -> Option<Extreme> {
        self.depth.iter().map(Piece::greatest).reduce(Extreme::higher_of)
    }

    /// From the invert down to the bottom of the trench, metres: wall and bedding.
    pub fn below_invert_m(&self, bedding_m: f64) -> f64 {
        hydraulics::wall_m(self.size_m) + bedding_m
    }

    /// Where the trench is deepest, and how deep, metres: invert, wall and bedding below ground.
    pub fn deepest_trench(&self, bedding_m: f64) -> Option<Extreme> {
        let deepest = self.deepest()?;
        Some(Extreme { value_m: deepest.value_m + self.below_invert_m(bedding_m), ..deepest })
    }

    /// Depth of the trench at a station, metres: invert, wall and bedding below ground.
    pub fn trench_depth_m(&self, station: &Station, bedding_m: f64) -> Option<f64> {
        Some(station.depth_m()? + self.below_invert_m(bedding_m))
    }

    /// Length along which the depth is known, metres: over ground, with a level.
    pub fn fathomed_m(&self) -> f64 {
        self.depth.iter().map(Piece::length_m).sum()
    }

    /// Length along which no ground is known, metres.
    pub fn unknown_ground_m(&self) -> f64 {
        self.unknown_ground().iter().map(|part| part.1 - part.0).sum()
    }

    /// Stretches along which no ground is known: from and to, metres.
    pub fn unknown_ground(&self) -> Vec<(f64, f64)> {
        self.ground.gaps(self.length_m)
    }
}

/// Works a plan out on its ground.
pub fn work_out(plan: &Plan, ground: Option<&Ground>) -> Design {
    work_out_again(plan, ground, None, &mut Memory::default())
}

/// Works a plan out on its ground and the way of water on it, with what is remembered of the last time; what is
/// remembered changes nothing but the time it takes. Without ground the lines still have lengths, joints and fixed
/// levels.
pub fn work_out_again(plan: &Plan, ground: Option<&Ground>, water: Option<&Water>, memory: &mut Memory) -> Design {
    let order = tangle::order(plan);
    let crossings = tangle::crossings(plan);
    let courses = course::courses(plan, ground, &mut memory.courses);
    let flows = water::flows(plan, &courses, &order, ground.map(Ground::grid).zip(water));
    let known = RefCell::new(std::mem::take(&mut memory.known));
    let basis = network::Basis::of(plan, &courses, &order, &flows, &known);
    let mut sized = sizing::choose(basis);
    let (passed, untried) = passing::sides(basis, &mut sized);
    let basis = network::Basis { passed: &passed, ..basis };
    if !passed.is_empty() {
        sized.solved = levels::solve(basis, &sized.sizes);
    }
    let clear = apart::clear(basis, &sized.sizes, &sized.solved, &crossings);
    let basis = network::Basis { clear: &clear, ..basis };
    sized.solved = match clear.is_empty() {
        true => levels::kept(basis, &sized.sizes, sized.solved),
        false => levels::solve(basis, &sized.sizes),
    };
    let even = network::Basis { least_even: plan.criteria.even_grade, ..basis };
    let (flat, steeper) = flat::flat(basis, even, &sized.sizes, &sized.solved);
    let may_be_flat = flat.iter().flat_map(|flat| flat.lines.iter().copied()).collect();
    let even = network::Basis { flat: &may_be_flat, ..even };
    match steeper {
        Some(steeper) => sized.solved = steeper,
        None if sized.solved.is_held => sized.solved = levels::under(even, &sized.sizes, sized.solved),
        None => (),
    }
    let dug = digging::dig(&sized.solved, memory);
    memory.known = known.take();
    let mut design = Design { loops: order.loops.clone(), flat, ..Design::default() };
    let network = &sized.solved.network;
    let mut levels = sized.solved.levels.clone();
    for (run, dug) in network.runs.iter().zip(dug) {
        let line = &plan.lines[&run.id];
        levels[run.first..run.first + run.count].copy_from_slice(&dug.levels_m);
        let mut worked = bare(plan, line, &courses[&run.id], &flows[&run.id], run.size_m);
        worked.stations.iter_mut().zip(dug.levels_m).for_each(|(station, level)| station.invert_m = Some(level));
        (worked.reaches, worked.least_grade) = (dug.reaches, run.clean_grade);
        worked.fathom();
        if let plan::Joins::Outlet(outlet) = line.joins {
            design.outlet_inverts_m.insert(outlet, levels[run.first]);
        }
        design.lines.insert(run.id, worked);
    }
    design.clashes = clash::clashes(&sized.solved, &levels);
    passing::other_sides(basis, &sized.sizes, &sized.solved, &mut design.clashes);
    (design.passed, design.untried) = (passed.clone(), untried);
    let (least, cheapest) = (sized.solved.least, sized.solved.cost());
    let digging = network.digging_cost(&sized.solved.levels);
    design.cost = GradeCost { least, cheapest, digging, dug: network.cost(&levels), pipe: sized.cost() - cheapest };
    for id in &order.sequence {
        let line = &plan.lines[id];
        if let LineKind::OldTile(old) = line.kind {
            design.lines.insert(*id, old_tile(plan, line, old, &courses[id], &flows[id]));
        }
        let reaches = tangle::reaches_outlet(plan, *id, &design);
        if let Some(line) = design.lines.get_mut(id) {
            line.reaches_outlet = reaches;
        }
    }
    anchored::drop_unknown(plan, &order.sequence, ground.is_some() || plan.ground.is_some(), &mut design);
    design.joints = tangle::joints(plan, &courses, &design);
    design.crossings = crossings.into_iter().map(|crossing| crossing.with_levels(&design)).collect();
    pressure::fill_heads(plan, &order.sequence, &mut design);
    design
}

/// Old tile keeps the levels that were measured, straight between them, and none beyond.
fn old_tile(plan: &Plan, line: &Line, old: plan::OldTile, course: &course::Course, flow: &LineFlow) -> LineDesign {
    let mut worked = bare(plan, line, course, flow, line.size_m);
    for station in &mut worked.stations {
        station.invert_m = course::known_level(&line.pins, station.station_m);
    }
    worked.fathom();
    let n = match old.material {
        Material::Plastic => hydraulics::OLD_PLASTIC_N,
        _ => hydraulics::TILE_N,
    };
    worked.n = line.roughness_n.unwrap_or((n.0 + n.1) / 2.0);
    let n = line.roughness_n.map_or(n, |n| (n, n));
    // Share of the height that silt may fill, by condition ([judgement]: a fair line holds a third at most).
    let silt = match old.condition {
        Condition::Good => (0.0, 0.05),
        Condition::Fair => (0.05, 1.0 / 3.0),
        Condition::Poor => (1.0 / 3.0, 0.9),
        Condition::Unknown => (0.0, 0.5),
    };
    let ends = line.pins.first().zip(line.pins.last()).filter(|(low, high)| high.station_m > low.station_m);
    worked.old_capacity = ends.map(|(low, high)| {
        let grade = (high.invert_m - low.invert_m) / (high.station_m - low.station_m);
        hydraulics::old_capacity(line.size_m, grade, n, silt)
    });
    worked
}

fn bare(plan: &Plan, line: &Line, course: &course::Course, flow: &LineFlow, size_m: f64) -> LineDesign {
    LineDesign {
        length_m: course.length_m,
        size_m,
        n: plan.criteria.roughness_n(line, size_m),
        stations: course.stations.clone(),
        ground: course.ground.clone(),
        depth: Vec::new(),
        reaches: Vec::new(),
        inflows: flow.inflows.clone(),
        through_m3s: flow.through_m3s.clone(),
        entering_m3s: flow.entering_m3s.clone(),
        area_m2: flow.area_m2,
        even_factor: flow.even_factor,
        old_capacity: None,
        least_grade: 0.0,
        reaches_outlet: false,
        outlet_pipe_m: course::outlet_pipe_m(plan, line),
    }
}
