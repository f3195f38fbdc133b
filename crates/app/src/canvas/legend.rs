//! The legend: what is on the map now and nothing else. It stands in the freest corner until somebody moves it, and never on
//! an outlet, the north arrow or the scale bar.

use drawing::{Form, Item, Key, Role, Scene};
use egui::{Align2, Pos2, Rect, Stroke, Vec2, pos2, vec2};
use measure::Point;

use super::names::meets;
use super::{LabelBook, Pen, furniture, rain, tint};
use crate::theme::plain;
use crate::view::{Switch, Tint};

const ROW: f32 = 17.0;
/// Where the words begin, from its left side, and the ends of what is shown before them.
const WORDS: f32 = 56.0;
const SAMPLE: (f32, f32) = (10.0, 46.0);
/// Way from the edges of the map, screen points.
const AWAY: f32 = 10.0;
/// Places that are tried where no corner is free, to each side.
const TRIED: usize = 12;

/// Where the legend stands.
#[derive(Default)]
pub struct LegendPlace {
    rect: Option<Rect>,
    rows: Vec<Row>,
    /// The corner it took by itself: it stays there while that is nearly as good as any, so that it does not jump about.
    corner: Option<usize>,
}

/// A row: what is shown, and its words.
struct Row {
    shown: Shown,
    words: String,
}

enum Shown {
    Key(Key),
    /// A class of the tint in use, of so many.
    Class(usize, usize),
}

impl LegendPlace {
    /// Its rectangle, where it is on the map.
    pub fn rect(&self) -> Option<Rect> {
        self.rect
    }

    /// Finds its place among what those scenes show, and keeps labels off it.
    pub fn place(&mut self, pen: &Pen, scenes: &[Scene], labels: &mut LabelBook) {
        self.rows = if pen.view.shows(Switch::Legend) { rows(pen, scenes) } else { Vec::new() };
        let size = size(pen, &self.rows);
        self.rect = if self.rows.is_empty() { None } else { self.find(pen, size, scenes) };
        self.rect.into_iter().for_each(|rect| labels.reserve(rect));
    }

    /// Paints it there.
    pub fn paint(&self, pen: &Pen) {
        self.rect.into_iter().for_each(|rect| draw(pen, rect, &self.rows));
    }

    /// Where it goes.
    fn find(&mut self, pen: &Pen, size: Vec2, scenes: &[Scene]) -> Option<Rect> {
        let outlets = pen.session.worked().plan.outlets.values().map(|outlet| pen.lens.to_screen(outlet.at));
        let outlets = outlets.map(|at| Rect::from_center_size(at, Vec2::splat(26.0)));
        let mut keep_off: Vec<Rect> = outlets.chain(furniture::rects(pen)).collect();
        keep_off.extend(pen.is_raining().then(|| rain::plate(pen)));
        let paths: Vec<Vec<Pos2>> =
            scenes.iter().flat_map(|scene| &scene.items).filter_map(|i| path(pen, i)).collect();
        let over = |rect: Rect| {
            let pieces = paths.iter().flat_map(|path| path.windows(2));
            pieces.filter(|pair| meets(rect, pair[0], pair[1])).count()
        };
        match pen.view.legend {
            Some(wanted) => nearest_free(pen.lens.rect, size, wanted, &keep_off),
            None => {
                let (corner, rect) = freest(pen.lens.rect, size, &keep_off, over, self.corner);
                self.corner = corner;
                rect
            }
        }
    }
}

/// What is drawn of the plan on the screen, where it may be covered; what the ground shows everywhere does not count.
fn path(pen: &Pen, item: &Item) -> Option<Vec<Pos2>> {
    match &item.form {
        Form::Path(points) | Form::Ring(points) if item.role != Role::Flow(drawing::Pipe::Main) => {
            Some(pen.lens.path(points))
        }
        Form::Sign(at, _) => {
            let at = pen.lens.to_screen(*at);
            Some(vec![at, at + vec2(1.0, 1.0)])
        }
        _ => None,
    }
}

/// Its rectangle at shares of the room it has.
fn at_share(map: Rect, size: Vec2, (x, y): (f32, f32)) -> Rect {
    let room = map.shrink(AWAY);
    let free = (room.size() - size).max(Vec2::ZERO);
    Rect::from_min_size(room.min + vec2(free.x * x.clamp(0.0, 1.0), free.y * y.clamp(0.0, 1.0)), size)
}

/// The shares of the room at which a legend of that size stands there.
pub fn share_of(map: Rect, rect: Rect) -> (f32, f32) {
    let room = map.shrink(AWAY);
    let free = (room.size() - rect.size()).max(Vec2::splat(1.0));
    let off = rect.min - room.min;
    ((off.x / free.x).clamp(0.0, 1.0), (off.y / free.y).clamp(0.0, 1.0))
}

/// The free place that is nearest to the one wanted; `None` where there is none.
pub fn nearest_free(map: Rect, size: Vec2, wanted: (f32, f32), keep_off: &[Rect]) -> Option<Rect> {
    let wanted = at_share(map, size, wanted);
    let is_free = |rect: &Rect| map.contains_rect(*rect) && keep_off.iter().all(|off| !off.intersects(*rect));
    let shares = (0..=TRIED).flat_map(|x| (0..=TRIED).map(move |y| (x, y)));
    let share = |i: usize| i as f32 / TRIED as f32;
    let others = shares.map(|(x, y)| at_share(map, size, (share(x), share(y))));
    let away = |rect: &Rect| rect.min.distance(wanted.min);
    std::iter::once(wanted).chain(others).filter(is_free).min_by(|a, b| away(a).total_cmp(&away(b)))
}

/// The corner in which the least lies under it; the former one while that is nearly as good. Where no corner is free, the
/// free place that is nearest to the first.
pub fn freest(
    map: Rect,
    size: Vec2,
    keep_off: &[Rect],
    over: impl Fn(Rect) -> usize,
    former: Option<usize>,
) -> (Option<usize>, Option<Rect>) {
    let corners = corners(map, size);
    let is_free = |rect: Rect| map.contains_rect(rect) && keep_off.iter().all(|off| !off.intersects(rect));
    let free: Vec<(usize, usize)> =
        (0..corners.len()).filter(|i| is_free(corners[*i])).map(|i| (over(corners[i]), i)).collect();
    let Some((least, best)) = free.iter().min().copied() else {
        return (None, nearest_free(map, size, (0.0, 1.0), keep_off));
    };
    let stays = free.iter().find(|(covered, i)| Some(*i) == former && *covered <= 2 * least + 4);
    let corner = stays.map_or(best, |(_, i)| *i);
    (Some(corner), Some(corners[corner]))
}

/// The corners: at the right it keeps clear of north arrow and scale bar.
fn corners(map: Rect, size: Vec2) -> [Rect; 4] {
    let (below_arrow, over_bar) = (furniture::ARROW.y + AWAY, furniture::BAR.y + AWAY);
    let room = map.shrink(AWAY);
    let right = room.right() - size.x;
    let places = [
        pos2(room.left(), room.bottom() - size.y),
        room.left_top(),
        pos2(right, map.top() + below_arrow),
        pos2(right, map.bottom() - over_bar - size.y),
    ];
    places.map(|at| Rect::from_min_size(at, size))
}

fn rows(pen: &Pen, scenes: &[Scene]) -> Vec<Row> {
    let (low, high) = pen.lens.seen();
    let in_sight = scenes.iter().flat_map(|scene| &scene.items).filter(|item| is_in_sight(item, (low, high)));
    let scene = Scene { time_s: None, items: in_sight.cloned().map(bare).collect() };
    let keys = drawing::legend(&scene).into_iter().chain(pen.rain_keys());
    let (land, others): (Vec<Key>, Vec<Key>) = keys.partition(|key| is_of_land(key.role));
    let row = |key: Key| Row { words: words(pen, key), shown: Shown::Key(key) };
    let classes = tint_classes(pen);
    let of = classes.len();
    let tints = classes.into_iter().map(|(class, words)| Row { shown: Shown::Class(class, of), words });
    others.into_iter().map(row).chain(tints).chain(land.into_iter().map(row)).collect()
}

/// Its role and whether it is a sign are all that counts.
fn bare(item: Item) -> Item<'static> {
    let origin = Point::new(0.0, 0.0);
    let form = if matches!(item.form, Form::Sign(..)) { Form::Sign(origin, origin) } else { Form::Words(origin) };
    Item::new(item.role, form)
}

fn is_of_land(role: Role) -> bool {
    matches!(
        role,
        Role::Swale | Role::Depression | Role::Running(_) | Role::Pond | Role::Contour | Role::IndexContour
    )
}

/// True for what comes into the map as it is seen.
fn is_in_sight(item: &Item, (low, high): (Point, Point)) -> bool {
    let meets = |points: &[Point]| {
        measure::extent(points.iter().copied())
            .is_some_and(|(a, b)| a.x <= high.x && b.x >= low.x && a.y <= high.y && b.y >= low.y)
    };
    match &item.form {
        Form::Path(points) | Form::Ring(points) | Form::Level(points, _) | Form::Stretch(points, ..) => meets(points),
        Form::Stream(points, _) => meets(points),
        Form::Strip(one, other) => meets(one) || meets(other),
        Form::Sign(at, _) | Form::Words(at) => meets(&[*at]),
        Form::Cells(..) | Form::Span(..) | Form::Upright(..) => true,
    }
}

/// What a row says: of a contour how far it is to the next.
fn words(pen: &Pen, key: Key) -> String {
    let units = pen.session.worked().plan.title.units;
    let told = |interval_m| format!("{} {}", drawing::level_words(interval_m, units), units.sign());
    let interval = pen.session.contours().map(|contours| told(contours.interval_m));
    match (key.role, interval) {
        (Role::Contour, Some(interval)) => format!("contour every {interval}"),
        _ => key.word.into(),
    }
}

/// The classes of the tint in use: class and words.
fn tint_classes(pen: &Pen) -> Vec<(usize, String)> {
    let tint = pen.view.layers.tint;
    let units = pen.session.worked().plan.title.units;
    let words = |bound: &f32| match tint {
        Tint::DaysWet => format!("wet {} or longer", measure::how_many(*bound as usize, "day")),
        Tint::Depth => format!("water from {} deep", units.depth(f64::from(*bound))),
        _ => format!("slope from {} %", (f64::from(*bound) * 1e4).round() / 100.0),
    };
    if tint == Tint::DaysWet && pen.view.drying.map().is_none() {
        return Vec::new();
    }
    tint::bounds(tint).iter().enumerate().map(|(i, bound)| (i + 1, words(bound))).collect()
}

fn size(pen: &Pen, rows: &[Row]) -> Vec2 {
    let width = |row: &Row| pen.painter.layout_no_wrap(row.words.clone(), plain(12.0), pen.palette.ink).size().x;
    let widest = rows.iter().map(width).fold(90.0, f32::max);
    vec2(WORDS + widest + 10.0, rows.len() as f32 * ROW + 12.0)
}

fn draw(pen: &Pen, rect: Rect, rows: &[Row]) {
    let palette = pen.palette;
    let edge = Stroke::new(1.0, palette.edge);
    pen.painter.rect(rect, 3.0, palette.faint(palette.paper, 0.9), edge, egui::StrokeKind::Inside);
    for (i, row) in rows.iter().enumerate() {
        let y = rect.top() + 6.0 + ROW * (i as f32 + 0.5);
        let ends = (pos2(rect.left() + SAMPLE.0, y), pos2(rect.left() + SAMPLE.1, y));
        match &row.shown {
            Shown::Key(key) => sample(pen, *key, ends),
            Shown::Class(class, of) => {
                let (fill, half) = (palette.tint(pen.view.layers.tint, *class, *of), vec2(0.0, ROW / 2.0));
                pen.painter.rect_filled(Rect::from_two_pos(ends.0 - half, ends.1 + half), 0.0, fill);
            }
        }
        let at = pos2(rect.left() + WORDS, y);
        pen.painter.text(at, Align2::LEFT_CENTER, &row.words, plain(12.0), palette.ink);
    }
}

/// How a thing looks on the map, from one place of the legend to another.
fn sample(pen: &Pen, key: Key, (a, b): (Pos2, Pos2)) {
    let look = pen.palette.look(key.role);
    let [from, middle, to] = [a, a + (b - a) / 2.0, b].map(|at| pen.lens.to_plan(at));
    let draw = |form| pen.draw(&Scene { time_s: None, items: vec![Item::new(key.role, form)] });
    let half = vec2(0.0, 5.0);
    let [high, low] = [-half, half].map(|off| vec![pen.lens.to_plan(a + off), pen.lens.to_plan(b + off)]);
    match key.role {
        _ if key.is_sign => draw(Form::Sign(middle, from)),
        Role::Depression | Role::Pond | Role::FlowPathLand => {
            pen.painter.rect_filled(Rect::from_two_pos(a - half, b + half), 5.0, look.colour);
        }
        Role::Flow(_) => pen.arrow(&look, a + (b - a) / 2.0, vec2(1.0, 0.0)),
        Role::Doubt => draw(Form::Strip(low, high)),
        // It lies on its line.
        Role::OutletPipe(pipe) => {
            let path = vec![from, to];
            let items = [Role::Line(pipe), key.role].map(|role| Item::new(role, Form::Path(path.as_slice().into())));
            pen.draw(&Scene { time_s: None, items: items.into() });
        }
        _ if look.fill != egui::Color32::TRANSPARENT => {
            draw(Form::Ring(high.into_iter().chain(low.into_iter().rev()).collect::<Vec<_>>().into()));
        }
        _ => draw(Form::Path(vec![from, to].into())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn places(count: std::ops::Range<usize>) -> impl Strategy<Value = Vec<Rect>> {
        let place =
            (0.0..1200.0f32, 0.0..800.0f32).prop_map(|(x, y)| Rect::from_center_size(pos2(x, y), Vec2::splat(26.0)));
        proptest::collection::vec(place, count)
    }

    proptest! {
        /// Wherever outlets lie and whatever else is drawn, by itself or where it was put: the legend stands within the map
        /// and on no outlet; where there is no such place it is left out.
        #[test]
        fn it_never_stands_on_an_outlet(
            outlets in places(0..60),
            lines in places(0..20),
            size in (60.0..420.0f32, 30.0..520.0f32),
            wanted in (0.0..1.0f32, 0.0..1.0f32),
            former in proptest::option::of(0usize..4),
        ) {
            let map = Rect::from_min_size(pos2(130.0, 40.0), vec2(900.0, 640.0));
            let size = vec2(size.0, size.1);
            let over = |rect: Rect| lines.iter().filter(|line| line.intersects(rect)).count();
            let (_, by_itself) = freest(map, size, &outlets, over, former);
            for rect in [by_itself, nearest_free(map, size, wanted, &outlets)].into_iter().flatten() {
                prop_assert!(map.contains_rect(rect));
                prop_assert!(outlets.iter().all(|outlet| !outlet.intersects(rect)));
            }
            if outlets.is_empty() {
                prop_assert!(by_itself.is_some());
                let put = nearest_free(map, size, wanted, &[]).unwrap();
                let share = share_of(map, put);
                prop_assert!((share.0 - wanted.0).abs() < 1e-3 && (share.1 - wanted.1).abs() < 1e-3);
            }
        }
    }

    #[test]
    fn it_takes_the_freest_corner_and_does_not_jump() {
        let map = Rect::from_min_size(pos2(0.0, 0.0), vec2(900.0, 640.0));
        let size = vec2(160.0, 200.0);
        let crowded = |rect: Rect| if rect.left() < 100.0 { 9 } else { usize::from(rect.top() > 300.0) };
        assert_eq!(freest(map, size, &[], crowded, None).0, Some(2));
        // The lower right corner is as good as free: who stands there stays.
        assert_eq!(freest(map, size, &[], crowded, Some(3)).0, Some(3));
        assert_eq!(freest(map, size, &[], crowded, Some(0)).0, Some(2));
    }
}
