//! Scale bar and north arrow: what makes a drawing a map.

use egui::epaint::Shape;
use egui::{Align2, Pos2, Rect, Stroke, Vec2, pos2, vec2};

use super::{LabelBook, Pen};
use crate::theme::{bold, plain};
use crate::view::Switch;

/// Longest scale bar, screen points.
const LONGEST_BAR: f32 = 190.0;

/// Room of the north arrow in the upper right corner and of the scale bar in the lower one, screen points.
pub const ARROW: Vec2 = vec2(52.0, 70.0);
pub const BAR: Vec2 = vec2(240.0, 52.0);

/// Where they stand, where they are on.
pub fn rects(pen: &Pen) -> impl Iterator<Item = Rect> {
    let rect = pen.lens.rect;
    let bar = Rect::from_min_size(rect.right_bottom() - BAR, BAR);
    let arrow = Rect::from_min_size(rect.right_top() - vec2(ARROW.x, 0.0), ARROW);
    [bar, arrow].into_iter().filter(|_| pen.view.shows(Switch::Furniture))
}

/// Keeps labels out of the corners where they stand.
pub fn reserve(pen: &Pen, labels: &mut LabelBook) {
    rects(pen).for_each(|rect| labels.reserve(rect));
}

/// Paints them.
pub fn paint(pen: &Pen) {
    if pen.view.shows(Switch::Furniture) {
        north(pen);
        scale_bar(pen);
    }
}

fn north(pen: &Pen) {
    let at = pen.lens.rect.right_top() + vec2(-28.0, 38.0);
    let half = vec![at + vec2(0.0, -20.0), at + vec2(8.0, 16.0), at + vec2(0.0, 9.0)];
    let other = vec![at + vec2(0.0, -20.0), at + vec2(0.0, 9.0), at + vec2(-8.0, 16.0)];
    pen.painter.add(Shape::convex_polygon(half, pen.palette.ink, Stroke::new(1.2, pen.palette.ink)));
    pen.painter.add(Shape::convex_polygon(other, pen.palette.paper, Stroke::new(1.2, pen.palette.ink)));
    pen.painter.text(at + vec2(0.0, 27.0), Align2::CENTER_CENTER, "N", bold(13.0), pen.palette.ink);
}

/// The longest round length (1, 2 or 5 with noughts) that fits the bar.
fn round_length(most: f64) -> f64 {
    let power = 10f64.powf(most.max(1e-9).log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|step| step * power).find(|length| *length <= most).unwrap_or(power)
}

fn scale_bar(pen: &Pen) {
    let units = pen.session.worked().plan.title.units;
    let unit_m = units.length_unit().metres();
    let length = round_length(pen.lens.metres(LONGEST_BAR) / unit_m);
    let width = (length * unit_m * pen.lens.camera.scale) as f32;
    let right = pen.lens.rect.right_bottom() + vec2(-22.0, -18.0);
    let left = right - vec2(width, 0.0);
    let plate = Rect::from_min_max(left - vec2(14.0, 26.0), right + vec2(14.0, 10.0));
    pen.painter.rect_filled(plate, 3.0, pen.palette.faint(pen.palette.paper, 0.86));
    let quarter = |i: f32| pos2(left.x + width * i / 4.0, left.y);
    for i in 0..4 {
        let fill = if i % 2 == 0 { pen.palette.ink } else { pen.palette.paper };
        let box_ = Rect::from_min_max(quarter(i as f32) - vec2(0.0, 5.0), quarter(i as f32 + 1.0));
        pen.painter.rect(box_, 0.0, fill, Stroke::new(1.0, pen.palette.ink), egui::StrokeKind::Middle);
    }
    let write = |at: Pos2, text: String| {
        pen.painter.text(at - vec2(0.0, 7.0), Align2::CENTER_BOTTOM, text, plain(12.0), pen.palette.ink);
    };
    write(left, "0".into());
    write(right - vec2(10.0, 0.0), format!("{length} {}", units.sign()));
}
