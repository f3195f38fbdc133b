//! `drainwright water`: where water goes on the ground of a plan; ditches and culverts that the ground file hides.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use land::Land;
use measure::{Point, Units};
use plan::{Plan, Watercourse, WatercourseKind};
use serde_json::{Value, json};
use terrain::{BreachLimits, Depression, Grid, Water};

use super::{CliError, OpenPlan, say, say_json};
use job::ground::threads;

/// A bank that is cut through on trial may be so many cells thick (own choice: a road with its verges on a 1 m grid).
const BANK_CELLS: usize = 60;

const EXAMPLE: &str = "A place is given as E,N in the ground's own unit; a course as its points with spaces between. What is \
drawn is saved with the plan, its former state kept as a backup.\n\nExamples:\n  drainwright water block.drain\n  \
drainwright water block.drain --at 203210,96100\n  \
drainwright water block.drain --culvert \"203180,96095 203204,96097\"";

/// Arguments of `water`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct WaterVerb {
    /// Plan file.
    plan: PathBuf,
    /// Tell what drains to a place and the flow path from it.
    #[arg(long, value_name = "E,N", allow_hyphen_values = true)]
    at: Vec<String>,
    /// Draw a culvert from one end to the other.
    #[arg(long, value_name = "COURSE", allow_hyphen_values = true)]
    culvert: Vec<String>,
    /// Draw a ditch along its course.
    #[arg(long, value_name = "COURSE", allow_hyphen_values = true)]
    ditch: Vec<String>,
    /// Tell what would change if water cut through banks up to so deep (2ft, 0.5m): where a culvert may be missing.
    #[arg(long, value_name = "DEPTH")]
    cut_banks: Option<String>,
    /// Print JSON.
    #[arg(long)]
    json: bool,
}

/// Draws what is asked for, then tells where water goes.
pub fn run(verb: &WaterVerb) -> Result<ExitCode, CliError> {
    let draws = verb.culvert.len() + verb.ditch.len() > 0;
    let mut open = super::open_to(&verb.plan, draws)?;
    if open.land.ground.is_none() {
        return Err(CliError::Argument("no ground is read, so no water runs on it".into()));
    }
    draw(&mut open.plan, verb)?;
    if draws {
        open.source.save(&open.plan)?;
    }
    tell(verb, &open)?;
    Ok(ExitCode::SUCCESS)
}

fn draw(plan: &mut Plan, verb: &WaterVerb) -> Result<(), CliError> {
    let culverts = verb.culvert.iter().map(|text| (WatercourseKind::Culvert, text));
    let ditches = verb.ditch.iter().map(|text| (WatercourseKind::Ditch, text));
    for (kind, text) in culverts.chain(ditches) {
        let points = text.split_whitespace().map(|text| super::place(plan, text)).collect::<Result<_, _>>();
        let points = points.map_err(CliError::Argument)?;
        let name = plan.free_name(kind.stem());
        let (_, edit) = plan::add_watercourse(plan, Watercourse { name, kind, points });
        plan.apply(&edit)?;
        say(format_args!("Drawn: {}", edit.label));
    }
    Ok(())
}

fn tell(verb: &WaterVerb, open: &OpenPlan) -> Result<(), CliError> {
    let worked = super::work_out(open);
    let land = &worked.land;
    let (Some(grid), Some(water)) = (land.grid(), land.water.as_deref()) else { return Ok(()) };
    let units = open.plan.title.units;
    let mut answers = vec![whole((grid, water), land, &open.plan)];
    for text in &verb.at {
        let at = super::place(&open.plan, text).map_err(CliError::Argument)?;
        answers.push(place(grid, water, at, text));
    }
    if let Some(depth) = &verb.cut_banks {
        let most_cut_m = measure::parse_length(depth, units).map_err(|e| CliError::Argument(e.to_string()))?;
        if most_cut_m < 0.0 {
            return Err(CliError::Argument(format!(
                "--cut-banks: found '{depth}', expected a depth of zero or more"
            )));
        }
        answers.push(cut_banks(grid, &land.depressions, most_cut_m));
    }
    if verb.json {
        let all = json!({ "answers": answers, "caution": plan::CAUTION });
        say_json(&all)?;
    } else {
        answers.iter().for_each(|answer| say(in_words(answer, units)));
        say(plan::CAUTION_SHORT);
    }
    Ok(())
}

fn whole((grid, water): (&Grid, &Water), land: &Land, plan: &Plan) -> Value {
    let known = grid.levels().iter().filter(|level| !level.is_nan()).count();
    let most = water.cells_uphill().iter().max().copied().unwrap_or(0);
    json!({
        "what": "ground",
        "cells": known,
        "area_m2": known as f64 * grid.cell_area_m2(),
        "largest_area_that_drains_to_one_cell_m2": f64::from(most) * grid.cell_area_m2(),
        "swales": land.swales.len(),
        "closed_depressions": land.depressions.len(),
        "water_they_hold_m3": land.depressions.iter().map(|d| d.volume_m3).sum::<f64>(),
        "ditches_and_culverts": plan.watercourses.len(),
    })
}

fn place(grid: &Grid, water: &Water, at: Point, text: &str) -> Value {
    let way = water.path_from(grid, at);
    json!({
        "what": "place",
        "at": text,
        "area_that_drains_here_m2": water.uphill_area_m2(grid, at),
        "way_of_a_drop_m": measure::path_length(&way),
        "way_ends_at": way.last().map(|end| [end.x, end.y]),
    })
}

/// What would change if every bank no deeper than that let water through.
fn cut_banks(grid: &Grid, depressions: &[Depression], most_cut_m: f64) -> Value {
    let cut = Water::with_threads(&grid.breached(BreachLimits { most_cut_m, most_cells: BANK_CELLS }), threads());
    let left = depressions.iter().filter(|d| {
        grid.cell_at(d.deepest).is_some_and(|(col, row)| {
            let cell = row * grid.cols() + col;
            f64::from(cut.filled()[cell] - grid.level(col, row)) > 0.5 * d.depth_m
        })
    });
    json!({ "what": "banks cut", "deepest_cut_m": most_cut_m, "closed_depressions_left": left.count() })
}

fn in_words(answer: &Value, units: Units) -> String {
    let number = |name: &str| answer[name].as_f64().unwrap_or(0.0);
    match answer["what"].as_str() {
        Some("place") => match answer["area_that_drains_here_m2"].as_f64() {
            None => format!("{}: no ground there", answer["at"].as_str().unwrap_or("")),
            Some(area_m2) => format!(
                "{}: {} drain to here; flow path {} to the edge of the ground",
                answer["at"].as_str().unwrap_or(""),
                units.area(area_m2),
                units.length(number("way_of_a_drop_m"))
            ),
        },
        Some("banks cut") => format!(
            "With banks cut up to {}: {} closed depressions stay",
            units.depth(number("deepest_cut_m")),
            answer["closed_depressions_left"]
        ),
        _ => format!(
            "Ground: {} cells, {}; at most {} drain to one cell\nSwales: {}\nClosed depressions: {}, holding {}\nDitches \
             and culverts: {}",
            answer["cells"],
            units.area(number("area_m2")),
            units.area(number("largest_area_that_drains_to_one_cell_m2")),
            answer["swales"],
            answer["closed_depressions"],
            units.volume(number("water_they_hold_m3")),
            answer["ditches_and_culverts"]
        ),
    }
}
