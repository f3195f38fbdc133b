//! The design table: for each line the land it drains, its flow, and what its pipe carries; the figures that the cards of the
//! window show and the checks are held against.

use design::{Inflow, LineDesign, Origin};
use plan::{Joins, Line, LineId};

use crate::book::Making;
use crate::flow::{Column, Flow};
use crate::page::{Align, Page};

/// Type of the table, points; and that of a large job, from so many lines on, whose table stands so that it takes fewer
/// sheets (judgement).
const TABLE_PT: f64 = 8.0;
const CLOSE_PT: f64 = 7.5;
const MANY_LINES: usize = 60;

const COLUMNS: [Column; 11] = [
    ("Line", 0.115, Align::Left),
    ("Length", 0.07, Align::Right),
    ("Land drained", 0.085, Align::Right),
    ("Coefficient", 0.09, Align::Right),
    ("Flow", 0.08, Align::Right),
    ("Pipe", 0.08, Align::Right),
    ("Grade", 0.13, Align::Right),
    ("Carries full", 0.085, Align::Right),
    ("Full", 0.055, Align::Right),
    ("Speed", 0.08, Align::Right),
    ("Cover", 0.125, Align::Right),
];

/// The columns that may be broken: names, and sizes that step up.
const NAME: usize = 0;
const SIZES: usize = 5;

/// From the figures of one column to the next, millimetres.
const APART_MM: f64 = 3.5;

impl Making<'_> {
    /// The table, every line of it, and what it runs on to.
    pub(crate) fn design_table(&self) -> Vec<Page> {
        let lines: Vec<(LineId, &Line, &LineDesign)> = self.known_lines().collect();
        if lines.is_empty() {
            return Vec::new();
        }
        let paper = self.work.paper;
        let (size_mm, table_pt) = match lines.len() < MANY_LINES {
            true => (paper.lying_mm(), TABLE_PT),
            false => (paper.standing_mm(), CLOSE_PT),
        };
        let mut flow = Flow::new(self, size_mm, "Design table");
        flow.paragraph(
            "Land with that of all branches; flow at the lower end; what the full pipe carries, how full it is and its speed when \
             full where it is fullest; soil over the pipe from least to most, without the outlet's own pipe. Estimates.",
            8.0,
            false,
        );
        let mut rows: Vec<Vec<String>> =
            lines.iter().map(|(_, line, worked)| self.design_row(line, worked)).collect();
        rows.extend(self.total_rows(&lines));
        let columns = self.fitted(&rows, table_pt, flow.width_mm());
        flow.table(&columns, &rows, table_pt);
        self.design_notes().iter().for_each(|note| flow.paragraph(note, 8.0, false));
        flow.finish()
    }

    /// The columns as wide as their widest figure or word of a head; sizes that step up take what is left, in several rows.
    fn fitted(&self, rows: &[Vec<String>], size_pt: f64, whole_mm: f64) -> [Column<'static>; 11] {
        let mut columns = COLUMNS;
        for (k, (head, share, _)) in columns.iter_mut().enumerate().filter(|(k, _)| *k != NAME && *k != SIZES) {
            let words = head.split(' ').map(|word| self.ink.width_mm(word, size_pt, true));
            let cells = rows.iter().filter_map(|row| row.get(k)).map(|cell| self.ink.width_mm(cell, size_pt, false));
            *share = (words.chain(cells).fold(0.0, f64::max) + APART_MM) / whole_mm;
        }
        let taken: f64 = columns.iter().map(|(_, share, _)| share).sum::<f64>() - columns[SIZES].1;
        columns[SIZES].1 = 1.0 - taken;
        if columns[SIZES].1 < COLUMNS[SIZES].1 { COLUMNS } else { columns }
    }

    /// Every line that was worked out.
    fn known_lines(&self) -> impl Iterator<Item = (LineId, &Line, &LineDesign)> {
        let work = self.work;
        work.plan.lines.iter().filter_map(move |(id, line)| Some((*id, line, work.design.lines.get(id)?)))
    }

    fn design_row(&self, line: &Line, worked: &LineDesign) -> Vec<String> {
        let units = self.work.plan.title.units;
        let mut row = vec![
            format!("{}, {}", line.name, line.kind.word()),
            units.length(worked.length_m),
            units.area(worked.area_m2),
            self.coefficients(worked),
            units.flow(worked.required_m3s()),
            worked.size_words(units),
            self.grade_range(worked),
        ];
        row.extend(self.fullest_cells(line, worked));
        row.push(self.cover_range(worked));
        row
    }

    /// The coefficients of what flows in, the least first; branches bring their own.
    fn coefficients(&self, worked: &LineDesign) -> String {
        let counts = |inflow: &&Inflow| inflow.area_m2 > 0.0 && !matches!(inflow.origin, Origin::Branch(_));
        let mut own: Vec<f64> = worked.inflows.iter().filter(counts).map(|inflow| inflow.coefficient_ms).collect();
        own.sort_by(f64::total_cmp);
        let mut words: Vec<String> = own.iter().map(|ms| self.work.plan.title.units.coefficient(*ms)).collect();
        words.dedup();
        if words.is_empty() { "of its branches".into() } else { words.join(", ") }
    }

    fn grade_range(&self, worked: &LineDesign) -> String {
        let units = self.work.plan.title.units;
        let grades = worked.grades().into_iter().map(|part| part.grade);
        let ends = grades.map(|grade| (grade, grade)).reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)));
        let Some((least, most)) = ends else { return "not known".into() };
        range(units.grade(least), units.grade(most))
    }

    /// What the pipe carries, how full it is and how fast it runs when full, all where it is fullest.
    fn fullest_cells(&self, line: &Line, worked: &LineDesign) -> [String; 3] {
        let units = self.work.plan.title.units;
        if let Some(old) = worked.old_capacity.filter(|_| line.kind.is_old()) {
            return [range(units.flow(old.least_m3s), units.flow(old.most_m3s)), "–".into(), "–".into()];
        }
        let Some(full) = worked.fullest() else { return ["not known".into(), "–".into(), "–".into()] };
        if full.capacity_m3s <= 0.0 {
            return ["nothing".into(), "–".into(), "–".into()];
        }
        let speed = units.velocity(worked.above(full.index).full_velocity_ms(full.grade));
        [units.flow(full.capacity_m3s), format!("{:.0} %", full.share() * 100.0), speed]
    }

    fn cover_range(&self, worked: &LineDesign) -> String {
        let units = self.work.plan.title.units;
        let ends = worked.least_cover().zip(worked.greatest_cover());
        ends.map_or("not known".into(), |(least, most)| range(units.depth(least.value_m), units.depth(most.value_m)))
    }

    /// What each outlet takes; and all new lines together.
    fn total_rows(&self, lines: &[(LineId, &Line, &LineDesign)]) -> Vec<Vec<String>> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let row = |what: String, length_m: Option<f64>, at: &[&LineDesign]| {
            let area_m2: f64 = at.iter().map(|worked| worked.area_m2).sum();
            let flow_m3s: f64 = at.iter().map(|worked| worked.required_m3s()).sum();
            let length = length_m.map(|length_m| units.length(length_m)).unwrap_or_default();
            let mut row = vec![what, length, units.area(area_m2), String::new(), units.flow(flow_m3s)];
            row.resize(COLUMNS.len(), String::new());
            row
        };
        let ends_at = |joins: Joins| lines.iter().filter(move |(_, line, _)| line.joins == joins);
        let of_outlet = plan.outlets.iter().filter_map(|(id, outlet)| {
            let at: Vec<&LineDesign> = ends_at(Joins::Outlet(*id)).map(|(.., worked)| *worked).collect();
            (!at.is_empty()).then(|| row(format!("Outlet {}", outlet.name), None, &at))
        });
        let all: Vec<&LineDesign> =
            plan.outlets.keys().flat_map(|id| ends_at(Joins::Outlet(*id))).map(|(.., worked)| *worked).collect();
        let new = lines.iter().filter(|(_, line, _)| !line.kind.is_old());
        let (count, length_m) =
            new.fold((0, 0.0), |(count, sum_m), (.., worked)| (count + 1, sum_m + worked.length_m));
        let whole = format!("Together, {}", measure::how_many(count, "new line"));
        of_outlet.chain([row(whole, Some(length_m), &all)]).collect()
    }

    /// By what the figures were worked out.
    fn design_notes(&self) -> Vec<String> {
        let mut notes = vec![
            "Flow is area times drainage coefficient, with seepage and what inlets take. A pipe carries full by Manning, V = \
             R^2/3 S^1/2 / n with R a quarter of the inside diameter (US highway manual HEC-22)."
                .to_string(),
        ];
        let named = self.roughness_words();
        if !named.is_empty() {
            notes.push(format!("Roughness n: {}.", named.join("; ")));
        }
        let even = self.known_lines().any(|(.., worked)| worked.even_factor != 1.0);
        notes.extend(even.then(|| "Laterals carry more because their flow grows evenly along them.".to_string()));
        notes
    }

    /// "4 in corrugated 0.015", each once, by wall and size.
    fn roughness_words(&self) -> Vec<String> {
        let units = self.work.plan.title.units;
        let new = self.known_lines().filter(|(_, line, _)| !line.kind.is_old());
        let mut pipe: Vec<&design::Pipe> = new.flat_map(|(.., worked)| &worked.pipe).collect();
        pipe.sort_by(|one, other| one.size_m.total_cmp(&other.size_m).then(one.n.total_cmp(&other.n)));
        let mut words: Vec<String> = pipe
            .iter()
            .map(|pipe| format!("{} {} {:.3}", units.pipe(pipe.size_m), pipe.wall.word(), pipe.n))
            .collect();
        words.dedup();
        words
    }
}

/// "0.41 to 3.66 %", or one figure where both print alike.
fn range(least: String, most: String) -> String {
    if least == most { least } else { measure::unit_once(&least, "to", &most) }
}

#[cfg(test)]
mod tests {
    use super::range;

    #[test]
    fn a_range_names_its_unit_once() {
        assert_eq!(range("0.41 %".into(), "3.66 %".into()), "0.41 to 3.66 %");
        assert_eq!(range("0.41 %".into(), "0.41 %".into()), "0.41 %");
    }
}
