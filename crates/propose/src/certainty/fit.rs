//! The error field that shots speak for, found by leaving out each of them in turn.

use measure::{Point, distance};
use terrain::{Shot, ShotIndex};

use super::kriging::{Cholesky, Covariance};

/// Shots from which a field is found; with fewer its range says nothing (own choice).
pub(crate) const FIT_SHOTS: usize = 12;
/// Neighbors from which each shot is predicted (own choice).
const NEIGHBORS: usize = 12;
/// Shots that are left out in turn at most, taken evenly from all (own choice: more change the figures little).
const LEFT_OUT: usize = 400;
/// Ranges that are tried, metres (own choice).
const RANGES_M: [f64; 9] = [8.0, 15.0, 30.0, 60.0, 120.0, 250.0, 500.0, 1000.0, 2000.0];
/// Shares of the variance between neighboring places that are tried (own choice).
const SHARES: [f64; 8] = [0.0, 0.01, 0.03, 0.1, 0.25, 0.5, 0.75, 1.0];
/// Log likelihood by which another field must be better than the one assumed: two units, as a likelihood ratio at about 95 %
/// ([memory]).
const BETTER: f64 = 2.0;
/// Variance, in sills, of the level and slope that nothing is assumed about (own choice: large, and no digits are lost).
const ANYTHING: f64 = 1e4;

/// What is taken to lie under the field: nothing is assumed about it but its form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Trend {
    /// One level: a shift.
    Level,
    /// A plane: the lie of the land round about.
    Plane,
}

impl Trend {
    /// Power of the likeness: land is rough over all distances, but less than errors are; its variogram rises with about the one and a
    /// half power of distance (surfaces of fractal dimension 2.2 to 2.3: Klinkenberg and Goodchild 1992, The fractal properties of
    /// topography, Earth Surface Processes and Landforms 17 [memory]).
    const fn power(self) -> f64 {
        match self {
            Self::Level => 1.0,
            Self::Plane => 1.5,
        }
    }
}

/// A range, and a share of the variance that differs from place to place.
type Form = (f64, f64);

/// The field under which each shot is likeliest as its neighbors predict it (the leave-one-out predictive probability of
/// Rasmussen and Williams 2006, Gaussian processes for machine learning, section 5.4.2 [memory]); `assumed`, a range and a
/// share, stands unless another is clearly better. `error_m2` is the variance of the shots' own error, which is no ground's.
pub(crate) fn fit(shots: &[Shot], trend: Trend, assumed: Form, error_m2: f64) -> Option<Covariance> {
    if shots.len() < FIT_SHOTS {
        return None;
    }
    let index = ShotIndex::of(shots, |_| true);
    let step = shots.len().div_ceil(LEFT_OUT);
    let left: Vec<LeftOut> = (0..shots.len()).step_by(step).map(|i| LeftOut::of(shots, &index, i)).collect();
    let tried = RANGES_M.iter().flat_map(|range_m| SHARES.iter().map(|share| (*range_m, *share)));
    let scored = |form: Form| score(&left, trend, form).map(|(score, variance_m2)| (score, variance_m2, form));
    let own = scored(assumed)?;
    let best = tried.filter_map(scored).fold(own, |best, other| if other.0 > best.0 { other } else { best });
    let (_, variance_m2, (range_m, share)) = if best.0 > own.0 + BETTER { best } else { own };
    let nugget_m2 = (variance_m2 * share - error_m2).max(0.0);
    let sill_m2 = variance_m2 * (1.0 - share);
    Some(Covariance { sill_m2, range_m, power: trend.power(), nugget_m2, shift_m2: 0.0 })
}

/// The square of what each shot is missed by where it is left out, in units of the variance that a field makes likely.
pub(crate) fn missed(shots: &[Shot], trend: Trend, field: &Covariance) -> Vec<f64> {
    let index = ShotIndex::of(shots, |_| true);
    let whole_m2 = field.sill_m2 + field.nugget_m2;
    let form = (field.range_m, field.nugget_m2 / whole_m2);
    let squared = |i: usize| match LeftOut::of(shots, &index, i).missed(trend, form) {
        Some((off_m, variance)) => off_m * off_m / (variance * whole_m2),
        // As the whole: two shots on one spot tell nothing.
        None => 1.0,
    };
    (0..shots.len()).map(squared).collect()
}

/// A shot and those it is predicted from, seen from it.
struct LeftOut {
    level_m: f64,
    near: Vec<Shot>,
    /// Distance of the farthest, metres.
    reach_m: f64,
}

impl LeftOut {
    fn of(shots: &[Shot], index: &ShotIndex, left: usize) -> Self {
        let at = shots[left].at;
        let others = index.nearest(at).filter(|i| *i != left).take(NEIGHBORS);
        let seen = |i: usize| Shot { at: Point::new(shots[i].at.x - at.x, shots[i].at.y - at.y), ..shots[i] };
        let near: Vec<Shot> = others.map(seen).collect();
        let reach_m = near.iter().map(|shot| shot.at.x.hypot(shot.at.y)).fold(1e-6, f64::max);
        Self { level_m: shots[left].level_m, near, reach_m }
    }

    /// By how much the prediction misses, metres, and its variance in units of the whole.
    fn missed(&self, trend: Trend, (range_m, share): Form) -> Option<(f64, f64)> {
        let here = Point::new(0.0, 0.0);
        let lie = |a: Point, b: Point| match trend {
            Trend::Level => 1.0,
            Trend::Plane => 1.0 + (a.x * b.x + a.y * b.y) / (self.reach_m * self.reach_m),
        };
        let alike = |a: Point, b: Point| {
            (1.0 - share) * (-3.0 * (distance(a, b) / range_m).powf(trend.power())).exp() + ANYTHING * lie(a, b)
        };
        let own = share.max(1e-6);
        let member = |i: usize, j: usize| alike(self.near[i].at, self.near[j].at) + if i == j { own } else { 0.0 };
        let to_shot: Vec<f64> = self.near.iter().map(|shot| alike(shot.at, here)).collect();
        let weights = Cholesky::of(self.near.len(), member)?.solve(to_shot.clone());
        let known: f64 = weights.iter().zip(&to_shot).map(|(weight, to)| weight * to).sum();
        // From the middle of the levels: what nothing is assumed about then weighs no digits away.
        let middle_m = self.near.iter().map(|shot| shot.level_m).sum::<f64>() / self.near.len() as f64;
        let told_m: f64 =
            weights.iter().zip(&self.near).map(|(weight, shot)| weight * (shot.level_m - middle_m)).sum();
        Some((self.level_m - middle_m - told_m, (alike(here, here) + own - known).max(1e-9)))
    }
}

/// The log likelihood of a field of the variance that fits best, and that variance, square metres.
fn score(left: &[LeftOut], trend: Trend, form: Form) -> Option<(f64, f64)> {
    let missed: Vec<(f64, f64)> = left.iter().filter_map(|left| left.missed(trend, form)).collect();
    if missed.len() < left.len() {
        return None;
    }
    let count = missed.len() as f64;
    let variance_m2 = missed.iter().map(|(off_m, variance)| off_m * off_m / variance).sum::<f64>() / count;
    let spread: f64 = missed.iter().map(|(_, variance)| variance.ln()).sum();
    (variance_m2 > 0.0).then(|| (-0.5 * (count * variance_m2.ln() + spread), variance_m2))
}
