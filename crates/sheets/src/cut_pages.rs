//! Cut sheets: large figures, one line of pipe a set of pages, what comes next told before it is met.

use measure::{Units, feet_and_eighths};
use plan::{LineId, Measure};
use takeoff::{CutSheet, Row, Stake, Weight};
use terrain::Stretch;

use crate::book::{MARGIN, Making};
use crate::cut_notes::{Below, Line, Look, Note, write_lines};
use crate::notices::{cut_sheet, stretch_words};
use crate::page::{Align, Page, Part, Stroke};

/// Height of the figures of a row, and of each line below them, millimetres.
const ROW: f64 = 9.0;
pub(crate) const LINE: f64 = 5.0;
/// From the top of a row to its station, and to the small numbers below it, millimetres: so far apart that a reader of the
/// PDF takes them for two texts.
const STATED: f64 = 4.5;
const NUMBERS: f64 = 8.4;
/// Width of the bar beside rows in which something is to be fixed, or nobody digs, millimetres.
const BAR: f64 = 2.2;
/// Share of the width that stations take.
const STATION: f64 = 0.085;
/// Least height of the head of a sheet, which the little map fills, millimetres.
const HEAD: f64 = 28.0;
/// Width of the head that the little map takes, millimetres.
const THUMBNAIL: f64 = 32.0;
/// Height of a line of the head and of the foot checks, millimetres, and of its type, points.
pub(crate) const SMALL: f64 = 3.9;
pub(crate) const SMALL_PT: f64 = 8.5;
const TABLE_HEAD: f64 = 8.0;

/// A column: its head, its share of the width.
type Column = (&'static str, f64);

/// Columns with and without a rod; what is here and what comes next stand on lines of their own below the figures.
fn columns(with_rod: bool) -> Vec<Column> {
    let mut columns = vec![
        ("Station", STATION),
        ("Hub", 0.06),
        ("Hub level", 0.075),
        ("CUT", 0.095),
        ("", 0.10),
        ("To bottom", 0.065),
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

/// What a cut sheet is filled with from the top: its rows, then the list of what is open.
enum Block<'s> {
    Row(&'s Row),
    Note(Note),
}

impl Making<'_> {
    /// Cut sheets of all lines, or of one.
    pub(crate) fn cut_sheets(&self, only: Option<LineId>) -> Vec<Page> {
        let work = self.work;
        let wanted = work.plan.lines.keys().filter(|id| only.is_none_or(|only| only == **id));
        let sheet = |id: &LineId| cut_sheet(work.plan, work.design, &self.listed, *id, work.set_ups);
        wanted.filter_map(sheet).flat_map(|sheet| self.cut_pages(&sheet)).collect()
    }

    fn cut_pages(&self, sheet: &CutSheet) -> Vec<Page> {
        let wide_mm = self.work.paper.lying_mm().0 - 2.0 * MARGIN;
        let head = self.broken(self.head_lines(sheet), wide_mm - THUMBNAIL - 4.0);
        let foot = self.broken(self.foot_lines(sheet), wide_mm);
        let rows = sheet.rows.iter().map(Block::Row);
        let blocks: Vec<Block> =
            rows.chain(self.open_list(sheet.line, wide_mm).into_iter().map(Block::Note)).collect();
        let mut left = blocks.as_slice();
        let mut pages = Vec::new();
        while !left.is_empty() {
            let (page, rest) = self.cut_page(sheet, (&head, &foot), left);
            pages.push(page);
            left = rest;
        }
        pages
    }

    /// A page filled with what it has room for; answers what is left.
    fn cut_page<'b, 's>(
        &self,
        sheet: &CutSheet,
        (head, foot): (&[Line], &[Line]),
        mut left: &'b [Block<'s>],
    ) -> (Page, &'b [Block<'s>]) {
        let (mut page, (x, y, w, h)) = self.page(self.work.paper.lying_mm(), &format!("Cut sheet {}", sheet.name));
        let head_mm = HEAD.max(SMALL * head.len() as f64 + 2.0);
        write_lines(&mut page, (x, y + 2.6), w - THUMBNAIL - 4.0, head);
        let first = page.items.len();
        self.thumbnail(&mut page, (x + w - THUMBNAIL, y - 1.0, THUMBNAIL, HEAD - 2.0), sheet.line);
        page.part_since(first, Part::Figure(format!("All lines small, north up, {} drawn heavy", sheet.name)));
        let mut y_mm = y + head_mm;
        let table = page.items.len();
        if matches!(left.first(), Some(Block::Row(_))) {
            self.table_head(&mut page, (x, y, w, h), y_mm);
            page.part_since(table, Part::Heads);
            y_mm += TABLE_HEAD;
        }
        let mut rows = 0;
        let (top_mm, bottom_mm) = (y_mm, y + h - SMALL * (foot.len() + 1) as f64 - 5.0);
        while let Some((block, rest)) = left.split_first() {
            let height_mm = match block {
                Block::Row(row) => self.row_height_mm(row, w),
                Block::Note(note) => note.height_mm(),
            };
            // A heading does not stand alone at the foot of a page.
            let with_mm = match (block, rest.first()) {
                (Block::Note(note), Some(Block::Note(next))) if note.is_heading() => height_mm + next.height_mm(),
                _ => height_mm,
            };
            if y_mm + with_mm > bottom_mm && y_mm > top_mm {
                break;
            }
            match block {
                Block::Row(row) => {
                    let first = page.items.len();
                    self.row(&mut page, (x, y_mm, w, height_mm), row);
                    page.part_since(first, Part::Row);
                    rows = page.items.len();
                }
                Block::Note(note) => note.write(&mut page, (x, y_mm, w)),
            }
            y_mm += height_mm;
            left = rest;
        }
        let notes = page.items.split_off(rows.max(table));
        page.part_since(table, Part::Table);
        page.items.extend(notes);
        write_lines(&mut page, (x, bottom_mm + 4.5), w, foot);
        let last_mm = bottom_mm + 4.5 + SMALL * foot.len() as f64;
        if !left.is_empty() {
            page.text((x, last_mm), SMALL_PT, true, Align::Left, "continued on the next page");
        }
        signature(&mut page, (x + w, last_mm));
        (page, left)
    }

    /// What the crew must know before the first stake.
    fn head_lines(&self, sheet: &CutSheet) -> Vec<Line> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let from = match sheet.has_hubs {
            true => "Cuts from hubs; where a row has no hub, from the GROUND",
            false => "No hub levels entered: every cut is from the GROUND at the center line",
        };
        let unit = if units.is_metric() { "meters" } else { "feet and tenths; eighths of an inch beside" };
        let below = units.amount(sheet.below_invert_m);
        let cover = units.depth(plan.criteria.least_cover_m);
        let width = units.pipe(plan.criteria.trench_width_m);
        let mut lines = self.heavy_lines(sheet.line);
        lines.extend([
            (Look::Plain, format!("Pipe {}", sheet.pipe)),
            (Look::Plain, format!("{}. Hubs left or right looking upstream", sheet.zero)),
            (Look::Bold, format!("{from}. To bottom: down to the trench bottom, cut + {below} of wall and bedding")),
            (Look::Plain, format!("Figures in {unit}. Least cover of the job {cover}. Trench {width} wide")),
        ]);
        if self.with_rod() {
            let rod = takeoff::planes_words(sheet, units)
                .map_or("No laser plane given for this line".into(), |planes| {
                    format!("Laser plane at {planes}. Rod on the invert; on the trench bottom add {below}")
                });
            lines.push((Look::Plain, rod));
        }
        if sheet.rows.iter().any(|row| !row.seen.is_empty()) {
            let words = "Small numbers below a station: what is open there, in the list at the end of this sheet";
            lines.push((Look::Plain, words.into()));
        }
        lines
    }

    /// True where rods are read on this job.
    fn with_rod(&self) -> bool {
        !self.work.set_ups.is_empty()
    }

    /// Lines of small type, each broken where it is too wide.
    fn broken(&self, lines: Vec<Line>, width_mm: f64) -> Vec<Line> {
        let wrap = |(look, text): Line| {
            let bold = look != Look::Plain;
            self.ink.wrap(&text, SMALL_PT, bold, width_mm - 2.0).into_iter().map(move |line| (look, line))
        };
        lines.into_iter().flat_map(wrap).collect()
    }

    /// Every line small, this one heavy, north up.
    fn thumbnail(&self, page: &mut Page, (x, y, w, h): (f64, f64, f64, f64), own: LineId) {
        let lines = &self.work.plan.lines;
        let all = lines.values().flat_map(|line| &line.points);
        let Some((low, high)) = measure::extent(all.copied()) else { return };
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

    /// Lines below the figures of a row: what is here, what is open from here on, then in grey what comes next. Notes stand
    /// in the list only.
    fn lines_below(&self, row: &Row, width_mm: f64) -> Vec<(Below, String)> {
        let here = row.here.iter().map(|text| (Below::Here, text.clone()));
        let seen = row.seen.iter().filter(|seen| seen.weight < Weight::Note).filter_map(|seen| {
            let below = match seen.weight {
                Weight::NoDig => Below::NoDig,
                Weight::Fix => Below::Fix,
                _ => Below::Here,
            };
            Some((below, format!("{}  {}", seen.number, seen.words.as_ref()?)))
        });
        let ahead = row.ahead.iter().map(|ahead| (Below::Ahead, format!("AHEAD {}", ahead.words)));
        let wrap = |(below, text): (Below, String)| {
            let lines = self.ink.wrap(&text, 9.5, true, width_mm - 10.0);
            lines.into_iter().map(move |line| (below, line)).collect::<Vec<_>>()
        };
        seen.chain(here).chain(ahead).flat_map(wrap).collect()
    }

    fn row_height_mm(&self, row: &Row, width_mm: f64) -> f64 {
        ROW + self.lines_below(row, width_mm).len() as f64 * LINE
    }

    fn row(&self, page: &mut Page, (x, y, w, h): (f64, f64, f64, f64), row: &Row) {
        page.rect((x, y, w, h), Some(Stroke::grey(0.2, 90)), None);
        if row.seen.iter().any(|seen| seen.weight <= Weight::Fix) {
            page.rect((x - BAR - 0.6, y, BAR, h), None, Some(0));
        }
        self.numbers(page, (x + 1.2, y + NUMBERS, w * STATION - 2.0), row);
        if row.no_dig {
            self.no_dig_row(page, (x, y, w), row);
        } else {
            self.figure_cells(page, (x, y, w), row);
        }
        for (k, (below, line)) in self.lines_below(row, w).into_iter().enumerate() {
            below.write(page, (x, y + ROW + LINE * k as f64 - 0.6, w), line);
        }
    }

    /// A row at which nobody digs: its station, and that.
    fn no_dig_row(&self, page: &mut Page, (x, y, w): (f64, f64, f64), row: &Row) {
        page.text((x + 1.2, y + STATED), 11.0, true, Align::Left, self.station(row.station_m));
        page.rect((x + w * STATION, y + 0.8, w * (1.0 - STATION) - 0.8, ROW - 1.6), None, Some(0));
        page.white((x + w * STATION + 3.0, y + 6.3), 15.0, "DO NOT DIG");
    }

    fn figure_cells(&self, page: &mut Page, (x, y, w): (f64, f64, f64), row: &Row) {
        let base_mm = y + 6.2;
        let mut left_mm = x;
        let figures = self.figures(row);
        for ((head, share), text) in columns(self.with_rod()).into_iter().zip(figures) {
            let (wide_mm, at) = (w * share, (left_mm + 1.2, base_mm));
            let fit = |largest_pt: f64, bold: bool| self.fitting_pt(&text, (largest_pt, 6.0), bold, wide_mm - 1.6);
            match head {
                "CUT" => page.text((at.0, at.1 + 0.4), fit(17.0, true), true, Align::Left, text.clone()),
                "Station" => page.text((at.0, y + STATED), fit(11.0, true), true, Align::Left, text.clone()),
                "" => page.text(at, fit(11.0, true), true, Align::Left, text.clone()),
                "As dug" => {
                    page.rect((left_mm + 0.8, y + 1.0, wide_mm - 1.6, ROW - 2.0), Some(Stroke::black(0.25)), None)
                }
                "Photo" => {
                    page.rect((left_mm + wide_mm / 2.0 - 2.0, y + 2.2, 4.0, 4.0), Some(Stroke::black(0.25)), None)
                }
                _ => page.text(at, fit(10.0, false), false, Align::Left, text.clone()),
            }
            left_mm += wide_mm;
        }
    }

    /// Numbers of what is open at a row, the heaviest first; what finds no room is in the list.
    fn numbers(&self, page: &mut Page, (x, y, w): (f64, f64, f64), row: &Row) {
        let all: Vec<String> = row.seen.iter().map(|seen| seen.number.to_string()).collect();
        let fits = |count: usize| {
            let more = if count < all.len() { " …" } else { "" };
            let text = format!("{}{more}", all[..count].join(" "));
            (self.ink.width_mm(&text, 7.0, true) <= w).then_some(text)
        };
        if let Some(text) = (1..=all.len()).rev().find_map(fits) {
            page.text((x, y), 7.0, true, Align::Left, text);
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
            two(row.to_trench_bottom_m),
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

    /// Sums and depths that let the reader see that the sheet hangs together.
    fn foot_lines(&self, sheet: &CutSheet) -> Vec<Line> {
        let units = self.work.plan.title.units;
        let (sum, ends) = (units.amount(sheet.rise_m.0), units.amount(sheet.rise_m.1));
        let agree = if sheet.adds_up { "agrees within the rounding" } else { "DOES NOT AGREE" };
        let at = |extreme: Option<terrain::Extreme>| match extreme {
            Some(extreme) => format!("{} at {}", units.depth(extreme.value_m), self.station(extreme.station_m)),
            None => "unknown, no ground".into(),
        };
        let (cover, deep) = (at(sheet.least_cover), at(sheet.deepest));
        let mut lines = vec![
            format!("Check: lengths × grades as printed {sum}, last invert less first {ends}: {agree}"),
            self.fall_words(sheet),
            format!("Shallowest cover {cover}  ·  deepest trench {deep}, {}", self.protection_words(sheet)),
        ];
        if !sheet.deep.ladder.is_empty() {
            let limit = units.depth(self.work.plan.criteria.ladder_trench_m);
            lines.push(format!("Ladder or ramp, trench from {limit}: {}", self.stretches_words(&sheet.deep.ladder)));
        }
        if !sheet.unknown_m.is_empty() {
            let parts: Vec<String> = sheet.unknown_m.iter().map(|part| stretch_words(*part, units)).collect();
            lines.push(format!("GROUND NOT KNOWN, depth and protection cannot be told: {}", parts.join(", ")));
        }
        if !sheet.cuts_are_down {
            lines.push("A CUT GOES UP: CHECK HUBS".into());
        }
        lines.into_iter().map(|line| (Look::Bold, line)).collect()
    }

    /// Whether the line falls all the way, by its levels as laid, and where it does not.
    fn fall_words(&self, sheet: &CutSheet) -> String {
        let units = self.work.plan.title.units;
        let ends = sheet.rows.first().zip(sheet.rows.last());
        let [low, high] =
            ends.map_or([0.0, 0.0], |(low, high)| [low.station_m, high.station_m]).map(|m| self.station(m));
        if sheet.stands.is_empty() {
            let upper = if sheet.unknown_m.is_empty() { "the upper end, " } else { "" };
            return format!("Falls all the way from {upper}{high}, down to {low}");
        }
        let stand = |stand: &takeoff::Stand| {
            let [from, to] = [stand.to_m, stand.from_m].map(|station_m| self.station(station_m));
            match stand.up_m > 0.0 {
                true => format!("from {from} down to {to} it RISES {}", units.amount(stand.up_m)),
                false => format!("from {from} down to {to} it lies LEVEL"),
            }
        };
        let stands: Vec<String> = sheet.stands.iter().rev().map(stand).collect();
        format!("DOES NOT FALL ALL THE WAY: {}", stands.join(", "))
    }

    fn protection_words(&self, sheet: &CutSheet) -> String {
        let units = self.work.plan.title.units;
        if sheet.deep.protected.is_empty() {
            let limit = units.depth(self.work.plan.criteria.protected_trench_m);
            let known = if sheet.unknown_m.is_empty() { "everywhere" } else { "where the ground is known" };
            return format!("under {limit} {known}");
        }
        let length = Measure::Length.words(sheet.deep.protected_m(), units);
        format!("PROTECTION NEEDED {}, {length}", self.stretches_words(&sheet.deep.protected))
    }

    pub(crate) fn stretches_words(&self, parts: &[Stretch]) -> String {
        let units = self.work.plan.title.units;
        let words = parts.iter().map(|part| stretch_words((part.from_m, part.to_m), units));
        words.collect::<Vec<_>>().join(", ")
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
