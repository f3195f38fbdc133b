//! The survey's shots: each batch told by shape as well as colour, those that stick out ringed and named.

use egui::epaint::Shape;
use egui::{Align2, Color32, Painter, Pos2, Stroke, vec2};

use super::{LabelBook, Pen};
use crate::theme::{Palette, bold};
use crate::view::Stage;

/// From so many shots on they are drawn smaller.
const MANY: usize = 2_000;

/// Paints every shot that counts, while the ground is looked at.
pub fn paint(pen: &Pen, labels: &mut LabelBook) {
    let Some(survey) = pen.session.derived().land.survey.as_ref().filter(|_| pen.view.stage == Stage::Ground) else {
        return;
    };
    let radius = if survey.shots.len() > MANY { 2.0 } else { 4.0 };
    let seen = pen.lens.rect.expand(radius);
    for (shot, booked) in survey.shots.iter().zip(&survey.book.shots) {
        let at = pen.lens.to_screen(shot.at);
        if seen.contains(at) {
            shot_mark(pen.painter, pen.palette, at, radius, booked.batch);
        }
    }
    for outlier in &survey.outliers {
        let at = pen.lens.to_screen(survey.shots[outlier.index].at);
        pen.painter.circle_stroke(at, 15.0, Stroke::new(2.0, pen.palette.to_decide));
        let places = [
            (at + vec2(14.0, -12.0), Align2::LEFT_BOTTOM),
            (at + vec2(-14.0, -12.0), Align2::RIGHT_BOTTOM),
            (at + vec2(0.0, 14.0), Align2::CENTER_TOP),
        ];
        labels.write(pen, &places, &survey.book.name_of(outlier.index), bold(12.0), pen.palette.to_decide);
    }
    paint_benchmarks(pen, labels);
}

/// A benchmark is an upright triangle with a dot, as on maps.
fn paint_benchmarks(pen: &Pen, labels: &mut LabelBook) {
    for mark in &pen.session.derived().plan.survey.benchmarks {
        let at = pen.lens.to_screen(mark.at);
        let corners = [vec2(0.0, -9.0), vec2(8.0, 6.0), vec2(-8.0, 6.0)].map(|v| at + v).to_vec();
        pen.painter.add(Shape::convex_polygon(corners, pen.palette.paper, Stroke::new(2.0, pen.palette.ink)));
        pen.painter.circle_filled(at + vec2(0.0, 1.0), 1.8, pen.palette.ink);
        let places = [(at + vec2(12.0, 0.0), Align2::LEFT_CENTER), (at - vec2(12.0, 0.0), Align2::RIGHT_CENTER)];
        labels.write(pen, &places, &mark.name, bold(12.0), pen.palette.ink);
    }
}

/// The mark of a batch: disc, square, triangle, diamond, cross, each in another colour.
pub fn shot_mark(painter: &Painter, palette: &Palette, at: Pos2, radius: f32, batch: usize) {
    let (colour, rim) = (palette.batch(batch), Stroke::new(1.0, palette.paper));
    let polygon = |corners: &[(f32, f32)]| {
        let corners = corners.iter().map(|(x, y)| at + radius * vec2(*x, *y)).collect();
        Shape::convex_polygon(corners, colour, rim)
    };
    match batch % 5 {
        0 => painter.circle(at, radius, colour, rim),
        1 => painter.add(polygon(&[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)])),
        2 => painter.add(polygon(&[(0.0, -1.2), (1.1, 0.9), (-1.1, 0.9)])),
        3 => painter.add(polygon(&[(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)])),
        _ => cross(painter, at, radius, colour),
    };
}

fn cross(painter: &Painter, at: Pos2, radius: f32, colour: Color32) -> egui::layers::ShapeIdx {
    let stroke = Stroke::new(radius * 0.5, colour);
    let arm = |x: f32, y: f32| Shape::line_segment([at - radius * vec2(x, y), at + radius * vec2(x, y)], stroke);
    painter.add(arm(1.0, 1.0));
    painter.add(arm(1.0, -1.0))
}
