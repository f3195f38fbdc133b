//! Scale bar, north arrow, legend and the cautions: what makes a drawing a map.

use drawing::{Key, Layer, Role};
use egui::epaint::Shape;
use egui::{Align2, Pos2, Rect, Stroke, pos2, vec2};

use super::{LabelBook, Pen, tint};
use crate::theme::{Trim, bold, plain};
use crate::view::Tint;

/// Longest scale bar, screen points.
const LONGEST_BAR: f32 = 190.0;

/// Keeps labels out of the corners where the furniture stands.
pub fn reserve(pen: &Pen, keys: &[Key], labels: &mut LabelBook) {
    let rect = pen.lens.rect;
    labels.reserve(Rect::from_min_size(rect.right_bottom() - vec2(240.0, 52.0), vec2(240.0, 52.0)));
    labels.reserve(Rect::from_min_size(rect.right_top() - vec2(52.0, 0.0), vec2(52.0, 70.0)));
    labels.reserve(legend_rect(pen, keys));
}

/// Paints all of it.
pub fn paint(pen: &Pen, keys: &[Key]) {
    north(pen);
    scale_bar(pen);
    legend(pen, keys);
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

/// The rows of the legend: of the layers that are on those whose things have no name beside them that tells what they are.
pub fn keys(pen: &Pen) -> Vec<Key> {
    let listed = [Layer::Lines, Layer::Watercourses, Layer::Edges, Layer::Swales, Layer::Depressions];
    let shown: Vec<Layer> = pen.shown().into_iter().filter(|layer| listed.contains(layer)).collect();
    let keys = drawing::legend(&pen.map().scene(&shown)).into_iter();
    keys.filter(|key| !matches!(key.role, Role::OutletPipe(_))).chain(pen.rain_keys()).collect()
}

/// The classes of the tint in use: class and words.
fn tint_rows(pen: &Pen) -> Vec<(usize, String)> {
    let tint = pen.view.layers.tint;
    let units = pen.session.worked().plan.title.units;
    let words = |bound: &f32| match tint {
        Tint::Depth => format!("water from {} deep", units.depth(f64::from(*bound))),
        _ => format!("slope from {} %", (f64::from(*bound) * 1e4).round() / 100.0),
    };
    tint::bounds(tint).iter().enumerate().map(|(i, bound)| (i + 1, words(bound))).collect()
}

const ROW: f32 = 18.0;
/// Where the words of the legend begin, from its left side.
const WORDS: f32 = 56.0;

fn legend_rect(pen: &Pen, keys: &[Key]) -> Rect {
    let tints = tint_rows(pen);
    let rows = keys.len() + tints.len();
    // The words of a tint hold figures and may be long; all others fit.
    let width = |text: String| pen.painter.layout_no_wrap(text, plain(12.0), pen.palette.ink).size().x;
    let widest = tints.into_iter().map(|(_, text)| width(text)).fold(110.0, f32::max);
    let size = vec2(WORDS + widest + 10.0, rows as f32 * ROW + 12.0);
    Rect::from_min_size(pen.lens.rect.left_bottom() - vec2(0.0, size.y) + vec2(10.0, -10.0), size)
}

fn legend(pen: &Pen, keys: &[Key]) {
    let rect = legend_rect(pen, keys);
    let palette = pen.palette;
    pen.painter.rect(
        rect,
        3.0,
        palette.faint(palette.paper, 0.88),
        Stroke::new(1.0, palette.edge),
        egui::StrokeKind::Inside,
    );
    let mut y = rect.top() + 6.0 + ROW / 2.0;
    let mut row = |text: &str, draw: &dyn Fn(Pos2, Pos2)| {
        draw(pos2(rect.left() + 10.0, y), pos2(rect.left() + 46.0, y));
        pen.painter.text(pos2(rect.left() + WORDS, y), Align2::LEFT_CENTER, text, plain(12.0), palette.ink);
        y += ROW;
    };
    let (water, others): (Vec<&Key>, Vec<&Key>) = keys
        .iter()
        .partition(|key| matches!(key.role, Role::Swale | Role::Depression | Role::Running(_) | Role::Pond));
    others.into_iter().for_each(|key| row(key.word, &|a, b| sample(pen, key.role, a, b)));
    let classes = tint_rows(pen);
    for (class, text) in &classes {
        let fill = palette.tint(pen.view.layers.tint, *class, classes.len());
        let half = vec2(0.0, ROW / 2.0);
        row(text, &|a, b| {
            pen.painter.rect_filled(Rect::from_two_pos(a - half, b + half), 0.0, fill);
        });
    }
    water.into_iter().for_each(|key| row(key.word, &|a, b| sample(pen, key.role, a, b)));
}

/// How a thing looks on the map, from one place of the legend to another.
fn sample(pen: &Pen, role: Role, a: Pos2, b: Pos2) {
    let look = pen.palette.look(role);
    if matches!(role, Role::Depression | Role::Pond) {
        let rect = Rect::from_two_pos(a - vec2(0.0, 5.0), b + vec2(0.0, 5.0));
        pen.painter.rect_filled(rect, 5.0, look.colour);
    } else if look.dash.is_empty() && look.trim == Trim::Plain {
        pen.painter.line_segment([a, b], Stroke::new(look.width, look.colour));
    } else {
        pen.course(&look, &[a, b]);
    }
}
