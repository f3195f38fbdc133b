//! From the cheapest levels of a whole network to lines that can be dug, each from its downstream end up.

use std::collections::BTreeMap;

use plan::LineId;

use crate::Tie;
use crate::dig::{Dug, Rough};
use crate::levels::Solved;
use crate::network::Run;
use crate::valley::Parts;

/// Lines made diggable before: where nothing about a line has changed its answer is taken again.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    lines: BTreeMap<LineId, (Rough, Dug)>,
}

/// Grade that stands for no limit where a reach is given at both ends.
const ANY_GRADE: f64 = 10.0;

/// Makes every line diggable; answers one a run.
pub(crate) fn dig(solved: &Solved, memory: &mut Memory) -> Vec<Dug> {
    let (network, tree) = (&solved.network, solved.tree());
    let is_branch = |node: usize| {
        tree.nodes[node].down.is_some_and(|down| down + 1 != node) && network.runs.iter().any(|run| run.first == node)
    };
    // The problem has just been solved, so it has levels everywhere.
    let Ok((places, costs)) = tree.places(is_branch) else { return Vec::new() };
    let mut branches: BTreeMap<usize, Vec<Parts>> = BTreeMap::new();
    for (node, parts) in costs.into_iter().enumerate() {
        if let (Some(parts), Some(down)) = (parts, tree.nodes[node].down) {
            branches.entry(down).or_default().push(parts);
        }
    }
    let mut levels = solved.levels.clone();
    let mut lines = Vec::with_capacity(network.runs.len());
    for run in &network.runs {
        let nodes = run.first..run.first + run.count;
        for node in nodes.clone() {
            if let Some(down) = tree.nodes[node].down {
                levels[node] = tree.nodes[node].tie.settle(levels[down], &places[node]);
            }
        }
        let rough = rough(solved, run, &levels, &mut branches);
        let dug = match memory.lines.remove(&run.id) {
            Some((known, dug)) if known == rough => dug,
            _ => rough.dig(),
        };
        levels[nodes].copy_from_slice(&dug.levels_m);
        memory.lines.insert(run.id, (rough, dug.clone()));
        lines.push(dug);
    }
    lines
}

/// A line with its limits and costs, from the levels it would have if it went on at its cheapest.
fn rough(solved: &Solved, run: &Run, levels: &[f64], branches: &mut BTreeMap<usize, Vec<Parts>>) -> Rough {
    let network = &solved.network;
    let cheapest_m = &levels[run.first..run.first + run.count];
    // What a line spends of its margin moves the start of its branches, whose own margins must not add to it.
    let margin = network.basis.plan.prices.margin;
    let share = margin / (1.0 + margin);
    let nodes = &network.tree.nodes[run.first..run.first + run.count];
    let stations_m: Vec<f64> = network.basis.courses[&run.id].stations.iter().map(|s| s.station_m).collect();
    let entering: Vec<Vec<Parts>> =
        (0..run.count).map(|i| branches.remove(&(run.first + i)).unwrap_or_default()).collect();
    let mut bounds_m: Vec<(f64, f64)> = nodes.iter().map(|node| node.bounds).collect();
    for ((bounds, parts), level) in bounds_m.iter_mut().zip(&entering).zip(cheapest_m) {
        for (low, high) in parts.iter().map(|parts| parts.range) {
            *bounds = (bounds.0.max(low), bounds.1.min(high));
        }
        // Where limits clash the least-bad level is let in.
        *bounds = (bounds.0.min(*level), bounds.1.max(*level));
    }
    let grade = |i: usize| match nodes[i + 1].tie {
        Tie::Rise { least_m, most_m, .. } if nodes[i + 1].down == Some(run.first + i) => {
            let length_m = stations_m[i + 1] - stations_m[i];
            ((least_m / length_m).max(-ANY_GRADE), (most_m / length_m).min(ANY_GRADE))
        }
        _ => (-ANY_GRADE, ANY_GRADE),
    };
    let is_given = |i: usize| run.fixed[i] || (i > 0 && nodes[i].down != Some(run.first + i - 1));
    Rough {
        grades: (0..run.count - 1).map(grade).collect(),
        slopes: nodes.iter().map(|node| network.tree.slopes[node.slopes.clone()].to_vec()).collect(),
        fixed: (0..run.count).map(is_given).collect(),
        cheapest_m: cheapest_m.to_vec(),
        margin: share * network.cost_of_run(run, levels),
        branches: entering,
        bounds_m,
        stations_m,
    }
}
