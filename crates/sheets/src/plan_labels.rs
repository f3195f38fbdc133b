//! What stands beside the things of the plan sheet: names, sizes, grades, levels.

use measure::Point;
use plan::{Landmark, LandmarkKind, Outline};

use crate::book::Making;
use crate::labels::{Labels, around, letter_mm, within};
use crate::look::{BARRED, DOT};
use crate::page::{Align, Text};
use crate::plan_sheet::{Map, NORTH};

/// Places for a label at every side of a sign, the nearest and the next.
const NEAR_PLACES: usize = 16;
/// Way between a path and the label beside it, millimetres.
const BESIDE: f64 = 1.5;
/// Labels of contours stand this far apart, millimetres: along a ditch bank one tells of all.
const CONTOUR_LABELS: f64 = 7.0;

impl Making<'_> {
    /// Every label, the most important first; answers what found no room, by name.
    pub fn plan_labels(&self, map: &Map, labels: &mut Labels) -> Vec<String> {
        self.keep_off_drawn(map, labels);
        let mut left_out = self.label_no_dig(map, labels);
        left_out.extend(self.label_outlets(map, labels));
        self.label_benchmarks(map, labels);
        let (hazards, others): (Vec<_>, Vec<_>) = self.work.plan.landmarks.values().partition(|mark| is_hazard(mark));
        left_out.extend(self.label_marks(map, labels, &hazards));
        left_out.extend(self.label_lines(map, labels));
        left_out.extend(self.label_marks(map, labels, &others));
        left_out.extend(self.label_joints(map, labels));
        for water in self.work.plan.watercourses.values() {
            labels.put(self.beside(&map.path(&water.points), map, (6.5, false), &water.name));
        }
        self.label_edges(map, labels);
        for contour in self.work.contours.iter().filter(|contour| contour.index) {
            let level = drawing::level_words(contour.level_m, self.work.plan.title.units);
            labels.put_apart(self.beside(&map.path(&contour.points), map, (5.5, false), &level), CONTOUR_LABELS);
        }
        left_out
    }

    fn keep_off_drawn(&self, map: &Map, labels: &mut Labels) {
        let (plan, (x, y, w, _)) = (self.work.plan, map.rect);
        (0..4).for_each(|i| labels.keep_off((x + w - NORTH, y + 6.0 + 5.0 * f64::from(i)), 3.5));
        self.work.design.joints.iter().for_each(|joint| labels.keep_off(map.place(joint.at), DOT));
        plan.outlets.values().for_each(|outlet| labels.keep_off(map.place(outlet.at), 2.0));
        for (_, _, part) in self.no_dig_parts() {
            let middle = measure::point_at(&part, measure::path_length(&part) / 2.0);
            middle.iter().for_each(|at| labels.keep_off(map.place(*at), BARRED));
        }
        plan.survey.benchmarks.iter().for_each(|mark| labels.keep_off(map.place(mark.at), 2.0));
        plan.lines.values().for_each(|line| labels.keep_off_line(&map.path(&line.points)));
        plan.landmarks.values().for_each(|mark| labels.keep_off_line(&map.path(&mark.outline.path())));
        let alone = plan.landmarks.values().filter(|mark| matches!(mark.outline, Outline::At(_)));
        alone.for_each(|mark| labels.keep_off(map.place(mark.outline.middle()), DOT));
    }

    /// What nobody digs, before all else: the number under which the list beside the map has its place. Far from its sign
    /// it could be taken for another's.
    fn label_no_dig(&self, map: &Map, labels: &mut Labels) -> Vec<String> {
        let parts = self.no_dig_parts().into_iter().filter_map(|(number, _, part)| {
            let at = map.place(measure::point_at(&part, measure::path_length(&part) / 2.0)?);
            let text = format!("DO NOT DIG {number}");
            let places = around(at, 7.5, true, &text, BARRED + 0.6).into_iter().take(NEAR_PLACES);
            (!labels.put(places)).then_some(text)
        });
        parts.collect()
    }

    fn label_outlets(&self, map: &Map, labels: &mut Labels) -> Vec<String> {
        let units = self.work.plan.title.units;
        let outlets = self.work.plan.outlets.iter().filter(|(id, outlet)| {
            let level_m = self.work.design.outlet_invert_m(**id, outlet);
            let text = format!("{} {}", outlet.name, units.level(level_m));
            !labels.put(around(map.place(outlet.at), 7.0, true, &text, 2.4))
        });
        outlets.map(|(_, outlet)| outlet.name.clone()).collect()
    }

    /// Names and levels of benchmarks; those beside the sheet or without room stand in the list beside it.
    fn label_benchmarks(&self, map: &Map, labels: &mut Labels) {
        let units = self.work.plan.title.units;
        for mark in &self.work.plan.survey.benchmarks {
            let short = mark.name.split(',').next().unwrap_or_default();
            let text = format!("{short} {}", units.level(mark.level_m));
            labels.put(around(map.place(mark.at), 7.0, true, &text, 2.4));
        }
    }

    fn label_lines(&self, map: &Map, labels: &mut Labels) -> Vec<String> {
        let units = self.work.plan.title.units;
        let known =
            self.work.plan.lines.iter().filter_map(|(id, line)| Some((line, self.work.design.lines.get(id)?)));
        let lines = known.filter(|(line, worked)| {
            let grade = worked.mean_grade().map(|grade| format!("  {}", units.grade(grade))).unwrap_or_default();
            let full = format!("{}  {}{grade}", line.name, units.pipe(worked.size_m));
            let path = map.path(&line.points);
            // Where there is no room for all of it the name alone will do: the list of lines has the rest.
            ![&full, &line.name].iter().any(|text| labels.put(self.beside(&path, map, (7.5, true), text)))
        });
        lines.map(|(line, _)| line.name.clone()).collect()
    }

    fn label_marks(&self, map: &Map, labels: &mut Labels, marks: &[&Landmark]) -> Vec<String> {
        let left_out = marks.iter().filter(|mark| {
            let (text, path) = (mark.called(), map.path(&mark.outline.path()));
            let places = match mark.outline {
                Outline::Along(_) => self.beside(&path, map, (6.0, false), &text),
                _ => around(map.place(mark.outline.middle()), 6.0, false, &text, 1.4),
            };
            // What lies beside the sheet needs no label.
            !labels.put(places) && !within(&path, map.rect).is_empty()
        });
        left_out.map(|mark| mark.called()).collect()
    }

    fn label_joints(&self, map: &Map, labels: &mut Labels) -> Option<String> {
        let units = self.work.plan.title.units;
        let levels = self.work.design.joints.iter().filter_map(|joint| Some((joint.at, joint.branch_invert_m?)));
        let put =
            |(at, level_m): (Point, f64)| labels.put(around(map.place(at), 6.0, false, &units.level(level_m), 1.2));
        let left_out = levels.map(put).filter(|put| !put).count();
        (left_out > 0).then(|| measure::how_many(left_out, "invert"))
    }

    /// Coordinates of the grid at the edges.
    fn label_edges(&self, map: &Map, labels: &mut Labels) {
        let (across, (x, y, _, h)) = (self.work.reference.across, map.rect);
        let (eastings, northings) = self.grid_lines(map);
        let edge = |at: (f64, f64), align: Align, text: String| [Text::new(at, 5.5, false, align, text)];
        let figure = |value_m: f64| format!("{} {}", across.figure(value_m, 0), across.sign());
        for east_m in eastings {
            let (px, _) = map.place(Point::new(east_m, 0.0));
            labels.put(edge((px, y + h - 1.0), Align::Middle, format!("E {}", figure(east_m))));
        }
        for north_m in northings {
            let (_, py) = map.place(Point::new(0.0, north_m));
            labels.put(edge((x + 1.0, py + 0.7), Align::Left, format!("N {}", figure(north_m))));
        }
    }

    /// Places for a label beside a path: where it runs straightest for the length of the label, turned with it.
    fn beside(&self, path: &[(f64, f64)], map: &Map, (size_pt, bold): (f64, bool), text: &str) -> Vec<Text> {
        let parts = within(path, map.rect).into_iter();
        let parts = parts.map(|part| part.into_iter().map(|(x, y)| Point::new(x, y)).collect::<Vec<_>>());
        let longest = parts.max_by(|a, b| measure::path_length(a).total_cmp(&measure::path_length(b)));
        let path = longest.unwrap_or_default();
        let (length_mm, wide_mm) = (measure::path_length(&path), self.ink.width_mm(text, size_pt, bold));
        let at = |along_mm: f64| measure::point_at(&path, along_mm.clamp(0.0, length_mm));
        let high_mm = letter_mm(size_pt);
        let mut stretches: Vec<(f64, Point, f64)> = (1..20)
            .filter_map(|k| {
                // 0.5, 0.55, 0.45, 0.6 … of the length.
                let share = 0.5 + f64::from(if k % 2 == 0 { k / 2 } else { -(k / 2) }) / 20.0;
                let middle_mm = length_mm * share;
                let (a, b) = (at(middle_mm - wide_mm / 2.0)?, at(middle_mm + wide_mm / 2.0)?);
                let chord_mm = measure::distance(a, b).max(1e-9);
                let off = |p: Point| ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)).abs() / chord_mm;
                let between = (1..8).filter_map(|i| at(middle_mm + wide_mm * (f64::from(i) / 8.0 - 0.5)));
                let bend_mm = between.map(off).fold(0.0, f64::max);
                let turned_deg = (a.y - b.y).atan2(b.x - a.x).to_degrees();
                Some((bend_mm, measure::along(a, b, 0.5), upright(turned_deg)))
            })
            .collect();
        // Near the middle where the path is as good as straight there.
        stretches.sort_by_key(|stretch| (stretch.0 / 0.4) as i64);
        let sides = |(bend_mm, middle, turned_deg): (f64, Point, f64)| {
            let (sin, cos) = turned_deg.to_radians().sin_cos();
            // The baseline lies above the path or a letter's height below it.
            [BESIDE + bend_mm, -(BESIDE + bend_mm + high_mm)].map(|up_mm| {
                let at = (middle.x - up_mm * sin, middle.y - up_mm * cos);
                Text { turned_deg, ..Text::new(at, size_pt, bold, Align::Middle, text) }
            })
        };
        stretches.into_iter().flat_map(sides).collect()
    }
}

/// What a digger must know of before anything else.
fn is_hazard(mark: &Landmark) -> bool {
    mark.kind.buried().is_some() || matches!(mark.kind, LandmarkKind::OverheadLine { .. })
}

/// The same direction, read from the bottom or the right of the sheet.
fn upright(turned_deg: f64) -> f64 {
    match turned_deg {
        deg if deg > 90.0 => deg - 180.0,
        deg if deg <= -90.0 => deg + 180.0,
        deg => deg,
    }
}
