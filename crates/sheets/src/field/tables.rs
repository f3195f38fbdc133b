//! What is read of the page without its script: which sheets these are, what to know before digging, every line as a table.

use measure::feet_and_eighths;
use takeoff::{CutSheet, Row, Stake, printed};

use super::Field;
use crate::html::{element, escaped, table};
use crate::notices::Listed;

/// What to do on a strike ([811]).
const STRIKE: [&str; 4] = [
    "Stop. Do not cover it, do not mend it, keep everybody back.",
    "Gas smell or hissing: leave at once, upwind and on foot. Start and stop no engine, touch no switch, light nothing. From far off call the emergency number (911, 112) and the gas company.",
    "Power cable: stay on the machine and call; nobody leaves it and nobody comes near until the power is off.",
    "Everything else, a scratched coating too: call its owner and the locate service (811 in the US) before anybody goes on.",
];

impl Field<'_> {
    /// The head of the page: which sheets, what is out of date, tickets, what to do on a strike.
    pub(super) fn head(&self) -> String {
        let (plan, edition) = (self.making.work.plan, &self.making.edition);
        let last = plan.revisions.last().filter(|_| edition.in_force);
        let (letter, day) = last.map_or(("DRAFT", "not issued"), |last| (&last.letter, &last.signed.on));
        let word = if last.is_some() { "REV " } else { "" };
        let mut out = format!(
            "<header><div><h1>{}</h1><p id=\"now\">{}</p></div><p class=\"rev\"><b>{word}{}</b> <span>{}</span></p></header>\n",
            escaped(&plan.title.name),
            escaped(&edition.title),
            escaped(letter),
            escaped(day)
        );
        out.push_str(
            "<main>\n<details class=\"strike\"><summary>Struck a line? Gas smell: leave, then call.</summary><ul>",
        );
        STRIKE.iter().for_each(|words| out.push_str(&element("li", words)));
        out.push_str("</ul></details>\n<section class=\"alerts\" aria-label=\"Before digging\">\n");
        self.warnings().iter().for_each(|words| out.push_str(&element("p class=\"alarm\"", words)));
        out.push_str("<div id=\"tickets\">");
        self.tickets_words().iter().for_each(|words| out.push_str(&element("p", words)));
        out.push_str("</div>\n</section>\n<div id=\"here\"></div>\n");
        out
    }

    /// What is out of date or open though the page leaves.
    fn warnings(&self) -> Vec<String> {
        let held_back = self.making.listed.iter().filter(|listed| listed.holds_back()).count();
        let open = (held_back > 0).then(|| {
            format!(
                "{} to fix still open. {}.",
                measure::how_many(held_back, "finding"),
                self.making.all_the_same_words()
            )
        });
        let no_dig = self.making.listed.iter().filter(|listed| listed.no_dig);
        let place = |listed: &Listed| {
            let across = self.making.work.reference.across;
            format!("DO NOT DIG {}: {}", listed.place(self.making.work.plan, across), listed.finding.title)
        };
        self.making.edition.warning.clone().into_iter().chain(open).chain(no_dig.map(place)).collect()
    }

    fn tickets_words(&self) -> Vec<String> {
        let words = self.utilities().map(|(mark, utility)| match (utility.ticket.trim(), &utility.valid_until) {
            ("", _) => format!("{}: NO LOCATE TICKET", mark.called()),
            (ticket, None) => format!("{}: locate ticket {ticket}, no last day entered", mark.called()),
            (ticket, Some(until)) => format!("{}: locate ticket {ticket} holds until {until}", mark.called()),
        });
        let words: Vec<String> = words.collect();
        let none = "No buried utility is drawn on this plan. That is no promise: have them located before digging.";
        if words.is_empty() { vec![none.into()] } else { words }
    }

    /// Map, lines, findings, benchmarks and cautions.
    pub(super) fn body(&self) -> String {
        let mut out = format!("<section id=\"place\"><h2>Map</h2>\n{}</section>\n<h2>Lines</h2>\n", self.map());
        self.sheets().iter().for_each(|sheet| out.push_str(&self.line_table(sheet)));
        out.push_str(&self.findings_table());
        out.push_str(&self.benchmarks_table());
        out.push_str("<h2>Cautions</h2>\n");
        out.push_str(&element("p", plan::CAUTION));
        let foot = element("footer", plan::CAUTION_SHORT);
        format!("{out}</main>\n{foot}\n")
    }

    fn line_table(&self, sheet: &CutSheet) -> String {
        let units = self.making.work.plan.title.units;
        let rows: Vec<Vec<String>> = sheet.rows.iter().map(|row| self.cells(row)).collect();
        let below = units.amount(sheet.below_invert_m);
        let head = format!(
            "{}. Pipe {}. Down to trench bottom = cut + {below} of wall and bedding. Figures in {}.",
            sheet.zero,
            sheet.pipe,
            units.sign()
        );
        let title = format!("{}: {}, {}", sheet.name, self.line_words(sheet), units.length(self.length_m(sheet)));
        let heads = [
            "Station",
            "Cut",
            "",
            "From",
            "Down to trench bottom",
            "Invert",
            "To next",
            "Ground",
            "Here, ahead, open",
        ];
        format!(
            "<details class=\"line\"><summary>{}</summary>{}{}</details>\n",
            escaped(&title),
            element("p", &head),
            table(&heads, &rows)
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
            Some(Stake::Hub(hub)) => format!("hub {}", units.figure(hub.level_m)),
            Some(Stake::Ground(_)) => "ground".into(),
            None => String::new(),
        };
        let beside = printed.cut_m.filter(|_| !units.is_metric()).map(feet_and_eighths).unwrap_or_default();
        let seen = row.seen.iter().filter_map(|seen| Some(format!("{} {}", seen.number, seen.words.as_ref()?)));
        let ahead = row.ahead.iter().map(|ahead| format!("AHEAD {}", ahead.words));
        let words: Vec<String> = seen.chain(row.here.iter().cloned()).chain(ahead).collect();
        let cut = if row.no_dig { "DO NOT DIG".into() } else { figure(printed.cut_m) };
        vec![
            self.making.station(row.station_m),
            cut,
            beside,
            from,
            figure(printed.bottom_m),
            units.figure(printed.invert_m),
            row.grade.map_or("end".into(), |grade| units.grade(grade)),
            figure(printed.ground_m),
            words.join("; "),
        ]
    }

    fn findings_table(&self) -> String {
        let (plan, across) = (self.making.work.plan, self.making.work.reference.across);
        let row = |listed: &Listed| {
            let number = listed.number.to_string();
            vec![number, listed.severity_words().into(), listed.place(plan, across), listed.what_to_do()]
        };
        let rows: Vec<Vec<String>> = self.making.listed.iter().map(row).collect();
        let body = match rows.is_empty() {
            true => element("p", "Nothing is open, by the checks. Walk the lines before you dig."),
            false => table(&["", "", "Where", "What, and what to do"], &rows),
        };
        format!("<details><summary>Findings, {} in all</summary>{body}</details>\n", rows.len())
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
        let terms: String = terms.iter().map(|words| element("p", words)).collect();
        let body = match rows.is_empty() {
            true => element("p", "No benchmark is entered: set one before digging."),
            false => table(&["Benchmark", "Level", "Easting", "Northing"], &rows),
        };
        format!("<details><summary>Benchmarks and terms of levels</summary>{terms}{body}</details>\n")
    }
}
