//! The map of the page: the same scene as on the plan sheet, drawn as SVG in metres from the south-west corner, north up.

use std::fmt::Write;

use drawing::{Form, Item, Layer, MapOf, MarkSort, Pipe, Role, Scene};
use measure::Point;

use super::Field;
use super::html::escaped;

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
const NAMES: f64 = 0.035;

impl Field<'_> {
    pub(super) fn map(&self) -> String {
        let (low, high) = self.corners();
        let (wide, tall) = (high.x - low.x, high.y - low.y);
        let mut pen = Pen { low, tall, out: String::new() };
        let scene: Scene = MapOf { no_dig: &self.making.no_dig, ..self.making.map_of() }.scene(&LAYERS);
        scene.items.iter().for_each(|item| pen.draw(item));
        self.names(&mut pen);
        let size = wide.max(tall) * NAMES;
        let name = escaped(&self.making.work.plan.title.name);
        format!(
            "<div id=\"map\"><svg viewBox=\"0 0 {wide:.1} {tall:.1}\" font-size=\"{size:.1}\" role=\"img\" \
             aria-label=\"Map of {name}, north up\">\n{}</svg></div>\n",
            pen.out
        )
    }

    /// Names of lines, outlets, marks and benchmarks.
    fn names(&self, pen: &mut Pen) {
        let plan = self.making.work.plan;
        for line in plan.lines.values() {
            let upper = line.points.last().copied();
            upper.into_iter().for_each(|at| pen.name(at, &line.name, "line"));
        }
        plan.outlets.values().for_each(|outlet| pen.name(outlet.at, &outlet.name, "place"));
        for mark in plan.landmarks.values() {
            let points = mark.outline.points();
            let middle = points.get(points.len() / 2).copied();
            middle.into_iter().for_each(|at| pen.name(at, &mark.called(), "place"));
        }
        plan.survey.benchmarks.iter().for_each(|mark| pen.name(mark.at, &mark.name, "place"));
    }
}

/// Draws things as SVG.
struct Pen {
    low: Point,
    tall: f64,
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

    fn name(&mut self, at: Point, name: &str, class: &str) {
        let (x, y) = (at.x - self.low.x, self.tall - (at.y - self.low.y));
        let _ = writeln!(self.out, "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\">{}</text>", escaped(name));
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
        Role::Mark(MarkSort::Utility | MarkSort::Irrigation) => "utility",
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
