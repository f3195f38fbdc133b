//! Profile simplification of a whole network: each line from its cheapest levels, mains before the branches that join them.

use std::collections::BTreeMap;
use std::sync::Arc;

use terrain::Piece;

use crate::convex_cost::CostTable;
use crate::even::Even;
use crate::levels::Solved;
use crate::line_cache::LineBlock;
use crate::network::NetworkLine;
use crate::simplify::{Simplified, Unsimplified};
use crate::{Memory, ON_LIMIT_M, Tie, Tree, WantedRise, pipe};

/// Cost of a branch that joins at a station, counted from the line's first.
#[derive(Debug, Clone)]
struct Entering(usize, Arc<CostTable>);

impl PartialEq for Entering {
    /// True for the same table in memory; equal tables in two places count as different.
    fn eq(&self, other: &Self) -> bool {
        self.0 == other.0 && Arc::ptr_eq(&self.1, &other.1)
    }
}

/// A simplified profile with everything it depends on.
pub(crate) type KnownProfile = (Content, Simplified);

/// Everything the simplified profile of a line depends on.
#[derive(Debug, Clone)]
pub(crate) struct Content {
    block: Arc<LineBlock>,
    /// Its cheapest levels given the level it starts from, metres.
    cheapest_m: Vec<f64>,
    /// Bounds of its first station, and the levels at which it may start, metres.
    first: [(f64, f64); 2],
    entering: Vec<Entering>,
    /// What a single grade from end to end may add to the cost of digging.
    even_margin: f64,
}

impl Content {
    fn of(solved: &Solved, run: &NetworkLine, levels: &[f64], branches: &Branches, whole: f64) -> Self {
        let first = solved.network.tree.nodes[run.first].bounds;
        let nodes = run.first..run.first + run.count;
        let entering = |(at, all): (&usize, &Vec<Arc<CostTable>>)| {
            let at = *at - run.first;
            all.iter().map(|parts| Entering(at, parts.clone())).collect::<Vec<_>>()
        };
        Self {
            block: run.block.clone(),
            cheapest_m: levels[nodes.clone()].to_vec(),
            first: [first, start(solved, run, levels, first)],
            entering: branches.range(nodes).flat_map(entering).collect(),
            even_margin: even_margin(whole, solved.network.digging_cost_of(run, levels)),
        }
    }

    fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.block, &other.block)
            && self.cheapest_m == other.cheapest_m
            && self.first == other.first
            && self.entering == other.entering
            && self.even_margin == other.even_margin
    }
}

/// At most a third of the line's own cost: beyond that the levels are no longer nearly as good (judgement).
fn even_margin(whole: f64, own_cost: f64) -> f64 {
    whole.min(own_cost / 3.0)
}

/// Branches by the node they join.
type Branches = BTreeMap<usize, Vec<Arc<CostTable>>>;

/// Grade limit for a reach between two given levels, where no limit applies.
const ANY_GRADE: f64 = 10.0;

/// Simplifies every line's profile; returns one for each line of the network.
pub(crate) fn simplify_all(solved: &Solved, memory: &mut Memory) -> Vec<Simplified> {
    let (network, tree) = (&solved.network, solved.tree());
    let mut costs: BTreeMap<usize, Arc<CostTable>> = BTreeMap::new();
    let bounds = tree.tightened(&tree.rises(&solved.levels));
    let gathered = tree.gather(&bounds, &mut network.inputs.known.costs.borrow_mut(), Some(&mut costs));
    let Ok(places) = gathered else {
        // Even with every bound replaced by a penalty there was no solution: profiles stay unsimplified.
        let lines = network
            .runs
            .iter()
            .map(|run| unsimplified(solved, run, &solved.levels, &mut BTreeMap::new(), 0.0).keep());
        return lines.collect();
    };
    let mut branches = Branches::new();
    for (node, parts) in costs {
        if let Some(down) = tree.nodes[node].down {
            branches.entry(down).or_default().push(parts);
        }
    }
    // What a single grade from end to end may cost: the margin of the whole network.
    let whole = network.inputs.plan.cost_weights.margin * network.digging_cost(&solved.levels);
    let whole = if solved.is_held { in_steps(whole) } else { -1.0 };
    let mut levels = solved.levels.clone();
    let mut lines: Vec<Option<Simplified>> = vec![None; network.runs.len()];
    for generation in generations(tree, &network.runs) {
        let mut new: Vec<(usize, Unsimplified, Option<Simplified>)> = Vec::new();
        for index in generation {
            let run = &network.runs[index];
            for node in run.first..run.first + run.count {
                if let Some(down) = tree.nodes[node].down {
                    levels[node] = tree.settle_at(node, levels[down], &places);
                }
            }
            let content = Content::of(solved, run, &levels, &branches, whole);
            match memory.profiles.get(&run.id).filter(|(known, _)| known.is(&content)) {
                Some((_, simplified)) => lines[index] = Some(simplified.clone()),
                None => {
                    new.push((index, unsimplified(solved, run, &levels, &mut branches, whole), None));
                    memory.profiles.insert(run.id, (content, Simplified::default()));
                }
            }
        }
        simplify_new(&mut new, memory.threads);
        for (index, unsimplified, simplified) in new {
            let simplified = simplified.unwrap_or_else(|| unsimplified.simplified());
            if let Some((_, known)) = memory.profiles.get_mut(&network.runs[index].id) {
                known.clone_from(&simplified);
            }
            lines[index] = Some(simplified);
        }
        for (run, simplified) in network.runs.iter().zip(&lines) {
            if let Some(simplified) = simplified {
                levels[run.first..run.first + run.count].copy_from_slice(&simplified.levels_m);
            }
        }
    }
    lines.into_iter().flatten().collect()
}

/// A cost rounded down by less than 2 %, so that a small change somewhere else does not invalidate every line.
fn in_steps(cost: f64) -> f64 {
    const STEP: f64 = 1.02;
    if cost > 0.0 { STEP.powf(cost.log(STEP).floor()) } else { cost }
}

/// Indices of the lines in groups: each line joins one of an earlier group.
fn generations(tree: &Tree, runs: &[NetworkLine]) -> Vec<Vec<usize>> {
    let mut turn = vec![0; runs.len()];
    let mut turns: Vec<Vec<usize>> = Vec::new();
    for (index, run) in runs.iter().enumerate() {
        if let Some(down) = tree.nodes[run.first].down {
            turn[index] = turn[runs.partition_point(|run| run.first <= down) - 1] + 1;
        }
        turns.resize(turns.len().max(turn[index] + 1), Vec::new());
        turns[turn[index]].push(index);
    }
    turns
}

/// Simplifies the lines that are not in memory, in so many threads; each depends on nothing but itself.
fn simplify_new(unsimplified: &mut [(usize, Unsimplified, Option<Simplified>)], threads: usize) {
    let mut unknown: Vec<_> = unsimplified.iter_mut().filter(|(_, _, simplified)| simplified.is_none()).collect();
    let part = unknown.len().div_ceil(threads.max(1)).max(1);
    std::thread::scope(|scope| {
        let mut parts = unknown.chunks_mut(part);
        let own = parts.next();
        for others in parts {
            scope.spawn(|| {
                others
                    .iter_mut()
                    .for_each(|(_, unsimplified, simplified)| *simplified = Some(unsimplified.simplified()))
            });
        }
        own.into_iter()
            .flatten()
            .for_each(|(_, unsimplified, simplified)| *simplified = Some(unsimplified.simplified()));
    });
}

/// The unsimplified profile of a line from given cheapest levels. A single grade from end to end may add `whole` to the
/// digging cost; if negative it is not looked for.
fn unsimplified(
    solved: &Solved,
    run: &NetworkLine,
    levels: &[f64],
    branches: &mut Branches,
    whole: f64,
) -> Unsimplified {
    let network = &solved.network;
    let cheapest_m = &levels[run.first..run.first + run.count];
    // What a line uses of its margin shifts the start of its branches, whose own margins must not add to it.
    let margin = network.inputs.plan.cost_weights.margin;
    let share = margin / (1.0 + margin);
    let own_cost = network.digging_cost_of(run, levels);
    let nodes = &network.tree.nodes[run.first..run.first + run.count];
    let stations_m: Vec<f64> = network.inputs.layout.courses[&run.id].stations.iter().map(|s| s.station_m).collect();
    let entering: Vec<Vec<Arc<CostTable>>> =
        (0..run.count).map(|i| branches.remove(&(run.first + i)).unwrap_or_default()).collect();
    let mut bounds_m: Vec<(f64, f64)> = nodes.iter().map(|node| node.bounds).collect();
    for ((bounds, parts), level) in bounds_m.iter_mut().zip(&entering).zip(cheapest_m) {
        for (low, high) in parts.iter().map(|parts| parts.range) {
            *bounds = (bounds.0.max(low), bounds.1.min(high));
        }
        // If limits contradict each other the least-bad level is allowed.
        *bounds = (bounds.0.min(*level), bounds.1.max(*level));
    }
    let (mut between, mut between_from) = (Vec::new(), vec![0]);
    for i in 0..run.count - 1 {
        between.extend(network.tree.span_constraints(run.first + i + 1).iter().map(|limit| {
            let level_m = cheapest_m[i] + (cheapest_m[i + 1] - cheapest_m[i]) * limit.share;
            let station_m = stations_m[i] + (stations_m[i + 1] - stations_m[i]) * limit.share;
            (station_m, limit.low.min(level_m), limit.high.max(level_m))
        }));
        between_from.push(between.len());
    }
    // A wanted rise that the cheapest profile grants is not given up for fewer breaks.
    let grade = |i: usize, is_kept: &dyn Fn(&WantedRise) -> bool| match nodes[i + 1].tie {
        Tie::Rise { least_m, most_m } if nodes[i + 1].down == Some(run.first + i) => {
            let length_m = stations_m[i + 1] - stations_m[i];
            let rise_m = cheapest_m[i + 1] - cheapest_m[i];
            let wanted_rise = run.block.wanted[i].filter(is_kept);
            let granted_m = wanted_rise.map_or(least_m, |wanted_rise| wanted_rise.wanted_m.min(rise_m));
            ((least_m.max(granted_m.min(most_m)) / length_m).max(-ANY_GRADE), (most_m / length_m).min(ANY_GRADE))
        }
        _ => (-ANY_GRADE, ANY_GRADE),
    };
    let is_given = |i: usize| run.block.levels[i].is_some() || (i > 0 && nodes[i].down != Some(run.first + i - 1));
    let reaches = 0..run.count - 1;
    Unsimplified {
        grades: reaches.clone().map(|i| grade(i, &|_| true)).collect(),
        firm: reaches.map(|i| grade(i, &|wanted_rise| network.is_to_carry(wanted_rise))).collect(),
        between,
        between_from,
        hinges: (0..run.count).map(|i| network.tree.hinges(run.first + i).to_vec()).collect(),
        fixed: (0..run.count).map(is_given).collect(),
        pinned: run.block.pinned.clone(),
        wanted: run.block.wanted.clone(),
        even: Even::of(&network.inputs.plan.cost_weights),
        start: start(solved, run, levels, bounds_m[0]),
        unprotected: unprotected(solved, run, cheapest_m),
        cheapest_m: cheapest_m.to_vec(),
        margin: share * own_cost,
        even_margin: even_margin(whole, own_cost),
        branches: entering,
        bounds_m,
        stations_m,
    }
}

/// Levels above which the trench of a line needs no protection, along its ground: station and level, metres; empty if its
/// cheapest levels go below one of them.
fn unprotected(solved: &Solved, run: &NetworkLine, cheapest_m: &[f64]) -> Vec<(f64, f64)> {
    let (plan, course) = (solved.network.inputs.plan, &solved.network.inputs.layout.courses[&run.id]);
    let mut levels = Vec::new();
    for (i, span) in course.spans.iter().enumerate() {
        let laid = pipe::above(&run.block.pipe, course.stations[i].station_m);
        let below_m = laid.wall_m() + plan.criteria.bedding_m;
        let depth_m = plan.criteria.protected_trench_m - ON_LIMIT_M - below_m + laid.over_guide_m;
        let station = |i: usize| (course.stations[i].station_m, cheapest_m[i]);
        let pipe = Piece::straight(station(i), station(i + 1));
        for (station_m, ground_m) in &span.roof {
            if pipe.at(*station_m) < ground_m - depth_m {
                return Vec::new();
            }
            levels.push((*station_m, ground_m - depth_m));
        }
    }
    levels
}

/// Lowest and highest level at which a line may start, given its joint and its own bounds.
fn start(solved: &Solved, run: &NetworkLine, levels: &[f64], bounds: (f64, f64)) -> (f64, f64) {
    let node = &solved.network.tree.nodes[run.first];
    match (node.down, node.tie) {
        (Some(down), Tie::Rise { least_m, most_m }) => {
            (bounds.0.max(levels[down] + least_m), bounds.1.min(levels[down] + most_m))
        }
        (Some(_), Tie::Straight { .. }) => (levels[run.first], levels[run.first]),
        (None, _) => bounds,
    }
}
