//! What is read of the page without its script: which sheets these are, what to know before digging, every line as a table.

use measure::feet_and_eighths;
use takeoff::{CutSheet, Row, Stake, printed};

use super::Field;
use crate::edition::in_force;
use crate::html::{element, escaped, table};
use crate::notices::Listed;

/// What to do on a strike ([811]).
const STRIKE: [&str; 4] = ["page-strike-stop", "page-strike-gas", "page-strike-power", "page-strike-other"];

/// Heads of the table of a line; none over the cut in feet and inches.
const HEADS: [&str; 9] = [
    "station",
    "cut",
    "",
    "page-head-from",
    "page-head-bottom",
    "invert",
    "page-head-next",
    "ground",
    "page-head-here",
];

impl Field<'_> {
    /// The head of the page: which sheets, what is out of date, tickets, what to do on a strike.
    pub(super) fn head(&self) -> String {
        let (making, edition) = (&self.making, &self.making.edition);
        let last = in_force(making.work.plan, edition);
        let (letter, day) = match last {
            Some(last) => (making.text("page-revision", &[("letter", &last.letter)]), last.signed.on.clone()),
            None => (self.word("page-draft"), self.word("page-not-issued")),
        };
        let mut out = format!(
            "<header><div><h1>{}</h1><p id=\"now\">{}</p></div><p class=\"rev\"><b>{}</b> <span>{}</span></p></header>\n",
            escaped(&making.work.plan.title.name),
            escaped(&making.say(&edition.title)),
            escaped(&letter),
            escaped(&day)
        );
        out.push_str("<main>\n<details class=\"strike\">");
        out.push_str(&element("summary", &self.word("page-strike")));
        out.push_str("<ul>");
        STRIKE.iter().for_each(|id| out.push_str(&element("li", &self.word(id))));
        let before = escaped(&self.word("page-before"));
        out.push_str(&format!("</ul></details>\n<section class=\"alerts\" aria-label=\"{before}\">\n"));
        self.warnings().iter().for_each(|words| out.push_str(&element("p class=\"alarm\"", words)));
        out.push_str("<div id=\"tickets\">");
        self.tickets_words().iter().for_each(|words| out.push_str(&element("p", words)));
        out.push_str("</div>\n</section>\n<div id=\"here\"></div>\n");
        out
    }

    /// A text of the page without holes.
    fn word(&self, id: &str) -> String {
        self.making.word(id)
    }

    /// What is out of date or open though the page leaves.
    fn warnings(&self) -> Vec<String> {
        let making = &self.making;
        let no_dig = making.listed.iter().filter(|listed| listed.no_dig);
        let place = |listed: &Listed| {
            let place = making.say(&listed.place(making.work.plan, making.work.reference.across));
            making.text("page-no-dig", &[("place", &place), ("title", &making.say(&listed.finding.title))])
        };
        let warning = making.edition.warning.iter().map(|warning| making.say(warning));
        warning.chain(making.still_open()).chain(no_dig.map(place)).collect()
    }

    fn tickets_words(&self) -> Vec<String> {
        let words = self.utilities().map(|(mark, utility)| {
            let (what, ticket) = (self.making.say(&mark.called()), utility.ticket.trim());
            let (id, day) = match (ticket, &utility.valid_until) {
                ("", _) => ("page-no-ticket", ""),
                (_, None) => ("page-ticket", ""),
                (_, Some(until)) => ("page-ticket-until", until.as_str()),
            };
            self.making.text(id, &[("what", &what), ("ticket", ticket), ("day", day)])
        });
        let words: Vec<String> = words.collect();
        if words.is_empty() { vec![self.word("page-no-utility")] } else { words }
    }

    /// Map, lines, findings, benchmarks and cautions.
    pub(super) fn body(&self) -> String {
        let head = |id: &str| element("h2", &self.word(id));
        let (map, lines) = (head("page-map"), head("page-lines"));
        let mut out = format!("<section id=\"place\">{map}\n{}</section>\n{lines}\n", self.map());
        self.making.sheets.iter().for_each(|sheet| out.push_str(&self.line_table(sheet)));
        out.push_str(&self.findings_table());
        out.push_str(&self.benchmarks_table());
        out.push_str(&format!("{}\n", head("page-cautions")));
        out.push_str(&element("p", &self.word("caution")));
        let foot = element("footer", &self.word("caution-short"));
        format!("{out}</main>\n{foot}\n")
    }

    fn line_table(&self, sheet: &CutSheet) -> String {
        let (making, units) = (&self.making, self.making.work.plan.title.units);
        let rows: Vec<Vec<String>> = sheet.rows.iter().map(|row| self.cells(row)).collect();
        let (zero, pipe, below) =
            (making.say(&sheet.zero), making.say(&sheet.pipe), units.amount(sheet.below_invert_m));
        let holes = [("zero", zero.as_str()), ("pipe", &pipe), ("below", &below), ("unit", units.sign())];
        let head = making.text("page-line-head", &holes);
        let (words, length) = (self.line_words(sheet), units.length(self.length_m(sheet)));
        let title = format!("{}: {words}, {length}", sheet.name);
        let heads = HEADS.map(|id| if id.is_empty() { String::new() } else { self.word(id) });
        format!(
            "<details class=\"line\"><summary>{}</summary>{}{}</details>\n",
            escaped(&title),
            element("p", &head),
            table(&heads.each_ref().map(String::as_str), &rows)
        )
    }

    fn length_m(&self, sheet: &CutSheet) -> f64 {
        self.making.work.design.lines.get(&sheet.line).map_or(0.0, |worked| worked.length_m)
    }

    fn cells(&self, row: &Row) -> Vec<String> {
        let units = self.making.work.plan.title.units;
        let printed = printed(row, units);
        let figure = |value: Option<f64>| value.map(|value| units.figure(value)).unwrap_or_default();
        let from = match row.stake {
            Some(Stake::Hub(hub)) => self.making.text("page-hub", &[("level", &units.figure(hub.level_m))]),
            Some(Stake::Ground(_)) => self.word("page-ground"),
            None => String::new(),
        };
        let beside = printed.cut_m.filter(|_| !units.is_metric()).map(feet_and_eighths).unwrap_or_default();
        let said = |words: &String| self.making.say(words);
        let seen = row.seen.iter().filter_map(|seen| Some(format!("{} {}", seen.number, said(seen.words.as_ref()?))));
        let ahead = row.ahead.iter().map(|ahead| self.making.text("coming", &[("what", &said(&ahead.words))]));
        let words: Vec<String> = seen.chain(row.here.iter().map(said)).chain(ahead).collect();
        let cut = if row.no_dig { self.word("do-not-dig") } else { figure(printed.cut_m) };
        vec![
            self.making.station(row.station_m),
            cut,
            beside,
            from,
            figure(printed.bottom_m),
            units.figure(printed.invert_m),
            row.grade.map_or_else(|| self.word("end-of-line"), |grade| units.grade(grade)),
            figure(printed.ground_m),
            words.join("; "),
        ]
    }

    fn findings_table(&self) -> String {
        let (making, work) = (&self.making, self.making.work);
        let row = |listed: &Listed| {
            let place = making.say(&listed.place(work.plan, work.reference.across));
            let severity = making.say(listed.severity_words());
            vec![listed.number.to_string(), severity, place, listed.what_to_do_in(work.tongue)]
        };
        let rows: Vec<Vec<String>> = self.making.listed.iter().map(row).collect();
        let body = match rows.is_empty() {
            true => element("p", &self.word("page-nothing-open")),
            false => table(&["", "", &self.word("page-where"), &self.word("page-what")], &rows),
        };
        let summary = making.text("page-findings", &[("count", &rows.len().to_string())]);
        format!("<details>{}{body}</details>\n", element("summary", &summary))
    }

    fn benchmarks_table(&self) -> String {
        let work = self.making.work;
        let across = work.reference.across;
        let row = |mark: &plan::Benchmark| {
            let [east, north] = [mark.at.x, mark.at.y].map(|value| across.figure(value, 2));
            vec![mark.name.clone(), work.plan.title.units.level(mark.level_m), east, north]
        };
        let rows: Vec<Vec<String>> = work.plan.survey.benchmarks.iter().map(row).collect();
        let terms = [work.reference.levels(), work.reference.coordinates()];
        let terms: String = terms.iter().map(|words| element("p", &self.making.say(words))).collect();
        let heads = ["page-benchmark", "page-level", "page-easting", "page-northing"].map(|id| self.word(id));
        let body = match rows.is_empty() {
            true => element("p", &self.word("page-no-benchmark")),
            false => table(&heads.each_ref().map(String::as_str), &rows),
        };
        format!("<details>{}{terms}{body}</details>\n", element("summary", &self.word("page-benchmarks")))
    }
}
