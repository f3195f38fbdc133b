//! Levels of a network at minimum cost; if no levels satisfy every limit, those that violate the limits least.

use plan::{Joins, LineId};

use crate::network::{Inputs, Loose, Network, Sizes};
use crate::{Hinge, Tree};

/// Penalty for each metre of violation, once no levels satisfy every limit; far above any cost of digging.
pub(crate) const BREACH_PRICE: f64 = 1e6;

/// A network with its levels.
pub(crate) struct Solved<'a> {
    pub network: Network<'a>,
    /// The problem with penalties in place of bounds, if that had to be solved.
    soft: Option<Tree>,
    /// Level of each node, metres.
    pub levels: Vec<f64>,
    /// A lower bound on the cost of any levels that keep the bounds at the stations, at the plan's cost weights.
    pub least: f64,
    /// True if every limit is satisfied.
    pub is_held: bool,
    /// Branches whose given levels do not fit their joint.
    pub loose: Loose,
}

impl Solved<'_> {
    /// The problem that was solved.
    pub fn tree(&self) -> &Tree {
        self.soft.as_ref().unwrap_or(&self.network.tree)
    }

    /// Cost of the levels at the plan's cost weights, violations not counted.
    pub fn cost(&self) -> f64 {
        self.network.cost(&self.levels)
    }
}

/// The optimum for given pipe sizes; `None` if no levels satisfy every limit.
pub(crate) fn held<'a>(inputs: Inputs<'a>, sizes: &Sizes) -> Option<Solved<'a>> {
    let network = Network::of(inputs, sizes, &Loose::new());
    let base = network.base_cost();
    let (levels, least) = network.tree.solve_tight(base, &mut inputs.known.costs.borrow_mut()).ok()?;
    let least = least + base;
    Some(Solved { network, soft: None, levels, least, is_held: true, loose: Loose::new() })
}

/// The same; if no levels satisfy every limit, those that violate the limits least.
pub(crate) fn solve<'a>(inputs: Inputs<'a>, sizes: &Sizes) -> Solved<'a> {
    if let Some(solved) = held(inputs, sizes) {
        return solved;
    }
    let loose = loose_branches(inputs, sizes);
    let network = Network::of(inputs, sizes, &loose);
    let base = network.base_cost();
    if let Ok((levels, least)) = network.tree.solve_tight(base, &mut inputs.known.costs.borrow_mut()) {
        let least = least + base;
        return Solved { network, soft: None, levels, least, is_held: false, loose };
    }
    let tree = softened(&network);
    // With penalties in place of bounds and misfitting branches detached there is always a solution.
    let levels = tree.solve().unwrap_or_else(|_| vec![0.0; tree.nodes.len()]);
    let least = network.cost(&levels);
    Solved { network, soft: Some(tree), levels, least, is_held: false, loose }
}

/// Adds span constraints to a solution found without them.
pub(crate) fn kept<'a>(inputs: Inputs<'a>, sizes: &Sizes, found: Solved) -> Solved<'a> {
    if found.is_held {
        let network = Network::of(inputs, sizes, &found.loose);
        if let Ok(levels) = network.tree.kept(found.levels, network.base_cost(), &mut inputs.known.costs.borrow_mut())
        {
            return Solved { network, soft: None, levels, least: found.least, is_held: true, loose: found.loose };
        }
    }
    solve(inputs, sizes)
}

/// The optimum under the limits of other inputs, given a solution found under fewer limits: if that satisfies the additional
/// ones at no extra cost it is the optimum there too.
pub(crate) fn under<'a>(inputs: Inputs<'a>, sizes: &Sizes, found: Solved) -> Solved<'a> {
    let network = Network::of(inputs, sizes, &found.loose);
    let costs_no_more = network.tree.cost(&found.levels) <= found.network.tree.cost(&found.levels);
    if found.is_held && costs_no_more && network.tree.worst_violation(&found.levels) < 1e-9 {
        let Solved { levels, least, loose, .. } = found;
        return Solved { network, soft: None, levels, least, is_held: true, loose };
    }
    solve(inputs, sizes)
}

/// Branches that must be detached from their joint so that given levels and rises do not contradict each other: all with a
/// given level are detached, then attached again one after the other if that is feasible.
fn loose_branches(inputs: Inputs, sizes: &Sizes) -> Loose {
    let fits = |loose: &Loose| softened(&Network::of(inputs, sizes, loose)).solve().is_ok();
    let mut loose = Loose::new();
    if fits(&loose) {
        return loose;
    }
    let pinned = inputs.lines.iter().filter(|id| {
        let line = &inputs.plan.lines[id];
        !line.pins.is_empty() && matches!(line.joins, Joins::Line(_))
    });
    let mut pinned: Vec<LineId> = pinned.copied().collect();
    // By name, so that the order of drawing does not matter.
    pinned.sort_by_key(|id| (&inputs.plan.lines[id].name, *id));
    loose.extend(&pinned);
    for id in &pinned {
        loose.remove(id);
        if !fits(&loose) {
            loose.insert(*id);
        }
    }
    loose
}

/// The same problem with a penalty in place of every bound that no person set; span constraints become bounds at the stations
/// first.
pub(crate) fn softened(network: &Network) -> Tree {
    let tree = &network.tree;
    let mut soft = Tree::default();
    for (i, (node, (low, high))) in tree.nodes.iter().zip(tree.tightened(&network.rises_at_cover())).enumerate() {
        if network.run_of(i).first == i {
            soft.begin_line();
        }
        let mut hinges: Vec<Hinge> = tree.hinges(i).to_vec();
        let is_fixed = network.is_fixed(i);
        if !is_fixed {
            hinges.extend(low.is_finite().then_some(Hinge { from_m: low, price: BREACH_PRICE, below: true }));
            hinges.extend(high.is_finite().then_some(Hinge { from_m: high, price: BREACH_PRICE, below: false }));
        }
        let bounds = if is_fixed { node.bounds } else { (f64::NEG_INFINITY, f64::INFINITY) };
        soft.push(node.down.map(|down| (down, node.tie)), bounds, &hinges);
        soft.want(tree.wanted_rises(i).iter().copied());
    }
    soft
}
