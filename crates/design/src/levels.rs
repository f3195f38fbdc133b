//! The cheapest levels that hold every limit; where there are none, the ones that break them least.

use plan::{Joins, LineId};

use crate::network::{Basis, Loose, Network, Sizes};
use crate::{Slope, Tree};

/// Price of each metre by which a level breaks a bound once no level holds them all; far beyond any cost of digging.
pub(crate) const BREACH_PRICE: f64 = 1e6;

/// A network with its levels.
pub(crate) struct Solved<'a> {
    pub network: Network<'a>,
    /// The problem in which bounds have their price, where that had to be solved.
    soft: Option<Tree>,
    /// Levels, metres, one a node.
    pub levels: Vec<f64>,
    /// What any levels that keep the bounds at the stations cost at least, at the prices of the plan.
    pub least: f64,
    /// True where every limit holds.
    pub is_held: bool,
    /// Branches that do not fit their joint.
    pub loose: Loose,
}

impl Solved<'_> {
    /// The problem that was solved.
    pub fn tree(&self) -> &Tree {
        self.soft.as_ref().unwrap_or(&self.network.tree)
    }

    /// Cost of the levels at the prices of the plan, breaches not counted.
    pub fn cost(&self) -> f64 {
        self.network.cost(&self.levels)
    }
}

/// The cheapest levels that hold every limit, for pipes of given sizes.
pub(crate) fn held<'a>(basis: Basis<'a>, sizes: &Sizes) -> Option<Solved<'a>> {
    let network = Network::of(basis, sizes, &Loose::new());
    let base = network.base_cost();
    let (levels, least) = network.tree.solve_tight(base, &mut basis.known.costs.borrow_mut()).ok()?;
    let least = least + base;
    Some(Solved { network, soft: None, levels, least, is_held: true, loose: Loose::new() })
}

/// The same, or those that break the limits least.
pub(crate) fn solve<'a>(basis: Basis<'a>, sizes: &Sizes) -> Solved<'a> {
    if let Some(solved) = held(basis, sizes) {
        return solved;
    }
    let loose = loose_branches(basis, sizes);
    let network = Network::of(basis, sizes, &loose);
    let base = network.base_cost();
    if let Ok((levels, least)) = network.tree.solve_tight(base, &mut basis.known.costs.borrow_mut()) {
        let least = least + base;
        return Solved { network, soft: None, levels, least, is_held: false, loose };
    }
    let tree = softened(&network);
    // With every bound at a price and every misfit loose there is a level everywhere.
    let levels = tree.solve().unwrap_or_else(|_| vec![0.0; tree.nodes.len()]);
    let least = network.cost(&levels);
    Solved { network, soft: Some(tree), levels, least, is_held: false, loose }
}

/// The levels that keep the limits between stations too, from those found without them for the same bounds.
pub(crate) fn kept<'a>(basis: Basis<'a>, sizes: &Sizes, found: Solved) -> Solved<'a> {
    if found.is_held {
        let network = Network::of(basis, sizes, &found.loose);
        if let Ok(levels) = network.tree.kept(found.levels, network.base_cost(), &mut basis.known.costs.borrow_mut())
        {
            return Solved { network, soft: None, levels, least: found.least, is_held: true, loose: found.loose };
        }
    }
    solve(basis, sizes)
}

/// The levels under the limits of another basis, when they were found under fewer: where they hold the rest as well, and
/// cost no more for it, they are the cheapest there too.
pub(crate) fn under<'a>(basis: Basis<'a>, sizes: &Sizes, found: Solved) -> Solved<'a> {
    let network = Network::of(basis, sizes, &found.loose);
    let costs_no_more = network.tree.cost(&found.levels) <= found.network.tree.cost(&found.levels);
    if found.is_held && costs_no_more && network.tree.worst_violation(&found.levels) < 1e-9 {
        let Solved { levels, least, loose, .. } = found;
        return Solved { network, soft: None, levels, least, is_held: true, loose };
    }
    solve(basis, sizes)
}

/// The branches that must be let loose so that fixed levels and rises agree: all that have a fixed level are let loose,
/// and one after the other is tied again if that goes.
fn loose_branches(basis: Basis, sizes: &Sizes) -> Loose {
    let fits = |loose: &Loose| softened(&Network::of(basis, sizes, loose)).solve().is_ok();
    let mut loose = Loose::new();
    if fits(&loose) {
        return loose;
    }
    let pinned = basis.lines.iter().filter(|id| {
        let line = &basis.plan.lines[id];
        !line.pins.is_empty() && matches!(line.joins, Joins::Line(_))
    });
    let mut pinned: Vec<LineId> = pinned.copied().collect();
    // By name, so that nothing hangs on the order in which lines were drawn.
    pinned.sort_by_key(|id| (&basis.plan.lines[id].name, *id));
    loose.extend(&pinned);
    for id in &pinned {
        loose.remove(id);
        if !fits(&loose) {
            loose.insert(*id);
        }
    }
    loose
}

/// The same problem with a price on every bound that no person fixed, limits between stations made bounds at them.
pub(crate) fn softened(network: &Network) -> Tree {
    let tree = &network.tree;
    let mut soft = Tree::default();
    for (i, (node, (low, high))) in tree.nodes.iter().zip(tree.tightened(&network.rises_at_cover())).enumerate() {
        if network.run_of(i).first == i {
            soft.begin_line();
        }
        let mut slopes: Vec<Slope> = tree.slopes(i).to_vec();
        let is_fixed = network.is_fixed(i);
        if !is_fixed {
            slopes.extend(low.is_finite().then_some(Slope { from_m: low, price: BREACH_PRICE, below: true }));
            slopes.extend(high.is_finite().then_some(Slope { from_m: high, price: BREACH_PRICE, below: false }));
        }
        let bounds = if is_fixed { node.bounds } else { (f64::NEG_INFINITY, f64::INFINITY) };
        soft.push(node.down.map(|down| (down, node.tie)), bounds, &slopes);
        soft.wish(tree.missing(i).iter().copied());
    }
    soft
}
