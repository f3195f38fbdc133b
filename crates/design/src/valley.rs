//! A convex cost over levels, held as the kinks on either side of its lowest place.
//!
//! Going away from its lowest place the cost grows by straight pieces; a kink is a level at which it turns steeper, and
//! by how much. Beyond its walls the cost is infinite. Everything the way from an upper end to the outlet asks of a
//! cost keeps this shape: adding a cost, setting a bound, letting the level differ by a rise between two bounds.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

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

/// One side of a valley. Keys grow toward the lowest place: they are levels on the lower side and levels with the
/// opposite sign on the upper side, so that both sides share their code.
#[derive(Debug, Clone)]
struct Side {
    /// Kinks, the nearest to the lowest place on top; their keys lack `shift`.
    kinks: BinaryHeap<Kink>,
    shift: f64,
    /// Key below which the cost is infinite.
    wall: f64,
}

impl Side {
    fn open() -> Self {
        Self { kinks: BinaryHeap::new(), shift: 0.0, wall: f64::NEG_INFINITY }
    }

    /// Key at which the cost begins to grow.
    fn foot(&self) -> f64 {
        self.kinks.peek().map_or(self.wall, |kink| (kink.key + self.shift).max(self.wall))
    }

    fn put(&mut self, key: f64, weight: f64) {
        self.kinks.push(Kink { key: key - self.shift, weight });
    }

    /// Takes the kinks nearest to the lowest place off, up to a weight in all; answers the weight that was not found
    /// within the wall.
    fn take(&mut self, weight: f64, mut put: impl FnMut(f64, f64)) -> f64 {
        // What is left over by less is rounding: kept, it would make a level out of nothing where many are as good.
        let rounding = weight * 1e-12;
        let mut left = weight;
        while left > rounding {
            let Some(mut kink) = self.kinks.pop().filter(|kink| kink.key + self.shift > self.wall) else {
                return left;
            };
            let moved = left.min(kink.weight);
            put(kink.key + self.shift, moved);
            left -= moved;
            kink.weight -= moved;
            if kink.weight > rounding {
                self.kinks.push(kink);
            }
        }
        0.0
    }

    /// Moves this side's kinks and its wall; infinitely far means that it is gone.
    fn slide(&mut self, by: f64) {
        if by.is_finite() {
            self.shift += by;
            self.wall += by;
        } else {
            *self = Self::open();
        }
    }

    /// Draws kinks that lie beyond `limit`, where the other side has its wall, back to it.
    fn hold_below(&mut self, limit: f64) {
        let mut weight = 0.0;
        while let Some(kink) = self.kinks.peek().filter(|kink| kink.key + self.shift > limit) {
            weight += kink.weight;
            self.kinks.pop();
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
        few.low.kinks.iter().for_each(|kink| sum.add_below(kink.key + few.low.shift, kink.weight));
        few.high.kinks.iter().for_each(|kink| sum.add_above(-(kink.key + few.high.shift), kink.weight));
        Some(sum)
    }

    fn len(&self) -> usize {
        self.low.kinks.len() + self.high.kinks.len()
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

    /// The same where a rise under `wanted` costs `price` for each metre that is missing. Answers the level up to which
    /// going higher costs less than that.
    pub fn downstream_at_a_price(&mut self, (least, most): (f64, f64), wanted: f64, price: f64) -> f64 {
        let wanted = wanted.clamp(least, most);
        let mut paid: Vec<(f64, f64)> = Vec::new();
        let left = self.high.take(price, |key, weight| paid.push((key, weight)));
        if left > 0.0 && self.high.wall.is_finite() {
            paid.push((self.high.wall, left));
        }
        let dear = paid.last().filter(|_| left <= 0.0).map_or(-self.high.wall, |(key, _)| -key);
        self.downstream((least, most));
        paid.into_iter().for_each(|(key, weight)| self.high.put(key + wanted, weight));
        dear
    }

    /// The cost as a function of another level `x`, where this level is `scale * x + offset`.
    pub fn in_terms_of(&mut self, scale: f64, offset: f64) {
        let mapped = |side: &Side, offset: f64| Side {
            kinks: (side.kinks.iter())
                .map(|kink| Kink { key: (kink.key + side.shift - offset) / scale, weight: kink.weight * scale })
                .collect(),
            shift: 0.0,
            wall: (side.wall - offset) / scale,
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
        let mut kinks: Vec<Kink> = side.kinks.iter().copied().collect();
        kinks.sort_by(|a, b| b.cmp(a));
        let mut flank = Self::default();
        let (mut weight, mut moment) = (0.0, 0.0);
        for kink in kinks {
            let key = kink.key + side.shift;
            weight += kink.weight;
            moment += kink.weight * key;
            flank.keys.push(key);
            flank.weight.push(weight);
            flank.moment.push(moment);
        }
        flank
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

    /// Slope of the cost just above a level, or just below it.
    pub fn steepness(&self, level: f64, upward: bool) -> f64 {
        self.above.steepness(-level, upward) - self.below.steepness(level, !upward)
    }
}
