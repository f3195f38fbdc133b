//! The error of the ground as a correlated field, and what shots tell of it: simple kriging (Chilès and Delfiner 2012,
//! Geostatistics, chapter 3 [memory]).

use measure::{Point, distance};
use terrain::{Shot, ShotIndex};

use super::uneven::Uneven;

/// How the error of the ground varies from place to place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Covariance {
    /// Variance of what is alike from place to place, square metres.
    pub sill_m2: f64,
    /// Distance at which a twentieth of the likeness is left, metres: it falls off as exp(−3 (distance / range)^power).
    pub range_m: f64,
    /// Power of that: 1 for errors that differ at once, more for land that bends from place to place.
    pub power: f64,
    /// Variance of what differs from a place to the next, square metres.
    pub nugget_m2: f64,
    /// Variance of what the whole ground is shifted by, square metres.
    pub shift_m2: f64,
}

impl Covariance {
    /// Covariance of what is alike at two places so far apart, square metres.
    pub fn alike_m2(&self, apart_m: f64) -> f64 {
        self.sill_m2 * (-3.0 * (apart_m / self.range_m).powf(self.power)).exp()
    }

    /// Covariance of the error at two places, what differs from place to place left out, square metres.
    fn between_m2(&self, a: Point, b: Point) -> f64 {
        self.shift_m2 + self.alike_m2(distance(a, b))
    }
}

/// A shot held against the ground of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// Where it is.
    pub at: Point,
    /// Its level less that of the ground, metres.
    pub off_m: f64,
    /// Variance of its own error, square metres.
    pub error_m2: f64,
    /// Its batch.
    pub batch: usize,
    /// Variance of a shift of its whole batch, square metres.
    pub batch_m2: f64,
}

/// Shots that are asked of a place: farther ones are screened by them (own choice; 16 to 32 are usual).
const ASKED: usize = 24;

/// Shots in reach of every place.
#[derive(Debug)]
pub struct Checks {
    checks: Vec<Check>,
    index: ShotIndex,
}

/// What some shots weigh at a place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Weights {
    /// Each shot with its weight.
    pub of: Vec<(usize, f64)>,
    /// Variance that is left, what differs from place to place not counted, square metres.
    pub left_m2: f64,
}

impl Checks {
    /// Lays shots ready.
    pub fn of(checks: Vec<Check>) -> Self {
        let shots: Vec<Shot> = checks.iter().map(|check| Shot { at: check.at, level_m: check.off_m }).collect();
        Self { index: ShotIndex::of(&shots, |_| true), checks }
    }

    /// All shots.
    pub fn all(&self) -> &[Check] {
        &self.checks
    }

    /// The same with all that is off in units of how uneven the land is at each.
    pub(crate) fn evened(&self, uneven: &Uneven) -> Self {
        let evened = |check: &Check| {
            let scale = uneven.at(check.at);
            Check { off_m: check.off_m / scale, error_m2: check.error_m2 / (scale * scale), ..*check }
        };
        Self { checks: self.checks.iter().map(evened).collect(), index: self.index.clone() }
    }

    /// What the nearest shots weigh at a place.
    pub(crate) fn weights(&self, field: &Covariance, at: Point) -> Weights {
        let near: Vec<usize> = self.index.nearest(at).take(ASKED).collect();
        let all_m2 = field.shift_m2 + field.sill_m2;
        let shot = |i: usize| &self.checks[near[i]];
        let covariance = |i: usize, j: usize| {
            let (a, b) = (shot(i), shot(j));
            let batch_m2 = if a.batch == b.batch { a.batch_m2 } else { 0.0 };
            let own_m2 = if i == j { field.nugget_m2 + a.error_m2 } else { 0.0 };
            field.between_m2(a.at, b.at) + batch_m2 + own_m2
        };
        let to_place: Vec<f64> = (0..near.len()).map(|i| field.between_m2(shot(i).at, at)).collect();
        let Some(solved) = Cholesky::of(near.len(), covariance).map(|factor| factor.solve(to_place.clone())) else {
            return Weights { of: Vec::new(), left_m2: all_m2 };
        };
        let known_m2: f64 = solved.iter().zip(&to_place).map(|(weight, to)| weight * to).sum();
        Weights { of: near.into_iter().zip(solved).collect(), left_m2: (all_m2 - known_m2).max(0.0) }
    }

    /// The error that weights at a place make likely there.
    pub(crate) fn likely_m(&self, weights: &Weights) -> f64 {
        weights.of.iter().map(|(shot, weight)| weight * self.checks[*shot].off_m).sum()
    }

    /// The error of the ground that shots make likely at a place, metres, and the variance that is left of it, square metres;
    /// what differs from place to place is not counted.
    pub fn likely(&self, field: &Covariance, at: Point) -> (f64, f64) {
        let weights = self.weights(field, at);
        (self.likely_m(&weights), weights.left_m2)
    }
}

/// The triangular factor of a small covariance matrix.
pub(crate) struct Cholesky {
    rows: Vec<Vec<f64>>,
}

impl Cholesky {
    /// Factors a matrix given by its members; `None` where it is no covariance.
    pub fn of(size: usize, member: impl Fn(usize, usize) -> f64) -> Option<Self> {
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(size);
        for i in 0..size {
            let mut row: Vec<f64> = Vec::with_capacity(i + 1);
            for (j, before) in rows.iter().enumerate() {
                let known: f64 = row.iter().zip(before).map(|(a, b)| a * b).sum();
                row.push((member(i, j) - known) / before[j]);
            }
            let left = member(i, i) - row.iter().map(|a| a * a).sum::<f64>();
            if left <= 0.0 || !left.is_finite() {
                return None;
            }
            row.push(left.sqrt());
            rows.push(row);
        }
        Some(Self { rows })
    }

    /// Solves for a right side.
    pub fn solve(&self, mut side: Vec<f64>) -> Vec<f64> {
        for (i, row) in self.rows.iter().enumerate() {
            let known: f64 = row[..i].iter().zip(&side).map(|(a, b)| a * b).sum();
            side[i] = (side[i] - known) / row[i];
        }
        for i in (0..self.rows.len()).rev() {
            let known: f64 = (i + 1..self.rows.len()).map(|k| self.rows[k][i] * side[k]).sum();
            side[i] = (side[i] - known) / self.rows[i][i];
        }
        side
    }
}
