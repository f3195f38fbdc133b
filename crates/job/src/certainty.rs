//! How sure a plan is, in words, for programs and for the survey crew.

use std::num::NonZeroUsize;

use plan::{LineId, Plan};
use propose::certainty::{Certainty, Chance, Errors, Move, Place, Sampling, Stated, Whence, moves};
use serde_json::{Value, json};
use sheets::{CrewWork, Paper, PdfError, WantedShot};

use crate::ground::threads;
use crate::worked::Worked;

/// What is told beside all of it.
pub const ESTIMATE: &str = "Chances and costs are estimates, no surer than the errors they are worked out from. Only the ground, \
                            channel bottoms, low water and old tile vary; soil and prices do not.";

/// Samples at most: their figures are good to a thousandth then ([computed]).
pub const MOST_SAMPLES: usize = 100_000;
/// Chances from this up, and as far from certain, are told line by line.
const TOLD: f64 = 0.01;

/// How sure a plan is, with the errors it was worked out from.
#[derive(Debug)]
pub struct Sure {
    /// Chances, cost and places.
    pub certainty: Certainty,
    /// What was taken to be known.
    pub errors: Errors,
}

/// How sure a plan is; `None` where no ground is known.
pub fn sure(worked: &Worked, stated: Stated, samples: NonZeroUsize) -> Option<Sure> {
    let errors = Errors::of(&worked.plan, &worked.land, stated)?;
    let sampling = Sampling { samples, ..Sampling::usual(threads()) };
    let certainty = propose::certainty::certainty(&worked.plan, &worked.design, &errors, &sampling);
    Some(Sure { certainty, errors })
}

/// A chance: "50 %", "under 1 %", "over 99 %".
pub fn percent(chance: f64) -> String {
    match chance * 100.0 {
        low if low < 1.0 => "under 1 %".into(),
        high if high > 99.0 => "over 99 %".into(),
        other => format!("{other:.0} %"),
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
            "The ground was laid through {}; between them it is taken to be as uneven as they are from one another. On real land \
             thinned to a survey fewer limits broke than were said to, and the ranges were too narrow: take the chances as a ranking.",
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
    let open = open(certainty);
    let settled = certainty.chances.len() - open.len();
    told.extend(open.iter().map(|chance| chance_words(plan, chance)));
    told.push(format!("{} kept or broken almost surely.", measure::how_many(settled, "limit")));
    told.extend(cost_words(plan, certainty));
    told.extend(certainty.places.iter().enumerate().map(|(i, place)| place_words(plan, certainty, i, place)));
    told.push(ESTIMATE.into());
    told
}

/// The chances that are neither near nothing nor near certain, the least settled first.
pub fn open(certainty: &Certainty) -> Vec<&Chance> {
    let is_open = |chance: &&Chance| (TOLD..=1.0 - TOLD).contains(&chance.chance);
    let mut open: Vec<&Chance> = certainty.chances.iter().filter(is_open).collect();
    open.sort_by(|a, b| b.unsettled().total_cmp(&a.unsettled()));
    open
}

fn name(plan: &Plan, line: LineId) -> String {
    plan.lines.get(&line).map_or_else(String::new, |line| line.name.clone())
}

/// "L3 at 2+40: 31 % too little cover, 0.12 ft more than asked for as planned".
pub fn chance_words(plan: &Plan, chance: &Chance) -> String {
    let units = plan.title.units;
    let at = chance.station_m.map(|at| format!(" at {}", measure::station(at, units))).unwrap_or_default();
    let kept = units.amount(chance.planned_m.abs());
    let planned = if chance.planned_m < 0.0 { format!("off by {kept}") } else { format!("kept by {kept}") };
    let (low_m, high_m) = chance.kept_m.middle(0.9);
    let range = [low_m, high_m].map(|value_m| measure::signed(value_m, &units.amount(value_m.abs())));
    let (line, what) = (name(plan, chance.line), chance.limit.words());
    format!(
        "{line}{at}: {} {what}; as planned {planned}, likely {} to {}",
        percent(chance.chance),
        range[0],
        range[1]
    )
}

/// What it may cost; `None` where the plan has no price for what the ground changes.
fn cost_words(plan: &Plan, certainty: &Certainty) -> Option<String> {
    let about =
        |sum: f64| takeoff::with_currency(&plan.price_list.currency, &measure::thousands(measure::estimated(sum), 0));
    let [low, middle, high] = [0.05, 0.5, 0.95].map(|share| certainty.cost.at(share));
    (certainty.planned_cost > 0.0).then(|| {
        format!(
            "Costs about {} as planned, {} to {} by what the ground may be (middle {}), contingency not counted.",
            about(certainty.planned_cost),
            about(low),
            about(high),
            about(middle)
        )
    })
}

fn place_words(plan: &Plan, certainty: &Certainty, i: usize, place: &Place) -> String {
    format!(
        "One more shot, S{}: {} at {}, ground expected at {}. It settles {}",
        i + 1,
        name(plan, place.line),
        measure::station(place.station_m, plan.title.units),
        level_words(plan, place),
        settles_words(plan, certainty, place)
    )
}

fn level_words(plan: &Plan, place: &Place) -> String {
    let units = plan.title.units;
    format!("{} give or take {}", units.level(place.level_m), units.amount(place.error_m))
}

/// "L3 too little cover (31 %), L4 too little cover (28 %)".
fn settles_words(plan: &Plan, certainty: &Certainty, place: &Place) -> String {
    let of = |row: &usize| {
        let chance = &certainty.chances[*row];
        format!("{} {} ({})", name(plan, chance.line), chance.limit.words(), percent(chance.chance))
    };
    place.settles.iter().take(3).map(of).collect::<Vec<_>>().join(", ")
}

/// What more shots moved, those that moved by a hundredth or more, and how much is settled.
pub fn moved_lines(plan: &Plan, before: &Certainty, after: &Certainty) -> Vec<String> {
    let moves = moves(before, after);
    let moved = |change: &&Move| change.by() >= 0.01;
    let words = |change: &Move| {
        let said = |chance: Option<f64>| chance.map_or("not there".into(), percent);
        let (before, after) = (said(change.before), said(change.after));
        format!("{}: {} {before} before, {after} now", name(plan, change.line), change.limit.words())
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
    let moved = |before: &Sure| {
        let row = |change: &Move| {
            json!({
                "line": name(plan, change.line), "limit": change.limit.name(), "before": change.before, "after": change.after,
            })
        };
        json!({
            "left_open": before.certainty.unsettled(),
            "chances": moves(&before.certainty, certainty).iter().map(row).collect::<Vec<_>>(),
        })
    };
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
        "shots": certainty.places.iter().map(|place| json!({
            "x_m": place.at.x,
            "y_m": place.at.y,
            "line": name(plan, place.line),
            "station_m": place.station_m,
            "level_m": place.level_m,
            "error_m": place.error_m,
            "settles": place.falls,
        })).collect::<Vec<_>>(),
        "before": before.map(moved),
        "told": ESTIMATE,
        "caution": plan::CAUTION,
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
        name: format!("S{}", i + 1),
        at: place.at,
        on: format!("{} at {}", name(plan, place.line), measure::station(place.station_m, plan.title.units)),
        expected: level_words(plan, place),
        settles: settles_words(plan, &sure.certainty, place),
    };
    let shots: Vec<WantedShot> = sure.certainty.places.iter().enumerate().map(shot).collect();
    let what = match shots.is_empty() {
        true => "No further shot on the ground would settle anything that the ground leaves open.",
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
