//! Why a network is infeasible: which two limits contradict each other, and where the least-bad profile violates a limit.

use plan::{Joins, LandmarkId, LineId, OutletId};

use crate::Tree;
use crate::between_stations::Source;
use crate::levels::Solved;
use crate::network::{Network, NetworkLine, part};
use crate::pipe;

/// Violations below this are rounding, metres.
const ROUNDING_M: f64 = 1e-6;

/// What a limit on the level of a pipe comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// The level of the outlet.
    Outlet(OutletId),
    /// The level of the old line that is joined.
    Joint(LineId),
    /// A level that a person locked.
    Locked,
    /// The least cover.
    Cover,
    /// The depth the machine can dig.
    Machine,
    /// Something in the ground that a person entered to be passed, by its index on the line.
    Pass(usize),
    /// A line that is crossed without a joint, and to which clearance is kept.
    Crossing(LineId),
    /// A utility whose level was exposed: passed over if the limit asks for a higher pipe, else under.
    Utility(LandmarkId),
}

/// What the least grade of a stretch of pipe comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flattest {
    /// The full pipe must keep itself clean.
    Clean,
    /// It must carry silt.
    Silt,
    /// It must carry its flow.
    Flow,
    /// A person holds the grade.
    Held,
    /// The job's even grade.
    Even,
}

/// One of two limits that contradict each other, and the bound it puts on the invert where the two meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Where it comes from.
    pub cause: Cause,
    /// The line it applies to.
    pub line: LineId,
    /// Where on that line, metres from its downstream end.
    pub station_m: f64,
    /// The level it allows there, metres.
    pub level_m: f64,
    /// The level that follows from it where the two limits meet, metres.
    pub there_m: f64,
    /// Where the least grade on the way between the two comes from, if the way is as flat as allowed.
    pub flattest: Option<Flattest>,
}

/// How the least-bad profile violates a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Broken {
    /// The pipe lies too high: cover, or something it must pass under.
    TooHigh,
    /// The pipe lies too low: digging depth, or something it must pass over.
    TooLow,
    /// A branch does not fit its joint and its given level at once.
    Joint,
}

/// A place where the least-bad profile violates a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breach {
    /// The line.
    pub line: LineId,
    /// Where it is worst, metres from the downstream end.
    pub station_m: f64,
    /// How.
    pub broken: Broken,
    /// By how much, metres; 0 for a joint.
    pub by_m: f64,
}

/// A network for which no levels satisfy every limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Clash {
    /// The line on which the two limits meet.
    pub line: LineId,
    /// Where on it, metres from its downstream end.
    pub station_m: f64,
    /// The limit that asks for so high an invert or higher, and the one that asks for so low or lower; `None` if a branch
    /// does not fit its joint.
    pub bounds: Option<(Bound, Bound)>,
    /// The two limits that would contradict each other if the utility of `bounds` were passed on its other side.
    pub other_side: Option<(Bound, Bound)>,
    /// Where the least-bad profile violates limits: the worst place for each line and kind.
    pub breaches: Vec<Breach>,
}

impl Clash {
    /// By how much the two limits contradict each other, metres.
    pub fn by_m(&self) -> Option<f64> {
        self.bounds.map(|(lowest, highest)| lowest.there_m - highest.there_m)
    }
}

/// All clashes, at most one for each network.
pub(crate) fn clashes(solved: &Solved, levels: &[f64]) -> Vec<Clash> {
    let network = &solved.network;
    let mut found: Vec<(usize, Clash)> = Vec::new();
    for breach in breaches(solved, levels) {
        let Some(root) = network.node_at(breach.line, 0.0).map(|node| network.root_of(node)) else { continue };
        match found.iter_mut().find(|(other, _)| *other == root) {
            Some((_, clash)) => clash.breaches.push(breach),
            None => found.push((root, clash_of(network, root, breach))),
        }
    }
    found.into_iter().map(|(_, clash)| clash).collect()
}

/// The worst violation of each line and kind.
fn breaches(solved: &Solved, levels: &[f64]) -> Vec<Breach> {
    let network = &solved.network;
    let mut found = Vec::new();
    for run in &network.runs {
        let worst = worst_of(network, run, levels);
        let broken = [(Broken::TooHigh, worst[0]), (Broken::TooLow, worst[1])];
        found.extend(
            broken
                .into_iter()
                .filter(|(_, (_, by_m))| *by_m > ROUNDING_M)
                .map(|(broken, (station_m, by_m))| Breach { line: run.id, station_m, broken, by_m }),
        );
        if solved.loose.contains(&run.id) {
            found.push(Breach { line: run.id, station_m: 0.0, broken: Broken::Joint, by_m: 0.0 });
        }
    }
    found
}

/// The worst place of a line for being too high, and for being too low: station and by how much, metres.
fn worst_of(network: &Network, run: &NetworkLine, levels: &[f64]) -> [(f64, f64); 2] {
    let (tree, stations) = (&network.tree, &network.inputs.layout.courses[&run.id].stations);
    let mut worst = [(0.0, f64::NEG_INFINITY); 2];
    let mut look = |station_m: f64, level_m: f64, (low, high): (f64, f64)| {
        for (worst, by_m) in worst.iter_mut().zip([level_m - high, low - level_m]) {
            if by_m >= worst.1 {
                *worst = (station_m, by_m);
            }
        }
    };
    for i in 0..run.count {
        look(stations[i].station_m, levels[run.first + i], tree.nodes[run.first + i].bounds);
    }
    for i in 1..run.count {
        let node = run.first + i;
        let (from_m, to_m) = (stations[i - 1].station_m, stations[i].station_m);
        for limit in tree.span_constraints(node) {
            let level_m = levels[node - 1] + (levels[node] - levels[node - 1]) * limit.share;
            look(from_m + (to_m - from_m) * limit.share, level_m, (limit.low, limit.high));
        }
    }
    worst
}

/// The clash of a network, with its first violation.
fn clash_of(network: &Network, root: usize, breach: Breach) -> Clash {
    let members = members(&network.tree, root);
    let tree = part(&network.tree, &members);
    let meets = tree.clash().map(|(node, room)| {
        let whole = |source: Source| Source { node: members[source.node], ..source };
        let lowest = bound(network, whole(room.low_by), room.low, false);
        let highest = bound(network, whole(room.high_by), room.high, true);
        (members[node], (lowest, highest))
    });
    let (line, station_m) = meets.map_or((breach.line, breach.station_m), |(node, _)| place(network, node));
    Clash { line, station_m, bounds: meets.map(|(_, bounds)| bounds), other_side: None, breaches: vec![breach] }
}

/// The line and station of a node.
fn place(network: &Network, node: usize) -> (LineId, f64) {
    let run = network.run_of(node);
    (run.id, network.inputs.layout.courses[&run.id].stations[node - run.first].station_m)
}

/// The limit that a source of a feasible range stands for.
fn bound(network: &Network, source: Source, there_m: f64, is_highest: bool) -> Bound {
    let run = network.run_of(source.node);
    let i = source.node - run.first;
    let (cause, station_m, level_m) = cause(network, run, i, source.between, is_highest);
    let flattest = run.block.least_by.get(i.saturating_sub(1)).copied().filter(|_| is_highest);
    let over_m = pipe::at(&run.block.pipe, station_m).over_guide_m;
    Bound { cause, line: run.id, station_m, level_m: level_m + over_m, there_m: there_m + over_m, flattest }
}

/// Where a station's bound or a span constraint comes from: cause, station and level.
fn cause(
    network: &Network,
    run: &NetworkLine,
    i: usize,
    between: Option<usize>,
    is_highest: bool,
) -> (Cause, f64, f64) {
    let problem = network.problem_of(run);
    let station_m = network.inputs.layout.courses[&run.id].stations[i].station_m;
    let level = |limit: &crate::line_problem::Constraint| if is_highest { limit.high_m } else { limit.low_m };
    let mut limits = Vec::new();
    match between {
        Some(k) => {
            problem.limits_between(i - 1, |limit| limits.push(limit));
            limits.truncate(k + 1);
            limits.reverse();
            limits.truncate(1);
        }
        None => problem.limits_at(i, |limit| limits.push(limit)),
    }
    if let (None, Some(level_m)) = (between, problem.levels[i]) {
        return (given(network, run, i), station_m, level_m);
    }
    let (low, high) = network.tree.nodes[run.first + i].bounds;
    let outlet = || (given(network, run, i), station_m, if is_highest { high } else { low });
    let tightest = limits.iter().filter(|limit| level(limit).is_finite()).min_by(|a, b| {
        let (a, b) = (level(a), level(b));
        if is_highest { a.total_cmp(&b) } else { b.total_cmp(&a) }
    });
    tightest.map_or_else(outlet, |limit| (limit.cause, limit.station_m, level(limit)))
}

/// Why a station's level is given.
fn given(network: &Network, run: &NetworkLine, i: usize) -> Cause {
    let line = &network.inputs.plan.lines[&run.id];
    match line.joins {
        _ if run.block.pinned[i] => Cause::Locked,
        Joins::Outlet(outlet) if i == 0 => Cause::Outlet(outlet),
        Joins::Line(main) if i == 0 && network.inputs.plan.lines.get(&main).is_some_and(|m| m.kind.is_old()) => {
            Cause::Joint(main)
        }
        _ => Cause::Locked,
    }
}

/// Nodes that drain to a root, by index.
fn members(tree: &Tree, root: usize) -> Vec<usize> {
    let mut is_in = vec![false; tree.nodes.len()];
    for (i, node) in tree.nodes.iter().enumerate() {
        is_in[i] = i == root || node.down.is_some_and(|down| is_in[down]);
    }
    (0..is_in.len()).filter(|i| is_in[*i]).collect()
}
