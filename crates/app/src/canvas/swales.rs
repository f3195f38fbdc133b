//! Swales: low ground where water gathers, heavier with more uphill area.

use egui::epaint::{PathShape, Shape, Stroke};
use measure::SQUARE_M_PER_HECTARE;

use super::Pen;
use crate::land::Land;

/// Width of a swale with so much land above it, screen points: 1.4 at an acre, growing with the root of the area.
fn width(area_m2: f64) -> f32 {
    (1.6 * (area_m2 / SQUARE_M_PER_HECTARE).sqrt().sqrt() + 0.2).clamp(1.2, 6.0) as f32
}

/// Paints the swales in sight, in stretches of like weight.
pub fn paint(pen: &Pen, land: &Land) {
    let colour = pen.palette.faint(pen.palette.water, 0.62);
    for swale in &land.swales {
        let path = pen.lens.path(&swale.points);
        let mut from = 0;
        while from + 1 < path.len() {
            let weight = width(swale.area_m2[from]);
            let mut to = from + 1;
            while to + 1 < path.len() && (width(swale.area_m2[to]) - weight).abs() < 0.25 {
                to += 1;
            }
            let piece = &path[from..=to];
            let seen = egui::Rect::from_points(piece).expand(4.0).intersects(pen.lens.rect);
            if seen {
                pen.painter.add(Shape::Path(PathShape::line(piece.to_vec(), Stroke::new(weight, colour))));
            }
            from = to;
        }
    }
}
