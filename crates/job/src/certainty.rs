//! How sure a plan is, in words, for programs and for the survey crew.

use std::num::NonZeroUsize;
use std::ops::ControlFlow;

use drawing::wanted_name;
use measure::{Point, Units};
use plan::{LineId, Plan};
use propose::certainty::{Certainty, Chance, Errors, Limit, Move, Place, Sampling, Stated, Whence, moves};
use serde_json::{Value, json};
use sheets::{CrewWork, Paper, PdfError, WantedShot};

use crate::Progress;
use crate::ground::threads;
use crate::worked::Worked;

/// What is told beside all of it.
pub const ESTIMATE: &str = "Chances and costs are estimates, no surer than the errors they are worked out from. Only the ground, \
                            channel bottoms, low water and old tile vary; soil and prices do not.";

/// What is told where no shot is asked for.
pub const NO_SHOT: &str = "No further shot on the ground would settle anything that the ground leaves open.";

/// Samples at most: their figures are good to a thousandth then ([computed]).
pub const MOST_SAMPLES: usize = 100_000;
/// Chances from this up are told line by line.
const TOLD: f64 = 0.01;

/// How sure a plan is, with the errors it was worked out from.
#[derive(Debug)]
pub struct Sure {
    /// Chances, cost and places.
    pub certainty: Certainty,
    /// What was taken to be known.
    pub errors: Errors,
}

/// Why nothing can be said of how sure a plan is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SureError {
    /// Nothing is known of the ground.
    #[error("no ground is known under the plan: nothing can be said of how sure it is")]
    NoGround,
    /// It was given up.
    #[error("stopped before it was worked out")]
    Stopped,
}

/// How sure a plan is.
pub fn sure(worked: &Worked, stated: Stated, samples: NonZeroUsize, progress: &Progress) -> Result<Sure, SureError> {
    progress.step("errors of the ground").map_err(|_| SureError::Stopped)?;
    let errors = Errors::of(&worked.plan, &worked.land, stated).ok_or(SureError::NoGround)?;
    let sampling = Sampling { samples, ..Sampling::usual(threads()) };
    progress.step("drawing the ground").map_err(|_| SureError::Stopped)?;
    let watch = |share: f64| match progress.tell(share) {
        true => ControlFlow::Continue(()),
        false => ControlFlow::Break(()),
    };
    let certainty = propose::certainty::certainty(&worked.plan, &worked.design, &errors, &sampling, &watch);
    Ok(Sure { certainty: certainty.ok_or(SureError::Stopped)?, errors })
}

/// Reads how far the levels of the ground may be off, one standard error, metres; found from the survey where nothing stands there.
pub fn read_accuracy(text: &str, units: Units) -> Result<Stated, String> {
    const MOST_M: f64 = 10.0;
    if text.trim().is_empty() {
        return Ok(Stated::default());
    }
    let read = measure::parse_length(text, units).map_err(|error| error.to_string())?;
    match (0.0..=MOST_M).contains(&read) {
        true => Ok(Stated { ground_m: Some(read) }),
        false => Err(format!("found '{}', expected 0 to {}", text.trim(), units.depth(MOST_M))),
    }
}

/// A chance: "18 of 100", "under 1 of 100", "over 99 of 100".
pub fn of_hundred(chance: f64) -> String {
    match chance * 100.0 {
        low if low < 1.0 => "under 1 of 100".into(),
        high if high > 99.0 => "over 99 of 100".into(),
        other => format!("{other:.0} of 100"),
    }
}

/// What breaking a limit on a line means: "cover thinner than 2.50 ft".
pub fn limit_words(plan: &Plan, line: LineId, limit: Limit) -> String {
    let asked = plan.title.units.depth(limit.asked_m(plan, line));
    match limit {
        Limit::Cover => format!("cover thinner than {asked}"),
        Limit::Depth => format!("pipe shallower than {asked}"),
        Limit::Reach => format!("trench deeper than the machine's {asked}"),
        Limit::Protection => format!("trench deeper than {asked}, to be protected"),
        Limit::Freeboard => format!("outlet less than {asked} above the water"),
        Limit::OldTile => "old tile enters too low".into(),
    }
}

/// What the error of the ground is taken to be, and where that comes from.
pub fn errors_words(plan: &Plan, errors: &Errors) -> String {
    let units = plan.title.units;
    let error = format!("{} (one standard error)", units.amount(errors.ground_m()));
    let shots = |count: usize| measure::how_many(count, "shot");
    let alike = units.length(errors.ground.range_m);
    let ground = match errors.whence {
        Whence::Stated => format!("From place to place the ground is off by {error}, as stated."),
        Whence::Fitted(count) => format!(
            "From place to place the ground is off by {error}, found from {} held against it; errors are alike over {alike}.",
            shots(count)
        ),
        Whence::Scatter(count) => format!(
            "From place to place the ground is off by {error}, by the scatter of {}; that errors are alike over {alike} is assumed.",
            shots(count)
        ),
        Whence::Between(count) => format!(
            "The ground was laid through {}; between them it is taken to be as uneven as those round about are from \
             one another. On real land thinned to a survey, ranges that were to hold 95 of 100 lines held 60 to 97, and mostly fewer limits broke \
             than were said to: take the chances as a ranking.",
            shots(count)
        ),
        Whence::Assumed => format!(
            "From place to place the ground is taken to be off by {error}, a start value of ours: nobody held levels against it. \
             State the accuracy of the grid where it is known."
        ),
    };
    let shift = errors.untold_shift_m().map(|shift_m| {
        format!(
            " As a whole it may sit {} off the benchmarks (one standard error): no shot has told that.",
            units.amount(shift_m)
        )
    });
    ground + &shift.unwrap_or_default()
}

/// Everything in sentences.
pub fn lines(plan: &Plan, sure: &Sure) -> Vec<String> {
    let certainty = &sure.certainty;
    let mut told = vec![errors_words(plan, &sure.errors)];
    told.extend(worst_first(certainty).into_iter().map(|chance| chance_words(plan, chance)));
    told.extend(others_words(certainty));
    told.extend(cost_words(plan, certainty));
    told.extend(certainty.places.iter().enumerate().map(|(i, place)| place_words(plan, certainty, i, place)));
    told.push(ESTIMATE.into());
    told
}

/// The chances that are told line by line, the worst first.
pub fn worst_first(certainty: &Certainty) -> Vec<&Chance> {
    let mut told: Vec<&Chance> = certainty.chances.iter().filter(|chance| chance.chance >= TOLD).collect();
    told.sort_by(|a, b| b.chance.total_cmp(&a.chance));
    told
}

/// How many limits are not told line by line; `None` where all are.
pub fn others_words(certainty: &Certainty) -> Option<String> {
    let others = certainty.chances.iter().filter(|chance| chance.chance < TOLD).count();
    (others > 0).then(|| format!("{}: {} each.", measure::how_many(others, "more limit"), of_hundred(0.0)))
}

fn name(plan: &Plan, line: LineId) -> String {
    plan.lines.get(&line).map_or_else(String::new, |line| line.name.clone())
}

/// A place on a line: "L3 at 2+40".
fn on_line(plan: &Plan, line: LineId, station_m: f64) -> String {
    format!("{} at {}", name(plan, line), measure::station(station_m, plan.title.units))
}

/// Where a limit is kept least as planned: "L3 at 2+40", or the line alone.
pub fn where_words(plan: &Plan, chance: &Chance) -> String {
    match chance.station_m {
        Some(station_m) => on_line(plan, chance.line, station_m),
        None => name(plan, chance.line),
    }
}

/// By how much a limit is kept: "as planned kept by 0.12 ft, likely -0.20 ft to +0.41 ft".
pub fn kept_words(plan: &Plan, chance: &Chance) -> String {
    let units = plan.title.units;
    let kept = units.amount(chance.planned_m.abs());
    let planned = if chance.planned_m < 0.0 { format!("off by {kept}") } else { format!("kept by {kept}") };
    let (low_m, high_m) = chance.kept_m.middle(0.9);
    let [low, high] = [low_m, high_m].map(|value_m| measure::signed(value_m, &units.amount(value_m.abs())));
    format!("as planned {planned}, likely {low} to {high}")
}

/// "L3 at 2+40, cover thinner than 2.50 ft: 31 of 100; as planned kept by 0.12 ft, likely -0.20 ft to +0.41 ft".
fn chance_words(plan: &Plan, chance: &Chance) -> String {
    let (place, what) = (where_words(plan, chance), limit_words(plan, chance.line, chance.limit));
    format!("{place}, {what}: {}; {}", of_hundred(chance.chance), kept_words(plan, chance))
}

/// What it may cost; `None` where the plan has no price for what the ground changes.
pub fn cost_words(plan: &Plan, certainty: &Certainty) -> Option<String> {
    let about =
        |sum: f64| takeoff::with_currency(&plan.price_list.currency, &measure::thousands(measure::estimated(sum), 0));
    let [low, middle, high] = [0.05, 0.5, 0.95].map(|share| certainty.cost.at(share));
    let contingency = "contingency not counted";
    (certainty.planned_cost > 0.0).then(|| match (about(certainty.planned_cost), about(low), about(high)) {
        (planned, low, high) if planned == low && low == high => {
            format!("Costs about {planned}, whatever the ground may be; {contingency}.")
        }
        (planned, low, high) => {
            let middle = about(middle);
            format!("Costs about {planned} as planned, {low} to {high} by what the ground may be (middle {middle}), {contingency}.")
        }
    })
}

fn place_words(plan: &Plan, certainty: &Certainty, i: usize, place: &Place) -> String {
    let (shot, on) = (wanted_name(i), place_name(plan, place));
    let (level, settles) = (level_words(plan, place), settles_words(plan, certainty, place));
    format!("One more shot, {shot}: {on}, ground expected at {level}. It settles {settles}")
}

/// The line and the station of a place: "L3 at 2+40".
pub fn place_name(plan: &Plan, place: &Place) -> String {
    on_line(plan, place.line, place.station_m)
}

/// The level that is expected at a place: "1052.31 give or take 0.20 ft".
pub fn level_words(plan: &Plan, place: &Place) -> String {
    let units = plan.title.units;
    format!("{} give or take {}", units.level(place.level_m), units.amount(place.error_m))
}

/// "L3 cover thinner than 2.50 ft (31 of 100), L4 cover thinner than 2.50 ft (28 of 100)".
pub fn settles_words(plan: &Plan, certainty: &Certainty, place: &Place) -> String {
    let of = |row: &usize| {
        let chance = &certainty.chances[*row];
        let what = limit_words(plan, chance.line, chance.limit);
        format!("{} {what} ({})", name(plan, chance.line), of_hundred(chance.chance))
    };
    place.settles.iter().take(3).map(of).collect::<Vec<_>>().join(", ")
}

/// True for two plans in one coordinate system whose lines lie on land in common, by the boxes round them.
pub fn is_of_one_land(one: &Plan, other: &Plan) -> bool {
    let system = |plan: &Plan| plan.ground.as_ref().map(|ground| ground.crs.clone());
    let land = |plan: &Plan| measure::extent(plan.lines.values().flat_map(|line| line.points.iter().copied()));
    let meet = |((low, high), (from, to)): ((Point, Point), (Point, Point))| {
        low.x <= to.x && from.x <= high.x && low.y <= to.y && from.y <= high.y
    };
    system(one) == system(other) && land(one).zip(land(other)).is_some_and(meet)
}

/// What was learned since moved, those that moved by a hundredth or more, and how much is settled; each with its plan.
pub fn moved_lines((was, before): (&Plan, &Certainty), (plan, after): (&Plan, &Certainty)) -> Vec<String> {
    let moves = moves(before, after);
    let moved = |change: &&Move| change.by() >= 0.01;
    let words = |change: &Move| {
        let said = |chance: Option<f64>| chance.map_or("not there".into(), of_hundred);
        let of = if plan.lines.contains_key(&change.line) { plan } else { was };
        let what = limit_words(of, change.line, change.limit);
        let (before, after) = (said(change.before), said(change.after));
        format!("{}, {what}: {before} before, {after} now", name(of, change.line))
    };
    let mut told: Vec<String> = moves.iter().filter(moved).map(words).collect();
    let [was, is] = [before, after].map(|of| measure::fixed(of.unsettled(), 2));
    told.push(format!("Left open, as the sum of p (1 − p) over all limits: {was} before, {is} now."));
    told
}

/// Everything for programs: metres.
pub fn json(plan: &Plan, sure: &Sure, before: Option<&Sure>) -> Value {
    let certainty = &sure.certainty;
    let ground = &sure.errors.ground;
    json!({
        "name": plan.title.name,
        "estimate": true,
        "samples": certainty.samples,
        "ground_error": {
            "standard_error_m": sure.errors.ground_m(),
            "sill_m2": ground.sill_m2,
            "range_m": ground.range_m,
            "nugget_m2": ground.nugget_m2,
            "shift_m2": ground.shift_m2,
            "told": errors_words(plan, &sure.errors),
        },
        "chances": certainty.chances.iter().map(|chance| chance_json(plan, chance)).collect::<Vec<_>>(),
        "left_open": certainty.unsettled(),
        "cost": {
            "currency": plan.price_list.currency,
            "planned": certainty.planned_cost,
            "low": certainty.cost.at(0.05),
            "middle": certainty.cost.at(0.5),
            "high": certainty.cost.at(0.95),
        },
        "shots": certainty.places.iter().map(|place| place_json(plan, place)).collect::<Vec<_>>(),
        "before": before.map(|before| before_json(plan, &before.certainty, certainty)),
        "told": ESTIMATE,
        "caution": plan::CAUTION,
    })
}

fn place_json(plan: &Plan, place: &Place) -> Value {
    json!({
        "x_m": place.at.x,
        "y_m": place.at.y,
        "line": name(plan, place.line),
        "station_m": place.station_m,
        "level_m": place.level_m,
        "error_m": place.error_m,
        "settles": place.falls,
    })
}

fn before_json(plan: &Plan, before: &Certainty, after: &Certainty) -> Value {
    let row = |change: &Move| {
        json!({
            "line": name(plan, change.line), "limit": change.limit.name(), "before": change.before, "after": change.after,
        })
    };
    json!({
        "left_open": before.unsettled(),
        "chances": moves(before, after).iter().map(row).collect::<Vec<_>>(),
    })
}

fn chance_json(plan: &Plan, chance: &Chance) -> Value {
    json!({
        "line": name(plan, chance.line),
        "limit": chance.limit.name(),
        "check": chance.limit.check(),
        "chance": chance.chance,
        "planned_m": chance.planned_m,
        "station_m": chance.station_m,
        "low_m": chance.kept_m.at(0.05),
        "middle_m": chance.kept_m.at(0.5),
        "high_m": chance.kept_m.at(0.95),
    })
}

/// The page for the survey crew as PDF.
pub fn crew_pdf(worked: &Worked, sure: &Sure, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let plan = &worked.plan;
    let shot = |(i, place): (usize, &Place)| WantedShot {
        name: wanted_name(i),
        at: place.at,
        on: place_name(plan, place),
        expected: level_words(plan, place),
        settles: settles_words(plan, &sure.certainty, place),
    };
    let shots: Vec<WantedShot> = sure.certainty.places.iter().enumerate().map(shot).collect();
    let what = match shots.is_empty() {
        true => NO_SHOT,
        false => {
            "One more shot at each of these places would settle most of what the ground leaves open, the first most of all. Shoot \
             the ground itself, from the benchmark of the job, and enter the levels as a batch of the survey."
        }
    };
    let told = [what.to_string(), errors_words(plan, &sure.errors), ESTIMATE.to_string()];
    let reference = exchange::reference(plan);
    let work = CrewWork { plan, reference: &reference, told: &told, shots: &shots, paper };
    sheets::pdf(&sheets::crew_book(&work), &|_| true)
}

#[cfg(test)]
mod tests {
    use plan::{Line, LineKind};

    use super::*;

    fn with_line(from: Point, to: Point) -> Plan {
        let mut plan = Plan::new("Piece", Units::Feet);
        plan.lines.insert(LineId(1), Line::new("L1", LineKind::Lateral, vec![from, to]));
        plan
    }

    #[test]
    fn plans_are_of_one_land_where_their_lines_meet() {
        let (corner, middle, end) = (Point::new(0.0, 0.0), Point::new(50.0, 60.0), Point::new(100.0, 90.0));
        let (one, grown, far) = (
            with_line(corner, middle),
            with_line(corner, end),
            with_line(Point::new(900.0, 0.0), Point::new(950.0, 60.0)),
        );
        assert!(is_of_one_land(&one, &grown) && !is_of_one_land(&one, &far));
        assert!(!is_of_one_land(&one, &Plan::new("Bare", Units::Feet)), "no line, no land");
    }
}
