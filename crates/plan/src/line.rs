//! A line of pipe, new or old.

use measure::{INCH_M, Point, path_length};
use serde::{Deserialize, Serialize};

use crate::{Bed, Decision, FEET_STARTS, Hub, OutletId, Pass, Reach, Served, SizeBy, Stretch, Structure, Wall};

/// Id of a line; stable for the life of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct LineId(pub u32);

/// What a line is for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LineKind {
    /// Carries the water of others to the outlet.
    Main,
    /// Gathers laterals on the way to a main.
    Submain,
    /// Collects from the soil.
    Lateral,
    /// Was there before.
    OldTile(OldTile),
}

impl LineKind {
    /// True for tile that was there before.
    pub const fn is_old(self) -> bool {
        matches!(self, Self::OldTile(_))
    }

    /// The trade's word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Main => "main",
            Self::Submain => "submain",
            Self::Lateral => "lateral",
            Self::OldTile(_) => "old tile",
        }
    }

    /// Letter that starts the names of such lines.
    pub const fn stem(self) -> &'static str {
        match self {
            Self::Main => "M",
            Self::Submain => "S",
            Self::Lateral => "L",
            Self::OldTile(_) => "T",
        }
    }
}

/// How sure an old line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Evidence {
    /// Read from photos, wet strips or memory.
    #[default]
    Suspected,
    /// Seen at an outlet, a hole or a cut.
    Seen,
    /// Opened or probed along its way.
    Proved,
}

/// What pipe is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Material {
    /// Not known.
    #[default]
    Unknown,
    /// Fired clay tile.
    Clay,
    /// Concrete tile.
    Concrete,
    /// Plastic: corrugated tubing, or rigid pipe.
    Plastic,
    /// Steel or another metal.
    Metal,
}

impl Material {
    /// Every material with its word.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Unknown, "unknown"),
        (Self::Clay, "clay"),
        (Self::Concrete, "concrete"),
        (Self::Plastic, "plastic"),
        (Self::Metal, "metal"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(material, _)| *material == self).map_or("", |(_, word)| word)
    }

    pub(crate) fn is_unknown(&self) -> bool {
        *self == Self::Unknown
    }
}

/// Condition of an old line ([judgement]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Nobody has looked inside.
    #[default]
    Unknown,
    /// Round, clear, holds grade, runs.
    Good,
    /// At most a third silt, hairline cracks, runs.
    Fair,
    /// More than a third silt, broken, roots, or dry in the wet season.
    Poor,
}

/// What tells of an old line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Clues {
    /// A strip on an air photo.
    #[serde(skip_serializing_if = "crate::laying::is_false")]
    pub photo: bool,
    /// Its outlet was seen.
    #[serde(skip_serializing_if = "crate::laying::is_false")]
    pub outlet: bool,
    /// A wet streak, or a hole above it.
    #[serde(skip_serializing_if = "crate::laying::is_false")]
    pub wet_streak: bool,
    /// Somebody remembers, or an old map shows it.
    #[serde(skip_serializing_if = "crate::laying::is_false")]
    pub memory: bool,
    /// A probe met it.
    #[serde(skip_serializing_if = "crate::laying::is_false")]
    pub probe: bool,
    /// It was opened in a trench.
    #[serde(skip_serializing_if = "crate::laying::is_false")]
    pub trench: bool,
}

impl Clues {
    /// True where nothing tells of it.
    fn is_none(&self) -> bool {
        *self == Self::default()
    }

    /// Words of those there are.
    pub fn words(&self) -> impl Iterator<Item = &'static str> {
        let all = [
            (self.photo, "air photo"),
            (self.outlet, "outlet seen"),
            (self.wet_streak, "wet streak"),
            (self.memory, "memory"),
            (self.probe, "probe"),
            (self.trench, "trench"),
        ];
        all.into_iter().filter_map(|(there, word)| there.then_some(word))
    }
}

/// How far a person trusts what is told of an old line ([judgement]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Confidence {
    /// It may be there.
    Low,
    /// It is probably there.
    Fair,
    /// It is there.
    High,
}

/// What is known of an old line beside its place, size and levels.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct OldTile {
    /// How sure it is.
    pub evidence: Evidence,
    /// What it is made of.
    #[serde(default)]
    pub material: Material,
    /// How well it holds.
    #[serde(default)]
    pub condition: Condition,
    /// The land it drains from above where it is joined, square metres, where estimated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upstream_m2: Option<f64>,
    /// What is done with it, once decided.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decision: Option<Decision>,
    /// Whether it runs, where somebody saw it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub runs: Option<bool>,
    /// True where water reaches it from beyond the boundary.
    #[serde(default, skip_serializing_if = "crate::laying::is_false")]
    pub from_beyond: bool,
    /// What tells of it.
    #[serde(default, skip_serializing_if = "Clues::is_none")]
    pub clues: Clues,
    /// How far to each side of its course it may lie, metres; `None` where nobody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aside_m: Option<f64>,
    /// How far it is trusted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confidence: Option<Confidence>,
}

/// How a line was laid out ([IDH], [OLD1912]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pattern {
    /// Random or targeted: meant to lie in the low ground.
    #[default]
    Targeted,
    /// One of a grid.
    Parallel,
    /// Across the slope above a wet line.
    Interceptor,
}

/// Where a line's water goes at its downstream end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Joins {
    /// Nowhere yet.
    Nothing,
    /// Out into the open.
    Outlet(OutletId),
    /// Into another line.
    Line(LineId),
}

/// An invert fixed by hand. On old tile: a level that was measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pin {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Invert there, metres.
    pub invert_m: f64,
    /// Lay the pipe dead straight from here down to the next locked level below.
    #[serde(default)]
    pub straight: bool,
}

/// A line of pipe. Its points run from the downstream end up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Its name on the plan.
    pub name: String,
    /// What it is for.
    pub kind: LineKind,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Who chose that size.
    #[serde(default)]
    pub size_by: SizeBy,
    /// Its wall.
    #[serde(default)]
    pub wall: Wall,
    /// Manning roughness, where it is not that of the wall and size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roughness_n: Option<f64>,
    /// The land it drains by itself.
    #[serde(default)]
    pub served: Served,
    /// Inflow from a seep or spring, m³/s.
    #[serde(default, skip_serializing_if = "is_none")]
    pub seepage_m3s: f64,
    /// How far above its main's centre its downstream end lies, metres, where that is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_m: Option<f64>,
    /// Parts held to a grade or a depth.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reaches: Vec<Reach>,
    /// Things in the ground that it clears.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub passes: Vec<Pass>,
    /// Inlets, breathers, relief wells and silt traps on it, by rising station.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub structures: Vec<Structure>,
    /// Parts with pipe of their own, by rising station, none over another.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stretches: Vec<Stretch>,
    /// What it is laid in and with.
    #[serde(default)]
    pub bed: Bed,
    /// Stakes beside it whose levels were read, by rising station.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hubs: Vec<Hub>,
    /// Bends and ends, downstream end first, metres; at least two.
    pub points: Vec<Point>,
    /// Where the downstream end leads.
    pub joins: Joins,
    /// Inverts fixed by hand, by rising station.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pins: Vec<Pin>,
    /// True while the upper end has its cap.
    #[serde(default = "yes")]
    pub capped: bool,
    /// How it was laid out.
    #[serde(default)]
    pub pattern: Pattern,
    /// Lines it passes over or under without a joint, by the person's word.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crosses_apart: Vec<LineId>,
}

fn yes() -> bool {
    true
}

fn is_none(flow_m3s: &f64) -> bool {
    *flow_m3s == 0.0
}

impl Line {
    /// A line that joins nothing yet, of the size its kind starts with in a job begun in feet.
    pub fn new(name: &str, kind: LineKind, points: Vec<Point>) -> Self {
        Self {
            name: name.into(),
            kind,
            size_m: FEET_STARTS.size_m(kind),
            size_by: SizeBy::Hand,
            wall: Wall::default(),
            roughness_n: None,
            served: Served::default(),
            seepage_m3s: 0.0,
            drop_m: None,
            reaches: Vec::new(),
            passes: Vec::new(),
            structures: Vec::new(),
            stretches: Vec::new(),
            bed: Bed::default(),
            hubs: Vec::new(),
            points,
            joins: Joins::Nothing,
            pins: Vec::new(),
            capped: true,
            pattern: Pattern::default(),
            crosses_apart: Vec::new(),
        }
    }

    /// The line its water comes into: the one it joins, but for old tile that is plugged, crossed and kept apart, or led
    /// round. Old tile that is not decided on counts as joined.
    pub fn flows_into(&self) -> Option<LineId> {
        match (self.kind, self.joins) {
            (LineKind::OldTile(old), _) if old.decision.is_some_and(|decision| !decision.brings_water()) => None,
            (_, Joins::Line(next)) => Some(next),
            _ => None,
        }
    }

    /// The land it drains by itself: an interceptor none, unless a width or an area was typed; its water is the seepage.
    pub fn own_land(&self) -> Served {
        match (self.pattern, self.served) {
            (Pattern::Interceptor, Served::Strip | Served::Catchment) => Served::Carrier,
            (_, served) => served,
        }
    }

    /// Length on the plan, metres.
    pub fn length_m(&self) -> f64 {
        path_length(&self.points)
    }

    /// The line with one more structure on it.
    pub fn with_structure(&self, structure: Structure) -> Self {
        let mut line = self.clone();
        line.structures.push(structure);
        line.structures.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
        line
    }

    /// The line with a stretch laid over what was there: of what it covers only the ends outside it stay.
    pub fn with_stretch(&self, stretch: Stretch) -> Self {
        let mut line = self.clone();
        let before = std::mem::take(&mut line.stretches);
        let outside = |old: Stretch| {
            let below = Stretch { to_m: old.to_m.min(stretch.from_m), ..old };
            let above = Stretch { from_m: old.from_m.max(stretch.to_m), ..old };
            [below, above].into_iter().filter(|left| left.to_m - left.from_m > 1e-3)
        };
        line.stretches.extend(before.into_iter().flat_map(outside));
        if stretch.asks() {
            line.stretches.push(stretch);
        }
        line.stretches.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        line
    }

    /// The line with a stretch laid so that nothing asked of what it covers is lost: heavy stays heavy, plugged plugged.
    pub fn with_stretch_added(&self, stretch: Stretch) -> Self {
        self.stretches.iter().fold(self.with_stretch(stretch), |line, old| {
            let (from_m, to_m) = (old.from_m.max(stretch.from_m), old.to_m.min(stretch.to_m));
            if to_m - from_m <= 1e-3 {
                return line;
            }
            line.with_stretch(stretch.over(*old, from_m, to_m))
        })
    }

    /// Moves everything that stands at a station of the line; what then stands in one place with its neighbour is
    /// dropped.
    pub(crate) fn map_stations(&mut self, map: impl Fn(f64) -> f64) {
        self.pins.iter_mut().for_each(|pin| pin.station_m = map(pin.station_m));
        self.pins.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
        // Two levels within an inch are one, as where they are typed.
        self.pins.dedup_by(|above, below| above.station_m <= below.station_m + INCH_M);
        for reach in &mut self.reaches {
            let (one_m, other_m) = (map(reach.from_m), map(reach.to_m));
            (reach.from_m, reach.to_m) = (one_m.min(other_m), one_m.max(other_m));
        }
        self.reaches.retain(|reach| reach.to_m > reach.from_m);
        self.reaches.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        for stretch in &mut self.stretches {
            let (one_m, other_m) = (map(stretch.from_m), map(stretch.to_m));
            (stretch.from_m, stretch.to_m) = (one_m.min(other_m), one_m.max(other_m));
        }
        self.stretches.retain(|stretch| stretch.to_m > stretch.from_m);
        self.stretches.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        self.hubs.iter_mut().for_each(|hub| hub.station_m = map(hub.station_m));
        self.hubs.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
        self.passes.iter_mut().for_each(|pass| pass.station_m = map(pass.station_m));
        self.passes.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
        self.structures.iter_mut().for_each(|structure| structure.station_m = map(structure.station_m));
        self.structures.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    }

    /// The downstream end; `None` only for a line without points, which no plan holds.
    pub fn downstream_end(&self) -> Option<Point> {
        self.points.first().copied()
    }

    /// The upper end; `None` only for a line without points, which no plan holds.
    pub fn upper_end(&self) -> Option<Point> {
        self.points.last().copied()
    }
}
