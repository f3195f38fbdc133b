//! Marks on the land: places as rings, courses by their dash, areas with a quiet filling; each with its name.

use egui::epaint::Shape;
use egui::{Align2, Color32, Pos2, Rect, Stroke, vec2};
use plan::{Landmark, LandmarkKind, Outline};

use super::{LabelBook, Pen};
use crate::theme::plain;
use crate::view::Selection;

/// Paints every mark.
pub fn paint(pen: &Pen, labels: &mut LabelBook) {
    for (id, mark) in &pen.session.derived().plan.landmarks {
        let path = pen.lens.path(&mark.outline.path());
        let chosen = pen.view.selection == Selection::Landmark(*id);
        paint_one(pen, mark, &path, chosen);
        if let Outline::At(_) = mark.outline {
            path.iter().for_each(|at| labels.reserve(Rect::from_center_size(*at, vec2(8.0, 8.0))));
        }
    }
}

/// Writes the names of all marks, over the lines.
pub fn paint_names(pen: &Pen, labels: &mut LabelBook) {
    pen.session.derived().plan.landmarks.values().for_each(|mark| write_name(pen, labels, mark));
}

fn paint_one(pen: &Pen, mark: &Landmark, path: &[Pos2], chosen: bool) {
    let (colour, dash) = style(pen, &mark.kind);
    if chosen {
        pen.painter.add(Shape::line(path.to_vec(), Stroke::new(10.0, pen.palette.faint(pen.palette.next, 0.75))));
    }
    let stroke = Stroke::new(2.0, colour);
    match (&mark.outline, dash) {
        (Outline::At(_), _) => {
            for at in path {
                pen.painter.circle(*at, if chosen { 8.0 } else { 6.0 }, pen.palette.paper, stroke);
                pen.painter.circle_filled(*at, 2.2, colour);
            }
        }
        (Outline::Around(_), _) if is_wet(&mark.kind) => {
            pen.painter.add(Shape::convex_polygon(
                path.to_vec(),
                pen.palette.faint(pen.palette.water, 0.25),
                Stroke::NONE,
            ));
            pen.painter.extend(Shape::dashed_line(path, stroke, 7.0, 4.0));
        }
        (_, Some((on, off))) => pen.painter.extend(Shape::dashed_line(path, stroke, on, off)),
        (_, None) => drop(pen.painter.add(Shape::line(path.to_vec(), Stroke::new(4.0, colour)))),
    }
}

const fn is_wet(kind: &LandmarkKind) -> bool {
    matches!(kind, LandmarkKind::WetArea { .. } | LandmarkKind::Wetland { .. })
}

/// Colour, and dash and gap; a whole line for what wheels run on and walls.
fn style(pen: &Pen, kind: &LandmarkKind) -> (Color32, Option<(f32, f32)>) {
    let palette = pen.palette;
    match kind {
        LandmarkKind::Utility(_) | LandmarkKind::OverheadLine { .. } => (palette.to_fix, Some((10.0, 3.0))),
        LandmarkKind::Irrigation { .. } | LandmarkKind::Spring => (palette.water, Some((10.0, 3.0))),
        LandmarkKind::WetArea { .. } | LandmarkKind::Wetland { .. } => (palette.water, Some((7.0, 4.0))),
        LandmarkKind::Road { .. } | LandmarkKind::Footing { .. } => (palette.soft_ink, None),
        LandmarkKind::Rows(_) | LandmarkKind::Easement { .. } => (palette.soft_ink, Some((3.0, 4.0))),
        _ => (palette.soft_ink, Some((6.0, 3.0))),
    }
}

fn write_name(pen: &Pen, labels: &mut LabelBook, mark: &Landmark) {
    let at = pen.lens.to_screen(mark.outline.middle());
    let text = format!("{}   {}", mark.name, mark.word());
    let places = [
        (at + vec2(9.0, -7.0), Align2::LEFT_BOTTOM),
        (at + vec2(9.0, 7.0), Align2::LEFT_TOP),
        (at + vec2(-9.0, -7.0), Align2::RIGHT_BOTTOM),
        (at + vec2(-9.0, 7.0), Align2::RIGHT_TOP),
    ];
    labels.write(pen, &places, &text, plain(12.0), pen.palette.ink);
}
