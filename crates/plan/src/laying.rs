//! What a person asks of single places of a line: a grade or depth to hold, things to pass, structures.

use serde::{Deserialize, Serialize};

use crate::{LineKind, Material};

/// What a person holds a part of a line to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hold {
    /// This grade, as a ratio.
    Grade(f64),
    /// This depth of the invert under the ground, metres, as near as the limits allow.
    Depth(f64),
    /// The invert so far below the top of the tight layer that the nearest pit showed, metres, as near as the limits allow.
    IntoLayer(f64),
}

/// A part of a line, between two stations, that a person holds to a grade or a depth; not to be confused with a reach dug at one
/// grade, which is found and not asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reach {
    /// Lower station, metres from the downstream end.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// What it is held to.
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
    /// Joins lines, turns them or shows the flow.
    JunctionBox(BoxFacts),
    /// Lets a branch down to its main.
    Drop,
}

/// A junction box.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct BoxFacts {
    /// Depth of its lid below ground, metres; 0 at the surface.
    pub lid_depth_m: f64,
    /// Invert of its outgoing pipe, metres, where it is not that of the line.
    pub out_invert_m: Option<f64>,
}

/// The land whose surface water an inlet takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Catching {
    /// Its area, square metres.
    pub area_m2: f64,
    /// Depth of water that must leave it in a second, m/s; the job's own for `None`.
    #[serde(default)]
    pub coefficient_ms: Option<f64>,
    /// Inside diameter of an open inlet's riser, metres; that of the line for `None`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub riser_m: Option<f64>,
    /// True where an orifice holds the water back.
    #[serde(default, skip_serializing_if = "is_false")]
    pub throttled: bool,
    /// True where a trap holds sediment back.
    #[serde(default, skip_serializing_if = "is_false")]
    pub trapped: bool,
}

pub(crate) fn is_false(value: &bool) -> bool {
    !value
}

impl Catching {
    /// An inlet of an area, with nothing else known.
    pub const fn of(area_m2: f64) -> Self {
        Self { area_m2, coefficient_ms: None, riser_m: None, throttled: false, trapped: false }
    }
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
            Self::JunctionBox(_) => "junction box",
            Self::Drop => "drop",
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
    /// Found by the program: the part of the field that lies nearer to it than to any other line, as far as a line drains.
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

/// Wall of a pipe, by which its roughness and its thickness are chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wall {
    /// Corrugated inside and out.
    #[default]
    Corrugated,
    /// Corrugated with a smooth inside.
    Smooth,
    /// Smooth rigid pipe of solid plastic.
    Rigid,
}

impl Wall {
    /// Every wall with its word.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Corrugated, "corrugated"), (Self::Smooth, "smooth inside"), (Self::Rigid, "rigid")];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(wall, _)| *wall == self).map_or("", |(_, word)| word)
    }

    /// True where water runs along a smooth inside.
    pub const fn is_smooth(self) -> bool {
        matches!(self, Self::Smooth | Self::Rigid)
    }
}

/// Who chose the size of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SizeBy {
    /// A person; it stays.
    #[default]
    Hand,
    /// The flow: the cheapest stocked size that carries it, one from end to end.
    Flow,
    /// The flow: the cheapest stocked sizes that carry it, which may step up downstream where water enters.
    FlowInSteps,
}

impl SizeBy {
    /// How a line of a kind is sized when it is drawn: a main or a submain steps up with what joins it, a lateral, which takes in
    /// little at any one place, has one size ([judgement]).
    pub const fn usual(kind: LineKind) -> Self {
        match kind {
            LineKind::Main | LineKind::Submain => Self::FlowInSteps,
            _ => Self::Flow,
        }
    }

    /// True where the flow chooses.
    pub const fn is_flow(self) -> bool {
        matches!(self, Self::Flow | Self::FlowInSteps)
    }
}

/// A part of a line, between two stations, with pipe of its own.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Stretch {
    /// Lower station, metres from the downstream end.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Nominal inside diameter, metres, where it is not that of the line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_m: Option<f64>,
    /// Wall, where it is not that of the line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<Wall>,
    /// True where eccentric reducers at its ends keep the inverts level; else crowns are level.
    #[serde(default, skip_serializing_if = "is_false")]
    pub inverts_level: bool,
    /// True for pipe without openings.
    #[serde(default)]
    pub solid: bool,
    /// True for pipe with a heavy wall.
    #[serde(default)]
    pub heavy: bool,
    /// True where the pipe must be solid, whatever it is.
    #[serde(default, skip_serializing_if = "is_false")]
    pub must_be_solid: bool,
    /// True where plugs of clay stop water along the trench at both ends.
    #[serde(default, skip_serializing_if = "is_false")]
    pub plugged: bool,
}

impl Stretch {
    /// True where it asks for pipe that is not the line's own.
    pub fn asks(&self) -> bool {
        self.solid || self.heavy || self.must_be_solid || self.size_m.is_some() || self.wall.is_some()
    }

    /// What is left between two stations where this one is laid over another: nothing asked of either is lost, and its own
    /// size and wall go before the other's.
    pub(crate) fn over(self, old: Self, from_m: f64, to_m: f64) -> Self {
        Self {
            from_m,
            to_m,
            size_m: self.size_m.or(old.size_m),
            wall: self.wall.or(old.wall),
            inverts_level: if self.size_m.is_some() { self.inverts_level } else { old.inverts_level },
            solid: old.solid || self.solid,
            heavy: old.heavy || self.heavy,
            must_be_solid: old.must_be_solid || self.must_be_solid,
            plugged: old.plugged || self.plugged,
        }
    }
}

/// Openings of perforated pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Slots {
    /// As usual: up to 1/8 in wide ([744]).
    #[default]
    Ordinary,
    /// Narrow: about 0.015 in ([E3467]).
    Narrow,
}

/// What is round the pipe.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Envelope {
    /// The soil itself.
    #[default]
    None,
    /// A knitted sock.
    Sock,
    /// Sand or gravel of this thickness all round, metres.
    Granular(f64),
}

/// What a line is laid in and with, beside its pipe.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Bed {
    /// What its pipe is made of, where entered.
    #[serde(skip_serializing_if = "Material::is_unknown")]
    pub material: Material,
    /// Openings of its perforated pipe.
    pub slots: Slots,
    /// What is round it.
    pub envelope: Envelope,
    /// True where the trench is filled with stone or other backfill that lets water down.
    pub permeable_backfill: bool,
    /// True where trench breakers or anchors hold a steep line.
    pub anchored: bool,
    /// True where the pipe is rated for the wheels that cross it.
    pub rated_for_load: bool,
    /// True in organic soil.
    pub organic: bool,
    /// How far organic soil will settle, metres, where estimated.
    pub settlement_m: Option<f64>,
    /// Deepest trench that the maker allows for the pipe, metres, where entered.
    pub maker_depth_m: Option<f64>,
    /// True where an engineer designed the trench.
    pub engineered: bool,
}

/// A stake beside the line whose level was read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Hub {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Level of its top, metres.
    pub level_m: f64,
    /// How far it stands to the left of the line, looking upstream, metres; below 0 to the right.
    pub left_m: f64,
}

/// What is done with an old line that was met ([OH-9], [IOWADOT]; the list [judgement]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    /// Joined to the new line.
    Join,
    /// Crossed and kept apart.
    Bridge,
    /// Replaced along its way.
    Replace,
    /// Led round the block.
    Bypass,
    /// Both cut ends closed.
    Plug,
}

impl Decision {
    /// Every decision with its word.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Join, "join"),
        (Self::Bridge, "bridge"),
        (Self::Replace, "replace"),
        (Self::Bypass, "bypass"),
        (Self::Plug, "plug"),
    ];

    /// True where the old line's water comes into the line it meets.
    pub const fn brings_water(self) -> bool {
        matches!(self, Self::Join | Self::Replace)
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(decision, _)| *decision == self).map_or("", |(_, word)| word)
    }
}
