//! The plan sheet: the whole field to scale.

use drawing::{Form, Item as Thing, Layer, MapOf, NoDig, Scene};
use measure::{LengthUnit, Point};
use plan::{Line, LineId};
use takeoff::Deep;

use crate::book::Making;
use crate::labels::{Labels, Rect};
use crate::look::{BARRED, DOT, Look, Sign, look};
use crate::notices::stretch_words;
use crate::page::{Align, Item, Page, Part, Shape, Stroke, dot, line_item, rect_item};
use crate::scale;

/// Width of the column with legend and tables, millimetres.
const SIDE: f64 = 66.0;

/// What the sheet shows: under the crosses of the grid, and over them.
const UNDER: [Layer; 3] = [Layer::Contours, Layer::Boundary, Layer::Watercourses];
const OVER: [Layer; 8] = [
    Layer::Marks,
    Layer::Protected,
    Layer::Lines,
    Layer::Solid,
    Layer::Joints,
    Layer::Outlets,
    Layer::Benchmarks,
    Layer::NoDig,
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
    pub fn place(&self, p: Point) -> (f64, f64) {
        let (x, y, w, h) = self.rect;
        let across_mm = x + w / 2.0 + (p.x - self.centre.x) * self.mm_per_m;
        (across_mm, y + h / 2.0 - (p.y - self.centre.y) * self.mm_per_m)
    }

    pub fn path(&self, points: &[Point]) -> Vec<(f64, f64)> {
        points.iter().map(|p| self.place(*p)).collect()
    }
}

impl Making<'_> {
    /// The sheet.
    pub(crate) fn plan_sheet(&self) -> Page {
        self.plan_sheet_with(|_, _| Vec::new())
    }

    /// The sheet with something over the map.
    pub(crate) fn plan_sheet_with(&self, over: impl Fn(&Self, &Map) -> Vec<Item>) -> Page {
        let (mut page, (x, y, w, h)) = self.page(self.work.paper.lying_mm(), "Plan");
        let rect = (x, y, w - SIDE - 4.0, h - 2.0);
        let map = self.map(rect);
        let mut items = drawn(&map, &self.map_of().scene(&UNDER));
        self.grid(&map, &mut items);
        items.extend(drawn(&map, &self.map_of().scene(&OVER)));
        let mut labels = Labels::new(&self.ink, rect);
        let left_out = self.plan_labels(&map, &mut labels);
        items.append(&mut labels.items);
        items.extend(over(self, &map));
        let first = page.items.len();
        page.items.push(Item::Within(rect, items));
        page.rect(rect, Some(Stroke::black(0.5)), None);
        self.north(&mut page, rect);
        page.part_since(first, Part::Figure(self.map_words()));
        self.side(&mut page, &map, (x + w - SIDE, y, SIDE, h), &left_out);
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

    fn map(&self, rect: (f64, f64, f64, f64)) -> Map {
        let plan = self.work.plan;
        let field = plan.field.iter().flat_map(|field| field.ring.iter());
        let lines = plan.lines.values().flat_map(|line| line.points.iter());
        let outlets = plan.outlets.values().map(|outlet| &outlet.at);
        let corners = measure::extent(field.chain(lines).chain(outlets).copied());
        let (low, high) = corners.unwrap_or((Point::new(0.0, 0.0), Point::new(100.0, 100.0)));
        let fits = |scale: &f64| {
            let mm_per_m = 1000.0 / scale;
            (high.x - low.x) * mm_per_m <= rect.2 - 12.0 && (high.y - low.y) * mm_per_m <= rect.3 - 12.0
        };
        let all = scale::of_maps(plan.title.units);
        let scale = all.iter().copied().find(|scale| fits(scale)).unwrap_or(all[all.len() - 1]);
        Map { rect, centre: measure::along(low, high, 0.5), mm_per_m: 1000.0 / scale }
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

    fn north(&self, page: &mut Page, (x, y, w, _): (f64, f64, f64, f64)) {
        let (tip, left) = ((x + w - NORTH, y + 4.0), x + w - NORTH);
        page.line(&[(left, y + 18.0), tip], Stroke::black(0.5));
        let head = vec![tip, (left - 2.0, y + 9.0), (left, y + 8.0), (left + 2.0, y + 9.0)];
        page.items.push(Item::Shape(Shape { points: head, closed: true, stroke: None, fill: Some(0) }));
        page.text((left, y + 22.5), 10.0, true, Align::Middle, "N");
    }
}

/// A scene on the sheet.
fn drawn(map: &Map, scene: &Scene) -> Vec<Item> {
    scene.items.iter().flat_map(|thing| draw(map, thing)).collect()
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
            let sign = middle.and_then(|at| sign(look.sign, map.place(at)));
            stroke(&part).into_iter().chain(sign).collect()
        }
        Form::Sign(at, _) => sign(look.sign, map.place(*at)).into_iter().collect(),
        Form::Strip(one, other) => {
            let round: Vec<Point> = one.iter().chain(other.iter().rev()).copied().collect();
            vec![Item::Shape(Shape { points: map.path(&round), closed: true, stroke: look.stroke, fill: look.fill })]
        }
        // Tints and what belongs to a profile.
        Form::Cells(..) | Form::Words(_) | Form::Span(..) | Form::Upright(..) => Vec::new(),
    }
}

/// A sign at its place.
pub(crate) fn sign(sign: Sign, (x, y): (f64, f64)) -> Option<Item> {
    match sign {
        Sign::Nothing | Sign::Ticks | Sign::Arrow => None,
        Sign::Dot(fill) => Some(dot((x, y), DOT, fill)),
        Sign::Square => Some(rect_item((x - 1.4, y - 1.4, 2.8, 2.8), Some(Stroke::black(0.4)), Some(255))),
        Sign::Triangle => Some(triangle((x, y))),
        Sign::Barred => Some(barred((x, y))),
    }
}

/// The sign of a benchmark.
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
fn arrow((ax, ay): (f64, f64), (bx, by): (f64, f64)) -> Item {
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
