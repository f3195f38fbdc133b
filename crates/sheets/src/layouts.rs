//! Layouts put aside beside the present one, on paper.

use measure::Units;

use crate::book::Making;
use crate::flow::{Column, Flow};
use crate::page::{Align, Page};

/// Layouts side by side in one table; more are shown in further ones.
const ABREAST: usize = 4;
/// Sizes this near are one, metres.
const SAME_SIZE_M: f64 = 1e-4;

/// A layout in the figures by which it is held beside others.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LayoutColumn {
    /// Its name.
    pub name: String,
    /// Length of new line, metres.
    pub length_m: f64,
    /// New pipe by size: inside diameter and length, metres.
    pub by_size: Vec<(f64, f64)>,
    /// Soil out of its trenches, cubic metres.
    pub trench_m3: f64,
    /// Length of trench of which no depth is known, metres.
    pub unknown_m: f64,
    /// Its deepest trench, metres.
    pub deepest_m: Option<f64>,
    /// Material and work.
    pub total: f64,
    /// How full its fullest line is, in words.
    pub full: String,
    /// Its findings, in words.
    pub findings: String,
    /// What it costs otherwise than the present layout: a line or what else, and about how much more.
    pub differs: Vec<(String, String)>,
}

impl Making<'_> {
    /// A page of the present layout with those put aside; none where none is.
    pub(crate) fn layouts(&self, all: &[LayoutColumn]) -> Vec<Page> {
        let Some((present, aside)) = all.split_first().filter(|(_, aside)| !aside.is_empty()) else {
            return Vec::new();
        };
        let mut flow = Flow::new(self, self.work.paper.standing_mm(), "Layouts side by side");
        let words = "Estimates, each layout worked out on the same ground, with the same limits and prices. Only the present \
                     one is drawn and dug by in these sheets.";
        flow.paragraph(words, 10.0, true);
        for some in aside.chunks(ABREAST - 1) {
            self.side_by_side(&mut flow, &std::iter::once(present).chain(some).collect::<Vec<_>>());
        }
        for layout in aside.iter().filter(|layout| !layout.differs.is_empty()) {
            flow.heading(&format!("{} against the present layout", layout.name));
            let rows: Vec<Vec<String>> =
                layout.differs.iter().map(|(what, gap)| vec![what.clone(), gap.clone()]).collect();
            flow.table(&[("What", 0.7, Align::Left), ("Costs about", 0.3, Align::Right)], &rows, 9.5);
        }
        flow.finish()
    }

    fn side_by_side(&self, flow: &mut Flow, layouts: &[&LayoutColumn]) {
        let units = self.work.plan.title.units;
        let row = |what: &str, cell: &dyn Fn(&LayoutColumn) -> String| {
            let cells = layouts.iter().map(|layout| cell(layout));
            std::iter::once(what.to_string()).chain(cells).collect::<Vec<_>>()
        };
        let mut rows = vec![row("New line", &|layout| units.length(layout.length_m))];
        for size_m in sizes(layouts) {
            let of_size = |layout: &LayoutColumn| length_of(layout, size_m, units);
            rows.push(row(&format!("of it {}", units.pipe(size_m)), &of_size));
        }
        rows.extend([
            row("Soil out of the trenches", &|layout| units.volume(layout.trench_m3)),
            row("Deepest trench", &|layout| {
                layout.deepest_m.map_or("–".into(), |deepest_m| units.depth(deepest_m))
            }),
            row("Material and work", &|layout| self.estimate.about(layout.total)),
            row("Fullest line", &|layout| layout.full.clone()),
            row("Findings", &|layout| layout.findings.clone()),
        ]);
        if layouts.iter().any(|layout| layout.unknown_m > 0.0) {
            rows.insert(rows.len() - 3, row("Trench without a depth", &|layout| units.length(layout.unknown_m)));
        }
        let share = 0.76 / layouts.len() as f64;
        let heads = layouts.iter().map(|layout| (layout.name.as_str(), share, Align::Left));
        let columns: Vec<Column> = std::iter::once(("", 0.24, Align::Left)).chain(heads).collect();
        flow.table(&columns, &rows, 10.0);
    }
}

/// Every size of the layouts, smallest first.
fn sizes(layouts: &[&LayoutColumn]) -> Vec<f64> {
    let mut all: Vec<f64> =
        layouts.iter().flat_map(|layout| layout.by_size.iter().map(|(size_m, _)| *size_m)).collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < SAME_SIZE_M);
    all
}

fn length_of(layout: &LayoutColumn, size_m: f64, units: Units) -> String {
    let of_size = layout.by_size.iter().filter(|(own_m, _)| (own_m - size_m).abs() < SAME_SIZE_M);
    let length_m: f64 = of_size.map(|(_, length_m)| length_m).sum();
    if length_m > 0.0 { units.length(length_m) } else { "–".into() }
}
