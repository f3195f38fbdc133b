//! Cut sheets: large figures, one line of pipe a set of pages, what comes next told before it is met.

use measure::{Units, feet_and_eighths};
use plan::LineId;
use takeoff::{CutSheet, Row, Stake};

use crate::book::{MARGIN, Making};
use crate::page::{Align, Page, Stroke};

/// Height of the figures of a row, and of each line below them, millimetres.
const ROW: f64 = 9.0;
const LINE: f64 = 5.0;
/// Least height of the head of a sheet, which the little map fills, millimetres.
const HEAD: f64 = 28.0;
/// Width of the head that the little map takes, millimetres.
const THUMBNAIL: f64 = 32.0;
/// Height of a line of the head and of the foot checks, millimetres, and of its type, points.
const SMALL: f64 = 3.9;
const SMALL_PT: f64 = 8.5;
/// Most lines of foot checks, so that the sheet keeps room for its rows.
const MOST_FOOT: usize = 14;
const TABLE_HEAD: f64 = 8.0;

/// A column: its head, its share of the width.
type Column = (&'static str, f64);

/// Columns with and without a rod; what is here and what comes next stand on lines of their own below the figures.
fn columns(with_rod: bool) -> Vec<Column> {
    let mut columns = vec![
        ("Station", 0.085),
        ("Hub", 0.06),
        ("Hub level", 0.075),
        ("CUT", 0.095),
        ("", 0.10),
        ("Dig to", 0.065),
        ("Invert", 0.080),
        ("To next", 0.09),
        ("Ground", 0.07),
        ("Depth", 0.05),
        ("Cover", 0.05),
    ];
    columns.extend(with_rod.then_some(("Rod", 0.07)));
    let used: f64 = columns.iter().map(|(_, share)| share).sum();
    columns.push(("As dug", 1.0 - used - 0.045));
    columns.push(("Photo", 0.045));
    columns
}

impl Making<'_> {
    /// Cut sheets of all lines, or of one.
    pub(crate) fn cut_sheets(&self, only: Option<LineId>) -> Vec<Page> {
        let wanted = self.work.plan.lines.keys().filter(|id| only.is_none_or(|only| only == **id));
        let sheet = |id: &LineId| takeoff::cut_sheet(self.work.plan, self.work.design, *id, self.work.set_ups);
        wanted.filter_map(sheet).flat_map(|sheet| self.cut_pages(&sheet)).collect()
    }

    fn cut_pages(&self, sheet: &CutSheet) -> Vec<Page> {
        let mut pages = Vec::new();
        let mut next = 0;
        let wide_mm = self.work.paper.lying_mm().0 - 2.0 * MARGIN;
        let head = self.broken(self.head_lines(sheet), wide_mm - THUMBNAIL - 4.0);
        let mut foot = self.broken(self.foot_lines(sheet), wide_mm);
        if foot.len() > MOST_FOOT {
            foot.truncate(MOST_FOOT);
            foot.push((true, "… the rest of what was left by name stands on the Findings page".into()));
        }
        let head_mm = HEAD.max(SMALL * head.len() as f64 + 2.0);
        let foot_mm = SMALL * (foot.len() + 1) as f64 + 5.0;
        while next < sheet.rows.len() {
            let title = format!("Cut sheet {}", sheet.name);
            let (mut page, matter) = self.page(self.work.paper.lying_mm(), &title);
            write_lines(&mut page, (matter.0, matter.1 + 2.6), &head);
            self.thumbnail(
                &mut page,
                (matter.0 + wide_mm - THUMBNAIL, matter.1 - 1.0, THUMBNAIL, HEAD - 2.0),
                sheet.line,
            );
            let top_mm = matter.1 + head_mm + TABLE_HEAD;
            self.table_head(&mut page, matter, matter.1 + head_mm);
            let mut y_mm = top_mm;
            let bottom_mm = matter.1 + matter.3 - foot_mm;
            while let Some(row) = sheet.rows.get(next) {
                let height_mm = self.row_height_mm(row, matter.2);
                if y_mm + height_mm > bottom_mm && y_mm > top_mm {
                    break;
                }
                self.row(&mut page, (matter.0, y_mm, matter.2, height_mm), row);
                y_mm += height_mm;
                next += 1;
            }
            write_lines(&mut page, (matter.0, bottom_mm + 4.5), &foot);
            let last_mm = bottom_mm + 4.5 + SMALL * foot.len() as f64;
            if next < sheet.rows.len() {
                page.text((matter.0, last_mm), SMALL_PT, true, Align::Left, "continued on the next page");
            }
            signature(&mut page, (matter.0 + matter.2, last_mm));
            pages.push(page);
        }
        pages
    }

    /// What the crew must know before the first stake.
    fn head_lines(&self, sheet: &CutSheet) -> Vec<(bool, String)> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let from = match sheet.has_hubs {
            true => "Cuts from hubs; where a row has no hub, from the GROUND",
            false => "No hub levels entered: every cut is from the GROUND at the centre line",
        };
        let unit = if units.is_metric() { "metres" } else { "feet and tenths; eighths of an inch beside" };
        let below = units.amount(sheet.below_invert_m);
        let cover = units.depth(plan.criteria.least_cover_m);
        let width = units.pipe(plan.criteria.trench_width_m);
        let mut lines = vec![
            (false, format!("Pipe {}", sheet.pipe)),
            (false, format!("{}. Hubs left or right looking upstream", sheet.zero)),
            (true, format!("{from}. Dig to = cut + {below} of wall and bedding")),
            (false, format!("Figures in {unit}. Least cover of the job {cover}. Trench {width} wide")),
        ];
        if self.with_rod() {
            let rod = takeoff::planes_words(sheet, units)
                .map_or("No laser plane given for this line".into(), |planes| {
                    format!("Laser plane at {planes}. Rod on the invert; on the trench bottom add {below}")
                });
            lines.push((false, rod));
        }
        lines
    }

    /// True where rods are read on this job.
    fn with_rod(&self) -> bool {
        !self.work.set_ups.is_empty()
    }

    /// Lines of small type, each broken where it is too wide.
    fn broken(&self, lines: Vec<(bool, String)>, width_mm: f64) -> Vec<(bool, String)> {
        let wrap = |(bold, text): (bool, String)| {
            self.ink.wrap(&text, SMALL_PT, bold, width_mm).into_iter().map(move |line| (bold, line))
        };
        lines.into_iter().flat_map(wrap).collect()
    }

    /// Every line small, this one heavy, north up.
    fn thumbnail(&self, page: &mut Page, (x, y, w, h): (f64, f64, f64, f64), own: LineId) {
        let lines = &self.work.plan.lines;
        let all = lines.values().flat_map(|line| &line.points);
        let Some((low, high)) = all.fold(None, |range: Option<(measure::Point, measure::Point)>, p| {
            let (low, high) = range.unwrap_or((*p, *p));
            Some((
                measure::Point::new(low.x.min(p.x), low.y.min(p.y)),
                measure::Point::new(high.x.max(p.x), high.y.max(p.y)),
            ))
        }) else {
            return;
        };
        let scale = ((w - 6.0) / (high.x - low.x).max(1.0)).min((h - 2.0) / (high.y - low.y).max(1.0));
        let place = |p: &measure::Point| (x + (p.x - low.x) * scale, y + h - 1.0 - (p.y - low.y) * scale);
        for (id, line) in lines {
            let points: Vec<(f64, f64)> = line.points.iter().map(place).collect();
            page.line(&points, if *id == own { Stroke::black(0.9) } else { Stroke::grey(0.25, 110) });
        }
        let tip = (x + w - 2.0, y + 1.0);
        page.line(&[(tip.0, tip.1 + 8.0), tip, (tip.0 - 1.2, tip.1 + 3.0)], Stroke::black(0.4));
        page.line(&[tip, (tip.0 + 1.2, tip.1 + 3.0)], Stroke::black(0.4));
        page.text((tip.0, tip.1 + 12.0), 8.0, true, Align::Middle, "N");
    }

    fn table_head(&self, page: &mut Page, (x, _, w, _): (f64, f64, f64, f64), y_mm: f64) {
        page.rect((x, y_mm, w, TABLE_HEAD), Some(Stroke::black(0.35)), Some(225));
        let mut left_mm = x;
        for (head, share) in columns(self.with_rod()) {
            page.text((left_mm + 1.2, y_mm + 5.4), 8.5, true, Align::Left, head);
            left_mm += w * share;
        }
    }

    /// Lines below the figures of a row: what is here, then in grey what comes next.
    fn lines_below(&self, row: &Row, width_mm: f64) -> Vec<(bool, String)> {
        let here = row.here.iter().map(|text| (false, text.clone()));
        let ahead = row.ahead.iter().map(|text| (true, format!("AHEAD {text}")));
        let wrap = |(ahead, text): (bool, String)| {
            let lines = self.ink.wrap(&text, 9.5, true, width_mm - 10.0);
            lines.into_iter().map(move |line| (ahead, line)).collect::<Vec<_>>()
        };
        here.chain(ahead).flat_map(wrap).collect()
    }

    fn row_height_mm(&self, row: &Row, width_mm: f64) -> f64 {
        ROW + self.lines_below(row, width_mm).len() as f64 * LINE
    }

    fn row(&self, page: &mut Page, (x, y, w, h): (f64, f64, f64, f64), row: &Row) {
        page.rect((x, y, w, h), Some(Stroke::grey(0.2, 90)), None);
        let base_mm = y + 6.2;
        let mut left_mm = x;
        let figures = self.figures(row);
        for ((head, share), text) in columns(self.with_rod()).into_iter().zip(figures) {
            let (wide_mm, at) = (w * share, (left_mm + 1.2, base_mm));
            match head {
                "CUT" => page.text((at.0, at.1 + 0.4), 17.0, true, Align::Left, text),
                "" | "Station" => page.text(at, 11.0, true, Align::Left, text),
                "As dug" => {
                    page.rect((left_mm + 0.8, y + 1.0, wide_mm - 1.6, ROW - 2.0), Some(Stroke::black(0.25)), None)
                }
                "Photo" => {
                    page.rect((left_mm + wide_mm / 2.0 - 2.0, y + 2.2, 4.0, 4.0), Some(Stroke::black(0.25)), None)
                }
                _ => page.text(at, 10.0, false, Align::Left, text),
            }
            left_mm += wide_mm;
        }
        for (k, (ahead, line)) in self.lines_below(row, w).into_iter().enumerate() {
            let y_mm = y + ROW + LINE * k as f64 - 0.6;
            if ahead {
                page.rect((x + 0.4, y_mm, w - 0.8, LINE - 0.3), None, Some(215));
            }
            page.text((x + 6.0, y_mm + 3.7), 9.5, true, Align::Left, line);
        }
    }

    /// The figures of a row in the order of the columns; "As dug" and "Photo" are drawn, not written.
    fn figures(&self, row: &Row) -> Vec<String> {
        let units = self.work.plan.title.units;
        let two = |value: Option<f64>| value.map(|value| units.number(value, 2)).unwrap_or_default();
        let hub = row.stake.map(|stake| match stake {
            Stake::Hub(hub) if hub.left_m == 0.0 => "on line".into(),
            Stake::Hub(hub) => {
                let off = units.number(hub.left_m.abs(), 2);
                let off = off.trim_end_matches('0').trim_end_matches('.');
                format!("{off} {}", if hub.left_m > 0.0 { "L" } else { "R" })
            }
            Stake::Ground(_) => "ground".into(),
        });
        let grade = row.grade.map_or("end".into(), |grade| {
            format!(
                "{} {}",
                units.grade(grade.abs()),
                if grade > 0.0 {
                    "↑"
                } else if grade < 0.0 {
                    "↓"
                } else {
                    "level"
                }
            )
        });
        let mut figures = vec![
            self.station(row.station_m),
            hub.unwrap_or_default(),
            row.stake.map(|stake| units.level(stake.level_m())).unwrap_or_default(),
            two(row.cut_m),
            row.cut_m.map(|cut_m| beside(cut_m, units)).unwrap_or_default(),
            two(row.dig_to_m),
            units.level(row.invert_m),
            grade,
            two(row.ground_m),
            two(row.depth_m),
            two(row.cover_m),
        ];
        figures.extend(self.with_rod().then(|| row.rod_m.map(|rod_m| units.level(rod_m)).unwrap_or_default()));
        figures.extend([String::new(), String::new()]);
        figures
    }

    /// Findings of a line that were left by name.
    fn left_on(&self, line: LineId) -> Vec<String> {
        let units = self.work.plan.title.units;
        let own = self.work.findings.iter().filter(|f| f.line.is_none_or(|of| of == line));
        own.filter_map(|f| Some(format!("Left: {}", f.left.as_ref()?.words(units)))).collect()
    }

    /// Sums that let the reader see that the sheet hangs together, and what was left by name on this line.
    fn foot_lines(&self, sheet: &CutSheet) -> Vec<(bool, String)> {
        let units = self.work.plan.title.units;
        let (sum, ends) = (units.amount(sheet.rise_m.0), units.amount(sheet.rise_m.1));
        let agree = if sheet.adds_up { "agrees within the rounding" } else { "DOES NOT AGREE" };
        let cuts = if sheet.cuts_are_down { "every cut goes down" } else { "A CUT GOES UP: CHECK HUBS" };
        let at = |extreme: Option<terrain::Extreme>| match extreme {
            Some(extreme) => format!("{} at {}", units.depth(extreme.value_m), self.station(extreme.station_m)),
            None => "unknown, no ground".into(),
        };
        let (cover, deep) = (at(sheet.least_cover), at(sheet.deepest));
        let protect = match sheet.protected_m.as_slice() {
            [] => format!("under {} everywhere", units.depth(self.work.plan.criteria.protected_trench_m)),
            deep => {
                let stretches: Vec<String> =
                    deep.iter().map(|(a, b)| format!("{} to {}", self.station(*a), self.station(*b))).collect();
                format!("PROTECTION NEEDED {}", stretches.join(", "))
            }
        };
        let mut lines = vec![
            (
                true,
                format!(
                    "Check: lengths × grades as printed {sum}, last invert less first {ends}: {agree}  ·  {cuts}"
                ),
            ),
            (true, format!("Shallowest cover {cover}  ·  deepest trench {deep}, {protect}")),
        ];
        lines.extend(self.left_on(sheet.line).into_iter().map(|left| (false, left)));
        lines
    }
}

/// Writes lines of small type below each other from a place down.
fn write_lines(page: &mut Page, (x, y): (f64, f64), lines: &[(bool, String)]) {
    for (k, (bold, line)) in lines.iter().enumerate() {
        page.text((x, y + SMALL * k as f64), SMALL_PT, *bold, Align::Left, line);
    }
}

/// Room for who dug and when, ending at a place.
fn signature(page: &mut Page, (right_mm, y): (f64, f64)) {
    for (word, word_mm, from_mm, to_mm) in [("dug by", 92.0, 80.0, 42.0), ("date", 39.0, 31.0, 0.0)] {
        page.text((right_mm - word_mm, y), SMALL_PT, false, Align::Left, word);
        page.line(&[(right_mm - from_mm, y + 0.5), (right_mm - to_mm, y + 0.5)], Stroke::black(0.2));
    }
}

/// The cut a second time: feet, inches and eighths, or millimetres.
fn beside(cut_m: f64, units: Units) -> String {
    if units.is_metric() {
        format!("{:.0} mm", measure::round_half_up(cut_m * 1000.0, 0))
    } else {
        feet_and_eighths(cut_m)
    }
}
