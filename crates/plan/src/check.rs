//! What must always hold of a plan; the door through which every edit and every file goes.

use measure::Point;

use crate::{
    Brief, Correction, Hold, Joins, Line, LineId, LineKind, Outlet, OutletId, Plan, Prices, Remedy, Served,
    SurveyBook, Watercourse, WatercourseId, is_date,
};

/// Coordinates and levels beyond this many metres are no place on earth.
const FARTHEST_M: f64 = 1e8;
/// Levels outside ±12 km are no ground.
const HIGHEST_M: f64 = 12_000.0;
/// Largest area a line drains, square metres: a thousand square kilometres.
const LARGEST_M2: f64 = 1e9;
/// Most water that can be asked to leave, m/s: a metre a day.
const WETTEST_MS: f64 = 1.0 / 86_400.0;
/// Points a single line or ring may have.
const MOST_POINTS: usize = 100_000;

/// Why a plan or an edit was refused: where, what was found, what was expected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: found {found}, expected {expected}")]
pub struct PlanError {
    /// The part of the plan.
    pub place: String,
    /// What stands there.
    pub found: String,
    /// What could stand there.
    pub expected: &'static str,
}

fn refuse(place: impl Into<String>, found: impl ToString, expected: &'static str) -> Result<(), PlanError> {
    Err(PlanError { place: place.into(), found: found.to_string(), expected })
}

impl Plan {
    /// Holds the whole plan against its invariants and names the first that is broken.
    pub fn validate(&self) -> Result<(), PlanError> {
        if let Some(field) = &self.field {
            for ring in field.rings() {
                points("the field's boundary", ring, 3)?;
            }
        }
        self.outlets.iter().try_for_each(|(id, outlet)| self.outlet_holds(*id, outlet))?;
        self.lines.iter().try_for_each(|(id, line)| self.line_holds(*id, line))?;
        survey(&self.survey)?;
        self.watercourses.iter().try_for_each(|(id, watercourse)| self.watercourse_holds(*id, watercourse))?;
        brief(&self.brief)?;
        prices(&self.prices)?;
        let roughness = &self.criteria.roughness;
        let all = [
            roughness.corrugated_to_8_in,
            roughness.corrugated_to_12_in,
            roughness.corrugated_larger,
            roughness.smooth,
        ];
        all.into_iter().try_for_each(|n| within("the job's limits", "roughness", n, (0.005, 0.1)))?;
        for (name, value) in self.criteria.named() {
            if !(0.0..=1000.0).contains(&value) {
                return refuse(format!("limit {name}"), value, "a number from 0 to 1000");
            }
        }
        Ok(())
    }

    fn outlet_holds(&self, id: OutletId, outlet: &Outlet) -> Result<(), PlanError> {
        let place = format!("outlet {}", outlet.name);
        self.id_holds(&place, id.0)?;
        points(&place, &[outlet.at], 1)?;
        let levels = [Some(outlet.invert_m), outlet.channel_bottom_m, outlet.low_water_m, outlet.flood_m];
        levels.into_iter().flatten().try_for_each(|level_m| level(&place, level_m))?;
        if !(0.0..=1000.0).contains(&outlet.outlet_pipe_m) {
            return refuse(place, outlet.outlet_pipe_m, "an outlet pipe of 0 to 1000 m");
        }
        Ok(())
    }

    fn line_holds(&self, id: LineId, line: &Line) -> Result<(), PlanError> {
        let place = format!("line {}", line.name);
        self.id_holds(&place, id.0)?;
        points(&place, &line.points, 2)?;
        if line.length_m() < 1e-3 {
            return refuse(place, "all points in one place", "a line with some length");
        }
        if !(0.02..=2.0).contains(&line.size_m) {
            return refuse(place, format!("size {} m", line.size_m), "a pipe of 0.02 to 2 m");
        }
        let known = match line.joins {
            Joins::Nothing => true,
            Joins::Outlet(outlet) => self.outlets.contains_key(&outlet),
            Joins::Line(other) => other != id && self.lines.contains_key(&other),
        };
        if !known {
            return refuse(place, format!("{:?}", line.joins), "a joint with another line or an outlet of the plan");
        }
        pins(&place, line)?;
        laying(&place, line)
    }

    fn watercourse_holds(&self, id: WatercourseId, watercourse: &Watercourse) -> Result<(), PlanError> {
        let place = format!("{} {}", watercourse.kind.word(), watercourse.name);
        self.id_holds(&place, id.0)?;
        points(&place, &watercourse.points, 2)
    }

    fn id_holds(&self, place: &str, id: u32) -> Result<(), PlanError> {
        if id >= self.next_id {
            return refuse(place, format!("id {id}"), "an id below the plan's next one");
        }
        Ok(())
    }
}

fn points(place: &str, points: &[Point], least: usize) -> Result<(), PlanError> {
    if points.len() < least || points.len() > MOST_POINTS {
        return refuse(place, format!("{} points", points.len()), "2 to 100,000 points (3 or more for a boundary)");
    }
    match points.iter().find(|p| !(p.x.abs() <= FARTHEST_M && p.y.abs() <= FARTHEST_M)) {
        Some(p) => refuse(place, format!("({}, {})", p.x, p.y), "coordinates within 100,000 km"),
        None => Ok(()),
    }
}

fn level(place: &str, level_m: f64) -> Result<(), PlanError> {
    if level_m.abs() <= HIGHEST_M {
        return Ok(());
    }
    refuse(place, format!("level {level_m} m"), "a level within 12,000 m of zero")
}

fn survey(book: &SurveyBook) -> Result<(), PlanError> {
    for benchmark in &book.benchmarks {
        let place = format!("benchmark {}", benchmark.name);
        points(&place, &[benchmark.at], 1)?;
        level(&place, benchmark.level_m)?;
    }
    for run in &book.loops {
        let place = format!("level loop {}", run.name);
        [run.known_m, run.carried_m].into_iter().try_for_each(|level_m| level(&place, level_m))?;
        if !(0.0..=FARTHEST_M).contains(&run.length_m) {
            return refuse(place, format!("length {} m", run.length_m), "a length from 0 to 100,000 km");
        }
    }
    let taken =
        book.batches.iter().filter_map(|(name, facts)| Some((format!("batch {name}"), facts.date.as_deref()?)));
    taken
        .chain(book.earthwork.as_deref().map(|day| ("earthwork".into(), day)))
        .try_for_each(|(place, day)| date(place, day))?;
    book.corrections.iter().enumerate().try_for_each(|(i, correction)| correction_holds(i + 1, correction))
}

/// A correction moves levels by a sensible amount and says who, when and why.
fn correction_holds(number: usize, correction: &Correction) -> Result<(), PlanError> {
    let place = format!("survey correction {number}");
    if let Remedy::Shift { by_m, .. }
    | Remedy::ShiftLidar { by_m }
    | Remedy::Raise { by_m, .. }
    | Remedy::Keep { off_m: by_m, .. } = correction.what
    {
        level(&place, by_m)?;
    }
    for (what, text) in [("name", &correction.signed.by), ("reason", &correction.signed.because)] {
        if text.trim().is_empty() || text.len() > 500 {
            return refuse(place, format!("no {what} that can be kept"), "a name and a reason of 1 to 500 letters");
        }
    }
    date(place, &correction.signed.on)
}

fn date(place: String, day: &str) -> Result<(), PlanError> {
    if is_date(day) { Ok(()) } else { refuse(place, format!("the date '{day}'"), "a date as YYYY-MM-DD") }
}

/// Numbers a person typed for a line lie where they mean something.
fn laying(place: &str, line: &Line) -> Result<(), PlanError> {
    let length_m = line.length_m() + 1e-6;
    let stations = (line.reaches.iter().flat_map(|reach| [reach.from_m, reach.to_m]))
        .chain(line.passes.iter().map(|pass| pass.station_m))
        .chain(line.structures.iter().map(|structure| structure.station_m));
    stations.into_iter().try_for_each(|station_m| within(place, "station", station_m, (0.0, length_m)))?;
    if line.reaches.iter().any(|reach| reach.to_m <= reach.from_m)
        || line.reaches.windows(2).any(|pair| pair[1].from_m < pair[0].to_m - 1e-6)
    {
        return refuse(place, "reaches that overlap or have no length", "reaches one after the other");
    }
    for reach in &line.reaches {
        match reach.hold {
            Hold::Grade(grade) => within(place, "grade of a reach", grade, (-1.0, 1.0))?,
            Hold::Depth(depth_m) => within(place, "depth of a reach", depth_m, (0.0, 30.0))?,
        }
    }
    for pass in &line.passes {
        level(place, pass.level_m)?;
        within(place, "clear distance", pass.clear_m, (0.0, 30.0))?;
    }
    let catching = line.structures.iter().filter_map(|structure| structure.kind.catching());
    for catching in catching {
        within(place, "area of an inlet", catching.area_m2, (0.0, LARGEST_M2))?;
        within(place, "coefficient of an inlet", catching.coefficient_ms.unwrap_or(0.0), (0.0, WETTEST_MS))?;
    }
    match line.served {
        Served::Width(width_m) => within(place, "width of the strip", width_m, (0.0, 10_000.0))?,
        Served::Area(area_m2) => within(place, "area", area_m2, (0.0, LARGEST_M2))?,
        Served::Strip | Served::Catchment | Served::Carrier => {}
    }
    if let LineKind::OldTile(old) = line.kind {
        within(place, "area above the old tile", old.upstream_m2.unwrap_or(0.0), (0.0, LARGEST_M2))?;
    }
    within(place, "roughness", line.roughness_n.unwrap_or(0.015), (0.005, 0.1))?;
    within(place, "seepage", line.seepage_m3s, (0.0, 1_000.0))?;
    within(place, "drop at the joint", line.drop_m.unwrap_or(0.0), (0.0, 30.0))
}

fn brief(brief: &Brief) -> Result<(), PlanError> {
    within("the brief", "drainage coefficient", brief.coefficient_ms(), (0.0, WETTEST_MS))?;
    within("the brief", "served distance", brief.served_m, (0.0, 1_000.0))
}

/// Prices are numbers, and digging gets no cheaper with depth: only then is there one best grade line.
fn prices(prices: &Prices) -> Result<(), PlanError> {
    let place = "the prices";
    let (digging, pipe) = (&prices.digging, &prices.pipe);
    let numbers = (digging.iter().flat_map(|band| [band.from_m, band.per_m2]))
        .chain(pipe.iter().flat_map(|pipe| [pipe.size_m, pipe.per_m]))
        .chain([prices.missing_depth_per_m2, prices.missing_rise_per_m]);
    numbers.into_iter().try_for_each(|number| within(place, "price or depth", number, (0.0, 1e6)))?;
    within(place, "margin", prices.margin, (0.0, 10.0))?;
    if digging.windows(2).any(|pair| pair[1].from_m <= pair[0].from_m || pair[1].per_m2 < pair[0].per_m2) {
        return refuse(place, "digging that gets cheaper with depth", "depths and prices of digging that rise");
    }
    if pipe.windows(2).any(|pair| pair[1].size_m <= pair[0].size_m) {
        return refuse(place, "sizes of pipe out of order", "sizes of pipe that rise");
    }
    Ok(())
}

fn within(place: &str, what: &str, number: f64, (least, most): (f64, f64)) -> Result<(), PlanError> {
    if (least..=most).contains(&number) {
        return Ok(());
    }
    refuse(place, format!("{what} {number}"), "a number that a field can have")
}

fn pins(place: &str, line: &Line) -> Result<(), PlanError> {
    for pin in &line.pins {
        level(place, pin.invert_m)?;
        if !(0.0..=line.length_m() + 1e-6).contains(&pin.station_m) {
            return refuse(place, format!("fixed level at {} m", pin.station_m), "a station on the line");
        }
    }
    if line.pins.windows(2).any(|pair| pair[1].station_m <= pair[0].station_m) {
        return refuse(place, "fixed levels out of order", "rising stations, each once");
    }
    Ok(())
}
