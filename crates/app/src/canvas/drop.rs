//! A drop that is followed: its way down from the place that was clicked.

use egui::Stroke;
use egui::epaint::Shape;

use super::Pen;

/// Paints the way of the drop.
pub fn paint(pen: &Pen) {
    let (Some(at), Some(land), Some(runoff)) = (pen.view.drop, pen.session.land(), pen.session.runoff()) else {
        return;
    };
    let path = pen.lens.path(&runoff.water.path_from(land.ground.grid(), at));
    pen.painter.add(Shape::line(path.clone(), Stroke::new(4.6, pen.palette.faint(pen.palette.paper, 0.85))));
    pen.painter.extend(Shape::dashed_line(&path, Stroke::new(2.6, pen.palette.water), 7.0, 4.0));
    let foot = pen.lens.to_screen(at);
    pen.painter.circle(foot, 6.0, pen.palette.water, Stroke::new(2.0, pen.palette.paper));
}
