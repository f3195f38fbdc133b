//! The plan sheet: the whole field to scale.

use measure::{Point, Units};
use plan::{Evidence, LandmarkKind, Line, LineKind, Outline};

use crate::book::Making;
use crate::page::{Align, Item, Page, Shape, Stroke, dot, line_item, rect_item, text_item};

/// Width of the column with legend and tables, millimetres.
const SIDE: f64 = 66.0;

/// The map on the paper.
struct Map {
    rect: (f64, f64, f64, f64),
    centre: Point,
    /// Millimetres of paper for a metre of land.
    mm_per_m: f64,
}

impl Map {
    fn place(&self, p: Point) -> (f64, f64) {
        let (x, y, w, h) = self.rect;
        let across_mm = x + w / 2.0 + (p.x - self.centre.x) * self.mm_per_m;
        (across_mm, y + h / 2.0 - (p.y - self.centre.y) * self.mm_per_m)
    }

    fn path(&self, points: &[Point]) -> Vec<(f64, f64)> {
        points.iter().map(|p| self.place(*p)).collect()
    }

    fn holds(&self, (px, py): (f64, f64)) -> bool {
        let (x, y, w, h) = self.rect;
        (x..=x + w).contains(&px) && (y..=y + h).contains(&py)
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
        self.lines(&map, &mut items);
        self.joints(&map, &mut items);
        page.items.push(Item::Within(rect, items));
        page.rect(rect, Some(Stroke::black(0.5)), None);
        self.north(&mut page, rect);
        self.side(&mut page, &map, (x + w - SIDE, y, SIDE, h));
        page
    }

    fn map(&self, rect: (f64, f64, f64, f64)) -> Map {
        let plan = self.work.plan;
        let field = plan.field.iter().flat_map(|field| field.ring.iter());
        let lines = plan.lines.values().flat_map(|line| line.points.iter());
        let outlets = plan.outlets.values().map(|outlet| &outlet.at);
        let range = field.chain(lines).chain(outlets).fold(None, |range: Option<(Point, Point)>, p| {
            let (low, high) = range.unwrap_or((*p, *p));
            Some((Point::new(low.x.min(p.x), low.y.min(p.y)), Point::new(high.x.max(p.x), high.y.max(p.y))))
        });
        let (low, high) = range.unwrap_or((Point::new(0.0, 0.0), Point::new(100.0, 100.0)));
        let fits = |scale: &f64| {
            let mm_per_m = 1000.0 / scale;
            (high.x - low.x) * mm_per_m <= rect.2 - 12.0 && (high.y - low.y) * mm_per_m <= rect.3 - 12.0
        };
        let all = scales(plan.title.units);
        let scale = all.iter().copied().find(|scale| fits(scale)).unwrap_or(all[all.len() - 1]);
        Map { rect, centre: measure::along(low, high, 0.5), mm_per_m: 1000.0 / scale }
    }

    /// Contours and the field's boundary.
    fn ground(&self, map: &Map, items: &mut Vec<Item>) {
        let units = self.work.plan.title.units;
        for contour in self.work.contours {
            let stroke = if contour.index { Stroke::grey(0.3, 150) } else { Stroke::grey(0.13, 175) };
            let points = map.path(&contour.points);
            if let Some(at) =
                points.get(points.len() / 2).filter(|at| contour.index && points.len() > 12 && map.holds(**at))
            {
                let level = units.number(contour.level_m, if units.is_metric() { 1 } else { 0 });
                items.push(text_item((at.0 + 0.5, at.1 - 0.4), 5.5, false, Align::Left, level));
            }
            items.push(line_item(&points, stroke));
        }
        let rings = self.work.plan.field.iter().flat_map(|field| field.rings());
        items.extend(rings.map(|ring| {
            let stroke = Some(Stroke::dashed(0.35, &[5.0, 1.2, 1.0, 1.2]));
            Item::Shape(Shape { points: map.path(ring), closed: true, stroke, fill: None })
        }));
        for water in self.work.plan.watercourses.values() {
            let points = map.path(&water.points);
            items.push(line_item(&points, Stroke::dashed(0.5, &[2.5, 0.8])));
            items.extend(
                points.first().map(|at| text_item((at.0 + 1.0, at.1 - 1.0), 6.5, false, Align::Left, &water.name)),
            );
        }
    }

    /// Crosses of the grid with coordinates at the edges.
    fn grid(&self, map: &Map, items: &mut Vec<Item>) {
        let units = self.work.plan.title.units;
        let unit_m = units.length_unit().metres();
        let (x, y, w, h) = map.rect;
        let steps = if units.is_metric() {
            [20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        } else {
            [50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0]
        };
        let step_m =
            steps.iter().map(|s| s * unit_m).find(|step_m| step_m * map.mm_per_m >= 30.0).unwrap_or(2000.0 * unit_m);
        let (west, south) = (map.centre.x - w / 2.0 / map.mm_per_m, map.centre.y - h / 2.0 / map.mm_per_m);
        let (cols, rows) = ((w / map.mm_per_m / step_m) as i64 + 1, (h / map.mm_per_m / step_m) as i64 + 1);
        let first = |from: f64| (from / step_m).ceil() as i64;
        for i in first(west)..=first(west) + cols {
            let (px, _) = map.place(Point::new(i as f64 * step_m, south));
            if (x + 12.0..=x + w - 12.0).contains(&px) {
                items.push(text_item(
                    (px, y + h - 1.0),
                    5.5,
                    false,
                    Align::Middle,
                    format!("E {}", units.number(i as f64 * step_m, 0)),
                ));
            }
            for k in first(south)..=first(south) + rows {
                let (px, py) = map.place(Point::new(i as f64 * step_m, k as f64 * step_m));
                items.push(line_item(&[(px - 1.2, py), (px + 1.2, py)], Stroke::grey(0.12, 120)));
                items.push(line_item(&[(px, py - 1.2), (px, py + 1.2)], Stroke::grey(0.12, 120)));
            }
        }
        for k in first(south)..=first(south) + rows {
            let (_, py) = map.place(Point::new(west, k as f64 * step_m));
            if (y + 4.0..=y + h - 8.0).contains(&py) {
                items.push(text_item(
                    (x + 1.0, py - 0.6),
                    5.5,
                    false,
                    Align::Left,
                    format!("N {}", units.number(k as f64 * step_m, 0)),
                ));
            }
        }
    }

    /// Marks on the land.
    fn marks(&self, map: &Map, items: &mut Vec<Item>) {
        for mark in self.work.plan.landmarks.values() {
            let points = map.path(&mark.outline.path());
            match &mark.outline {
                Outline::At(_) => items.extend(points.first().map(|at| dot(*at, 0.9, 255))),
                Outline::Along(_) => items.push(line_item(&points, mark_stroke(&mark.kind))),
                Outline::Around(_) => items.push(Item::Shape(Shape {
                    points,
                    closed: true,
                    stroke: Some(mark_stroke(&mark.kind)),
                    fill: matches!(mark.kind, LandmarkKind::WetArea { .. } | LandmarkKind::Wetland { .. })
                        .then_some(232),
                })),
            }
            let at = map.place(mark.outline.middle());
            items.push(text_item((at.0 + 1.4, at.1 + 2.4), 6.0, false, Align::Left, mark.called()));
        }
    }

    fn lines(&self, map: &Map, items: &mut Vec<Item>) {
        let units = self.work.plan.title.units;
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
            let middle_m = line.length_m() * 0.55;
            if let (Some(a), Some(b)) =
                (measure::point_at(&line.points, middle_m), measure::point_at(&line.points, middle_m * 0.96))
            {
                let ((ax, ay), (bx, by)) = (map.place(a), map.place(b));
                items.push(arrow((ax, ay), (bx, by)));
                let mut turned = (ay - by).atan2(bx - ax).to_degrees();
                turned = if turned > 90.0 {
                    turned - 180.0
                } else if turned < -90.0 {
                    turned + 180.0
                } else {
                    turned
                };
                let grade = worked.mean_grade().map(|grade| format!("  {}", units.grade(grade))).unwrap_or_default();
                let text = format!("{}  {}{grade}", line.name, units.pipe(worked.size_m));
                let (sin, cos) = turned.to_radians().sin_cos();
                let Item::Text(mut label) =
                    text_item((ax - 1.4 * sin, ay - 1.4 * cos), 7.5, true, Align::Middle, text)
                else {
                    continue;
                };
                label.turned_deg = turned;
                items.push(Item::Text(label));
            }
        }
    }

    /// Joints and outlets with their inverts.
    fn joints(&self, map: &Map, items: &mut Vec<Item>) {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        for joint in &self.work.design.joints {
            let at = map.place(joint.at);
            items.push(dot(at, 0.8, 0));
            let level = joint.branch_invert_m.map(|level_m| units.level(level_m)).unwrap_or_default();
            items.push(text_item((at.0 + 1.2, at.1 + 3.0), 6.0, false, Align::Left, level));
        }
        for (id, outlet) in &plan.outlets {
            let (x, y) = map.place(outlet.at);
            items.push(rect_item((x - 1.4, y - 1.4, 2.8, 2.8), Some(Stroke::black(0.4)), Some(255)));
            let level_m = self.work.design.outlet_inverts_m.get(id).copied().unwrap_or(outlet.invert_m);
            items.push(text_item(
                (x + 2.2, y + 3.4),
                7.0,
                true,
                Align::Left,
                format!("{} {}", outlet.name, units.level(level_m)),
            ));
        }
    }

    fn north(&self, page: &mut Page, (x, y, w, _): (f64, f64, f64, f64)) {
        let (tip, left) = ((x + w - 6.0, y + 4.0), x + w - 6.0);
        page.line(&[(left, y + 18.0), tip], Stroke::black(0.5));
        let head = vec![tip, (left - 2.0, y + 9.0), (left, y + 8.0), (left + 2.0, y + 9.0)];
        page.items.push(Item::Shape(Shape { points: head, closed: true, stroke: None, fill: Some(0) }));
        page.text((left, y + 22.5), 10.0, true, Align::Middle, "N");
    }

    /// Scale, legend, outlets and the list of lines.
    fn side(&self, page: &mut Page, map: &Map, (x, y, w, h): (f64, f64, f64, f64)) {
        let mut y_mm = self.scale_bar(page, map, (x, y, w));
        y_mm = self.legend(page, (x, y_mm + 5.0));
        y_mm = self.outlet_detail(page, (x, y_mm + 7.0, w));
        self.line_list(page, (x, y_mm + 4.0, w, y + h));
    }

    fn scale_bar(&self, page: &mut Page, map: &Map, (x, y, w): (f64, f64, f64)) -> f64 {
        let units = self.work.plan.title.units;
        let scale = 1000.0 / map.mm_per_m;
        let words = match units.is_metric() {
            true => format!("Scale 1 : {scale:.0}"),
            false => format!("Scale 1 in = {:.0} ft  (1 : {scale:.0})", scale / 12.0),
        };
        page.text((x, y + 3.5), 9.0, true, Align::Left, words);
        let unit_m = units.length_unit().metres();
        let steps = [5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0];
        let step_m =
            steps.iter().rev().map(|s| s * unit_m).find(|m| m * map.mm_per_m * 4.0 <= w - 10.0).unwrap_or(unit_m);
        for i in 0..4 {
            let rect = (x + i as f64 * step_m * map.mm_per_m, y + 6.0, step_m * map.mm_per_m, 2.2);
            page.rect(rect, Some(Stroke::black(0.2)), Some(if i % 2 == 0 { 0 } else { 255 }));
        }
        for i in [0, 2, 4] {
            let at = (x + i as f64 * step_m * map.mm_per_m, y + 11.5);
            page.text(at, 7.0, false, Align::Left, units.number(i as f64 * step_m, 0));
        }
        page.text((x + w, y + 11.5), 7.0, false, Align::Right, units.sign());
        let paper = format!("at {} size, printed without fitting", self.work.paper.name());
        page.text((x, y + 15.0), 6.5, false, Align::Left, paper);
        y + 16.0
    }

    fn legend(&self, page: &mut Page, (x, y): (f64, f64)) -> f64 {
        let old = |evidence| LineKind::OldTile(plan::OldTile { evidence, ..plan::OldTile::default() });
        let kinds = [
            (LineKind::Main, "main"),
            (LineKind::Submain, "submain"),
            (LineKind::Lateral, "lateral"),
            (old(Evidence::Seen), "old tile, seen"),
            (old(Evidence::Suspected), "old tile, suspected"),
        ];
        page.text((x, y), 9.0, true, Align::Left, "Legend");
        let mut y_mm = y + 4.5;
        for (kind, word) in kinds {
            let line = Line::new("", kind, vec![Point::new(0.0, 0.0), Point::new(1.0, 0.0)]);
            page.line(&[(x, y_mm - 1.0), (x + 14.0, y_mm - 1.0)], line_stroke(&line));
            page.text((x + 17.0, y_mm), 7.5, false, Align::Left, word);
            y_mm += 4.0;
        }
        page.line(&[(x, y_mm - 1.0), (x + 14.0, y_mm - 1.0)], Stroke::black(0.5));
        (0..5).for_each(|i| {
            let at = x + 1.5 + 2.8 * f64::from(i);
            page.line(&[(at, y_mm - 2.0), (at, y_mm)], Stroke::black(0.3));
        });
        page.text((x + 17.0, y_mm), 7.5, false, Align::Left, "solid or heavy pipe");
        y_mm += 4.0;
        page.items.push(dot((x + 7.0, y_mm - 1.0), 0.8, 0));
        page.text((x + 17.0, y_mm), 7.5, false, Align::Left, "joint, branch invert");
        y_mm += 4.0;
        page.line(&[(x, y_mm - 1.0), (x + 14.0, y_mm - 1.0)], Stroke::dashed(0.35, &[5.0, 1.2, 1.0, 1.2]));
        page.text((x + 17.0, y_mm), 7.5, false, Align::Left, "boundary");
        y_mm
    }

    fn outlet_detail(&self, page: &mut Page, (x, y, w): (f64, f64, f64)) -> f64 {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let mut y_mm = y;
        for (id, outlet) in &plan.outlets {
            let level_m = self.work.design.outlet_inverts_m.get(id).copied().unwrap_or(outlet.invert_m);
            let known = |level_m: Option<f64>| level_m.map_or("not measured".into(), |level_m| units.level(level_m));
            let yes = |value: bool, yes: &str, no: &str| if value { yes.to_string() } else { no.to_string() };
            page.text((x, y_mm), 9.0, true, Align::Left, format!("Outlet {}", outlet.name));
            let rows = [
                ("invert", units.level(level_m)),
                ("channel bottom", known(outlet.channel_bottom_m)),
                ("low water", known(outlet.low_water_m)),
                ("flood", known(outlet.flood_m)),
                (
                    "solid pipe",
                    format!("{}, {}", units.length(outlet.outlet_pipe_m), yes(outlet.rigid, "rigid", "NOT RIGID")),
                ),
                (
                    "guard, bank",
                    format!(
                        "{}, {}",
                        yes(outlet.guard, "guard", "NO GUARD"),
                        yes(outlet.armoured, "armoured", "bare")
                    ),
                ),
                ("consent", yes(outlet.consent, "in writing", "NOT ON FILE")),
            ];
            for (name, figure) in rows {
                y_mm += 3.6;
                page.text((x, y_mm), 7.0, false, Align::Left, name);
                page.text((x + w, y_mm), 7.0, false, Align::Right, figure);
            }
            y_mm += 5.0;
        }
        y_mm
    }

    fn line_list(&self, page: &mut Page, (x, y, w, bottom): (f64, f64, f64, f64)) {
        let units = self.work.plan.title.units;
        page.text((x, y), 9.0, true, Align::Left, "Lines");
        let lines: Vec<_> = self.work.plan.lines.iter().collect();
        let room = (((bottom - y) / 3.5) as usize).saturating_sub(1);
        for (i, (id, line)) in lines.iter().take(room).enumerate() {
            let y_mm = y + 3.6 + 3.5 * i as f64;
            if i + 1 == room && lines.len() > room {
                page.text(
                    (x, y_mm),
                    7.0,
                    false,
                    Align::Left,
                    format!("and {} more, see the cut sheets", lines.len() - i),
                );
                break;
            }
            let size_m = self.work.design.lines.get(id).map_or(line.size_m, |worked| worked.size_m);
            page.text((x, y_mm), 7.0, false, Align::Left, format!("{} {}", line.name, line.kind.word()));
            page.text((x + w * 0.68, y_mm), 7.0, false, Align::Right, units.pipe(size_m));
            page.text((x + w, y_mm), 7.0, false, Align::Right, units.length(line.length_m()));
        }
    }
}

/// Lines are told apart by weight and dash.
fn line_stroke(line: &Line) -> Stroke {
    match line.kind {
        LineKind::Main => Stroke::black(0.9),
        LineKind::Submain => Stroke::black(0.65),
        LineKind::Lateral => Stroke::black(0.4),
        LineKind::OldTile(old) if old.evidence == Evidence::Suspected => Stroke::dashed(0.35, &[0.8, 1.4]),
        LineKind::OldTile(_) => Stroke::dashed(0.45, &[3.0, 1.2]),
    }
}

fn mark_stroke(kind: &LandmarkKind) -> Stroke {
    match kind {
        LandmarkKind::Utility(_) | LandmarkKind::Irrigation { .. } => {
            Stroke::dashed(0.3, &[4.0, 0.8, 0.4, 0.8, 0.4, 0.8])
        }
        LandmarkKind::OverheadLine { .. } => Stroke::dashed(0.25, &[6.0, 1.0]),
        LandmarkKind::Road { .. } => Stroke::grey(0.9, 170),
        LandmarkKind::Rows(_) | LandmarkKind::Easement { .. } => Stroke::dashed(0.2, &[1.0, 1.0]),
        _ => Stroke::grey(0.3, 90),
    }
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
