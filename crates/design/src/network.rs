//! The new lines of a plan as one optimisation problem: every limit of the plan as a bound, a tie or a penalty.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use plan::{Joins, Line, LineId, Outlet, OutletId, Plan};

use crate::clash::Cause;
use crate::course::{self, nearest_station};
use crate::line_cache::{AtHand, LineBlock};
use crate::line_problem::LineProblem;
use crate::passing::Passed;
use crate::{Layout, Pipe, Steps, Tie, Tree, WantedRise, pipe, pipe_of};

/// What a network's problem is built from.
#[derive(Clone, Copy)]
pub(crate) struct Inputs<'a> {
    pub plan: &'a Plan,
    pub layout: &'a Layout,
    /// The lines of the network, downstream first.
    pub lines: &'a [LineId],
    /// Bounds that keep the clearance where lines cross without a joint.
    pub clear: &'a [Clear],
    /// Utilities whose level was exposed, and the side on which each is passed.
    pub passed: &'a [Passed],
    /// True if lines sized by flow must be steep enough to carry it.
    pub must_carry: bool,
    /// True if lines sized by flow may change their size along their way.
    pub may_step: bool,
    /// Least grade of all lines, as a ratio, in addition to the plan's limits; 0 for none.
    pub least_even: f64,
    /// Lines to which that does not apply.
    pub flat: &'a BTreeSet<LineId>,
    /// True if span constraints are kept; false while sizes are chosen.
    pub is_tight: bool,
    /// What is remembered from before.
    pub known: &'a AtHand,
}

impl<'a> Inputs<'a> {
    /// The plan's own limits and nothing else.
    pub fn of(plan: &'a Plan, layout: &'a Layout, known: &'a AtHand) -> Self {
        const NONE: &BTreeSet<LineId> = &BTreeSet::new();
        Self {
            plan,
            layout,
            lines: &layout.order,
            clear: &[],
            passed: &[],
            must_carry: true,
            may_step: true,
            least_even: 0.0,
            flat: NONE,
            is_tight: true,
            known,
        }
    }
}

/// Lowest and highest invert at a station of a line, to keep a clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Clear {
    pub line: LineId,
    pub station_m: f64,
    pub bounds_m: (f64, f64),
    pub cause: Cause,
}

/// Sizes along the new lines.
pub(crate) type Sizes = BTreeMap<LineId, Steps>;

/// Branches whose lowest given level cannot be reached from the joint at any allowed grade: they run straight between the
/// two, or, with the level given at the joint itself, miss it.
pub(crate) type Loose = BTreeSet<LineId>;

/// One new line; its stations are consecutive nodes of the tree.
#[derive(Debug, Clone)]
pub(crate) struct NetworkLine {
    pub id: LineId,
    /// Index of its first node.
    pub first: usize,
    /// Number of its stations.
    pub count: usize,
    /// Sizes where no stretch has its own.
    pub steps: Steps,
    /// Its part of the problem.
    pub block: Arc<LineBlock>,
    /// What determines the level of its downstream end.
    pub start: Start,
    /// True if it is detached from its joint ([`Loose`]).
    pub is_loose: bool,
}

/// The problem of all new lines.
pub(crate) struct Network<'a> {
    pub inputs: Inputs<'a>,
    pub runs: Vec<NetworkLine>,
    pub tree: Tree,
    /// Cost of each node at its wanted depth; the tree's costs are relative to that.
    pub base: Vec<f64>,
    index: BTreeMap<LineId, usize>,
    /// The first node at each outlet.
    outlets: BTreeMap<OutletId, usize>,
}

impl Drop for Network<'_> {
    fn drop(&mut self) {
        let mut tree = std::mem::take(&mut self.tree);
        tree.clear();
        self.inputs.known.trees.borrow_mut().push(tree);
    }
}

/// What determines the level of a line's downstream end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Start {
    /// A given level.
    Level(f64),
    /// A level to be chosen, at least this one.
    AtLeast(f64),
    /// A station of another line, and the rise over it.
    Joint(usize, Tie),
    /// Nothing: it is free.
    Free,
}

impl<'a> Network<'a> {
    /// Builds the problem for given pipe sizes.
    pub fn of(inputs: Inputs<'a>, sizes: &Sizes, loose: &Loose) -> Self {
        let mut network = Self {
            inputs,
            runs: Vec::new(),
            tree: inputs.known.trees.borrow_mut().pop().unwrap_or_default(),
            base: Vec::new(),
            index: BTreeMap::new(),
            outlets: BTreeMap::new(),
        };
        for id in inputs.lines {
            let line = &inputs.plan.lines[id];
            if !line.kind.is_old() {
                network.lay(*id, line, sizes, loose);
            }
        }
        network
    }

    /// Index of the node nearest to a station of a line.
    pub fn node_at(&self, id: LineId, station_m: f64) -> Option<usize> {
        let run = &self.runs[*self.index.get(&id)?];
        Some(run.first + nearest_station(&self.inputs.layout.courses[&id].stations, station_m))
    }

    /// The line of a node.
    pub fn run_of(&self, node: usize) -> &NetworkLine {
        &self.runs[self.runs.partition_point(|run| run.first <= node) - 1]
    }

    /// The problem of a single line, with the cause of each limit.
    pub fn problem_of(&self, run: &NetworkLine) -> LineProblem<'a> {
        let line = &self.inputs.plan.lines[&run.id];
        LineProblem::of(self.inputs, run.id, line, &run.steps, &run.start, run.is_loose)
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
        let stations = &self.inputs.layout.courses[&id].stations;
        let after = stations.partition_point(|station| station.station_m < station_m).clamp(1, run.count.max(2) - 1);
        let at = |i: usize| Some((stations.get(i)?.station_m, *levels.get(run.first + i)?));
        let guide_m = terrain::Piece::straight(at(after - 1)?, at(after)?).at(station_m);
        Some(guide_m + pipe::at(&run.block.pipe, station_m).over_guide_m)
    }

    /// The pipe at a station of a line.
    pub fn pipe_at(&self, id: LineId, station_m: f64) -> Option<&Pipe> {
        Some(pipe::at(&self.runs[*self.index.get(&id)?].block.pipe, station_m))
    }

    /// Cost of levels at the plan's cost weights.
    pub fn cost(&self, levels: &[f64]) -> f64 {
        self.tree.cost(levels) + self.base_cost()
    }

    /// Cost of all stations at their wanted depth.
    pub fn base_cost(&self) -> f64 {
        self.base.iter().sum()
    }

    /// Cost of digging and of missing depth, without penalties on flat grades and missing rise.
    pub fn digging_cost(&self, levels: &[f64]) -> f64 {
        (0..levels.len()).map(|node| self.base[node] + self.tree.own_cost(node, levels[node])).sum()
    }

    /// The same for one line.
    pub fn digging_cost_of(&self, run: &NetworkLine, levels: &[f64]) -> f64 {
        let nodes = run.first..run.first + run.count;
        nodes.map(|node| self.base[node] + self.tree.own_cost(node, levels[node])).sum()
    }

    /// The same for each network, by its outlet node.
    pub fn digging_by_root(&self, levels: &[f64]) -> BTreeMap<usize, f64> {
        let mut by_root = BTreeMap::new();
        for run in &self.runs {
            *by_root.entry(self.root_of(run.first)).or_insert(0.0) += self.digging_cost_of(run, levels);
        }
        by_root
    }

    /// Rises of pipes that follow the ground from station to station as closely as their grades allow.
    pub fn rises_at_cover(&self) -> Vec<f64> {
        let mut rises = vec![0.0; self.tree.nodes.len()];
        for run in &self.runs {
            let stations = &self.inputs.layout.courses[&run.id].stations;
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

    /// True if a rise is wanted so that the line carries its flow, false if so that it carries its silt.
    pub fn is_to_carry(&self, wanted_rise: &WantedRise) -> bool {
        wanted_rise.price > self.inputs.plan.cost_weights.missing_rise_per_m
    }

    /// True if the level of a node is given by a person or an outlet.
    pub fn is_fixed(&self, node: usize) -> bool {
        let run = self.run_of(node);
        run.block.levels[node - run.first].is_some()
    }

    fn lay(&mut self, id: LineId, line: &'a Line, sizes: &Sizes, loose: &Loose) {
        let steps = &sizes[&id];
        let end_m = pipe_of(self.inputs.plan, line, steps, line.length_m())[0].size_m;
        let (start, is_loose) = (self.start(id, line, end_m), loose.contains(&id));
        let block = self.inputs.known.blocks.borrow_mut().of(self.inputs, id, steps, &start, is_loose);
        let (first, count) = (self.tree.nodes.len(), block.levels.len());
        if let Joins::Outlet(outlet) = line.joins {
            self.outlets.entry(outlet).or_insert(first);
        }
        let bounds = block.tree.nodes[0].bounds;
        let (down, bounds) = match &start {
            Start::AtLeast(level_m) if block.levels[0].is_none() => (None, (*level_m, f64::INFINITY)),
            Start::Joint(node, tie) if !block.misses_joint => (Some((*node, *tie)), bounds),
            _ => (None, bounds),
        };
        self.tree.add_line(&block, down, bounds, self.inputs.is_tight);
        self.base.extend_from_slice(&block.base);
        self.index.insert(id, self.runs.len());
        self.runs.push(NetworkLine { id, first, count, steps: steps.clone(), block, start, is_loose });
    }

    fn start(&self, id: LineId, line: &Line, size_m: f64) -> Start {
        match line.joins {
            Joins::Nothing => Start::Free,
            Joins::Outlet(outlet) => match &self.inputs.plan.outlets[&outlet] {
                free if free.invert_free => match self.outlets.get(&outlet) {
                    Some(node) => Start::Joint(*node, Tie::Rise { least_m: 0.0, most_m: 0.0 }),
                    None => Start::AtLeast(least_outlet_m(self.inputs.plan, free)),
                },
                given => Start::Level(given.invert_m),
            },
            Joins::Line(main) => {
                let main_line = &self.inputs.plan.lines[&main];
                let Some(joint) = self.inputs.layout.joint(id) else { return Start::Free };
                match self.node_at(main, joint.station_m) {
                    Some(node) => Start::Joint(node, self.entry(line, size_m, main, node)),
                    None => old_joint(main_line, line, joint.station_m),
                }
            }
        }
    }

    fn entry(&self, line: &Line, size_m: f64, main: LineId, node: usize) -> Tie {
        let run = &self.runs[self.index[&main]];
        let station_m = self.inputs.layout.courses[&main].stations[node - run.first].station_m;
        entry(line, size_m, pipe::at(&run.block.pipe, station_m), node + 1 == run.first + run.count)
    }
}

/// A lateral enters the pipe of its main in the upper half, its own top no higher than the main's ([MSU-sed], [OLD1912]), or
/// at the drop that was set; a line that carries on from the main's upper end starts at its invert.
pub(crate) fn entry(line: &Line, size_m: f64, main: &Pipe, carries_on: bool) -> Tie {
    let centre_m = main.size_m / 2.0;
    let (least_m, most_m) = match line.drop_m {
        _ if carries_on => (0.0, 0.0),
        Some(drop_m) => (centre_m + drop_m, centre_m + drop_m),
        None => (centre_m, centre_m.max(main.size_m - size_m)),
    };
    Tie::Rise { least_m: least_m + main.over_guide_m, most_m: most_m + main.over_guide_m }
}

/// Lowest invert of an outlet: the wanted height above channel bottom and low water.
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

/// A tree of some nodes, which must include everything downstream of each.
pub(crate) fn part(tree: &Tree, members: &[usize]) -> Tree {
    let mut new = Tree::default();
    for &i in members {
        let node = &tree.nodes[i];
        let down = node.down.and_then(|down| members.binary_search(&down).ok());
        new.push(down.map(|down| (down, node.tie)), node.bounds, tree.hinges(i));
        new.want(tree.wanted_rises(i).iter().copied());
        new.constrain(tree.span_constraints(i).iter().copied());
    }
    new
}
