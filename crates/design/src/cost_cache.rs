//! Cache of the solver's results by line: a line costs what it did before if neither it nor anything joining it has changed.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use crate::convex_cost::{ConvexCost, CostTable};
use crate::tree::{Branch, Cost, Places, TreeLine};
use crate::{Tie, Tree};

/// Results kept for each line: one plan asks for several, by size and limits.
const KEPT: usize = 6;

/// Identifies a cached result: the number of its line ([`TreeLine::number`]) and its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct CostKey {
    number: u64,
    own: u64,
}

/// A cached branch: the station it joins, counted from the line's first, its tie and its result.
type Joined = (usize, Tie, CostKey);

/// Everything the cost of a line depends on, and its place in the tree.
pub(crate) struct Content<'a> {
    number: Option<u64>,
    nodes: Range<usize>,
    missing: Range<usize>,
    is_root: bool,
    bounds: &'a [(f64, f64)],
    joined: Vec<Joined>,
}

impl<'a> Content<'a> {
    /// For a line under given bounds with given branches; without a number if not everything is cached.
    pub fn of(tree: &Tree, line: &TreeLine, bounds: &'a [(f64, f64)], joined: &BTreeMap<usize, Vec<Branch>>) -> Self {
        let nodes = &tree.nodes[line.nodes.clone()];
        let branches = joined.iter().flat_map(|(at, branches)| branches.iter().map(move |branch| (*at, branch)));
        let token = |(at, branch): (usize, &Branch)| match branch.cost {
            Cost::Known(token) => Some((at - line.nodes.start, tree.nodes[branch.first].tie, token)),
            Cost::Own(_) => None,
        };
        let joined: Option<Vec<Joined>> = branches.map(token).collect();
        Self {
            number: line.number.filter(|_| joined.is_some()),
            nodes: line.nodes.clone(),
            missing: line.missing.clone(),
            is_root: nodes[0].down.is_none(),
            bounds,
            joined: joined.unwrap_or_default(),
        }
    }
}

/// Results by the number that lines with equal ties, costs and wanted rises share.
#[derive(Debug, Clone, Default)]
pub(crate) struct CostCache {
    lines: BTreeMap<u64, Kept>,
    next: u64,
}

/// Results for one number, the most recent first.
#[derive(Debug, Clone, Default)]
struct Kept {
    is_used: bool,
    lines: Vec<Arc<KnownLine>>,
}

/// The result for given bounds and branches.
#[derive(Debug, Clone)]
struct KnownLine {
    own: u64,
    bounds: Vec<(f64, f64)>,
    joined: Vec<Joined>,
    /// Cost as a function of the level of its first station; left out for a line at an outlet.
    cost: ConvexCost,
    is_root: bool,
    cheapest_m: Vec<f64>,
    dear_m: Vec<f64>,
    /// The same as a table in the level it joins at, for one tie.
    seen: Option<(Tie, Arc<CostTable>)>,
}

impl CostCache {
    /// Looks a line up; if found, the optima of its stations are copied to `places`.
    pub fn find(&mut self, content: &Content, places: &mut Places) -> Option<CostKey> {
        let number = content.number?;
        let kept = self.lines.get_mut(&number)?;
        kept.is_used = true;
        let is_same = |known: &Arc<KnownLine>| {
            known.is_root == content.is_root && known.bounds == content.bounds && known.joined == content.joined
        };
        let at = kept.lines.iter().position(is_same)?;
        kept.lines[..=at].rotate_right(1);
        let known = &kept.lines[0];
        places.cheapest_m[content.nodes.clone()].copy_from_slice(&known.cheapest_m);
        places.dear_m[content.missing.clone()].copy_from_slice(&known.dear_m);
        Some(CostKey { number, own: known.own })
    }

    /// Stores a result if it can be cached.
    pub fn keep(&mut self, content: Content, cost: ConvexCost, places: &Places) -> Cost {
        let Some(number) = content.number else { return Cost::Own(cost) };
        let known = KnownLine {
            own: self.next,
            bounds: content.bounds.to_vec(),
            joined: content.joined,
            cost: if content.is_root { ConvexCost::flat() } else { cost },
            is_root: content.is_root,
            cheapest_m: places.cheapest_m[content.nodes].to_vec(),
            dear_m: places.dear_m[content.missing].to_vec(),
            seen: None,
        };
        self.next += 1;
        let kept = self.lines.entry(number).or_default();
        kept.is_used = true;
        kept.lines.truncate(KEPT - 1);
        kept.lines.insert(0, Arc::new(known));
        Cost::Known(CostKey { number, own: self.next - 1 })
    }

    fn get(&self, token: CostKey) -> Option<&KnownLine> {
        self.lines.get(&token.number)?.lines.iter().find(|known| known.own == token.own).map(Arc::as_ref)
    }

    /// A cost that was found or stored just now.
    pub fn cost(&self, token: CostKey) -> ConvexCost {
        self.get(token).map_or_else(ConvexCost::flat, |known| known.cost.clone())
    }

    /// The same as a table in the level it joins at, if stored.
    pub fn parts(&self, token: CostKey, tie: Tie) -> Option<Arc<CostTable>> {
        self.get(token)?.seen.as_ref().filter(|(known, _)| *known == tie).map(|(_, parts)| parts.clone())
    }

    pub fn keep_parts(&mut self, token: CostKey, tie: Tie, parts: &Arc<CostTable>) {
        let lines = self.lines.get_mut(&token.number).into_iter().flat_map(|kept| &mut kept.lines);
        for known in lines.filter(|known| known.own == token.own) {
            Arc::make_mut(known).seen = Some((tie, parts.clone()));
        }
    }

    /// Drops results that were not used since the last call.
    pub fn forget_unused(&mut self) {
        self.lines.retain(|_, kept| std::mem::take(&mut kept.is_used));
    }
}
