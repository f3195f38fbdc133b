//! Samples of the error field at places of the courses.
//!
//! What is alike from place to place is drawn place by place in an order without pattern, each from its nearest among those
//! drawn before (Datta, Banerjee, Finley and Gelfand 2016, Hierarchical nearest-neighbor Gaussian process models, Journal of
//! the American Statistical Association 111 [memory]; the order after Guinness 2018, Technometrics 60 [memory]). What shots tell
//! is put on by kriging the difference between them and the sample (Journel and Huijbregts 1978, Mining geostatistics [memory]).

use std::collections::BTreeMap;

use measure::{Point, distance};
use terrain::{Shot, ShotIndex};

use super::kriging::{Check, Checks, Cholesky, Covariance, Weights};
use super::normal::{Draw, Normals, spread};
use super::uneven::Uneven;

/// Places drawn before that a place is drawn from (own choice: against a full covariance matrix the spread of a line's least
/// cover differs by less than sampling does).
const DRAWN_FROM: usize = 16;

/// A share of the sill that keeps two places in one from making the matrix singular.
const APART: f64 = 1e-9;

/// How one place is drawn.
#[derive(Debug)]
struct Drawn {
    place: usize,
    from: Vec<(usize, f64)>,
    own_m: f64,
}

/// The error field at places, ready to be sampled.
#[derive(Debug)]
pub(crate) struct Field<'a> {
    covariance: &'a Covariance,
    places: usize,
    /// The shots that weigh anywhere, in units of how uneven the land is at each.
    checks: Vec<Check>,
    /// How uneven it is at each place.
    scale: Vec<f64>,
    order: Vec<Drawn>,
    /// What those shots weigh at each place.
    weights: Vec<Vec<(usize, f64)>>,
    /// The likely error at each place, metres, and the variance that is left of it with what differs from place to place.
    pub likely: Vec<(f64, f64)>,
}

impl<'a> Field<'a> {
    /// Works out how the field is drawn at places, under what shots tell.
    pub fn of(covariance: &'a Covariance, checks: &Checks, uneven: &Uneven, places: &[Point]) -> Self {
        let checks = checks.evened(uneven);
        let scale: Vec<f64> = places.iter().map(|at| uneven.at(*at)).collect();
        let weights: Vec<Weights> = places.iter().map(|at| checks.weights(covariance, *at)).collect();
        let used: BTreeMap<usize, usize> = numbered(weights.iter().flat_map(|weights| &weights.of));
        let renumbered = |weights: &Weights| weights.of.iter().map(|(shot, weight)| (used[shot], *weight)).collect();
        let likely = |(weights, scale): (&Weights, &f64)| {
            (scale * checks.likely_m(weights), scale * scale * (weights.left_m2 + covariance.nugget_m2))
        };
        let likely = weights.iter().zip(&scale).map(likely).collect();
        let checks: Vec<Check> = used.keys().map(|shot| checks.all()[*shot]).collect();
        let drawn: Vec<Point> = places.iter().copied().chain(checks.iter().map(|check| check.at)).collect();
        Self {
            covariance,
            places: places.len(),
            order: order(covariance, &drawn),
            likely,
            scale,
            weights: weights.iter().map(renumbered).collect(),
            checks,
        }
    }

    /// The error at every place in a sample, metres: what is alike from place to place, and what differs.
    pub fn sample(&self, normals: Normals) -> Vec<(f64, f64)> {
        let mut alike_m = vec![0.0; self.places + self.checks.len()];
        for Drawn { place, from, own_m } in &self.order {
            let known_m: f64 = from.iter().map(|(other, weight)| weight * alike_m[*other]).sum();
            alike_m[*place] = known_m + own_m * normals.at(Draw::Field, *place);
        }
        let shift_m = self.covariance.shift_m2.sqrt() * normals.at(Draw::Shift, 0);
        let missed_m: Vec<f64> = self
            .checks
            .iter()
            .enumerate()
            .map(|(i, check)| {
                let batch_m = check.batch_m2.sqrt() * normals.at(Draw::Batch, check.batch);
                let own_m = (check.error_m2 + self.covariance.nugget_m2).sqrt() * normals.at(Draw::Shot, i);
                check.off_m - (alike_m[self.places + i] + shift_m + batch_m + own_m)
            })
            .collect();
        let nugget_m = self.covariance.nugget_m2.sqrt();
        let at = |(place, weights): (usize, &Vec<(usize, f64)>)| {
            let told_m: f64 = weights.iter().map(|(shot, weight)| weight * missed_m[*shot]).sum();
            let scale = self.scale[place];
            (scale * (alike_m[place] + shift_m + told_m), scale * nugget_m * normals.at(Draw::Nugget, place))
        };
        self.weights.iter().enumerate().map(at).collect()
    }
}

/// The shots that weigh anywhere, numbered anew.
fn numbered<'a>(weights: impl Iterator<Item = &'a (usize, f64)>) -> BTreeMap<usize, usize> {
    let used: std::collections::BTreeSet<usize> = weights.map(|(shot, _)| *shot).collect();
    used.into_iter().enumerate().map(|(new, old)| (old, new)).collect()
}

/// The places in the order in which they are drawn.
fn order(covariance: &Covariance, places: &[Point]) -> Vec<Drawn> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by_key(|place| (spread(*place as u64), *place));
    let mut rank = vec![0; places.len()];
    order.iter().enumerate().for_each(|(at, place)| rank[*place] = at);
    let shots: Vec<Shot> = places.iter().map(|at| Shot { at: *at, level_m: 0.0 }).collect();
    let index = ShotIndex::of(&shots, |_| true);
    let drawn = |place: &usize| {
        let before = index.nearest(places[*place]).filter(|other| rank[*other] < rank[*place]);
        drawn(covariance, places, *place, before.take(DRAWN_FROM.min(rank[*place])).collect())
    };
    order.iter().map(drawn).collect()
}

fn drawn(covariance: &Covariance, places: &[Point], place: usize, near: Vec<usize>) -> Drawn {
    let alike_m2 = |a: usize, b: usize| covariance.alike_m2(distance(places[a], places[b]));
    let apart_m2 = covariance.sill_m2 * APART;
    let member = |i: usize, j: usize| alike_m2(near[i], near[j]) + if i == j { apart_m2 } else { 0.0 };
    let to_place: Vec<f64> = near.iter().map(|other| alike_m2(*other, place)).collect();
    let weights = Cholesky::of(near.len(), member).map(|factor| factor.solve(to_place.clone())).unwrap_or_default();
    let known_m2: f64 = weights.iter().zip(&to_place).map(|(weight, to)| weight * to).sum();
    let own_m = (covariance.sill_m2 - known_m2).max(0.0).sqrt();
    Drawn { place, from: near.into_iter().zip(weights).collect(), own_m }
}
