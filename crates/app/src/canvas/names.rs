//! What stands beside the things of the map: names, sizes, grades, levels.

use checks::{Finding, Severity};
use design::LineDesign;
use drawing::{Pipe, Role};
use egui::{Align2, Pos2, Rect, vec2};
use measure::point_at;
use plan::{Landmark, Line, LineId, LineKind, Outlet, Outline, Watercourse};

use super::{LabelBook, Pen};
use crate::theme::{bold, plain};
use crate::view::Stage;

/// Keeps labels off the marks of findings.
pub fn reserve_findings(pen: &Pen, labels: &mut LabelBook) {
    marked(pen).for_each(|(.., at)| labels.reserve(Rect::from_center_size(at, vec2(20.0, 20.0))));
}

/// Keeps labels off marks at one place.
pub fn reserve_marks(pen: &Pen, labels: &mut LabelBook) {
    for mark in pen.session.derived().plan.landmarks.values() {
        if let Outline::At(at) = mark.outline {
            labels.reserve(Rect::from_center_size(pen.lens.to_screen(at), vec2(8.0, 8.0)));
        }
    }
}

/// Findings that have a mark: those above a note, and the one that is looked at; with their number and place.
fn marked<'a>(pen: &'a Pen) -> impl Iterator<Item = (usize, &'a Finding, Pos2)> {
    let numbered = pen.session.derived().findings.iter().enumerate();
    let looked_at = |finding: &Finding| pen.view.finding == Some((finding.check, finding.at));
    let shown = numbered.filter(move |(_, finding)| finding.severity != Severity::Note || looked_at(finding));
    shown.map(|(i, finding)| (i + 1, finding, pen.lens.to_screen(finding.at)))
}

/// Writes what findings miss by.
pub fn amounts(pen: &Pen, labels: &mut LabelBook) {
    let marked: Vec<(usize, &Finding, Pos2)> = marked(pen).collect();
    for (_, finding, at) in marked.into_iter().rev() {
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

/// Writes the names of all watercourses.
pub fn watercourses(pen: &Pen, labels: &mut LabelBook) {
    pen.session.derived().plan.watercourses.values().for_each(|course| write_course(pen, labels, course));
}

fn write_course(pen: &Pen, labels: &mut LabelBook, course: &Watercourse) {
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

/// Writes the names of all marks.
pub fn marks(pen: &Pen, labels: &mut LabelBook) {
    pen.session.derived().plan.landmarks.values().for_each(|mark| write_mark(pen, labels, mark));
}

fn write_mark(pen: &Pen, labels: &mut LabelBook, mark: &Landmark) {
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

/// Writes outlets with invert and how high they stand above low water.
pub fn outlets(pen: &Pen, labels: &mut LabelBook) {
    for outlet in pen.session.derived().plan.outlets.values() {
        let at = pen.lens.to_screen(outlet.at);
        labels.reserve(egui::Rect::from_center_size(at, vec2(20.0, 20.0)));
        let places = [
            (at + vec2(14.0, 12.0), Align2::LEFT_TOP),
            (at + vec2(-14.0, 12.0), Align2::RIGHT_TOP),
            (at + vec2(22.0, 4.0), Align2::LEFT_CENTER),
            (at + vec2(14.0, -12.0), Align2::LEFT_BOTTOM),
            (at + vec2(-14.0, -12.0), Align2::RIGHT_BOTTOM),
        ];
        labels.write(pen, &places, &outlet_text(pen, outlet), bold(13.0), pen.palette.ink);
    }
}

fn outlet_text(pen: &Pen, outlet: &Outlet) -> String {
    let units = pen.session.derived().plan.title.units;
    let level = format!("{}   invert {}", outlet.name, units.level(outlet.invert_m));
    match outlet.low_water_m {
        Some(water_m) => format!("{level}\n{} above low water", units.depth(outlet.invert_m - water_m)),
        None => format!("{level}\nlow water not measured"),
    }
}

/// Writes the names of shots that stick out and of benchmarks.
pub fn survey(pen: &Pen, labels: &mut LabelBook) {
    let survey = pen.session.derived().survey.as_ref().filter(|_| pen.view.stage == Stage::Ground);
    let Some(survey) = survey else { return };
    for outlier in &survey.outliers {
        let at = pen.lens.to_screen(survey.shots[outlier.index].at);
        let places = [
            (at + vec2(14.0, -12.0), Align2::LEFT_BOTTOM),
            (at + vec2(-14.0, -12.0), Align2::RIGHT_BOTTOM),
            (at + vec2(0.0, 14.0), Align2::CENTER_TOP),
        ];
        labels.write(pen, &places, &survey.book.name_of(outlier.index), bold(12.0), pen.palette.to_decide);
    }
    for mark in &pen.session.derived().plan.survey.benchmarks {
        let at = pen.lens.to_screen(mark.at);
        let places = [(at + vec2(12.0, 0.0), Align2::LEFT_CENTER), (at - vec2(12.0, 0.0), Align2::RIGHT_CENTER)];
        labels.write(pen, &places, &mark.name, bold(12.0), pen.palette.ink);
    }
}

/// What stands beside a line: `L1  4 in  2.2 %`.
fn label(pen: &Pen, line: &Line, worked: Option<&LineDesign>) -> String {
    let units = pen.session.derived().plan.title.units;
    let mut text = format!("{}   {}", line.name, units.pipe(worked.map_or(line.size_m, |worked| worked.size_m)));
    if let LineKind::OldTile(old) = line.kind {
        text = format!("{text}   old tile, {}", word(old.evidence));
    } else if let Some(grade) = worked.and_then(LineDesign::mean_grade) {
        text = format!("{text}   {}", units.grade(grade));
    }
    text
}

fn word(evidence: plan::Evidence) -> &'static str {
    match evidence {
        plan::Evidence::Suspected => "suspected",
        plan::Evidence::Seen => "seen",
        plan::Evidence::Proved => "proved",
    }
}

/// Writes the labels of all lines where they fit; where lines lie close, only the name. No label lies on another line: it
/// would be read as that line's.
pub fn lines(pen: &Pen, labels: &mut LabelBook) {
    let derived = pen.session.derived();
    let paths: Vec<(LineId, Vec<Pos2>)> =
        derived.plan.lines.iter().map(|(id, line)| (*id, pen.lens.path(&line.points))).collect();
    for (id, line) in &derived.plan.lines {
        let text = label(pen, line, derived.design.lines.get(id));
        let look = pen.palette.look(Role::Line(Pipe::of(line.kind)));
        let chosen = pen.view.selection.line() == Some(*id);
        let colour = if chosen { pen.palette.ink } else { look.colour };
        let places = places_beside(pen, line);
        let is_clear = |rect: Rect| {
            let mut others = paths.iter().filter(|(other, _)| other != id);
            !others.any(|(_, path)| path.windows(2).any(|pair| meets(rect, pair[0], pair[1])))
        };
        [&text, &line.name]
            .into_iter()
            .find_map(|text| labels.write_where(pen, &places, (text, bold(13.0), colour), is_clear));
    }
}

/// True where a straight piece comes into a rectangle.
fn meets(rect: Rect, a: Pos2, b: Pos2) -> bool {
    let left = |corner: Pos2| (b - a).rot90().dot(corner - a) > 0.0;
    let corners = || [rect.left_top(), rect.right_top(), rect.left_bottom(), rect.right_bottom()].map(left);
    let parted = |[first, rest @ ..]: [bool; 4]| rest.iter().any(|other| *other != first);
    Rect::from_two_pos(a, b).intersects(rect) && parted(corners())
}

/// Places for a label: to either side, at several shares of the length.
fn places_beside(pen: &Pen, line: &Line) -> Vec<(Pos2, Align2)> {
    let length_m = line.length_m();
    let shares = [0.5, 0.62, 0.38, 0.75, 0.25, 0.88];
    let at = |share: f64| point_at(&line.points, share * length_m).map(|p| pen.lens.to_screen(p));
    let mut places = Vec::new();
    for share in shares {
        let (Some(here), Some(next)) = (at(share), at(share + 0.02)) else { continue };
        let upright = (next - here).y.abs() > (next - here).x.abs();
        places.extend(if upright {
            [(here + vec2(12.0, 0.0), Align2::LEFT_CENTER), (here - vec2(12.0, 0.0), Align2::RIGHT_CENTER)]
        } else {
            [(here - vec2(0.0, 10.0), Align2::CENTER_BOTTOM), (here + vec2(0.0, 10.0), Align2::CENTER_TOP)]
        });
    }
    places
}

#[cfg(test)]
mod tests {
    use egui::pos2;

    use super::*;

    #[test]
    fn a_piece_comes_into_a_rectangle_or_passes_its_corner() {
        let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(10.0, 4.0));
        assert!(meets(rect, pos2(-5.0, 2.0), pos2(20.0, 2.0)));
        assert!(meets(rect, pos2(4.0, 1.0), pos2(6.0, 2.0)));
        assert!(!meets(rect, pos2(-5.0, 5.0), pos2(20.0, 5.0)));
        assert!(!meets(rect, pos2(-2.0, 3.0), pos2(2.0, 7.0)));
    }
}
