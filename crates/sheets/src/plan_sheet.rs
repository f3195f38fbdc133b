//! The plan sheet: the whole field to scale.

use drawing::{Form, Item as Thing, Layer, MapOf, NoDig, Scene};
use measure::{LengthUnit, Point};
use plan::{Line, LineId};
use takeoff::Deep;

use crate::book::Making;
use crate::labels::{Labels, Rect, within};
use crate::look::{BARRED, DOT, Look, Sign, look};
use crate::notices::stretch_words;
use crate::page::{Align, Item, Page, Part, Shape, Stroke, dot, line_item, rect_item};
use crate::scale;
use crate::title_block::above_block;

/// Width of the column with legend and tables, millimetres.
const SIDE: f64 = 66.0;

/// What the sheet shows: under the crosses of the grid, and over them.
const UNDER: [Layer; 3] = [Layer::Contours, Layer::Boundary, Layer::Watercourses];
const OVER: [Layer; 10] = [
    Layer::Marks,
    Layer::Protected,
    Layer::Lines,
    Layer::Solid,
    Layer::Ends,
    Layer::Joints,
    Layer::Outlets,
    Layer::Benchmarks,
    Layer::NoDig,
    Layer::Findings,
];

/// The north arrow's way from the right edge of the map, millimetres.
pub(crate) const NORTH: f64 = 6.0;

/// The map on the paper.
pub(crate) struct Map {
    pub rect: Rect,
    centre: Point,
    /// Millimetres of paper for a metre of land.
    pub mm_per_m: f64,
}

impl Map {
    /// A map about a place at a scale: metres of land for a metre of paper.
    pub fn at(rect: Rect, centre: Point, scale: f64) -> Self {
        Self { rect, centre, mm_per_m: 1000.0 / scale }
    }

    /// A map of what lies between two corners, as large as a rectangle takes it with a margin: at no scale in particular.
    pub fn fitted(rect: Rect, (low, high): (Point, Point), margin_mm: f64) -> Self {
        let across = (rect.2 - 2.0 * margin_mm) / (high.x - low.x).max(1.0);
        let up = (rect.3 - 2.0 * margin_mm) / (high.y - low.y).max(1.0);
        Self { rect, centre: measure::along(low, high, 0.5), mm_per_m: across.min(up) }
    }

    /// Metres of land for a metre of paper.
    pub fn scale(&self) -> f64 {
        1000.0 / self.mm_per_m
    }

    pub fn place(&self, p: Point) -> (f64, f64) {
        let (x, y, w, h) = self.rect;
        let across_mm = x + w / 2.0 + (p.x - self.centre.x) * self.mm_per_m;
        (across_mm, y + h / 2.0 - (p.y - self.centre.y) * self.mm_per_m)
    }

    pub fn path(&self, points: &[Point]) -> Vec<(f64, f64)> {
        points.iter().map(|p| self.place(*p)).collect()
    }
}

/// Draws at the head of the column, from left, top and width, and answers where that ends.
type Aside<'f, M> = dyn Fn(&M, &mut Page, (f64, f64, f64)) -> f64 + 'f;

impl Making<'_> {
    /// The sheet.
    pub(crate) fn plan_sheet(&self) -> Page {
        self.plan_sheet_with(|_, _| Vec::new())
    }

    /// The sheet with something over the map.
    pub(crate) fn plan_sheet_with(&self, over: impl Fn(&Self, &Map) -> Vec<Item>) -> Page {
        let whole = |rect: Rect| self.map(rect, std::iter::empty());
        self.sheet_on("Plan", &whole, &over, &|_, _, (_, y, _)| y)
    }

    /// A sheet with that map, something over it, and something at the head of its column.
    pub(crate) fn sheet_on(
        &self,
        title: &str,
        map: &dyn Fn(Rect) -> Map,
        over: &dyn Fn(&Self, &Map) -> Vec<Item>,
        aside: &Aside<Self>,
    ) -> Page {
        let (mut page, matter) = self.page(self.work.paper.lying_mm(), title);
        let ((x, y, w, h), block_mm) = above_block(matter);
        let map = map(map_rect(matter));
        let (mut items, mut shown) = drawn(&map, &self.map_of().scene(&UNDER));
        self.grid(&map, &mut items);
        let layers: Vec<Layer> =
            OVER.into_iter().filter(|layer| *layer != Layer::Findings || self.numbers_findings(&map)).collect();
        let (above, mut shown_above) = drawn(&map, &self.map_of().scene(&layers));
        items.extend(above);
        shown.items.append(&mut shown_above.items);
        let (over, mut labels) = (over(self, &map), Labels::new(&self.ink, map.rect));
        over.iter().for_each(|item| labels.keep_off_item(item));
        let left_out = self.plan_labels(&map, &mut labels);
        items.append(&mut labels.items);
        items.extend(over);
        let first = page.items.len();
        page.items.push(Item::Within(map.rect, items));
        page.rect(map.rect, Some(Stroke::black(0.5)), None);
        north(&mut page, map.rect);
        page.part_since(first, Part::Figure(self.map_words()));
        let column = x + w - SIDE;
        let head_mm = aside(self, &mut page, (column, y, SIDE));
        self.side(&mut page, &map, (column, head_mm, SIDE, y + h - head_mm), (&left_out, &shown));
        let terms = [scale::words(map.scale(), self.work.plan.title.units), self.contour_words()];
        self.title_block(&mut page, (x, block_mm, w), terms);
        page
    }

    /// The map in words.
    fn map_words(&self) -> String {
        let plan = self.work.plan;
        let names: Vec<&str> = plan.lines.values().map(|line| line.name.as_str()).collect();
        format!(
            "Map of {} to scale, north up, with the field, outlets and lines {}",
            plan.title.name,
            names.join(", ")
        )
    }

    /// The map of the plan and of what lies beyond it at the largest common scale at which it fits.
    pub(crate) fn map(&self, rect: Rect, beyond: impl Iterator<Item = Point>) -> Map {
        let (low, high) = self.corners(beyond);
        let least_m = |room_mm: f64, wide_m: f64| wide_m * 1000.0 / (room_mm - 12.0);
        let least = least_m(rect.2, high.x - low.x).max(least_m(rect.3, high.y - low.y));
        let scale = scale::from(&scale::of_maps(self.work.plan.title.units), least);
        Map::at(rect, measure::along(low, high, 0.5), scale)
    }

    /// The corners of all that the plan draws and of what lies beyond it, metres.
    pub(crate) fn corners(&self, beyond: impl Iterator<Item = Point>) -> (Point, Point) {
        let plan = self.work.plan;
        let field = plan.field.iter().flat_map(|field| field.ring.iter());
        let lines = plan.lines.values().flat_map(|line| line.points.iter());
        let outlets = plan.outlets.values().map(|outlet| &outlet.at);
        let corners = measure::extent(field.chain(lines).chain(outlets).copied().chain(beyond));
        corners.unwrap_or((Point::new(0.0, 0.0), Point::new(100.0, 100.0)))
    }

    /// What the map is made from.
    pub fn map_of(&self) -> MapOf<'_> {
        let work = self.work;
        let map = MapOf::new(work.plan, work.design);
        MapOf { no_dig: &self.no_dig, contours: work.contours, findings: work.findings, ..map }
    }

    /// All of the map.
    pub fn whole_scene(&self) -> Scene<'_> {
        self.map_of().scene(&[UNDER.as_slice(), &OVER].concat())
    }

    /// Crosses of the grid.
    fn grid(&self, map: &Map, items: &mut Vec<Item>) {
        let (eastings, northings) = self.grid_lines(map);
        let centres = eastings.iter().flat_map(|x| northings.iter().map(|y| map.place(Point::new(*x, *y))));
        items.extend(centres.flat_map(|(px, py)| {
            let cross = [[(px - 1.2, py), (px + 1.2, py)], [(px, py - 1.2), (px, py + 1.2)]];
            cross.map(|arm| line_item(&arm, Stroke::grey(0.12, 120)))
        }));
    }

    /// Round eastings and northings on the sheet, metres.
    pub fn grid_lines(&self, map: &Map) -> (Vec<f64>, Vec<f64>) {
        let across = self.work.reference.across;
        let unit_m = across.metres();
        let steps = if across == LengthUnit::Metre {
            [20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        } else {
            [50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0]
        };
        let wide_enough = steps.iter().map(|s| s * unit_m).find(|step_m| step_m * map.mm_per_m >= 30.0);
        let step_m = wide_enough.unwrap_or(2000.0 * unit_m);
        let along = |centre_m: f64, side_mm: f64| {
            let half_m = side_mm / 2.0 / map.mm_per_m;
            let (first, last) = ((centre_m - half_m) / step_m, (centre_m + half_m) / step_m);
            (first.ceil() as i64..=last.floor() as i64).map(|i| i as f64 * step_m).collect()
        };
        (along(map.centre.x, map.rect.2), along(map.centre.y, map.rect.3))
    }

    /// New lines with trench to be protected.
    pub fn deep_lines(&self) -> Vec<(LineId, &Line, Deep)> {
        let plan = self.work.plan;
        let new = plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
        let deep = new.filter_map(|(id, line)| {
            let deep = Deep::of(self.work.design.lines.get(id)?, &plan.criteria);
            (!deep.protected.is_empty()).then_some((*id, line, deep))
        });
        deep.collect()
    }

    /// Stretches that nobody digs: number on the punch list, place in words, course.
    pub fn no_dig_parts(&self) -> Vec<(usize, String, Vec<Point>)> {
        let plan = self.work.plan;
        let parts = self.no_dig.iter().filter_map(|NoDig { number, line, stretch_m }| {
            let line = plan.lines.get(line)?;
            let place = format!("{} {}", line.name, stretch_words(*stretch_m, plan.title.units));
            Some((*number, place, measure::part_of(&line.points, stretch_m.0, stretch_m.1)))
        });
        parts.collect()
    }
}

/// The arrow to the north, in the right upper corner of a map.
pub(crate) fn north(page: &mut Page, (x, y, w, _): (f64, f64, f64, f64)) {
    let (tip, left) = ((x + w - NORTH, y + 4.0), x + w - NORTH);
    page.line(&[(left, y + 18.0), tip], Stroke::black(0.5));
    let head = vec![tip, (left - 2.0, y + 9.0), (left, y + 8.0), (left + 2.0, y + 9.0)];
    page.items.push(Item::Shape(Shape { points: head, closed: true, stroke: None, fill: Some(0) }));
    page.text((left, y + 22.5), 10.0, true, Align::Middle, "N");
}

/// Where the map stands in what a page has for its matter: beside the column, over the title block.
pub(crate) fn map_rect(matter: Rect) -> Rect {
    let ((x, y, w, h), _) = above_block(matter);
    (x, y, w - SIDE - 4.0, h)
}

/// The things of a scene that reach the map, as they are drawn, and the scene of them alone.
pub(crate) fn drawn<'s>(map: &Map, scene: &Scene<'s>) -> (Vec<Item>, Scene<'s>) {
    let (mut items, mut things) = (Vec::new(), Vec::new());
    for thing in &scene.items {
        let drawn: Vec<Item> = draw(map, thing).into_iter().filter(|item| reaches(item, map.rect)).collect();
        if !drawn.is_empty() {
            items.extend(drawn);
            things.push(thing.clone());
        }
    }
    (items, Scene { time_s: scene.time_s, items: things })
}

/// True for what is drawn at least in part inside a rectangle.
fn reaches(item: &Item, (x, y, w, h): Rect) -> bool {
    let holds = |(px, py): (f64, f64)| (x..=x + w).contains(&px) && (y..=y + h).contains(&py);
    match item {
        Item::Shape(Shape { points, closed, fill, .. }) => {
            let ring: Vec<(f64, f64)> = points.iter().chain(points.first().filter(|_| *closed)).copied().collect();
            let corner = Point::new(x, y);
            let around = || {
                let ring: Vec<Point> = points.iter().map(|(px, py)| Point::new(*px, *py)).collect();
                fill.is_some() && measure::ring_holds(&ring, corner)
            };
            !within(&ring, (x, y, w, h)).is_empty() || around()
        }
        Item::Within((left, top, wide, high), _) => holds((left + wide / 2.0, top + high / 2.0)),
        Item::Text(text) => holds(text.at),
        Item::Picture(..) | Item::Part(..) => true,
    }
}

fn draw(map: &Map, thing: &Thing) -> Vec<Item> {
    let look = look(thing.role);
    let stroke = |points: &[Point]| look.stroke.clone().map(|stroke| line_item(&map.path(points), stroke));
    match &thing.form {
        Form::Path(points) if look.sign == Sign::Arrow => arrow_along(map, points).into_iter().collect(),
        Form::Path(points) | Form::Level(points, _) => stroke(points).into_iter().collect(),
        Form::Stream(points, _) => stroke(points).into_iter().collect(),
        Form::Ring(points) => {
            let Look { stroke, fill, .. } = look;
            vec![Item::Shape(Shape { points: map.path(points), closed: true, stroke, fill })]
        }
        Form::Stretch(points, from_m, to_m) if look.sign == Sign::Ticks => ticks(map, points, *from_m, *to_m),
        Form::Stretch(points, from_m, to_m) => {
            let part = measure::part_of(points, *from_m, *to_m);
            let middle = measure::point_at(&part, measure::path_length(&part) / 2.0);
            let sign = middle.and_then(|at| sign(look.sign, map.place(at), map.place(at)));
            stroke(&part).into_iter().chain(sign).collect()
        }
        Form::Sign(at, toward) => sign(look.sign, map.place(*at), map.place(*toward)).into_iter().collect(),
        Form::Strip(one, other) => {
            let round: Vec<Point> = one.iter().chain(other.iter().rev()).copied().collect();
            vec![Item::Shape(Shape { points: map.path(&round), closed: true, stroke: look.stroke, fill: look.fill })]
        }
        // Tints and what belongs to a profile.
        Form::Cells(..) | Form::Words(_) | Form::Span(..) | Form::Upright(..) => Vec::new(),
    }
}

/// A sign at its place, which looks toward another.
pub(crate) fn sign(sign: Sign, (x, y): (f64, f64), toward: (f64, f64)) -> Option<Item> {
    match sign {
        Sign::Nothing | Sign::Ticks | Sign::Arrow => None,
        Sign::Dot(fill) => Some(dot((x, y), DOT, fill)),
        Sign::Square => Some(rect_item((x - 1.4, y - 1.4, 2.8, 2.8), Some(Stroke::black(0.4)), Some(255))),
        Sign::Triangle => Some(triangle((x, y))),
        Sign::Benchmark => {
            let round = (x - 1.4, y - 1.6, 2.8, 2.4);
            Some(Item::Within(round, vec![triangle((x, y)), dot((x, y), 0.35, 0)]))
        }
        Sign::Bar => Some(bar((x, y), toward)),
        Sign::Wedge => Some(wedge((x, y), toward)),
        Sign::Barred => Some(barred((x, y))),
    }
}

/// A place from another along a direction and to its side, millimetres.
fn off((x, y): (f64, f64), toward: (f64, f64), (along_mm, aside_mm): (f64, f64)) -> (f64, f64) {
    let length_mm = (toward.0 - x).hypot(toward.1 - y).max(1e-9);
    let (ux, uy) = ((toward.0 - x) / length_mm, (toward.1 - y) / length_mm);
    (x + ux * along_mm - uy * aside_mm, y + uy * along_mm + ux * aside_mm)
}

/// The sign of an upper end with its cap.
fn bar(at: (f64, f64), toward: (f64, f64)) -> Item {
    line_item(&[1.3, -1.3].map(|aside_mm| off(at, toward, (0.0, aside_mm))), Stroke::black(0.6))
}

/// The sign of a change of size: a wedge that is wide where the pipe is.
pub(crate) fn wedge(at: (f64, f64), toward: (f64, f64)) -> Item {
    let corners = [(1.5, 1.6), (1.5, -1.6), (-1.5, -0.7), (-1.5, 0.7)];
    let points = corners.map(|corner| off(at, toward, corner)).to_vec();
    Item::Shape(Shape { points, closed: true, stroke: Some(Stroke::black(0.35)), fill: Some(255) })
}

/// An upright triangle.
fn triangle((x, y): (f64, f64)) -> Item {
    let points = vec![(x, y - 1.6), (x + 1.4, y + 0.8), (x - 1.4, y + 0.8)];
    Item::Shape(Shape { points, closed: true, stroke: Some(Stroke::black(0.35)), fill: Some(255) })
}

/// The sign of a stretch that nobody digs: a cross in a ring.
fn barred((x, y): (f64, f64)) -> Item {
    let arm = BARRED * 0.62;
    let arms = [[(x - arm, y - arm), (x + arm, y + arm)], [(x - arm, y + arm), (x + arm, y - arm)]];
    let cross = arms.map(|arm| line_item(&arm, Stroke::black(0.8)));
    let ring = (x - BARRED - 0.5, y - BARRED - 0.5, 2.0 * BARRED + 1.0, 2.0 * BARRED + 1.0);
    Item::Within(ring, [dot((x, y), BARRED, 255)].into_iter().chain(cross).collect())
}

/// Ticks across a stretch of solid or heavy pipe.
fn ticks(map: &Map, path: &[Point], from_m: f64, to_m: f64) -> Vec<Item> {
    let every_m = 1.8 / map.mm_per_m;
    let count = ((to_m - from_m) / every_m).floor().clamp(1.0, 400.0) as usize;
    let tick = |i: usize| {
        let station_m = from_m + (to_m - from_m) * (i as f64 + 0.5) / count as f64;
        let (a, b) = (measure::point_at(path, station_m)?, measure::point_at(path, station_m + 0.5)?);
        let length_m = measure::distance(a, b).max(1e-9);
        let ((x, y), ux, uy) = (map.place(a), (b.x - a.x) / length_m, (b.y - a.y) / length_m);
        Some(line_item(&[(x - uy, y - ux), (x + uy, y + ux)], Stroke::black(0.25)))
    };
    (0..count).filter_map(tick).collect()
}

/// An arrow head half-way along a line.
fn arrow_along(map: &Map, path: &[Point]) -> Option<Item> {
    let middle_m = measure::path_length(path) / 2.0;
    let (from, to) = (measure::point_at(path, middle_m)?, measure::point_at(path, middle_m * 0.96)?);
    Some(arrow(map.place(from), map.place(to)))
}

/// An arrow head in the direction of flow.
pub(crate) fn arrow((ax, ay): (f64, f64), (bx, by): (f64, f64)) -> Item {
    let length = (bx - ax).hypot(by - ay).max(1e-9);
    let (ux, uy) = ((bx - ax) / length, (by - ay) / length);
    let corner = |along: f64, aside: f64| (ax + ux * along - uy * aside, ay + uy * along + ux * aside);
    Item::Shape(Shape {
        points: vec![corner(2.0, 0.0), corner(-0.6, 0.9), corner(-0.6, -0.9)],
        closed: true,
        stroke: None,
        fill: Some(0),
    })
}
