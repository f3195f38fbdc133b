//! Where one more shot would settle most.
//!
//! A shot tells of a limit by how closely the ground at its place goes with what keeps the limit in the samples. What is left after
//! it is worked out from the samples by the square-root update of Whitaker and Hamill (2002, Ensemble data assimilation without
//! perturbed observations, Monthly Weather Review 130 [memory]), so that the next shot is asked for what the first leaves open.

use measure::{FOOT_M, Point, distance};
use plan::LineId;

use super::errors::Errors;
use super::normal::settled;
use super::staked::Staked;
use super::{Chance, Trial};
use crate::threads::joined;

/// How many places are asked for (own choice: a morning's walk).
const PLACES: usize = 5;
/// Candidates at most, evenly along all lines (own choice).
const CANDIDATES: usize = 400;
/// No two places are nearer than this, metres: 30 ft (own choice; nobody is sent twice to one spot).
const APART_M: f64 = 30.0 * FOOT_M;
/// Places that settle less than this are not asked for, in sums of p (1 − p) (own choice: less is the chance of sampling).
const LEAST: f64 = 0.001;
/// Limits named for a place that each settle at least this share of what it settles (own choice).
const NAMED_SHARE: f64 = 0.05;

/// A place where one more shot would settle much.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Where it is.
    pub at: Point,
    /// The line it lies on.
    pub line: LineId,
    /// Its station there, metres.
    pub station_m: f64,
    /// Level of the ground that is expected there, metres.
    pub level_m: f64,
    /// Standard error of that level, metres.
    pub error_m: f64,
    /// By how much the sum of p (1 − p) is expected to fall, over the places before it.
    pub falls: f64,
    /// What it settles most of: places in [`super::Certainty::chances`], the most first.
    pub settles: Vec<usize>,
}

/// Nodes at which a shot may be asked for: evenly along each line.
pub(super) fn candidates(lines: &[Staked]) -> Vec<usize> {
    let nodes: usize = lines.iter().map(|line| line.nodes.len()).sum();
    let step = nodes.div_ceil(CANDIDATES).max(2);
    lines.iter().flat_map(|line| (line.first..line.first + line.nodes.len()).step_by(step)).collect()
}

/// Samples of rows and candidates about their means, as far as rows are unsettled.
pub(super) struct Sampled {
    /// Number of each row among the chances.
    rows: Vec<usize>,
    /// By how much it is kept, about its mean, in units of its spread.
    kept: Vec<Vec<f32>>,
    /// Errors of the ground at the candidates about their means, metres.
    error_m: Vec<Vec<f32>>,
}

impl Sampled {
    /// Of all samples of the rows and the candidates.
    pub fn of(chances: &[Chance], kept_m: &[Vec<f64>], error_m: &[&[f32]]) -> Self {
        let is_open = |row: &usize| chances[*row].limit.is_of_ground() && chances[*row].unsettled() > 0.0;
        let rows: Vec<usize> = (0..chances.len()).filter(is_open).collect();
        let kept = rows.iter().map(|row| standard(&kept_m[*row])).collect();
        let candidates = error_m.first().map_or(0, |first| first.len());
        let column = |i: usize| centred(&error_m.iter().map(|sample| f64::from(sample[i])).collect::<Vec<_>>());
        Self { rows, kept, error_m: (0..candidates).map(column).collect() }
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn centred(values: &[f64]) -> Vec<f32> {
    let mean = mean(values);
    values.iter().map(|value| (value - mean) as f32).collect()
}

fn standard(values: &[f64]) -> Vec<f32> {
    let mean_value = mean(values);
    let spread = mean(&values.iter().map(|value| (value - mean_value).powi(2)).collect::<Vec<_>>()).sqrt();
    values.iter().map(|value| ((value - mean_value) / spread) as f32).collect()
}

/// Mean product of two lists, in eight sums side by side.
fn product(a: &[f32], b: &[f32]) -> f32 {
    let mut sums = [0.0f32; 8];
    let (whole_a, whole_b) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f32 = whole_a.remainder().iter().zip(whole_b.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in whole_a.zip(whole_b) {
        sums.iter_mut().zip(a.iter().zip(b)).for_each(|(sum, (a, b))| *sum += a * b);
    }
    (sums.iter().sum::<f32>() + rest) / a.len() as f32
}

/// The places, each chosen for what those before it leave open.
pub(super) fn places(
    trial: &Trial,
    chances: &[Chance],
    sampled: Sampled,
    errors: &Errors,
    threads: usize,
) -> Vec<Place> {
    let noise_m2 = (errors.shot_m * errors.shot_m + errors.ground.nugget_m2) as f32;
    let mut left = Left { known: vec![0.0; sampled.rows.len()], sampled, chances, noise_m2 };
    let mut found: Vec<Place> = Vec::new();
    while found.len() < PLACES {
        let is_apart = |node: usize| found.iter().all(|place| distance(place.at, at(trial, node).1) >= APART_M);
        let mut falls = left.falls(threads);
        falls
            .iter_mut()
            .zip(&trial.candidates)
            .filter(|(_, node)| !is_apart(**node))
            .for_each(|(falls, _)| *falls = 0.0);
        let Some((best, falls)) = falls.into_iter().enumerate().reduce(|a, b| if b.1 > a.1 { b } else { a }) else {
            break;
        };
        if falls < LEAST {
            break;
        }
        found.push(place(trial, trial.candidates[best], falls, left.settles(best)));
        left.shoot(best);
    }
    found
}

/// The line of a node, its place, and its station there, metres.
fn at<'a>(trial: &Trial<'a>, node: usize) -> (&'a Staked<'a>, Point, f64) {
    let line = &trial.lines[trial.lines.partition_point(|line| line.first <= node) - 1];
    let (at, station_m) = line.nodes[node - line.first];
    (line, at, station_m)
}

fn place(trial: &Trial, node: usize, falls: f64, settles: Vec<usize>) -> Place {
    let (line, at, station_m) = at(trial, node);
    let (off_m, left_m2) = trial.field.likely[node];
    let level_m = line.worked.ground.level(station_m).unwrap_or(f64::NAN) + off_m;
    Place { at, line: line.id, station_m, level_m, error_m: left_m2.sqrt(), falls, settles }
}

/// What is still open after some shots.
struct Left<'a> {
    sampled: Sampled,
    chances: &'a [Chance],
    /// Share of each row's variance that the shots so far tell.
    known: Vec<f64>,
    /// Variance of a shot's own error, square metres.
    noise_m2: f32,
}

impl Left<'_> {
    /// Share of the variance of a row that is known with a shot at a candidate too.
    fn known_with(&self, row: usize, error_m: &[f32], whole_m2: f32) -> f64 {
        let together = product(&self.sampled.kept[row], error_m);
        // Samples that have nothing to do with each other agree by so much by chance.
        let by_chance = (1.0 - self.known[row] as f32) / error_m.len() as f32;
        self.known[row] + f64::from((together * together / whole_m2 - by_chance).max(0.0))
    }

    /// What a shot settles of a row.
    fn falls_of(&self, row: usize, error_m: &[f32], whole_m2: f32) -> f64 {
        let chance = self.chances[self.sampled.rows[row]].chance;
        settled(chance, self.known_with(row, error_m, whole_m2)) - settled(chance, self.known[row])
    }

    /// What a shot at each candidate settles.
    fn falls(&self, threads: usize) -> Vec<f64> {
        let fall = |error_m: &Vec<f32>| {
            let whole_m2 = product(error_m, error_m) + self.noise_m2;
            (0..self.known.len()).map(|row| self.falls_of(row, error_m, whole_m2)).sum::<f64>()
        };
        let candidates = &self.sampled.error_m;
        let share = candidates.len().div_ceil(threads.max(1)).max(1);
        std::thread::scope(|scope| {
            let parts: Vec<_> = candidates
                .chunks(share)
                .map(|part| scope.spawn(move || part.iter().map(fall).collect::<Vec<f64>>()))
                .collect();
            parts.into_iter().flat_map(joined).collect()
        })
    }

    /// The chances that a shot at a candidate settles most of.
    fn settles(&self, candidate: usize) -> Vec<usize> {
        let error_m = &self.sampled.error_m[candidate];
        let whole_m2 = product(error_m, error_m) + self.noise_m2;
        let mut of: Vec<(usize, f64)> = (0..self.known.len())
            .map(|row| (self.sampled.rows[row], self.falls_of(row, error_m, whole_m2)))
            .collect();
        let all: f64 = of.iter().map(|(_, falls)| falls).sum();
        of.retain(|(_, falls)| *falls >= NAMED_SHARE * all);
        of.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        of.into_iter().map(|(row, _)| row).collect()
    }

    /// Takes the shot at a candidate as taken.
    fn shoot(&mut self, candidate: usize) {
        let shot = self.sampled.error_m[candidate].clone();
        let whole_m2 = product(&shot, &shot) + self.noise_m2;
        for row in 0..self.known.len() {
            self.known[row] = self.known_with(row, &shot, whole_m2);
        }
        let share = 1.0 / (1.0 + (self.noise_m2 / whole_m2).sqrt());
        for values in self.sampled.kept.iter_mut().chain(&mut self.sampled.error_m) {
            let gain = share * product(values, &shot) / whole_m2;
            values.iter_mut().zip(&shot).for_each(|(value, shot)| *value -= gain * shot);
        }
    }
}
