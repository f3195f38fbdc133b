//! What is known of the errors of a plan's levels.

use land::{Land, SHIFT_M, SurfaceError, Surveyed, UNVERIFIED_M};
use measure::FOOT_M;
use plan::Plan;
use terrain::{Ground, Shot};

use super::fit::{Trend, fit};
use super::kriging::{Check, Checks, Covariance};
use super::uneven::Uneven;

/// Error of a shot by level or satellite receiver, metres: 0.05 ft ([judgement]).
pub const SHOT_M: f64 = 0.05 * FOOT_M;
/// Distance over which errors of lidar are alike where no shots tell it, metres: 100 ft ([judgement]).
pub const RANGE_M: f64 = 100.0 * FOOT_M;
/// Share of the variance of lidar that differs from a place to the next where no shots tell it ([judgement]).
pub const NUGGET_SHARE: f64 = 0.25;
/// Shift of a grid against the benchmarks where shots have not told it, metres: half of what is looked for as a shift
/// ([judgement]).
pub const UNPROVED_M: f64 = SHIFT_M / 2.0;
/// Shift of a batch that counts from another datum than the ground: its shots then tell the shape of the error alone, metres
/// (own choice: far more than any shot is off).
const OTHER_DATUM_M: f64 = 10.0;
/// Error of a channel bottom, which silts up and is cleared, metres: 0.1 ft ([judgement]).
pub const BOTTOM_M: f64 = 0.1 * FOOT_M;
/// Error of ordinary low water, metres: 0.3 ft ([judgement]).
pub const LOW_WATER_M: f64 = 0.3 * FOOT_M;
/// Error of a level on old tile, metres: 0.1 ft ([judgement]).
pub const OLD_TILE_M: f64 = 0.1 * FOOT_M;
/// The least error of a ground, metres: no surface is truer than the soil is even (0.02 ft, [judgement]).
const LEAST_M: f64 = 0.02 * FOOT_M;

/// What a person states of the ground.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Stated {
    /// Root mean square error of the ground's levels, metres.
    pub ground_m: Option<f64>,
}

/// Where the error of the ground comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whence {
    /// A person stated it.
    Stated,
    /// Found from so many shots held against the grid.
    Fitted(usize),
    /// The scatter of a few shots about the grid; how far errors are alike is assumed.
    Scatter(usize),
    /// Found from so many shots of the survey: how much the land bends between them.
    Between(usize),
    /// Nobody has looked: a start value.
    Assumed,
}

/// The errors of a plan's levels.
#[derive(Debug)]
pub struct Errors {
    /// How the error of the ground varies.
    pub ground: Covariance,
    /// Where that comes from.
    pub whence: Whence,
    /// Shots held against the ground.
    pub checks: Checks,
    /// How uneven the land between them is from place to place.
    pub uneven: Uneven,
    /// Error of one more shot, metres.
    pub shot_m: f64,
}

impl Errors {
    /// What is known of a plan's errors; `None` without ground.
    pub fn of(plan: &Plan, land: &Land, stated: Stated) -> Option<Self> {
        let ground = land.ground.as_deref()?;
        let survey = land.survey.as_deref();
        let is_survey = ground.tin().is_some();
        let checks = survey.map_or_else(Vec::new, |survey| checks(plan, survey, ground));
        let (covariance, whence) = match (stated.ground_m, survey) {
            (Some(error_m), _) => (assumed(error_m), Whence::Stated),
            (None, Some(survey)) if is_survey && !survey.lidar_is_trusted() => between(&shots(&checks, ground)),
            (None, Some(survey)) if !is_survey => against_grid(&checks, survey),
            (None, survey) => scatter(survey.and_then(|survey| survey.error), checks.len()),
        };
        let uneven = match whence {
            Whence::Between(_) => Uneven::of(&shots(&checks, ground), &covariance),
            _ => Uneven::default(),
        };
        let shift_m2 = if is_survey { 0.0 } else { UNPROVED_M * UNPROVED_M };
        let ground = Covariance { shift_m2, ..covariance };
        Some(Self { ground, whence, checks: Checks::of(checks), uneven, shot_m: SHOT_M })
    }

    /// Error of the ground from place to place where no shot is near, metres.
    pub fn ground_m(&self) -> f64 {
        (self.ground.sill_m2 + self.ground.nugget_m2).sqrt()
    }

    /// By how much the whole ground may be shifted against the benchmarks, metres, where no shot tells it.
    pub fn untold_shift_m(&self) -> Option<f64> {
        let shift_m = self.ground.shift_m2.sqrt();
        (shift_m > 0.0 && self.checks.all().is_empty()).then_some(shift_m)
    }
}

/// A field of an error, metres, of which no more is known.
fn assumed(error_m: f64) -> Covariance {
    let all_m2 = error_m.max(LEAST_M).powi(2);
    let (sill_m2, nugget_m2) = (all_m2 * (1.0 - NUGGET_SHARE), all_m2 * NUGGET_SHARE);
    Covariance { sill_m2, range_m: RANGE_M, power: 1.0, nugget_m2, shift_m2: 0.0 }
}

/// No less than the least error.
fn at_least(field: Covariance) -> Covariance {
    Covariance { sill_m2: field.sill_m2.max(LEAST_M * LEAST_M), ..field }
}

/// The error of a grid from the shots held against it, each batch about its own mean.
fn against_grid(checks: &[Check], survey: &Surveyed) -> (Covariance, Whence) {
    let mean_m = |batch: usize| {
        let of_batch: Vec<f64> =
            checks.iter().filter(|check| check.batch == batch).map(|check| check.off_m).collect();
        of_batch.iter().sum::<f64>() / of_batch.len().max(1) as f64
    };
    let means_m: Vec<f64> = (0..survey.book.batches.len()).map(mean_m).collect();
    let off = |check: &Check| Shot { at: check.at, level_m: check.off_m - means_m[check.batch] };
    let off: Vec<Shot> = checks.iter().map(off).collect();
    match fit(&off, Trend::Level, (RANGE_M, NUGGET_SHARE), SHOT_M * SHOT_M) {
        Some(field) => (at_least(field), Whence::Fitted(off.len())),
        None => scatter(survey.error, off.len()),
    }
}

/// The error of lidar by its scatter about a few levels.
fn scatter(error: Option<SurfaceError>, shots: usize) -> (Covariance, Whence) {
    match error {
        Some(SurfaceError::Measured(scatter_m)) => {
            let own_m = (scatter_m * scatter_m - SHOT_M * SHOT_M).max(0.0).sqrt();
            (assumed(own_m), Whence::Scatter(shots))
        }
        _ => (assumed(UNVERIFIED_M), Whence::Assumed),
    }
}

/// The error of a surface between the shots it was laid through: how much the land bends between them.
fn between(shots: &[Shot]) -> (Covariance, Whence) {
    match fit(shots, Trend::Plane, (RANGE_BETWEEN_M, 0.0), SHOT_M * SHOT_M) {
        Some(field) => (at_least(field), Whence::Between(shots.len())),
        None => (assumed(UNVERIFIED_M), Whence::Assumed),
    }
}

/// The levels of shots that were held against a ground.
fn shots(checks: &[Check], ground: &Ground) -> Vec<Shot> {
    let level = |check: &Check| Some(Shot { at: check.at, level_m: ground.elevation(check.at)? + check.off_m });
    checks.iter().filter_map(level).collect()
}

/// Range of the lie of the land where shots do not tell another, metres: 800 ft (own choice: longer than shots lie apart).
const RANGE_BETWEEN_M: f64 = 250.0;

/// The shots that count, held against the ground.
fn checks(plan: &Plan, survey: &Surveyed, ground: &Ground) -> Vec<Check> {
    let odd_shot = |i: usize| survey.outliers.iter().any(|outlier| outlier.index == i);
    let odd_batch = |batch: usize| survey.unit_mixes.iter().any(|mix| mix.batch == batch);
    let datum = plan.ground.as_ref().map_or("", |ground| ground.datum.trim());
    let is_survey = ground.tin().is_some();
    let check = |(i, shot): (usize, &terrain::SurveyShot)| {
        let off_m = shot.shot.level_m - ground.elevation(shot.shot.at)?;
        let counts = !odd_shot(i) && !odd_batch(shot.batch);
        let batch_m2 = batch_shift_m(datum, &survey.book.batches[shot.batch].datum, is_survey).powi(2);
        counts.then_some(Check { at: shot.shot.at, off_m, error_m2: SHOT_M * SHOT_M, batch: shot.batch, batch_m2 })
    };
    survey.book.shots.iter().enumerate().filter_map(check).collect()
}

/// How far a batch may be shifted against the ground for want of a datum, metres: nothing where both name the same one, nor
/// where the ground was laid through its shots.
fn batch_shift_m(ground: &str, batch: &str, is_survey: bool) -> f64 {
    match batch.trim() {
        batch if is_survey || (!batch.is_empty() && (ground.is_empty() || batch.eq_ignore_ascii_case(ground))) => 0.0,
        "" => UNPROVED_M,
        _ => OTHER_DATUM_M,
    }
}
