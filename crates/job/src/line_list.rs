//! The lines of a plan as rows of a table: what is told of each, by what the rows are sorted, and how one is found.

use std::cmp::Ordering;

use design::{LineDesign, PipeKind};
use measure::Units;
use plan::{Line, LineId, LineKind};
use terrain::Extreme;

use crate::Worked;

/// One line of the plan, as the list tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct LineRow {
    /// Its id.
    pub id: LineId,
    /// Its name.
    pub name: String,
    /// Main, submain, lateral or old tile.
    pub kind: &'static str,
    /// Length on the plan, metres.
    pub length_m: f64,
    /// Smallest and largest nominal size, metres.
    pub sizes_m: (f64, f64),
    /// Wall and openings of its pipe, or what old tile is made of, in words.
    pub pipe: String,
    /// Its flattest grade, as a ratio.
    pub least_grade: Option<f64>,
    /// Least and greatest depth of the invert under the ground, metres.
    pub cut_m: Option<(f64, f64)>,
    /// Least and greatest soil over the pipe, metres; the solid outlet pipe does not count.
    pub cover_m: Option<(f64, f64)>,
    /// What it joins, by name; empty for nothing.
    pub joins: String,
    /// How many findings are about it that nobody left as they are.
    pub findings: usize,
}

/// A column of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Column {
    /// Its name.
    #[default]
    Name,
    /// What it is.
    Kind,
    /// Its length.
    Length,
    /// Its sizes.
    Size,
    /// Its pipe.
    Pipe,
    /// Its flattest grade.
    Grade,
    /// How deep its invert lies.
    Cut,
    /// How much soil lies over it.
    Cover,
    /// What it joins.
    Joins,
    /// What is wrong with it.
    Findings,
}

impl Column {
    /// All of them, from left to right, each with its heading.
    pub const ALL: [(Self, &'static str); 10] = [
        (Self::Name, "Line"),
        (Self::Kind, "Kind"),
        (Self::Length, "Length"),
        (Self::Size, "Size"),
        (Self::Grade, "Least grade"),
        (Self::Cut, "Cut"),
        (Self::Cover, "Cover"),
        (Self::Joins, "Joins"),
        (Self::Findings, "Findings"),
        (Self::Pipe, "Pipe"),
    ];

    /// What stands in it for a line.
    pub fn words(self, row: &LineRow, units: Units) -> String {
        let range = |range: Option<(f64, f64)>| {
            range.map(|(least_m, most_m)| format!("{} to {}", units.number(least_m, 2), units.depth(most_m)))
        };
        match self {
            Self::Name => row.name.clone(),
            Self::Kind => row.kind.into(),
            Self::Length => units.length(row.length_m),
            Self::Size => size_words(row.sizes_m, units),
            Self::Pipe => row.pipe.clone(),
            Self::Grade => row.least_grade.map(|grade| units.grade(grade)).unwrap_or_default(),
            Self::Cut => range(row.cut_m).unwrap_or_default(),
            Self::Cover => range(row.cover_m).unwrap_or_default(),
            Self::Joins => row.joins.clone(),
            Self::Findings if row.findings == 0 => String::new(),
            Self::Findings => row.findings.to_string(),
        }
    }

    /// Which of two lines stands first in a list that rises by this column; names decide between equals.
    fn order(self, one: &LineRow, other: &LineRow) -> Ordering {
        let figure = |one: Option<f64>, other: Option<f64>| match (one, other) {
            (Some(one), Some(other)) => one.total_cmp(&other),
            // What is not known stands last.
            (one, other) => other.is_some().cmp(&one.is_some()),
        };
        let greatest = |range: Option<(f64, f64)>| range.map(|(_, most_m)| most_m);
        let least = |range: Option<(f64, f64)>| range.map(|(least_m, _)| least_m);
        let order = match self {
            Self::Name => Ordering::Equal,
            Self::Kind => one.kind.cmp(other.kind),
            Self::Length => one.length_m.total_cmp(&other.length_m),
            Self::Size => one.sizes_m.1.total_cmp(&other.sizes_m.1),
            Self::Pipe => one.pipe.cmp(&other.pipe),
            Self::Grade => figure(one.least_grade, other.least_grade),
            Self::Cut => figure(greatest(one.cut_m), greatest(other.cut_m)),
            Self::Cover => figure(least(one.cover_m), least(other.cover_m)),
            Self::Joins => by_name(&one.joins, &other.joins),
            Self::Findings => one.findings.cmp(&other.findings),
        };
        order.then_with(|| by_name(&one.name, &other.name))
    }
}

/// Names as people count: L2 before L10.
fn by_name(one: &str, other: &str) -> Ordering {
    let parts = |name: &str| {
        let stem = name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        (name[..stem].to_lowercase(), name[stem..].parse::<u64>().ok())
    };
    parts(one).cmp(&parts(other)).then_with(|| one.cmp(other))
}

/// "4 in", "4 to 6 in".
fn size_words((least_m, most_m): (f64, f64), units: Units) -> String {
    let (least, most) = (units.pipe(least_m), units.pipe(most_m));
    let least_figure = least.split(' ').next().unwrap_or_default();
    if least == most { least } else { format!("{least_figure} to {most}") }
}

/// The rows of all lines of a plan, in order of their ids.
pub(crate) fn rows(worked: &Worked) -> Vec<LineRow> {
    let lines = worked.plan.lines.iter();
    lines.filter_map(|(id, line)| Some(row(worked, *id, line, worked.design.lines.get(id)?))).collect()
}

fn row(worked: &Worked, id: LineId, line: &Line, of: &LineDesign) -> LineRow {
    let findings = worked.findings.iter().filter(|finding| finding.accepted.is_none());
    let cut = of.shallowest_from(0.0).zip(of.deepest());
    LineRow {
        id,
        name: line.name.clone(),
        kind: line.kind.word(),
        length_m: of.length_m,
        sizes_m: of.sizes_m(),
        pipe: pipe_words(line, of),
        least_grade: of.grades().into_iter().map(|part| part.grade).reduce(f64::min),
        cut_m: cut.map(|(least, most)| (least.value_m, most.value_m)),
        cover_m: of.least_cover().map(|least| least.value_m).zip(most_cover_m(of)),
        joins: worked.plan.name_of(line.joins).unwrap_or_default().into(),
        findings: findings.filter(|finding| finding.stretches_on(id).is_some()).count(),
    }
}

/// Greatest soil over the pipe, metres; the solid outlet pipe does not count.
fn most_cover_m(of: &LineDesign) -> Option<f64> {
    let most = |body: design::Pipe| {
        let deepest = of.depth_in(body, of.outlet_pipe_m).map(|piece| piece.greatest()).reduce(Extreme::higher_of)?;
        Some(deepest.value_m - body.top_above_invert_m())
    };
    of.bodies().filter_map(most).reduce(f64::max)
}

/// "corrugated, perforated and solid"; of old tile what it is made of.
fn pipe_words(line: &Line, of: &LineDesign) -> String {
    if let LineKind::OldTile(old) = line.kind {
        return old.material.word().into();
    }
    let kind = |kind: PipeKind| match kind {
        PipeKind::Perforated => Some("perforated"),
        PipeKind::Solid => Some("solid"),
        PipeKind::Heavy => Some("heavy solid"),
        PipeKind::OutletStick => None,
    };
    let parts = of.pipe.iter();
    let walls = together(parts.clone().filter(|part| kind(part.kind).is_some()).map(|part| part.wall.word()));
    let kinds = together(parts.filter_map(|part| kind(part.kind)));
    [walls, kinds].into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ")
}

/// Words, each once, in the order in which they come.
fn together<'a>(words: impl Iterator<Item = &'a str>) -> String {
    let mut all: Vec<&str> = Vec::new();
    words.for_each(|word| all.extend((!all.contains(&word)).then_some(word)));
    all.join(" and ")
}

/// The rows that are meant by what was typed, sorted by a column, rising or falling; what is not known stands last.
pub fn listed<'a>(rows: &'a [LineRow], find: &str, by: Column, falling: bool) -> Vec<&'a LineRow> {
    let find = find.to_lowercase();
    let is_meant = |row: &&LineRow| {
        let words = format!("{} {} {} {}", row.name, row.kind, row.pipe, row.joins).to_lowercase();
        find.split_whitespace().all(|word| words.contains(word))
    };
    let mut listed: Vec<&LineRow> = rows.iter().filter(is_meant).collect();
    listed.sort_by(|one, other| by.order(one, other));
    if falling {
        let is_known = |row: &LineRow| !by.words(row, Units::Metric).is_empty();
        let (mut known, unknown): (Vec<&LineRow>, Vec<&LineRow>) = listed.into_iter().partition(|row| is_known(row));
        known.reverse();
        listed = known.into_iter().chain(unknown).collect();
    }
    listed
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(rows: &[&LineRow]) -> Vec<String> {
        rows.iter().map(|row| row.name.clone()).collect()
    }

    fn row(id: u32, name: &str, length_m: f64, least_grade: Option<f64>) -> LineRow {
        LineRow {
            id: LineId(id),
            name: name.into(),
            kind: "lateral",
            length_m,
            sizes_m: (0.1016, 0.1524),
            pipe: "corrugated, perforated".into(),
            least_grade,
            cut_m: Some((0.9, 1.2)),
            cover_m: None,
            joins: "M1".into(),
            findings: 0,
        }
    }

    #[test]
    fn rows_are_sorted_as_people_count_and_what_is_not_known_stands_last() {
        let rows = [row(1, "L10", 50.0, Some(0.002)), row(2, "L2", 70.0, None), row(3, "L1", 60.0, Some(0.004))];
        assert_eq!(names(&listed(&rows, "", Column::Name, false)), ["L1", "L2", "L10"]);
        assert_eq!(names(&listed(&rows, "", Column::Length, true)), ["L2", "L1", "L10"]);
        assert_eq!(names(&listed(&rows, "", Column::Grade, false)), ["L10", "L1", "L2"]);
        assert_eq!(names(&listed(&rows, "", Column::Grade, true)), ["L1", "L10", "L2"]);
        assert_eq!(names(&listed(&rows, "m1 L1", Column::Name, false)), ["L1", "L10"]);
    }

    #[test]
    fn figures_stand_in_the_unit_of_the_plan() {
        let row = row(1, "L1", 30.48, Some(0.005));
        let words = |units| [Column::Length, Column::Size, Column::Cut, Column::Cover].map(|c| c.words(&row, units));
        assert_eq!(words(Units::Feet), ["100 ft", "4 to 6 in", "2.95 to 3.94 ft", ""]);
        assert_eq!(words(Units::Metric), ["30.5 m", "102 to 152 mm", "0.90 to 1.20 m", ""]);
    }

    /// The first demo field: every line has its row, and each figure is what its design says.
    #[test]
    fn the_demo_field_is_listed() {
        let session = crate::files::demo_session(crate::demo::first_plan()).expect("the demo field");
        let worked = session.worked();
        assert_eq!(worked.line_list().len(), worked.plan.lines.len());
        for row in worked.line_list() {
            let of = &worked.design.lines[&row.id];
            let least_m = of.least_cover().map(|least| least.value_m);
            assert_eq!(row.cover_m.map(|(least_m, _)| least_m), least_m, "{}", row.name);
            assert!(row.cut_m.is_none_or(|(least_m, most_m)| least_m <= most_m));
        }
    }
}
