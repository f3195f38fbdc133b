//! The whole set of sheets of a plan, and what every page carries at head and foot.

use std::cell::RefCell;
use std::collections::BTreeMap;

use checks::Finding;
use design::Design;
use drawing::NoDig;
use measure::LengthUnit;
use plan::{LineId, Plan, Reference, Signature, Told};
use record::AsDug;
use takeoff::{CutSheet, Estimate, Saving, SetUp};
use terrain::Contour;

use crate::edition::{Edition, edition};
use crate::facts::told;
use crate::flow::Pages;
use crate::ink::Ink;
use crate::labels::Rect;
use crate::layouts::LayoutColumn;
use crate::line_index::LinePages;
use crate::notices::{Listed, cut_sheet, listed, no_dig};
use crate::page::{Align, LEAST_PT, Page, Paper, Part, Stroke};
use crate::sheet_index::{index, title_of};
use crate::tongue::Tongue;

/// Margin of every page, millimetres.
pub(crate) const MARGIN: f64 = 12.0;
/// From the margin down to the title of a page, from there to the first line of small type in the head, from one to the next,
/// and from the last to the rule, millimetres.
const TITLE: f64 = 5.0;
const HEAD_TOP: f64 = 5.2;
const HEAD_LINE: f64 = 3.4;
const HEAD_RULE: f64 = 1.6;
/// From the rule of the head to the matter, millimetres.
const HEAD_GAP: f64 = 2.5;
/// Most lines that a warning takes in the head of a page, and the text that stands at the end of what is cut short.
const MOST_HEAD: usize = 3;
const MORE: &str = "head-more";
/// Type of the small lines of the head, points.
const HEAD_PT: f64 = 8.0;
/// Type of the title of a page, of the name of the job and of the edition beside it, points: the largest and the smallest.
const TITLE_PT: f64 = 14.0;
const NAME_PT: (f64, f64) = (14.0, 9.0);
const EDITION_PT: (f64, f64) = (10.0, 8.0);
/// Share of the width that a title takes at most, and height of a line by its type, millimetres for a point.
const TITLE_SHARE: f64 = 0.4;
const LINE_BY_PT: f64 = 0.42;
/// Height of the foot where the caution takes one line, and of each line more, millimetres; its type, points.
const FOOT: f64 = 10.0;
const FOOT_LINE: f64 = 3.2;
const FOOT_PT: f64 = 7.5;
/// Width that the number of the page takes in the foot, millimetres.
const PAGE_NUMBER: f64 = 30.0;

/// Everything sheets are made from.
#[derive(Clone, Copy)]
pub struct Work<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What follows from it.
    pub design: &'a Design,
    /// The punch list.
    pub findings: &'a [Finding],
    /// Contours of the ground, where there is one.
    pub contours: &'a [Contour],
    /// The paper.
    pub paper: Paper,
    /// In what terms coordinates and levels are.
    pub reference: &'a Reference,
    /// Set-ups of the laser, where one is used.
    pub set_ups: &'a [SetUp],
    /// Who hands the sheets over though findings are open, where they are no issue of their own.
    pub all_the_same: Option<&'a Signature>,
    /// In what language cut sheets and field page speak.
    pub tongue: Tongue,
}

/// A set of pages with its title.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// Its title.
    pub title: String,
    /// The day of the plan, else of its last issue, `YYYY-MM-DD`, where there is one.
    pub as_of: Option<String>,
    /// Its pages.
    pub pages: Vec<Page>,
    /// Which sheets they are.
    pub edition: Edition,
}

/// Sheets in the making.
pub(crate) struct Making<'a> {
    pub work: &'a Work<'a>,
    pub estimate: Estimate,
    pub savings: Vec<Saving>,
    /// What the sheets tell, fact by fact.
    pub told: Told,
    pub edition: Edition,
    pub listed: Vec<Listed<'a>>,
    pub no_dig: Vec<NoDig>,
    pub dug: AsDug,
    /// The cut sheet of each line that has one.
    pub sheets: Vec<CutSheet>,
    pub ink: Ink,
    /// In what language the pages speak that are made just now: what a crew reads in that of the work, all else in English.
    pub tongue: Tongue,
    /// What was said again so far: heads say the same on every page.
    said: RefCell<BTreeMap<String, String>>,
}

/// Every sheet of a plan: what to know before digging, plan sheet, profiles, cut sheets, materials, cost, findings and what was accepted, cautions.
pub fn book(work: &Work) -> Book {
    book_beside(work, &[])
}

/// The same with the present layout beside those put aside, the present one first.
pub fn book_beside(work: &Work, layouts: &[LayoutColumn]) -> Book {
    let office = Making::new(work);
    let drawings: Vec<Page> = office.plan_sheets().into_iter().chain(office.design_table()).collect();
    let (profiles, details) = (office.profiles(), office.details());
    let lists = [office.trellis(), office.lists(), office.layouts(layouts)].concat();
    let crew = office.in_tongue(work.tongue);
    let cut_sheets = crew.cut_sheets(None);
    // The index of lines is as long whatever its numbers are; the title sheet is one page.
    let title_at = crew.cover(&LinePages::default()).len();
    let before = title_at + 1 + drawings.len();
    let mut pages =
        crew.cover(&LinePages::of((before, &profiles), (before + profiles.len() + details.len(), &cut_sheets)));
    pages.extend([drawings, profiles, details, cut_sheets, lists].into_iter().flatten());
    let mut titles: Vec<String> = pages.iter().map(title_of).collect();
    titles.insert(title_at, "Title sheet".into());
    let office = crew.in_tongue(Tongue::English);
    pages.insert(title_at, office.title_sheet(&index(&titles)));
    office.bound(pages)
}

/// The cut sheet of one line.
pub fn line_book(work: &Work, line: LineId) -> Book {
    let making = Making::new(work).in_tongue(work.tongue);
    let pages = making.cut_sheets(Some(line));
    making.bound(pages)
}

impl Pages for Making<'_> {
    fn page(&self, size_mm: (f64, f64), sheet: &str) -> (Page, Rect) {
        Making::page(self, size_mm, sheet)
    }

    fn ink(&self) -> &Ink {
        &self.ink
    }
}

/// Writes the caution at the foot of a page, below a rule; answers where the rule lies, millimetres from the top.
pub(crate) fn caution_foot(page: &mut Page, ink: &Ink) -> f64 {
    let (width_mm, bottom_mm) = (page.width_mm - 2.0 * MARGIN, page.height_mm - MARGIN);
    let lines = ink.wrap(&page.tongue.word("caution-short"), FOOT_PT, false, width_mm - PAGE_NUMBER);
    let above_mm = FOOT_LINE * (lines.len().max(1) - 1) as f64;
    let rule_mm = bottom_mm - above_mm - 4.5;
    page.line(&[(MARGIN, rule_mm), (MARGIN + width_mm, rule_mm)], Stroke::black(0.25));
    for (k, line) in lines.iter().enumerate() {
        let y_mm = bottom_mm - above_mm + FOOT_LINE * k as f64;
        page.text((MARGIN, y_mm), FOOT_PT, false, Align::Left, line.as_str());
    }
    rule_mm
}

/// Numbers the pages of a book.
pub(crate) fn number(pages: &mut [Page]) {
    let count = pages.len();
    for (i, page) in pages.iter_mut().enumerate() {
        let at = (page.width_mm - MARGIN, page.height_mm - MARGIN);
        let first = page.items.len();
        let (number, count) = ((i + 1).to_string(), count.to_string());
        let words = page.tongue.text("foot-page", &[("number", &number), ("count", &count)]);
        page.text(at, 9.0, true, Align::Right, words);
        if let Some(at) = page.number_at {
            page.text(at, 10.0, true, Align::Left, format!("Sheet {} of {count}", i + 1));
        }
        page.part_since(first, Part::Aside);
    }
}

impl<'a> Making<'a> {
    /// What the office reads, in English.
    pub(crate) fn new(work: &'a Work<'a>) -> Self {
        let estimate = takeoff::estimate(work.plan, work.design);
        let told = told(work.plan, work.design, work.findings, work.reference, work.set_ups);
        let edition = edition(work.plan, &told);
        let listed = listed(work.plan, work.design, work.findings);
        let (savings, no_dig) = (takeoff::savings(work.plan), no_dig(&listed));
        let dug = record::as_dug(work.plan, work.design);
        let sheet = |id: &LineId| cut_sheet(work.plan, work.design, &listed, *id, work.set_ups);
        let sheets = work.plan.lines.keys().filter_map(sheet).collect();
        let (ink, tongue, said) = (Ink::default(), Tongue::English, RefCell::default());
        Self { work, estimate, savings, told, edition, listed, no_dig, dug, sheets, ink, tongue, said }
    }

    /// The same for pages in another language.
    pub(crate) fn in_tongue(self, tongue: Tongue) -> Self {
        Self { tongue, said: RefCell::default(), ..self }
    }

    /// Numbers the pages.
    pub(crate) fn bound(self, mut pages: Vec<Page>) -> Book {
        number(&mut pages);
        let plan = self.work.plan;
        let issued = plan.revisions.last().map(|revision| revision.signed.on.clone());
        let as_of = plan.title.as_of.clone().or(issued);
        Book { title: plan.title.name.clone(), as_of, pages, edition: self.edition }
    }

    /// A text of the sheets by its id, in their language.
    pub fn text(&self, id: &str, args: &[(&str, &str)]) -> String {
        self.tongue.text(id, args)
    }

    /// The same for a text without holes.
    pub fn word(&self, id: &str) -> String {
        self.tongue.word(id)
    }

    /// What is said elsewhere in English, in the language of the sheets.
    pub fn say(&self, english: &str) -> String {
        if let Some(said) = self.said.borrow().get(english) {
            return said.clone();
        }
        let said = self.tongue.say(english);
        self.said.borrow_mut().insert(english.to_string(), said.clone());
        said
    }

    pub fn station(&self, station_m: f64) -> String {
        measure::station(station_m, self.work.plan.title.units)
    }

    /// A page with head and foot; answers the rectangle left for its matter: left, top, width, height.
    pub fn page(&self, size_mm: (f64, f64), sheet: &str) -> (Page, Rect) {
        let mut page = Page { tongue: self.tongue, ..Page::new(size_mm) };
        let right = size_mm.0 - MARGIN;
        let title_mm = self.title(&mut page, size_mm.0, sheet);
        let rule_mm = self.small_head(&mut page, title_mm + HEAD_TOP, size_mm.0 - 2.0 * MARGIN) + HEAD_RULE;
        page.line(&[(MARGIN, rule_mm), (right, rule_mm)], Stroke::black(0.5));
        let foot_mm = caution_foot(&mut page, &self.ink);
        if let Some(accepted) = self.accepted_in_short(size_mm.0 - 2.0 * MARGIN) {
            page.text((MARGIN, foot_mm - 1.2), LEAST_PT, true, Align::Left, accepted);
        }
        page.part_since(1, Part::Aside);
        let top_mm = rule_mm + HEAD_GAP;
        let matter = (MARGIN, top_mm, size_mm.0 - 2.0 * MARGIN, foot_mm - (FOOT - 4.5) - top_mm);
        (page, matter)
    }

    /// The title in the middle, name of the job and edition left and right of it; each takes as many lines as it needs.
    /// Answers where the last of them stands.
    fn title(&self, page: &mut Page, width_mm: f64, sheet: &str) -> f64 {
        let title = self.ink.wrap(sheet, TITLE_PT, true, width_mm * TITLE_SHARE);
        let wide_mm = title.iter().map(|line| self.ink.width_mm(line, TITLE_PT, true)).fold(0.0, f64::max);
        let aside_mm = (width_mm - wide_mm) / 2.0 - MARGIN - 3.0;
        let mut last_mm = 0.0_f64;
        let mut lines = |text: &[String], size_pt: f64, (x_mm, align): (f64, Align)| {
            let first = page.items.len();
            for (k, line) in text.iter().enumerate() {
                let y_mm = MARGIN + TITLE + size_pt * LINE_BY_PT * k as f64;
                page.text((x_mm, y_mm), size_pt, true, align, line.as_str());
                last_mm = last_mm.max(y_mm);
            }
            if align == Align::Middle {
                page.part_since(first, Part::Heading(1));
            }
        };
        lines(&title, TITLE_PT, (width_mm / 2.0, Align::Middle));
        let (name, edition) = (&self.work.plan.title.name, self.say(&self.edition.title));
        for (text, range_pt, at) in
            [(name, NAME_PT, (MARGIN, Align::Left)), (&edition, EDITION_PT, (width_mm - MARGIN, Align::Right))]
        {
            let size_pt = self.fitting_pt(text, range_pt, true, aside_mm);
            lines(&self.ink.wrap(text, size_pt, true, aside_mm), size_pt, at);
        }
        last_mm
    }

    /// Day, terms of levels and coordinates, and what must be known before digging, each on lines of its own; answers
    /// where the last of them stands.
    fn small_head(&self, page: &mut Page, top_mm: f64, width_mm: f64) -> f64 {
        let (day, levels) = (self.work.plan.title.as_of.as_deref(), self.levels_words());
        let id = if day.is_some() { "head-as-of" } else { "head-no-date" };
        let levels = self.text(id, &[("day", day.unwrap_or_default()), ("levels", &levels)]);
        let said = [(false, levels), (false, self.say(&self.work.reference.coordinates()))];
        let lines = said.into_iter().flat_map(|(bold, text)| {
            self.ink.wrap(&text, HEAD_PT, bold, width_mm).into_iter().map(move |line| (bold, line))
        });
        let warning = self.edition.warning.as_ref().map(|warning| self.say(warning));
        let warned = [warning, self.changed_words()].into_iter().flatten();
        let lines = lines.chain(warned.flat_map(|text| self.in_short(&text, width_mm)));
        let mut y_mm = top_mm - HEAD_LINE;
        for (bold, line) in lines {
            y_mm += HEAD_LINE;
            page.text((MARGIN, y_mm), HEAD_PT, bold, Align::Left, line);
        }
        y_mm
    }

    /// What this revision tells otherwise than the one before.
    fn changed_words(&self) -> Option<String> {
        let before = self.work.plan.revisions.iter().rev().nth(1)?;
        let changed = &self.edition.changed;
        let changes = changed.iter().map(|change| self.say(change)).collect::<Vec<_>>().join("; ");
        let holes = [("letter", before.letter.as_str()), ("changes", &changes)];
        (!changed.is_empty()).then(|| self.text("head-changed", &holes))
    }

    /// Heavy lines for the head of a page; what takes more than a few stands whole on the first page.
    fn in_short(&self, text: &str, width_mm: f64) -> Vec<(bool, String)> {
        let mut lines = self.ink.wrap(text, HEAD_PT, true, width_mm);
        if lines.len() > MOST_HEAD {
            let more = self.word(MORE);
            let shorter = self.ink.wrap(text, HEAD_PT, true, width_mm - self.ink.width_mm(&more, HEAD_PT, true));
            lines = shorter.into_iter().take(MOST_HEAD).collect();
            lines.iter_mut().skip(MOST_HEAD - 1).for_each(|last| last.push_str(&more));
        }
        lines.into_iter().map(|line| (true, line)).collect()
    }

    /// The largest size of the range, in points, in which a text is no wider than asked.
    pub fn fitting_pt(&self, text: &str, (largest_pt, least_pt): (f64, f64), bold: bool, width_mm: f64) -> f64 {
        let mut size_pt = largest_pt;
        while size_pt > least_pt && self.ink.width_mm(text, size_pt, bold) > width_mm {
            size_pt -= 0.25;
        }
        size_pt
    }

    /// Unit, datum and benchmark in words: "levels in feet and hundredths, vertical datum: local · BM1 = 416.90".
    fn levels_words(&self) -> String {
        let (plan, reference) = (self.work.plan, self.work.reference);
        let id = match reference.up {
            LengthUnit::Metre => "head-meters",
            LengthUnit::Foot => "head-feet",
            LengthUnit::SurveyFoot => "head-survey-feet",
        };
        let level = |bm: &plan::Benchmark| format!("{} = {}", bm.name, plan.title.units.level(bm.level_m));
        let mark = plan.survey.benchmarks.first().map_or_else(|| self.word("head-no-benchmark"), level);
        let datum = if reference.has_datum() { reference.datum.clone() } else { self.say(&reference.datum) };
        self.text(id, &[("datum", &datum), ("mark", &mark)])
    }

    /// Findings that were accepted by name, in one line for the foot of every page.
    fn accepted_in_short(&self, width_mm: f64) -> Option<String> {
        let accepted = self.work.findings.iter().filter_map(|f| Some((f, &f.accepted.as_ref()?.signed)));
        let short: Vec<String> =
            accepted.map(|(f, signed)| format!("{} ({}, {})", self.say(&f.title), signed.by, signed.on)).collect();
        let all = (!short.is_empty()).then(|| self.text("foot-accepted", &[("all", &short.join("; "))]))?;
        let lines = self.ink.wrap(&all, LEAST_PT, true, width_mm - 32.0);
        let more = if lines.len() > 1 { self.word("foot-more") } else { String::new() };
        Some(format!("{}{more}", lines.first()?))
    }

    /// Findings that were accepted by name, in words.
    pub fn accepted(&self) -> Vec<String> {
        let units = self.work.plan.title.units;
        self.work.findings.iter().filter_map(|f| Some(f.accepted.as_ref()?.words(units))).collect()
    }
}
