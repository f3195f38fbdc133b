//! What the plan knows of the survey: files beside the ground's own, batches, benchmarks, level loops, and the
//! corrections with who made them, when and why. Levels themselves stay in the survey's files.

use std::collections::BTreeMap;

use measure::{LengthUnit, Point};
use serde::{Deserialize, Serialize};

/// A file of levels beside the ground's own: a batch of shots, or a lidar grid to hold the shots against.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SurveyFile {
    /// The file, relative to the plan file where it lies beside or below it.
    pub file: String,
    /// Name of its batch; the file's own name where empty. A file with a column for batches brings its own names.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub batch: String,
    /// Unit of its levels.
    pub vertical_unit: LengthUnit,
}

/// What a person says of a batch.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BatchFacts {
    /// What its levels count from; empty when unknown.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub datum: String,
    /// The day it was taken, `YYYY-MM-DD`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
}

/// A mark of known level that the digging is set out from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Benchmark {
    /// Its name and what it is: "BM1, nail in oak".
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// Its level, metres.
    pub level_m: f64,
    /// What its level counts from; empty when unknown.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub datum: String,
}

/// A run of levels that comes back to where it began, or to another known mark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LevelLoop {
    /// Its name.
    pub name: String,
    /// Known level of the mark it ends on, metres.
    pub known_m: f64,
    /// Level it was carried to there, metres.
    pub carried_m: f64,
    /// Length of the way, metres.
    pub length_m: f64,
}

impl LevelLoop {
    /// By how much it misses, metres; above 0 where it comes back too high.
    pub fn closure_m(&self) -> f64 {
        self.carried_m - self.known_m
    }
}

/// A shot by the name of its batch and its own.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct ShotName {
    /// The batch.
    pub batch: String,
    /// The shot in it.
    pub shot: String,
}

/// What is done to levels as they were read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Remedy {
    /// The levels of a batch were written in another unit than they were read in.
    Convert {
        /// The batch.
        batch: String,
        /// Unit in which they were read.
        read: LengthUnit,
        /// Unit in which they were written.
        written: LengthUnit,
    },
    /// The levels of a batch are moved up, metres.
    Shift {
        /// The batch.
        batch: String,
        /// By how much; below 0 down.
        by_m: f64,
    },
    /// The lidar is moved up, metres.
    ShiftLidar {
        /// By how much; below 0 down.
        by_m: f64,
    },
    /// From here on the levels of a batch count from another datum: they were brought to it.
    Datum {
        /// The batch.
        batch: String,
        /// The datum.
        datum: String,
    },
    /// One shot is moved up, metres: a slip of the rod.
    Raise {
        /// The shot.
        shot: ShotName,
        /// By how much; below 0 down.
        by_m: f64,
    },
    /// One shot is left out.
    LeaveOut {
        /// The shot.
        shot: ShotName,
    },
    /// A whole batch is left out.
    LeaveOutBatch {
        /// The batch.
        batch: String,
    },
    /// A batch stays where it is though it sits off by so much, metres.
    Keep {
        /// The batch.
        batch: String,
        /// How far off it sits.
        off_m: f64,
    },
}

/// Who says so, when and why.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Signature {
    /// Name of the person.
    pub by: String,
    /// The day, `YYYY-MM-DD`.
    pub on: String,
    /// The reason.
    pub because: String,
}

/// A remedy with its signature: an entry of the log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    /// What is done.
    pub what: Remedy,
    /// Who says so.
    #[serde(flatten)]
    pub signed: Signature,
}

/// The survey as the plan knows it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SurveyBook {
    /// Files beside the ground's own.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub files: Vec<SurveyFile>,
    /// What is said of batches, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub batches: BTreeMap<String, BatchFacts>,
    /// Marks of known level.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub benchmarks: Vec<Benchmark>,
    /// Runs of levels that close.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub loops: Vec<LevelLoop>,
    /// The last day on which ground was moved, `YYYY-MM-DD`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub earthwork: Option<String>,
    /// Corrections in the order in which they were made and are applied: the log.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub corrections: Vec<Correction>,
}

impl SurveyBook {
    /// True where nothing is known of a survey.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// True for a day in the form `YYYY-MM-DD`.
pub fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let number = |part: &str| part.bytes().all(|b| b.is_ascii_digit()).then(|| part.parse::<u32>().ok()).flatten();
    let [year, month, day] = parts[..] else { return false };
    let in_form = (year.len(), month.len(), day.len()) == (4, 2, 2) && number(year).is_some();
    in_form
        && number(month).is_some_and(|m| (1..=12).contains(&m))
        && number(day).is_some_and(|d| (1..=31).contains(&d))
}

/// Days from one day to another, both `YYYY-MM-DD`; below 0 where the other comes first. `None` where one is no day.
pub fn days_between(from: &str, to: &str) -> Option<i64> {
    Some(day_number(to)? - day_number(from)?)
}

/// Days of the Gregorian calendar since 1 March of year 0, by which leap days come last in their years.
fn day_number(text: &str) -> Option<i64> {
    let parts: Vec<i64> = text.split('-').filter_map(|part| part.parse().ok()).collect();
    let [year, month, day] = parts[..] else { return None };
    if !is_date(text) {
        return None;
    }
    let (year, month) = if month < 3 { (year - 1, month + 9) } else { (year, month - 3) };
    Some(365 * year + year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400) + (153 * month + 2) / 5 + day)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Held against `date -d`.
    #[test]
    fn days_are_counted_as_the_calendar_has_them() {
        let days = |from: &str, to: &str| days_between(from, to);
        assert_eq!(days("2031-04-02", "2031-05-02"), Some(30));
        assert_eq!(days("2028-02-28", "2028-03-01"), Some(2));
        assert_eq!(days("2100-02-28", "2100-03-01"), Some(1));
        assert_eq!(days("2000-01-01", "2031-12-31"), Some(11_687));
        assert_eq!(days("2031-05-02", "2031-04-02"), Some(-30));
        assert_eq!(days("2031-5-2", "2031-04-02"), None);
    }
}
