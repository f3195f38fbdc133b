//! The section that is looked at.

use egui::Stroke;
use egui::epaint::Shape;

use super::Pen;

/// Paints it as a thin ruled line with an end mark where it starts.
pub fn paint(pen: &Pen) {
    let path = pen.lens.path(&pen.view.section);
    let Some(start) = path.first().copied() else { return };
    pen.painter.add(Shape::line(path.clone(), Stroke::new(4.2, pen.palette.faint(pen.palette.paper, 0.85))));
    pen.painter.extend(Shape::dashed_line(&path, Stroke::new(1.8, pen.palette.ink), 2.0, 3.0));
    pen.painter.circle(start, 4.5, pen.palette.ink, Stroke::new(1.5, pen.palette.paper));
}
