//! Outlets: where the water leaves, with the level from which all others hang.

use egui::epaint::Shape;
use egui::{Align2, Stroke, vec2};
use plan::Outlet;

use super::{LabelBook, Pen};
use crate::theme::bold;
use crate::view::Selection;

/// Paints every outlet with its invert and how high it stands above low water.
pub fn paint(pen: &Pen, labels: &mut LabelBook) {
    for (id, outlet) in &pen.session.derived().plan.outlets {
        let at = pen.lens.to_screen(outlet.at);
        let chosen = pen.view.selection == Selection::Outlet(*id);
        let ring = if chosen { pen.palette.next } else { pen.palette.paper };
        let size = 9.0;
        let mark = [vec2(0.0, -size), vec2(size, 0.0), vec2(0.0, size), vec2(-size, 0.0)].map(|v| at + v).to_vec();
        pen.painter.add(Shape::convex_polygon(
            mark,
            pen.palette.main,
            Stroke::new(if chosen { 4.0 } else { 2.0 }, ring),
        ));
        pen.painter.circle_filled(at, 3.0, pen.palette.paper);
        labels.reserve(egui::Rect::from_center_size(at, vec2(20.0, 20.0)));
        let places = [
            (at + vec2(14.0, 12.0), Align2::LEFT_TOP),
            (at + vec2(-14.0, 12.0), Align2::RIGHT_TOP),
            (at + vec2(22.0, 4.0), Align2::LEFT_CENTER),
            (at + vec2(14.0, -12.0), Align2::LEFT_BOTTOM),
            (at + vec2(-14.0, -12.0), Align2::RIGHT_BOTTOM),
        ];
        labels.write(pen, &places, &text(pen, outlet), bold(13.0), pen.palette.ink);
    }
}

fn text(pen: &Pen, outlet: &Outlet) -> String {
    let units = pen.session.derived().plan.title.units;
    let level = format!("{}   invert {}", outlet.name, units.level(outlet.invert_m));
    match outlet.low_water_m {
        Some(water_m) => format!("{level}\n{} above low water", units.depth(outlet.invert_m - water_m)),
        None => format!("{level}\nlow water not measured"),
    }
}
