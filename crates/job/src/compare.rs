//! Layouts put aside, held against the present one.

use serde_json::{Value, json};
use sheets::LayoutColumn;
use takeoff::Difference;

use crate::Worked;

/// A layout in a few figures.
pub struct Layout {
    /// Its name.
    pub name: String,
    /// Length of new line, metres.
    pub length_m: f64,
    /// What it costs.
    pub total: f64,
    /// Its findings in words.
    pub findings: String,
    /// How full its fullest line is, where water flows.
    pub fullest: Option<f64>,
    /// Where it differs from the present layout.
    pub differences: Vec<Difference>,
}

impl Layout {
    /// How full its fullest line is, in words.
    pub fn full_words(&self) -> Option<String> {
        self.fullest.map(|share| match share.is_finite() {
            true => format!("{} % full", measure::fixed(share * 100.0, 0)),
            false => "a line carries nothing".into(),
        })
    }
}

/// The present layout first, then those put aside, each worked out on the same ground.
pub fn layouts(derived: &Worked) -> Vec<Layout> {
    let of = |name: &str, other: &Worked| Layout {
        name: name.into(),
        length_m: other.estimate().length_m(),
        total: other.estimate().total(),
        findings: crate::words::counted(&other.findings),
        fullest: other.design.lines.values().filter_map(|line| Some(line.fullest()?.share())).reduce(f64::max),
        differences: takeoff::differences(derived.estimate(), other.estimate()),
    };
    let mut all = vec![of("as it is now", derived)];
    all.extend(derived.alternatives().iter().map(|(name, other)| of(name, other)));
    all
}

/// The layouts as paper has them; none where nothing was put aside.
pub fn columns(derived: &Worked) -> Vec<LayoutColumn> {
    if derived.plan.alternatives.is_empty() {
        return Vec::new();
    }
    let currency = &derived.estimate().currency;
    let others = derived.alternatives().iter().map(|(_, other)| other);
    let column = |(layout, worked): (Layout, &Worked)| {
        let totals = takeoff::totals(&worked.plan, &worked.design);
        LayoutColumn {
            full: layout.full_words().unwrap_or("–".into()),
            differs: layout.differences.iter().map(|row| (row.name.clone(), row.gap_words(currency))).collect(),
            name: layout.name,
            length_m: layout.length_m,
            by_size: totals.by_size,
            trench_m3: totals.trench_m3,
            unknown_m: totals.unknown_m,
            deepest_m: totals.deepest_trench_m,
            total: layout.total,
            findings: layout.findings,
        }
    };
    layouts(derived).into_iter().zip(std::iter::once(derived).chain(others)).map(column).collect()
}

/// The comparison as lines of text; none where nothing was put aside.
pub fn text_lines(derived: &Worked) -> Vec<String> {
    let all = layouts(derived);
    let (units, currency) = (derived.plan.title.units, &derived.estimate().currency);
    let Some((_, aside)) = all.split_first().filter(|(_, aside)| !aside.is_empty()) else { return Vec::new() };
    let mut text = vec![String::new(), "Layouts side by side (estimates)".to_string()];
    for layout in &all {
        let full = layout.full_words().unwrap_or("–".into());
        let (length, total) = (units.length(layout.length_m), derived.estimate().about(layout.total));
        text.push(format!("  {:<24} {length:>10} {total:>16}  {full:>10}  {}", layout.name, layout.findings));
    }
    for layout in aside {
        text.push(format!("  {} against the present layout", layout.name));
        for row in &layout.differences {
            text.push(format!("    {:<34} {}", row.name, row.gap_words(currency)));
        }
    }
    text
}

/// The same for machines.
pub fn as_json(derived: &Worked) -> Vec<Value> {
    let row = |layout: Layout| {
        json!({
            "name": layout.name,
            "length_m": layout.length_m,
            "total": layout.total,
            "findings": layout.findings,
            "percent_full": layout.fullest.filter(|share| share.is_finite()).map(|share| share * 100.0),
        })
    };
    layouts(derived).into_iter().map(row).collect()
}
