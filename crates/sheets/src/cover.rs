//! The first page: what to know before digging. What holds for the whole job and stands on no cut sheet stands here.

use measure::capital;
use plan::Measure;
use takeoff::CutSheet;

use crate::book::Making;
use crate::edition::in_force;
use crate::flow::{Flow, columns};
use crate::line_index::LinePages;
use crate::notices::Listed;
use crate::page::{Align, Page};
use crate::tongue::Tongue;

/// Findings that a list before digging tells in full; of more it tells where and what, and the rest stands under Findings
/// (judgement: a page and a half).
const MOST_IN_FULL: usize = 25;

impl Making<'_> {
    /// The page, and what it runs on to.
    pub(crate) fn cover(&self, pages: &LinePages) -> Vec<Page> {
        let mut flow = Flow::new(self, self.work.paper.standing_mm(), &self.word("cover-title"));
        self.state(&mut flow);
        self.no_dig_list(&mut flow);
        self.buried_list(&mut flow);
        self.fix_list(&mut flow);
        self.whole_job(&mut flow);
        self.protected_list(&mut flow);
        self.line_index(&mut flow, pages);
        self.for_who_reads_no_english(&mut flow);
        flow.finish()
    }

    /// For who reads no English: the cautions, which stand at the end of the set, and what else of it is in English.
    fn for_who_reads_no_english(&self, flow: &mut Flow) {
        if self.tongue != Tongue::English {
            flow.heading(&self.word("page-cautions"));
            flow.paragraph(&self.word("caution"), 10.0, false);
            flow.paragraph(&self.word("cover-english"), 10.0, true);
        }
    }

    /// Which sheets these are, and what they tell otherwise than the ones before.
    fn state(&self, flow: &mut Flow) {
        let edition = &self.edition;
        flow.paragraph(&self.say(&edition.title), 13.0, true);
        let still_open = self.still_open();
        still_open.iter().for_each(|open| flow.paragraph(open, 11.0, true));
        edition.warning.iter().for_each(|warning| flow.paragraph(&self.say(warning), 10.0, true));
        let revision = in_force(self.work.plan, edition);
        if let Some(revision) = revision.filter(|_| still_open.is_none()) {
            let because = revision.signed.because.trim_end_matches('.');
            flow.paragraph(&self.text("cover-why", &[("because", because)]), 10.0, false);
        }
        if let Some(before) = self.work.plan.revisions.iter().rev().nth(1).filter(|_| revision.is_some()) {
            flow.heading(&self.text("cover-changed", &[("letter", &before.letter)]));
            if edition.changed.is_empty() {
                flow.paragraph(&self.word("cover-unchanged"), 10.0, false);
            }
            let sentence = |change: &String| format!("{}.", capital(&self.say(change)));
            edition.changed.iter().for_each(|change| flow.paragraph(&sentence(change), 10.0, false));
        }
    }

    /// Every stretch that nobody digs.
    fn no_dig_list(&self, flow: &mut Flow) {
        let found: Vec<&Listed> = self.listed.iter().filter(|listed| listed.no_dig).collect();
        if found.is_empty() {
            return;
        }
        flow.banner(&self.word("do-not-dig"));
        flow.paragraph(&self.word("cover-no-dig"), 10.0, true);
        self.list(flow, &found);
    }

    /// What lies buried along the lines, in their order.
    fn buried_list(&self, flow: &mut Flow) {
        let row = |sheet: &CutSheet| {
            sheet.buried().map(|ahead| vec![sheet.name.clone(), self.say(&ahead.words)]).collect::<Vec<_>>()
        };
        let rows: Vec<Vec<String>> = self.sheets.iter().flat_map(row).collect();
        if !rows.is_empty() {
            flow.heading(&self.word("cover-buried"));
            let [line, what] = ["cover-line", "cover-where-what"].map(|id| self.word(id));
            flow.table(&[(&line, 0.18, Align::Left), (&what, 0.82, Align::Left)], &rows, 9.0);
        }
    }

    fn fix_list(&self, flow: &mut Flow) {
        let found: Vec<&Listed> = self.listed.iter().filter(|listed| listed.holds_back()).collect();
        if !found.is_empty() {
            flow.heading(&self.word("cover-fix"));
            self.list(flow, &found);
        }
    }

    /// What stands on no cut sheet: what is about the whole job, an old tile, the survey.
    fn whole_job(&self, flow: &mut Flow) {
        let alone = |listed: &&Listed| listed.on.is_empty() && !listed.no_dig && !listed.holds_back();
        let found: Vec<&Listed> = self.listed.iter().filter(alone).collect();
        flow.heading(&self.word("cover-whole-job"));
        if found.is_empty() {
            flow.paragraph(&self.word("cover-nothing-else"), 10.0, false);
        } else {
            self.list(flow, &found);
        }
        flow.paragraph(&self.word("cover-where-open"), 9.0, false);
    }

    fn list(&self, flow: &mut Flow, found: &[&Listed]) {
        let across = self.work.reference.across;
        let in_short = found.len() > MOST_IN_FULL;
        let row = |listed: &&Listed| {
            vec![
                listed.number.to_string(),
                self.say(listed.severity_words()),
                self.say(&listed.place(self.work.plan, across)),
                listed.told(in_short, self.tongue),
            ]
        };
        if in_short {
            flow.paragraph(&self.word("cover-in-short"), 9.0, true);
        }
        let [place, what] = ["cover-where", "cover-what"].map(|id| self.word(id));
        let columns = [
            ("", 0.05, Align::Left),
            ("", 0.13, Align::Left),
            (place.as_str(), 0.23, Align::Left),
            (&what, 0.59, Align::Left),
        ];
        flow.table(&columns, &found.iter().map(row).collect::<Vec<_>>(), 9.0);
    }

    /// Trench that nobody enters unprotected, line by line; the same stretches as on the cut sheets and in the bid.
    fn protected_list(&self, flow: &mut Flow) {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let deep = self.deep_lines();
        let limit = units.depth(plan.criteria.protected_trench_m);
        flow.heading(&self.text("cover-trench", &[("depth", &limit)]));
        if deep.is_empty() {
            flow.paragraph(&self.word("cover-no-trench"), 10.0, false);
            return;
        }
        let length = |length_m: f64| Measure::Length.words(length_m, units);
        let rows = deep.iter().flat_map(|(_, line, deep)| {
            deep.protected.iter().map(|part| {
                let [from, to] = [part.from_m, part.to_m].map(|station_m| self.station(station_m));
                vec![line.name.clone(), from, to, length(part.length_m()), units.depth(part.worst)]
            })
        });
        let total_m: f64 = deep.iter().map(|(.., deep)| deep.protected_m()).sum();
        let total = vec![self.word("cover-together"), String::new(), String::new(), length(total_m), String::new()];
        let heads = ["cover-line", "cover-from", "cover-to", "cover-length", "cover-deepest"].map(|id| self.word(id));
        let figure = (0.18, Align::Right);
        let columns = columns(&heads, [(0.28, Align::Left), figure, figure, figure, figure]);
        flow.paragraph(&self.word("cover-nobody"), 10.0, true);
        flow.table(&columns, &rows.chain([total]).collect::<Vec<_>>(), 9.5);
    }
}
