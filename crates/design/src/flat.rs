//! The job's even grade: no line is flatter than that where there is enough fall.

use std::collections::{BTreeMap, BTreeSet};

use plan::LineId;

use crate::Tie;
use crate::levels::{self, Solved};
use crate::network::{Inputs, Sizes};

/// Tolerance on the even grade, as a ratio.
const ROUNDING: f64 = 1e-9;

/// Lines of one network that are flatter than the job's even grade.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    /// The lines, by id.
    pub lines: Vec<LineId>,
    /// How much more digging would cost, as a share, if nothing in the network were flatter; `None` if that is not feasible.
    pub more: Option<f64>,
}

/// The networks whose lines may stay flatter than the even grade, because keeping it is not feasible or costs more than the
/// margin. If there are none, also the levels that keep it.
pub(crate) fn flat<'a>(
    inputs: Inputs<'a>,
    even: Inputs<'a>,
    sizes: &Sizes,
    found: &Solved,
) -> (Vec<Flat>, Option<Solved<'a>>) {
    let by_outlet = if found.is_held { flat_lines(found) } else { BTreeMap::new() };
    if by_outlet.is_empty() {
        return (Vec::new(), None);
    }
    let steeper = levels::held(even, sizes);
    let now = found.network.digging_by_root(&found.levels);
    let others = |own: usize| -> BTreeSet<LineId> {
        by_outlet.iter().filter(|(root, _)| **root != own).flat_map(|(_, lines)| lines.iter().copied()).collect()
    };
    let more = |root: usize| {
        let cost = |solved: &Solved| solved.network.digging_by_root(&solved.levels)[&root];
        let then = match &steeper {
            Some(steeper) => Some(cost(steeper)),
            None => levels::held(Inputs { flat: &others(root), ..even }, sizes).map(|alone| cost(&alone)),
        };
        then.map(|then| then / now[&root] - 1.0)
    };
    let flat =
        by_outlet.iter().map(|(root, lines)| Flat { lines: lines.iter().copied().collect(), more: more(*root) });
    let stays = |flat: &Flat| flat.more.is_none_or(|more| more > inputs.plan.cost_weights.margin);
    let flat: Vec<Flat> = flat.filter(stays).collect();
    let steeper = steeper.filter(|_| flat.is_empty());
    (flat, steeper)
}

/// Lines with an interval flatter than the even grade by choice, by the outlet node of their network.
fn flat_lines(found: &Solved) -> BTreeMap<usize, BTreeSet<LineId>> {
    let network = &found.network;
    let wanted = network.inputs.plan.criteria.even_grade;
    let mut by_outlet: BTreeMap<usize, BTreeSet<LineId>> = BTreeMap::new();
    for run in &network.runs {
        let stations = &network.inputs.layout.courses[&run.id].stations;
        let is_flat = |i: usize| {
            let node = run.first + i;
            let Tie::Rise { least_m, most_m } = network.tree.nodes[node].tie else { return false };
            let is_free = network.tree.nodes[node].down == Some(node - 1) && least_m < most_m && least_m.is_finite();
            let rise_m = found.levels[node] - found.levels[node - 1];
            is_free && rise_m < (wanted - ROUNDING) * (stations[i].station_m - stations[i - 1].station_m)
        };
        if (1..run.count).any(is_flat) {
            by_outlet.entry(network.root_of(run.first)).or_default().insert(run.id);
        }
    }
    by_outlet
}
