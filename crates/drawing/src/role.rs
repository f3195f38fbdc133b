//! The roles that things play in a drawing. Every pen has a look for each of them.

use checks::Severity;
use plan::{Carries, Evidence, LandmarkKind, LineKind, WatercourseKind};

/// What a line is, as far as it is told apart in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pipe {
    /// A main.
    Main,
    /// A submain.
    Submain,
    /// A lateral.
    Lateral,
    /// Old tile that was opened or probed along its way.
    ProvedTile,
    /// Old tile that was seen at an outlet, a hole or a cut.
    SeenTile,
    /// Old tile that is only suspected.
    SuspectedTile,
}

impl Pipe {
    /// All of them, as a legend lists them.
    pub const ALL: [Self; 6] =
        [Self::Main, Self::Submain, Self::Lateral, Self::ProvedTile, Self::SeenTile, Self::SuspectedTile];

    /// What a line of that kind is drawn as.
    pub fn of(kind: LineKind) -> Self {
        match kind {
            LineKind::Main => Self::Main,
            LineKind::Submain => Self::Submain,
            LineKind::Lateral => Self::Lateral,
            LineKind::OldTile(old) => match old.evidence {
                Evidence::Suspected => Self::SuspectedTile,
                Evidence::Seen => Self::SeenTile,
                Evidence::Proved => Self::ProvedTile,
            },
        }
    }

    /// True for old tile.
    pub const fn is_old(self) -> bool {
        matches!(self, Self::ProvedTile | Self::SeenTile | Self::SuspectedTile)
    }
}

/// What a mark on the land is, as far as it is told apart in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkSort {
    /// A buried utility, by what it carries.
    Utility(Carries),
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
    pub const ALL: [Self; 17] = [
        Self::Utility(Carries::Power),
        Self::Utility(Carries::Gas),
        Self::Utility(Carries::Oil),
        Self::Utility(Carries::Telecom),
        Self::Utility(Carries::Water),
        Self::Utility(Carries::Sewer),
        Self::Utility(Carries::Reclaimed),
        Self::Utility(Carries::Unknown),
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
            LandmarkKind::Utility(utility) => Self::Utility(utility.carries),
            LandmarkKind::Irrigation { .. } => Self::Irrigation,
            LandmarkKind::OverheadLine { .. } => Self::Overhead,
            LandmarkKind::Road { .. } => Self::Road,
            LandmarkKind::Rows(_) => Self::Rows,
            LandmarkKind::Easement { .. } => Self::Easement,
            LandmarkKind::WetArea { .. } | LandmarkKind::Wetland { .. } => Self::Wet,
            LandmarkKind::Spring => Self::Spring,
            LandmarkKind::Footing { .. } => Self::Footing,
            LandmarkKind::Well { .. }
            | LandmarkKind::Septic { .. }
            | LandmarkKind::Trees { .. }
            | LandmarkKind::Hedge
            | LandmarkKind::Pit(_)
            | LandmarkKind::Bank
            | LandmarkKind::Store
            | LandmarkKind::Neighbour { .. }
            | LandmarkKind::SiteFlag { .. } => Self::Other,
        }
    }
}

/// What a thing is on a drawing for a class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Taught {
    /// Soil above the water table: it holds its field capacity, and air beside it.
    HeldWater,
    /// Soil whose pores are all full.
    FullSoil,
    /// Soil that lets no water through.
    TightSoil,
    /// A pore that holds air.
    AirPore,
    /// A pore that is full of water.
    WaterPore,
    /// The water table as it stood on an earlier day.
    FormerTable,
    /// The water table.
    WaterTable,
    /// A root.
    Root,
    /// A stem over the ground.
    Stem,
    /// The leaves of a vine.
    Leaves,
    /// The depth down to which roots want air.
    RootDepth,
    /// A drain, seen along its way.
    Drain,
    /// The inside of a pipe, seen from its side.
    Bore,
    /// Water that runs in it.
    Running,
    /// Water that stands in it.
    Standing,
    /// The wall of a pipe, seen from its side.
    Wall,
    /// The speed above which silt is carried out.
    SiltLine,
    /// Words that explain.
    Words,
}

impl Taught {
    /// All of them.
    pub const ALL: [Self; 18] = [
        Self::HeldWater,
        Self::FullSoil,
        Self::TightSoil,
        Self::AirPore,
        Self::WaterPore,
        Self::FormerTable,
        Self::WaterTable,
        Self::Root,
        Self::Stem,
        Self::Leaves,
        Self::RootDepth,
        Self::Drain,
        Self::Bore,
        Self::Running,
        Self::Standing,
        Self::Wall,
        Self::SiltLine,
        Self::Words,
    ];
}

/// The role of a thing in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// A line of pipe on the map; where a profile crosses it, old tile.
    Line(Pipe),
    /// A mark on the land; in a profile, where the line passes it.
    Mark(MarkSort),
    /// A stretch of pipe without openings or with a heavy wall.
    Solid(Pipe),
    /// Rigid solid pipe at an outlet.
    OutletPipe(Pipe),
    /// The direction of flow along a line: toward its first point.
    Flow(Pipe),
    /// An upper end with a cap.
    CappedEnd(Pipe),
    /// An upper end without one.
    OpenEnd(Pipe),
    /// Where a line changes its size or wall.
    Reducer(Pipe),
    /// Where old tile may lie that is not proved.
    Doubt,
    /// Trench that must be protected.
    Protected,
    /// Where nobody digs.
    NoDig,
    /// A joint on the map.
    Joint,
    /// An outlet.
    Outlet,
    /// A stretch of a line on the map that a finding names.
    Stretch(Severity),
    /// The place of a finding.
    Finding(Severity),
    /// The field's boundary.
    Boundary,
    /// A contour.
    Contour,
    /// A contour that carries its level.
    IndexContour,
    /// The edge of ground that the survey leaves unknown.
    HoleEdge,
    /// A line along which the ground bends.
    BreakLine,
    /// Low ground where water gathers.
    Swale,
    /// A hollow without a way out.
    Depression,
    /// A ditch.
    Ditch,
    /// A culvert.
    Culvert,
    /// The land that drains to a place.
    FlowPathLand,
    /// The flow path from a place.
    FlowPath,
    /// That place.
    FlowPathFoot,
    /// A main or submain of a layout that is proposed.
    ProposedMain,
    /// A lateral of one.
    ProposedLateral,
    /// The section that is looked at.
    Section,
    /// Where it begins.
    SectionStart,
    /// A shot of a batch of the survey, by the number of the batch among [`BATCHES`].
    Shot(u8),
    /// The same where there are many.
    SmallShot(u8),
    /// A shot that sticks out.
    Outlier,
    /// A benchmark.
    Benchmark,
    /// A place where one more shot is asked for.
    WantedShot,
    /// What is wrong in a profile, along the stretch where it is wrong.
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
    /// A level of the water that a line lets out into.
    OutletWater,
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
    /// The inside bottom of the pipe as it was dug.
    AsDug,
    /// A shot of it.
    DugShot,
    /// A shot that lies too far from the plan.
    OffShot,
    /// Rain in the air.
    RainDrop,
    /// Rain that runs over the ground.
    RunningDrop,
    /// Water that stands in a hollow.
    Pond,
    /// Water that runs in a swale, by the number of the greatest bound of [`RUNNING_M3S`] that it reaches.
    Running(u8),
    /// Water in a pipe.
    PipeWater,
    /// Where somebody thinks that water gathers.
    Guess,
    /// A thing on a drawing for a class.
    Taught(Taught),
}

/// So many batches of a survey are told apart.
pub const BATCHES: usize = 5;

/// Flows by which running water is told apart, m³/s (own choice: a bucket in twenty seconds, and four times as much each).
pub const RUNNING_M3S: [f64; 5] = [0.0005, 0.002, 0.008, 0.032, 0.128];

const SEVERITIES: [Severity; 3] = [Severity::Block, Severity::Decide, Severity::Note];

impl Role {
    /// The role of a ditch or culvert.
    pub const fn of_water(kind: WatercourseKind) -> Self {
        match kind {
            WatercourseKind::Ditch => Self::Ditch,
            WatercourseKind::Culvert => Self::Culvert,
        }
    }

    /// Every role, for those that must have a look for each.
    pub fn all() -> Vec<Self> {
        use Role::{
            AdverseReach, AsDug, Band, Benchmark, Bend, Boundary, BreakLine, CappedEnd, Contour, CoverLimit, Culvert,
            Depression, Ditch, Doubt, DugShot, Enters, Fault, Finding, Flow, FlowPath, FlowPathFoot, FlowPathLand,
            GradeBreak, Ground, GroundName, Guess, HoleEdge, IndexContour, Invert, Joint, Line, Mark, NoDig,
            NoGround, OffShot, OpenEnd, Outlet, OutletPipe, OutletWater, Outlier, Pin, PipeTop, PipeWater, Pond,
            ProposedLateral, ProposedMain, Protected, RainDrop, Reach, ReachEnd, Reducer, Running, RunningDrop,
            Section, SectionStart, Shot, SmallShot, Solid, Stretch, Swale, WantedShot, WaterLevel,
        };
        let of_pipe = [
            Line, Solid, OutletPipe, Flow, CappedEnd, OpenEnd, Reducer, Enters, Invert, PipeTop, GradeBreak, Bend,
            Pin, Reach,
        ];
        let alone = [
            Doubt,
            Protected,
            NoDig,
            Joint,
            Outlet,
            Boundary,
            Contour,
            IndexContour,
            HoleEdge,
            BreakLine,
            Swale,
            Depression,
            Ditch,
            Culvert,
            FlowPathLand,
            FlowPath,
            FlowPathFoot,
            ProposedMain,
            ProposedLateral,
            Section,
            SectionStart,
            Outlier,
            Benchmark,
            WantedShot,
            Band,
            CoverLimit,
            Ground,
            GroundName,
            NoGround,
            WaterLevel,
            OutletWater,
            AdverseReach,
            ReachEnd,
            AsDug,
            DugShot,
            OffShot,
            RainDrop,
            RunningDrop,
            Pond,
            PipeWater,
            Guess,
        ];
        let pipes = of_pipe.into_iter().flat_map(|role: fn(Pipe) -> Self| Pipe::ALL.map(role));
        let severities =
            [Stretch, Finding, Fault].into_iter().flat_map(|role: fn(Severity) -> Self| SEVERITIES.map(role));
        let batches = [Shot, SmallShot].into_iter().flat_map(|role: fn(u8) -> Self| (0..BATCHES as u8).map(role));
        let running = (0..RUNNING_M3S.len() as u8).map(Running);
        let mut all: Vec<Self> = pipes
            .chain(MarkSort::ALL.map(Mark))
            .chain(Taught::ALL.map(Self::Taught))
            .chain(severities)
            .chain(batches)
            .chain(running)
            .chain(alone)
            .collect();
        all.sort_unstable();
        all
    }
}
