//! Ditches and culverts: ways of water that a surface made from the air hides.

use measure::Point;
use serde::{Deserialize, Serialize};

/// Id of a watercourse; stable for the life of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct WatercourseId(pub u32);

/// How water is led.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WatercourseKind {
    /// Open: whatever reaches it runs along it.
    Ditch,
    /// Closed: from one end under a bank to the other.
    Culvert,
}

impl WatercourseKind {
    /// The word on the plan.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ditch => "ditch",
            Self::Culvert => "culvert",
        }
    }

    /// The letter its names begin with.
    pub const fn stem(self) -> &'static str {
        match self {
            Self::Ditch => "D",
            Self::Culvert => "C",
        }
    }
}

/// A ditch or a culvert. Water is routed along it; ground and contours stay as they were measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Watercourse {
    /// Its name on the plan.
    pub name: String,
    /// Open or closed.
    pub kind: WatercourseKind,
    /// Its course; either end may be the lower one.
    pub points: Vec<Point>,
}
