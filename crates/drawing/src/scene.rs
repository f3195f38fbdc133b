//! A scene: things with their roles, in the order in which they lie on each other.

use std::borrow::Cow;

use measure::Point;
use terrain::Grid;

use crate::role::Role;

/// What is drawn, from the ground up.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scene<'a> {
    /// Seconds since the beginning, where the scene is one moment of something that moves; `None` where nothing moves.
    pub time_s: Option<f64>,
    /// The things in it.
    pub items: Vec<Item<'a>>,
}

/// A thing in a scene.
#[derive(Debug, Clone, PartialEq)]
pub struct Item<'a> {
    /// What it stands for.
    pub role: Role,
    /// Where it is and how far it goes.
    pub form: Form<'a>,
    /// What is written at it; empty for nothing.
    pub says: String,
    /// Whether it stands out.
    pub emphasis: Emphasis,
}

/// Whether a thing stands out from others of its role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Emphasis {
    /// As all others.
    #[default]
    Plain,
    /// It is selected.
    Chosen,
    /// It is pointed at, or looked at.
    LookedAt,
}

/// The form of a thing. Places are those of the plan, metres; in a profile x is the station and y the level, metres.
#[derive(Debug, Clone, PartialEq)]
pub enum Form<'a> {
    /// A path.
    Path(Cow<'a, [Point]>),
    /// A path at one level, metres.
    Level(Cow<'a, [Point]>, f64),
    /// A path of water with the land above each of its places, square metres.
    Stream(&'a [Point], &'a [f64]),
    /// A path that comes back to its first place; that may stand at its end once more.
    Ring(Cow<'a, [Point]>),
    /// A stretch of a path: from and to, metres along it.
    Stretch(Cow<'a, [Point]>, f64, f64),
    /// Cells of a grid, ascending.
    Cells(&'a Grid, &'a [u32]),
    /// What lies between two paths whose places stand over each other: the lower, the upper; on a map its two edges.
    Strip(Vec<Point>, Vec<Point>),
    /// A sign at a place; it looks toward the other.
    Sign(Point, Point),
    /// Words alone.
    Words(Point),
    /// A stretch of a profile over its whole height: from and to, stations in metres.
    Span(f64, f64),
    /// A place of a profile over its whole height, and the level of what lies there, where it is known: metres.
    Upright(f64, Option<f64>),
}

impl<'a> Item<'a> {
    /// A thing that says nothing and does not stand out.
    pub fn new(role: Role, form: Form<'a>) -> Self {
        Self { role, form, says: String::new(), emphasis: Emphasis::Plain }
    }

    /// The same with words.
    pub fn saying(self, says: impl Into<String>) -> Self {
        Self { says: says.into(), ..self }
    }
}
