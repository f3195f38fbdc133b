//! What a cut sheet tells beside its figures: in its head what is to be fixed and where nobody digs, at its end the list of
//! everything that is open on the line or was accepted by name.

use measure::Units;
use plan::LineId;

use crate::book::Making;
use crate::cut_columns::Hand;
use crate::edition::in_force;
use crate::labels::Rect;
use crate::notices::Listed;
use crate::page::{Align, Page, Stroke};

/// How a line of small type looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Look {
    /// As it is.
    Plain,
    /// Heavy.
    Bold,
    /// Heavy, black bars at both ends: a bad copy keeps it, while small white letters run full.
    Barred,
}

/// A line of small type.
pub(crate) type Line = (Look, String);

/// Width of the bar at either end of what is barred, millimetres, and what it takes of the width with the room beside it.
const BAR_END: f64 = 2.2;
pub(crate) const BARRED: f64 = 2.0 * (BAR_END + 1.0);
/// Width of that of what is to be fixed or lies buried, millimetres.
const SIDE: f64 = 0.9;

/// Writes lines of small type below each other from a place down.
pub(crate) fn write_lines(page: &mut Page, (x, y): (f64, f64), width_mm: f64, hand: &Hand, lines: &[Line]) {
    let (small_mm, small_pt) = (hand.small_mm, hand.small_pt);
    for (k, (look, line)) in lines.iter().enumerate() {
        let y_mm = y + small_mm * k as f64;
        match look {
            Look::Barred => {
                ends(page, (x, y_mm - 0.75 * small_mm, width_mm, small_mm), BAR_END);
                page.text((x + BAR_END + 1.0, y_mm), small_pt, true, Align::Left, line.clone());
            }
            look => page.text((x, y_mm), small_pt, *look == Look::Bold, Align::Left, line.clone()),
        }
    }
}

/// What a line below the figures of a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Below {
    /// What is here.
    Here,
    /// What lies buried before the next row.
    Buried,
    /// What else comes before the next row.
    Ahead,
    /// What is to be fixed from here on.
    Fix,
    /// Where nobody digs from here on.
    NoDig,
}

impl Below {
    /// Told apart by words and edges, not by grey, of which a copy keeps little.
    pub fn write(self, page: &mut Page, (x, y, w): (f64, f64, f64), hand: &Hand, line: String) {
        match self {
            Self::Here => {}
            Self::Ahead => page.rect((x + 0.4, y, w - 0.8, hand.line_mm - 0.4), Some(Stroke::black(0.15)), None),
            Self::Buried | Self::Fix => ends(page, (x, y, w, hand.line_mm), SIDE),
            Self::NoDig => ends(page, (x, y, w, hand.line_mm), BAR_END),
        }
        page.text((x + 6.0, y + 0.7 * hand.line_mm), hand.line_pt, true, Align::Left, line);
    }
}

/// Black at both ends of a line: a heavy edge above and below it would run into its letters on a copy.
fn ends(page: &mut Page, (x, y, w, h): Rect, wide_mm: f64) {
    for left_mm in [x, x + w - wide_mm] {
        page.rect((left_mm, y, wide_mm, h), None, Some(0));
    }
}

/// A part of the list at the end of a sheet.
pub(crate) enum Note {
    /// Its heading, line by line.
    Heading(Vec<String>),
    /// One finding: number, the lines of its severity, of its place, those of what is wrong and what to do; and whether it is
    /// heavy. Severity and place are none where they stand before what is told.
    Entry { number: String, severity: Vec<String>, place: Vec<String>, text: Vec<String>, heavy: bool },
}

impl Note {
    pub fn is_heading(&self) -> bool {
        matches!(self, Self::Heading(_))
    }

    pub fn height_mm(&self, hand: &Hand) -> f64 {
        match self {
            Self::Heading(lines) => hand.small_mm * lines.len() as f64 + hand.heading_mm,
            Self::Entry { severity, place, text, .. } => {
                let lines = severity.len().max(place.len()).max(text.len());
                hand.small_mm * lines as f64 + 0.3 * hand.small_mm
            }
        }
    }

    pub fn write(&self, page: &mut Page, (x, y, w): (f64, f64, f64), hand: &Hand) {
        match self {
            Self::Heading(lines) => write_column(page, (x, y + 0.6 * hand.heading_mm), hand, true, lines),
            Self::Entry { number, severity, place, text, heavy } => {
                let mut at_mm = x;
                let heads = [vec![number.clone()], severity.clone(), place.clone()];
                for (lines, wide_mm) in heads.iter().zip(hand.list_mm) {
                    write_column(page, (at_mm, y), hand, true, lines);
                    at_mm += wide_mm;
                }
                write_column(page, (at_mm, y), hand, *heavy, text);
                let below_mm = y + self.height_mm(hand) - 0.3;
                page.line(&[(x, below_mm), (x + w, below_mm)], Stroke::grey(0.15, 150));
            }
        }
    }
}

fn write_column(page: &mut Page, (x, y): (f64, f64), hand: &Hand, bold: bool, lines: &[String]) {
    for (k, line) in lines.iter().enumerate() {
        let y_mm = y + hand.small_mm * (k as f64 + 0.8);
        page.text((x, y_mm), hand.small_pt, bold, Align::Left, line.clone());
    }
}

/// Most findings that the head of a sheet names; more are counted.
const MOST_HEAVY: usize = 6;

impl Making<'_> {
    /// For the head of a sheet: where nobody digs, what is to be fixed, and who sent the sheets out all the same.
    pub(crate) fn heavy_lines(&self, line: LineId) -> Vec<Line> {
        let units = self.work.plan.title.units;
        let on_line = self.listed.iter().filter(|listed| listed.on.contains_key(&line));
        let (no_dig, others): (Vec<&Listed>, Vec<&Listed>) = on_line.partition(|listed| listed.no_dig);
        let fix: Vec<&Listed> = others.into_iter().filter(|listed| listed.holds_back()).collect();
        let words = |listed: &&Listed| self.heavy_words(listed, line, units);
        let mut lines: Vec<Line> = no_dig.iter().map(|listed| (Look::Barred, words(listed))).collect();
        lines.extend(fix.iter().take(MOST_HEAVY).map(|listed| (Look::Bold, words(listed))));
        if fix.len() > MOST_HEAVY {
            let count = (fix.len() - MOST_HEAVY).to_string();
            lines.push((Look::Bold, self.text("cut-more-fix", &[("count", &count)])));
        }
        if !fix.is_empty() {
            lines.push((Look::Bold, self.all_the_same_words()));
        }
        lines
    }

    /// Who answers for sheets that leave though findings are to be fixed; or that nobody does.
    pub(crate) fn all_the_same_words(&self) -> String {
        let issued = in_force(self.work.plan, &self.edition).filter(|revision| revision.is_all_the_same());
        let signed = |id: &str, signed: &plan::Signature| {
            self.text(id, &[("by", &signed.by), ("day", &signed.on), ("because", &signed.because)])
        };
        match (self.work.all_the_same, issued) {
            (_, Some(revision)) => signed("issued-all-the-same", &revision.signed),
            (Some(handed), None) => signed("handed-all-the-same", handed),
            (None, None) => self.word("not-issued"),
        }
    }

    /// How many findings are to be fixed still, and who answers for that; nothing where none is.
    pub(crate) fn still_open(&self) -> Option<String> {
        let count = self.listed.iter().filter(|listed| listed.holds_back()).count();
        let id = if count == 1 { "still-open-one" } else { "still-open" };
        let who = self.all_the_same_words();
        (count > 0).then(|| self.text(id, &[("count", &count.to_string()), ("who", &who)]))
    }

    /// The list of everything that is open on a line or was accepted by name.
    pub(crate) fn open_list(&self, line: LineId, hand: &Hand, width_mm: f64) -> Vec<Note> {
        let units = self.work.plan.title.units;
        let on_line: Vec<&Listed> = self.listed.iter().filter(|listed| listed.on.contains_key(&line)).collect();
        let heading = |id: &str| Note::Heading(self.ink.wrap(&self.word(id), hand.small_pt, true, width_mm));
        if on_line.is_empty() {
            return vec![heading("cut-nothing-open")];
        }
        let text_mm = width_mm - hand.list_mm.iter().sum::<f64>();
        let column = |text: &str, wide_mm: f64| self.ink.wrap(text, hand.small_pt, true, wide_mm - 2.0);
        let entry = |listed: &&Listed| {
            let heavy = listed.no_dig || listed.holds_back();
            let [severity, place] =
                [listed.severity_words(), &listed.places_on(line, units)].map(|text| self.say(text));
            let told = listed.told(hand.close, self.tongue);
            let (severity, place, told) = match hand.close {
                true => (Vec::new(), Vec::new(), format!("{severity} {place}: {told}")),
                false => (column(&severity, hand.list_mm[1]), column(&place, hand.list_mm[2]), told),
            };
            let text = self.ink.wrap(&told, hand.small_pt, heavy, text_mm);
            Note::Entry { number: listed.number.to_string(), severity, place, text, heavy }
        };
        let heading = heading(if hand.close { "cut-open-short" } else { "cut-open" });
        // In the close hand the head of the sheet alone tells where nobody digs.
        let told = on_line.iter().filter(|listed| !(hand.close && listed.no_dig));
        let entries: Vec<Note> = told.map(entry).collect();
        if entries.is_empty() { Vec::new() } else { std::iter::once(heading).chain(entries).collect() }
    }

    /// "3  TO FIX 1+50 to 1+75: L3 runs uphill toward the outlet".
    fn heavy_words(&self, listed: &Listed, line: LineId, units: Units) -> String {
        let place = self.say(&listed.places_on(line, units));
        let (severity, title) = (self.say(listed.severity_words()), self.say(&listed.finding.title));
        format!("{}  {severity} {place}: {title}", listed.number)
    }
}
