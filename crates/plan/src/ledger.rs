//! What the plan remembers beside the layout: findings left by name, sheets that were issued, layouts put aside.

use std::collections::BTreeMap;

use measure::{Point, Units};
use serde::{Deserialize, Serialize};

use crate::{Brief, Line, LineId, Outlet, OutletId, Signature};

/// What a finding was about, so that it is known again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Subject {
    /// Number of the check.
    pub check: u16,
    /// The line, outlet or mark on the land it is about, by the number of its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<u32>,
    /// The mark on the land that troubles it, by the number of its id, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mark: Option<u32>,
    /// The place.
    pub at: Point,
    /// Lower and upper station of the stretch, metres, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stretch_m: Option<(f64, f64)>,
}

/// A finding that is left as it is, by name and with a reason.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Waiver {
    /// What it was about.
    pub subject: Subject,
    /// Its heading, for sheets.
    pub title: String,
    /// How heavy it was: 0 blocks digging, 1 needs a decision, 2 is a note.
    pub weight: u8,
    /// By how much it missed its limit, as a share of the limit, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub excess: Option<f64>,
    /// The places it gathered; none where it was about one thing at one place.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub gathered: Vec<Gathered>,
    /// Who left it, when and why.
    #[serde(flatten)]
    pub signed: Signature,
}

/// One of the places of a finding that gathered several.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Gathered {
    /// The line it was on, by the number of its id, where it was on one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<u32>,
    /// Lower and upper station, metres.
    pub stretch_m: (f64, f64),
    /// The place.
    pub at: Point,
}

/// Sheets that were given out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Revision {
    /// Its letter.
    pub letter: String,
    /// What each line was, as a digest of what its sheet prints.
    pub lines: BTreeMap<LineId, String>,
    /// Who gave them out, when and what changed.
    #[serde(flatten)]
    pub signed: Signature,
}

/// The letter of the sheets numbered `index` from 0: A to Z, then AA.
pub fn revision_letter(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        more => format!("{}{letter}", revision_letter(more - 1)),
    }
}

/// A layout put aside to be held against others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Alternative {
    /// Its name: "swales only".
    pub name: String,
    /// Its outlets.
    pub outlets: BTreeMap<OutletId, Outlet>,
    /// Its lines.
    pub lines: BTreeMap<LineId, Line>,
    /// Its brief.
    pub brief: Brief,
}

impl Waiver {
    /// True where both are about the same finding: a check may find two things wrong at one place, and the title tells
    /// them apart.
    pub fn is_of_same(&self, other: &Self) -> bool {
        self.subject == other.subject && self.title == other.title
    }

    /// The entry as sheets print it.
    pub fn words(&self, units: Units) -> String {
        let place = self.subject.stretch_m.map(|(from_m, _)| format!(" at {}", measure::station(from_m, units)));
        format!(
            "{}{} (check {}) is left as it is: {}. {}, {}",
            self.title,
            place.unwrap_or_default(),
            self.subject.check,
            self.signed.because,
            self.signed.by,
            self.signed.on
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let letters: Vec<String> = [0, 1, 25, 26, 27, 52].into_iter().map(revision_letter).collect();
        assert_eq!(letters, ["A", "B", "Z", "AA", "AB", "BA"]);
    }
}
