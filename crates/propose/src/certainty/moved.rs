//! What more shots moved.

use std::collections::{BTreeMap, BTreeSet};

use plan::LineId;

use super::{Certainty, Limit};

/// A chance before and after something was learned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// The line.
    pub line: LineId,
    /// The limit.
    pub limit: Limit,
    /// The chance before; `None` where the line or the limit was not there.
    pub before: Option<f64>,
    /// The chance after; `None` where the line or the limit is gone.
    pub after: Option<f64>,
}

impl Move {
    /// By how much it moved; a chance that came or went counts as whole.
    pub fn by(&self) -> f64 {
        self.before.zip(self.after).map_or(1.0, |(before, after)| (after - before).abs())
    }
}

/// Every chance before and after, those that moved most first.
pub fn moves(before: &Certainty, after: &Certainty) -> Vec<Move> {
    let chances = |of: &Certainty| -> BTreeMap<(LineId, Limit), f64> {
        of.chances.iter().map(|chance| ((chance.line, chance.limit), chance.chance)).collect()
    };
    let (before, after) = (chances(before), chances(after));
    let keys: BTreeSet<(LineId, Limit)> = before.keys().chain(after.keys()).copied().collect();
    let moved = |key: (LineId, Limit)| Move {
        line: key.0,
        limit: key.1,
        before: before.get(&key).copied(),
        after: after.get(&key).copied(),
    };
    let mut moves: Vec<Move> = keys.into_iter().map(moved).collect();
    moves.sort_by(|a, b| b.by().total_cmp(&a.by()));
    moves
}
