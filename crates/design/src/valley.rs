//! A convex cost over levels, held as the kinks on either side of its lowest place.
//!
//! Going away from its lowest place the cost grows by straight pieces; a kink is a level at which it turns steeper, and
//! by how much. Beyond its walls the cost is infinite. Everything the way from an upper end to the outlet asks of a
//! cost keeps this shape: adding a cost, setting a bound, letting the level differ by a rise between two bounds.

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::collections::binary_heap::PeekMut;

use crate::Missing;

/// A level and by how much the cost turns steeper there.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Kink {
    key: f64,
    weight: f64,
}

impl Eq for Kink {}

impl Ord for Kink {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key.total_cmp(&other.key)
    }
}

impl PartialOrd for Kink {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Shares of a weight that are rounding: kept, they would make a level out of nothing where many are as good.
const ROUNDING: f64 = 1e-12;

/// Kinks this near are one, metres.
const SAME_M: f64 = 1e-12;

/// One side of a valley. Keys grow toward the lowest place: they are levels on the lower side and levels with the
/// opposite sign on the upper side, so that both sides share their code.
///
/// Where a rise that is missing has its prices, the kinks up to those steepnesses move each by its own way. They are few and
/// lie near the lowest place, in a plain list; the rest move together.
#[derive(Debug, Clone)]
struct Side {
    /// The kinks nearest to the lowest place by rising key, none of them farther than any of `far`.
    near: Vec<Kink>,
    /// The kinks beyond, the nearest on top; their keys lack `shift`.
    far: BinaryHeap<Kink>,
    shift: f64,
    /// Key below which the cost is infinite.
    wall: f64,
}

impl Side {
    fn open() -> Self {
        Self { near: Vec::new(), far: BinaryHeap::new(), shift: 0.0, wall: f64::NEG_INFINITY }
    }

    /// Key of the nearest kink beyond the list.
    fn nearest_far(&self) -> Option<f64> {
        self.far.peek().map(|kink| kink.key + self.shift)
    }

    /// Key at which the cost begins to grow.
    fn foot(&self) -> f64 {
        let nearest = self.near.last().map(|kink| kink.key).or_else(|| self.nearest_far());
        nearest.map_or(self.wall, |key| key.max(self.wall))
    }

    /// Every kink with its whole key.
    fn kinks(&self) -> impl Iterator<Item = Kink> + '_ {
        let far = self.far.iter().map(|kink| Kink { key: kink.key + self.shift, weight: kink.weight });
        self.near.iter().copied().chain(far)
    }

    fn count(&self) -> usize {
        self.near.len() + self.far.len()
    }

    fn put(&mut self, key: f64, weight: f64) {
        if self.near.first().is_none_or(|farthest| key < farthest.key) {
            self.far.push(Kink { key: key - self.shift, weight });
            return;
        }
        let at = self.near.partition_point(|kink| kink.key < key - SAME_M);
        match self.near.get_mut(at).filter(|kink| kink.key <= key + SAME_M) {
            Some(same) => same.weight += weight,
            None => self.near.insert(at, Kink { key, weight }),
        }
    }

    /// Takes the nearest kink off, but no more of it than a weight.
    fn pop(&mut self, most: f64) -> Option<Kink> {
        let part = |nearest: &mut Kink, shift: f64| {
            let taken = Kink { key: nearest.key + shift, weight: nearest.weight.min(most) };
            nearest.weight -= taken.weight;
            (taken, nearest.weight <= most * ROUNDING)
        };
        if let Some(nearest) = self.near.last_mut() {
            let (taken, is_gone) = part(nearest, 0.0);
            if is_gone {
                self.near.pop();
            }
            return Some(taken);
        }
        let mut nearest = self.far.peek_mut()?;
        let (taken, is_gone) = part(&mut nearest, self.shift);
        if is_gone {
            PeekMut::pop(nearest);
        }
        Some(taken)
    }

    /// Takes the kinks nearest to the lowest place off, up to a weight in all; answers the weight that was not found
    /// within the wall.
    fn take(&mut self, weight: f64, mut put: impl FnMut(f64, f64)) -> f64 {
        let rounding = weight * ROUNDING;
        let mut left = weight;
        while left > rounding {
            let Some(kink) = self.pop(left).filter(|kink| kink.key > self.wall) else { return left };
            put(kink.key, kink.weight);
            left -= kink.weight;
        }
        0.0
    }

    /// Moves this side's kinks and its wall; infinitely far means that it is gone.
    fn slide(&mut self, by: f64) {
        if by.is_finite() {
            self.near.iter_mut().for_each(|kink| kink.key += by);
            self.shift += by;
            self.wall += by;
        } else {
            *self = Self::open();
        }
    }

    /// The same where rise that is missing has its prices: the kinks up to the first price move by the first way, those up to
    /// the second by the second, and what is steeper than all of them by `by`. `dear` gets the key up to which each price
    /// reaches, where there are kinks for it.
    fn slide_at_prices(&mut self, by: f64, prices: &[Missing], way: impl Fn(&Missing) -> f64, dear: &mut [f64]) {
        if !by.is_finite() {
            return self.slide(by);
        }
        // From here on kinks have moved.
        let mut end = self.near.len();
        for (price, dear) in prices.iter().zip(dear) {
            let rounding = price.price * ROUNDING;
            let (mut left, mut from) = (price.price, end);
            while left > rounding {
                if from == 0 {
                    let Some(kink) = self.draw(left, rounding) else { break };
                    self.near.insert(0, kink);
                    (from, end) = (1, end + 1);
                }
                let kink = &mut self.near[from - 1];
                kink.key = kink.key.max(self.wall);
                if kink.weight > left + rounding {
                    let part = Kink { weight: left, ..*kink };
                    kink.weight -= left;
                    self.near.insert(from, part);
                    (left, end) = (0.0, end + 1);
                } else {
                    left -= kink.weight;
                    from -= 1;
                }
            }
            if left <= rounding {
                *dear = self.near[from].key;
            }
            let by = way(price);
            self.near[from..end].iter_mut().for_each(|kink| kink.key += by);
            end = from;
        }
        self.far.extend(self.near.drain(..end).map(|kink| Kink { key: kink.key - self.shift, ..kink }));
        self.shift += by;
        self.wall += by;
    }

    /// Takes so much off what lies beyond the list. At the wall, where there is one, the cost turns infinitely steep: what lies
    /// beyond it and all that is left to pay is paid there.
    fn draw(&mut self, weight: f64, rounding: f64) -> Option<Kink> {
        let Some(mut nearest) = self.far.peek_mut() else {
            return self.wall.is_finite().then_some(Kink { key: self.wall, weight });
        };
        let drawn = Kink { key: nearest.key + self.shift, weight: nearest.weight.min(weight) };
        nearest.weight -= drawn.weight;
        if nearest.weight <= rounding {
            PeekMut::pop(nearest);
        }
        Some(drawn)
    }

    /// Draws kinks that lie beyond `limit`, where the other side has its wall, back to it.
    fn hold_below(&mut self, limit: f64) {
        let mut weight = 0.0;
        while self.near.last().is_some_and(|kink| kink.key > limit) {
            weight += self.near.pop().map_or(0.0, |kink| kink.weight);
        }
        while self.nearest_far().is_some_and(|key| key > limit) {
            weight += self.far.pop().map_or(0.0, |kink| kink.weight);
        }
        if weight > 0.0 {
            self.put(limit, weight);
        }
    }
}

/// Adds a cost that grows by `weight` for each metre that the key lies below `key`.
fn add(own: &mut Side, other: &mut Side, key: f64, weight: f64) {
    let key = key.min(-other.wall);
    if key <= own.wall || weight <= 0.0 {
        return;
    }
    if key + other.foot() <= 0.0 {
        own.put(key, weight);
        return;
    }
    // The lowest place moves: what the other side had nearest to it now lies on this side.
    other.put(-key, weight);
    let left = other.take(weight, |key, weight| own.put(-key, weight));
    if left > 0.0 {
        own.put(-other.wall, left);
    }
}

/// A convex cost over levels, but for a constant.
#[derive(Debug, Clone)]
pub(crate) struct Valley {
    low: Side,
    high: Side,
}

impl Valley {
    /// Costs nothing anywhere.
    pub fn flat() -> Self {
        Self { low: Side::open(), high: Side::open() }
    }

    /// Sets bounds on the level; false where no level is left but for rounding.
    pub fn bound(&mut self, (lowest, highest): (f64, f64)) -> bool {
        /// Bounds that miss each other by less are one level, metres.
        const ROUNDING_M: f64 = 1e-10;
        self.low.wall = self.low.wall.max(lowest);
        self.high.wall = self.high.wall.max(-highest);
        let gap = self.low.wall + self.high.wall;
        if gap > ROUNDING_M {
            return false;
        }
        if gap > 0.0 {
            self.low.wall -= gap;
        }
        self.low.hold_below(-self.high.wall);
        self.high.hold_below(-self.low.wall);
        true
    }

    /// Adds `weight` for each metre below `level`.
    pub fn add_below(&mut self, level: f64, weight: f64) {
        add(&mut self.low, &mut self.high, level, weight);
    }

    /// Adds `weight` for each metre above `level`.
    pub fn add_above(&mut self, level: f64, weight: f64) {
        add(&mut self.high, &mut self.low, -level, weight);
    }

    /// The sum of two costs; `None` where the two share no level.
    pub fn and(self, other: Valley) -> Option<Valley> {
        let (mut sum, few) = if self.len() < other.len() { (other, self) } else { (self, other) };
        if !sum.bound(few.range()) {
            return None;
        }
        few.low.kinks().for_each(|kink| sum.add_below(kink.key, kink.weight));
        few.high.kinks().for_each(|kink| sum.add_above(-kink.key, kink.weight));
        Some(sum)
    }

    fn len(&self) -> usize {
        self.low.count() + self.high.count()
    }

    /// The cheapest level; the highest of several, and minus infinity where every level is as good.
    pub fn lowest_place(&self) -> f64 {
        let high = -self.high.foot();
        if high.is_finite() { high } else { self.low.foot() }
    }

    /// The cost seen from a place downstream, whose level may lie lower by `least` to `most`.
    pub fn downstream(&mut self, (least, most): (f64, f64)) {
        self.low.slide(-most);
        self.high.slide(least);
    }

    /// The same where a rise has its prices: each metre short of a wanted rise costs that one's. The wanted rises fall from
    /// one to the next. `dear` gets for each the level up to which going higher costs less than all prices up to it.
    ///
    /// The cheapest rise to a level is the one at which a metre more costs as much above as it spares below: so the kinks
    /// up to the first price move by the first wanted rise, those up to the second by the second, and what is steeper than
    /// all prices together by the least rise (the infimal convolution of two convex costs adds their pieces in order of
    /// steepness: Rockafellar 1970, Convex Analysis, section 16).
    pub fn downstream_at_prices(&mut self, (least, most): (f64, f64), prices: &[Missing], dear: &mut [f64]) {
        dear.fill(f64::NEG_INFINITY);
        self.low.slide(-most);
        self.high.slide_at_prices(least, prices, |price| price.wanted_m.clamp(least, most), dear);
        dear.iter_mut().for_each(|key| *key = -*key);
    }

    /// The cost as a function of another level `x`, where this level is `scale * x + offset`.
    pub fn in_terms_of(&mut self, scale: f64, offset: f64) {
        let mapped = |side: &Side, offset: f64| Side {
            far: side.kinks().map(|k| Kink { key: (k.key - offset) / scale, weight: k.weight * scale }).collect(),
            wall: (side.wall - offset) / scale,
            ..Side::open()
        };
        (self.low, self.high) = (mapped(&self.low, offset), mapped(&self.high, -offset));
    }

    /// Range of levels whose cost is finite.
    pub fn range(&self) -> (f64, f64) {
        (self.low.wall, -self.high.wall)
    }

    /// The valley taken apart.
    pub fn parts(&self) -> Parts {
        Parts { below: Flank::of(&self.low), above: Flank::of(&self.high), range: self.range() }
    }
}

/// One side of a valley, ready to be asked: kinks from the lowest place outward, with what all up to each weigh and
/// weigh times their key.
#[derive(Debug, Clone, PartialEq, Default)]
struct Flank {
    keys: Vec<f64>,
    weight: Vec<f64>,
    moment: Vec<f64>,
}

impl Flank {
    fn of(side: &Side) -> Self {
        let mut kinks: Vec<Kink> = side.kinks().collect();
        kinks.sort_by(|a, b| b.cmp(a));
        let mut flank = Self::default();
        let (mut weight, mut moment) = (0.0, 0.0);
        for kink in kinks {
            let key = kink.key;
            weight += kink.weight;
            moment += kink.weight * key;
            flank.keys.push(key);
            flank.weight.push(weight);
            flank.moment.push(moment);
        }
        flank
    }

    /// Keys between two others, with what the kinks there weigh.
    fn inside(&self, low: f64, high: f64) -> impl Iterator<Item = (f64, f64)> + '_ {
        let kinks = self.count(high, true)..self.count(low, false);
        kinks.map(|i| (self.keys[i], self.weight[i] - if i == 0 { 0.0 } else { self.weight[i - 1] }))
    }

    /// Number of kinks whose cost counts at a key.
    fn count(&self, key: f64, at_kink: bool) -> usize {
        self.keys.partition_point(|k| if at_kink { *k >= key } else { *k > key })
    }

    fn at(&self, key: f64) -> f64 {
        match self.count(key, false) {
            0 => 0.0,
            count => self.moment[count - 1] - self.weight[count - 1] * key,
        }
    }

    /// Slope away from the lowest place.
    fn steepness(&self, key: f64, at_kink: bool) -> f64 {
        match self.count(key, at_kink) {
            0 => 0.0,
            count => self.weight[count - 1],
        }
    }
}

/// A valley taken apart: what it costs, but for a constant, can be told of any level.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Parts {
    below: Flank,
    above: Flank,
    /// Bounds of the level.
    pub range: (f64, f64),
}

impl Parts {
    /// The cost at a level within the bounds, but for a constant.
    pub fn at(&self, level: f64) -> f64 {
        self.below.at(level) + self.above.at(-level)
    }

    /// Shows the levels inside a range at which the cost turns steeper, and by how much.
    pub fn turns(&self, (low, high): (f64, f64), mut show: impl FnMut(f64, f64)) {
        self.below.inside(low, high).for_each(|(key, weight)| show(key, weight));
        self.above.inside(-high, -low).for_each(|(key, weight)| show(-key, weight));
    }

    /// Slope of the cost just above a level, or just below it.
    pub fn steepness(&self, level: f64, upward: bool) -> f64 {
        self.above.steepness(-level, upward) - self.below.steepness(level, !upward)
    }
}
