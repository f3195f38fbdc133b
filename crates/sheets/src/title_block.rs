//! The title block of plan sheets: job, owner, parcel, who drew and checked, date, revision, scale, locate ticket, number.

use plan::TITLE_ENTRIES;

use crate::book::Making;
use crate::labels::Rect;
use crate::page::{Align, Page, Stroke};

/// Height of the block, millimetres.
pub(crate) const BLOCK: f64 = 17.0;
/// Least type in it, points, and from line to line, millimetres.
const LEAST_PT: f64 = 7.0;
const LINE: f64 = 4.0;
/// Shares of its width: job and owner, who and when, scale and ticket, revision and number.
const CELLS: [f64; 4] = [0.27, 0.20, 0.29, 0.24];

impl Making<'_> {
    /// The block over the whole width of a sheet; `terms` are its scale and contours in words.
    pub(crate) fn title_block(&self, page: &mut Page, (x, y, w): (f64, f64, f64), terms: [String; 2]) {
        let first = page.items.len();
        page.rect((x, y, w, BLOCK), Some(Stroke::black(0.5)), None);
        let title = &self.work.plan.title;
        let entry = |k: usize| entry(TITLE_ENTRIES[k].label, (TITLE_ENTRIES[k].of)(&title.block));
        let [scale, contours] = terms;
        let cells: [[String; 4]; 4] = [
            [title.name.clone(), entry(0), entry(1), entry(2)],
            [entry(3), entry(4), format!("Date: {}", title.as_of.as_deref().unwrap_or("none given")), String::new()],
            [format!("Scale {scale}"), contours, self.ticket_words(), String::new()],
            [self.edition.title.clone(), String::new(), String::new(), String::new()],
        ];
        let mut left = x;
        for (k, (lines, share)) in cells.into_iter().zip(CELLS).enumerate() {
            let wide_mm = w * share;
            if k > 0 {
                page.line(&[(left, y), (left, y + BLOCK)], Stroke::black(0.25));
            }
            let lines = if k >= 2 { self.cell_lines(&lines, wide_mm - 3.0) } else { lines.to_vec() };
            for (row, line) in lines.iter().filter(|line| !line.is_empty()).take(4).enumerate() {
                self.block_line(
                    page,
                    (left + 1.5, y + LINE * (row as f64 + 0.85)),
                    wide_mm - 3.0,
                    (line, row == 0 && k != 1),
                );
            }
            left += wide_mm;
        }
        let number = (x + w * (1.0 - CELLS[3]) + 1.5, y + BLOCK - 1.6);
        page.number_at = Some(number);
        page.part_since(first, crate::page::Part::Paragraph);
    }

    /// Lines of a cell broken to its width.
    fn cell_lines(&self, lines: &[String], width_mm: f64) -> Vec<String> {
        lines
            .iter()
            .enumerate()
            .flat_map(|(row, line)| self.ink.wrap(line, LEAST_PT + 0.5, row == 0, width_mm))
            .collect()
    }

    /// A line of the block, smaller or cut short where it is too long.
    fn block_line(&self, page: &mut Page, at: (f64, f64), width_mm: f64, (line, bold): (&str, bool)) {
        let size_pt = self.fitting_pt(line, (if bold { 9.0 } else { 7.5 }, LEAST_PT), bold, width_mm);
        page.text(at, size_pt, bold, Align::Left, self.cut_short(line, size_pt, bold, width_mm));
    }

    /// A text as far as it fits, with dots where it is cut.
    pub(crate) fn cut_short(&self, text: &str, size_pt: f64, bold: bool, width_mm: f64) -> String {
        if self.ink.width_mm(text, size_pt, bold) <= width_mm {
            return text.into();
        }
        let mut short: String = text.into();
        while short.pop().is_some() && self.ink.width_mm(&format!("{short}…"), size_pt, bold) > width_mm {}
        format!("{}…", short.trim_end())
    }

    /// The locate ticket of the site with its last day; where there is none, what to do.
    pub(crate) fn ticket_words(&self) -> String {
        let title = &self.work.plan.title;
        let day = title.as_of.as_deref();
        match (title.block.ticket.as_str(), title.block.ticket_until.as_deref()) {
            ("", _) => "No locate ticket of the site entered: CALL BEFORE YOU DIG".into(),
            (ticket, None) => format!("Locate ticket {ticket}, no last day entered"),
            // Days are written so that they sort as text.
            (ticket, Some(until)) if day.is_some_and(|day| until < day) => {
                format!("Locate ticket {ticket} ENDED on {until}: call again before you dig")
            }
            (ticket, Some(until)) => format!("Locate ticket {ticket} holds until {until}"),
        }
    }

    /// Tickets of single utilities, each with its name.
    pub(crate) fn utility_tickets(&self) -> Vec<String> {
        let marks = self.work.plan.landmarks.values();
        let utilities = marks.filter_map(|mark| Some((mark, mark.kind.utility()?)));
        utilities.map(|(mark, utility)| format!("{}: {}", mark.called(), crate::facts::ticket(utility))).collect()
    }

    /// The interval of the contours in words, and what the heavier ones are.
    pub(crate) fn contour_words(&self) -> String {
        let units = self.work.plan.title.units;
        let Some(interval_m) = interval_m(self.work.contours) else { return "No contours".into() };
        let every = measure::trimmed(interval_m / units.length_unit().metres(), 0, 3);
        let unit = match (units.is_metric(), every == "1") {
            (true, true) => "meter",
            (true, false) => "meters",
            (false, true) => "foot",
            (false, false) => "feet",
        };
        format!("Contours every {every} {unit}, every fifth heavier")
    }

    /// Rows of the large block on the title sheet: what, and what is entered.
    pub(crate) fn title_rows(&self) -> Vec<(&'static str, String)> {
        let title = &self.work.plan.title;
        let entries = TITLE_ENTRIES.iter().take(5).map(|entry| (entry.label, (entry.of)(&title.block).to_string()));
        let ends = [("Date", title.as_of.clone().unwrap_or_default()), ("Revision", self.edition.title.clone())];
        std::iter::once(("Job", title.name.clone())).chain(entries).chain(ends).collect()
    }

    /// Rows of the large block, each with a rule to write on where nothing is entered; answers where they end.
    pub(crate) fn draw_title_rows(&self, page: &mut Page, (x, y, w): (f64, f64, f64)) -> f64 {
        const WHAT: f64 = 32.0;
        let mut y_mm = y;
        for (what, text) in self.title_rows() {
            let lines = self.ink.wrap(&text, 9.0, what == "Job", w - WHAT);
            page.text((x, y_mm + 4.2), 7.5, false, Align::Left, what);
            for (k, line) in lines.iter().take(3).enumerate() {
                let line = self.cut_short(line, 9.0, what == "Job", w - WHAT);
                page.text((x + WHAT, y_mm + 4.2 + LINE * k as f64), 9.0, what == "Job", Align::Left, line);
            }
            y_mm += 1.6 + LINE * lines.len().clamp(1, 3) as f64;
            page.line(&[(x, y_mm), (x + w, y_mm)], Stroke::grey(0.15, 120));
        }
        y_mm
    }
}

/// "Owner: Marsh Farm"; a thing that is not entered leaves its name alone, to be written on.
fn entry(label: &str, text: &str) -> String {
    if text.is_empty() { format!("{label}: ____________") } else { format!("{label}: {text}") }
}

/// The way from contour to contour, metres: the least between two that were drawn.
pub(crate) fn interval_m(contours: &[terrain::Contour]) -> Option<f64> {
    let mut levels: Vec<f64> = contours.iter().map(|contour| contour.level_m).collect();
    levels.sort_by(f64::total_cmp);
    levels.windows(2).map(|pair| pair[1] - pair[0]).filter(|step_m| *step_m > 1e-6).reduce(f64::min)
}

/// What a rectangle leaves above a title block along its foot.
pub(crate) fn above_block((x, y, w, h): Rect) -> (Rect, f64) {
    ((x, y, w, h - BLOCK - 2.0), y + h - BLOCK)
}
