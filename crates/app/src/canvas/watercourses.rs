//! Ditches and culverts: a ditch as a line with banks, a culvert as a barrel with flared ends.

use egui::epaint::Shape;
use egui::{Align2, Pos2, Stroke, Vec2, vec2};
use plan::{Watercourse, WatercourseKind};

use super::{LabelBook, Pen};
use crate::theme::bold;
use crate::view::Selection;

/// Way between the ticks of a ditch's banks, screen points.
const TICK_EVERY: f32 = 14.0;

/// Paints every ditch and culvert.
pub fn paint(pen: &Pen) {
    for (id, course) in &pen.session.derived().plan.watercourses {
        let path = pen.lens.path(&course.points);
        if pen.view.selection == Selection::Watercourse(*id) {
            pen.painter.add(Shape::line(path.clone(), Stroke::new(11.0, pen.palette.faint(pen.palette.next, 0.75))));
        }
        paint_one(pen, course.kind, &path);
    }
}

/// Writes the names of all of them, over the lines.
pub fn paint_names(pen: &Pen, labels: &mut LabelBook) {
    pen.session.derived().plan.watercourses.values().for_each(|course| write_name(pen, labels, course));
}

/// Paints one along a path on the screen; the legend has its sample from here too.
pub fn paint_one(pen: &Pen, kind: WatercourseKind, path: &[Pos2]) {
    match kind {
        WatercourseKind::Ditch => ditch(pen, path),
        WatercourseKind::Culvert => culvert(pen, path),
    }
}

fn ditch(pen: &Pen, path: &[Pos2]) {
    let stroke = Stroke::new(2.2, pen.palette.water);
    pen.painter.add(Shape::line(path.to_vec(), stroke));
    for pair in path.windows(2) {
        let (length, along) = ((pair[1] - pair[0]).length(), (pair[1] - pair[0]).normalized());
        let ticks = (0..(length / TICK_EVERY) as usize).map(|k| pair[0] + along * (k as f32 + 0.5) * TICK_EVERY);
        for at in ticks.filter(|at| pen.lens.rect.contains(*at)) {
            let bank = along.rot90() * 3.5;
            pen.painter.line_segment([at - bank, at + bank], Stroke::new(1.4, pen.palette.water));
        }
    }
}

fn culvert(pen: &Pen, path: &[Pos2]) {
    pen.painter.add(Shape::line(path.to_vec(), Stroke::new(6.4, pen.palette.water)));
    pen.painter.add(Shape::line(path.to_vec(), Stroke::new(3.0, pen.palette.paper)));
    if let [first, second, ..] = path {
        flare(pen, *first, (*first - *second).normalized());
    }
    if let [.., before, last] = path {
        flare(pen, *last, (*last - *before).normalized());
    }
}

/// The wing walls at an end that looks `outward`.
fn flare(pen: &Pen, at: Pos2, outward: Vec2) {
    let stroke = Stroke::new(2.2, pen.palette.water);
    for side in [outward.rot90(), -outward.rot90()] {
        pen.painter.line_segment([at + side * 3.0, at + side * 8.0 + outward * 5.0], stroke);
    }
}

fn write_name(pen: &Pen, labels: &mut LabelBook, course: &Watercourse) {
    let middle = measure::point_at(&course.points, measure::path_length(&course.points) / 2.0);
    let Some(at) = middle.map(|at| pen.lens.to_screen(at)) else { return };
    let text = format!("{}   {}", course.name, course.kind.word());
    let places = [
        (at + vec2(10.0, -8.0), Align2::LEFT_BOTTOM),
        (at + vec2(-10.0, -8.0), Align2::RIGHT_BOTTOM),
        (at + vec2(10.0, 8.0), Align2::LEFT_TOP),
        (at + vec2(-10.0, 8.0), Align2::RIGHT_TOP),
    ];
    labels.write(pen, &places, &text, bold(12.0), pen.palette.ink);
}
