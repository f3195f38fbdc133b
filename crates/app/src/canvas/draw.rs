//! How a scene is drawn on the screen: paths, areas, signs and tints by the looks of their roles.

use checks::Severity;
use drawing::{Emphasis, Form, Item, Scene};
use egui::epaint::{CircleShape, Mesh, Shape};
use egui::{Align2, Color32, Painter, Pos2, Rect, Stroke, StrokeKind, Vec2, vec2};
use measure::Point;

use super::{Pen, cells};
use crate::theme::{Choice, Look, Palette, Sign, Trim, bold};

/// Way between two arrows, and between the ticks of a ditch's banks, screen points.
const ARROW_EVERY: f32 = 150.0;
const TICK_EVERY: f32 = 14.0;
/// Way between two codes of a utility, screen points.
const CODE_EVERY: f32 = 240.0;

impl Pen<'_> {
    /// Draws the things of a scene in their order, those that are lifted over those that are not.
    pub fn draw(&self, scene: &Scene) {
        let lifted = scene.items.iter().map(|item| (self.palette.look(item.role).lift, item));
        let mut items: Vec<(u8, &Item)> = lifted.collect();
        items.sort_by_key(|(lift, _)| *lift);
        items.iter().for_each(|(_, item)| self.draw_item(item));
    }

    fn draw_item(&self, item: &Item) {
        let look = &self.palette.look(item.role);
        match &item.form {
            Form::Path(points) | Form::Level(points, _) => self.path(look, &self.lens.path(points), item.emphasis),
            Form::Stream(points, _) => self.path(look, &self.lens.path(points), item.emphasis),
            Form::Ring(points) => self.path(look, &self.lens.path(&closed(points)), item.emphasis),
            Form::Stretch(points, from_m, to_m) => {
                self.path(look, &self.lens.path(&measure::part_of(points, *from_m, *to_m)), item.emphasis);
            }
            Form::Cells(grid, cells) => {
                let mut mesh = Mesh::default();
                cells::add(self, grid, cells, look.colour, &mut mesh);
                if !mesh.is_empty() {
                    self.painter.add(Shape::mesh(mesh));
                }
            }
            Form::Sign(at, toward) => self.sign(look, (*at, *toward), item),
            Form::Strip(one, other) => self.strip(look, &self.lens.path(one), &self.lens.path(other)),
            // What belongs to a profile.
            Form::Words(_) | Form::Span(..) | Form::Upright(..) => {}
        }
    }

    /// What lies between two paths, piece by piece, and its edges.
    fn strip(&self, look: &Look, one: &[Pos2], other: &[Pos2]) {
        let mut mesh = Mesh::default();
        one.iter()
            .zip(other)
            .for_each(|(a, b)| [*a, *b].into_iter().for_each(|at| mesh.colored_vertex(at, look.fill)));
        for first in (0..one.len().min(other.len()).saturating_sub(1) as u32).map(|piece| 2 * piece) {
            mesh.add_triangle(first, first + 1, first + 2);
            mesh.add_triangle(first + 1, first + 2, first + 3);
        }
        self.painter.add(Shape::mesh(mesh));
        let edge = Look { fill: Color32::TRANSPARENT, ..*look };
        [one, other].into_iter().for_each(|path| self.path(&edge, path, Emphasis::Plain));
    }

    /// A path with all that shows its role.
    fn path(&self, look: &Look, path: &[Pos2], emphasis: Emphasis) {
        let line = |width, colour| {
            self.painter.add(Shape::line(path.to_vec(), Stroke::new(width, colour)));
        };
        let chosen = if emphasis == Emphasis::Chosen { look.chosen } else { Choice::Never };
        if let Choice::Strip(width) = chosen {
            line(width, self.palette.faint(self.palette.next, 0.75));
        }
        look.under.into_iter().for_each(|(width, colour)| line(width, colour));
        if look.fill != Color32::TRANSPARENT {
            self.painter.add(Shape::convex_polygon(path.to_vec(), look.fill, Stroke::NONE));
        }
        let width = if let Choice::Wider(width) = chosen { width } else { look.width };
        self.course(&Look { width, ..*look }, path);
    }

    /// A path as it is seen in a legend too.
    pub fn course(&self, look: &Look, path: &[Pos2]) {
        let stroke = Stroke::new(look.width, look.colour);
        if look.trim == Trim::Arrows {
            return self.arrows(look, path);
        }
        if look.dash.is_empty() {
            self.painter.add(Shape::line(path.to_vec(), stroke));
        } else {
            let turn = |odd: usize| look.dash.iter().skip(odd).step_by(2).copied().collect::<Vec<f32>>();
            self.painter.extend(Shape::dashed_line_with_offset(path, stroke, &turn(0), &turn(1), 0.0));
        }
        look.code.into_iter().for_each(|code| self.codes(code, path));
        if let Some((width, colour)) = look.over {
            self.painter.add(Shape::line(path.to_vec(), Stroke::new(width, colour)));
        }
        match look.trim {
            Trim::Ticks => self.ticks(look.colour, path),
            Trim::Flares => self.flares(look.colour, path),
            Trim::Plain | Trim::Arrows => {}
        }
    }

    /// The code of a utility along its course, at its middle at least.
    fn codes(&self, code: (&str, Option<Color32>), path: &[Pos2]) {
        let length: f32 = path.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        let count = (length / CODE_EVERY).floor().max(1.0);
        let (mut due, mut way) = (length / count / 2.0, 0.0);
        for pair in path.windows(2) {
            let step = pair[1] - pair[0];
            while due <= way + step.length() && step.length() > 0.0 {
                let at = pair[0] + step * ((due - way) / step.length());
                if self.lens.rect.contains(at) {
                    self.code(code, at);
                }
                due += length / count;
            }
            way += step.length();
        }
    }

    /// A plate with a code letter in ink and a swatch of the color of its marks on the ground, where that is known.
    fn code(&self, (letter, swatch): (&str, Option<Color32>), at: Pos2) {
        let (ink, plate) = (self.palette.ink, Rect::from_center_size(at, vec2(25.0, 14.0)));
        let rim = |width| Stroke::new(width, ink);
        self.painter.rect(plate, 2.0, self.palette.paper, rim(1.0), StrokeKind::Middle);
        let aside = swatch.map_or(0.0, |swatch| {
            let square = Rect::from_center_size(at + vec2(6.0, 0.0), vec2(9.0, 9.0));
            self.painter.rect(square, 0.0, swatch, rim(0.8), StrokeKind::Middle);
            6.0
        });
        self.painter.text(at - vec2(aside, 0.0), Align2::CENTER_CENTER, letter, bold(10.5), ink);
    }

    /// Ticks to both sides, as banks have them.
    fn ticks(&self, colour: Color32, path: &[Pos2]) {
        for pair in path.windows(2) {
            let (length, along) = ((pair[1] - pair[0]).length(), (pair[1] - pair[0]).normalized());
            let ticks = (0..(length / TICK_EVERY) as usize).map(|k| pair[0] + along * (k as f32 + 0.5) * TICK_EVERY);
            for at in ticks.filter(|at| self.lens.rect.contains(*at)) {
                let bank = along.rot90() * 3.5;
                self.painter.line_segment([at - bank, at + bank], Stroke::new(1.4, colour));
            }
        }
    }

    /// Wing walls at both ends.
    fn flares(&self, colour: Color32, path: &[Pos2]) {
        if let [first, second, ..] = path {
            self.flare(colour, *first, (*first - *second).normalized());
        }
        if let [.., before, last] = path {
            self.flare(colour, *last, (*last - *before).normalized());
        }
    }

    fn flare(&self, colour: Color32, at: Pos2, outward: Vec2) {
        let stroke = Stroke::new(2.2, colour);
        for side in [outward.rot90(), -outward.rot90()] {
            self.painter.line_segment([at + side * 3.0, at + side * 8.0 + outward * 5.0], stroke);
        }
    }

    /// Arrow heads along the way water takes: toward the first point.
    fn arrows(&self, look: &Look, path: &[Pos2]) {
        let mut due = ARROW_EVERY * 0.5;
        let mut way = 0.0;
        for pair in path.windows(2) {
            let step = pair[1] - pair[0];
            let length = step.length();
            while due <= way + length && length > 0.0 {
                let at = pair[0] + step * ((due - way) / length);
                if self.lens.rect.contains(at) {
                    self.arrow(look, at, -step / length);
                }
                due += ARROW_EVERY;
            }
            way += length;
        }
    }

    /// An arrow head at a place.
    pub fn arrow(&self, look: &Look, at: Pos2, along: Vec2) {
        let size = look.width + 4.0;
        let side = along.rot90();
        let head = vec![
            at + along * size,
            at - along * size * 0.6 + side * size * 0.75,
            at - along * size * 0.6 - side * size * 0.75,
        ];
        self.painter.add(Shape::convex_polygon(head, look.colour, Stroke::new(1.2, self.palette.paper)));
    }

    fn disc(&self, at: Pos2, radius: f32, colour: Color32, rim: Stroke) {
        self.painter.circle(at, radius, colour, rim);
    }

    fn polygon(&self, at: Pos2, radius: f32, corners: &[(f32, f32)], colour: Color32) {
        self.painter.add(polygon(at, radius, corners, colour, Stroke::NONE));
    }

    fn sign(&self, look: &Look, (place, toward): (Point, Point), item: &Item) {
        let (painter, palette, colour) = (self.painter, self.palette, look.colour);
        let (at, (sign, radius)) = (self.lens.to_screen(place), look.sign);
        let is_chosen = item.emphasis == Emphasis::Chosen;
        match sign {
            Sign::Nothing => {}
            Sign::Disc => self.disc(at, radius, colour, Stroke::NONE),
            Sign::Rimmed(rim) => self.disc(at, radius, colour, Stroke::new(rim, palette.paper)),
            Sign::Circle(thick) => self.disc(at, radius, Color32::TRANSPARENT, Stroke::new(thick, colour)),
            Sign::Open(thick) => self.disc(at, radius, palette.paper, Stroke::new(thick, colour)),
            Sign::Dotted if look.code.is_some() => look.code.into_iter().for_each(|code| self.code(code, at)),
            Sign::Dotted => {
                let radius = if is_chosen { radius + 2.0 } else { radius };
                painter.circle(at, radius, palette.paper, Stroke::new(2.0, colour));
                painter.circle_filled(at, 2.2, colour);
            }
            Sign::Bar => {
                let side = (at - self.lens.to_screen(toward)).normalized().rot90() * radius;
                painter.line_segment([at - side, at + side], Stroke::new(2.4, colour));
            }
            Sign::Streak => {
                painter.line_segment([at, at + radius * vec2(0.25, -1.0)], Stroke::new(1.1, colour));
            }
            Sign::Square => self.polygon(at, radius, &SQUARE, colour),
            Sign::Diamond => self.polygon(at, radius, &DIAMOND, colour),
            Sign::Triangle => self.polygon(at, radius, &TRIANGLE, colour),
            Sign::Wedge => {
                let down = (self.lens.to_screen(toward) - at).normalized() * radius;
                let side = down.rot90();
                let corners = [down + side, down - side, -down - side * 0.4, side * 0.4 - down].map(|off| at + off);
                let shape = Shape::convex_polygon(corners.to_vec(), palette.paper, Stroke::new(1.8, colour));
                painter.add(shape);
            }
            Sign::Outlet => {
                let rim = if is_chosen { Stroke::new(4.0, palette.next) } else { Stroke::new(2.0, palette.paper) };
                painter.add(polygon(at, radius, &DIAMOND, colour, rim));
                painter.circle_filled(at, 3.0, palette.paper);
            }
            Sign::Benchmark => {
                let corners = [vec2(0.0, -9.0), vec2(8.0, 6.0), vec2(-8.0, 6.0)].map(|v| at + v).to_vec();
                let fill = look.code.and_then(|(_, swatch)| swatch).unwrap_or(palette.paper);
                painter.add(Shape::convex_polygon(corners, fill, Stroke::new(2.0, colour)));
                painter.circle_filled(at + vec2(0.0, 1.0), 1.8, colour);
            }
            Sign::Target => {
                if item.emphasis == Emphasis::LookedAt {
                    painter.circle_stroke(at, 14.0, Stroke::new(3.0, palette.next));
                }
                target_mark(painter, palette, at, radius);
            }
            Sign::Batch(batch) => shot_mark(painter, palette, at, radius, batch.into()),
            Sign::Severity(severity) => {
                if item.emphasis == Emphasis::LookedAt {
                    painter.circle_stroke(at, 17.0, Stroke::new(3.0, palette.next));
                }
                severity_mark(painter, palette, at, radius, severity, &item.says);
            }
        }
    }
}

const DIAMOND: [(f32, f32); 4] = [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)];
const SQUARE: [(f32, f32); 4] = [(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)];
const TRIANGLE: [(f32, f32); 3] = [(0.0, -1.2), (1.1, 0.9), (-1.1, 0.9)];

/// A polygon round a place.
fn polygon(at: Pos2, radius: f32, corners: &[(f32, f32)], colour: Color32, rim: Stroke) -> Shape {
    let corners = corners.iter().map(|(x, y)| at + radius * vec2(*x, *y)).collect();
    Shape::convex_polygon(corners, colour, rim)
}

/// A ring as a path that comes back to its first place.
pub fn closed(ring: &[Point]) -> Vec<Point> {
    let again = ring.first().copied().filter(|first| ring.len() > 1 && ring.last() != Some(first));
    ring.iter().copied().chain(again).collect()
}

/// The mark of a batch: disc, square, triangle, diamond, cross, each in another colour.
pub fn shot_mark(painter: &Painter, palette: &Palette, at: Pos2, radius: f32, batch: usize) {
    let (colour, rim) = (palette.batch(batch), Stroke::new(1.0, palette.paper));
    let arm = |x: f32, y: f32| {
        let stroke = Stroke::new(radius * 0.5, colour);
        Shape::line_segment([at - radius * vec2(x, y), at + radius * vec2(x, y)], stroke)
    };
    painter.add(match batch % drawing::BATCHES {
        0 => Shape::Circle(CircleShape { center: at, radius, fill: colour, stroke: rim }),
        1 => polygon(at, radius, &SQUARE, colour, rim),
        2 => polygon(at, radius, &TRIANGLE, colour, rim),
        3 => polygon(at, radius * 1.3, &DIAMOND, colour, rim),
        _ => Shape::Vec(vec![arm(1.0, 1.0), arm(1.0, -1.0)]),
    });
}

/// The mark of a shot that is asked for: cross hairs, paper under them.
pub fn target_mark(painter: &Painter, palette: &Palette, at: Pos2, radius: f32) {
    for (width, colour) in [(4.5, palette.paper), (1.8, palette.ink)] {
        for side in [vec2(1.0, 0.0), vec2(0.0, 1.0), vec2(-1.0, 0.0), vec2(0.0, -1.0)] {
            painter.line_segment([at + radius * side, at + 2.2 * radius * side], Stroke::new(width, colour));
        }
        painter.circle(at, radius, palette.paper, Stroke::new(width, colour));
    }
    painter.circle_filled(at, 1.2, palette.ink);
}

/// The mark of a severity: an octagon must be fixed, a diamond decided, a disc noted.
pub fn severity_mark(painter: &Painter, palette: &Palette, at: Pos2, radius: f32, severity: Severity, text: &str) {
    let colour = palette.severity(severity);
    let rim = Stroke::new(1.5, palette.paper);
    let corners = |count: u32, turn: f32, radius: f32| -> Vec<Pos2> {
        let angle = |i: u32| (i as f32 + turn) * std::f32::consts::TAU / count as f32;
        (0..count).map(|i| at + radius * vec2(angle(i).cos(), angle(i).sin())).collect()
    };
    match severity {
        Severity::Block => painter.add(Shape::convex_polygon(corners(8, 0.5, radius * 1.08), colour, rim)),
        Severity::Decide => painter.add(Shape::convex_polygon(corners(4, 0.0, radius * 1.25), colour, rim)),
        Severity::Note => painter.add(Shape::circle_filled(at, radius, colour)),
    };
    painter.text(at, Align2::CENTER_CENTER, text, bold(radius * 1.1), palette.on_ink());
}
