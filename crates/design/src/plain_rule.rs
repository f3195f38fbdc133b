//! The plain grade rule: target depth, never flatter than the least grade, never under the least cover where that can
//! be avoided. It works each line from its downstream end up in straight reaches and looks ahead for low ground.
//!
//! It finds no optimum; it gives a sound first grade that a person understands.

use crate::{Network, Run, Stake, Start};

/// Shortest reach between two grade breaks the rule makes of itself: 100 ft, since more than one break in 100 ft is
/// hard on the operator (trade-practice rule 11).
const REACH_M: f64 = 30.48;

/// Depth beyond the wanted one at which a straight reach costs more digging than a grade break: 1 ft (judgement).
const DEEPER_M: f64 = 0.3048;

/// Inverts of every stake of every run, metres.
pub fn plain_rule(network: &Network) -> Vec<Vec<f64>> {
    let mut levels: Vec<Vec<f64>> = Vec::with_capacity(network.runs.len());
    for run in &network.runs {
        let start_m = match run.start {
            Start::Level(level_m) => Some(level_m),
            Start::Joint { run, stake, rise_m } => levels.get(run).and_then(|l| l.get(stake)).map(|z| z + rise_m),
            Start::Free => None,
        };
        levels.push(grade(run, start_m));
    }
    levels
}

/// Levels of one run from its start up.
fn grade(run: &Run, start_m: Option<f64>) -> Vec<f64> {
    let stakes = &run.stakes;
    let ceiling = ceiling(run);
    let mut levels = vec![0.0; stakes.len()];
    let Some(first) = stakes.first() else { return levels };
    levels[0] = first.pinned_m.or(start_m).unwrap_or_else(|| wanted(run, 0, &ceiling).unwrap_or(0.0));
    let mut from = 0;
    while from + 1 < stakes.len() {
        let (to, end_m) = reach(run, &ceiling, from, levels[from]);
        for i in from + 1..=to {
            levels[i] = between(stakes, from, to, levels[from], end_m, i);
        }
        from = to;
    }
    levels
}

/// The next reach: its last stake and the level there. A full reach is cut in half while it would dig deep through a
/// hump between its ends.
fn reach(run: &Run, ceiling: &[f64], from: usize, from_m: f64) -> (usize, f64) {
    let stakes = &run.stakes;
    let mut to = reach_end(stakes, from);
    loop {
        let end_m = reach_level(run, ceiling, from, to, from_m);
        let deepest = (from + 1..to)
            .filter_map(|i| Some(stakes[i].ground_m? - between(stakes, from, to, from_m, end_m, i)))
            .fold(f64::MIN, f64::max);
        let whole = stakes[to].pinned_m.is_some() && stakes[to].straight;
        if whole || to == from + 1 || deepest <= run.wanted_depth_m + DEEPER_M {
            return (to, end_m);
        }
        to = from + (to - from).div_ceil(2);
    }
}

/// Level at the upper end of a reach: the pin there, else the wanted depth held between least grade and cover.
fn reach_level(run: &Run, ceiling: &[f64], from: usize, to: usize, from_m: f64) -> f64 {
    let stakes = &run.stakes;
    if let Some(pinned_m) = stakes[to].pinned_m {
        return pinned_m;
    }
    let length_m = stakes[to].station_m - stakes[from].station_m;
    let least_m = from_m + run.least_grade * length_m;
    let wanted_m = wanted(run, to, ceiling).unwrap_or(least_m);
    let under_cover = (from + 1..=to).map(|i| {
        let share = (stakes[i].station_m - stakes[from].station_m) / length_m;
        from_m + (ceiling[i] - from_m) / share
    });
    under_cover.fold(wanted_m, f64::min).max(least_m)
}

/// Invert at the wanted depth, under the ceiling; `None` where neither ground nor ceiling is known.
fn wanted(run: &Run, index: usize, ceiling: &[f64]) -> Option<f64> {
    let at_depth = run.stakes[index].ground_m.map(|ground_m| ground_m - run.wanted_depth_m);
    let highest = Some(ceiling[index]).filter(|level| level.is_finite());
    match (at_depth, highest) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// Highest level at each stake from which every stake further up can still keep its cover, or its pin, at the least
/// grade; infinite where nothing binds.
fn ceiling(run: &Run) -> Vec<f64> {
    let mut ceiling = vec![f64::INFINITY; run.stakes.len()];
    let mut above: Option<(f64, f64)> = None;
    for (i, stake) in run.stakes.iter().enumerate().rev() {
        let from_above = above
            .map_or(f64::INFINITY, |(station_m, level_m)| level_m - run.least_grade * (station_m - stake.station_m));
        let own = stake.pinned_m.or(stake.highest_m).unwrap_or(f64::INFINITY);
        ceiling[i] = from_above.min(own);
        above = Some((stake.station_m, ceiling[i]));
    }
    ceiling
}

/// Where the reach that starts at `from` ends: at the next pin, at the line's end, or after a full reach; a pin that
/// asks for a straight pipe below it swallows everything in between.
fn reach_end(stakes: &[Stake], from: usize) -> usize {
    let last = stakes.len() - 1;
    let pin = (from + 1..=last).find(|i| stakes[*i].pinned_m.is_some());
    if let Some(pin) = pin.filter(|pin| stakes[*pin].straight) {
        return pin;
    }
    let far_enough = |i: &usize| stakes[*i].station_m - stakes[from].station_m >= REACH_M - 1e-9;
    let full = (from + 1..=last).find(far_enough).unwrap_or(last);
    let left_m = stakes[last].station_m - stakes[full].station_m;
    let full = if left_m < REACH_M / 2.0 { last } else { full };
    pin.map_or(full, |pin| pin.min(full))
}

fn between(stakes: &[Stake], from: usize, to: usize, from_m: f64, to_m: f64, i: usize) -> f64 {
    let t = (stakes[i].station_m - stakes[from].station_m) / (stakes[to].station_m - stakes[from].station_m);
    if i == to { to_m } else { from_m + (to_m - from_m) * t }
}
