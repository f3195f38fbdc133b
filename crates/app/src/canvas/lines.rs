//! Pipe lines, new and old, with arrows in the direction of flow.

use design::LineDesign;
use egui::epaint::{PathShape, Shape};
use egui::{Align2, Pos2, Rect, Stroke, vec2};
use measure::{Point, point_at};
use plan::{Line, LineId, LineKind};

use super::{LabelBook, Pen};
use crate::theme::{LineLook, bold};
use crate::view::Selection;

/// Way between two arrows, screen points.
const ARROW_EVERY: f32 = 150.0;

/// Paints every line, old tile first so that new pipe lies on top.
pub fn paint(pen: &Pen) {
    let derived = pen.session.derived();
    let (old, new): (Vec<_>, Vec<_>) = derived.plan.lines.iter().partition(|(_, line)| line.kind.is_old());
    for (id, line) in old.into_iter().chain(new) {
        paint_line(pen, *id, line, derived.design.lines.get(id));
    }
}

fn paint_line(pen: &Pen, id: LineId, line: &Line, worked: Option<&LineDesign>) {
    let path = pen.lens.path(&line.points);
    let look = pen.palette.line(line.kind);
    if pen.view.selection == Selection::AllLines || pen.view.selection.line() == Some(id) {
        stroke(pen, &path, look.width + 8.0, pen.palette.faint(pen.palette.next, 0.75));
    }
    stroke(pen, &path, look.width + 3.0, pen.palette.faint(pen.palette.paper, 0.9));
    match look.dash {
        None => stroke(pen, &path, look.width, look.colour),
        Some((dash, gap)) => {
            let shapes = Shape::dashed_line(&path, Stroke::new(look.width, look.colour), dash, gap);
            pen.painter.extend(shapes);
        }
    }
    if let Some(worked) = worked.filter(|worked| worked.outlet_pipe_m > 0.0) {
        paint_solid(pen, line, worked, look);
    }
    arrows(pen, &path, look);
    paint_end(pen, line, &path, look);
}

fn stroke(pen: &Pen, path: &[Pos2], width: f32, colour: egui::Color32) {
    pen.painter.add(Shape::Path(PathShape::line(path.to_vec(), Stroke::new(width, colour))));
}

/// Solid pipe shows as two edges with paper between.
fn paint_solid(pen: &Pen, line: &Line, worked: &LineDesign, look: LineLook) {
    let solid: Vec<Point> = stretch(&line.points, 0.0, worked.outlet_pipe_m);
    stroke(pen, &pen.lens.path(&solid), look.width - 2.4, pen.palette.paper);
}

/// The part of a polyline between two stations.
pub fn stretch(points: &[Point], from_m: f64, to_m: f64) -> Vec<Point> {
    let mut part: Vec<Point> = point_at(points, from_m).into_iter().collect();
    let mut so_far = 0.0;
    for pair in points.windows(2) {
        so_far += measure::distance(pair[0], pair[1]);
        if so_far > from_m && so_far < to_m {
            part.push(pair[1]);
        }
    }
    part.extend(point_at(points, to_m));
    part
}

/// Arrow heads along the way water takes: toward the first point.
fn arrows(pen: &Pen, path: &[Pos2], look: LineLook) {
    let mut due = ARROW_EVERY * 0.5;
    let mut way = 0.0;
    for pair in path.windows(2) {
        let step = pair[1] - pair[0];
        let length = step.length();
        while due <= way + length && length > 0.0 {
            let at = pair[0] + step * ((due - way) / length);
            if pen.lens.rect.contains(at) {
                arrow(pen, at, -step / length, look);
            }
            due += ARROW_EVERY;
        }
        way += length;
    }
}

fn arrow(pen: &Pen, at: Pos2, along: egui::Vec2, look: LineLook) {
    let size = look.width + 4.0;
    let side = along.rot90();
    let head = vec![
        at + along * size,
        at - along * size * 0.6 + side * size * 0.75,
        at - along * size * 0.6 - side * size * 0.75,
    ];
    pen.painter.add(Shape::convex_polygon(head, look.colour, Stroke::new(1.2, pen.palette.paper)));
}

/// A capped upper end is a bar across; a missing cap leaves an open ring.
fn paint_end(pen: &Pen, line: &Line, path: &[Pos2], look: LineLook) {
    let (Some(end), Some(before)) = (path.last(), path.iter().rev().nth(1)) else { return };
    if line.kind.is_old() {
        return;
    }
    if line.capped {
        let side = (*end - *before).normalized().rot90() * (look.width * 0.5 + 3.0);
        pen.painter.line_segment([*end - side, *end + side], Stroke::new(2.4, look.colour));
    } else {
        pen.painter.circle(*end, look.width * 0.5 + 3.0, pen.palette.paper, Stroke::new(1.6, look.colour));
    }
}

/// What stands beside a line: `L1  4 in  2.2 %`.
pub fn label(pen: &Pen, line: &Line, worked: Option<&LineDesign>) -> String {
    let units = pen.session.derived().plan.title.units;
    let mut text = format!(
        "{}   {}",
        line.name,
        worked.map_or_else(|| units.pipe(line.size_m), |worked| takeoff::sizes(worked, units))
    );
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
pub fn paint_labels(pen: &Pen, labels: &mut LabelBook) {
    let derived = pen.session.derived();
    let paths: Vec<(LineId, Vec<Pos2>)> =
        derived.plan.lines.iter().map(|(id, line)| (*id, pen.lens.path(&line.points))).collect();
    for (id, line) in &derived.plan.lines {
        let text = label(pen, line, derived.design.lines.get(id));
        let look = pen.palette.line(line.kind);
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
