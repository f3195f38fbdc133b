//! What stands beside the things of the map, where there is room.

use drawing::{Anchor, Form, Label, Role, Scene};
use egui::{Align2, Pos2, Rect, Vec2, vec2};
use measure::{Point, path_length, point_at};

use super::{LabelBook, Pen};

/// Keeps labels off signs.
pub fn reserve(pen: &Pen, scene: &Scene, labels: &mut LabelBook) {
    for item in &scene.items {
        if let (Form::Sign(at, _), Some(side)) = (&item.form, kept(item.role)) {
            labels.reserve(Rect::from_center_size(pen.lens.to_screen(*at), Vec2::splat(side)));
        }
    }
}

/// The side of the square that a sign keeps free, screen points.
fn kept(role: Role) -> Option<f32> {
    match role {
        Role::WantedShot => Some(16.0),
        Role::Finding(_) | Role::Outlet => Some(20.0),
        Role::Mark(_) => Some(8.0),
        _ => None,
    }
}

/// Writes labels where they fit, the most important first; where lines lie close, only the name. No label of a line lies on
/// another line: it would be read as that line's.
pub fn write(pen: &Pen, words: &[Label], labels: &mut LabelBook) {
    let plans = [Some(&pen.session.worked().plan), pen.view.proposed().map(|proposal| &proposal.plan)];
    let lines = plans.into_iter().flatten().flat_map(|plan| plan.lines.values());
    let paths: Vec<(&[Point], Vec<Pos2>)> =
        lines.map(|line| (line.points.as_slice(), pen.lens.path(&line.points))).collect();
    for label in words {
        let places = places(pen, label);
        let others = paths.iter().filter(|(points, _)| !is_its_own(label, points));
        let others: Vec<&Vec<Pos2>> = others.map(|(_, path)| path).collect();
        let is_clear = |rect: Rect| {
            !is_line(label.role)
                || !others.iter().any(|path| path.windows(2).any(|pair| meets(rect, pair[0], pair[1])))
        };
        let (colour, font) = pen.palette.look(label.role).words();
        let colour = if label.is_chosen { pen.palette.ink } else { colour };
        let _ =
            texts(label).iter().find_map(|text| labels.write(pen, &places, (text, font.clone(), colour), is_clear));
    }
}

const fn is_line(role: Role) -> bool {
    matches!(role, Role::Line(_) | Role::ProposedMain | Role::ProposedLateral)
}

fn is_its_own(label: &Label, points: &[Point]) -> bool {
    matches!(&label.anchor, Anchor::Along(path) if std::ptr::eq(path.as_ref(), points))
}

/// What is written, in full, and for a line what will do.
fn texts(label: &Label) -> Vec<String> {
    const APART: &str = "   ";
    let mut full = label.in_full(APART, true);
    if !label.what.is_empty() {
        full = format!("{full}{APART}{}", label.what);
    }
    if !label.more.is_empty() {
        full = format!("{full}\n{}", label.more);
    }
    if matches!(label.role, Role::Line(_)) { vec![full, label.name.clone()] } else { vec![full] }
}

/// Places for a label, the best first.
fn places(pen: &Pen, label: &Label) -> Vec<(Pos2, Align2)> {
    if let Anchor::Along(path) = &label.anchor
        && is_line(label.role)
    {
        return places_beside(pen, path);
    }
    let Some(at) = label.anchor.middle().map(|at| pen.lens.to_screen(at)) else { return Vec::new() };
    let corners = |x: f32, y: f32| {
        [
            (vec2(x, -y), Align2::LEFT_BOTTOM),
            (vec2(-x, -y), Align2::RIGHT_BOTTOM),
            (vec2(x, y), Align2::LEFT_TOP),
            (vec2(-x, y), Align2::RIGHT_TOP),
        ]
    };
    let sides = |x: f32| [(vec2(x, 0.0), Align2::LEFT_CENTER), (vec2(-x, 0.0), Align2::RIGHT_CENTER)];
    let below = |y: f32| (vec2(0.0, y), Align2::CENTER_TOP);
    let places: Vec<(Vec2, Align2)> = match label.role {
        Role::Outlet => {
            let [up_right, up_left, right, left] = corners(14.0, 12.0);
            vec![right, left, (vec2(22.0, 4.0), Align2::LEFT_CENTER), up_right, up_left]
        }
        Role::Mark(_) => {
            let [up_right, up_left, right, left] = corners(9.0, 7.0);
            vec![up_right, right, up_left, left]
        }
        Role::Finding(_) => [sides(15.0).as_slice(), &[below(15.0)]].concat(),
        Role::Outlier => [&corners(14.0, 12.0)[..2], &[below(14.0)]].concat(),
        Role::FlowPathFoot => corners(12.0, 10.0)[..3].to_vec(),
        Role::WantedShot => {
            [corners(7.0, 5.0).as_slice(), &sides(13.0), &[below(13.0)], &corners(16.0, 18.0)].concat()
        }
        Role::Benchmark => sides(12.0).to_vec(),
        _ => corners(10.0, 8.0).to_vec(),
    };
    places.into_iter().map(|(off, align)| (at + off, align)).collect()
}

/// Places for a label beside a line: to either side, at several shares of the length.
fn places_beside(pen: &Pen, path: &[Point]) -> Vec<(Pos2, Align2)> {
    let length_m = path_length(path);
    let shares = [0.5, 0.62, 0.38, 0.75, 0.25, 0.88];
    let at = |share: f64| point_at(path, share * length_m).map(|p| pen.lens.to_screen(p));
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

/// True where a straight piece comes into a rectangle.
pub fn meets(rect: Rect, a: Pos2, b: Pos2) -> bool {
    let left = |corner: Pos2| (b - a).rot90().dot(corner - a) > 0.0;
    let corners = || [rect.left_top(), rect.right_top(), rect.left_bottom(), rect.right_bottom()].map(left);
    let parted = |[first, rest @ ..]: [bool; 4]| rest.iter().any(|other| *other != first);
    Rect::from_two_pos(a, b).intersects(rect) && parted(corners())
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
