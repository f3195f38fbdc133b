//! Tools: small state machines. A touch goes in; a preview and wishes come out. None changes the plan.

mod boundary;
mod flow_path;
mod found;
mod guess;
mod likely;
mod line;
mod mark;
mod measuring;
mod outlet;
mod parallel;
mod section;
mod select;
mod trace;
mod watercourse;
mod wet_spot;

use measure::Point;
use plan::WatercourseKind;

pub use boundary::Boundary;
pub use flow_path::FlowPath;
pub use found::FoundHere;
pub use guess::DrawGuess;
pub use likely::LikelyFrom;
pub use line::DrawLine;
pub use mark::DrawMark;
pub use measuring::{Leg, Measure, Measured};
pub use outlet::PlaceOutlet;
pub use parallel::LayParallel;
pub use section::Section;
pub use select::{Select, move_bend, move_corner, move_turn};
pub use trace::{Trace, Traced};
pub use watercourse::DrawWatercourse;
pub use wet_spot::AskWetSpot;

use crate::canvas::{Snap, SnapIndex, SnapKind};
use crate::command::ToolKind;
use crate::view::{DrawnAs, View};
use crate::wish::Wish;
use job::Session;

/// Reach of a snap or a pick, screen points.
pub const REACH: f32 = 11.0;

/// What the pointer or a key did on the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Touch {
    /// The pointer moved.
    Move(Point),
    /// The button went down and began to drag there.
    Press(Point),
    /// The pointer moved with the button down.
    Drag(Point),
    /// The button came up after a drag.
    Release(Point),
    /// A click.
    Click(Point),
    /// A place was typed: it is meant to the last digit.
    At(Point),
    /// The second click of a double click.
    DoubleClick,
    /// Enter.
    Enter,
    /// Escape.
    Escape,
    /// Backspace.
    Backspace,
}

/// What a tool sees.
pub struct Hand<'a> {
    /// The plan and what follows from it.
    pub session: &'a Session,
    /// What is chosen.
    pub view: &'a View,
    /// What can be met.
    pub snaps: &'a SnapIndex,
    /// Reach of a snap, metres.
    pub reach_m: f64,
    /// False while the modifier key turns snapping off.
    pub snapping: bool,
    /// True while what is clicked joins what is chosen.
    pub adding: bool,
}

impl<'a> Hand<'a> {
    /// A hand on what is seen.
    pub fn on(session: &'a Session, view: &'a View, snaps: &'a SnapIndex, keys: egui::Modifiers) -> Self {
        let (snapping, adding) = (!keys.alt, keys.command || keys.shift);
        Self { session, view, snaps, reach_m: REACH as f64 / view.camera.scale, snapping, adding }
    }

    /// The place meant by a pointer at `at`.
    pub fn snap(&self, at: Point, wanted: impl Fn(SnapKind) -> bool) -> Snap {
        if self.snapping { self.snaps.snap(at, self.reach_m, wanted) } else { Snap::free(at) }
    }
}

/// What a tool shows of work in hand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sketch {
    /// Points so far and the one under the pointer.
    pub path: Vec<Point>,
    /// True for a boundary: the path closes.
    pub closed: bool,
    /// The place that a click would take.
    pub snap: Option<Snap>,
}

/// The tool in hand.
#[derive(Debug, Clone, PartialEq)]
pub enum Tool {
    /// Choose and move.
    Select(Select),
    /// Draw the boundary.
    Boundary(Boundary),
    /// Place an outlet.
    Outlet(PlaceOutlet),
    /// Draw a line.
    Line(DrawLine),
    /// Lay parallel laterals.
    Parallel(LayParallel),
    /// Draw a ditch or culvert.
    Watercourse(DrawWatercourse),
    /// Mark something on the land.
    Mark(DrawMark),
    /// Look at the ground along a line.
    Section(Section),
    /// Measure along clicked places.
    Measure(Measure),
    /// Draw a flow path.
    FlowPath(FlowPath),
    /// Enter old tile that was found.
    Found(FoundHere),
    /// Propose the course of old tile.
    Likely(LikelyFrom),
    /// Ask of a wet spot.
    WetSpot(AskWetSpot),
    /// Draw where water is thought to gather.
    Guess(DrawGuess),
}

impl Default for Tool {
    fn default() -> Self {
        Self::Select(Select::default())
    }
}

impl Tool {
    /// A tool of a kind, nothing drawn with it yet.
    pub fn of(kind: ToolKind) -> Self {
        match kind {
            ToolKind::Select => Self::default(),
            ToolKind::Boundary => Self::Boundary(Boundary::default()),
            ToolKind::Outlet => Self::Outlet(PlaceOutlet::default()),
            ToolKind::Line(kind) => Self::Line(DrawLine::new(kind)),
            ToolKind::Parallel => Self::Parallel(LayParallel::default()),
            ToolKind::Watercourse(kind) => Self::Watercourse(DrawWatercourse::new(kind)),
            ToolKind::Mark(kind, drawn_as) => Self::Mark(DrawMark::new(kind, drawn_as)),
            ToolKind::Section => Self::Section(Section::default()),
            ToolKind::Measure => Self::Measure(Measure::default()),
            ToolKind::FlowPath => Self::FlowPath(FlowPath),
            ToolKind::Found => Self::Found(FoundHere),
            ToolKind::Likely => Self::Likely(LikelyFrom),
            ToolKind::WetSpot => Self::WetSpot(AskWetSpot),
            ToolKind::Guess => Self::Guess(DrawGuess::default()),
        }
    }

    /// What kind of tool it is.
    pub fn kind(&self) -> ToolKind {
        match self {
            Self::Select(_) => ToolKind::Select,
            Self::Boundary(_) => ToolKind::Boundary,
            Self::Outlet(_) => ToolKind::Outlet,
            Self::Line(tool) => ToolKind::Line(tool.kind),
            Self::Parallel(_) => ToolKind::Parallel,
            Self::Watercourse(tool) => ToolKind::Watercourse(tool.kind),
            Self::Mark(tool) => ToolKind::Mark(tool.kind.clone(), tool.drawn_as),
            Self::Section(_) => ToolKind::Section,
            Self::Measure(_) => ToolKind::Measure,
            Self::FlowPath(_) => ToolKind::FlowPath,
            Self::Found(_) => ToolKind::Found,
            Self::Likely(_) => ToolKind::Likely,
            Self::WetSpot(_) => ToolKind::WetSpot,
            Self::Guess(_) => ToolKind::Guess,
        }
    }

    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match self {
            Self::Select(tool) => tool.touch(touch, hand),
            Self::Boundary(tool) => tool.touch(touch, hand),
            Self::Outlet(tool) => tool.touch(touch, hand),
            Self::Line(tool) => tool.touch(touch, hand),
            Self::Parallel(tool) => tool.touch(touch, hand),
            Self::Watercourse(tool) => tool.touch(touch, hand),
            Self::Mark(tool) => tool.touch(touch, hand),
            Self::Section(tool) => tool.touch(touch, hand),
            Self::Measure(tool) => tool.touch(touch, hand),
            Self::FlowPath(tool) => tool.touch(touch, hand),
            Self::Found(tool) => tool.touch(touch, hand),
            Self::Likely(tool) => tool.touch(touch, hand),
            Self::WetSpot(tool) => tool.touch(touch, hand),
            Self::Guess(tool) => tool.touch(touch, hand),
        }
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        match self {
            Self::Select(tool) => tool.sketch(),
            Self::Boundary(tool) => tool.sketch(),
            Self::Outlet(tool) => tool.sketch(),
            Self::Line(tool) => tool.sketch(),
            Self::Parallel(tool) => tool.sketch(),
            Self::Watercourse(tool) => tool.sketch(),
            Self::Mark(tool) => tool.sketch(),
            Self::Section(tool) => tool.sketch(),
            Self::Measure(tool) => tool.sketch(),
            Self::FlowPath(tool) => tool.sketch(),
            Self::Found(tool) => tool.sketch(),
            Self::Likely(tool) => tool.sketch(),
            Self::WetSpot(tool) => tool.sketch(),
            Self::Guess(tool) => tool.sketch(),
        }
    }

    /// The points drawn so far, without the one under the pointer.
    pub fn points(&self) -> &[Point] {
        match self {
            Self::Boundary(tool) => tool.points(),
            Self::Line(tool) => tool.points(),
            Self::Watercourse(tool) => tool.points(),
            Self::Mark(tool) => tool.points(),
            Self::Section(tool) => tool.points(),
            _ => &[],
        }
    }

    /// True where it draws by places, which may be typed.
    pub fn takes_places(&self) -> bool {
        matches!(
            self,
            Self::Boundary(_)
                | Self::Outlet(_)
                | Self::Line(_)
                | Self::Watercourse(_)
                | Self::Mark(_)
                | Self::Section(_)
        )
    }

    /// True where a drag is the tool's and does not move the map.
    pub fn takes_drags(&self, view: &View) -> bool {
        match self {
            Self::Select(_) | Self::Guess(_) => true,
            Self::Parallel(_) => view.grid.is_some(),
            _ => false,
        }
    }

    /// What to do next, in one sentence.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Select(_) => {
                "Click to choose, with Shift several, or drag a box. Drag a bend to move it; the right button shows what else."
            }
            Self::Boundary(_) => "Click the corners of the field. Enter or double-click closes it, Escape leaves.",
            Self::Outlet(_) => "Click where the pipe comes out: at the ditch or creek bank.",
            Self::Line(_) => {
                "Click from the outlet or joint upward; between two clicks on a swale the line follows it. Enter or \
                 double-click ends, Backspace takes a point back, Alt turns snapping off."
            }
            Self::Parallel(_) => {
                "Click the main. Drag from the main to turn the laterals, drag beside it to space them; Enter lays them, \
                 Escape leaves, Alt turns snapping to rows off."
            }
            Self::Watercourse(tool) => match tool.kind {
                WatercourseKind::Ditch => {
                    "Click along a ditch too narrow for the ground file; water that reaches it runs along it. Enter or \
                     double-click ends."
                }
                WatercourseKind::Culvert => {
                    "Click one end of the culvert and the other, under the bank that holds water back. Enter or \
                     double-click ends."
                }
            },
            Self::Mark(tool) => match tool.drawn_as {
                DrawnAs::Place => "Click where it is. Escape leaves.",
                DrawnAs::Course => "Click along it. Enter or double-click ends, Backspace takes a point back.",
                DrawnAs::Area => "Click its corners. Enter or double-click closes it, Backspace takes a corner back.",
            },
            Self::Section(_) => {
                "Click along a line to see the ground under it in the profile. Enter or double-click ends, Escape leaves."
            }
            Self::Measure(_) => {
                "Click from place to place; a click on the first one closes the area. Enter ends, Backspace takes a place \
                 back, Escape leaves."
            }
            Self::Likely(_) => "Click where an old line shows itself: its likely course is shown before it is drawn.",
            Self::Found(_) => "Click on the planned line where its trench met old tile. Escape leaves.",
            Self::FlowPath(_) => {
                "Click where rain falls: its way down and the land that sheds water to it are drawn."
            }
            Self::Guess(_) => "Pull along the ground where you think water gathers. Backspace takes a stroke back.",
            Self::WetSpot(_) => {
                "Click where it is wet: the lines that may be to blame are told, and where to dig first."
            }
        }
    }
}
