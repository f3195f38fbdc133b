//! Marks on the land: what lies on or under it that a drain must heed. Each kind has its own few fields.

use measure::{Point, Units, path_length};
use serde::{Deserialize, Serialize};

use crate::{FEET_STARTS, Texture};

/// Id of a mark on the land; stable for the life of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct LandmarkId(pub u32);

/// The ground a mark takes up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outline {
    /// A single place.
    At(Point),
    /// A course; at least two points.
    Along(Vec<Point>),
    /// An area; at least three corners, the first not repeated.
    Around(Vec<Point>),
}

impl Outline {
    /// Its points in order.
    pub fn points(&self) -> &[Point] {
        match self {
            Self::At(at) => std::slice::from_ref(at),
            Self::Along(points) | Self::Around(points) => points,
        }
    }

    /// Its points as a path; an area comes back to its first corner.
    pub fn path(&self) -> Vec<Point> {
        let mut path = self.points().to_vec();
        if matches!(self, Self::Around(_)) {
            path.extend(self.points().first().copied());
        }
        path
    }

    /// A place by which it is named on a map: the place itself, half-way along, or the mean of the corners.
    pub fn middle(&self) -> Point {
        match self {
            Self::At(at) => *at,
            Self::Along(points) => {
                measure::point_at(points, path_length(points) / 2.0).unwrap_or(Point::new(0.0, 0.0))
            }
            Self::Around(points) => middle_of(points),
        }
    }
}

/// The mean of corners.
pub(crate) fn middle_of(points: &[Point]) -> Point {
    let count = points.len().max(1) as f64;
    Point::new(points.iter().map(|p| p.x).sum::<f64>() / count, points.iter().map(|p| p.y).sum::<f64>() / count)
}

/// What runs in a buried utility.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Carries {
    /// Gas.
    Gas,
    /// Oil or fuel.
    Oil,
    /// Electric power.
    Power,
    /// Telephone, cable, fibre.
    Telecom,
    /// Drinking water.
    Water,
    /// Sewage or storm water.
    Sewer,
    /// Water that is not drunk: reclaimed, irrigation.
    Reclaimed,
    /// Not known.
    #[default]
    Unknown,
}

impl Carries {
    /// Every kind with its word.
    pub const ALL: [(Self, &'static str); 8] = [
        (Self::Gas, "gas line"),
        (Self::Oil, "oil line"),
        (Self::Power, "power cable"),
        (Self::Telecom, "telephone or fiber"),
        (Self::Water, "water line"),
        (Self::Sewer, "sewer"),
        (Self::Reclaimed, "irrigation or reclaimed water"),
        (Self::Unknown, "buried utility"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }

    /// What a word in small letters names: "gas main", "telephone cable".
    pub fn named(text: &str) -> Self {
        // By the beginnings of whole words, so that a soil pipe is no oil line; a telephone cable is no power cable, nor is
        // waste water drunk.
        let has = |starts: &[&str]| {
            text.split(|c: char| !c.is_alphanumeric()).any(|word| starts.iter().any(|start| word.starts_with(start)))
        };
        match () {
            () if has(&["gas"]) => Self::Gas,
            () if has(&["oil", "fuel"]) => Self::Oil,
            () if has(&["tele", "fibre", "fiber", "phone"]) => Self::Telecom,
            () if has(&["power", "electric", "cable"]) => Self::Power,
            () if has(&["sewer", "sewage", "waste", "soil", "storm"]) => Self::Sewer,
            () if has(&["reclaimed", "recycled", "irrigation", "slurry"]) => Self::Reclaimed,
            () if has(&["water"]) => Self::Water,
            () => Self::Unknown,
        }
    }
}

/// A buried utility.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Utility {
    /// What it carries.
    pub carries: Carries,
    /// Depth of its top below ground, metres, where exposed or told.
    pub depth_m: Option<f64>,
    /// Its outside diameter, metres.
    pub size_m: Option<f64>,
    /// Clear distance its owner asks for, metres.
    pub clear_m: Option<f64>,
    /// Number of the locate ticket.
    pub ticket: String,
    /// Last day on which the ticket holds, `YYYY-MM-DD`.
    pub valid_until: Option<String>,
    /// Where it was found when it was dug free by hand; holds at every crossing of the mark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exposed: Option<Exposed>,
}

/// The levels of a utility that was dug free by hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Exposed {
    /// Who saw it.
    pub by: String,
    /// On what day, `YYYY-MM-DD`.
    pub on: String,
    /// Level of its top, metres.
    pub top_m: f64,
    /// Level of its underside, metres.
    pub bottom_m: f64,
}

impl Exposed {
    /// "top at 98.40, underside at 98.05, exposed by hand".
    pub fn words(&self, units: Units) -> String {
        let [top, bottom] = [self.top_m, self.bottom_m].map(|level_m| units.level(level_m));
        format!("top at {top}, underside at {bottom}, exposed by hand")
    }
}

/// Rows of vines or trees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Rows {
    /// Direction of the rows, degrees from north.
    pub bearing_deg: f64,
    /// From row to row, metres. The first row passes through the first corner of the block.
    pub spacing_m: f64,
    /// How deep posts stand, metres.
    pub post_depth_m: Option<f64>,
    /// How deep anchors reach, metres.
    pub anchor_depth_m: Option<f64>,
}

impl Default for Rows {
    fn default() -> Self {
        Self { bearing_deg: 0.0, spacing_m: FEET_STARTS.row_spacing_m, post_depth_m: None, anchor_depth_m: None }
    }
}

/// A row of a block, from edge to edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Its number, counted from 1 across the block to the right of the rows' direction.
    pub number: u32,
    /// Where it begins.
    pub from: Point,
    /// Where it ends, in the rows' direction.
    pub to: Point,
}

/// Rows that are looked at of one block (a square kilometre of narrow rows has some 700).
const MOST_ROWS: i64 = 5_000;

impl Rows {
    /// The rows of a block: each from edge to edge, in pieces where the ring leaves it and comes back.
    pub fn rows(&self, ring: &[Point]) -> Vec<Row> {
        let Some(first) = ring.first() else { return Vec::new() };
        let (sin, cos) = self.bearing_deg.to_radians().sin_cos();
        // Along the rows and to the right of them, counted from the first corner.
        let turned = |p: &Point| {
            let (dx, dy) = (p.x - first.x, p.y - first.y);
            (dx * sin + dy * cos, dx * cos - dy * sin)
        };
        let back = |u: f64, v: f64| Point::new(first.x + u * sin + v * cos, first.y + u * cos - v * sin);
        let corners: Vec<(f64, f64)> = ring.iter().map(turned).collect();
        let (low, high) = corners.iter().fold((0.0f64, 0.0f64), |(low, high), (_, v)| (low.min(*v), high.max(*v)));
        let (from, to) = ((low / self.spacing_m).ceil() as i64, (high / self.spacing_m).floor() as i64);
        let mut found = Vec::new();
        for (number, k) in (1..).zip(from..=to.min(from + MOST_ROWS)) {
            let v = k as f64 * self.spacing_m;
            // A row on the outermost edge is cut just inside it, where the ring has two sides.
            let cut_v = v.clamp(low + 1e-6, high - 1e-6);
            let next = corners.iter().cycle().skip(1);
            let mut ends: Vec<f64> = (corners.iter().zip(next))
                .filter(|(a, b)| (a.1 > cut_v) != (b.1 > cut_v))
                .map(|(a, b)| a.0 + (cut_v - a.1) / (b.1 - a.1) * (b.0 - a.0))
                .collect();
            ends.sort_by(f64::total_cmp);
            let row = |pair: &[f64]| Row { number, from: back(pair[0], v), to: back(pair[1], v) };
            found.extend(ends.chunks_exact(2).map(row));
        }
        found
    }
}

/// A layer seen in a pit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SoilLayer {
    /// Depth of its underside, metres.
    pub to_m: f64,
    /// Its texture.
    pub texture: Texture,
    /// Share of sand, 0 to 1, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sand: Option<f64>,
    /// Share of clay, 0 to 1, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clay: Option<f64>,
    /// Share of organic matter, 0 to 1, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub organic: Option<f64>,
    /// Share of the volume that drains, 0 to 1, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub porosity: Option<f64>,
    /// Saturated conductivity, m/s, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conductivity_ms: Option<f64>,
}

impl SoilLayer {
    /// A layer of which the texture is known and nothing was measured.
    pub const fn of(to_m: f64, texture: Texture) -> Self {
        Self { to_m, texture, sand: None, clay: None, organic: None, porosity: None, conductivity_ms: None }
    }

    /// Share of clay: as measured, or the middle of its texture.
    pub fn clay(&self) -> f64 {
        self.clay.unwrap_or(self.texture.clay())
    }
}

/// What a soil pit showed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Pit {
    /// Its layers from the surface down.
    pub layers: Vec<SoilLayer>,
    /// Depth of the shallowest mottles or grey colours, metres.
    pub mottles_m: Option<f64>,
    /// Depth of the top of the tight layer, metres.
    pub tight_m: Option<f64>,
    /// True where rust-red slime or iron seep was seen.
    pub iron: bool,
    /// Acidity.
    pub ph: Option<f64>,
}

impl Pit {
    /// The layer at a depth, the lowest one below all.
    pub fn layer_at(&self, depth_m: f64) -> Option<&SoilLayer> {
        self.layers.iter().find(|layer| depth_m <= layer.to_m).or(self.layers.last())
    }
}

/// Why a place is wet ([FAS], [AHDB-new]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// Rain held on tight soil.
    Perched,
    /// A high water table.
    WaterTable,
    /// Water that comes sideways over a tight layer.
    SideFlow,
    /// A spring.
    Spring,
    /// Water that runs on from uphill.
    RunOn,
    /// Backwater from the outlet.
    Backwater,
    /// An old broken tile.
    BrokenTile,
    /// Asked, not known.
    Unknown,
}

impl Cause {
    /// Every cause with its word.
    pub const ALL: [(Self, &'static str); 8] = [
        (Self::Perched, "rain held on tight soil"),
        (Self::WaterTable, "high water table"),
        (Self::SideFlow, "side-flow over a tight layer"),
        (Self::Spring, "spring"),
        (Self::RunOn, "run-on from uphill"),
        (Self::Backwater, "backwater from the outlet"),
        (Self::BrokenTile, "old broken tile"),
        (Self::Unknown, "unknown"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(cause, _)| *cause == self).map_or("", |(_, word)| word)
    }
}

/// What a mark stands for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LandmarkKind {
    /// A buried utility.
    Utility(Utility),
    /// A power line overhead.
    OverheadLine {
        /// Its voltage, kilovolts, where known.
        #[serde(default)]
        kilovolts: Option<f64>,
    },
    /// Land on which somebody else has a right.
    Easement {
        /// Who has it.
        #[serde(default)]
        holder: String,
    },
    /// A wetland.
    Wetland {
        /// How far perforated pipe must stay away, metres, as determined.
        #[serde(default)]
        setback_m: Option<f64>,
        /// The day of the determination, `YYYY-MM-DD`.
        #[serde(default)]
        determined: Option<String>,
    },
    /// A well.
    Well {
        /// Distance to keep by local rule, metres.
        #[serde(default)]
        keep_off_m: Option<f64>,
    },
    /// A septic tank or field.
    Septic {
        /// Distance to keep by local rule, metres.
        #[serde(default)]
        keep_off_m: Option<f64>,
    },
    /// A tree, a row or a group of them.
    Trees {
        /// Their species.
        #[serde(default)]
        species: String,
        /// True for kinds that seek water: willow, poplar, cottonwood, elm, soft maple ([TREES]).
        #[serde(default)]
        thirsty: bool,
    },
    /// A hedge or windbreak.
    Hedge,
    /// A road, lane, track or loading place.
    Road {
        /// Its width, metres.
        width_m: f64,
        /// True for a public road.
        #[serde(default)]
        public: bool,
        /// True once the road authority has agreed.
        #[serde(default)]
        permission: bool,
    },
    /// An irrigation main.
    Irrigation {
        /// Depth of its top below ground, metres.
        #[serde(default)]
        depth_m: Option<f64>,
        /// Its outside diameter, metres.
        #[serde(default)]
        size_m: Option<f64>,
    },
    /// Rows of vines or trees to come.
    Rows(Rows),
    /// A soil pit.
    Pit(Pit),
    /// A wet area.
    WetArea {
        /// Why it is wet; `None` until somebody asked.
        #[serde(default)]
        cause: Option<Cause>,
        /// True where it is left as it is.
        #[serde(default)]
        leave: bool,
    },
    /// A spring.
    Spring,
    /// A dam, levee, dike or pond bank.
    Bank,
    /// A footing or wall.
    Footing {
        /// Depth of its underside, metres.
        depth_m: f64,
    },
    /// A store of manure, chemicals or fuel, or a barnyard.
    Store,
    /// A part of the boundary with another's land beyond it.
    Neighbour {
        /// True once the neighbour has agreed.
        #[serde(default)]
        agreed: bool,
    },
    /// Archaeology, contaminated land or a slope that may slip.
    SiteFlag {
        /// What the authority or engineer said.
        #[serde(default)]
        decision: String,
    },
}

impl LandmarkKind {
    /// A buried utility.
    pub const fn utility(&self) -> Option<&Utility> {
        if let Self::Utility(utility) = self { Some(utility) } else { None }
    }

    /// Rows of vines or trees.
    pub const fn rows(&self) -> Option<&Rows> {
        if let Self::Rows(rows) = self { Some(rows) } else { None }
    }

    /// A soil pit.
    pub const fn pit(&self) -> Option<&Pit> {
        if let Self::Pit(pit) = self { Some(pit) } else { None }
    }

    /// The levels of a utility that was dug free by hand.
    pub fn exposed(&self) -> Option<&Exposed> {
        self.utility()?.exposed.as_ref()
    }
}

/// A mark on the land.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Landmark {
    /// Its name on the plan.
    pub name: String,
    /// What it stands for.
    pub kind: LandmarkKind,
    /// The ground it takes up.
    pub outline: Outline,
    /// Whatever else should be known: an owner, a telephone number, a date.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Landmark {
    /// What it is with its name, for a sentence: "willow T1".
    pub fn called(&self) -> String {
        match self.name.is_empty() {
            true => self.word(),
            false => format!("{} {}", self.word(), self.name),
        }
    }

    /// What it is, for a sentence: the kind of a utility, the species of a tree, else the word of its kind.
    pub fn word(&self) -> String {
        match &self.kind {
            LandmarkKind::Utility(utility) => utility.carries.word().into(),
            LandmarkKind::Trees { species, .. } if !species.is_empty() => species.clone(),
            kind => kind.word().into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::FOOT_M;

    /// A block of 95 by 40 ft with rows 9 ft apart that run north: rows at 0, 9 … 90 ft, the first on the edge.
    #[test]
    fn rows_from_edge_to_edge() {
        let ring = [(0.0, 0.0), (0.0, 40.0), (95.0, 40.0), (95.0, 0.0)];
        let ring = ring.map(|(x, y)| Point::new(x * FOOT_M, y * FOOT_M));
        let found = Rows::default().rows(&ring);
        let across: Vec<f64> = found.iter().map(|row| (row.from.x / FOOT_M).round()).collect();
        assert_eq!(across, [0.0, 9.0, 18.0, 27.0, 36.0, 45.0, 54.0, 63.0, 72.0, 81.0, 90.0]);
        assert!(found.iter().all(|row| (measure::distance(row.from, row.to) / FOOT_M - 40.0).abs() < 1e-6));
    }
}
