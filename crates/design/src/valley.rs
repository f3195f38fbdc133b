//! A convex cost over levels, held as the kinks on either side of its lowest place.
//!
//! Going away from its lowest place the cost grows by straight pieces; a kink is a level at which it turns steeper, and
//! by how much. Beyond its walls the cost is infinite. Everything the way from an upper end to the outlet asks of a
//! cost keeps this shape: adding a cost, setting a bound, letting the level differ by a rise between two bounds.

use std::cmp::Ordering;
use std::collections::binary_heap::PeekMut;
use std::collections::{BinaryHeap, VecDeque};

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

/// The kinks of one side between two steepnesses; all of them move together.
#[derive(Debug, Clone)]
struct Band {
    /// Kinks by rising key; their keys lack `shift`.
    kinks: VecDeque<Kink>,
    shift: f64,
    /// Weight of all kinks, and the most that they may weigh: by so much the side turns steeper within the band.
    weight: f64,
    most: f64,
}

impl Band {
    fn of(most: f64) -> Self {
        Self { kinks: VecDeque::new(), shift: 0.0, weight: 0.0, most }
    }

    fn is_full(&self) -> bool {
        self.weight >= self.most * (1.0 - ROUNDING)
    }

    /// Key of the kink farthest from the lowest place.
    fn farthest(&self) -> Option<f64> {
        self.kinks.front().map(|kink| kink.key + self.shift)
    }

    fn put(&mut self, key: f64, weight: f64) {
        let key = key - self.shift;
        self.weight += weight;
        let at = self.kinks.partition_point(|kink| kink.key < key - SAME_M);
        match self.kinks.get_mut(at).filter(|kink| kink.key <= key + SAME_M) {
            // Parts of one kink that went into several bands come together again.
            Some(same) => same.weight += weight,
            None => self.kinks.insert(at, Kink { key, weight }),
        }
    }

    /// Adds a kink that lies no farther from the lowest place than any in the band, or no nearer than any.
    fn put_at_end(&mut self, key: f64, weight: f64, is_nearest: bool) {
        let key = key - self.shift;
        self.weight += weight;
        let end = if is_nearest { self.kinks.back_mut() } else { self.kinks.front_mut() };
        match end.filter(|end| (end.key - key).abs() <= SAME_M) {
            Some(same) => same.weight += weight,
            None if is_nearest => self.kinks.push_back(Kink { key, weight }),
            None => self.kinks.push_front(Kink { key, weight }),
        }
    }

    /// Takes off what is beyond the most that the band may weigh, the farthest first; shows key and weight.
    fn spill(&mut self, mut show: impl FnMut(f64, f64)) {
        while self.weight > self.most * (1.0 + ROUNDING) {
            let Some(far) = self.kinks.front_mut() else { break };
            let moved = far.weight.min(self.weight - self.most);
            show(far.key + self.shift, moved);
            far.weight -= moved;
            self.weight -= moved;
            if far.weight <= self.most * ROUNDING {
                self.kinks.pop_front();
            }
        }
    }
}

/// One side of a valley. Keys grow toward the lowest place: they are levels on the lower side and levels with the
/// opposite sign on the upper side, so that both sides share their code.
///
/// Where a rise that is missing has its prices, the kinks up to those steepnesses lie in bands, the nearest first; a band
/// has kinks only if those before it are full.
#[derive(Debug, Clone)]
struct Side {
    bands: Vec<Band>,
    /// The kinks beyond all bands, the nearest on top; their keys lack `shift`.
    far: BinaryHeap<Kink>,
    shift: f64,
    /// Key below which the cost is infinite.
    wall: f64,
}

impl Side {
    fn open() -> Self {
        Self { bands: Vec::new(), far: BinaryHeap::new(), shift: 0.0, wall: f64::NEG_INFINITY }
    }

    /// Key of the kink nearest to the lowest place, where there is one.
    fn nearest(&self) -> Option<f64> {
        let banded = self.bands.first().and_then(|band| band.kinks.back().map(|kink| kink.key + band.shift));
        banded.or_else(|| self.far.peek().map(|kink| kink.key + self.shift))
    }

    /// Key at which the cost begins to grow.
    fn foot(&self) -> f64 {
        self.nearest().map_or(self.wall, |key| key.max(self.wall))
    }

    /// Every kink with its whole key.
    fn kinks(&self) -> impl Iterator<Item = Kink> + '_ {
        let whole = |kink: &Kink, shift: f64| Kink { key: kink.key + shift, weight: kink.weight };
        let banded = self.bands.iter().flat_map(move |b| b.kinks.iter().map(move |kink| whole(kink, b.shift)));
        banded.chain(self.far.iter().map(move |kink| whole(kink, self.shift)))
    }

    fn count(&self) -> usize {
        self.far.len() + self.bands.iter().map(|band| band.kinks.len()).sum::<usize>()
    }

    fn put(&mut self, key: f64, weight: f64) {
        let is_its = |band: &Band| !band.is_full() || band.farthest().is_some_and(|far| key > far);
        match self.bands.iter().position(is_its) {
            Some(band) => {
                self.bands[band].put(key, weight);
                self.spill_from(band);
            }
            None => self.far.push(Kink { key: key - self.shift, weight }),
        }
    }

    /// Passes on what a band holds too much, band after band.
    fn spill_from(&mut self, band: usize) {
        for i in band..self.bands.len() {
            if self.bands[i].weight <= self.bands[i].most {
                return;
            }
            let (these, beyond) = self.bands.split_at_mut(i + 1);
            let (far, shift) = (&mut self.far, self.shift);
            these[i].spill(|key, weight| match beyond.first_mut() {
                Some(next) => next.put_at_end(key, weight, true),
                None => far.push(Kink { key: key - shift, weight }),
            });
        }
    }

    /// Fills bands that have room from those beyond them.
    fn refill(&mut self) {
        for i in 0..self.bands.len() {
            while !self.bands[i].is_full() {
                let Some(near) = self.pop(i + 1, self.bands[i].most - self.bands[i].weight) else { return };
                self.bands[i].put_at_end(near.key, near.weight, false);
            }
        }
    }

    /// Takes the nearest kink off that lies in none of the first bands, but no more of it than a weight.
    fn pop(&mut self, bands: usize, most: f64) -> Option<Kink> {
        let part = |near: &mut Kink, shift: f64| {
            let taken = Kink { key: near.key + shift, weight: near.weight.min(most) };
            near.weight -= taken.weight;
            (taken, near.weight <= most * ROUNDING)
        };
        let banded = self.bands.iter_mut().skip(bands).find(|band| !band.kinks.is_empty());
        if let Some(band) = banded {
            let (taken, is_gone) = part(band.kinks.back_mut()?, band.shift);
            band.weight -= taken.weight;
            if is_gone {
                band.kinks.pop_back();
            }
            return Some(taken);
        }
        let mut near = self.far.peek_mut()?;
        let (taken, is_gone) = part(&mut near, self.shift);
        if is_gone {
            PeekMut::pop(near);
        }
        Some(taken)
    }

    /// Takes the kinks nearest to the lowest place off, up to a weight in all; answers the weight that was not found
    /// within the wall.
    fn take(&mut self, weight: f64, mut put: impl FnMut(f64, f64)) -> f64 {
        let rounding = weight * ROUNDING;
        let mut left = weight;
        while left > rounding {
            let Some(kink) = self.pop(0, left).filter(|kink| kink.key > self.wall) else {
                self.refill();
                return left;
            };
            put(kink.key, kink.weight);
            left -= kink.weight;
        }
        self.refill();
        0.0
    }

    /// Lays the kinks in bands of these weights, which fill up at the wall where there is one.
    fn part(&mut self, prices: &[Missing]) {
        let is_so = self.bands.len() == prices.len() && self.bands.iter().zip(prices).all(|(b, p)| b.most == p.price);
        if !is_so {
            let banded: Vec<Kink> = self.kinks().take(self.count() - self.far.len()).collect();
            self.far.extend(banded.into_iter().map(|kink| Kink { key: kink.key - self.shift, ..kink }));
            self.bands = prices.iter().map(|price| Band::of(price.price)).collect();
            self.refill();
        }
        if self.wall.is_finite() {
            // At the wall the cost turns infinitely steep: what lies beyond and all that is left to pay is paid there.
            for band in &mut self.bands {
                let wall = self.wall - band.shift;
                band.kinks.iter_mut().take_while(|kink| kink.key < wall).for_each(|kink| kink.key = wall);
                if !band.is_full() {
                    band.put_at_end(self.wall, band.most - band.weight, false);
                }
            }
        }
    }

    /// Moves this side's kinks and its wall; infinitely far means that it is gone.
    fn slide(&mut self, by: f64) {
        if by.is_finite() {
            self.bands.iter_mut().for_each(|band| band.shift += by);
            self.shift += by;
            self.wall += by;
        } else {
            *self = Self::open();
        }
    }

    /// Draws kinks that lie beyond `limit`, where the other side has its wall, back to it.
    fn hold_below(&mut self, limit: f64) {
        let mut weight = 0.0;
        for band in &mut self.bands {
            while band.kinks.back().is_some_and(|kink| kink.key + band.shift > limit) {
                let taken = band.kinks.pop_back().map_or(0.0, |kink| kink.weight);
                weight += taken;
                band.weight -= taken;
            }
        }
        while self.far.peek().is_some_and(|kink| kink.key + self.shift > limit) {
            weight += self.far.pop().map_or(0.0, |kink| kink.weight);
        }
        self.refill();
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
    /// one to the next. Shows for each the level up to which going higher costs less than all prices up to it.
    ///
    /// The cheapest rise to a level is the one at which a metre more costs as much above as it spares below: so the kinks
    /// up to the first price move by the first wanted rise, those up to the second by the second, and what is steeper than
    /// all prices together by the least rise (the infimal convolution of two convex costs adds their pieces in order of
    /// steepness: Rockafellar 1970, Convex Analysis, section 16).
    pub fn downstream_at_prices(&mut self, (least, most): (f64, f64), prices: &[Missing], mut show: impl FnMut(f64)) {
        self.high.part(prices);
        for band in &self.high.bands {
            show(band.farthest().filter(|_| band.is_full()).map_or(f64::INFINITY, |key| -key));
        }
        self.downstream((least, most));
        for (band, price) in self.high.bands.iter_mut().zip(prices) {
            band.shift += price.wanted_m.clamp(least, most) - least;
        }
    }

    /// The cost as a function of another level `x`, where this level is `scale * x + offset`.
    pub fn in_terms_of(&mut self, scale: f64, offset: f64) {
        let mapped = |side: &Side, offset: f64| Side {
            bands: Vec::new(),
            far: side.kinks().map(|k| Kink { key: (k.key - offset) / scale, weight: k.weight * scale }).collect(),
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
