//! A convex piecewise-linear cost as a function of a level, stored as its breakpoints on either side of the minimum.
//!
//! A breakpoint is a level at which the slope changes, and by how much. Outside an interval of allowed levels the cost is
//! infinite. Every operation the solver needs ([`crate::Tree`]) keeps this form: adding a cost, restricting the allowed
//! interval, and minimising over the rise between two stations (an infimal convolution).

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::collections::binary_heap::PeekMut;

use crate::WantedRise;

/// A level and the change of slope there.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Breakpoint {
    key: f64,
    weight: f64,
}

impl Eq for Breakpoint {}

impl Ord for Breakpoint {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key.total_cmp(&other.key)
    }
}

impl PartialOrd for Breakpoint {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Remainders below this share of a weight are rounding and are dropped: kept, they would single out one of many equally
/// cheap levels.
const ROUNDING: f64 = 1e-12;

/// Breakpoints nearer than this are merged, metres.
const SAME_M: f64 = 1e-12;

/// The breakpoints on one side of the minimum. Keys grow toward the minimum: on the lower side they are levels, on the upper
/// side levels with the sign reversed, so that both sides share their code.
///
/// Where missing rise is penalised, the breakpoints up to the penalty's slope are shifted each by its own amount. These are
/// few and nearest to the minimum, so they are kept in a sorted list (`near`); the rest are shifted together (`far` and
/// `shift`).
#[derive(Debug, Clone)]
struct Half {
    /// The breakpoints nearest to the minimum by rising key; none is farther out than any of `far`.
    near: Vec<Breakpoint>,
    /// The breakpoints farther out, the nearest on top; `shift` has to be added to their keys.
    far: BinaryHeap<Breakpoint>,
    shift: f64,
    /// Key below which the cost is infinite.
    wall: f64,
}

impl Half {
    fn open() -> Self {
        Self { near: Vec::new(), far: BinaryHeap::new(), shift: 0.0, wall: f64::NEG_INFINITY }
    }

    /// Key of the nearest breakpoint in `far`.
    fn nearest_far(&self) -> Option<f64> {
        self.far.peek().map(|breakpoint| breakpoint.key + self.shift)
    }

    /// Key at which the cost begins to rise: the end of the flat minimum on this side.
    fn foot(&self) -> f64 {
        let nearest = self.near.last().map(|breakpoint| breakpoint.key).or_else(|| self.nearest_far());
        nearest.map_or(self.wall, |key| key.max(self.wall))
    }

    /// Every breakpoint with its true key (`shift` added).
    fn breakpoints(&self) -> impl Iterator<Item = Breakpoint> + '_ {
        let far = self
            .far
            .iter()
            .map(|breakpoint| Breakpoint { key: breakpoint.key + self.shift, weight: breakpoint.weight });
        self.near.iter().copied().chain(far)
    }

    fn count(&self) -> usize {
        self.near.len() + self.far.len()
    }

    fn put(&mut self, key: f64, weight: f64) {
        if self.near.first().is_none_or(|farthest| key < farthest.key) {
            self.far.push(Breakpoint { key: key - self.shift, weight });
            return;
        }
        let at = self.near.partition_point(|breakpoint| breakpoint.key < key - SAME_M);
        match self.near.get_mut(at).filter(|breakpoint| breakpoint.key <= key + SAME_M) {
            Some(same) => same.weight += weight,
            None => self.near.insert(at, Breakpoint { key, weight }),
        }
    }

    /// Removes the nearest breakpoint, or a part of it if it weighs more than `most`.
    fn pop(&mut self, most: f64) -> Option<Breakpoint> {
        let part = |nearest: &mut Breakpoint, shift: f64| {
            let taken = Breakpoint { key: nearest.key + shift, weight: nearest.weight.min(most) };
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

    /// Removes breakpoints from the minimum outward up to a total weight and hands them to `put`; returns the weight for
    /// which there was no breakpoint inside the allowed interval.
    fn take(&mut self, weight: f64, mut put: impl FnMut(f64, f64)) -> f64 {
        let rounding = weight * ROUNDING;
        let mut left = weight;
        while left > rounding {
            let Some(breakpoint) = self.pop(left).filter(|breakpoint| breakpoint.key > self.wall) else {
                return left;
            };
            put(breakpoint.key, breakpoint.weight);
            left -= breakpoint.weight;
        }
        0.0
    }

    /// Shifts this side's breakpoints and the end of the allowed interval; an infinite shift removes both.
    fn slide(&mut self, by: f64) {
        if by.is_finite() {
            self.near.iter_mut().for_each(|breakpoint| breakpoint.key += by);
            self.shift += by;
            self.wall += by;
        } else {
            *self = Self::open();
        }
    }

    /// The same where missing rise is penalised: the breakpoints up to the first penalty's slope are shifted by the first
    /// amount, those up to the second's by the second, and everything steeper than all penalties together by `by`. `dear`
    /// receives, for each penalty that is reached, the key up to which its slope extends.
    fn slide_at_prices(
        &mut self,
        by: f64,
        prices: &[WantedRise],
        way: impl Fn(&WantedRise) -> f64,
        dear: &mut [f64],
    ) {
        if !by.is_finite() {
            return self.slide(by);
        }
        // Breakpoints from this index on have been shifted.
        let mut end = self.near.len();
        for (price, dear) in prices.iter().zip(dear) {
            let rounding = price.price * ROUNDING;
            let (mut left, mut from) = (price.price, end);
            while left > rounding {
                if from == 0 {
                    let Some(breakpoint) = self.draw(left, rounding) else { break };
                    self.near.insert(0, breakpoint);
                    (from, end) = (1, end + 1);
                }
                let breakpoint = &mut self.near[from - 1];
                breakpoint.key = breakpoint.key.max(self.wall);
                if breakpoint.weight > left + rounding {
                    let part = Breakpoint { weight: left, ..*breakpoint };
                    breakpoint.weight -= left;
                    self.near.insert(from, part);
                    (left, end) = (0.0, end + 1);
                } else {
                    left -= breakpoint.weight;
                    from -= 1;
                }
            }
            if left <= rounding {
                *dear = self.near[from].key;
            }
            let by = way(price);
            self.near[from..end].iter_mut().for_each(|breakpoint| breakpoint.key += by);
            end = from;
        }
        self.far.extend(
            self.near.drain(..end).map(|breakpoint| Breakpoint { key: breakpoint.key - self.shift, ..breakpoint }),
        );
        self.shift += by;
        self.wall += by;
    }

    /// Removes up to `weight` from `far`. At the end of the allowed interval the cost turns infinitely steep, so once `far`
    /// is empty the rest is taken from there.
    fn draw(&mut self, weight: f64, rounding: f64) -> Option<Breakpoint> {
        let Some(mut nearest) = self.far.peek_mut() else {
            return self.wall.is_finite().then_some(Breakpoint { key: self.wall, weight });
        };
        let drawn = Breakpoint { key: nearest.key + self.shift, weight: nearest.weight.min(weight) };
        nearest.weight -= drawn.weight;
        if nearest.weight <= rounding {
            PeekMut::pop(nearest);
        }
        Some(drawn)
    }

    /// Moves breakpoints that lie beyond `limit`, the other end of the allowed interval, back to it.
    fn hold_below(&mut self, limit: f64) {
        let mut weight = 0.0;
        while self.near.last().is_some_and(|breakpoint| breakpoint.key > limit) {
            weight += self.near.pop().map_or(0.0, |breakpoint| breakpoint.weight);
        }
        while self.nearest_far().is_some_and(|key| key > limit) {
            weight += self.far.pop().map_or(0.0, |breakpoint| breakpoint.weight);
        }
        if weight > 0.0 {
            self.put(limit, weight);
        }
    }
}

/// Adds a cost that grows by `weight` for each metre that the key falls short of `key`.
fn add(own: &mut Half, other: &mut Half, key: f64, weight: f64) {
    let key = key.min(-other.wall);
    if key <= own.wall || weight <= 0.0 {
        return;
    }
    if key + other.foot() <= 0.0 {
        own.put(key, weight);
        return;
    }
    // The minimum moves: what was nearest to it on the other side now lies on this side.
    other.put(-key, weight);
    let left = other.take(weight, |key, weight| own.put(-key, weight));
    if left > 0.0 {
        own.put(-other.wall, left);
    }
}

/// A convex piecewise-linear cost as a function of a level, up to a constant.
#[derive(Debug, Clone)]
pub(crate) struct ConvexCost {
    low: Half,
    high: Half,
}

impl ConvexCost {
    /// The cost that is zero everywhere.
    pub fn flat() -> Self {
        Self { low: Half::open(), high: Half::open() }
    }

    /// Restricts the allowed levels; false if none is left, rounding aside.
    pub fn bound(&mut self, (lowest, highest): (f64, f64)) -> bool {
        /// Bounds that contradict each other by less than this count as equal, metres.
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

    /// The sum of two costs; `None` if they have no allowed level in common.
    pub fn and(self, other: ConvexCost) -> Option<ConvexCost> {
        let (mut sum, few) = if self.len() < other.len() { (other, self) } else { (self, other) };
        if !sum.bound(few.range()) {
            return None;
        }
        few.low.breakpoints().for_each(|breakpoint| sum.add_below(breakpoint.key, breakpoint.weight));
        few.high.breakpoints().for_each(|breakpoint| sum.add_above(-breakpoint.key, breakpoint.weight));
        Some(sum)
    }

    fn len(&self) -> usize {
        self.low.count() + self.high.count()
    }

    /// A level at which the cost is least: the highest of them, and minus infinity if all levels cost the same.
    pub fn lowest_place(&self) -> f64 {
        let high = -self.high.foot();
        if high.is_finite() { high } else { self.low.foot() }
    }

    /// The cost as a function of the downstream level, which may be lower by `least` to `most`.
    pub fn downstream(&mut self, (least, most): (f64, f64)) {
        self.low.slide(-most);
        self.high.slide(least);
    }

    /// The same with penalties on missing rise: each metre short of a wanted rise costs that rise's price. The wanted rises
    /// come in falling order. `dear` receives for each the level up to which rising further costs less than all penalties so
    /// far.
    ///
    /// The cheapest rise is the one at which one more metre costs as much above as it saves below. So breakpoints up to the
    /// first penalty's slope are shifted by the first wanted rise, those up to the second's by the second, and everything
    /// steeper than all penalties together by the least rise (the infimal convolution of two convex functions sorts their
    /// pieces by slope: Rockafellar 1970, Convex Analysis, section 16).
    pub fn downstream_at_prices(&mut self, (least, most): (f64, f64), prices: &[WantedRise], dear: &mut [f64]) {
        dear.fill(f64::NEG_INFINITY);
        self.low.slide(-most);
        self.high.slide_at_prices(least, prices, |price| price.wanted_m.clamp(least, most), dear);
        dear.iter_mut().for_each(|key| *key = -*key);
    }

    /// The cost as a function of another level `x`, where this level is `scale * x + offset`.
    pub fn in_terms_of(&mut self, scale: f64, offset: f64) {
        let mapped = |side: &Half, offset: f64| Half {
            far: side
                .breakpoints()
                .map(|k| Breakpoint { key: (k.key - offset) / scale, weight: k.weight * scale })
                .collect(),
            wall: (side.wall - offset) / scale,
            ..Half::open()
        };
        (self.low, self.high) = (mapped(&self.low, offset), mapped(&self.high, -offset));
    }

    /// The allowed levels: where the cost is finite.
    pub fn range(&self) -> (f64, f64) {
        (self.low.wall, -self.high.wall)
    }

    /// The cost as a table that can be evaluated at any level.
    pub fn parts(&self) -> CostTable {
        CostTable { below: HalfTable::of(&self.low), above: HalfTable::of(&self.high), range: self.range() }
    }
}

/// One side of the cost as running sums over the breakpoints from the minimum outward: of their weights, and of weight times
/// key.
#[derive(Debug, Clone, PartialEq, Default)]
struct HalfTable {
    keys: Vec<f64>,
    weight: Vec<f64>,
    moment: Vec<f64>,
}

impl HalfTable {
    fn of(side: &Half) -> Self {
        let mut breakpoints: Vec<Breakpoint> = side.breakpoints().collect();
        breakpoints.sort_by(|a, b| b.cmp(a));
        let mut flank = Self::default();
        let (mut weight, mut moment) = (0.0, 0.0);
        for breakpoint in breakpoints {
            let key = breakpoint.key;
            weight += breakpoint.weight;
            moment += breakpoint.weight * key;
            flank.keys.push(key);
            flank.weight.push(weight);
            flank.moment.push(moment);
        }
        flank
    }

    /// Breakpoints between two keys: key and weight.
    fn inside(&self, low: f64, high: f64) -> impl Iterator<Item = (f64, f64)> + '_ {
        let breakpoints = self.count(high, true)..self.count(low, false);
        breakpoints.map(|i| (self.keys[i], self.weight[i] - if i == 0 { 0.0 } else { self.weight[i - 1] }))
    }

    /// How many breakpoints are passed at a key, counted from the minimum; those at the key itself only if asked for.
    fn count(&self, key: f64, at_kink: bool) -> usize {
        self.keys.partition_point(|k| if at_kink { *k >= key } else { *k > key })
    }

    fn at(&self, key: f64) -> f64 {
        match self.count(key, false) {
            0 => 0.0,
            count => self.moment[count - 1] - self.weight[count - 1] * key,
        }
    }

    /// Slope away from the minimum.
    fn steepness(&self, key: f64, at_kink: bool) -> f64 {
        match self.count(key, at_kink) {
            0 => 0.0,
            count => self.weight[count - 1],
        }
    }
}

/// A convex piecewise-linear cost that can be evaluated at any level, up to a constant.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct CostTable {
    below: HalfTable,
    above: HalfTable,
    /// The allowed levels.
    pub range: (f64, f64),
}

impl CostTable {
    /// The cost at an allowed level, up to a constant.
    pub fn at(&self, level: f64) -> f64 {
        self.below.at(level) + self.above.at(-level)
    }

    /// Calls `show` with each breakpoint inside a range of levels: the level, and the change of slope there.
    pub fn turns(&self, (low, high): (f64, f64), mut show: impl FnMut(f64, f64)) {
        self.below.inside(low, high).for_each(|(key, weight)| show(key, weight));
        self.above.inside(-high, -low).for_each(|(key, weight)| show(-key, weight));
    }

    /// Slope of the cost just above a level (`upward`), or just below it.
    pub fn steepness(&self, level: f64, upward: bool) -> f64 {
        self.above.steepness(-level, upward) - self.below.steepness(level, !upward)
    }
}
