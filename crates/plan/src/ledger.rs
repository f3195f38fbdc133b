//! What the plan remembers beside the layout: findings accepted by name, sheets that were issued, layouts put aside.

use std::collections::BTreeMap;

use measure::{Point, Units};
use serde::{Deserialize, Serialize};

use crate::{Brief, Line, LineId, Outlet, OutletId, Signature};

/// What a finding was about, so that it is known again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Subject {
    /// Number of the check.
    pub check: u16,
    /// The thing of the plan that it is about, by its [number](crate::ObjectId::number).
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

/// A finding that was accepted as it is, by name and with a reason.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Acceptance {
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
    /// Who accepted it, when and why.
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

/// Sheets that were issued.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Revision {
    /// Its letter.
    pub letter: String,
    /// What each line was, as a digest of the rows of its sheet.
    pub lines: BTreeMap<LineId, String>,
    /// What they told beside the rows, in a fixed order; files of version 4 and older have none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub facts: Vec<Fact>,
    /// What they told otherwise than the revision before, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changed: Vec<String>,
    /// Findings that were open and block digging.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub open: Vec<OpenFinding>,
    /// Who issued them, when and why; where findings were open, why they were issued all the same.
    #[serde(flatten)]
    pub signed: Signature,
}

impl Revision {
    /// True where they told the same.
    pub fn tells(&self, told: &Told) -> bool {
        self.lines == told.lines && self.facts == told.facts
    }

    /// True where they were issued though a finding to be fixed was open, by the name that signed.
    pub fn is_all_the_same(&self) -> bool {
        self.open.iter().any(|finding| !finding.no_dig)
    }
}

/// Everything that sheets tell a crew, so that it is known again and what changed can be named.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Told {
    /// What each line is, as a digest of the rows of its sheet.
    pub lines: BTreeMap<LineId, String>,
    /// What the sheets tell beside the rows, in a fixed order.
    pub facts: Vec<Fact>,
}

/// One thing that sheets tell beside the rows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fact {
    /// What it is about: "Datum", "Benchmark BM1", "Rod plane of L1".
    pub about: String,
    /// What is said of it, as it is printed; for a course or an area a digest of its corners.
    pub says: String,
    /// Its level, metres, where what is said is a level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level_m: Option<f64>,
    /// How a change of it is told.
    pub kind: FactKind,
}

/// How a change of something that sheets tell is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FactKind {
    /// Words, which hang on no unit: "'x' became 'y'".
    Words,
    /// Figures in the units of the plan: "was 219.50, is 220.00".
    Figures,
    /// A level: "moved 0.10 ft up".
    Level,
    /// A course or an area: "is not where it was".
    Place,
}

/// A finding that was open when sheets were issued.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OpenFinding {
    /// What it was about.
    pub subject: Subject,
    /// Its heading.
    pub title: String,
    /// Its place in words.
    pub place: String,
    /// True where its stretch was printed as not to be dug.
    #[serde(default, skip_serializing_if = "crate::laying::is_false")]
    pub no_dig: bool,
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

impl Acceptance {
    /// True where both are about the same finding: a check may find two things wrong at one place, and the title tells
    /// them apart.
    pub fn is_of_same(&self, other: &Self) -> bool {
        self.subject == other.subject && self.title == other.title
    }

    /// The entry as sheets print it.
    pub fn words(&self, units: Units) -> String {
        let place = self.subject.stretch_m.map(|(from_m, _)| format!(" at {}", measure::station(from_m, units)));
        format!(
            "{}{} (check {}) is accepted as it is: {}. {}, {}",
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
