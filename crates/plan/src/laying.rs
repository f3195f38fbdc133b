//! What a person asks of single places of a line: a grade or depth to hold, things to pass, structures.

use serde::{Deserialize, Serialize};

/// What a reach keeps.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hold {
    /// This grade, as a ratio.
    Grade(f64),
    /// This depth of the invert under the ground, metres, as near as the limits allow.
    Depth(f64),
}

/// A reach that keeps something.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reach {
    /// Lower station, metres from the downstream end.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// What it keeps.
    pub hold: Hold,
}

/// On which side a line passes something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The line lies above it.
    Over,
    /// The line lies below it.
    Under,
}

/// Something in the ground that the line must clear, and the side that was chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pass {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// What it is, for the sheets.
    pub what: String,
    /// The side.
    pub side: Side,
    /// Level of its top where the line passes over it, of its underside where it passes under, metres.
    pub level_m: f64,
    /// Clear distance to keep, metres.
    pub clear_m: f64,
}

/// What stands on a line beside the pipe.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StructureKind {
    /// Lets surface water in through stone.
    BlindInlet(Catching),
    /// Lets surface water in through a stand pipe.
    OpenInlet(Catching),
    /// Lets air in.
    Breather,
    /// Lets water up and out where pressure builds.
    ReliefWell,
    /// Holds silt back.
    SiltTrap,
}

/// The land whose surface water an inlet takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Catching {
    /// Its area, square metres.
    pub area_m2: f64,
    /// Depth of water that must leave it in a second, m/s; the job's own for `None`.
    #[serde(default)]
    pub coefficient_ms: Option<f64>,
}

impl StructureKind {
    /// The trade's word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::BlindInlet(_) => "blind inlet",
            Self::OpenInlet(_) => "open inlet",
            Self::Breather => "breather",
            Self::ReliefWell => "relief well",
            Self::SiltTrap => "silt trap",
        }
    }

    /// The land it catches from, if it is an inlet.
    pub const fn catching(self) -> Option<Catching> {
        match self {
            Self::BlindInlet(catching) | Self::OpenInlet(catching) => Some(catching),
            _ => None,
        }
    }
}

/// A structure on a line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Structure {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// What it is.
    pub kind: StructureKind,
}

/// The land a line drains by itself, without what its branches bring.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Served {
    /// Found by the program: half-way to the next line on either side, or as far as a line drains.
    #[default]
    Strip,
    /// What the terrain sheds toward the line, as for a line up a swale.
    Catchment,
    /// A strip so wide in all, metres.
    Width(f64),
    /// An area typed by hand, square metres.
    Area(f64),
    /// None: it only carries.
    Carrier,
}

/// Wall of a pipe, by which its roughness is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wall {
    /// Corrugated inside and out.
    #[default]
    Corrugated,
    /// Corrugated with a smooth inside, or smooth rigid pipe.
    Smooth,
}

/// Who chose the size of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SizeBy {
    /// A person; it stays.
    #[default]
    Hand,
    /// The flow: the cheapest stocked size that carries it.
    Flow,
}
