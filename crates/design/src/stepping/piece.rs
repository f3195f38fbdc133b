//! A convex piecewise-linear cost between two levels, with the sizes chosen upstream that lead to it.
//!
//! [`crate::convex_cost`] finds levels, for which a cost up to a constant will do, and keeps both sides of one minimum in heaps.
//! Here costs of different sizes are held against each other, level by level and end by end: they are known whole.

use super::Link;
use crate::{Hinge, Tie, WantedRise};

/// Level beyond any drain, metres.
const FAR_M: f64 = 1e5;
/// Bounds that contradict each other by less than this count as equal, metres.
const ROUNDING_M: f64 = 1e-10;
/// What is shorter is a single level, metres.
pub(super) const SAME_M: f64 = 1e-12;

/// A level, and the slope of the cost from there up to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Knot {
    pub level_m: f64,
    pub slope: f64,
}

/// The cost of everything upstream for some sizes chosen there, as a function of a level, between two levels.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// The cost at its lowest level.
    pub at_low: f64,
    /// By rising level, slopes never falling; the last one's slope is not read.
    pub knots: Vec<Knot>,
    pub chosen: Link,
}

impl Piece {
    pub fn flat() -> Self {
        let knot = |level_m: f64| Knot { level_m, slope: 0.0 };
        Self { at_low: 0.0, knots: vec![knot(-FAR_M), knot(FAR_M)], chosen: None }
    }

    pub fn low_m(&self) -> f64 {
        self.knots[0].level_m
    }

    pub fn high_m(&self) -> f64 {
        self.knots[self.knots.len() - 1].level_m
    }

    pub fn is_point(&self) -> bool {
        self.knots.len() < 2
    }

    /// Each knot with the cost there.
    pub fn corners(&self) -> impl Iterator<Item = (Knot, f64)> + '_ {
        let mut cost = self.at_low;
        self.knots.iter().enumerate().map(move |(i, knot)| {
            if let Some(below) = i.checked_sub(1).map(|below| self.knots[below]) {
                cost += below.slope * (knot.level_m - below.level_m);
            }
            (*knot, cost)
        })
    }

    pub fn least(&self) -> f64 {
        self.corners().map(|(_, cost)| cost).fold(f64::INFINITY, f64::min)
    }

    /// The cost at one of its levels.
    pub fn at(&self, level_m: f64) -> f64 {
        let below = self.corners().take_while(|(knot, _)| knot.level_m <= level_m).last();
        below.map_or(self.at_low, |(knot, cost)| {
            if knot.level_m < self.high_m() { cost + knot.slope * (level_m - knot.level_m) } else { cost }
        })
    }

    /// The part between two levels; `None` if there is none, rounding aside.
    pub fn within(&self, (low_m, high_m): (f64, f64)) -> Option<Self> {
        let (low_m, high_m) = (low_m.max(self.low_m()), high_m.min(self.high_m()));
        if low_m > high_m + ROUNDING_M {
            return None;
        }
        let (mut at_low, mut slope, mut knots) = (self.at_low, 0.0, Vec::new());
        for (knot, cost) in self.corners() {
            if knot.level_m <= low_m {
                (at_low, slope) = (cost + knot.slope * (low_m - knot.level_m), knot.slope);
            } else if knot.level_m < high_m {
                knots.push(knot);
            } else {
                break;
            }
        }
        knots.insert(0, Knot { level_m: low_m, slope });
        if high_m - low_m > SAME_M {
            knots.push(Knot { level_m: high_m, slope: 0.0 });
        }
        Some(Self { at_low, knots, chosen: self.chosen.clone() })
    }

    pub fn add(&mut self, hinge: &Hinge) {
        self.at_low += hinge.at(self.low_m());
        let at = self.knots.partition_point(|knot| knot.level_m < hinge.from_m);
        let is_new = self.knots.get(at).is_some_and(|knot| knot.level_m > hinge.from_m);
        if at > 0 && is_new {
            let slope = self.knots[at - 1].slope;
            self.knots.insert(at, Knot { level_m: hinge.from_m, slope });
        }
        let (below, above) = self.knots.split_at_mut(at);
        match hinge.below {
            true => below.iter_mut().for_each(|knot| knot.slope -= hinge.price),
            false => above.iter_mut().for_each(|knot| knot.slope += hinge.price),
        }
    }

    /// The sum with another where both are; they have a level in common.
    pub fn and(&self, other: &Self, chosen: Link) -> Option<Self> {
        let range = (self.low_m().max(other.low_m()), self.high_m().min(other.high_m()));
        let (one, other) = (self.within(range)?, other.within(range)?);
        let mut knots = Vec::with_capacity(one.knots.len() + other.knots.len());
        let (mut i, mut j) = (0, 0);
        while i < one.knots.len() && j < other.knots.len() {
            let (a, b) = (one.knots[i], other.knots[j]);
            let level_m = a.level_m.min(b.level_m);
            let slope = |own: &[Knot], at: usize, knot: Knot| match knot.level_m <= level_m {
                true => knot.slope,
                false => own[at.saturating_sub(1)].slope,
            };
            knots.push(Knot { level_m, slope: slope(&one.knots, i, a) + slope(&other.knots, j, b) });
            i += usize::from(a.level_m <= level_m);
            j += usize::from(b.level_m <= level_m);
        }
        Some(Self { at_low: one.at_low + other.at_low, knots, chosen })
    }

    pub fn shift(&mut self, by_m: f64) {
        self.knots.iter_mut().for_each(|knot| knot.level_m += by_m);
    }

    /// The cost as a function of the level downstream (the infimal convolution with what the rise costs: its pieces sorted by
    /// slope, Rockafellar 1970, Convex Analysis, section 16).
    pub fn downstream(&self, tie: Tie, wanted: &[WantedRise]) -> Self {
        match tie {
            Tie::Rise { least_m, most_m } => self.risen((least_m, most_m), wanted),
            Tie::Straight { share, to_m } => {
                let seen = |knot: &Knot| Knot {
                    level_m: (knot.level_m - share * to_m) / (1.0 - share),
                    slope: knot.slope * (1.0 - share),
                };
                Self { knots: self.knots.iter().map(seen).collect(), ..self.clone() }
            }
        }
    }

    fn risen(&self, (least_m, most_m): (f64, f64), wanted: &[WantedRise]) -> Self {
        // Without a greatest rise the level downstream may be as low as it likes, without a least one as high.
        let (mut at_low, mut knots) = (self.at_low, &self.knots[..]);
        if most_m == f64::INFINITY {
            let falling = knots.iter().take(knots.len() - 1).take_while(|knot| knot.slope < 0.0).count();
            at_low = self.corners().nth(falling).map_or(at_low, |(_, cost)| cost);
            knots = &knots[falling..];
        }
        if least_m == f64::NEG_INFINITY {
            let rising = knots.iter().take(knots.len() - 1).skip_while(|knot| knot.slope <= 0.0).count();
            knots = &knots[..knots.len() - rising];
        }
        let (least_m, most_m) = (least_m.max(-2.0 * FAR_M), most_m.min(2.0 * FAR_M));
        let mut drops = vec![Knot { level_m: -most_m, slope: 0.0 }];
        for rise in wanted {
            at_low += rise.at(most_m);
            let (level_m, slope) = (-rise.wanted_m.clamp(least_m, most_m), drops[drops.len() - 1].slope + rise.price);
            match drops.last_mut().filter(|last| last.level_m >= level_m) {
                Some(last) => last.slope = slope,
                None => drops.push(Knot { level_m, slope }),
            }
        }
        drops.push(Knot { level_m: -least_m, slope: 0.0 });
        Self { at_low, knots: by_slope(knots, &drops), chosen: self.chosen.clone() }
    }
}

/// The knots of the infimal convolution of two convex costs.
fn by_slope(one: &[Knot], other: &[Knot]) -> Vec<Knot> {
    let (mut i, mut j) = (0, 0);
    let mut knots: Vec<Knot> = Vec::with_capacity(one.len() + other.len());
    loop {
        let level_m = one[i].level_m + other[j].level_m;
        let (own, others) = (i + 1 < one.len(), j + 1 < other.len());
        let slope = match (own, others) {
            (true, true) => one[i].slope.min(other[j].slope),
            (true, false) => one[i].slope,
            (false, true) => other[j].slope,
            (false, false) => 0.0,
        };
        // What is too short to be an edge is left out.
        if let Some(last) = knots.last_mut().filter(|last| level_m - last.level_m <= SAME_M) {
            last.slope = slope;
        } else {
            knots.push(Knot { level_m, slope });
        }
        match (own, others) {
            (true, true) if one[i].slope <= other[j].slope => i += 1,
            (_, true) => j += 1,
            (true, false) => i += 1,
            (false, false) => return knots,
        }
    }
}
