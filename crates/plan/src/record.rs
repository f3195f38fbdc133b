//! What is really down there: the record of the digging and of what came after, as it was shot, found and noted.
//!
//! Entries are added and never changed; one that was mistaken is struck by name and stays. Each has a key of its own, given
//! where it was made (in the trench, by a file, in the window), so that the same entry brought in twice is there once.

use measure::Point;
use serde::{Deserialize, Serialize};

use crate::{Condition, Decision, LineId, Material, OutletId, Signature, Wall};

/// What a file of entries from a field page calls itself, with the version of its members.
pub const FIELD_FORMAT: &str = "drainwright-field-1";

/// Where an entry of the record belongs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spot {
    /// At a station of a line.
    Station {
        /// The line.
        line: LineId,
        /// Distance from its downstream end, metres.
        station_m: f64,
    },
    /// At a place on the plan.
    Place(Point),
}

/// Who made an entry, when, and by which sheets.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Taken {
    /// Name of the person.
    pub by: String,
    /// Day and time as noted, `YYYY-MM-DD` or `YYYY-MM-DDTHH:MM`.
    pub at: String,
    /// Letter of the sheets that were in hand; empty where that is not known.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub revision: String,
}

/// What a shot was held on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShotOn {
    /// The inside bottom of the pipe.
    #[default]
    Invert,
    /// The outside top of the pipe.
    Top,
    /// The bottom of the trench.
    TrenchBottom,
    /// The ground beside it.
    Ground,
}

impl ShotOn {
    /// Every one with its word.
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::Invert, "invert"),
        (Self::Top, "top"),
        (Self::TrenchBottom, "trench bottom"),
        (Self::Ground, "ground"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(on, _)| *on == self).map_or("", |(_, word)| word)
    }

    /// Reads its word, or what crews write for it in a code: `inv`, `fl` for the flow line, `tb`, `gnd`.
    pub fn read(word: &str) -> Option<Self> {
        match word.trim().to_lowercase().replace(['-', '_'], " ").as_str() {
            "inv" | "fl" | "flow line" | "flowline" => Some(Self::Invert),
            "tb" | "bottom" => Some(Self::TrenchBottom),
            "gnd" => Some(Self::Ground),
            word => Self::ALL.into_iter().find(|(_, own)| *own == word).map(|(on, _)| on),
        }
    }
}

/// How a receiver knew where it was (NMEA 0183, sentence GGA, quality indicator).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FixQuality {
    /// Whole carrier cycles known: centimetres.
    Fixed,
    /// Carrier cycles not whole: decimetres.
    Float,
    /// Corrected code: about a metre.
    Differential,
    /// Alone: several metres.
    Single,
}

/// How sure a receiver was of a shot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fix {
    /// What kind of fix it had at worst while the shot was averaged.
    pub quality: FixQuality,
    /// Age of the corrections, seconds, the oldest; `None` where the receiver told none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age_s: Option<f64>,
    /// Height of the antenna over the shot, metres.
    pub antenna_m: f64,
    /// Height of the geoid over the ellipsoid that the receiver used, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub geoid_m: Option<f64>,
    /// What was added to its levels to bring them to the plan's datum, metres, by the check shot on a benchmark.
    pub shift_m: f64,
    /// The benchmark of the check shot before it.
    pub checked_on: String,
    /// By how much that check shot missed the benchmark before the shift, metres: along the ground and in height.
    pub missed_m: (f64, f64),
}

/// A level shot on what was laid, before it was covered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DugShot {
    /// Its own key.
    pub key: String,
    /// Who, when, by which sheets.
    #[serde(flatten)]
    pub taken: Taken,
    /// Where.
    pub spot: Spot,
    /// What it was held on.
    #[serde(default)]
    pub on: ShotOn,
    /// Its level, metres.
    pub level_m: f64,
    /// Scatter of what was averaged, metres, a standard deviation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scatter_m: Option<f64>,
    /// The receiver's part, where it came from one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fix: Option<Fix>,
    /// What was said of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Who struck it and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub struck: Option<Signature>,
}

/// Water seen to run.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Running {
    /// Nobody looked.
    #[default]
    Unknown,
    /// It was dry.
    Dry,
    /// It ran; nobody measured it.
    Runs,
    /// It ran at so much, m³/s: a bucket and its seconds.
    Flow(f64),
}

/// Old tile that was found in the trench.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Find {
    /// Its own key.
    pub key: String,
    /// Who, when, by which sheets.
    #[serde(flatten)]
    pub taken: Taken,
    /// Where.
    pub spot: Spot,
    /// Its invert there, metres; `None` where it was not shot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub invert_m: Option<f64>,
    /// Its inside diameter, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_m: Option<f64>,
    /// What it is made of.
    #[serde(default)]
    pub material: Material,
    /// The way its water goes, degrees clockwise from north; `None` where nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub falls_deg: Option<f64>,
    /// Whether it runs.
    #[serde(default)]
    pub running: Running,
    /// Depth of silt in it, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub silt_m: Option<f64>,
    /// How well it holds.
    #[serde(default)]
    pub condition: Condition,
    /// The land it drains from above, square metres, where estimated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upstream_m2: Option<f64>,
    /// True where water reaches it from beyond the boundary.
    #[serde(default, skip_serializing_if = "crate::laying::is_false")]
    pub from_beyond: bool,
    /// What was decided, by whom and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decided: Option<Decided>,
    /// What was said of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Who struck it and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub struck: Option<Signature>,
}

/// Somebody dug or probed for an old line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Probe {
    /// Its own key.
    pub key: String,
    /// Who, when, by which sheets.
    #[serde(flatten)]
    pub taken: Taken,
    /// Where.
    pub spot: Spot,
    /// The old line that was looked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<LineId>,
    /// True where it was met.
    pub met: bool,
    /// What was said of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What was decided of old tile that was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Decided {
    /// The choice.
    pub what: Decision,
    /// The old line that stands for it in the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<LineId>,
    /// Who decided, when and why.
    #[serde(flatten)]
    pub signed: Signature,
}

/// A photo: a file beside the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Photo {
    /// The file, relative to the plan file where it lies beside or below it.
    pub file: String,
    /// Its SHA-256, hexadecimal, so that a missing or altered one is noticed.
    pub sha256: String,
    /// Where it was taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spot: Option<Spot>,
    /// The way it looks, degrees clockwise from north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub looks_deg: Option<f64>,
    /// Day and time, `YYYY-MM-DD` or `YYYY-MM-DDTHH:MM`; empty where nobody knows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
    /// What it shows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
    /// Key of the entry it belongs to; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub of: String,
}

/// What a note is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoteOn {
    /// The digging.
    #[default]
    Digging,
    /// Something laid otherwise than planned, with who agreed.
    Changed,
    /// A repair.
    Repair,
    /// Yearly care.
    Care,
}

/// Something said in the field or later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FieldNote {
    /// Its own key.
    pub key: String,
    /// Who, when, by which sheets.
    #[serde(flatten)]
    pub taken: Taken,
    /// What it is about.
    #[serde(default)]
    pub on: NoteOn,
    /// Where, if anywhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spot: Option<Spot>,
    /// What was said.
    pub says: String,
    /// Who agreed, where somebody had to.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub agreed_by: String,
}

/// Water seen at an outlet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OutletFlow {
    /// Its own key.
    pub key: String,
    /// Who, when.
    #[serde(flatten)]
    pub taken: Taken,
    /// The outlet.
    pub outlet: OutletId,
    /// What ran.
    pub running: Running,
    /// True where it ran cloudy.
    #[serde(default, skip_serializing_if = "crate::laying::is_false")]
    pub cloudy: bool,
    /// What was said of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A stretch of a line that was laid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaidStretch {
    /// The line.
    pub line: LineId,
    /// Lower and upper station, metres.
    pub stretch_m: (f64, f64),
    /// Day it was laid, `YYYY-MM-DD`; empty where nobody knows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub on: String,
    /// Inside diameter that was laid, metres, where it is not the plan's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_m: Option<f64>,
    /// Wall that was laid, where it is not the plan's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<Wall>,
    /// Whether solid pipe was laid, where it is not as in the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub solid: Option<bool>,
    /// True once the trench is filled.
    #[serde(default, skip_serializing_if = "crate::laying::is_false")]
    pub backfilled: bool,
}

/// An addition to a record that was signed, chained to the one before it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LogEntry {
    /// What was added or struck, in words.
    pub says: String,
    /// The same as JSON, or the key of what was struck or decided.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub content: String,
    /// Who, when and why.
    #[serde(flatten)]
    pub signed: Signature,
    /// SHA-256 of the chain of the entry before it and of everything in this one, hexadecimal.
    pub chain: String,
}

/// The record of a plan.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Record {
    /// Levels shot on what was laid.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub shots: Vec<DugShot>,
    /// Old tile that was found.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub finds: Vec<Find>,
    /// Where old lines were looked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub probes: Vec<Probe>,
    /// Photos.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<Photo>,
    /// Notes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<FieldNote>,
    /// Water seen at outlets.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub flows: Vec<OutletFlow>,
    /// What was laid so far.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub laid: Vec<LaidStretch>,
    /// The day the digging was finished, `YYYY-MM-DD`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finished: Option<String>,
    /// Who signed the record as it stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signature>,
    /// What was added after it was signed, oldest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub log: Vec<LogEntry>,
}

impl Record {
    /// True while nothing is in it.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Shots that were not struck.
    pub fn shots(&self) -> impl Iterator<Item = &DugShot> {
        self.shots.iter().filter(|shot| shot.struck.is_none())
    }

    /// Finds that were not struck.
    pub fn finds(&self) -> impl Iterator<Item = &Find> {
        self.finds.iter().filter(|find| find.struck.is_none())
    }

    /// Keys of all entries that have one.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        let shots = self.shots.iter().map(|shot| shot.key.as_str());
        let finds = self.finds.iter().map(|find| find.key.as_str());
        let notes = self.notes.iter().map(|note| note.key.as_str());
        let probes = self.probes.iter().map(|probe| probe.key.as_str());
        shots.chain(finds).chain(probes).chain(notes).chain(self.flows.iter().map(|flow| flow.key.as_str()))
    }
}
