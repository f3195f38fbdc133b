//! How sure a plan is: what may be broken when it is dug as staked, though the ground is not quite as known.
//!
//! Levels stay as designed; the true ground differs from the known one by a correlated error ([`Errors`]), which is drawn many
//! times at places along the lines, under what shots tell. Each sample is held against the limits by the same [`design::LineDesign`]
//! that checks and takeoff read. All of it is an estimate, and no more certain than the errors it is told.

mod errors;
mod field;
mod fit;
mod kriging;
mod limits;
mod moved;
mod normal;
mod places;
mod staked;
mod uneven;

use std::num::NonZeroUsize;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

use design::{Design, LineDesign};
use measure::Point;
use plan::{LineId, Plan};

use field::Field;
use limits::Other;
use normal::Normals;
use places::Sampled;
use staked::Staked;

use crate::threads::joined;

pub use errors::{
    BOTTOM_M, Errors, LOW_WATER_M, NUGGET_SHARE, OLD_TILE_M, RANGE_M, SHOT_M, Stated, UNPROVED_M, Whence,
};
pub use kriging::{Check, Checks, Covariance};
pub use limits::Limit;
pub use moved::{Move, moves};
pub use normal::{quantile, settled};
pub use places::Place;
pub use uneven::Uneven;

/// How often the ground is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sampling {
    /// So many times.
    pub samples: NonZeroUsize,
    /// What the numbers start from: the same seed gives the same answer.
    pub seed: u64,
    /// How many threads may be used; they change nothing but the time taken.
    pub threads: usize,
}

impl Sampling {
    /// Samples that are drawn where nobody asks for another number: the error of a chance is 0.016 at most then ([computed]).
    pub const SAMPLES: NonZeroUsize = NonZeroUsize::new(1000).expect("more than none");

    /// The usual sampling in so many threads.
    pub const fn usual(threads: usize) -> Self {
        Self { samples: Self::SAMPLES, seed: 1, threads }
    }
}

/// Hears which share of the samples is drawn, 0 to 1, and whether the rest is still wanted.
pub type Watch<'a> = &'a (dyn Fn(f64) -> ControlFlow<()> + Sync);

/// Values of many samples, rising.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spread(Vec<f64>);

impl Spread {
    fn of(mut values: Vec<f64>) -> Self {
        values.sort_by(f64::total_cmp);
        Self(values)
    }

    /// The value that a share of the samples stays under.
    pub fn at(&self, share: f64) -> f64 {
        let place = share.clamp(0.0, 1.0) * self.0.len() as f64 - 0.5;
        let low = place.floor().clamp(0.0, (self.0.len().max(1) - 1) as f64);
        let value = |i: usize| self.0.get(i).or(self.0.last()).copied().unwrap_or(f64::NAN);
        value(low as usize) + (value(low as usize + 1) - value(low as usize)) * (place - low).clamp(0.0, 1.0)
    }

    /// The ends of the middle so much of the samples.
    pub fn middle(&self, share: f64) -> (f64, f64) {
        (self.at((1.0 - share) / 2.0), self.at((1.0 + share) / 2.0))
    }
}

/// The chance that a line breaks a limit when dug as staked.
#[derive(Debug, Clone, PartialEq)]
pub struct Chance {
    /// The line; for an outlet the first that leads to it.
    pub line: LineId,
    /// The limit.
    pub limit: Limit,
    /// Share of the samples in which it is broken.
    pub chance: f64,
    /// By how much it is kept as planned, metres; below 0 where it is broken.
    pub planned_m: f64,
    /// Where on the line that is, metres; `None` for a limit that does not hang on the ground.
    pub station_m: Option<f64>,
    /// By how much it is kept in the samples, metres.
    pub kept_m: Spread,
}

impl Chance {
    /// What is not settled of it: p (1 − p).
    pub fn unsettled(&self) -> f64 {
        self.chance * (1.0 - self.chance)
    }
}

/// How sure a plan is.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Certainty {
    /// How many samples were drawn.
    pub samples: usize,
    /// Every line and limit, by line.
    pub chances: Vec<Chance>,
    /// What it costs as planned, without contingency.
    pub planned_cost: f64,
    /// What it costs in the samples, without contingency: the ground alone varies, prices do not.
    pub cost: Spread,
    /// Where one more shot would settle most, the first first.
    pub places: Vec<Place>,
}

impl Certainty {
    /// What is not settled: the sum of p (1 − p).
    pub fn unsettled(&self) -> f64 {
        self.chances.iter().map(Chance::unsettled).sum()
    }
}

/// How sure a plan is by what is known of its errors; `None` where it was given up.
pub fn certainty(
    plan: &Plan,
    design: &Design,
    errors: &Errors,
    sampling: &Sampling,
    watch: Watch,
) -> Option<Certainty> {
    let lines = staked::staked(plan, design);
    let nodes: Vec<Point> = lines.iter().flat_map(|line| line.nodes.iter().map(|(at, _)| *at)).collect();
    let field = Field::of(&errors.ground, &errors.checks, &errors.uneven, &nodes);
    let trial = Trial::of(plan, design, &lines, &field);
    let samples = trial.samples(sampling, watch)?;
    let kept_m = trial.kept_m(&samples);
    let chances: Vec<Chance> =
        trial.rows.iter().zip(&kept_m).map(|(row, kept_m)| trial.chance(row, kept_m)).collect();
    let estimate = takeoff::estimate(plan, design);
    let planned_cost = estimate.total();
    let cost = Spread::of(samples.iter().map(|sample| planned_cost + sample.more_cost).collect());
    let errors_m: Vec<&[f32]> = samples.iter().map(|sample| sample.error_m.as_slice()).collect();
    let sampled = Sampled::of(&chances, &kept_m, &errors_m);
    let places = places::places(&trial, &chances, sampled, errors, sampling.threads);
    Some(Certainty { samples: samples.len(), chances, planned_cost, cost, places })
}

/// A limit that is looked at in every sample.
enum Row<'a> {
    /// Of a line, by its place among them.
    Ground(usize, Limit),
    /// Hanging on other levels.
    Other(LineId, Other<'a>),
}

/// What is drawn many times.
struct Trial<'a> {
    plan: &'a Plan,
    lines: &'a [Staked<'a>],
    field: &'a Field<'a>,
    rows: Vec<Row<'a>>,
    /// The lines on the ground as planned.
    planned: Vec<LineDesign>,
    planned_cost: f64,
    /// No error at all.
    still: Vec<f64>,
    /// Nodes at which a shot may be asked for.
    candidates: Vec<usize>,
}

/// What came of one sample.
struct Sample {
    /// By how much each row is kept, metres.
    kept_m: Vec<f64>,
    /// What the ground adds to the cost.
    more_cost: f64,
    /// The error of the ground at the candidates without what differs from place to place, metres.
    error_m: Vec<f32>,
}

impl<'a> Trial<'a> {
    fn of(plan: &'a Plan, design: &'a Design, lines: &'a [Staked<'a>], field: &'a Field<'a>) -> Self {
        let still = vec![0.0; field.likely.len()];
        let laid = |staked: &Staked| {
            let mut line = staked.worked.clone();
            staked.lay(&mut line, &still);
            line
        };
        let planned: Vec<LineDesign> = lines.iter().map(laid).collect();
        let of_line = |i: usize| {
            let known = Limit::ALL.into_iter().filter(|limit| lines[i].kept(*limit, &still).is_some());
            known.map(|limit| Row::Ground(i, limit)).collect::<Vec<_>>()
        };
        let mut rows: Vec<Row> = (0..lines.len()).flat_map(of_line).collect();
        rows.extend(limits::others(plan, design).into_iter().map(|(line, other)| Row::Other(line, other)));
        let candidates = places::candidates(lines);
        let mut trial = Self { plan, lines, field, rows, planned, planned_cost: 0.0, candidates, still };
        trial.planned_cost = trial.cost(&trial.planned);
        trial
    }

    fn cost(&self, laid: &[LineDesign]) -> f64 {
        self.lines.iter().zip(laid).map(|(staked, line)| takeoff::cost_of_depth(self.plan, staked.id, line)).sum()
    }

    /// All samples, shared out among the threads; `None` where they were given up.
    fn samples(&self, sampling: &Sampling, watch: Watch) -> Option<Vec<Sample>> {
        let (count, threads) = (sampling.samples.get(), sampling.threads.max(1));
        let share = |thread: usize| count * thread / threads..count * (thread + 1) / threads;
        let drawn = AtomicUsize::new(0);
        let draw = |thread: usize| {
            let mut laid = self.planned.clone();
            let one = |i: usize| {
                let is_wanted = watch(drawn.fetch_add(1, Ordering::Relaxed) as f64 / count as f64).is_continue();
                is_wanted.then(|| self.sample(Normals::of(sampling.seed, i), &mut laid))
            };
            share(thread).map(one).collect::<Option<Vec<_>>>()
        };
        if threads == 1 {
            return draw(0);
        }
        std::thread::scope(|scope| {
            let draw = &draw;
            let drawn: Vec<_> = (0..threads).map(|thread| scope.spawn(move || draw(thread))).collect();
            let parts: Option<Vec<Vec<Sample>>> = drawn.into_iter().map(joined).collect();
            Some(parts?.into_iter().flatten().collect())
        })
    }

    fn sample(&self, normals: Normals, laid: &mut [LineDesign]) -> Sample {
        let error_m = self.field.sample(normals);
        let whole_m: Vec<f64> = error_m.iter().map(|(alike_m, own_m)| alike_m + own_m).collect();
        for (staked, line) in self.lines.iter().zip(laid.iter_mut()) {
            staked.lay(line, &whole_m);
        }
        let kept = |(i, row): (usize, &Row)| match row {
            Row::Ground(line, limit) => {
                self.lines[*line].kept(*limit, &whole_m).map_or(f64::INFINITY, |least| least.value_m)
            }
            Row::Other(_, other) => other.kept_m(Some((normals, i))),
        };
        Sample {
            kept_m: self.rows.iter().enumerate().map(kept).collect(),
            more_cost: self.cost(laid) - self.planned_cost,
            error_m: self.candidates.iter().map(|node| error_m[*node].0 as f32).collect(),
        }
    }

    /// How each row is kept in the samples, metres.
    fn kept_m(&self, samples: &[Sample]) -> Vec<Vec<f64>> {
        (0..self.rows.len()).map(|row| samples.iter().map(|sample| sample.kept_m[row]).collect()).collect()
    }

    fn chance(&self, row: &Row, kept_m: &[f64]) -> Chance {
        let broken = kept_m.iter().filter(|kept_m| limits::is_broken(**kept_m)).count();
        let chance = broken as f64 / kept_m.len() as f64;
        let (line, limit, planned_m, station_m) = match row {
            Row::Ground(line, limit) => {
                let least = self.lines[*line].kept(*limit, &self.still);
                let station_m = least.map(|least| least.station_m);
                (self.lines[*line].id, *limit, least.map_or(f64::NAN, |least| least.value_m), station_m)
            }
            Row::Other(line, other) => (*line, other.limit(), other.kept_m(None), None),
        };
        Chance { line, limit, chance, planned_m, station_m, kept_m: Spread::of(kept_m.to_vec()) }
    }
}
