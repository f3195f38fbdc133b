//! The column beside the plan: scale, legend, outlets, the list of lines.

use plan::{Evidence, Line, LineKind, Measure, Outline};

use crate::book::Making;
use crate::facts::outlet_words;
use crate::labels::Rect;
use crate::page::{Align, Page, Stroke, dot};
use crate::plan_sheet::{BOUNDARY_DASH, DEEP_STROKE, DOT, Map, WATER_DASH, barred, line_stroke, mark_look, triangle};

/// Height of a row of the legend, millimetres.
const KEY: f64 = 4.0;

/// Most stretches that nobody digs in the column; the first page has all of them.
const MOST_NO_DIG: usize = 8;

/// What the list of benchmarks leaves to that of the lines, millimetres.
const LEAST_LINES: f64 = 16.0;

impl Making<'_> {
    /// Scale, legend, outlets and the list of lines.
    pub fn side(&self, page: &mut Page, map: &Map, (x, y, w, h): Rect, left_out: &[String]) {
        let mut y_mm = self.scale_bar(page, map, (x, y, w));
        y_mm = self.legend(page, (x, y_mm + 5.0));
        if !left_out.is_empty() {
            let text = format!("No room on the map for the label of {}: see the cut sheets", left_out.join(", "));
            for line in self.ink.wrap(&text, 6.5, true, w) {
                y_mm += 3.0;
                page.text((x, y_mm), 6.5, true, Align::Left, line);
            }
        }
        y_mm = self.no_dig_key(page, (x, y_mm));
        y_mm = self.outlet_detail(page, (x, y_mm + 7.0, w));
        y_mm = self.benchmark_list(page, (x, y_mm + 2.0, w, y + h));
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

    /// The kinds of line and mark that are on this plan.
    fn legend(&self, page: &mut Page, (x, y): (f64, f64)) -> f64 {
        let plan = self.work.plan;
        page.text((x, y), 9.0, true, Align::Left, "Legend");
        let mut y_mm = y + 4.5;
        let mut key = |page: &mut Page, word: &str, draw: &dyn Fn(&mut Page, f64)| {
            draw(page, y_mm - 1.0);
            page.text((x + 17.0, y_mm), 7.5, false, Align::Left, word);
            y_mm += KEY;
        };
        let stroke = |page: &mut Page, y_mm: f64, stroke: Stroke| page.line(&[(x, y_mm), (x + 14.0, y_mm)], stroke);
        for (word, line) in kinds(plan.lines.values()) {
            key(page, word, &|page, y_mm| stroke(page, y_mm, line_stroke(line)));
        }
        key(page, "solid or heavy pipe", &|page, y_mm| {
            stroke(page, y_mm, Stroke::black(0.5));
            for i in 0..5 {
                let at = x + 1.5 + 2.8 * f64::from(i);
                page.line(&[(at, y_mm - 1.0), (at, y_mm + 1.0)], Stroke::black(0.3));
            }
        });
        let protected_m: f64 = self.deep_lines().iter().map(|(.., deep)| deep.protected_m()).sum();
        if protected_m > 0.0 {
            let (limit, length) =
                (plan.criteria.protected_trench_m, Measure::Length.words(protected_m, plan.title.units));
            let word = format!("trench {} or deeper, {length}", plan.title.units.depth(limit));
            key(page, &word, &|page, y_mm| {
                stroke(page, y_mm, DEEP_STROKE);
                stroke(page, y_mm, Stroke::black(0.5));
            });
        }
        if self.listed.iter().any(|listed| listed.no_dig) {
            key(page, "DO NOT DIG, number below", &|page, y_mm| page.items.push(barred((x + 7.0, y_mm))));
        }
        if !self.work.design.joints.is_empty() {
            key(page, "joint, branch invert", &|page, y_mm| page.items.push(dot((x + 7.0, y_mm), DOT, 0)));
        }
        if !plan.survey.benchmarks.is_empty() {
            key(page, "benchmark, level", &|page, y_mm| page.items.push(triangle((x + 7.0, y_mm))));
        }
        if plan.field.is_some() {
            key(page, "boundary", &|page, y_mm| stroke(page, y_mm, Stroke::dashed(0.35, &BOUNDARY_DASH)));
        }
        if !plan.watercourses.is_empty() {
            key(page, "ditch or stream", &|page, y_mm| stroke(page, y_mm, Stroke::dashed(0.5, &WATER_DASH)));
        }
        let drawn = |mark: &&plan::Landmark| !matches!(mark.outline, Outline::At(_));
        let mut looks: Vec<(Stroke, &str)> = Vec::new();
        for look in plan.landmarks.values().filter(drawn).map(|mark| mark_look(&mark.kind)) {
            if !looks.contains(&look) {
                looks.push(look);
            }
        }
        for (look, word) in looks {
            key(page, word, &|page, y_mm| stroke(page, y_mm, look.clone()));
        }
        if plan.landmarks.values().any(|mark| !drawn(&mark)) {
            key(page, "mark, named beside it", &|page, y_mm| page.items.push(dot((x + 7.0, y_mm), DOT, 255)));
        }
        y_mm - KEY
    }

    /// Where nobody digs, by the numbers on the map.
    fn no_dig_key(&self, page: &mut Page, (x, y): (f64, f64)) -> f64 {
        let parts = self.no_dig_parts();
        if parts.is_empty() {
            return y;
        }
        let mut y_mm = y + 7.0;
        page.text((x, y_mm), 9.0, true, Align::Left, "DO NOT DIG");
        for (number, place, _) in parts.iter().take(MOST_NO_DIG) {
            y_mm += 3.6;
            page.text((x, y_mm), 7.0, true, Align::Left, number.to_string());
            page.text((x + 7.0, y_mm), 7.0, true, Align::Left, place.clone());
        }
        if parts.len() > MOST_NO_DIG {
            y_mm += 3.6;
            let more = format!("and {} more, see page 1", parts.len() - MOST_NO_DIG);
            page.text((x, y_mm), 7.0, true, Align::Left, more);
        }
        y_mm
    }

    fn outlet_detail(&self, page: &mut Page, (x, y, w): (f64, f64, f64)) -> f64 {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let mut y_mm = y;
        for (id, outlet) in &plan.outlets {
            let level_m = self.work.design.outlet_invert_m(*id, outlet);
            let known = |level_m: Option<f64>| level_m.map_or("not measured".into(), |level_m| units.level(level_m));
            let [rigid, guard, armoured, consent] = outlet_words(outlet);
            page.text((x, y_mm), 9.0, true, Align::Left, format!("Outlet {}", outlet.name));
            let rows = [
                ("invert", units.level(level_m)),
                ("channel bottom", known(outlet.channel_bottom_m)),
                ("low water", known(outlet.low_water_m)),
                ("flood", known(outlet.flood_m)),
                ("solid pipe", format!("{}, {rigid}", units.length(outlet.outlet_pipe_m))),
                ("guard, bank", format!("{guard}, {armoured}")),
                ("consent", consent.to_string()),
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

    /// Benchmarks with place and level; where they would fill the column the rest is counted.
    fn benchmark_list(&self, page: &mut Page, (x, y, w, bottom): (f64, f64, f64, f64)) -> f64 {
        let (marks, across) = (&self.work.plan.survey.benchmarks, self.work.reference.across);
        if marks.is_empty() {
            return y - 2.0;
        }
        let units = self.work.plan.title.units;
        page.text((x, y), 9.0, true, Align::Left, "Benchmarks");
        let mut y_mm = y;
        for (i, mark) in marks.iter().enumerate() {
            y_mm += 3.6;
            if y_mm > bottom - LEAST_LINES {
                let more = format!("and {} more, see stakes.csv", marks.len() - i);
                page.text((x, y_mm), 7.0, true, Align::Left, more);
                break;
            }
            let level = format!("{} {}", units.level(mark.level_m), units.sign());
            let room_mm = w - self.ink.width_mm(&level, 7.0, true) - 2.0;
            let name_pt = self.fitting_pt(&mark.name, (7.0, 5.0), true, room_mm);
            page.text((x, y_mm), name_pt, true, Align::Left, &mark.name);
            page.text((x + w, y_mm), 7.0, true, Align::Right, level);
            y_mm += 3.2;
            let (east, north) = (across.figure(mark.at.x, 2), across.figure(mark.at.y, 2));
            page.text((x, y_mm), 6.5, false, Align::Left, format!("E {east}  N {north} {}", across.sign()));
            if !mark.datum.is_empty() && mark.datum != self.work.reference.datum {
                for line in self.ink.wrap(&format!("vertical datum: {}", mark.datum), 6.5, false, w) {
                    y_mm += 3.0;
                    page.text((x, y_mm), 6.5, false, Align::Left, line);
                }
            }
        }
        y_mm + 5.0
    }

    fn line_list(&self, page: &mut Page, (x, y, w, bottom): (f64, f64, f64, f64)) {
        let units = self.work.plan.title.units;
        let lines: Vec<_> = self.work.plan.lines.iter().collect();
        let room = (((bottom - y) / 3.5) as usize).saturating_sub(1);
        if room == 0 {
            // The map names them, and each has a sheet of its own.
            return;
        }
        page.text((x, y), 9.0, true, Align::Left, "Lines");
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
            let worked = self.work.design.lines.get(id);
            let size = worked.map_or_else(|| units.pipe(line.size_m), |worked| takeoff::sizes(worked, units));
            page.text((x, y_mm), 7.0, false, Align::Left, format!("{} {}", line.name, line.kind.word()));
            page.text((x + w * 0.68, y_mm), 7.0, false, Align::Right, size);
            page.text((x + w, y_mm), 7.0, false, Align::Right, units.length(line.length_m()));
        }
    }
}

/// Every kind of line drawn in its own way, with the first such line.
fn kinds<'a>(lines: impl Iterator<Item = &'a Line>) -> Vec<(&'static str, &'a Line)> {
    let mut kinds: Vec<(&str, &Line)> = Vec::new();
    for line in lines {
        let word = match line.kind {
            LineKind::OldTile(old) if old.evidence == Evidence::Suspected => "old tile, suspected",
            LineKind::OldTile(_) => "old tile, seen",
            kind => kind.word(),
        };
        if !kinds.iter().any(|(known, _)| *known == word) {
            kinds.push((word, line));
        }
    }
    kinds
}
