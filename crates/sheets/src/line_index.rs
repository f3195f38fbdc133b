//! The index of lines: on which pages of the set each is found.

use std::collections::BTreeMap;

use design::LineDesign;
use plan::{Joins, Line, LineId};

use crate::book::Making;
use crate::flow::{Flow, columns};
use crate::page::{Align, Page};

/// The first page of each line's profile and of its cut sheet, as pages are numbered.
#[derive(Debug, Default)]
pub(crate) struct LinePages {
    profiles: BTreeMap<LineId, usize>,
    cut_sheets: BTreeMap<LineId, usize>,
}

impl LinePages {
    /// Of profiles and of cut sheets, each as they stand after so many other pages.
    pub fn of(profiles: (usize, &[Page]), cut_sheets: (usize, &[Page])) -> Self {
        Self { profiles: first_pages(profiles), cut_sheets: first_pages(cut_sheets) }
    }
}

fn first_pages((before, pages): (usize, &[Page])) -> BTreeMap<LineId, usize> {
    let mut first = BTreeMap::new();
    for (i, page) in pages.iter().enumerate() {
        for line in &page.lines {
            first.entry(*line).or_insert(before + i + 1);
        }
    }
    first
}

impl Making<'_> {
    /// Every new line of the plan with its pages.
    pub(crate) fn line_index(&self, flow: &mut Flow, pages: &LinePages) {
        let rows: Vec<Vec<String>> = (self.work.plan.lines.iter())
            .filter(|(_, line)| !line.kind.is_old())
            .map(|(id, line)| self.index_row(*id, line, pages))
            .collect();
        if rows.is_empty() {
            return;
        }
        let heads = ["cover-line", "cover-pipe", "cover-length", "cover-into", "cover-profile", "cover-cut-sheet"];
        let heads = heads.map(|id| self.word(id));
        let [left, right] = [Align::Left, Align::Right];
        let (name, pipe) = if self.any_steps() { (0.2, 0.24) } else { (0.28, 0.16) };
        let shares = [(name, left), (pipe, right), (0.15, right), (0.15, left), (0.13, right), (0.13, right)];
        flow.heading(&self.word("cover-index"));
        flow.table_two_up(&columns(&heads, shares), &rows, 8.0);
    }

    /// True where a line has several sizes, which take more room than one.
    fn any_steps(&self) -> bool {
        let mut changes = self.work.design.lines.values().flat_map(LineDesign::changes);
        changes.any(|[below, above]| below.size_m != above.size_m)
    }

    fn index_row(&self, id: LineId, line: &Line, pages: &LinePages) -> Vec<String> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let sizes = self.work.design.lines.get(&id).map(|worked| worked.size_words(units));
        let number = |pages: &BTreeMap<LineId, usize>| pages.get(&id).map_or("–".into(), usize::to_string);
        let into = match line.joins {
            Joins::Nothing => self.word("cover-nothing"),
            joins => plan.name_of(joins).unwrap_or("–").to_string(),
        };
        vec![
            line.name.clone(),
            sizes.map_or("–".into(), |sizes| self.say(&sizes)),
            units.length(line.length_m()),
            into,
            number(&pages.profiles),
            number(&pages.cut_sheets),
        ]
    }
}
