//! Why no grade line holds every limit: which two limits leave no level between them, and where the least-bad line gives way.

use plan::{Joins, LandmarkId, LineId, OutletId};

use crate::Tree;
use crate::levels::Solved;
use crate::network::{Network, Run, part};
use crate::pipe;
use crate::tight::Source;

/// Breaches under this are rounding, metres.
const ROUNDING_M: f64 = 1e-6;

/// What sets a limit on the level of a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// The level of the outlet.
    Outlet(OutletId),
    /// The level of the old line that is joined.
    Joint(LineId),
    /// A level that a person fixed.
    Fixed,
    /// The least cover.
    Cover,
    /// The reach of the machine.
    Machine,
    /// Something in the ground that a person entered to be passed, by its number on the line.
    Pass(usize),
    /// A line that is crossed apart.
    Apart(LineId),
    /// A utility whose level was exposed, passed over where it asks for a higher pipe, else under.
    Utility(LandmarkId),
}

/// What sets the flattest grade of a reach.
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
    /// Nothing flatter where there is fall for it.
    Even,
}

/// One of the two limits that clash: how it bounds the invert at the place where they meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// What sets it.
    pub cause: Cause,
    /// The line on which it is set.
    pub line: LineId,
    /// Where it is set, metres from that line's downstream end.
    pub station_m: f64,
    /// The level that it sets there, metres.
    pub level_m: f64,
    /// The level to which that leads where the two meet, metres.
    pub there_m: f64,
    /// What sets the flattest grade on the way, where the way is as flat as may be.
    pub flattest: Option<Flattest>,
}

/// On which side of a limit the least-bad line lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Broken {
    /// The pipe lies too high: cover, or something it must pass under.
    TooHigh,
    /// The pipe lies too low: the machine's reach, or something it must pass over.
    TooLow,
    /// A branch does not fit its joint and its fixed level at once.
    Joint,
}

/// A place where the least-bad line breaks a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breach {
    /// The line.
    pub line: LineId,
    /// Where it is worst, metres from the downstream end.
    pub station_m: f64,
    /// What is broken.
    pub broken: Broken,
    /// By how much, metres; 0 for a joint.
    pub by_m: f64,
}

/// A network on which no grade line holds every limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Clash {
    /// The line on which the two limits meet, and where, metres from its downstream end.
    pub line: LineId,
    /// The station.
    pub station_m: f64,
    /// What asks the invert to lie so high or higher, and what so low or lower; `None` where a branch does not fit its joint.
    pub bounds: Option<(Bound, Bound)>,
    /// The two limits that meet on the other side of a utility, where one of the two is that the line passes it.
    pub other_side: Option<(Bound, Bound)>,
    /// Where the least-bad line gives way: the worst place of each line and kind.
    pub breaches: Vec<Breach>,
}

impl Clash {
    /// By how much the two limits miss each other, metres.
    pub fn by_m(&self) -> Option<f64> {
        self.bounds.map(|(lowest, highest)| lowest.there_m - highest.there_m)
    }
}

/// Every clash: one for each network that has any.
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

/// The worst breach of each line and kind.
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

/// Where a line lies too high and where too low by most: station, and by how much, metres.
fn worst_of(network: &Network, run: &Run, levels: &[f64]) -> [(f64, f64); 2] {
    let (tree, stations) = (&network.tree, &network.basis.layout.courses[&run.id].stations);
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
        for limit in tree.between(node) {
            let level_m = levels[node - 1] + (levels[node] - levels[node - 1]) * limit.share;
            look(from_m + (to_m - from_m) * limit.share, level_m, (limit.low, limit.high));
        }
    }
    worst
}

/// The clash of a network, with the first of its breaches.
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
    (run.id, network.basis.layout.courses[&run.id].stations[node - run.first].station_m)
}

/// What a source of a range of levels is.
fn bound(network: &Network, source: Source, there_m: f64, is_highest: bool) -> Bound {
    let run = network.run_of(source.node);
    let i = source.node - run.first;
    let (cause, station_m, level_m) = cause(network, run, i, source.between, is_highest);
    let flattest = run.laid.least_by.get(i.saturating_sub(1)).copied().filter(|_| is_highest);
    let over_m = pipe::at(&run.laid.pipe, station_m).over_guide_m;
    Bound { cause, line: run.id, station_m, level_m: level_m + over_m, there_m: there_m + over_m, flattest }
}

/// What sets a bound of a station, or a limit on the way to it: the cause, where it is, and the level it sets.
fn cause(network: &Network, run: &Run, i: usize, between: Option<usize>, is_highest: bool) -> (Cause, f64, f64) {
    let laying = network.laying(run);
    let station_m = network.basis.layout.courses[&run.id].stations[i].station_m;
    let level = |limit: &crate::laying::Limit| if is_highest { limit.high_m } else { limit.low_m };
    let mut limits = Vec::new();
    match between {
        Some(k) => {
            laying.limits_between(i - 1, |limit| limits.push(limit));
            limits.truncate(k + 1);
            limits.reverse();
            limits.truncate(1);
        }
        None => laying.limits_at(i, |limit| limits.push(limit)),
    }
    if let (None, Some(level_m)) = (between, laying.levels[i]) {
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

/// What gave a station its level.
fn given(network: &Network, run: &Run, i: usize) -> Cause {
    let line = &network.basis.plan.lines[&run.id];
    match line.joins {
        _ if run.laid.pinned[i] => Cause::Fixed,
        Joins::Outlet(outlet) if i == 0 => Cause::Outlet(outlet),
        Joins::Line(main) if i == 0 && network.basis.plan.lines.get(&main).is_some_and(|m| m.kind.is_old()) => {
            Cause::Joint(main)
        }
        _ => Cause::Fixed,
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
