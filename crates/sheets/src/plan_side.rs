//! The column beside the plan: scale, legend, outlets, the list of lines.

use drawing::{Key, Role, Scene};
use plan::Measure;

use crate::book::Making;
use crate::facts::outlet_words;
use crate::ink::Ink;
use crate::labels::Rect;
use crate::look::{Sign, look};
use crate::page::{Align, LEAST_PT, Page, Stroke};
use crate::plan_labels::{box_fill, number_box};
use crate::plan_sheet::{Map, arrow, sign};

/// Height of a row of the legend, millimetres, and the least of it.
const KEY: f64 = 4.0;
const LEAST_KEY: f64 = 2.9;

/// Most stretches that nobody digs in the column; the first page has all of them.
const MOST_NO_DIG: usize = 8;

/// What the list of benchmarks leaves to that of the lines, millimetres.
const LEAST_LINES: f64 = 8.0;

impl Making<'_> {
    /// Scale, legend, outlets and the list of lines.
    pub fn side(&self, page: &mut Page, map: &Map, (x, y, w, h): Rect, (left_out, shown): (&[String], &Scene)) {
        let mut y_mm = self.scale_bar(page, map, (x, y, w));
        y_mm = self.legend(page, (x, y_mm + 5.0, y + h), shown);
        let room = ((y + h - y_mm) / 3.2).max(0.0) as usize;
        for line in self.left_out_lines(left_out, w).into_iter().take(room) {
            y_mm += 3.2;
            page.text((x, y_mm), 7.0, true, Align::Left, line);
        }
        y_mm = self.no_dig_key(page, (x, y_mm, y + h));
        y_mm = self.outlet_list(page, (x, y_mm + 7.0, w, y + h));
        y_mm = self.benchmark_list(page, (x, y_mm + 2.0, w, y + h));
        self.line_list(page, (x, y_mm + 4.0, w, y + h));
    }

    /// Whose labels found no room on the map; of many the first ones and how many more.
    fn left_out_lines(&self, left_out: &[String], width_mm: f64) -> Vec<String> {
        const MOST: usize = 8;
        if left_out.is_empty() {
            return Vec::new();
        }
        let more = left_out.len().saturating_sub(MOST);
        let named = left_out.iter().take(MOST).cloned().chain((more > 0).then(|| format!("{more} more")));
        let named = named.collect::<Vec<_>>().join(", ");
        self.ink.wrap(
            &format!("No room on the map for the label of {named}: see the cut sheets"),
            7.0,
            true,
            width_mm,
        )
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
        page.text((x, y + 15.0), LEAST_PT, false, Align::Left, paper);
        y + 16.0
    }

    /// What is on this sheet.
    fn legend(&self, page: &mut Page, (x, y, bottom): (f64, f64, f64), shown: &Scene) -> f64 {
        page.text((x, y), 9.0, true, Align::Left, "Legend");
        let mut y_mm = y + 4.5;
        let keys = drawing::legend(shown);
        // All of them, closer where the column is short.
        let row_mm = ((bottom - y_mm) / (keys.len() + 1) as f64).clamp(LEAST_KEY, KEY);
        for key in keys {
            draw_key(page, &self.ink, (x, y_mm - 1.0), key);
            let word = match (key.role, key.role.code()) {
                (Role::Protected, _) => self.protected_words(),
                (Role::Mark(_), Some((letter, marking))) => {
                    let marked = marking.map_or("color not known".into(), |color| format!("marked {}", color.word()));
                    format!("{letter}  {}, {marked}", key.word)
                }
                _ => key.word.into(),
            };
            page.text((x + 17.0, y_mm), 7.5, false, Align::Left, word);
            y_mm += row_mm;
        }
        for arm in [[(x + 5.8, y_mm - 1.0), (x + 8.2, y_mm - 1.0)], [(x + 7.0, y_mm - 2.2), (x + 7.0, y_mm + 0.2)]] {
            page.line(&arm, Stroke::grey(0.2, 90));
        }
        page.text((x + 17.0, y_mm), 7.5, false, Align::Left, "easting and northing");
        y_mm + 1.0
    }

    /// How much trench is to be protected.
    fn protected_words(&self) -> String {
        let (criteria, units) = (&self.work.plan.criteria, self.work.plan.title.units);
        let protected_m: f64 = self.deep_lines().iter().map(|(.., deep)| deep.protected_m()).sum();
        let (limit, length) = (units.depth(criteria.protected_trench_m), Measure::Length.words(protected_m, units));
        format!("trench {limit} or deeper, {length}")
    }

    /// Where nobody digs, by the numbers on the map.
    fn no_dig_key(&self, page: &mut Page, (x, y, bottom): (f64, f64, f64)) -> f64 {
        let parts = self.no_dig_parts();
        let room = ((bottom - y - 7.0) / 3.6).max(0.0) as usize;
        // In a full column the map alone tells them, and the first page all of them.
        if parts.is_empty() || room < 2 {
            return y;
        }
        let most = if parts.len() > room { room - 1 } else { room }.min(MOST_NO_DIG);
        let mut y_mm = y + 7.0;
        page.text((x, y_mm), 9.0, true, Align::Left, "DO NOT DIG");
        for (number, place, _) in parts.iter().take(most) {
            y_mm += 3.6;
            page.text((x, y_mm), 7.0, true, Align::Left, number.to_string());
            page.text((x + 7.0, y_mm), 7.0, true, Align::Left, place.clone());
        }
        if parts.len() > most {
            y_mm += 3.6;
            let more = format!("and {} more, see page 1", parts.len() - most);
            page.text((x, y_mm), 7.0, true, Align::Left, more);
        }
        y_mm
    }

    /// Outlets with their levels; those that find no room are drawn among the details.
    fn outlet_list(&self, page: &mut Page, (x, y, w, bottom): (f64, f64, f64, f64)) -> f64 {
        const HIGH: f64 = 26.0;
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let mut y_mm = y;
        for (i, (id, outlet)) in plan.outlets.iter().enumerate() {
            if y_mm + HIGH > bottom {
                let left = measure::how_many(plan.outlets.len() - i, "outlet");
                if y_mm < bottom {
                    page.text((x, y_mm), 7.0, true, Align::Left, format!("{left} under Details"));
                }
                return y_mm + 5.0;
            }
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
        // In a full column the map alone names them.
        if marks.is_empty() || y + LEAST_LINES > bottom {
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
            page.text((x + w, y_mm), LEAST_PT, true, Align::Right, level);
            for (k, line) in self.ink.wrap(&mark.name, LEAST_PT, true, room_mm).iter().enumerate() {
                y_mm += if k > 0 { 3.0 } else { 0.0 };
                page.text((x, y_mm), LEAST_PT, true, Align::Left, line.as_str());
            }
            y_mm += 3.2;
            let (east, north) = (across.figure(mark.at.x, 2), across.figure(mark.at.y, 2));
            page.text((x, y_mm), LEAST_PT, false, Align::Left, format!("E {east}  N {north} {}", across.sign()));
            if !mark.datum.is_empty() && mark.datum != self.work.reference.datum {
                for line in self.ink.wrap(&format!("vertical datum: {}", mark.datum), LEAST_PT, false, w) {
                    y_mm += 3.0;
                    page.text((x, y_mm), LEAST_PT, false, Align::Left, line);
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
            let size = worked.map_or_else(|| units.pipe(line.size_m), |worked| worked.size_words(units));
            page.text((x, y_mm), 7.0, false, Align::Left, format!("{} {}", line.name, line.kind.word()));
            page.text((x + w * 0.68, y_mm), 7.0, false, Align::Right, size);
            page.text((x + w, y_mm), 7.0, false, Align::Right, units.length(line.length_m()));
        }
    }
}

/// The sample beside a word of the legend.
fn draw_key(page: &mut Page, ink: &Ink, (x, y): (f64, f64), key: Key) {
    let look = look(key.role);
    let mut line = |stroke: Stroke| page.line(&[(x, y), (x + 14.0, y)], stroke);
    match look.sign {
        Sign::Arrow => return page.items.push(arrow((x + 7.0, y), (x + 8.0, y))),
        Sign::Dot(_) if matches!(key.role, Role::Finding(_)) => {
            page.items.extend(sign(look.sign, (x + 5.0, y), (x, y)));
            return page.items.extend(number_box(ink, (x + 9.0, y), "1", box_fill(key.role)));
        }
        sign_of if key.is_sign => return page.items.extend(sign(sign_of, (x + 7.0, y), (x, y))),
        _ => {}
    }
    look.stroke.into_iter().for_each(&mut line);
    if look.sign == Sign::Barred {
        return page.items.extend(sign(look.sign, (x + 7.0, y), (x, y)));
    }
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
