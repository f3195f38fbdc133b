//! The roles that things play in a drawing. Every pen has a look for each of them.

use checks::Severity;
use plan::{Evidence, LandmarkKind, LineKind};

/// What a line is, as far as it is told apart in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pipe {
    /// A main.
    Main,
    /// A submain.
    Submain,
    /// A lateral.
    Lateral,
    /// Old tile that was seen or proved.
    SeenTile,
    /// Old tile that is only suspected.
    SuspectedTile,
}

impl Pipe {
    /// All of them, as a legend lists them.
    pub const ALL: [Self; 5] = [Self::Main, Self::Submain, Self::Lateral, Self::SeenTile, Self::SuspectedTile];

    /// What a line of that kind is drawn as.
    pub fn of(kind: LineKind) -> Self {
        match kind {
            LineKind::Main => Self::Main,
            LineKind::Submain => Self::Submain,
            LineKind::Lateral => Self::Lateral,
            LineKind::OldTile(old) if old.evidence == Evidence::Suspected => Self::SuspectedTile,
            LineKind::OldTile(_) => Self::SeenTile,
        }
    }

    /// True for old tile.
    pub const fn is_old(self) -> bool {
        matches!(self, Self::SeenTile | Self::SuspectedTile)
    }
}

/// What a mark on the land is, as far as it is told apart in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkSort {
    /// A buried utility.
    Utility,
    /// A buried irrigation main.
    Irrigation,
    /// A power line overhead.
    Overhead,
    /// A road, lane or loading place.
    Road,
    /// Rows of vines or trees.
    Rows,
    /// Land on which somebody else has a right.
    Easement,
    /// A wet area or wetland.
    Wet,
    /// A spring.
    Spring,
    /// A footing or wall.
    Footing,
    /// Anything else, told by the name beside it.
    Other,
}

impl MarkSort {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Utility,
        Self::Irrigation,
        Self::Overhead,
        Self::Road,
        Self::Rows,
        Self::Easement,
        Self::Wet,
        Self::Spring,
        Self::Footing,
        Self::Other,
    ];

    /// What a mark of that kind is drawn as.
    pub const fn of(kind: &LandmarkKind) -> Self {
        match kind {
            LandmarkKind::Utility(_) => Self::Utility,
            LandmarkKind::Irrigation { .. } => Self::Irrigation,
            LandmarkKind::OverheadLine { .. } => Self::Overhead,
            LandmarkKind::Road { .. } => Self::Road,
            LandmarkKind::Rows(_) => Self::Rows,
            LandmarkKind::Easement { .. } => Self::Easement,
            LandmarkKind::WetArea { .. } | LandmarkKind::Wetland { .. } => Self::Wet,
            LandmarkKind::Spring => Self::Spring,
            LandmarkKind::Footing { .. } => Self::Footing,
            _ => Self::Other,
        }
    }
}

/// The role of a thing in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// A line of pipe on the map; where a profile crosses it, old tile.
    Line(Pipe),
    /// A mark on the land; in a profile, where the line passes it.
    Mark(MarkSort),
    /// Trench that must be protected.
    Protected,
    /// Where nobody digs.
    NoDig,
    /// A joint on the map.
    Joint,
    /// What is wrong, along the stretch where it is wrong.
    Fault(Severity),
    /// Where the pipe may lie: under the least cover, within the machine's reach.
    Band,
    /// The upper edge of that: least cover.
    CoverLimit,
    /// The ground in a profile.
    Ground,
    /// What the ground in a profile is called.
    GroundName,
    /// A stretch without known ground.
    NoGround,
    /// The inside bottom of a pipe.
    Invert(Pipe),
    /// The outside top of a pipe.
    PipeTop(Pipe),
    /// The level of the water in or above a pipe.
    WaterLevel,
    /// A place where the grade changes.
    GradeBreak(Pipe),
    /// A bend as drawn on the map.
    Bend(Pipe),
    /// A level that is given.
    Pin(Pipe),
    /// A branch comes in.
    Enters(Pipe),
    /// A reach at one grade, which rises from its outlet.
    Reach(Pipe),
    /// A reach that falls away from its outlet.
    AdverseReach,
    /// Where two reaches meet, or one ends.
    ReachEnd,
}

const SEVERITIES: [Severity; 3] = [Severity::Block, Severity::Decide, Severity::Note];

impl Role {
    /// Every role, for those that must have a look for each.
    pub fn all() -> Vec<Self> {
        let of_pipe: [fn(Pipe) -> Self; 8] = [
            Self::Line,
            Self::Enters,
            Self::Invert,
            Self::PipeTop,
            Self::GradeBreak,
            Self::Bend,
            Self::Pin,
            Self::Reach,
        ];
        let alone = [
            Self::Protected,
            Self::NoDig,
            Self::Joint,
            Self::Band,
            Self::CoverLimit,
            Self::Ground,
            Self::GroundName,
            Self::NoGround,
            Self::WaterLevel,
            Self::AdverseReach,
            Self::ReachEnd,
        ];
        let pipes = of_pipe.into_iter().flat_map(|role| Pipe::ALL.map(role));
        let marks = MarkSort::ALL.map(Self::Mark);
        pipes.chain(marks).chain(SEVERITIES.map(Self::Fault)).chain(alone).collect()
    }
}
