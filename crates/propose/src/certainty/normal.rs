//! Normal numbers by counter, and what a shot is worth for a chance.

use std::f64::consts::{FRAC_PI_2, PI};

/// Steps of the counter: 2⁶⁴ over the golden ratio, odd.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

/// Spreads the bits of a counter (the finisher of SplitMix64; Steele, Lea and Flood 2014, Fast splittable pseudorandom number
/// generators).
pub(crate) const fn spread(counter: u64) -> u64 {
    let z = (counter ^ (counter >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// Standard normal numbers of one sample, each by its place: the same whatever was asked before.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Normals {
    start: u64,
}

/// What a number is drawn for.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Draw {
    /// The field at a place.
    Field,
    /// What differs from a place to the next.
    Nugget,
    /// The error of a shot.
    Shot,
    /// The shift of a batch.
    Batch,
    /// What the whole ground is shifted by.
    Shift,
    /// Levels that are no ground.
    Level,
}

impl Normals {
    /// The numbers of a sample.
    pub const fn of(seed: u64, sample: usize) -> Self {
        Self { start: spread(spread(seed.wrapping_add(STEP)).wrapping_add((sample as u64).wrapping_mul(STEP))) }
    }

    /// The number of a place.
    pub fn at(self, draw: Draw, place: usize) -> f64 {
        let counter = ((draw as u64) << 40).wrapping_add(place as u64);
        let bits = spread(self.start.wrapping_add(counter.wrapping_mul(STEP)));
        quantile(((bits >> 11) as f64 + 0.5) / (1u64 << 53) as f64)
    }
}

/// The value that a standard normal number stays under with a chance: the rational approximation of Acklam (2003), off by
/// 1.2 × 10⁻⁹ of the value at most ([memory]; held against scipy in the tests).
pub fn quantile(chance: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969683028665376e1,
        2.209460984245205e2,
        -2.759285104469687e2,
        1.38357751867269e2,
        -3.066479806614716e1,
        2.506628277459239,
    ];
    const B: [f64; 6] = [
        -5.447609879822406e1,
        1.615858368580409e2,
        -1.556989798598866e2,
        6.680131188771972e1,
        -1.328068155288572e1,
        1.0,
    ];
    const C: [f64; 6] = [
        -7.784894002430293e-3,
        -3.223964580411365e-1,
        -2.400758277161838,
        -2.549732539343734,
        4.374664141464968,
        2.938163982698783,
    ];
    const D: [f64; 5] = [7.784695709041462e-3, 3.224671290700398e-1, 2.445134137142996, 3.754408661907416, 1.0];
    const TAIL: f64 = 0.02425;
    let tail = |chance: f64| {
        let q = (-2.0 * chance.ln()).sqrt();
        horner(&C, q) / horner(&D, q)
    };
    if chance < TAIL {
        tail(chance)
    } else if chance > 1.0 - TAIL {
        -tail(1.0 - chance)
    } else {
        let q = chance - 0.5;
        q * horner(&A, q * q) / horner(&B, q * q)
    }
}

fn horner(factors: &[f64], x: f64) -> f64 {
    factors.iter().fold(0.0, |sum, factor| sum * x + factor)
}

/// Places and weights of Gauss and Legendre's rule with eight places on −1 to 1, one half of it.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// By how much p (1 − p) is expected to fall for a chance p once a share of the variance of what it hangs on is known:
/// Φ₂(z, z; share) − p² with z the quantile of p, by Plackett's integral over the angle (Drezner and Wesolowsky 1990, On the
/// computation of the bivariate normal integral, Journal of Statistical Computation and Simulation 35). All of p (1 − p) at a
/// share of 1.
pub fn settled(chance: f64, share: f64) -> f64 {
    if chance <= 0.0 || chance >= 1.0 {
        return 0.0;
    }
    let z = quantile(chance);
    let half = share.clamp(0.0, 1.0).asin().min(FRAC_PI_2) / 2.0;
    let at = |angle: f64| (-z * z / (1.0 + angle.sin())).exp();
    let pair = |(x, weight): &(f64, f64)| weight * (at(half * (1.0 + x)) + at(half * (1.0 - x)));
    half * GAUSS.iter().map(pair).sum::<f64>() / (2.0 * PI)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All is settled at a share of 1, nothing at 0, and at a chance of a half the share of ¼ settles asin(¼) / 2π (Sheppard).
    #[test]
    fn what_a_share_settles() {
        for chance in [0.01, 0.2, 0.5, 0.97] {
            assert!((settled(chance, 1.0) - chance * (1.0 - chance)).abs() < 2e-6, "{chance}");
            assert_eq!(settled(chance, 0.0), 0.0);
        }
        assert!((settled(0.5, 0.25) - 0.25f64.asin() / (2.0 * PI)).abs() < 1e-12);
        assert_eq!((settled(0.0, 0.5), settled(1.0, 0.5)), (0.0, 0.0));
    }

    /// 100,000 numbers: mean, spread and tails within four standard errors.
    #[test]
    fn the_numbers_are_normal() {
        let numbers: Vec<f64> = (0..100_000).map(|i| Normals::of(7, i / 100).at(Draw::Field, i % 100)).collect();
        let mean = numbers.iter().sum::<f64>() / 1e5;
        let square = numbers.iter().map(|x| x * x).sum::<f64>() / 1e5;
        let tail = numbers.iter().filter(|x| **x > 1.6448536269514729).count() as f64 / 1e5;
        assert!(mean.abs() < 4.0 / 316.2 && (square - 1.0).abs() < 4.0 * 1.414 / 316.2, "{mean} {square}");
        assert!((tail - 0.05).abs() < 4.0 * 0.218 / 316.2, "{tail}");
        assert_ne!(Normals::of(7, 1).at(Draw::Field, 0), Normals::of(7, 1).at(Draw::Nugget, 0));
    }
}
