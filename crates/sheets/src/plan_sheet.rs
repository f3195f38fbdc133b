//! The plan sheet: the whole field to scale.

use measure::{LengthUnit, Point, Units};
use plan::{Evidence, LandmarkKind, Line, LineId, LineKind, Outline};
use takeoff::Deep;

use crate::book::Making;
use crate::labels::{Labels, Rect};
use crate::notices::stretch_words;
use crate::page::{Align, Item, Page, Shape, Stroke, dot, line_item, rect_item};

/// Width of the column with legend and tables, millimetres.
const SIDE: f64 = 66.0;

/// Dashes of the boundary and of water, millimetres.
pub(crate) const BOUNDARY_DASH: [f64; 4] = [5.0, 1.2, 1.0, 1.2];
pub(crate) const WATER_DASH: [f64; 2] = [2.5, 0.8];
/// Radius of a joint's dot and of a mark at one place, millimetres.
pub(crate) const DOT: f64 = 0.8;

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

/// Scales that people carry rulers for: metres of land for a metre of paper.
fn scales(units: Units) -> Vec<f64> {
    let feet_per_inch =
        [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0, 300.0, 400.0, 500.0, 1000.0, 2000.0];
    let metric = [
        100.0, 200.0, 250.0, 500.0, 750.0, 1000.0, 1250.0, 1500.0, 2000.0, 2500.0, 4000.0, 5000.0, 10_000.0, 25_000.0,
    ];
    if units.is_metric() { metric.to_vec() } else { feet_per_inch.iter().map(|feet| feet * 12.0).collect() }
}

impl Making<'_> {
    /// The sheet.
    pub(crate) fn plan_sheet(&self) -> Page {
        let (mut page, (x, y, w, h)) = self.page(self.work.paper.lying_mm(), "Plan");
        let rect = (x, y, w - SIDE - 4.0, h - 2.0);
        let map = self.map(rect);
        let mut items = Vec::new();
        self.ground(&map, &mut items);
        self.grid(&map, &mut items);
        self.marks(&map, &mut items);
        self.protected(&map, &mut items);
        self.lines(&map, &mut items);
        self.joints(&map, &mut items);
        self.benchmarks(&map, &mut items);
        self.no_dig(&map, &mut items);
        let mut labels = Labels::new(&self.ink, rect);
        let left_out = self.plan_labels(&map, &mut labels);
        items.append(&mut labels.items);
        page.items.push(Item::Within(rect, items));
        page.rect(rect, Some(Stroke::black(0.5)), None);
        self.north(&mut page, rect);
        self.side(&mut page, &map, (x + w - SIDE, y, SIDE, h), &left_out);
        page
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
        let all = scales(plan.title.units);
        let scale = all.iter().copied().find(|scale| fits(scale)).unwrap_or(all[all.len() - 1]);
        Map { rect, centre: measure::along(low, high, 0.5), mm_per_m: 1000.0 / scale }
    }

    /// Contours, the field's boundary and water.
    fn ground(&self, map: &Map, items: &mut Vec<Item>) {
        for contour in self.work.contours {
            let stroke = if contour.index { Stroke::grey(0.3, 150) } else { Stroke::grey(0.13, 175) };
            items.push(line_item(&map.path(&contour.points), stroke));
        }
        let rings = self.work.plan.field.iter().flat_map(|field| field.rings());
        items.extend(rings.map(|ring| {
            let stroke = Some(Stroke::dashed(0.35, &BOUNDARY_DASH));
            Item::Shape(Shape { points: map.path(ring), closed: true, stroke, fill: None })
        }));
        let waters = self.work.plan.watercourses.values();
        items.extend(waters.map(|water| line_item(&map.path(&water.points), Stroke::dashed(0.5, &WATER_DASH))));
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

    /// Marks on the land.
    fn marks(&self, map: &Map, items: &mut Vec<Item>) {
        for mark in self.work.plan.landmarks.values() {
            let points = map.path(&mark.outline.path());
            match &mark.outline {
                Outline::At(_) => items.extend(points.first().map(|at| dot(*at, DOT, 255))),
                Outline::Along(_) => items.push(line_item(&points, mark_look(&mark.kind).0)),
                Outline::Around(_) => items.push(Item::Shape(Shape {
                    points,
                    closed: true,
                    stroke: Some(mark_look(&mark.kind).0),
                    fill: matches!(mark.kind, LandmarkKind::WetArea { .. } | LandmarkKind::Wetland { .. })
                        .then_some(232),
                })),
            }
        }
    }

    /// Trench to be protected as a grey band under its line.
    fn protected(&self, map: &Map, items: &mut Vec<Item>) {
        for (_, line, deep) in self.deep_lines() {
            let parts = deep.protected.iter().map(|part| measure::part_of(&line.points, part.from_m, part.to_m));
            items.extend(parts.map(|part| line_item(&map.path(&part), DEEP_STROKE)));
        }
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

    /// Stretches that nobody digs, barred, with a cross at the middle of each.
    fn no_dig(&self, map: &Map, items: &mut Vec<Item>) {
        for (_, _, part) in self.no_dig_parts() {
            items.push(line_item(&map.path(&part), Stroke::black(2.2)));
            items.extend(
                measure::point_at(&part, measure::path_length(&part) / 2.0).map(|at| map.place(at)).map(barred),
            );
        }
    }

    /// Stretches that nobody digs: number on the punch list, place in words, course.
    pub fn no_dig_parts(&self) -> Vec<(usize, String, Vec<Point>)> {
        let plan = self.work.plan;
        let parts = self.listed.iter().filter(|listed| listed.no_dig).flat_map(|listed| {
            let on = listed.on.iter().flat_map(|(id, parts)| parts.iter().map(move |part| (id, *part)));
            on.map(|(id, part)| (listed.number, id, part))
        });
        let parts = parts.filter_map(|(number, id, (from_m, to_m))| {
            let line = plan.lines.get(id)?;
            let place = format!("{} {}", line.name, stretch_words((from_m, to_m), plan.title.units));
            Some((number, place, measure::part_of(&line.points, from_m, to_m)))
        });
        parts.collect()
    }

    fn lines(&self, map: &Map, items: &mut Vec<Item>) {
        for (id, line) in &self.work.plan.lines {
            let points = map.path(&line.points);
            items.push(line_item(&points, line_stroke(line)));
            for stretch in line.stretches.iter().filter(|stretch| stretch.solid || stretch.heavy) {
                items.extend(ticks(map, line, stretch.from_m, stretch.to_m));
            }
            let Some(worked) = self.work.design.lines.get(id) else { continue };
            if worked.outlet_pipe_m > 0.0 {
                items.extend(ticks(map, line, 0.0, worked.outlet_pipe_m));
            }
            let middle_m = line.length_m() / 2.0;
            let ends =
                measure::point_at(&line.points, middle_m).zip(measure::point_at(&line.points, middle_m * 0.96));
            items.extend(ends.map(|(a, b)| arrow(map.place(a), map.place(b))));
        }
    }

    /// Benchmarks as triangles.
    fn benchmarks(&self, map: &Map, items: &mut Vec<Item>) {
        items.extend(self.work.plan.survey.benchmarks.iter().map(|mark| triangle(map.place(mark.at))));
    }

    /// Joints and outlets.
    fn joints(&self, map: &Map, items: &mut Vec<Item>) {
        items.extend(self.work.design.joints.iter().map(|joint| dot(map.place(joint.at), DOT, 0)));
        for outlet in self.work.plan.outlets.values() {
            let (x, y) = map.place(outlet.at);
            items.push(rect_item((x - 1.4, y - 1.4, 2.8, 2.8), Some(Stroke::black(0.4)), Some(255)));
        }
    }

    fn north(&self, page: &mut Page, (x, y, w, _): (f64, f64, f64, f64)) {
        let (tip, left) = ((x + w - NORTH, y + 4.0), x + w - NORTH);
        page.line(&[(left, y + 18.0), tip], Stroke::black(0.5));
        let head = vec![tip, (left - 2.0, y + 9.0), (left, y + 8.0), (left + 2.0, y + 9.0)];
        page.items.push(Item::Shape(Shape { points: head, closed: true, stroke: None, fill: Some(0) }));
        page.text((left, y + 22.5), 10.0, true, Align::Middle, "N");
    }
}

/// Lines are told apart by weight and dash.
pub(crate) fn line_stroke(line: &Line) -> Stroke {
    match line.kind {
        LineKind::Main => Stroke::black(0.9),
        LineKind::Submain => Stroke::black(0.65),
        LineKind::Lateral => Stroke::black(0.4),
        LineKind::OldTile(old) if old.evidence == Evidence::Suspected => Stroke::dashed(0.35, &[0.8, 1.4]),
        LineKind::OldTile(_) => Stroke::dashed(0.45, &[3.0, 1.2]),
    }
}

/// How a mark is drawn, and what marks drawn so have in common.
pub(crate) fn mark_look(kind: &LandmarkKind) -> (Stroke, &'static str) {
    match kind {
        LandmarkKind::Utility(_) | LandmarkKind::Irrigation { .. } => {
            (Stroke::dashed(0.3, &[4.0, 0.8, 0.4, 0.8, 0.4, 0.8]), "buried utility or irrigation")
        }
        LandmarkKind::OverheadLine { .. } => (Stroke::dashed(0.25, &[6.0, 1.0]), "power line overhead"),
        LandmarkKind::Road { .. } => (Stroke::grey(0.9, 170), "road or lane"),
        LandmarkKind::Rows(_) | LandmarkKind::Easement { .. } => {
            (Stroke::dashed(0.2, &[1.0, 1.0]), "vine or tree rows, easement")
        }
        _ => (Stroke::grey(0.3, 90), "other mark, named beside it"),
    }
}

/// The sign of a benchmark.
pub(crate) fn triangle((x, y): (f64, f64)) -> Item {
    let points = vec![(x, y - 1.6), (x + 1.4, y + 0.8), (x - 1.4, y + 0.8)];
    Item::Shape(Shape { points, closed: true, stroke: Some(Stroke::black(0.35)), fill: Some(255) })
}

/// How trench to be protected is drawn, under its line.
pub(crate) const DEEP_STROKE: Stroke = Stroke::grey(2.6, 195);
/// Radius of the sign of a stretch that nobody digs, millimetres.
pub(crate) const BARRED: f64 = 2.0;

/// The sign of a stretch that nobody digs: a cross in a ring.
pub(crate) fn barred((x, y): (f64, f64)) -> Item {
    let arm = BARRED * 0.62;
    let arms = [[(x - arm, y - arm), (x + arm, y + arm)], [(x - arm, y + arm), (x + arm, y - arm)]];
    let cross = arms.map(|arm| line_item(&arm, Stroke::black(0.8)));
    let ring = (x - BARRED - 0.5, y - BARRED - 0.5, 2.0 * BARRED + 1.0, 2.0 * BARRED + 1.0);
    Item::Within(ring, [dot((x, y), BARRED, 255)].into_iter().chain(cross).collect())
}

/// Ticks across a stretch of solid or heavy pipe.
fn ticks(map: &Map, line: &Line, from_m: f64, to_m: f64) -> Vec<Item> {
    let every_m = 1.8 / map.mm_per_m;
    let count = ((to_m - from_m) / every_m).floor().clamp(1.0, 400.0) as usize;
    let tick = |i: usize| {
        let station_m = from_m + (to_m - from_m) * (i as f64 + 0.5) / count as f64;
        let (a, b) = (measure::point_at(&line.points, station_m)?, measure::point_at(&line.points, station_m + 0.5)?);
        let length_m = measure::distance(a, b).max(1e-9);
        let ((x, y), ux, uy) = (map.place(a), (b.x - a.x) / length_m, (b.y - a.y) / length_m);
        Some(line_item(&[(x - uy, y - ux), (x + uy, y + ux)], Stroke::black(0.25)))
    };
    (0..count).filter_map(tick).collect()
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_rise() {
        for units in [Units::Feet, Units::Metric] {
            assert!(scales(units).windows(2).all(|pair| pair[0] < pair[1]));
        }
        assert_eq!(scales(Units::Feet)[5], 720.0);
    }
}
