//! How long land is wet: the time that the water table stands above a depth, cell by cell.

use std::ops::ControlFlow;

use measure::DAY_S;

use crate::{Balance, Field, Season, Weather};

/// What is asked of a field.
#[derive(Debug, Clone)]
pub struct Question<'a> {
    /// Depth of the water table when the first day begins, metres.
    pub start_depth_m: f64,
    /// Depths above which the table is in the way, metres: of roots, of wheels.
    pub depths_m: Vec<f64>,
    /// The weather, day by day.
    pub days: &'a [Weather],
    /// How far a step may be off, metres; see [`crate::STEP_OFF_M`].
    pub off_m: f64,
}

/// How a field dried.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drying {
    /// Days that the water table stood above each depth of the question, in each cell.
    pub wet_days: Vec<Vec<f64>>,
    /// Depth of the water table at the end, metres, in each cell; below 0 where water stands.
    pub end_depth_m: Vec<f64>,
    /// What came and where it went.
    pub balance: Balance,
}

/// Lets a field dry. `day` hears the number of each day that has passed, and how the field dried so far; its `Break` gives the
/// work up, which then answers `None`.
pub fn dry(
    field: &Field,
    question: &Question,
    day: &mut impl FnMut(usize, &Drying) -> ControlFlow<()>,
) -> Option<Drying> {
    let mut season = Season::at_depth(field, question.start_depth_m, question.off_m);
    let none = || vec![0.0; field.len()];
    let mut drying = Drying { wet_days: question.depths_m.iter().map(|_| none()).collect(), ..Drying::default() };
    for (number, weather) in question.days.iter().enumerate() {
        let passed = season.pass_day(*weather, &mut |step_s, season| {
            count(&mut drying, question, season, step_s);
            ControlFlow::Continue(())
        });
        drying.balance = season.balance();
        drying.end_depth_m = (0..field.len()).map(|cell| season.depth_m(cell)).collect();
        if passed.is_break() || day(number + 1, &drying).is_break() {
            return None;
        }
    }
    Some(drying)
}

/// Adds the part of a step in which the table stood above each depth; it moves evenly within a step.
fn count(drying: &mut Drying, question: &Question, season: &Season, step_s: f64) {
    let (before, after) = (season.before_m(), &season.heads_m);
    for (wet_days, depth_m) in drying.wet_days.iter_mut().zip(&question.depths_m) {
        for (cell, wet_days) in wet_days.iter_mut().enumerate() {
            let level_m = season.field().surface_m[cell] - depth_m;
            *wet_days += step_s / DAY_S * share_above(before[cell] - level_m, after[cell] - level_m);
        }
    }
}

/// The share of a way from one height to another that lies above 0.
fn share_above(from: f64, to: f64) -> f64 {
    match (from > 0.0, to > 0.0) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        _ => from.max(to) / (from - to).abs(),
    }
}

impl Drying {
    /// Days within which nine tenths of some cells were dry down to a depth of the question: the days of the cell that only
    /// a tenth of them outlasts. `None` for no cells.
    pub fn days(&self, depth: usize, cells: &[usize]) -> Option<f64> {
        let mut days: Vec<f64> = cells.iter().map(|&cell| self.wet_days[depth][cell]).collect();
        days.sort_by(f64::total_cmp);
        days.get((days.len() * 9).div_ceil(10).saturating_sub(1)).copied()
    }
}
