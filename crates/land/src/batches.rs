//! How the survey stands, batch by batch, in words.

use measure::{LengthUnit, Units};
use plan::{Remedy, signed_level};

use crate::{Against, Offset, SurfaceError, Surveyed};

/// A batch as card, command line and files show it.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchRow {
    /// Its name.
    pub name: String,
    /// Shots that count.
    pub shots: usize,
    /// Unit of its levels.
    pub unit: LengthUnit,
    /// Its datum; empty where nobody says.
    pub datum: String,
    /// The day it was taken.
    pub date: Option<String>,
    /// Shots that stick out.
    pub outliers: usize,
    /// How it sits on lidar or on the others.
    pub offset: Option<Offset>,
}

/// The batches with what is known of them.
pub fn batch_rows(surveyed: &Surveyed) -> Vec<BatchRow> {
    let rows = surveyed.book.batches.iter().enumerate().map(|(i, batch)| BatchRow {
        name: batch.name.clone(),
        shots: surveyed.book.of_batch(i).count(),
        unit: batch.unit,
        datum: batch.datum.clone(),
        date: batch.date.clone(),
        outliers: surveyed.outliers.iter().filter(|outlier| surveyed.book.shots[outlier.index].batch == i).count(),
        offset: surveyed.offsets.iter().find(|offset| offset.batch == i).copied(),
    });
    rows.collect()
}

impl BatchRow {
    /// The row in words, without its name.
    pub fn words(&self, units: Units) -> String {
        let shots = measure::how_many(self.shots, "shot");
        let datum = if self.datum.is_empty() { "datum not stated".into() } else { self.datum.clone() };
        let date = self.date.as_ref().map(|date| format!(", taken {date}")).unwrap_or_default();
        let outliers = match self.outliers {
            0 => String::new(),
            1 => ", 1 sticks out".into(),
            n => format!(", {n} stick out"),
        };
        let offset = self.offset.map(|offset| format!(", {}", offset_words(&offset, units))).unwrap_or_default();
        format!("{shots} in {}, {datum}{date}{outliers}{offset}", self.unit.words())
    }
}

/// How a batch sits: "+0.31 ft on the lidar, scatter 0.18 ft, 10 shots".
pub fn offset_words(offset: &Offset, units: Units) -> String {
    let what = match offset.against {
        Against::Lidar => "the lidar",
        Against::OtherBatches => "the other batches",
    };
    let agreement = offset.agreement;
    format!(
        "{} on {what} (scatter {}, {} shots)",
        signed_level(agreement.mean_m, units),
        units.amount(agreement.scatter_m()),
        agreement.count
    )
}

/// The error of the surface in words.
pub fn error_words(surveyed: &Surveyed, units: Units) -> Option<String> {
    Some(match surveyed.error? {
        SurfaceError::Measured(error_m) => format!("{}, from levels on the lidar", units.amount(error_m)),
        SurfaceError::Unverified(error_m) => {
            format!("{}, assumed: no levels were held against the lidar", units.amount(error_m))
        }
    })
}

/// Leaves out every shot that disagrees with one in its place, which holds.
pub fn hold(surveyed: &Surveyed, holds: usize) -> Vec<Remedy> {
    let other = |(a, b, _): &(usize, usize, f64)| match (*a == holds, *b == holds) {
        (true, _) => Some(*b),
        (_, true) => Some(*a),
        _ => None,
    };
    let others = surveyed.pairs.iter().filter_map(other);
    others.map(|index| Remedy::LeaveOut { shot: surveyed.shot_name(index) }).collect()
}
