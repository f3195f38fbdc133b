//! From the cheapest levels of a whole network to lines that can be dug, each from its downstream end up.

use std::collections::BTreeMap;
use std::sync::Arc;

use plan::LineId;
use terrain::Piece;

use crate::course::Known;
use crate::dig::{Dug, Rough};
use crate::even::Even;
use crate::laid::{Laid, Reused};
use crate::levels::Solved;
use crate::network::Run;
use crate::valley::Parts;
use crate::water::KnownStrips;
use crate::{Missing, ON_LIMIT_M, Tie, Tree, pipe};

/// Lines made diggable before: where nothing about a line has changed its answer is taken again.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    pub(crate) courses: Known,
    pub(crate) strips: KnownStrips,
    pub(crate) reused: Reused,
    lines: BTreeMap<LineId, (Content, Dug)>,
    threads: usize,
}

impl Memory {
    /// Nothing remembered yet, and so many threads to work in; one by default.
    pub fn with_threads(threads: usize) -> Self {
        Self { threads, ..Self::default() }
    }
}

/// What enters at a station of a line, counted from its first.
#[derive(Debug, Clone)]
struct Entering(usize, Arc<Parts>);

impl PartialEq for Entering {
    /// True for one and the same cost, as far as can be told without looking into it.
    fn eq(&self, other: &Self) -> bool {
        self.0 == other.0 && Arc::ptr_eq(&self.1, &other.1)
    }
}

/// All that the reaches of a line hang on.
#[derive(Debug, Clone)]
struct Content {
    laid: Arc<Laid>,
    /// Its levels if it went on at its cheapest, metres.
    cheapest_m: Vec<f64>,
    /// Bounds of its first station, and levels at which it may start, metres.
    first: [(f64, f64); 2],
    entering: Vec<Entering>,
    /// What one grade from end to end may cost more.
    even_margin: f64,
}

impl Content {
    fn of(solved: &Solved, run: &Run, levels: &[f64], branches: &Branches, whole: f64) -> Self {
        let first = solved.network.tree.nodes[run.first].bounds;
        let nodes = run.first..run.first + run.count;
        let entering = |(at, all): (&usize, &Vec<Arc<Parts>>)| {
            let at = *at - run.first;
            all.iter().map(|parts| Entering(at, parts.clone())).collect::<Vec<_>>()
        };
        Self {
            laid: run.laid.clone(),
            cheapest_m: levels[nodes.clone()].to_vec(),
            first: [first, start(solved, run, levels, first)],
            entering: branches.range(nodes).flat_map(entering).collect(),
            even_margin: even_margin(whole, solved.network.digging_cost_of(run, levels)),
        }
    }

    fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.laid, &other.laid)
            && self.cheapest_m == other.cheapest_m
            && self.first == other.first
            && self.entering == other.entering
            && self.even_margin == other.even_margin
    }
}

/// No more than a third of the line's own: beyond that the levels are no longer nearly as good (judgement).
fn even_margin(whole: f64, own_cost: f64) -> f64 {
    whole.min(own_cost / 3.0)
}

/// What enters at each node.
type Branches = BTreeMap<usize, Vec<Arc<Parts>>>;

/// Grade that stands for no limit where a reach is given at both ends.
const ANY_GRADE: f64 = 10.0;

/// Makes every line diggable; answers one a run.
pub(crate) fn dig(solved: &Solved, memory: &mut Memory) -> Vec<Dug> {
    let (network, tree) = (&solved.network, solved.tree());
    let mut costs: BTreeMap<usize, Arc<Parts>> = BTreeMap::new();
    let bounds = tree.tightened(&tree.rises(&solved.levels));
    let gathered = tree.gather(&bounds, &mut network.basis.known.costs.borrow_mut(), Some(&mut costs));
    let Ok(places) = gathered else {
        // Not even the problem with prices on its limits had levels; the lines stay as they are.
        let lines =
            network.runs.iter().map(|run| rough(solved, run, &solved.levels, &mut BTreeMap::new(), 0.0).keep());
        return lines.collect();
    };
    let mut branches = Branches::new();
    for (node, parts) in costs {
        if let Some(down) = tree.nodes[node].down {
            branches.entry(down).or_default().push(parts);
        }
    }
    // What one grade may cost: the margin of the whole network.
    let whole = network.basis.plan.prices.margin * network.digging_cost(&solved.levels);
    let whole = if solved.is_held { in_steps(whole) } else { -1.0 };
    let mut levels = solved.levels.clone();
    let mut lines: Vec<Option<Dug>> = vec![None; network.runs.len()];
    for generation in generations(tree, &network.runs) {
        let mut new: Vec<(usize, Rough, Option<Dug>)> = Vec::new();
        for index in generation {
            let run = &network.runs[index];
            for node in run.first..run.first + run.count {
                if let Some(down) = tree.nodes[node].down {
                    levels[node] = tree.settle_at(node, levels[down], &places);
                }
            }
            let content = Content::of(solved, run, &levels, &branches, whole);
            match memory.lines.get(&run.id).filter(|(known, _)| known.is(&content)) {
                Some((_, dug)) => lines[index] = Some(dug.clone()),
                None => {
                    new.push((index, rough(solved, run, &levels, &mut branches, whole), None));
                    memory.lines.insert(run.id, (content, Dug::default()));
                }
            }
        }
        dig_all(&mut new, memory.threads);
        for (index, rough, dug) in new {
            let dug = dug.unwrap_or_else(|| rough.dig());
            if let Some((_, known)) = memory.lines.get_mut(&network.runs[index].id) {
                known.clone_from(&dug);
            }
            lines[index] = Some(dug);
        }
        for (run, dug) in network.runs.iter().zip(&lines) {
            if let Some(dug) = dug {
                levels[run.first..run.first + run.count].copy_from_slice(&dug.levels_m);
            }
        }
    }
    lines.into_iter().flatten().collect()
}

/// A cost rounded down by less than 2 %, so that what little changes far off does not make every line anew.
fn in_steps(cost: f64) -> f64 {
    const STEP: f64 = 1.02;
    if cost > 0.0 { STEP.powf(cost.log(STEP).floor()) } else { cost }
}

/// Indices of the runs, in turns: each joins only runs of turns before its own.
fn generations(tree: &Tree, runs: &[Run]) -> Vec<Vec<usize>> {
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

/// Digs the lines that are not known yet, in so many threads; each answer hangs on its own line only.
fn dig_all(roughs: &mut [(usize, Rough, Option<Dug>)], threads: usize) {
    let mut unknown: Vec<_> = roughs.iter_mut().filter(|(_, _, dug)| dug.is_none()).collect();
    let part = unknown.len().div_ceil(threads.max(1)).max(1);
    std::thread::scope(|scope| {
        let mut parts = unknown.chunks_mut(part);
        let own = parts.next();
        for others in parts {
            scope.spawn(|| others.iter_mut().for_each(|(_, rough, dug)| *dug = Some(rough.dig())));
        }
        own.into_iter().flatten().for_each(|(_, rough, dug)| *dug = Some(rough.dig()));
    });
}

/// A line with its limits and costs, from the levels it would have if it went on at its cheapest. One grade from end to end may
/// cost `whole` more in digging; below 0 it is not looked for.
fn rough(solved: &Solved, run: &Run, levels: &[f64], branches: &mut Branches, whole: f64) -> Rough {
    let network = &solved.network;
    let cheapest_m = &levels[run.first..run.first + run.count];
    // What a line spends of its margin moves the start of its branches, whose own margins must not add to it.
    let margin = network.basis.plan.prices.margin;
    let share = margin / (1.0 + margin);
    let own_cost = network.digging_cost_of(run, levels);
    let nodes = &network.tree.nodes[run.first..run.first + run.count];
    let stations_m: Vec<f64> = network.basis.layout.courses[&run.id].stations.iter().map(|s| s.station_m).collect();
    let entering: Vec<Vec<Arc<Parts>>> =
        (0..run.count).map(|i| branches.remove(&(run.first + i)).unwrap_or_default()).collect();
    let mut bounds_m: Vec<(f64, f64)> = nodes.iter().map(|node| node.bounds).collect();
    for ((bounds, parts), level) in bounds_m.iter_mut().zip(&entering).zip(cheapest_m) {
        for (low, high) in parts.iter().map(|parts| parts.range) {
            *bounds = (bounds.0.max(low), bounds.1.min(high));
        }
        // Where limits clash the least-bad level is let in.
        *bounds = (bounds.0.min(*level), bounds.1.max(*level));
    }
    let (mut between, mut between_from) = (Vec::new(), vec![0]);
    for i in 0..run.count - 1 {
        between.extend(network.tree.between(run.first + i + 1).iter().map(|limit| {
            let level_m = cheapest_m[i] + (cheapest_m[i + 1] - cheapest_m[i]) * limit.share;
            let station_m = stations_m[i] + (stations_m[i + 1] - stations_m[i]) * limit.share;
            (station_m, limit.low.min(level_m), limit.high.max(level_m))
        }));
        between_from.push(between.len());
    }
    // A wish that the cheapest line grants is not given up for fewer breaks.
    let grade = |i: usize, is_kept: &dyn Fn(&Missing) -> bool| match nodes[i + 1].tie {
        Tie::Rise { least_m, most_m } if nodes[i + 1].down == Some(run.first + i) => {
            let length_m = stations_m[i + 1] - stations_m[i];
            let rise_m = cheapest_m[i + 1] - cheapest_m[i];
            let wish = run.laid.wishes[i].filter(is_kept);
            let granted_m = wish.map_or(least_m, |wish| wish.wanted_m.min(rise_m));
            ((least_m.max(granted_m.min(most_m)) / length_m).max(-ANY_GRADE), (most_m / length_m).min(ANY_GRADE))
        }
        _ => (-ANY_GRADE, ANY_GRADE),
    };
    let is_given = |i: usize| run.laid.levels[i].is_some() || (i > 0 && nodes[i].down != Some(run.first + i - 1));
    let reaches = 0..run.count - 1;
    Rough {
        grades: reaches.clone().map(|i| grade(i, &|_| true)).collect(),
        firm: reaches.map(|i| grade(i, &|wish| network.is_to_carry(wish))).collect(),
        between,
        between_from,
        slopes: (0..run.count).map(|i| network.tree.slopes(run.first + i).to_vec()).collect(),
        fixed: (0..run.count).map(is_given).collect(),
        pinned: run.laid.pinned.clone(),
        wishes: run.laid.wishes.clone(),
        even: Even::of(&network.basis.plan.prices),
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

/// Levels above which nobody needs protection in the trench of a line, all along its ground: station and level, metres; none
/// where its cheapest levels go below one of them.
fn unprotected(solved: &Solved, run: &Run, cheapest_m: &[f64]) -> Vec<(f64, f64)> {
    let (plan, course) = (solved.network.basis.plan, &solved.network.basis.layout.courses[&run.id]);
    let mut levels = Vec::new();
    for (i, span) in course.spans.iter().enumerate() {
        let laid = pipe::above(&run.laid.pipe, course.stations[i].station_m);
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

/// Levels at which a line may start: as its joint and its own limits let it.
fn start(solved: &Solved, run: &Run, levels: &[f64], bounds: (f64, f64)) -> (f64, f64) {
    let node = &solved.network.tree.nodes[run.first];
    match (node.down, node.tie) {
        (Some(down), Tie::Rise { least_m, most_m }) => {
            (bounds.0.max(levels[down] + least_m), bounds.1.min(levels[down] + most_m))
        }
        (Some(_), Tie::Straight { .. }) => (levels[run.first], levels[run.first]),
        (None, _) => bounds,
    }
}
