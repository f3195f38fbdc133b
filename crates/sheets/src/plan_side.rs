//! The column beside the plan: scale, legend, outlets, the list of lines.

use drawing::{Key, Role};
use plan::Measure;

use crate::book::Making;
use crate::facts::outlet_words;
use crate::labels::Rect;
use crate::look::{Sign, look};
use crate::page::{Align, Page, Stroke};
use crate::plan_sheet::{Map, sign};

/// Height of a row of the legend, millimetres.
const KEY: f64 = 4.0;

/// Most stretches that nobody digs in the column; the first page has all of them.
const MOST_NO_DIG: usize = 8;

/// What the list of benchmarks leaves to that of the lines, millimetres.
const LEAST_LINES: f64 = 16.0;

/// True for what every reader of a plan knows, or is told of beside it.
const fn is_plain(role: Role) -> bool {
    matches!(role, Role::Flow(_) | Role::Outlet | Role::Contour | Role::IndexContour)
}

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

    /// What is on this plan.
    fn legend(&self, page: &mut Page, (x, y): (f64, f64)) -> f64 {
        page.text((x, y), 9.0, true, Align::Left, "Legend");
        let mut y_mm = y + 4.5;
        for key in drawing::legend(&self.whole_scene()).into_iter().filter(|key| !is_plain(key.role)) {
            draw_key(page, (x, y_mm - 1.0), key);
            let word = match (key.role, key.role.code()) {
                (Role::Protected, _) => self.protected_words(),
                (Role::Mark(_), Some((letter, marking))) => {
                    let marked = marking.map_or("color not known".into(), |color| format!("marked {}", color.word()));
                    format!("{letter}  {}, {marked}", key.word)
                }
                _ => key.word.into(),
            };
            page.text((x + 17.0, y_mm), 7.5, false, Align::Left, word);
            y_mm += KEY;
        }
        y_mm - KEY
    }

    /// How much trench is to be protected.
    fn protected_words(&self) -> String {
        let (criteria, units) = (&self.work.plan.criteria, self.work.plan.title.units);
        let protected_m: f64 = self.deep_lines().iter().map(|(.., deep)| deep.protected_m()).sum();
        let (limit, length) = (units.depth(criteria.protected_trench_m), Measure::Length.words(protected_m, units));
        format!("trench {limit} or deeper, {length}")
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

/// The sample beside a word of the legend.
fn draw_key(page: &mut Page, (x, y): (f64, f64), key: Key) {
    let look = look(key.role);
    let mut line = |stroke: Stroke| page.line(&[(x, y), (x + 14.0, y)], stroke);
    if key.is_sign || look.sign == Sign::Barred {
        page.items.extend(sign(look.sign, (x + 7.0, y)));
        return;
    }
    look.stroke.into_iter().for_each(&mut line);
    if look.sign == Sign::Ticks || key.role == Role::Protected {
        line(Stroke::black(0.5));
    }
    if look.sign == Sign::Ticks {
        for i in 0..5 {
            let at = x + 1.5 + 2.8 * f64::from(i);
            page.line(&[(at, y - 1.0), (at, y + 1.0)], Stroke::black(0.3));
        }
    }
}
