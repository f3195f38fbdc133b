//! Cut sheets: what comes next told before it is met, short lines together on a page, in a large hand, or in a close one where
//! a set would be too thick to carry.

use plan::{LineId, Measure};
use takeoff::{CutSheet, Row, Stake, Weight, printed};
use terrain::Stretch;

use crate::book::{MARGIN, Making};
use crate::cut_columns::{CLOSE, Column, Hand, Has, Kind, LARGE, columns, heads_base_mm, heads_mm};
use crate::cut_fill::{Measured, Piece, Sort, fill};
use crate::cut_notes::{BARRED, Below, Line, Look, Note, write_lines};
use crate::labels::Rect;
use crate::notices::stretch_words;
use crate::page::{Align, LEAST_PT, Page, Paper, Part, Stroke};

/// Rows from which on a job is written in the close hand: in the large one they fill some 60 sheets of letter (judgement).
const MANY_ROWS: usize = 700;
/// Between two columns of sheets, with room for the bar beside rows, millimetres.
const GUTTER: f64 = 8.0;
/// Width that who dug and when takes beside the name of a sheet in the close hand, millimetres.
const SIGNED: f64 = 54.0;
/// Width of the bar beside rows in which something is to be fixed, or nobody digs, millimetres.
const BAR: f64 = 2.2;
/// Width and height of the little map in the head of a sheet, millimetres.
const THUMBNAIL: (f64, f64) = (32.0, 25.0);
/// From the top of a row down to the small numbers below its station, millimetres: so far that a reader of the PDF takes them
/// for two texts. And what the station is moved up for them.
const NUMBERS: f64 = 8.2;
const STATION_UP: f64 = 1.7;

/// A sheet that is written, with all that is to be known before it is placed.
struct Laid<'s> {
    sheet: &'s CutSheet,
    hand: Hand,
    columns: Vec<Column>,
    /// Lines of its head; the first so many stand where it runs on, too.
    head: Vec<Line>,
    heavy: usize,
    blocks: Vec<Block<'s>>,
}

/// What a sheet is filled with from the top: its rows, the checks, then the list of what is open.
enum Block<'s> {
    Row(&'s Row, Vec<(Below, String)>),
    Checks(Vec<Line>),
    Note(Note),
}

impl Laid<'_> {
    fn measured(&self) -> Measured {
        let blocks = self.blocks.iter().map(|block| (block.sort(), block.height_mm(&self.hand)));
        Measured {
            head_mm: (self.head_mm(0), self.head_mm(1)),
            heads_mm: heads_mm(&self.columns, &self.hand),
            blocks: blocks.collect(),
        }
    }

    /// Height of the head over a piece that begins at a block: the whole head, or the shorter one where the sheet runs on.
    fn head_mm(&self, from: usize) -> f64 {
        let lines_mm = self.name_mm() + self.hand.small_mm * self.head_from(from).len() as f64 + 1.0;
        if self.hand.close || from > 0 { lines_mm } else { lines_mm.max(THUMBNAIL.1) }
    }

    /// The lines of that head.
    fn head_from(&self, from: usize) -> &[Line] {
        if from == 0 { &self.head } else { &self.head[..self.heavy] }
    }

    fn name_mm(&self) -> f64 {
        self.hand.name_pt * 0.5
    }
}

impl Block<'_> {
    fn sort(&self) -> Sort {
        match self {
            Self::Row(..) => Sort::Row,
            Self::Checks(_) => Sort::Checks,
            Self::Note(note) if note.is_heading() => Sort::Heading,
            Self::Note(_) => Sort::Entry,
        }
    }

    fn height_mm(&self, hand: &Hand) -> f64 {
        match self {
            Self::Row(_, below) => hand.row_mm + below.len() as f64 * hand.line_mm,
            Self::Checks(lines) => hand.small_mm * (lines.len() as f64 + 0.3) + hand.signed_mm,
            Self::Note(note) => note.height_mm(hand),
        }
    }
}

/// Size of the page, millimetres, and how many sheets stand side by side on it: on the large papers two in the large hand, for
/// one would leave half of the paper empty and the eye a long way from station to figure.
const fn side_by_side(paper: Paper, hand: &Hand) -> ((f64, f64), usize) {
    match (paper, hand.close) {
        (Paper::Letter | Paper::A4, false) => (paper.lying_mm(), 1),
        (Paper::Letter | Paper::A4, true) => (paper.standing_mm(), 2),
        (Paper::Tabloid | Paper::A3, false) => (paper.lying_mm(), 2),
        (Paper::Tabloid | Paper::A3, true) => (paper.lying_mm(), 4),
    }
}

impl Making<'_> {
    /// Cut sheets of all lines, or of one.
    pub(crate) fn cut_sheets(&self, only: Option<LineId>) -> Vec<Page> {
        let wanted = |sheet: &&CutSheet| only.is_none_or(|only| only == sheet.line);
        let sheets: Vec<&CutSheet> = self.sheets.iter().filter(wanted).collect();
        let rows: usize = sheets.iter().map(|sheet| sheet.rows.len()).sum();
        let hand = if rows >= MANY_ROWS { &CLOSE } else { &LARGE };
        let (size_mm, count) = side_by_side(self.work.paper, hand);
        let wide_mm = (size_mm.0 - 2.0 * MARGIN - GUTTER * (count - 1) as f64) / count as f64;
        let laid: Vec<Laid> = sheets.iter().map(|sheet| self.laid(sheet, hand, wide_mm)).collect();
        let measured: Vec<Measured> = laid.iter().map(Laid::measured).collect();
        let (.., matter) = self.cut_page(hand);
        let pages = fill(&measured, count, matter.3);
        pages.iter().map(|pieces| self.filled(&laid, hand, wide_mm, pieces)).collect()
    }

    /// A page with what holds for all sheets on it, and the rectangle left for them.
    fn cut_page(&self, hand: &Hand) -> (Page, Rect) {
        let (mut page, (x, y, w, h)) = self.page(side_by_side(self.work.paper, hand).0, &self.word("cut-sheets"));
        let lines = self.broken(self.reading_lines(), hand, w);
        let first = page.items.len();
        write_lines(&mut page, (x, y + 2.2), w, hand, &lines);
        page.part_since(first, Part::Paragraph);
        let down_mm = hand.small_mm * lines.len() as f64 + 2.0;
        (page, (x, y + down_mm, w, h - down_mm))
    }

    fn filled(&self, laid: &[Laid], hand: &Hand, wide_mm: f64, pieces: &[Piece]) -> Page {
        let (mut page, (x, y, _, _)) = self.cut_page(hand);
        for piece in pieces {
            let left_mm = x + piece.column as f64 * (wide_mm + GUTTER);
            let Some(laid) = laid.get(piece.sheet) else { continue };
            self.piece(&mut page, (left_mm, y + piece.top_mm, wide_mm), laid, piece.blocks);
        }
        page
    }

    /// Everything of a sheet that does not hang on where it stands.
    fn laid<'s>(&self, sheet: &'s CutSheet, hand: &Hand, wide_mm: f64) -> Laid<'s> {
        let (units, tongue) = (self.work.plan.title.units, self.tongue);
        let has = Has { hubs: sheet.has_hubs, rods: self.with_rod(), units, tongue };
        let (hand, columns) = columns(&self.ink, hand, has, &sheet.rows, wide_mm);
        let head_mm = if hand.close { wide_mm } else { wide_mm - THUMBNAIL.0 - 4.0 };
        let heavy = self.broken(self.heavy_lines(sheet.line), &hand, head_mm);
        let (head, count) = (self.broken(self.head_lines(sheet, hand.close), &hand, head_mm), heavy.len());
        let rows = sheet.rows.iter().map(|row| Block::Row(row, self.lines_below(row, &hand, wide_mm)));
        let checks = match hand.close {
            true => vec![format!("{}.", self.foot_lines(sheet, true).join(". "))],
            false => self.foot_lines(sheet, false),
        };
        let checks = checks.into_iter().map(|line| (Look::Bold, line)).collect();
        let checks = Block::Checks(self.broken(checks, &hand, wide_mm));
        let open = self.open_list(sheet.line, &hand, wide_mm).into_iter().map(Block::Note);
        let blocks = rows.chain([checks]).chain(open).collect();
        Laid { sheet, hand, columns, head: heavy.into_iter().chain(head).collect(), heavy: count, blocks }
    }

    /// That a table goes on, with the size of the pipe where it does.
    fn continued(&self, sheet: &CutSheet, from: usize) -> String {
        let (row, worked) = (sheet.rows.get(from), self.work.design.lines.get(&sheet.line));
        let size = row.zip(worked).map(|(row, worked)| worked.pipe_at(row.station_m).size_m);
        let size = size.map(|size_m| format!(", {}", self.work.plan.title.units.pipe(size_m)));
        format!("{}{}", self.word("cut-continued"), size.unwrap_or_default())
    }

    /// Draws a piece of a sheet from its name down.
    fn piece(&self, page: &mut Page, (x, y, w): (f64, f64, f64), laid: &Laid, (from, to): (usize, usize)) {
        let (sheet, hand) = (laid.sheet, &laid.hand);
        page.lines.push(sheet.line);
        let name_mm = y + laid.name_mm() - 1.4;
        let name = self.text("cut-sheet", &[("name", &sheet.name)]);
        let first = page.items.len();
        let name_wide_mm = self.ink.width_mm(&name, hand.name_pt, true);
        page.text((x, name_mm), hand.name_pt, true, Align::Left, name.as_str());
        if from == 0 {
            page.part_since(first, Part::Heading(2));
        } else {
            let after = (x + name_wide_mm + 3.0, name_mm);
            page.text(after, hand.small_pt, false, Align::Left, self.continued(sheet, from));
        }
        let lines_mm = y + laid.name_mm() + hand.small_mm * 0.7;
        let wide_mm = if hand.close || from > 0 { w } else { w - THUMBNAIL.0 - 4.0 };
        write_lines(page, (x, lines_mm), wide_mm, hand, laid.head_from(from));
        if from == 0 && hand.close && name_wide_mm < w - SIGNED {
            self.dug_by(page, (x + w, name_mm), hand);
        }
        if from == 0 && !hand.close {
            let first = page.items.len();
            self.thumbnail(page, (x + w - THUMBNAIL.0, y, THUMBNAIL.0, THUMBNAIL.1 - 2.0), sheet.line);
            page.part_since(first, Part::Figure(self.text("cut-thumbnail", &[("name", &sheet.name)])));
        }
        let mut y_mm = y + laid.head_mm(from);
        let table = page.items.len();
        if matches!(laid.blocks.get(from), Some(Block::Row(..))) {
            let heads_mm = heads_mm(&laid.columns, hand);
            heads(page, (x, y_mm, w), laid, heads_mm);
            y_mm += heads_mm;
        }
        let rows = laid.blocks[from..to].iter().take_while(|block| matches!(block, Block::Row(..))).count();
        for (k, block) in laid.blocks[from..to].iter().enumerate() {
            if k == rows {
                page.part_since(table, Part::Table);
            }
            match block {
                Block::Row(row, below) => self.row(page, (x, y_mm, w), laid, (from + k, row, below)),
                Block::Checks(lines) => {
                    write_lines(page, (x, y_mm + hand.small_mm), w, hand, lines);
                    if !hand.close {
                        self.dug_by(page, (x + w, y_mm + hand.small_mm * (lines.len() as f64 + 1.6)), hand);
                    }
                }
                Block::Note(note) => note.write(page, (x, y_mm, w), hand),
            }
            y_mm += block.height_mm(hand);
        }
        if rows == to - from {
            page.part_since(table, Part::Table);
        }
    }

    /// What holds for the figures of every sheet.
    fn reading_lines(&self) -> Vec<Line> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let id = if units.is_metric() { "cut-terms-meters" } else { "cut-terms-feet" };
        let reading = if self.has_hubs() { "cut-reading" } else { "cut-reading-ground" };
        let cover = units.depth(plan.criteria.least_cover_m);
        let width = units.pipe(plan.criteria.trench_width_m);
        let terms = self.text(id, &[("cover", &cover), ("width", &width)]);
        vec![(Look::Bold, self.word(reading)), (Look::Plain, terms)]
    }

    /// What the crew must know before the first stake: what lies buried there first.
    fn head_lines(&self, sheet: &CutSheet, close: bool) -> Vec<Line> {
        let units = self.work.plan.title.units;
        let from = match (sheet.has_hubs, sheet.rows.iter().all(|row| matches!(row.stake, Some(Stake::Hub(_))))) {
            (true, true) => "cut-from-hubs",
            (true, false) => "cut-from-both",
            _ => "cut-from-ground",
        };
        let below_words = self.below_words(&sheet.rows);
        let below = self.text(from, &[("below", &below_words)]);
        let plane = |planes: String| self.text("cut-plane", &[("planes", &self.say(&planes))]);
        let planes = || takeoff::planes_words(sheet, units).map_or_else(|| self.word("cut-no-plane"), plane);
        let pipe = self.text("cut-pipe", &[("pipe", &self.say(&sheet.pipe))]);
        let zero = self.say(&sheet.zero);
        // Which way stations run stands over all sheets of the page, too.
        let zero = zero.rsplit_once(';').filter(|_| close).map_or(zero.clone(), |(zero, _)| zero.to_string());
        let plain = [Some(pipe), Some(zero), self.with_rod().then(planes)].into_iter().flatten();
        let sentences =
            |texts: Vec<String>| texts.iter().map(|text| format!("{text}.")).collect::<Vec<_>>().join(" ");
        let lines = match close {
            // Where no line of the job has a hub, that stands over all sheets of the page.
            true if !self.has_hubs() => {
                let below = self.text("cut-below", &[("below", &below_words)]);
                vec![(Look::Plain, sentences(plain.chain([below]).collect()))]
            }
            true => vec![(Look::Plain, sentences(plain.collect())), (Look::Bold, below)],
            false => plain.map(|text| (Look::Plain, text)).chain([(Look::Bold, below)]).collect(),
        };
        self.buried_line(sheet).into_iter().chain(lines).collect()
    }

    /// True where hub levels were entered on any line of this job.
    fn has_hubs(&self) -> bool {
        self.sheets.iter().any(|sheet| sheet.has_hubs)
    }

    /// True where rods are read on this job.
    fn with_rod(&self) -> bool {
        !self.work.set_ups.is_empty()
    }

    /// Lines of small type, each broken where it is too wide.
    fn broken(&self, lines: Vec<Line>, hand: &Hand, width_mm: f64) -> Vec<Line> {
        let wrap = |(look, text): Line| {
            let bold = look != Look::Plain;
            let beside_mm = if look == Look::Barred { BARRED } else { 2.0 };
            self.ink.wrap(&text, hand.small_pt, bold, width_mm - beside_mm).into_iter().map(move |line| (look, line))
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
            page.line(&points, if *id == own { Stroke::black(0.9) } else { Stroke::black(0.15) });
        }
        let tip = (x + w - 2.0, y + 1.0);
        page.line(&[(tip.0, tip.1 + 8.0), tip, (tip.0 - 1.2, tip.1 + 3.0)], Stroke::black(0.4));
        page.line(&[tip, (tip.0 + 1.2, tip.1 + 3.0)], Stroke::black(0.4));
        page.text((tip.0, tip.1 + 12.0), 8.0, true, Align::Middle, "N");
    }

    /// Lines below the figures of a row: where nobody digs and what is to be fixed, what lies buried before the next row, what
    /// is here, then what else comes. Notes stand in the list only, in the close hand what is to be decided too.
    fn lines_below(&self, row: &Row, hand: &Hand, width_mm: f64) -> Vec<(Below, String)> {
        let least = if hand.close { Weight::Fix } else { Weight::Decide };
        let seen = row.seen.iter().filter(|seen| seen.weight <= least).filter_map(|seen| {
            let below = match seen.weight {
                Weight::NoDig => Below::NoDig,
                Weight::Fix => Below::Fix,
                _ => Below::Here,
            };
            Some((below, format!("{}  {}", seen.number, self.say(seen.words.as_ref()?))))
        });
        let ahead = |buried: bool, below: Below| {
            let ahead = row.ahead.iter().filter(move |ahead| ahead.buried == buried);
            ahead.map(move |ahead| (below, self.text("coming", &[("what", &self.say(&ahead.words))])))
        };
        let here = match hand.close && !row.here.is_empty() {
            true => vec![row.here.iter().map(|text| self.say(text)).collect::<Vec<_>>().join("  ·  ")],
            false => row.here.iter().map(|text| self.say(text)).collect(),
        };
        let here = here.into_iter().map(|text| (Below::Here, text));
        let wrap = |(below, text): (Below, String)| {
            let lines = self.ink.wrap(&text, hand.line_pt, true, width_mm - 10.0);
            lines.into_iter().map(move |line| (below, line)).collect::<Vec<_>>()
        };
        let first = seen.chain(ahead(true, Below::Buried));
        first.chain(here).chain(ahead(false, Below::Ahead)).flat_map(wrap).collect()
    }

    fn row(
        &self,
        page: &mut Page,
        (x, y, w): (f64, f64, f64),
        laid: &Laid,
        (number, row, below): (usize, &Row, &[(Below, String)]),
    ) {
        let (hand, first) = (&laid.hand, page.items.len());
        page.rect((x, y, w, hand.row_mm + below.len() as f64 * hand.line_mm), Some(Stroke::black(0.15)), None);
        if row.seen.iter().any(|seen| seen.weight <= Weight::Fix) {
            page.rect((x - BAR - 0.6, y, BAR, hand.row_mm + below.len() as f64 * hand.line_mm), None, Some(0));
        }
        if row.no_dig {
            self.no_dig_row(page, (x, y, w), laid, number);
        } else {
            self.figure_cells(page, (x, y), laid, (number, row));
        }
        for (k, (below, line)) in below.iter().enumerate() {
            let y_mm = y + hand.row_mm + hand.line_mm * k as f64 - 0.1;
            below.write(page, (x, y_mm, w), hand, line.clone());
        }
        page.part_since(first, Part::Row);
    }

    fn figure_cells(&self, page: &mut Page, (x, y): (f64, f64), laid: &Laid, (number, row): (usize, &Row)) {
        let hand = &laid.hand;
        let mut left_mm = x;
        for column in &laid.columns {
            let (size_pt, bold) = column.kind.hand(hand);
            let at_mm = column.kind.at((left_mm, column.wide_mm), hand);
            let text = column.texts.get(number).map_or("", String::as_str);
            let numbers = self.numbers(row, hand, column).filter(|_| column.kind == Kind::Station);
            let up_mm = if numbers.is_some() { STATION_UP } else { 0.0 };
            let first = page.items.len();
            if !text.is_empty() {
                page.text((at_mm, y + hand.base_mm - up_mm), size_pt, bold, column.kind.align(), text);
            }
            numbers.into_iter().for_each(|text| {
                page.text((at_mm, y + NUMBERS), LEAST_PT, true, Align::Left, text);
            });
            box_to_fill(page, (left_mm, y, column.wide_mm), hand, column.kind);
            if text.is_empty() {
                page.part_since(first, Part::Cell);
            }
            left_mm += column.wide_mm;
        }
    }

    /// Numbers of what is open at a row, the heaviest first; what finds no room is in the list. The close hand has none.
    fn numbers(&self, row: &Row, hand: &Hand, column: &Column) -> Option<String> {
        let mut all: Vec<String> = row.seen.iter().map(|seen| seen.number.to_string()).collect();
        // Two stretches of one finding may touch a row.
        all.dedup();
        let fits = |count: usize| {
            let more = if count < all.len() { " …" } else { "" };
            let text = format!("{}{more}", all[..count].join(" "));
            (self.ink.width_mm(&text, LEAST_PT, true) <= column.wide_mm - hand.apart_mm / 2.0).then_some(text)
        };
        (1..=all.len()).rev().filter(|_| !hand.close).find_map(fits)
    }

    /// Sums and depths that let the reader see that the sheet hangs together.
    fn foot_lines(&self, sheet: &CutSheet, close: bool) -> Vec<String> {
        let units = self.work.plan.title.units;
        let [sum, ends, steps] = [sheet.rise_m.0, sheet.rise_m.1, sheet.steps_m].map(|m| units.amount(m));
        let sum =
            if sheet.steps_m == 0.0 { sum } else { self.text("cut-sum-steps", &[("sum", &sum), ("steps", &steps)]) };
        let check = match (sheet.adds_up, close) {
            (true, false) => "cut-check",
            (true, true) => "cut-check-short",
            (false, _) => "cut-check-wrong",
        };
        let at = |figure_m: Option<f64>, extreme: Option<terrain::Extreme>| match figure_m.zip(extreme) {
            Some((figure_m, extreme)) => {
                let depth = format!("{} {}", units.figure(figure_m), units.sign());
                self.text("cut-extreme", &[("depth", &depth), ("station", &self.station(extreme.station_m))])
            }
            None => self.word("cut-no-ground"),
        };
        let cover = at(sheet.least_cover.map(|extreme| extreme.value_m), sheet.least_cover);
        let deep = at(sheet.deepest.map(|extreme| self.deepest_m(sheet, extreme)), sheet.deepest);
        let depths = [("cover", cover.as_str()), ("deep", &deep), ("protection", &self.protection_words(sheet))];
        let mut lines = vec![
            self.text(check, &[("sum", &sum), ("ends", &ends)]),
            self.fall_words(sheet, close),
            self.text("cut-depths", &depths),
        ];
        if !sheet.deep.ladder.is_empty() {
            let limit = units.depth(self.work.plan.criteria.ladder_trench_m);
            let places = self.stretches_words(&sheet.deep.ladder);
            lines.push(self.text("cut-ladder", &[("limit", &limit), ("places", &places)]));
        }
        if !sheet.unknown_m.is_empty() {
            let places = self.spans_words(sheet.unknown_m.iter().copied());
            lines.push(self.text("cut-unknown", &[("places", &places)]));
        }
        if !sheet.cuts_are_down {
            lines.push(self.word("cut-goes-up"));
        }
        lines
    }

    /// The deepest trench as the row at its place prints it where that is dug from the ground, else as it is, metres.
    fn deepest_m(&self, sheet: &CutSheet, deepest: terrain::Extreme) -> f64 {
        let units = self.work.plan.title.units;
        let there = |row: &&Row| self.station(row.station_m) == self.station(deepest.station_m);
        let row = sheet.rows.iter().find(there).filter(|row| matches!(row.stake, Some(Stake::Ground(_))));
        row.and_then(|row| printed(row, units).bottom_m).unwrap_or(deepest.value_m)
    }

    /// Whether the line falls all the way, by its levels as laid, and where it does not.
    fn fall_words(&self, sheet: &CutSheet, close: bool) -> String {
        let units = self.work.plan.title.units;
        let ends = sheet.rows.first().zip(sheet.rows.last());
        let [low, high] =
            ends.map_or([0.0, 0.0], |(low, high)| [low.station_m, high.station_m]).map(|m| self.station(m));
        if sheet.stands.is_empty() && close && sheet.unknown_m.is_empty() {
            return self.word("cut-falls-short");
        }
        if sheet.stands.is_empty() {
            let id = if sheet.unknown_m.is_empty() { "cut-falls" } else { "cut-falls-known" };
            return self.text(id, &[("high", &high), ("low", &low)]);
        }
        let stand = |stand: &takeoff::Stand| {
            let [from, to] = [stand.to_m, stand.from_m].map(|station_m| self.station(station_m));
            let id = if stand.up_m > 0.0 { "cut-rises" } else { "cut-lies-level" };
            self.text(id, &[("from", &from), ("to", &to), ("up", &units.amount(stand.up_m))])
        };
        let stands: Vec<String> = sheet.stands.iter().rev().map(stand).collect();
        self.text("cut-not-falling", &[("places", &stands.join(", "))])
    }

    fn protection_words(&self, sheet: &CutSheet) -> String {
        let units = self.work.plan.title.units;
        if sheet.deep.protected.is_empty() {
            let limit = units.depth(self.work.plan.criteria.protected_trench_m);
            let id = if sheet.unknown_m.is_empty() { "cut-under" } else { "cut-under-known" };
            return self.text(id, &[("limit", &limit)]);
        }
        let length = Measure::Length.words(sheet.deep.protected_m(), units);
        let places = self.stretches_words(&sheet.deep.protected);
        self.text("cut-protection", &[("places", &places), ("length", &length)])
    }

    pub(crate) fn stretches_words(&self, parts: &[Stretch]) -> String {
        self.spans_words(parts.iter().map(|part| (part.from_m, part.to_m)))
    }

    /// Stretches by their stations.
    fn spans_words(&self, stretches_m: impl Iterator<Item = (f64, f64)>) -> String {
        let words = |stretch_m: (f64, f64)| self.say(&stretch_words(stretch_m, self.work.plan.title.units));
        stretches_m.map(words).collect::<Vec<_>>().join(", ")
    }

    /// A row at which nobody digs: its station, and that between black bars, which a bad copy keeps.
    fn no_dig_row(&self, page: &mut Page, (x, y, w): (f64, f64, f64), laid: &Laid, number: usize) {
        let hand = &laid.hand;
        let Some(station) = laid.columns.first() else { return };
        let text = station.texts.get(number).map_or("", String::as_str);
        page.text((x + hand.apart_mm / 2.0, y + hand.base_mm), hand.station_pt, true, Align::Left, text);
        let left_mm = x + station.wide_mm;
        let (words, size_pt, wide_mm) = (self.word("do-not-dig"), hand.cut_pt * 0.85, w - station.wide_mm - 0.4);
        let (half_mm, middle_mm) = (self.ink.width_mm(&words, size_pt, true) / 2.0 + 1.5, left_mm + wide_mm / 2.0);
        for bar_mm in [left_mm, middle_mm + half_mm] {
            page.rect((bar_mm, y + 0.4, wide_mm / 2.0 - half_mm, hand.row_mm - 0.8), None, Some(0));
        }
        page.text((middle_mm, y + hand.base_mm), size_pt, true, Align::Middle, words);
    }

    /// Room for who dug and when, up to a right edge: below the checks, in the close hand beside the name of the sheet.
    fn dug_by(&self, page: &mut Page, (right_mm, y_mm): (f64, f64), hand: &Hand) {
        let rooms = match hand.close {
            false => [("cut-dug-by", 92.0, 80.0, 42.0), ("cut-date", 39.0, 31.0, 0.0)],
            true => [("cut-dug-by", 52.0, 43.0, 21.0), ("cut-date", 20.0, 14.0, 0.0)],
        };
        for (id, word_mm, from_mm, to_mm) in rooms {
            page.text((right_mm - word_mm, y_mm), hand.small_pt, false, Align::Left, self.word(id));
            page.line(&[(right_mm - from_mm, y_mm + 0.5), (right_mm - to_mm, y_mm + 0.5)], Stroke::black(0.2));
        }
    }

    /// What lies buried along a sheet's line, all in one.
    fn buried_line(&self, sheet: &CutSheet) -> Option<Line> {
        let words: Vec<String> = sheet.buried().map(|ahead| self.say(&ahead.words)).collect();
        (!words.is_empty()).then(|| (Look::Barred, self.text("cut-buried", &[("what", &words.join("; "))])))
    }

    /// Wall and bedding as printed: "0.03 ft", or "0.03 ft, 0.04 ft from 2+00 up".
    fn below_words(&self, rows: &[Row]) -> String {
        let units = self.work.plan.title.units;
        let figure = |below_m: f64| format!("{} {}", units.figure(below_m), units.sign());
        let below = |row: &Row| Some((row.station_m, figure(printed(row, units).below_m?)));
        let mut parts: Vec<(f64, String)> = rows.iter().filter_map(below).collect();
        parts.dedup_by(|later, earlier| later.1 == earlier.1);
        let words = parts.iter().enumerate().map(|(i, (station_m, figure))| match i {
            0 => figure.clone(),
            _ => self.text("cut-below-from", &[("figure", figure), ("station", &self.station(*station_m))]),
        });
        words.collect::<Vec<_>>().join(", ")
    }
}

/// The heads of the columns of a sheet.
fn heads(page: &mut Page, (x, y, w): (f64, f64, f64), laid: &Laid, heads_mm: f64) {
    let (hand, first) = (&laid.hand, page.items.len());
    page.rect((x, y, w, heads_mm), Some(Stroke::black(0.4)), None);
    let mut left_mm = x;
    for column in &laid.columns {
        let at_mm = column.kind.at((left_mm, column.wide_mm), hand);
        let start = page.items.len();
        for (k, line) in column.head.iter().rev().enumerate().rev() {
            let base_mm = y + heads_base_mm(heads_mm, hand, k);
            page.text((at_mm, base_mm), hand.heads_pt, true, column.kind.align(), line.as_str());
        }
        page.part_since(start, Part::Cell);
        left_mm += column.wide_mm;
    }
    page.part_since(first, Part::Heads);
}

/// The box of a column that is filled in by hand.
fn box_to_fill(page: &mut Page, (x, y, w): (f64, f64, f64), hand: &Hand, kind: Kind) {
    let edge = Some(Stroke::black(0.25));
    match kind {
        Kind::Dug => page.rect((x + 1.2, y + 0.9, w - 2.4, hand.row_mm - 1.8), edge, None),
        Kind::Photo => {
            let side_mm = (hand.row_mm - 1.4).min(4.0);
            page.rect((x + (w - side_mm) / 2.0, y + (hand.row_mm - side_mm) / 2.0, side_mm, side_mm), edge, None);
        }
        _ => {}
    }
}
