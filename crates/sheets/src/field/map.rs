//! The map of the page: the same scene as on the plan sheet, drawn as SVG in metres from the south-west corner, north up.

use std::fmt::Write;

use drawing::{Form, Frame, Item, Labels, Layer, MarkSort, Pipe, Place, Role, Scene};
use measure::Point;

use super::Field;
use crate::html::escaped;

/// What the map shows.
const LAYERS: [Layer; 9] = [
    Layer::Boundary,
    Layer::Watercourses,
    Layer::Marks,
    Layer::Protected,
    Layer::Lines,
    Layer::Joints,
    Layer::Outlets,
    Layer::Benchmarks,
    Layer::NoDig,
];
/// Height of the names, as a share of the map's longer side (judgement: legible on a phone held in the hand).
const NAMES: f64 = 0.04;
/// Width of a letter in heights of a name, at most (judgement: that of heavy faces).
const LETTER: f64 = 0.62;

impl Field<'_> {
    pub(super) fn map(&self) -> String {
        let (low, high) = self.corners;
        let (wide, tall) = (high.x - low.x, high.y - low.y);
        let size = wide.max(tall) * NAMES;
        let labels = Labels::new(Frame { min: (0.0, 0.0), max: (wide / size, tall / size) });
        let mut pen = Pen { low, tall, size, labels, out: String::new() };
        let scene: Scene = self.making.map_of().scene(&LAYERS);
        scene.items.iter().for_each(|item| pen.draw(item));
        self.names(&mut pen);
        let name = self.making.text("page-map-of", &[("name", &self.making.work.plan.title.name)]);
        let name = escaped(&name);
        format!(
            "<div id=\"map\"><svg viewBox=\"0 0 {wide:.1} {tall:.1}\" font-size=\"{size:.1}\" role=\"img\" \
             aria-label=\"{name}\">\n{}</svg></div>\n",
            pen.out
        )
    }

    /// Names of lines, outlets, marks and benchmarks, the most wanted first; none lies on another while there is room.
    fn names(&self, pen: &mut Pen) {
        let plan = self.making.work.plan;
        plan.lines.values().for_each(|line| pen.keep_off(&line.points));
        let lines = plan.lines.values().filter_map(|line| Some((*line.points.last()?, line.name.clone(), "line")));
        let outlets = plan.outlets.values().map(|outlet| (outlet.at, outlet.name.clone(), "place"));
        let marks = plan.landmarks.values().filter_map(|mark| {
            let points = mark.outline.points();
            Some((*points.get(points.len() / 2)?, self.making.say(&mark.called()), "place"))
        });
        let benchmarks = plan.survey.benchmarks.iter().map(|mark| (mark.at, mark.name.clone(), "place"));
        let all: Vec<_> = lines.chain(outlets).chain(marks).chain(benchmarks).collect();
        all.into_iter().for_each(|(at, name, class)| pen.name(at, &name, class));
    }
}

/// Draws things as SVG.
struct Pen {
    low: Point,
    tall: f64,
    /// Height of the names, metres.
    size: f64,
    /// Where names lie, in heights of a name.
    labels: Labels,
    out: String,
}

impl Pen {
    fn draw(&mut self, item: &Item) {
        let class = class(item.role);
        if class.is_empty() {
            return;
        }
        match &item.form {
            Form::Path(points) => self.path(points, class, false),
            Form::Ring(points) => self.path(points, class, true),
            Form::Stretch(points, from_m, to_m) => self.path(&measure::part_of(points, *from_m, *to_m), class, false),
            // A dot is a path of no length whose ends are round: it stays as large as it is when the map grows.
            Form::Sign(at, _) => self.path(&[*at, *at], class, false),
            _ => {}
        }
    }

    fn path(&mut self, points: &[Point], class: &str, closed: bool) {
        let places =
            points.iter().map(|at| format!("{:.2} {:.2}", at.x - self.low.x, self.tall - (at.y - self.low.y)));
        let places: Vec<String> = places.collect();
        let end = if closed { "Z" } else { "" };
        let _ = writeln!(self.out, "<path class=\"{class}\" d=\"M{}{end}\"/>", places.join("L"));
    }

    /// A place in heights of a name, from the upper left corner.
    fn placed(&self, at: Point) -> (f64, f64) {
        ((at.x - self.low.x) / self.size, (self.tall - (at.y - self.low.y)) / self.size)
    }

    fn keep_off(&mut self, course: &[Point]) {
        let course: Vec<(f64, f64)> = course.iter().map(|at| self.placed(*at)).collect();
        self.labels.keep_off_line(&course);
    }

    /// A name beside, over or under its place.
    fn name(&mut self, at: Point, name: &str, class: &str) {
        let ((x, y), wide) = (self.placed(at), LETTER * name.chars().count() as f64);
        let beside =
            [(0.5, 0.4), (-0.5 - wide, 0.4), (-wide / 2.0, -0.6), (-wide / 2.0, 1.4), (0.4, -0.5), (0.4, 1.3)];
        let place = |(dx, dy): (f64, f64)| {
            let (left, foot) = (x + dx, y + dy);
            (Place::Box(Frame { min: (left, foot - 0.8), max: (left + wide, foot + 0.2) }), (left, foot))
        };
        let (left, foot) = self.labels.put(beside.map(place)).unwrap_or((x + 0.5, y + 0.4));
        let (left, foot) = (left * self.size, foot * self.size);
        let _ =
            writeln!(self.out, "<text class=\"{class}\" x=\"{left:.1}\" y=\"{foot:.1}\">{}</text>", escaped(name));
    }
}

/// The class by which the style gives a role its look; empty for what the map leaves out.
fn class(role: Role) -> &'static str {
    match role {
        Role::Line(Pipe::Main) => "main",
        Role::Line(Pipe::Submain) => "submain",
        Role::Line(Pipe::Lateral) => "lateral",
        Role::Line(Pipe::SeenTile) => "tile",
        Role::Line(Pipe::SuspectedTile) => "guess",
        Role::Mark(MarkSort::Utility(_) | MarkSort::Irrigation) => "utility",
        Role::Mark(MarkSort::Overhead) => "overhead",
        Role::Mark(_) => "mark",
        Role::Boundary => "field",
        Role::Ditch | Role::Culvert => "water",
        Role::Protected => "deep",
        Role::NoDig => "nodig",
        Role::Joint => "joint",
        Role::Outlet | Role::Benchmark => "outlet",
        _ => "",
    }
}
