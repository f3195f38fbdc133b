//! Lines whose cost is known from before: a line of which nothing has changed, nor of anything that joins it, costs what it
//! cost.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use crate::tree::{Branch, Cost, Places, TreeLine};
use crate::valley::{Parts, Valley};
use crate::{Tie, Tree};

/// Answers kept of each line: one plan asks for some, by sizes and limits.
const KEPT: usize = 6;

/// An answer that is kept: the number of its line ([`TreeLine::number`]) and its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Token {
    number: u64,
    own: u64,
}

/// A known line that joins at a station of another, counted from that one's first, by a tie.
type Joined = (usize, Tie, Token);

/// All that the cost of a line hangs on, and where it lies in its tree.
pub(crate) struct Content<'a> {
    number: Option<u64>,
    nodes: Range<usize>,
    missing: Range<usize>,
    is_root: bool,
    bounds: &'a [(f64, f64)],
    joined: Vec<Joined>,
}

impl<'a> Content<'a> {
    /// Of a line under bounds of its stations, with what joins it by station; without a number where that is not all known.
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

/// What lines cost, by the number that lines of the same ties, costs and wishes share.
#[derive(Debug, Clone, Default)]
pub(crate) struct KnownLines {
    lines: BTreeMap<u64, Kept>,
    next: u64,
}

/// What is kept of lines of one number, the one asked for last first.
#[derive(Debug, Clone, Default)]
struct Kept {
    is_used: bool,
    lines: Vec<Arc<KnownLine>>,
}

/// The cost of a line under given bounds, with given lines joining.
#[derive(Debug, Clone)]
struct KnownLine {
    own: u64,
    bounds: Vec<(f64, f64)>,
    joined: Vec<Joined>,
    /// Cost of its first station with all above it; flat where nobody asks, since it hangs on nothing.
    valley: Valley,
    is_root: bool,
    cheapest_m: Vec<f64>,
    dear_m: Vec<f64>,
    /// The same as the station downstream sees it, where it hangs on that by such a tie.
    seen: Option<(Tie, Arc<Parts>)>,
}

impl KnownLines {
    /// A line whose content is the same: the best places of its stations are put among those of all.
    pub fn find(&mut self, content: &Content, places: &mut Places) -> Option<Token> {
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
        Some(Token { number, own: known.own })
    }

    /// Keeps what a line costs, if it can be known again.
    pub fn keep(&mut self, content: Content, valley: Valley, places: &Places) -> Cost {
        let Some(number) = content.number else { return Cost::Own(valley) };
        let known = KnownLine {
            own: self.next,
            bounds: content.bounds.to_vec(),
            joined: content.joined,
            valley: if content.is_root { Valley::flat() } else { valley },
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
        Cost::Known(Token { number, own: self.next - 1 })
    }

    fn get(&self, token: Token) -> Option<&KnownLine> {
        self.lines.get(&token.number)?.lines.iter().find(|known| known.own == token.own).map(Arc::as_ref)
    }

    /// The cost of a line that was found or kept just now.
    pub fn valley(&self, token: Token) -> Valley {
        self.get(token).map_or_else(Valley::flat, |known| known.valley.clone())
    }

    /// The same taken apart as the station downstream sees it, if that is known.
    pub fn parts(&self, token: Token, tie: Tie) -> Option<Arc<Parts>> {
        self.get(token)?.seen.as_ref().filter(|(known, _)| *known == tie).map(|(_, parts)| parts.clone())
    }

    pub fn keep_parts(&mut self, token: Token, tie: Tie, parts: &Arc<Parts>) {
        let lines = self.lines.get_mut(&token.number).into_iter().flat_map(|kept| &mut kept.lines);
        for known in lines.filter(|known| known.own == token.own) {
            Arc::make_mut(known).seen = Some((tie, parts.clone()));
        }
    }

    /// Forgets what nobody asked for since this was called last.
    pub fn forget_unused(&mut self) {
        self.lines.retain(|_, kept| std::mem::take(&mut kept.is_used));
    }
}
