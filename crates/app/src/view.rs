//! The view: what a person looks at and has in hand. Nothing here is saved with the plan.

use drawing::Chosen;
use measure::Point;
use plan::{LandmarkId, LineId, OutletId, WatercourseId};
use sheets::Paper;

use crate::canvas::Camera;
use crate::theme::{DARK, LIGHT, Palette};
use crate::tools::DrawnAs;

/// The stages of the job, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Stage {
    /// Bring the land in and look at it.
    Ground,
    /// Outlet, main, laterals, old tile.
    #[default]
    Lines,
    /// Levels and limits.
    Grade,
    /// Quantities.
    Dig,
}

impl Stage {
    /// All stages.
    pub const ALL: [Stage; 4] = [Stage::Ground, Stage::Lines, Stage::Grade, Stage::Dig];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ground => "Ground",
            Self::Lines => "Lines",
            Self::Grade => "Grade",
            Self::Dig => "Dig",
        }
    }

    /// What is done there, for a tooltip.
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::Ground => "Bring the land in and see where water gathers",
            Self::Lines => "Draw boundary, outlet, main, laterals and old tile",
            Self::Grade => "Set levels and the job's limits",
            Self::Dig => "Count, price, print and hand over",
        }
    }
}

/// What is chosen on the map.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Selection {
    /// Nothing.
    #[default]
    Nothing,
    /// The field's boundary.
    Field,
    /// An outlet.
    Outlet(OutletId),
    /// A line.
    Line(LineId),
    /// One point of a line.
    Bend(LineId, usize),
    /// A ditch or culvert.
    Watercourse(WatercourseId),
    /// A mark on the land.
    Landmark(LandmarkId),
    /// Every line.
    AllLines,
}

impl Selection {
    /// What stands out on the map.
    pub const fn chosen(self) -> Chosen {
        match self {
            Self::Nothing => Chosen::Nothing,
            Self::Field => Chosen::Field,
            Self::Outlet(id) => Chosen::Outlet(id),
            Self::Line(id) | Self::Bend(id, _) => Chosen::Line(id),
            Self::Watercourse(id) => Chosen::Watercourse(id),
            Self::Landmark(id) => Chosen::Landmark(id),
            Self::AllLines => Chosen::AllLines,
        }
    }

    /// The line that is chosen, or whose bend is.
    pub const fn line(self) -> Option<LineId> {
        match self {
            Self::Line(id) | Self::Bend(id, _) => Some(id),
            _ => None,
        }
    }
}

/// What the ground is tinted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tint {
    /// Nothing but its shade.
    #[default]
    Nothing,
    /// How steep it is.
    Slope,
    /// How deep water would stand in closed depressions.
    Depth,
}

impl Tint {
    /// All tints and their words.
    pub const ALL: [(Tint, &'static str); 3] =
        [(Self::Nothing, "shade alone"), (Self::Slope, "slope"), (Self::Depth, "depth of depressions")];
}

/// What is drawn on the map.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layers {
    /// Shaded relief.
    pub relief: bool,
    /// What the ground is tinted by.
    pub tint: Tint,
    /// Contours.
    pub contours: bool,
    /// Swales and depressions.
    pub water: bool,
    /// Names, sizes and grades of lines.
    pub labels: bool,
}

impl Default for Layers {
    fn default() -> Self {
        Self { relief: true, tint: Tint::Nothing, contours: true, water: true, labels: true }
    }
}

/// All of it.
#[derive(Debug, Clone)]
pub struct View {
    /// The stage of the job.
    pub stage: Stage,
    /// Where the map looks.
    pub camera: Camera,
    /// True until the map has been fitted to what there is.
    pub fit: bool,
    /// What is drawn.
    pub layers: Layers,
    /// What is chosen.
    pub selection: Selection,
    /// The finding looked at: its check and its place.
    pub finding: Option<(u16, Point)>,
    /// Where the pointer is on the map.
    pub pointer: Option<Point>,
    /// The line whose ground is looked at; empty for none.
    pub section: Vec<Point>,
    /// The place from which a drop is followed.
    pub drop: Option<Point>,
    /// Station pointed at in the profile, metres.
    pub station_m: Option<f64>,
    /// Kind of mark that is drawn next, by its number among all kinds, and what it is drawn as.
    pub marking: (usize, DrawnAs),
    /// Paper of the sheets, once it was looked at.
    pub paper: Option<Paper>,
    /// True where sheets are to leave though findings are to be fixed.
    pub all_the_same: bool,
    /// Name under which the layout would be put aside.
    pub layout_name: String,
    /// The finding that is being left, by its check and place.
    pub leaving: Option<(u16, Point)>,
    /// Dark theme.
    pub dark: bool,
}

impl Default for View {
    fn default() -> Self {
        Self {
            stage: Stage::default(),
            camera: Camera::default(),
            fit: true,
            layers: Layers::default(),
            selection: Selection::Nothing,
            finding: None,
            pointer: None,
            section: Vec::new(),
            drop: None,
            station_m: None,
            marking: (0, DrawnAs::Course),
            paper: None,
            all_the_same: false,
            layout_name: String::new(),
            leaving: None,
            dark: false,
        }
    }
}

impl View {
    /// The colours in use.
    pub fn palette(&self) -> &'static Palette {
        if self.dark { &DARK } else { &LIGHT }
    }
}
