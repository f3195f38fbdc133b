//! The field's boundary: long dash and dot, as on a survey plat.

use egui::epaint::Shape;
use egui::{Pos2, Stroke};

use super::Pen;
use crate::view::Selection;

/// Paints the boundary and the parts left out.
pub fn paint(pen: &Pen) {
    let Some(field) = &pen.session.derived().plan.field else { return };
    let chosen = pen.view.selection == Selection::Field;
    let stroke = Stroke::new(if chosen { 3.0 } else { 1.8 }, pen.palette.ink);
    for ring in field.rings() {
        let mut path = pen.lens.path(ring);
        path.extend(path.first().copied());
        dash_dot(pen, &path, stroke);
    }
}

fn dash_dot(pen: &Pen, path: &[Pos2], stroke: Stroke) {
    for shape in Shape::dashed_line_with_offset(path, stroke, &[16.0, 2.5], &[5.0, 5.0], 0.0) {
        pen.painter.add(shape);
    }
}
