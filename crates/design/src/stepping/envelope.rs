//! The least of several convex costs as a function of a level: what everything upstream costs over the choice of sizes there.
//!
//! It is kept as convex pieces side by side. Each step of the solver keeps it exact; where pieces are many, one that saves
//! little against its neighbour may be left out, and how much that can have cost is kept with the rest.

use super::piece::{Piece, SAME_M};
use super::{Link, both};
use crate::{Hinge, Tie, WantedRise};

/// The least of several convex costs.
#[derive(Debug, Clone)]
pub(super) struct Envelope {
    /// By rising level; two of them have no more than an end in common.
    pieces: Vec<Piece>,
    /// No sizes upstream cost less than this one by more.
    pub slack: f64,
}

impl Envelope {
    pub fn flat() -> Self {
        Self { pieces: vec![Piece::flat()], slack: 0.0 }
    }

    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// The least cost and the sizes that lead to it.
    pub fn least(&self) -> Option<(f64, Link)> {
        let all = self.pieces.iter().map(|piece| (piece.least(), &piece.chosen));
        all.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(cost, chosen)| (cost, chosen.clone()))
    }

    pub fn add(&mut self, cost: f64) {
        self.pieces.iter_mut().for_each(|piece| piece.at_low += cost);
    }

    pub fn add_hinges(&mut self, hinges: &[Hinge]) {
        let pieces = self.pieces.iter_mut();
        pieces.for_each(|piece| hinges.iter().for_each(|hinge| piece.add(hinge)));
    }

    pub fn shift(&mut self, by_m: f64) {
        self.pieces.iter_mut().for_each(|piece| piece.shift(by_m));
    }

    /// Restricts the allowed levels.
    pub fn within(&self, bounds: (f64, f64)) -> Self {
        Self { pieces: self.pieces.iter().filter_map(|piece| piece.within(bounds)).collect(), slack: self.slack }
    }

    /// Notes what was chosen for all of it.
    pub fn noted(mut self, note: impl Fn(Link) -> Link) -> Self {
        self.pieces.iter_mut().for_each(|piece| piece.chosen = note(piece.chosen.take()));
        self
    }

    /// The cost as a function of the level downstream.
    pub fn downstream(&self, tie: Tie, wanted: &[WantedRise], allowance: f64) -> Self {
        let risen = self.pieces.iter().map(|piece| piece.downstream(tie, wanted)).collect();
        Self::least_of([Self { pieces: risen, slack: self.slack }], allowance)
    }

    /// The sum of two.
    pub fn and(&self, other: &Self, allowance: f64) -> Self {
        let (mut sums, mut i, mut j) = (Vec::new(), 0, 0);
        while let (Some(one), Some(two)) = (self.pieces.get(i), other.pieces.get(j)) {
            if one.low_m() <= two.high_m() && two.low_m() <= one.high_m() {
                sums.extend(one.and(two, both(&one.chosen, &two.chosen)));
            }
            if one.high_m() <= two.high_m() { i += 1 } else { j += 1 }
        }
        Self::least_of([Self { pieces: sums, slack: self.slack + other.slack }], allowance)
    }

    /// The least of several. A piece may be left out that saves no more than `allowance`.
    pub fn least_of(all: impl IntoIterator<Item = Self>, allowance: f64) -> Self {
        let (mut pieces, mut slack) = (Vec::new(), 0.0_f64);
        for one in all {
            slack = slack.max(one.slack);
            pieces.extend(one.pieces);
        }
        let (points, mut wide): (Vec<Piece>, Vec<Piece>) = pieces.into_iter().partition(Piece::is_point);
        let order = |a: &Piece, b: &Piece| a.low_m().total_cmp(&b.low_m()).then(a.high_m().total_cmp(&b.high_m()));
        wide.sort_by(order);
        let (mut pieces, lost) = least(wide, allowance);
        for point in points {
            let here = |piece: &&Piece| piece.low_m() <= point.low_m() && point.low_m() <= piece.high_m();
            if !pieces.iter().filter(here).any(|piece| piece.at(point.low_m()) <= point.at_low) {
                pieces.push(point);
            }
        }
        pieces.sort_by(order);
        Self { pieces, slack: slack + lost }
    }
}

/// The least of pieces by rising lowest level, and what it may be too dear at most.
fn least(mut pieces: Vec<Piece>, allowance: f64) -> (Vec<Piece>, f64) {
    if pieces.windows(2).all(|pair| pair[0].high_m() <= pair[1].low_m() + SAME_M) {
        return (pieces, 0.0);
    }
    let upper = pieces.split_off(pieces.len() / 2);
    let ((lower, one), (upper, other)) = (least(pieces, allowance), least(upper, allowance));
    let (merged, lost) = merged(&lower, &upper, allowance);
    (merged, lost + one.max(other))
}

/// Between two levels: which piece of either list lies there, and what it costs at both.
#[derive(Clone, Copy)]
struct Shown {
    piece: usize,
    low: f64,
    high: f64,
}

/// A part of the levels along which one list is no dearer than the other.
#[derive(Clone, Copy)]
struct Part {
    low_m: f64,
    high_m: f64,
    shown: [Option<Shown>; 2],
    /// Which of the lists.
    best: usize,
}

impl Part {
    /// How much the better list saves at most; infinite where the other is not.
    fn saves(&self) -> f64 {
        let [Some(one), Some(other)] = self.shown else { return f64::INFINITY };
        (one.low - other.low).abs().max((one.high - other.high).abs())
    }
}

/// A list of pieces passed by rising level.
struct Walk<'a> {
    pieces: &'a [Piece],
    piece: usize,
    knot: usize,
    cost: f64,
}

impl<'a> Walk<'a> {
    fn along(pieces: &'a [Piece]) -> Self {
        Self { pieces, piece: 0, knot: 0, cost: pieces.first().map_or(0.0, |piece| piece.at_low) }
    }

    /// What lies between two levels that follow each other; called with rising ones.
    fn shown(&mut self, low_m: f64, high_m: f64) -> Option<Shown> {
        loop {
            let knots = &self.pieces.get(self.piece)?.knots;
            let Some(next) = knots.get(self.knot + 1) else {
                (self.piece, self.knot) = (self.piece + 1, 0);
                self.cost = self.pieces.get(self.piece)?.at_low;
                continue;
            };
            let here = knots[self.knot];
            if next.level_m > low_m + SAME_M / 2.0 {
                let cost = |level_m: f64| self.cost + here.slope * (level_m - here.level_m);
                let is_here = here.level_m < high_m - SAME_M / 2.0;
                return is_here.then(|| Shown { piece: self.piece, low: cost(low_m), high: cost(high_m) });
            }
            self.cost += here.slope * (next.level_m - here.level_m);
            self.knot += 1;
        }
    }
}

/// The parts between all knots of two lists and where they cross.
fn parts(one: &[Piece], other: &[Piece]) -> Vec<Part> {
    let knots = one.iter().chain(other).flat_map(|piece| &piece.knots);
    let mut levels: Vec<f64> = knots.map(|knot| knot.level_m).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|a, b| *a - *b <= SAME_M);
    let (mut walks, mut parts) = ([Walk::along(one), Walk::along(other)], Vec::with_capacity(levels.len()));
    for pair in levels.windows(2) {
        let (low_m, high_m) = (pair[0], pair[1]);
        let shown = walks.each_mut().map(|walk| walk.shown(low_m, high_m));
        let whole = |best: usize| Part { low_m, high_m, shown, best };
        match shown {
            [None, None] => parts.push(whole(2)),
            [Some(_), None] => parts.push(whole(0)),
            [None, Some(_)] => parts.push(whole(1)),
            [Some(a), Some(b)] => {
                let (at_low, at_high) = (b.low - a.low, b.high - a.high);
                let best = usize::from(at_low + at_high < 0.0);
                let share = at_low / (at_low - at_high);
                let middle_m = low_m + share * (high_m - low_m);
                let is_crossed = at_low * at_high < 0.0 && middle_m - low_m > SAME_M && high_m - middle_m > SAME_M;
                if !is_crossed {
                    parts.push(whole(best));
                    continue;
                }
                let middle = a.low + share * (a.high - a.low);
                let below = shown.map(|shown| shown.map(|shown| Shown { high: middle, ..shown }));
                let above = shown.map(|shown| shown.map(|shown| Shown { low: middle, ..shown }));
                parts.push(Part { low_m, high_m: middle_m, shown: below, best: usize::from(at_low < 0.0) });
                parts.push(Part { low_m: middle_m, high_m, shown: above, best: usize::from(at_high < 0.0) });
            }
        }
    }
    parts
}

/// The least of two lists of pieces, and what it may be too dear at most.
fn merged(one: &[Piece], other: &[Piece], allowance: f64) -> (Vec<Piece>, f64) {
    let (mut parts, mut lost) = (parts(one, other), 0.0_f64);
    let mut now = 2;
    for run in parts.chunk_by_mut(|a, b| a.best == b.best) {
        let saves = run.iter().map(Part::saves).fold(0.0, f64::max);
        if now < 2 && run[0].best < 2 && run[0].best != now && saves <= allowance {
            // Not worth the change.
            lost = lost.max(saves);
            run.iter_mut().for_each(|part| part.best = now);
        }
        now = run[0].best;
    }
    let lists = [one, other];
    let place = |part: &Part| Some((part.best, part.shown.get(part.best)?.as_ref()?.piece));
    let pieces = parts.chunk_by(|a, b| place(a) == place(b)).filter_map(|run| {
        let (list, piece) = place(&run[0])?;
        lists[list][piece].within((run[0].low_m, run[run.len() - 1].high_m))
    });
    (pieces.collect(), lost)
}
