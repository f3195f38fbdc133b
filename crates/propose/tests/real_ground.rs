//! Real ground thinned to a survey: planned on the thin one, judged on the full one. Read from `../shared/terrain`, skipped where it
//! is not at hand.

#![allow(clippy::unwrap_used, reason = "tests may stop the test")]
#![allow(clippy::print_stdout, reason = "the table is read by a person")]

mod common;

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;

use common::Chancy;
use design::{Design, work_out};
use land::{Land, Laying, Sources};
use measure::{LengthUnit, Point, Units};
use plan::{GroundRef, Line, LineKind, Plan, SurveyBook};
use propose::certainty::{Errors, Limit, Sampling, Stated, certainty};
use terrain::{Grid, Ground, Profile, RawShot, Surface};

/// Real grounds that are thinned.
const GROUNDS: [&str; 4] = ["ia_slope_s_3m.tif", "ia_patches_h_3m.tif", "slo_hills_1m.tif", "at_hoal_10m.tif"];
/// Lines that are drawn on each, and how long they are, metres.
const LINES: usize = 60;
const LENGTH_M: f64 = 150.0;

fn full(file: &str) -> Option<Grid> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain/dem").join(file);
    if !path.exists() {
        println!("{file} is not at hand: skipped");
        return None;
    }
    let options = exchange::ReadOptions { vertical_unit: Some(LengthUnit::Metre), ..Default::default() };
    match exchange::read_ground(&path, &options).unwrap().surface {
        Surface::Grid(grid) => Some(grid),
        _ => None,
    }
}

/// Levels every so many metres, each moved aside by up to a third of that.
fn thinned(grid: &Grid, apart_m: f64, chance: &mut Chancy) -> Vec<RawShot> {
    let (low, high) = grid.extent();
    let (cols, rows) = (((high.x - low.x) / apart_m) as usize, ((high.y - low.y) / apart_m) as usize);
    let mut found = Vec::new();
    for cell in 0..cols * rows {
        let mut aside = || apart_m * (0.5 + 0.66 * (chance.uniform() - 0.5));
        let at = Point::new(
            low.x + (cell % cols) as f64 * apart_m + aside(),
            low.y + (cell / cols) as f64 * apart_m + aside(),
        );
        let Some(level_m) = grid.elevation(at) else { continue };
        found.push(RawShot { at, level_m, name: None, code: None, batch: None, line: cell + 1 });
    }
    found
}

/// The land that a survey makes.
fn surveyed(shots: Vec<RawShot>) -> Land {
    let metre = LengthUnit::Metre;
    let reference: GroundRef = serde_json::from_value(serde_json::json!({
        "file": "thin.csv", "crs": "", "horizontal_unit": "m", "vertical_unit": "m", "datum": "",
    }))
    .unwrap();
    let (mut sources, book) = (Sources::default(), SurveyBook::default());
    sources.take_own(Surface::Shots(shots), &reference, &book);
    Land::lay(sources, None, metre, &book, &Laying::PLAIN).unwrap()
}

/// Lines here and there that fall to their lower end, where both grounds are known.
fn plan(thin: &Ground, full: &Grid, chance: &mut Chancy) -> Plan {
    let mut plan = Plan::new("Thinned", Units::Metric);
    let (low, high) = full.extent();
    for tried in 0..200 * LINES {
        if plan.lines.len() == LINES {
            break;
        }
        let from =
            Point::new(low.x + (high.x - low.x) * chance.uniform(), low.y + (high.y - low.y) * chance.uniform());
        let turn = std::f64::consts::TAU * chance.uniform();
        let to = Point::new(from.x + LENGTH_M * turn.cos(), from.y + LENGTH_M * turn.sin());
        let known = |k: u32| {
            let at = measure::along(from, to, f64::from(k) / 30.0);
            thin.elevation(at).zip(full.elevation(at))
        };
        let is_known = (0..=30).all(|k| known(k).is_some());
        let falls = thin.elevation(to).zip(thin.elevation(from)).is_some_and(|(to, from)| to > from + 0.3);
        if is_known && falls {
            let line = Line::new(&format!("L{tried}"), LineKind::Lateral, vec![from, to]);
            let (_, edit) = plan::add_line(&plan, line);
            plan.apply(&edit).unwrap();
        }
    }
    plan
}

/// The design on the full ground, its levels as they were.
fn on_full(plan: &Plan, design: &Design, full: &Ground) -> Design {
    let mut design = design.clone();
    for (id, line) in &mut design.lines {
        line.lay_on(Arc::new(Profile::along(full, &plan.lines[id].points)));
    }
    design
}

/// What was promised, and what came, over all lines of a ground.
#[derive(Default)]
struct Judged {
    within: [usize; 3],
    of: usize,
    promised: f64,
    broken: usize,
}

fn judge(grid: &Grid, apart_m: f64) -> Judged {
    let mut chance = Chancy(7);
    let land = surveyed(thinned(grid, apart_m, &mut chance));
    let thin = land.ground.clone().unwrap();
    let plan = plan(&thin, grid, &mut chance);
    let design = work_out(&plan, &land);
    let errors = Errors::of(&plan, &land, Stated::default()).unwrap();
    let sure = certainty(&plan, &design, &errors, &Sampling::usual(2), &|_| ControlFlow::Continue(())).unwrap();
    let truth = on_full(&plan, &design, &Ground::from_grid(grid.clone()));
    let mut judged = Judged::default();
    for row in sure.chances.iter().filter(|row| row.limit == Limit::Cover) {
        let Some(least) = truth.lines[&row.line].least_cover() else { continue };
        let kept_m = least.value_m - plan.criteria.least_cover_m;
        for (count, share) in judged.within.iter_mut().zip([0.5, 0.8, 0.95]) {
            let (low, high) = row.kept_m.middle(share);
            *count += usize::from(low <= kept_m && kept_m <= high);
        }
        judged.of += 1;
        judged.promised += row.chance;
        judged.broken += usize::from(kept_m < -3.048e-4);
    }
    judged
}

/// Told, not held: real land is smoother than the model between shots and more uneven from place to place, so that the middle 95 % held
/// 53 to 93 % of the lines, and more was promised to break than broke.
#[test]
#[ignore = "takes a minute; looked at, with --nocapture"]
fn planned_on_the_thin_ground_judged_on_the_full() {
    println!("ground, shots apart: lines; cover within the middle 50, 80, 95 %; promised and truly broken");
    for file in GROUNDS {
        let Some(grid) = full(file) else { continue };
        for apart_m in [15.0, 30.0, 60.0] {
            let judged = judge(&grid, apart_m);
            let share = |i: usize| 100.0 * judged.within[i] as f64 / judged.of.max(1) as f64;
            println!(
                "{file:20} {apart_m:4} m: {:3}; {:3.0} {:3.0} {:3.0} %; {:5.1} {:3}",
                judged.of,
                share(0),
                share(1),
                share(2),
                judged.promised,
                judged.broken
            );
        }
    }
}
