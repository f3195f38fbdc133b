//! Contours, with their levels written on every fifth.

use std::collections::BTreeSet;

use drawing::{Form, Item, Layer, MapOf, Role, Scene};
use egui::epaint::{Shape, Stroke};
use egui::layers::ShapeIdx;
use egui::{Pos2, Rect, Vec2, vec2};
use measure::Point;
use terrain::simplify;

use super::band::{BandCache, Region, Stroked, at_scale};
use super::{LabelBook, Pen};
use land::Contours;

/// How far a drawn contour may stray from the true one, screen points.
const STRAY: f64 = 0.45;
/// Contours on average nearer than this are thinned out to index contours, and those again, screen points.
const CROWDED: f64 = 5.0;
/// Closed contours smaller than this are not drawn, screen points: specks of rough ground that would only soil the map.
const SPECK: f64 = 3.0;
/// Way along an index contour between two labels, screen points.
const LABEL_EVERY: f32 = 520.0;

/// What was made for the zoom band in use.
#[derive(Default)]
pub struct ContourCache {
    lines: BandCache<Contours>,
    labels: Vec<Label>,
    /// Which sorts of contour were drawn.
    roles: BTreeSet<Role>,
    /// Room kept under everything else for the labels in sight.
    kept: Vec<(ShapeIdx, usize)>,
}

struct Label {
    at: Point,
    angle: f32,
    text: String,
}

impl ContourCache {
    /// Paints the contours in sight.
    pub fn paint(&mut self, pen: &Pen, map: &MapOf) {
        let Some(contours) = pen.session.contours() else { return };
        let (mut labels, mut roles) = (Vec::new(), BTreeSet::new());
        let anew = self.lines.paint(pen, contours, |scale, region| {
            let drawn = drawn(pen, map, contours, (scale, region));
            roles = drawn.iter().map(|contour| contour.role).collect();
            labels = drawn.iter().flat_map(|contour| self::labels(contour, scale)).collect();
            drawn.into_iter().map(|contour| stroked(pen, contour)).collect()
        });
        if anew {
            (self.labels, self.roles) = (labels, roles);
        }
    }

    /// Keeps room for the levels in sight under what is painted next.
    pub fn keep_room(&mut self, pen: &Pen) {
        let is_on = pen.shown().contains(&Layer::Contours) && pen.session.contours().is_some();
        let sight = pen.lens.rect.shrink(14.0);
        let seen = |(i, label): (usize, &Label)| (is_on && sight.contains(pen.lens.to_screen(label.at))).then_some(i);
        let seen = self.labels.iter().enumerate().filter_map(seen);
        self.kept = seen.map(|i| (pen.painter.add(Shape::Noop), i)).collect();
    }

    /// The sorts of contour that are drawn, for the legend.
    pub fn shown(&self, pen: &Pen) -> Scene<'static> {
        let roles = self.roles.iter().filter(|role| pen.sees(**role) && pen.session.contours().is_some());
        let path = || Form::Words(pen.lens.camera.centre);
        Scene { time_s: None, items: roles.map(|role| Item::new(*role, path())).collect() }
    }

    /// Writes the levels where no other label lies, once all of those are known; under the lines of the plan.
    pub fn write_levels(&mut self, pen: &Pen, labels: &LabelBook) {
        for (room, i) in std::mem::take(&mut self.kept) {
            let (rect, shape) = level(pen, &self.labels[i]);
            if labels.is_free(rect) {
                pen.painter.set(room, shape);
            }
        }
    }
}

/// A contour as it is drawn.
struct Drawn {
    points: Vec<Point>,
    role: Role,
    says: String,
}

/// The contours that have room at a scale, where they come into a region, simplified for the scale.
fn drawn(pen: &Pen, map: &MapOf, contours: &Contours, (scale, region): (f64, Region)) -> Vec<Drawn> {
    let every = crowding(pen, contours, scale);
    let is_drawn = |level_m: f64| (level_m / contours.interval_m).round() as i64 % every == 0;
    let is_speck = |points: &[Point]| points.first() == points.last() && !reaches(points, SPECK / scale);
    let thin = |item: Item| {
        let Form::Level(points, level_m) = &item.form else { return Vec::new() };
        let is_seen = is_drawn(*level_m) && !is_speck(points);
        let stretches = if is_seen { stretches(points, region) } else { Vec::new() };
        let thin = |points: &[Point]| simplify(points, STRAY / scale);
        let drawn = |points| Drawn { points: thin(points), role: item.role, says: item.says.clone() };
        stretches.into_iter().map(drawn).collect()
    };
    map.scene(&[Layer::Contours]).items.into_iter().flat_map(thin).collect()
}

/// The stretches of a line that come into a region, each from a point before it to one behind it.
fn stretches(points: &[Point], (low, high): Region) -> Vec<&[Point]> {
    let is_off = |a: Point, b: Point| {
        a.x.max(b.x) < low.x || a.x.min(b.x) > high.x || a.y.max(b.y) < low.y || a.y.min(b.y) > high.y
    };
    let (mut stretches, mut from) = (Vec::new(), None);
    for (i, pair) in points.windows(2).enumerate() {
        match (is_off(pair[0], pair[1]), from) {
            (false, None) => from = Some(i),
            (true, Some(start)) => {
                stretches.push(&points[start..=i]);
                from = None;
            }
            _ => {}
        }
    }
    stretches.extend(from.map(|start| &points[start..]));
    stretches
}

/// Whether a line goes so far from where it begins, metres.
fn reaches(points: &[Point], away_m: f64) -> bool {
    points
        .first()
        .is_some_and(|first| points.iter().any(|p| (p.x - first.x).abs().max((p.y - first.y).abs()) > away_m))
}

/// How many contours make one that is drawn, so that they stay apart: 1, 5, 25 …
fn crowding(pen: &Pen, contours: &Contours, scale: f64) -> i64 {
    let Some(grid) = pen.session.land().grid() else { return 1 };
    let (low, high) = grid.extent();
    let area_m2 = (high.x - low.x) * (high.y - low.y);
    let apart = area_m2 / contours.length_m.max(1.0) * scale;
    let mut every = 1;
    while apart * (every as f64) < CROWDED && every < 625 {
        every *= 5;
    }
    every
}

fn stroked(pen: &Pen, contour: Drawn) -> Stroked {
    let look = pen.palette.look(contour.role);
    Stroked { points: contour.points, stroke: Stroke::new(look.width, look.colour) }
}

/// The labels of a contour that says its level, at a scale.
fn labels(contour: &Drawn, scale: f64) -> Vec<Label> {
    let Some(origin) = contour.points.first().copied().filter(|_| !contour.says.is_empty()) else {
        return Vec::new();
    };
    let back = |at: Pos2| Point::new(origin.x + at.x as f64 / scale, origin.y - at.y as f64 / scale);
    let places = label_places(&at_scale(&contour.points, origin, scale));
    places.into_iter().map(|(at, angle)| Label { at: back(at), angle, text: contour.says.clone() }).collect()
}

/// Where labels stand along a path and how they are turned: upright, on pieces that are straight enough.
fn label_places(path: &[Pos2]) -> Vec<(Pos2, f32)> {
    let mut places = Vec::new();
    let mut due = LABEL_EVERY / 3.0;
    let mut way = 0.0;
    for i in 1..path.len() {
        let step: Vec2 = path[i] - path[i - 1];
        way += step.length();
        if way >= due {
            let reach = |from: usize, to: usize| path[to.min(path.len() - 1)] - path[from];
            let direction = reach(i.saturating_sub(3), i + 2);
            let mut angle = direction.angle();
            if angle.abs() > std::f32::consts::FRAC_PI_2 {
                angle -= std::f32::consts::PI * angle.signum();
            }
            places.push((path[i - 1] + step * 0.5, angle));
            due = way + LABEL_EVERY;
        }
    }
    places
}

/// A level with the room it takes.
fn level(pen: &Pen, label: &Label) -> (Rect, Shape) {
    let at = pen.lens.to_screen(label.at);
    let (colour, font) = pen.palette.look(Role::IndexContour).words();
    let galley = pen.painter.layout_no_wrap(label.text.clone(), font, colour);
    let half = galley.size() / 2.0;
    let rot = egui::emath::Rot2::from_angle(label.angle);
    let corner = at - rot * half;
    // A strip of paper under the level keeps the contour from striking it through.
    let strip = [
        vec2(-half.x - 2.0, 1.0 - half.y),
        vec2(half.x + 2.0, 1.0 - half.y),
        vec2(half.x + 2.0, half.y - 1.0),
        vec2(-half.x - 2.0, half.y - 1.0),
    ];
    let strip = strip.map(|corner| at + rot * corner).to_vec();
    let rect = Rect::from_points(&strip);
    let strip = Shape::convex_polygon(strip, pen.palette.faint(pen.palette.paper, 0.82), Stroke::NONE);
    let text = egui::epaint::TextShape::new(corner, galley, colour).with_angle(label.angle);
    (rect, Shape::Vec(vec![strip, text.into()]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_to_the_stretches_that_come_into_a_region() {
        let line: Vec<Point> = (0..20).map(|i| Point::new(f64::from(i), f64::from(i % 10))).collect();
        let region = (Point::new(-1.0, 3.5), Point::new(30.0, 6.5));
        let cut: Vec<(f64, f64)> =
            stretches(&line, region).iter().map(|part| (part[0].x, part[part.len() - 1].x)).collect();
        // Up through it, down at once from 9 to 0, up again.
        assert_eq!(cut, [(3.0, 7.0), (9.0, 10.0), (13.0, 17.0)]);
        let all = (Point::new(-1.0, -1.0), Point::new(30.0, 30.0));
        assert_eq!(stretches(&line, all), [line.as_slice()]);
        assert!(stretches(&line, (Point::new(40.0, 0.0), Point::new(50.0, 9.0))).is_empty());
    }
}
