//! How the land dries after rain: without drains, with the layout as it is now, and with those put aside, over what is known
//! of the soil.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;

use design::Design;
use exchange::FileError;
use hydraulics::Estimate;
use land::Soils;
use measure::{Units, ring_holds, ring_m2};
use plan::{LandmarkKind, Outline, Plan};
use serde_json::{Value, json};
use terrain::Grid;
use watertable::{Drying, Field, FieldError, Question, SoilCase, Weather};

use crate::{Progress, Worked};

/// Cells that a field is worked out in where nothing else is asked: enough for drains a few steps apart (own choice).
pub const CELLS: usize = 15_000;

/// Depth of the water table from which a tractor can go, metres: two feet ([judgement]).
pub const TRACTOR_DEPTH_M: f64 = 2.0 * measure::FOOT_M;

/// What the air takes from a wet surface in a day where nothing else is given, metres: cool and damp ([judgement]).
pub const USUAL_EVAPORATION_M: f64 = 0.002;

/// Most days that are looked at.
pub const MOST_DAYS: usize = 400;

/// Name of the case without drains.
const UNDRAINED: &str = "without drains";

/// Name of the layout in the plan.
const AS_NOW: &str = "as it is now";

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// The weather, day by day.
    pub days: Vec<Weather>,
    /// Depth of the roots, metres; that of the water table when the rain begins, too.
    pub roots_m: f64,
    /// Depth of the water table from which a tractor can go, metres.
    pub tractor_m: f64,
    /// Cells of the field.
    pub cells: usize,
    /// Names of layouts put aside that are looked at beside the present one; all where it is `None`.
    pub layouts: Option<Vec<String>>,
}

impl Ask {
    /// So much rain on the first of so many days, metres, and so much that the air would take on each.
    pub fn rain(plan: &Plan, rain_m: f64, days: usize, evaporation_m: f64) -> Self {
        let weather = |day: usize| Weather { rain_m: if day == 0 { rain_m } else { 0.0 }, evaporation_m };
        Self {
            days: (0..days).map(weather).collect(),
            roots_m: plan.brief.water_table_m,
            tractor_m: TRACTOR_DEPTH_M,
            cells: CELLS,
            layouts: None,
        }
    }
}

/// Reads rain by day from a table.
///
/// # Errors
/// Where the file cannot be read or a figure in it is none.
pub fn weather(path: &Path) -> Result<Vec<Weather>, FileError> {
    let days = exchange::read_weather(&exchange::read_bytes(path)?)?;
    Ok(days.iter().map(|day| Weather { rain_m: day.rain_m, evaporation_m: day.evaporation_m }).collect())
}

/// A piece of land that is asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    /// Its name.
    pub name: String,
    /// Its size, square metres.
    pub area_m2: f64,
    /// Its cells.
    cells: Vec<usize>,
}

/// How an area dries under one layout: days with the water table above the depth of the roots, and above that for a tractor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wet {
    /// For the roots.
    pub roots: Estimate,
    /// For a tractor.
    pub tractor: Estimate,
}

/// How the field dries under one layout.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Name of the layout.
    pub name: String,
    /// By area.
    pub wet: Vec<Wet>,
    /// With the soil that is worked with.
    pub likely: Drying,
    /// Days with the water table above the depth of the roots in every cell, with that soil; `NaN` beside the land.
    pub map: Option<Arc<Grid>>,
}

/// How the field dries, case beside case.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What was asked.
    pub ask: Ask,
    /// The land that was asked about.
    pub areas: Vec<Area>,
    /// Without drains first, then the present layout, then those put aside.
    pub cases: Vec<Case>,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// What stays in the soil for the vines, in words.
    pub left: Vec<String>,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DryError {
    /// The field cannot be put together.
    #[error("{0}")]
    Field(#[from] FieldError),
    /// No layout has that name.
    #[error("no layout was put aside as '{found}'; expected {expected}")]
    NoLayout {
        /// The name.
        found: String,
        /// The names there are.
        expected: String,
    },
    /// It was given up.
    #[error("stopped before it was worked out")]
    Stopped,
}

/// Works out how the land of a plan dries, in so many threads; the answer is the same with any number.
pub fn dry(worked: &Worked, ask: &Ask, threads: usize, progress: &Progress) -> Result<Answer, DryError> {
    let layouts = layouts(worked, ask)?;
    let plan = &worked.plan;
    let cell_m = Field::cell_for(plan, ask.cells);
    let bare = Field::bare(plan, &worked.land, cell_m)?;
    let areas = areas(worked, &bare);
    let soils = [SoilCase::LIKELY].into_iter().chain(SoilCase::CORNERS);
    let fields = soils.map(|soil| bare.with_soil(plan, soil)).collect::<Result<Vec<_>, _>>()?;
    let runs: Vec<(&Field, Drains)> =
        fields.iter().flat_map(|field| layouts.iter().map(move |(_, drains)| (field, *drains))).collect();
    let question = Question {
        start_depth_m: ask.roots_m,
        depths_m: vec![ask.roots_m, ask.tractor_m],
        days: &ask.days,
        off_m: watertable::STEP_OFF_M,
    };
    let total = runs.len();
    let found = side_by_side(&runs, threads, |number, (field, drains)| {
        let field = match drains {
            Some((plan, design)) => &(*field).clone().with_drains(plan, design),
            None => *field,
        };
        let drying =
            watertable::dry(field, &question, &mut |_, _| match progress.tell(number as f64 / total as f64) {
                true => ControlFlow::Continue(()),
                false => ControlFlow::Break(()),
            });
        drying.ok_or(DryError::Stopped)
    })?;
    let case = |(layout, (name, _)): (usize, &(String, Drains))| {
        let of_layout: Vec<&Drying> = found.iter().skip(layout).step_by(layouts.len()).collect();
        Case {
            name: name.clone(),
            wet: areas.iter().map(|area| wet(&of_layout, area)).collect(),
            likely: of_layout[0].clone(),
            map: map(&bare, &of_layout[0].wet_days[0]).map(Arc::new),
        }
    };
    let cases = layouts.iter().enumerate().map(case).collect();
    Ok(Answer { ask: ask.clone(), areas, cases, cell_m, left: left_words(plan, &bare) })
}

/// Figures of cells as a grid.
fn map(field: &Field, figures: &[f64]) -> Option<Grid> {
    // Days are sums of steps: a millionth short of ten is ten.
    let figure = |cell: usize| if field.is_land[cell] { (figures[cell] + 1e-6) as f32 } else { f32::NAN };
    let levels = (0..field.len()).map(figure).collect();
    let (size, corner) = ((field.cols, field.rows), (field.west_m, field.north_m));
    Grid::new(size, corner, (field.cell_m, field.cell_m), levels).ok()
}

/// A plan and its design; `None` without drains.
type Drains<'a> = Option<(&'a Plan, &'a Design)>;

/// What is looked at side by side.
fn layouts<'a>(worked: &'a Worked, ask: &Ask) -> Result<Vec<(String, Drains<'a>)>, DryError> {
    let mut all = vec![(UNDRAINED.to_string(), None), (AS_NOW.to_string(), Some((&worked.plan, &worked.design)))];
    let others = if ask.layouts.as_ref().is_some_and(Vec::is_empty) { &[] } else { worked.alternatives() };
    for name in ask.layouts.iter().flatten() {
        if !others.iter().any(|(other, _)| other == name) {
            let names: Vec<&str> = others.iter().map(|(name, _)| name.as_str()).collect();
            let expected = if names.is_empty() { "nothing: none was put aside".into() } else { names.join(", ") };
            return Err(DryError::NoLayout { found: name.clone(), expected });
        }
    }
    let is_asked = |name: &String| ask.layouts.as_ref().is_none_or(|names| names.contains(name));
    let asked = others.iter().filter(|(name, _)| is_asked(name));
    all.extend(asked.map(|(name, other)| (name.clone(), Some((&other.plan, &other.design)))));
    Ok(all)
}

/// Does work on every item in so many threads, each by itself; the first error in order of the items is told.
fn side_by_side<T: Sync, R: Send>(
    items: &[T],
    threads: usize,
    work: impl Fn(usize, &T) -> Result<R, DryError> + Sync,
) -> Result<Vec<R>, DryError> {
    let next = std::sync::atomic::AtomicUsize::new(0);
    let done: Vec<std::sync::Mutex<Option<Result<R, DryError>>>> = items.iter().map(|_| None.into()).collect();
    std::thread::scope(|scope| {
        for _ in 0..threads.clamp(1, items.len().max(1)) {
            scope.spawn(|| {
                loop {
                    let number = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                    let Some(item) = items.get(number) else { break };
                    let found = work(number, item);
                    *done[number].lock().unwrap_or_else(std::sync::PoisonError::into_inner) = Some(found);
                }
            });
        }
    });
    let found = done.into_iter().map(|cell| cell.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner));
    found.map(|found| found.unwrap_or(Err(DryError::Stopped))).collect()
}

/// The land that is asked about: marked wet areas, else closed depressions, then the whole field.
fn areas(worked: &Worked, field: &Field) -> Vec<Area> {
    let inside = |ring: &[measure::Point]| -> Vec<usize> {
        field.land().filter(|&cell| ring_holds(ring, field.centre(cell))).collect()
    };
    let mut areas: Vec<Area> = Vec::new();
    for mark in worked.plan.landmarks.values() {
        if let (LandmarkKind::WetArea { .. }, Outline::Around(ring)) = (&mark.kind, &mark.outline) {
            areas.push(Area { name: mark.name.clone(), area_m2: ring_m2(ring).abs(), cells: inside(ring) });
        }
    }
    if areas.is_empty() {
        areas = hollows(worked, field);
    }
    if let Some(whole) = &worked.plan.field {
        let is_left_out = |cell: usize| whole.holes.iter().any(|hole| ring_holds(hole, field.centre(cell)));
        let cells: Vec<usize> = inside(&whole.ring).into_iter().filter(|&cell| !is_left_out(cell)).collect();
        areas.push(Area { name: "the whole field".into(), area_m2: whole.area_m2(), cells });
    }
    areas.retain(|area| !area.cells.is_empty());
    areas
}

/// Closed depressions of the land that lie in the field.
fn hollows(worked: &Worked, field: &Field) -> Vec<Area> {
    let (Some(grid), Some(whole)) = (worked.land.grid(), &worked.plan.field) else { return Vec::new() };
    let depressions = worked.land.depressions.iter().filter(|hollow| ring_holds(&whole.ring, hollow.deepest));
    let area = |(number, hollow): (usize, &terrain::Depression)| {
        let centre = |cell: &u32| grid.centre(*cell as usize % grid.cols(), *cell as usize / grid.cols());
        let mut cells: Vec<usize> = hollow.cells.iter().filter_map(|cell| field.cell_at(centre(cell))).collect();
        cells.sort_unstable();
        cells.dedup();
        cells.retain(|&cell| field.is_land[cell]);
        Area { name: format!("hollow {}", number + 1), area_m2: hollow.area_m2, cells }
    };
    depressions.enumerate().map(area).collect()
}

/// How an area dries: with the likely soil, and the least and most over what is known of it.
fn wet(found: &[&Drying], area: &Area) -> Wet {
    let days = |depth: usize| {
        let of = |drying: &&Drying| drying.days(depth, &area.cells).unwrap_or(0.0);
        let all = found.iter().map(of);
        Estimate {
            low: all.clone().fold(f64::INFINITY, f64::min),
            likely: all.clone().next().unwrap_or(0.0),
            high: all.fold(0.0, f64::max),
        }
    };
    Wet { roots: days(0), tractor: days(1) }
}

/// What stays in the soil when the drains have done their work.
fn left_words(plan: &Plan, field: &Field) -> Vec<String> {
    let middle = field.land().nth(field.land().count() / 2);
    let Some(soil) = middle.and_then(|cell| Soils::of(plan).known(field.centre(cell), 1.0)) else {
        return Vec::new();
    };
    let units = plan.title.units;
    let water = |share: f64| match units.is_metric() {
        true => format!("{} mm in every meter of soil", measure::fixed(share * 1000.0, 0)),
        false => format!("{} in. in every foot of soil", measure::fixed(share * 12.0, 1)),
    };
    let usable = (soil.field_capacity.likely - soil.wilting_point.likely).max(0.0);
    vec![
        format!(
            "Drained soil is not dry soil: pipes take only water that would run out by itself, here about {} ({} to {} % of \
             its volume).",
            water(soil.porosity.likely),
            measure::fixed(soil.porosity.low * 100.0, 0),
            measure::fixed(soil.porosity.high * 100.0, 0)
        ),
        format!(
            "At field capacity about {} stay in a {} ({} to {} %), of which vines can use about {}.",
            water(soil.field_capacity.likely),
            soil.texture.word(),
            measure::fixed(soil.field_capacity.low * 100.0, 0),
            measure::fixed(soil.field_capacity.high * 100.0, 0),
            water(usable)
        ),
    ]
}

/// A range of days as it is told: never more exact than it is known, and never longer than was looked at.
pub fn days_words(days: Estimate, looked: usize) -> String {
    let limit = looked as f64;
    // A table that falls within the last hours is not told apart from one that does not.
    let is_over = |days: f64| days > limit - 0.05;
    let figure = |days: f64| measure::trimmed(measure::round_half_up(days, 1), 0, 1);
    if is_over(days.low) {
        return format!("more than {}", measure::how_many(looked, "day"));
    }
    let high = if is_over(days.high) { format!("more than {looked}") } else { figure(days.high) };
    if figure(days.low) == high {
        return format!("{high} days");
    }
    let likely = if is_over(days.likely) { format!("more than {looked}") } else { figure(days.likely) };
    format!("{} to {high} days, likely {likely}", figure(days.low))
}

impl Answer {
    /// What is told beside every answer.
    pub const ESTIMATE: &'static str = "An estimate: no reckoning of a water table is better than about 25 % in the field, and \
        what is known of the soil is a range. The first figure is for the driest soil of that range, the second for the wettest.";

    /// What the days are days of.
    pub fn meaning(&self, units: Units) -> String {
        format!(
            "Roots are wet while the table stands less than {} down; a tractor can go from {} (our figures, adjustable). Days are those \
             within which nine tenths of an area are dry enough.",
            units.depth(self.ask.roots_m),
            units.depth(self.ask.tractor_m)
        )
    }

    /// Rain in all, metres.
    pub fn rain_m(&self) -> f64 {
        self.ask.days.iter().map(|day| day.rain_m).sum()
    }

    /// The answer as lines of text.
    pub fn lines(&self, units: Units) -> Vec<String> {
        let looked = self.ask.days.len();
        let mut lines = vec![format!(
            "{} of rain, {}; the water table stands {} down when it begins, and the soil above holds what it holds by itself.",
            rain_words(self.rain_m(), units),
            measure::how_many(looked, "day"),
            units.depth(self.ask.roots_m)
        )];
        for (index, area) in self.areas.iter().enumerate() {
            lines.push(String::new());
            lines.push(format!("{} ({})", area.name, units.area(area.area_m2)));
            for case in &self.cases {
                let wet = &case.wet[index];
                lines.push(format!("  {:<24} roots wet {}", case.name, days_words(wet.roots, looked)));
                lines.push(format!("  {:<24} a tractor can go after {}", "", days_words(wet.tractor, looked)));
            }
        }
        lines.push(String::new());
        lines.push(self.meaning(units));
        lines.extend(self.left.iter().cloned());
        lines.push(Self::ESTIMATE.into());
        lines
    }

    /// The same for programs: days, metres, square and cubic metres.
    pub fn json(&self) -> Value {
        let range = |days: Estimate| json!({ "low": days.low, "likely": days.likely, "high": days.high });
        let case = |case: &Case| {
            let wet = |(area, wet): (&Area, &Wet)| {
                json!({
                    "area": area.name, "area_m2": area.area_m2,
                    "roots_wet_days": range(wet.roots), "tractor_after_days": range(wet.tractor),
                })
            };
            let balance = &case.likely.balance;
            json!({
                "name": case.name,
                "areas": self.areas.iter().zip(&case.wet).map(wet).collect::<Vec<_>>(),
                "balance": {
                    "rain_m3": balance.rain_m3, "drained_m3": balance.drained_m3,
                    "evaporated_m3": balance.evaporated_m3, "ran_off_m3": balance.ran_off_m3,
                    "stored_m3": balance.stored_m3, "off": balance.off(),
                },
            })
        };
        json!({
            "caution": format!("{} {}", Self::ESTIMATE, plan::CAUTION),
            "days": self.ask.days.len(), "rain_m": self.rain_m(),
            "roots_m": self.ask.roots_m, "tractor_m": self.ask.tractor_m, "cell_m": self.cell_m,
            "cases": self.cases.iter().map(case).collect::<Vec<_>>(),
            "left_in_the_soil": self.left,
        })
    }
}

/// Rain as it is told: `1.2 in`, `30 mm`.
fn rain_words(rain_m: f64, units: Units) -> String {
    match units.is_metric() {
        true => format!("{} mm", measure::trimmed(measure::round_half_up(rain_m * 1000.0, 1), 0, 1)),
        false => format!("{} in.", measure::trimmed(measure::round_half_up(rain_m / measure::INCH_M, 2), 0, 2)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_told_no_longer_than_they_were_looked_at() {
        let of = |low, likely, high| Estimate { low, likely, high };
        assert_eq!(days_words(of(10.0, 10.0, 10.0), 10), "more than 10 days");
        assert_eq!(days_words(of(1.24, 3.0, 10.0), 10), "1.2 to more than 10 days, likely 3");
        assert_eq!(days_words(of(1.0, 10.0, 10.0), 10), "1 to more than 10 days, likely more than 10");
        assert_eq!(days_words(of(1.0, 2.26, 3.5), 10), "1 to 3.5 days, likely 2.3");
        assert_eq!(days_words(of(2.02, 2.02, 2.02), 10), "2 days");
        assert_eq!(days_words(of(0.0, 0.0, 0.0), 10), "0 days");
        assert_eq!(days_words(of(1.0, 1.0, 1.0), 1), "more than 1 day");
    }

    #[test]
    fn rain_is_told_in_the_unit_of_the_job() {
        assert_eq!(rain_words(0.0508, Units::Feet), "2 in.");
        assert_eq!(rain_words(0.0305, Units::Metric), "30.5 mm");
    }
}
