//! What is wrong, drawn where it is wrong: the stretch, and a mark told by shape as well as colour.

use checks::{Finding, Severity};
use egui::epaint::{PathShape, Shape};
use egui::{Align2, Painter, Pos2, Rect, Stroke, vec2};

use super::lines::stretch;
use super::{LabelBook, Pen};
use crate::theme::{Palette, bold};

/// Paints the stretches that findings name, along exactly the stations they name.
pub fn paint_stretches(pen: &Pen) {
    let derived = pen.session.derived();
    let worst_last = derived.findings.iter().rev().filter(|finding| finding.severity != Severity::Note);
    for finding in worst_last {
        let (Some(line), Some(from_m), Some(to_m)) = (finding.line, finding.from_m, finding.to_m) else { continue };
        let Some(line) = derived.plan.lines.get(&line).filter(|_| to_m - from_m > 1e-6) else { continue };
        let path = pen.lens.path(&stretch(&line.points, from_m, to_m));
        let colour = pen.palette.severity(finding.severity);
        pen.painter.add(Shape::Path(PathShape::line(path.clone(), Stroke::new(9.0, pen.palette.paper))));
        pen.painter.add(Shape::Path(PathShape::line(path, Stroke::new(6.0, colour))));
    }
}

/// Findings that have a mark: those above a note, and the one that is looked at; with their number and place.
fn marked<'a>(pen: &'a Pen) -> impl Iterator<Item = (usize, &'a Finding, Pos2)> {
    let numbered = pen.session.derived().findings.iter().enumerate();
    let shown = numbered.filter(|(_, finding)| finding.severity != Severity::Note || is_looked_at(pen, finding));
    shown.map(|(i, finding)| (i + 1, finding, pen.lens.to_screen(finding.at)))
}

fn is_looked_at(pen: &Pen, finding: &Finding) -> bool {
    pen.view.finding == Some((finding.check, finding.at))
}

/// Keeps labels off the marks.
pub fn reserve(pen: &Pen, labels: &mut LabelBook) {
    marked(pen).for_each(|(.., at)| labels.reserve(Rect::from_center_size(at, vec2(20.0, 20.0))));
}

/// Paints a numbered mark at the place of every finding that has one.
pub fn paint_marks(pen: &Pen, labels: &mut LabelBook) {
    let marked: Vec<(usize, &Finding, Pos2)> = marked(pen).collect();
    for (number, finding, at) in marked.into_iter().rev() {
        if is_looked_at(pen, finding) {
            pen.painter.circle_stroke(at, 17.0, Stroke::new(3.0, pen.palette.next));
        }
        severity_mark(pen.painter, pen.palette, at, 10.0, finding.severity, &number.to_string());
        write_amount(pen, labels, at, finding);
    }
}

fn write_amount(pen: &Pen, labels: &mut LabelBook, at: Pos2, finding: &Finding) {
    if let Some(amount) = &finding.amount {
        let places = [
            (at + vec2(15.0, 0.0), Align2::LEFT_CENTER),
            (at - vec2(15.0, 0.0), Align2::RIGHT_CENTER),
            (at + vec2(0.0, 15.0), Align2::CENTER_TOP),
        ];
        labels.write(pen, &places, amount, bold(13.0), pen.palette.severity(finding.severity));
    }
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
