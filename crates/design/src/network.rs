//! The new lines of a plan as one problem of grade lines: every limit of the plan as a bound, a rise or a price.

use std::collections::{BTreeMap, BTreeSet};

use measure::nearest_on;
use plan::{Hold, Joins, Line, LineId, Outlet, OutletId, Plan, Prices, Side, SiltGrade};

use crate::course::{self, Course, nearest_station};
use crate::tangle::Order;
use crate::water::LineFlow;
use crate::{Slope, Station, Tie, Tree};

/// Price of each metre by which a line strays from a depth that it was told to follow, for each metre of line: so dear
/// that only a limit makes it stray (judgement).
const STRAYING_PER_M2: f64 = 1e3;
/// How much dearer a rise is that a line of fixed size lacks to carry its water than one it lacks to carry its silt
/// (judgement).
const CARRYING: f64 = 10.0;
/// A tie that holds nothing.
const OPEN: Tie = Tie::Rise { least_m: f64::NEG_INFINITY, most_m: f64::INFINITY, wish: None };

/// What a network is built from.
#[derive(Clone, Copy)]
pub(crate) struct Basis<'a> {
    pub plan: &'a Plan,
    pub courses: &'a BTreeMap<LineId, Course>,
    pub order: &'a Order,
    pub flows: &'a BTreeMap<LineId, LineFlow>,
    /// Bounds of inverts that keep crossing lines apart.
    pub clear: &'a [Clear],
    /// True once lines whose size follows the flow must be steep enough to carry it.
    pub must_carry: bool,
}

/// Lowest and highest invert at a station of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Clear {
    pub line: LineId,
    pub station_m: f64,
    pub bounds_m: (f64, f64),
}

/// Sizes of the new lines, metres.
pub(crate) type Sizes = BTreeMap<LineId, f64>;

/// Branches whose lowest fixed level no grade that is allowed joins to their main: they run straight between the two,
/// or, fixed at the joint itself, miss it.
pub(crate) type Loose = BTreeSet<LineId>;

/// One new line: its stations are nodes of the tree, one after the other.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    pub id: LineId,
    /// Index of its first node.
    pub first: usize,
    /// Number of its stations.
    pub count: usize,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Flattest grade at which the full pipe keeps itself clean, as a ratio.
    pub clean_grade: f64,
    /// Stations whose level a person fixed, by index.
    pub fixed: Vec<bool>,
    /// Those of them at which the person did so.
    pub pinned: Vec<bool>,
}

/// The new lines as a tree.
pub(crate) struct Network<'a> {
    pub basis: Basis<'a>,
    pub runs: Vec<Run>,
    pub tree: Tree,
    /// What each node costs at its wanted depth; the tree's costs count from there.
    pub base: Vec<f64>,
    index: BTreeMap<LineId, usize>,
    /// The first node at each outlet.
    outlets: BTreeMap<OutletId, usize>,
}

/// What sets the level of a line's downstream end.
enum Start {
    /// A given level.
    Level(f64),
    /// At least this level.
    AtLeast(f64),
    /// A rise over a station of another line.
    Joint(usize, Tie),
    /// Nothing.
    Free,
}

impl<'a> Network<'a> {
    /// Builds the problem for pipes of given sizes.
    pub fn of(basis: Basis<'a>, sizes: &Sizes, loose: &Loose) -> Self {
        let mut network = Self {
            basis,
            runs: Vec::new(),
            tree: Tree::default(),
            base: Vec::new(),
            index: BTreeMap::new(),
            outlets: BTreeMap::new(),
        };
        for id in &basis.order.sequence {
            let line = &basis.plan.lines[id];
            if !line.kind.is_old() {
                network.lay(*id, line, sizes, loose);
            }
        }
        network
    }

    /// Index of the node nearest to a station of a line.
    pub fn node_at(&self, id: LineId, station_m: f64) -> Option<usize> {
        let run = &self.runs[*self.index.get(&id)?];
        Some(run.first + nearest_station(&self.basis.courses[&id].stations, station_m))
    }

    /// The cost of levels at the prices of the plan.
    pub fn cost(&self, levels: &[f64]) -> f64 {
        self.tree.cost(levels) + self.base.iter().sum::<f64>()
    }

    /// The cost of one line at such levels.
    pub fn cost_of_run(&self, run: &Run, levels: &[f64]) -> f64 {
        (run.first..run.first + run.count).map(|node| self.base[node] + self.tree.cost_of(node, levels)).sum()
    }

    /// True if a node lies at a level given by a person or an outlet.
    pub fn is_fixed(&self, node: usize) -> bool {
        let run = &self.runs[self.runs.partition_point(|run| run.first <= node) - 1];
        run.fixed[node - run.first]
    }

    fn lay(&mut self, id: LineId, line: &Line, sizes: &Sizes, loose: &Loose) {
        let size_m = sizes[&id];
        let stations = &self.basis.courses[&id].stations;
        let start = self.start(line, size_m, sizes);
        let laying = Laying::of(self.basis, id, line, size_m, &start, loose.contains(&id));
        let first = self.tree.nodes.len();
        if let Joins::Outlet(outlet) = line.joins {
            self.outlets.entry(outlet).or_insert(first);
        }
        for (i, station) in stations.iter().enumerate() {
            let (tie, bounds) = match &start {
                _ if i > 0 => (Some(laying.tie(i, first)), laying.bounds(i, station)),
                Start::AtLeast(level_m) if laying.levels[0].is_none() => (None, (*level_m, f64::INFINITY)),
                Start::Joint(node, tie) if !laying.misses_joint => (Some((*node, *tie)), laying.bounds(i, station)),
                _ => (None, laying.bounds(i, station)),
            };
            let (base, slopes) = laying.costs(i);
            self.base.push(base);
            self.tree.push(tie, bounds, &slopes);
        }
        self.index.insert(id, self.runs.len());
        let fixed = laying.levels.iter().map(Option::is_some).collect();
        let (clean_grade, pinned) = (laying.clean_grade, laying.pinned);
        self.runs.push(Run { id, first, count: stations.len(), size_m, clean_grade, fixed, pinned });
    }

    fn start(&self, line: &Line, size_m: f64, sizes: &Sizes) -> Start {
        match line.joins {
            Joins::Nothing => Start::Free,
            Joins::Outlet(outlet) => match &self.basis.plan.outlets[&outlet] {
                free if free.invert_free => match self.outlets.get(&outlet) {
                    Some(node) => Start::Joint(*node, Tie::Rise { least_m: 0.0, most_m: 0.0, wish: None }),
                    None => Start::AtLeast(least_outlet_m(self.basis.plan, free)),
                },
                given => Start::Level(given.invert_m),
            },
            Joins::Line(main) => {
                let main_line = &self.basis.plan.lines[&main];
                let foot = line.downstream_end().and_then(|end| nearest_on(&main_line.points, end));
                let Some((station_m, _, _)) = foot else { return Start::Free };
                match self.node_at(main, station_m) {
                    Some(node) => Start::Joint(node, self.entry(line, size_m, main, sizes[&main], node)),
                    None => old_joint(main_line, line, station_m),
                }
            }
        }
    }

    /// A lateral enters its main in the upper half, its own top no higher than the main's ([MSU-sed], [OLD1912]), or at
    /// the drop that was set; a line that carries on from the main's upper end starts at its invert.
    fn entry(&self, line: &Line, size_m: f64, main: LineId, main_size_m: f64, node: usize) -> Tie {
        let run = &self.runs[self.index[&main]];
        let centre_m = main_size_m / 2.0;
        let (least_m, most_m) = match line.drop_m {
            _ if node + 1 == run.first + run.count => (0.0, 0.0),
            Some(drop_m) => (centre_m + drop_m, centre_m + drop_m),
            None => (centre_m, centre_m.max(main_size_m - size_m)),
        };
        Tie::Rise { least_m, most_m, wish: None }
    }
}

/// Lowest invert an outlet may have: the wanted height over channel bottom and low water.
fn least_outlet_m(plan: &Plan, outlet: &Outlet) -> f64 {
    let under = outlet.channel_bottom_m.into_iter().chain(outlet.low_water_m).reduce(f64::max);
    under.map_or(outlet.invert_m, |level_m| level_m + plan.criteria.outlet_wanted_m.max(plan.criteria.outlet_least_m))
}

fn old_joint(old: &Line, line: &Line, station_m: f64) -> Start {
    let level_m = course::known_level(&old.pins, station_m).filter(|_| old.kind.is_old());
    match level_m {
        Some(level_m) => Start::Level(level_m + old.size_m / 2.0 + line.drop_m.unwrap_or(0.0)),
        None => Start::Free,
    }
}

/// One line on its way into the tree.
struct Laying<'a> {
    plan: &'a Plan,
    id: LineId,
    line: &'a Line,
    clear: &'a [Clear],
    stations: &'a [Station],
    size_m: f64,
    clean_grade: f64,
    /// Price of a metre of line at its wanted depth, and what other depths cost beyond it.
    base_per_m: f64,
    depth_slopes: Vec<(f64, f64, bool)>,
    /// Levels fixed by hand, or by a pipe that runs straight between two such.
    levels: Vec<Option<f64>>,
    /// Stations at which a level was fixed by hand.
    pinned: Vec<bool>,
    /// Least and greatest rise of each reach between neighbours, metres.
    rises: Vec<(f64, f64)>,
    wishes: Vec<Option<(f64, f64)>>,
    /// True for reaches whose grade follows from levels fixed at both ends.
    open: Vec<bool>,
    /// The first fixed level above a free start to which the pipe runs straight: station index and level.
    straight_to: Option<(usize, f64)>,
    /// True where no grade that is allowed leads to that level, or to the joint.
    is_loose: bool,
    /// True for a loose line that is fixed at the joint itself.
    misses_joint: bool,
}

impl<'a> Laying<'a> {
    fn of(basis: Basis<'a>, id: LineId, line: &'a Line, size_m: f64, start: &Start, is_loose: bool) -> Self {
        let stations = &basis.courses[&id].stations;
        let reaches = stations.len().saturating_sub(1);
        let criteria = &basis.plan.criteria;
        let n = criteria.roughness_n(line, size_m);
        let prices = &basis.plan.prices;
        let least_m = criteria.least_cover_m + hydraulics::top_above_invert_m(size_m);
        let wanted_m = criteria.target_depth_m.max(least_m);
        let (base_per_m, depth_slopes) = depth_slopes(prices, wanted_m, prices.missing_depth_per_m2);
        let mut laying = Self {
            base_per_m,
            depth_slopes,
            plan: basis.plan,
            id,
            line,
            clear: basis.clear,
            stations,
            size_m,
            clean_grade: hydraulics::grade_for_velocity(n, size_m, criteria.clean_velocity_ms),
            levels: vec![None; stations.len()],
            pinned: vec![false; stations.len()],
            rises: vec![(0.0, 0.0); reaches],
            wishes: vec![None; reaches],
            open: vec![false; reaches],
            straight_to: None,
            is_loose,
            misses_joint: false,
        };
        laying.limit_grades(n, &basis.flows[&id], basis.must_carry);
        laying.fix_levels(start);
        laying
    }

    /// Least and greatest rise of every reach, and the rise wished for.
    fn limit_grades(&mut self, n: f64, flow: &LineFlow, must_carry: bool) {
        let (criteria, brief, prices) = (&self.plan.criteria, &self.plan.brief, &self.plan.prices);
        let silt_grade = hydraulics::grade_for_velocity(n, self.size_m, criteria.silt_velocity_ms);
        let fastest = brief.texture.map_or(f64::INFINITY, |texture| texture.greatest_velocity_ms());
        let steepest = criteria.steepest_grade.min(hydraulics::grade_for_velocity(n, self.size_m, fastest));
        let wishes_silt = brief.silt_grade == SiltGrade::Wished && brief.texture.is_some_and(|t| t.enters_pipe());
        let is_chosen = self.line.size_by == plan::SizeBy::Flow;
        // The largest pipe in stock may not do whatever its grade: then it carries as much as it can.
        let is_largest = prices.pipe.last().is_none_or(|pipe| pipe.size_m <= self.size_m * 1.001);
        for i in 0..self.rises.len() {
            let length_m = self.stations[i + 1].station_m - self.stations[i].station_m;
            let carrying = hydraulics::friction_grade(n, self.size_m, flow.through_m3s[i] / flow.even_factor);
            let mut least = self.clean_grade;
            if brief.silt_grade == SiltGrade::Hard {
                least = least.max(silt_grade);
            }
            if is_chosen && must_carry && !is_largest {
                least = least.max(carrying.min(steepest));
            }
            let most = steepest.max(least);
            let held = self.line.reaches.iter().find_map(|reach| match reach.hold {
                Hold::Grade(grade) if self.lies_in(i, reach.from_m, reach.to_m) => Some(grade),
                _ => None,
            });
            self.rises[i] = held.map_or((least, most), |grade| (grade, grade));
            self.rises[i] = (self.rises[i].0 * length_m, self.rises[i].1 * length_m);
            if held.is_none() && (!is_chosen || (must_carry && is_largest)) && carrying.min(steepest) > least {
                self.wishes[i] = Some((carrying.min(steepest) * length_m, CARRYING * prices.missing_rise_per_m));
            } else if held.is_none() && wishes_silt && silt_grade > least {
                self.wishes[i] = Some((silt_grade * length_m, prices.missing_rise_per_m));
            }
        }
    }

    /// True if the reach above station `i` lies between two stations.
    fn lies_in(&self, i: usize, from_m: f64, to_m: f64) -> bool {
        let tolerance_m = course::SAME_STATION_M;
        self.stations[i].station_m >= from_m - tolerance_m && self.stations[i + 1].station_m <= to_m + tolerance_m
    }

    /// Levels fixed by hand, and those that follow where the pipe runs straight between two of them: because a person
    /// asked for it, or because no grade that is allowed leads from one to the other.
    fn fix_levels(&mut self, start: &Start) {
        let mut straight = vec![false; self.stations.len()];
        for pin in &self.line.pins {
            let i = nearest_station(self.stations, pin.station_m);
            (self.levels[i], straight[i], self.pinned[i]) = (Some(pin.invert_m), pin.straight, true);
        }
        if let (Start::Level(level_m), Some(first)) = (start, self.levels.first_mut()) {
            *first = first.or(Some(*level_m));
        }
        let fixed: Vec<(usize, f64)> =
            self.levels.iter().enumerate().filter_map(|(i, level)| Some((i, (*level)?))).collect();
        for pair in fixed.windows(2) {
            let ((low, low_m), (high, high_m)) = (pair[0], pair[1]);
            let (least_m, most_m) = self.rises[low..high].iter().fold((0.0, 0.0), |t, r| (t.0 + r.0, t.1 + r.1));
            let rounding_m = 5e-11;
            if straight[high] || !(least_m - rounding_m..=most_m + rounding_m).contains(&(high_m - low_m)) {
                self.run_straight(low, high);
            }
        }
        let lowest = fixed.first().copied();
        self.straight_to = lowest.filter(|(i, _)| *i > 0 && (straight[*i] || self.is_loose));
        self.misses_joint = self.is_loose && lowest.is_some_and(|(i, _)| i == 0);
    }

    fn run_straight(&mut self, low: usize, high: usize) {
        let (Some(low_m), Some(high_m)) = (self.levels[low], self.levels[high]) else { return };
        for i in low + 1..high {
            self.levels[i] = Some(low_m + (high_m - low_m) * self.share(low, high, i));
        }
        self.open[low..high].fill(true);
    }

    fn share(&self, low: usize, high: usize, i: usize) -> f64 {
        let at = |i: usize| self.stations[i].station_m;
        (at(i) - at(low)) / (at(high) - at(low))
    }

    /// How station `i`, not the first, hangs on one downstream; `first` is the line's first node.
    fn tie(&self, i: usize, first: usize) -> (usize, Tie) {
        match self.straight_to {
            Some((to, to_m)) if i < to => (first, Tie::Straight { share: self.share(0, to, i), to_m }),
            Some((to, _)) if i == to && self.is_loose => (first, OPEN),
            Some((to, _)) if i == to => {
                let (least_m, most_m) = self.rises[..to].iter().fold((0.0, 0.0), |t, r| (t.0 + r.0, t.1 + r.1));
                (first, Tie::Rise { least_m, most_m, wish: None })
            }
            _ if self.open[i - 1] => (first + i - 1, OPEN),
            _ => {
                let ((least_m, most_m), wish) = (self.rises[i - 1], self.wishes[i - 1]);
                (first + i - 1, Tie::Rise { least_m, most_m, wish })
            }
        }
    }

    /// Lowest and highest invert: the machine's reach, the least cover, and what has to be cleared.
    fn bounds(&self, i: usize, station: &Station) -> (f64, f64) {
        if let Some(level_m) = self.levels[i] {
            return (level_m, level_m);
        }
        let (criteria, top_m) = (&self.plan.criteria, hydraulics::top_above_invert_m(self.size_m));
        let under_m = hydraulics::wall_m(self.size_m) + criteria.bedding_m;
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        if let Some(ground_m) = station.ground_m {
            low = ground_m - (criteria.machine_reach_m - under_m);
            if station.station_m >= course::outlet_pipe_m(self.plan, self.line) {
                high = ground_m - criteria.least_cover_m - top_m;
            }
        }
        for clear in self.clear.iter().filter(|clear| clear.line == self.id) {
            if (clear.station_m - station.station_m).abs() < course::SAME_STATION_M {
                (low, high) = (low.max(clear.bounds_m.0), high.min(clear.bounds_m.1));
            }
        }
        for pass in &self.line.passes {
            if (pass.station_m - station.station_m).abs() < course::SAME_STATION_M {
                match pass.side {
                    Side::Over => low = low.max(pass.level_m + pass.clear_m + hydraulics::wall_m(self.size_m)),
                    Side::Under => high = high.min(pass.level_m - pass.clear_m - top_m),
                }
            }
        }
        (low, high)
    }

    /// What a level costs at station `i`, digging by depth and what is missing to the wanted depth: the cost of the wanted
    /// depth, and the slopes from there.
    fn costs(&self, i: usize) -> (f64, Vec<Slope>) {
        let Some(ground_m) = self.stations[i].ground_m else { return (0.0, Vec::new()) };
        let at = |i: usize| self.stations[i].station_m;
        let last = self.stations.len() - 1;
        let length_m = (at((i + 1).min(last)) - at(i.saturating_sub(1))) / 2.0;
        let followed = self.line.reaches.iter().find_map(|reach| match reach.hold {
            Hold::Depth(depth_m) if self.is_at(i, reach.from_m, reach.to_m) => Some(depth_m),
            _ => None,
        });
        let at_depth = |(depth_m, price, below): &(f64, f64, bool)| Slope {
            from_m: ground_m - depth_m,
            price: length_m * price,
            below: *below,
        };
        if let Some(depth_m) = followed {
            let (base, mut slopes) = depth_slopes(&self.plan.prices, depth_m, STRAYING_PER_M2);
            slopes.push((depth_m, STRAYING_PER_M2, true));
            return (length_m * base, slopes.iter().map(at_depth).collect());
        }
        (length_m * self.base_per_m, self.depth_slopes.iter().map(at_depth).collect())
    }

    fn is_at(&self, i: usize, from_m: f64, to_m: f64) -> bool {
        let tolerance_m = course::SAME_STATION_M;
        (from_m - tolerance_m..=to_m + tolerance_m).contains(&self.stations[i].station_m)
    }
}

/// The cost of a metre of line by its depth, counted from where it is least: that least cost, and (depth, price of each
/// metre further, true for deeper). Digging costs more with every metre down; each metre short of the wanted depth costs
/// `missing` and saves what digging it would cost.
fn depth_slopes(prices: &Prices, wanted_m: f64, missing: f64) -> (f64, Vec<(f64, f64, bool)>) {
    let digging = &prices.digging;
    let price_at = |depth_m: f64| digging.iter().rev().find(|band| band.from_m <= depth_m).map_or(0.0, |b| b.per_m2);
    let rate = |depth_m: f64| price_at(depth_m) - if depth_m < wanted_m { missing } else { 0.0 };
    let mut kinks: Vec<f64> = digging.iter().map(|band| band.from_m).filter(|from_m| *from_m > 0.0).collect();
    kinks.push(wanted_m);
    kinks.sort_by(f64::total_cmp);
    let mut slopes = Vec::with_capacity(kinks.len() + 1);
    let (mut before, mut cheapest_m) = (rate(0.0), None);
    if before > 0.0 {
        // What is missing costs less than digging it: the cheapest line lies on the ground.
        slopes.push((0.0, before, true));
        cheapest_m = Some(0.0);
    }
    for depth_m in kinks {
        let after = rate(depth_m);
        if after >= 0.0 {
            cheapest_m = cheapest_m.or(Some(depth_m));
        }
        // Below the cheapest depth a kink adds to what deeper costs; above it, to what shallower costs.
        let (up, down) = ((-before).max(0.0) - (-after).max(0.0), after.max(0.0) - before.max(0.0));
        slopes.extend([(depth_m, up, false), (depth_m, down, true)].into_iter().filter(|(_, price, _)| *price > 0.0));
        before = after;
    }
    let least_m = cheapest_m.unwrap_or(wanted_m);
    (prices.digging_per_m(least_m) + missing * (wanted_m - least_m).max(0.0), slopes)
}
