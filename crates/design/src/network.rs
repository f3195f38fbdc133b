//! The new lines of a plan as one problem of grade lines: every limit of the plan as a bound, a rise or a price.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use plan::{Joins, Line, LineId, Outlet, OutletId, Plan};

use crate::clash::Cause;
use crate::course::{self, nearest_station};
use crate::laid::{AtHand, Laid};
use crate::laying::Laying;
use crate::passing::Passed;
use crate::{Layout, Missing, Pipe, Tie, Tree, pipe, pipe_of};

/// What a network is built from.
#[derive(Clone, Copy)]
pub(crate) struct Basis<'a> {
    pub plan: &'a Plan,
    pub layout: &'a Layout,
    /// The lines of the network, downstream first.
    pub lines: &'a [LineId],
    /// Bounds of inverts that keep crossing lines apart.
    pub clear: &'a [Clear],
    /// Utilities whose level was exposed, and the side on which each is passed.
    pub passed: &'a [Passed],
    /// True once lines whose size follows the flow must be steep enough to carry it.
    pub must_carry: bool,
    /// Grade than which nothing may be flatter, as a ratio, beside what the limits ask; 0 for none.
    pub least_even: f64,
    /// Lines that may be flatter all the same.
    pub flat: &'a BTreeSet<LineId>,
    /// True where limits hold between stations too; false while sizes are looked for.
    pub is_tight: bool,
    /// Lines whose cost is known.
    pub known: &'a AtHand,
}

impl<'a> Basis<'a> {
    /// The plan's own limits at every station and between them, and no more.
    pub fn of(plan: &'a Plan, layout: &'a Layout, known: &'a AtHand) -> Self {
        const NONE: &BTreeSet<LineId> = &BTreeSet::new();
        Self {
            plan,
            layout,
            lines: &layout.order,
            clear: &[],
            passed: &[],
            must_carry: true,
            least_even: 0.0,
            flat: NONE,
            is_tight: true,
            known,
        }
    }
}

/// Lowest and highest invert at a station of a line, so that it clears something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Clear {
    pub line: LineId,
    pub station_m: f64,
    pub bounds_m: (f64, f64),
    pub cause: Cause,
}

/// Sizes of the new lines, metres.
pub(crate) type Sizes = BTreeMap<LineId, f64>;

/// Branches whose lowest fixed level no grade that is allowed joins to their main: they run straight between the two,
/// or, fixed at the joint itself, miss it.
pub(crate) type Loose = BTreeSet<LineId>;

/// One new line: its stations are nodes of the tree, one after the other.
#[derive(Debug, Clone)]
pub(crate) struct Run {
    pub id: LineId,
    /// Index of its first node.
    pub first: usize,
    /// Number of its stations.
    pub count: usize,
    /// Nominal inside diameter where no stretch has its own, metres.
    pub size_m: f64,
    /// The line by itself.
    pub laid: Arc<Laid>,
    /// What sets the level of its downstream end.
    pub start: Start,
    /// True for a branch that does not fit its joint.
    pub is_loose: bool,
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

impl Drop for Network<'_> {
    fn drop(&mut self) {
        let mut tree = std::mem::take(&mut self.tree);
        tree.clear();
        self.basis.known.trees.borrow_mut().push(tree);
    }
}

/// What sets the level of a line's downstream end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Start {
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
            tree: basis.known.trees.borrow_mut().pop().unwrap_or_default(),
            base: Vec::new(),
            index: BTreeMap::new(),
            outlets: BTreeMap::new(),
        };
        for id in basis.lines {
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
        Some(run.first + nearest_station(&self.basis.layout.courses[&id].stations, station_m))
    }

    /// The line of a node.
    pub fn run_of(&self, node: usize) -> &Run {
        &self.runs[self.runs.partition_point(|run| run.first <= node) - 1]
    }

    /// A line with its limits, as it was laid.
    pub fn laying(&self, run: &Run) -> Laying<'a> {
        let line = &self.basis.plan.lines[&run.id];
        Laying::of(self.basis, run.id, line, run.size_m, &run.start, run.is_loose)
    }

    /// The node of the outlet that a node drains to.
    pub fn root_of(&self, mut node: usize) -> usize {
        while let Some(down) = self.tree.nodes[node].down {
            node = down;
        }
        node
    }

    /// Level of the pipe at a station of a line, metres.
    pub fn level_at(&self, id: LineId, station_m: f64, levels: &[f64]) -> Option<f64> {
        let run = &self.runs[*self.index.get(&id)?];
        let stations = &self.basis.layout.courses[&id].stations;
        let after = stations.partition_point(|station| station.station_m < station_m).clamp(1, run.count.max(2) - 1);
        let at = |i: usize| Some((stations.get(i)?.station_m, *levels.get(run.first + i)?));
        let guide_m = terrain::Piece::straight(at(after - 1)?, at(after)?).at(station_m);
        Some(guide_m + pipe::at(&run.laid.pipe, station_m).over_guide_m)
    }

    /// The pipe at a station of a line.
    pub fn pipe_at(&self, id: LineId, station_m: f64) -> Option<&Pipe> {
        Some(pipe::at(&self.runs[*self.index.get(&id)?].laid.pipe, station_m))
    }

    /// The cost of levels at the prices of the plan.
    pub fn cost(&self, levels: &[f64]) -> f64 {
        self.tree.cost(levels) + self.base_cost()
    }

    /// What all stations cost at their wanted depth.
    pub fn base_cost(&self) -> f64 {
        self.base.iter().sum()
    }

    /// The cost of digging to such levels and of what is missing to the wanted depth: without what flat pipe and other wishes
    /// are priced at.
    pub fn digging_cost(&self, levels: &[f64]) -> f64 {
        (0..levels.len()).map(|node| self.base[node] + self.tree.own_cost(node, levels[node])).sum()
    }

    /// The same of one line.
    pub fn digging_cost_of(&self, run: &Run, levels: &[f64]) -> f64 {
        let nodes = run.first..run.first + run.count;
        nodes.map(|node| self.base[node] + self.tree.own_cost(node, levels[node])).sum()
    }

    /// The same of each network, by the node of its outlet.
    pub fn digging_by_root(&self, levels: &[f64]) -> BTreeMap<usize, f64> {
        let mut by_root = BTreeMap::new();
        for run in &self.runs {
            *by_root.entry(self.root_of(run.first)).or_insert(0.0) += self.digging_cost_of(run, levels);
        }
        by_root
    }

    /// Rises of pipes that run with the ground from station to station, as near as their grades allow.
    pub fn rises_at_cover(&self) -> Vec<f64> {
        let mut rises = vec![0.0; self.tree.nodes.len()];
        for run in &self.runs {
            let stations = &self.basis.layout.courses[&run.id].stations;
            for i in 1..run.count {
                let along = stations[i].ground_m.zip(stations[i - 1].ground_m).map(|(high, low)| high - low);
                rises[run.first + i] = match self.tree.nodes[run.first + i].tie {
                    Tie::Rise { least_m, most_m } => along.unwrap_or(0.0).min(most_m).max(least_m),
                    Tie::Straight { .. } => along.unwrap_or(0.0),
                };
            }
        }
        rises
    }

    /// True for a rise wished for so that a line carries its water, false for one so that it carries its silt.
    pub fn is_to_carry(&self, wish: &Missing) -> bool {
        wish.price > self.basis.plan.prices.missing_rise_per_m
    }

    /// True if a node lies at a level given by a person or an outlet.
    pub fn is_fixed(&self, node: usize) -> bool {
        let run = self.run_of(node);
        run.laid.levels[node - run.first].is_some()
    }

    fn lay(&mut self, id: LineId, line: &'a Line, sizes: &Sizes, loose: &Loose) {
        let size_m = sizes[&id];
        let end_m = pipe_of(self.basis.plan, line, size_m, line.length_m())[0].size_m;
        let (start, is_loose) = (self.start(id, line, end_m), loose.contains(&id));
        let laid = self.basis.known.laid.borrow_mut().of(self.basis, id, size_m, &start, is_loose);
        let (first, count) = (self.tree.nodes.len(), laid.levels.len());
        if let Joins::Outlet(outlet) = line.joins {
            self.outlets.entry(outlet).or_insert(first);
        }
        let bounds = laid.tree.nodes[0].bounds;
        let (down, bounds) = match &start {
            Start::AtLeast(level_m) if laid.levels[0].is_none() => (None, (*level_m, f64::INFINITY)),
            Start::Joint(node, tie) if !laid.misses_joint => (Some((*node, *tie)), bounds),
            _ => (None, bounds),
        };
        self.tree.add_line(&laid, down, bounds, self.basis.is_tight);
        self.base.extend_from_slice(&laid.base);
        self.index.insert(id, self.runs.len());
        self.runs.push(Run { id, first, count, size_m, laid, start, is_loose });
    }

    fn start(&self, id: LineId, line: &Line, size_m: f64) -> Start {
        match line.joins {
            Joins::Nothing => Start::Free,
            Joins::Outlet(outlet) => match &self.basis.plan.outlets[&outlet] {
                free if free.invert_free => match self.outlets.get(&outlet) {
                    Some(node) => Start::Joint(*node, Tie::Rise { least_m: 0.0, most_m: 0.0 }),
                    None => Start::AtLeast(least_outlet_m(self.basis.plan, free)),
                },
                given => Start::Level(given.invert_m),
            },
            Joins::Line(main) => {
                let main_line = &self.basis.plan.lines[&main];
                let Some(joint) = self.basis.layout.joint(id) else { return Start::Free };
                match self.node_at(main, joint.station_m) {
                    Some(node) => Start::Joint(node, self.entry(line, size_m, main, node)),
                    None => old_joint(main_line, line, joint.station_m),
                }
            }
        }
    }

    /// A lateral enters its main in the upper half, its own top no higher than the main's ([MSU-sed], [OLD1912]), or at
    /// the drop that was set; a line that carries on from the main's upper end starts at its invert.
    fn entry(&self, line: &Line, size_m: f64, main: LineId, node: usize) -> Tie {
        let run = &self.runs[self.index[&main]];
        let station_m = self.basis.layout.courses[&main].stations[node - run.first].station_m;
        let pipe = pipe::at(&run.laid.pipe, station_m);
        let (main_size_m, over_m) = (pipe.size_m, pipe.over_guide_m);
        let centre_m = main_size_m / 2.0;
        let (least_m, most_m) = match line.drop_m {
            _ if node + 1 == run.first + run.count => (0.0, 0.0),
            Some(drop_m) => (centre_m + drop_m, centre_m + drop_m),
            None => (centre_m, centre_m.max(main_size_m - size_m)),
        };
        Tie::Rise { least_m: least_m + over_m, most_m: most_m + over_m }
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

/// A tree of some nodes only, which hold everything downstream of each of them.
pub(crate) fn part(tree: &Tree, members: &[usize]) -> Tree {
    let mut new = Tree::default();
    for &i in members {
        let node = &tree.nodes[i];
        let down = node.down.and_then(|down| members.binary_search(&down).ok());
        new.push(down.map(|down| (down, node.tie)), node.bounds, tree.slopes(i));
        new.wish(tree.missing(i).iter().copied());
        new.limit(tree.between(i).iter().copied());
    }
    new
}
