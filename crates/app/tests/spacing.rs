//! The command `spacing` and the section on the card: the worked example Ellowby Block, both units, a plan, bad input.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::common::{demo, drainwright, told};
use crate::hand::opened;
use app::desk::{Desk, Habits};
use egui_kittest::kittest::Queryable;
use measure::FOOT_M;
use serde_json::Value;

const ELLOWBY: [&str; 11] = [
    "spacing",
    "--conductivity",
    "0.694ft/day",
    "--depth",
    "3.5ft",
    "--layer",
    "6.0ft",
    "--table",
    "1.5ft",
    "--coefficient",
    "0.375in/day",
];

fn here(arguments: &[&str]) -> std::process::Output {
    drainwright(&std::env::temp_dir(), arguments)
}

/// What a command that succeeds says to machines.
fn json(arguments: &[&str]) -> Value {
    let output = here(&[arguments, &["--json"]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn feet(value: &Value) -> f64 {
    (value.as_f64().unwrap() / FOOT_M * 100.0).round() / 100.0
}

/// 28.90 ft; three rows leave the table at 1.66 ft, four at 0.89 ft; doubled conductivity passes four with 1.90 ft.
#[test]
fn the_worked_example() {
    let advice = json(&ELLOWBY);
    assert_eq!(feet(&advice["spacing_m"]["likely"]), 28.90);
    let rows = json(&[&ELLOWBY[..], &["--rows", "9ft", "--area", "7.2ac"]].concat());
    let figures = |i: usize| {
        let width = &rows["widths"][i];
        let length = (width["length_m"].as_f64().unwrap() / FOOT_M).round();
        (feet(&width["spacing_m"]), feet(&width["arch_m"]["likely"]), feet(&width["table_m"]["likely"]), length)
    };
    assert_eq!(figures(0), (27.0, 1.84, 1.66, 11_616.0));
    assert_eq!(figures(1), (36.0, 2.61, 0.89, 8_712.0));
    assert_eq!(feet(&rows["widths"][1]["table_m"]["high"]), 1.90);
    assert_eq!(rows["pit_matters"], true);
    let text = told(&here(&[&ELLOWBY[..], &["--rows", "9ft"]].concat()));
    assert!(text.contains("Computed spacing about 29 ft (19 to 43 ft)"), "{text}");
    assert!(text.contains("Have utilities located before digging"), "{text}");
    let sure = json(&[&ELLOWBY[..], &["--rows", "9ft", "--factor", "1.05"]].concat());
    assert_eq!(sure["pit_matters"], false);
}

/// The same typed in metres, and in other units of conductivity, to what the figures leave open.
#[test]
fn metric_and_other_units() {
    let spacing = |arguments: &[&str]| json(arguments)["spacing_m"]["likely"].as_f64().unwrap();
    let feet = spacing(&ELLOWBY);
    let metric =
        ["spacing", "--conductivity", "0.2115m/day", "--depth", "1.067m", "--layer", "1.829m", "--table", "0.457m"];
    let metric = [&metric[..], &["--coefficient", "9.525mm/day"]].concat();
    assert!((spacing(&metric) / feet - 1.0).abs() < 2e-3);
    assert!(told(&here(&metric)).contains("Computed spacing about 8.8 m"));
    for k in ["0.347in/hr", "8.8138mm/h", "2.4483µm/s", "2.4483um/s"] {
        let mut other = ELLOWBY;
        other[2] = k;
        assert!((spacing(&other) / feet - 1.0).abs() < 1e-4, "{k}");
    }
}

/// A texture, and its middle in sand, clay and organic matter, are one soil; the tables stand beside it.
#[test]
fn a_texture_or_a_mix() {
    let by = |soil: &[&str]| json(&[&["spacing", "--depth", "3.5ft"], soil].concat());
    let texture = by(&["--texture", "Clay Loam"]);
    let mix = by(&["--sand", "30", "--clay", "35", "--organic", "2.5"]);
    assert_eq!(texture["spacing_m"], mix["spacing_m"]);
    assert_eq!(texture["tight_is_known"], false);
    let rate = texture["conductivity_below_ms"]["likely"].as_f64().unwrap();
    assert!((rate * 3.6e6 - 4.3).abs() < 0.05, "4.3 mm/h ([SR06])");
    let words = told(&here(&["spacing", "--depth", "1.05m", "--texture", "clay loam", "--slope", "4"]));
    assert!(
        words.contains("0.212 m/day (mean properties of 1,845 soils, 1978)")
            && words.contains("An interceptor across this slope of 4.00 %"),
        "{words}"
    );
}

/// What is wrong is named with what was found and what would do; nothing is printed on the way.
#[test]
fn bad_input_says_why() {
    for (arguments, why) in [
        (&["spacing"][..], "--depth: expected the depth of the drains, such as 3.5ft, or a plan file"),
        (&["spacing", "--depth", "3ft"], "--conductivity: expected one such as 0.694ft/day, or --texture"),
        (&["spacing", "--depth", "deep", "--texture", "loam"], "--depth: 'deep' is not a length"),
        (&["spacing", "--depth", "0ft", "--texture", "loam"], "--depth: found '0ft', expected a length above 0"),
        (
            &["spacing", "--depth", "3ft", "--texture", "mud"],
            "--texture: found 'mud', expected coarse sand or gravel, sand",
        ),
        (
            &["spacing", "--depth", "3ft", "--conductivity", "fast"],
            "--conductivity: 'fast' is not a conductivity such as",
        ),
        (
            &["spacing", "--depth", "3ft", "--sand", "70", "--clay", "60"],
            "--sand: sand and clay come to more than the whole",
        ),
        (
            &["spacing", "--depth", "3ft", "--sand", "-7", "--clay", "60"],
            "--sand: found -7, expected a percent from 0 to 100",
        ),
        (
            &["spacing", "--depth", "3ft", "--texture", "loam", "--factor", "0.5"],
            "--factor: found 0.5, expected a number from 1",
        ),
        (
            &["spacing", "--depth", "3ft", "--texture", "loam", "--table", "4ft"],
            "expected less than the drains' 3.00 ft",
        ),
        (
            &["spacing", "--depth", "3ft", "--texture", "loam", "--layer", "2ft"],
            "found a tight layer at 2.00 ft, above the drains",
        ),
        (&["spacing", "--depth", "3ft", "--texture", "loam", "--at", "1,2"], "--at: a place belongs to a plan"),
        (&["spacing", "none.drain"], "none.drain"),
    ] {
        let output = here(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", told(&output));
        assert!(told(&output).contains(why), "{arguments:?}: {}", told(&output));
        assert!(output.stdout.is_empty(), "{arguments:?}");
    }
}

/// At a place of a plan the soil is that of the nearest pit, and says so; what is given stands in its place.
#[test]
fn at_a_place_of_a_plan() {
    let folder = demo("larkmoor-bench");
    let run = |arguments: &[&str]| told(&drainwright(folder.path(), &[&["spacing", "a.drain"], arguments].concat()));
    assert!(run(&[]).contains("Soil as pit P1 shows it,"), "{}", run(&[]));
    let there = run(&["--at", "203205,96120"]);
    assert!(there.contains("Soil as pit P1 shows it, 0 ft off (clay loam, measured)"), "{there}");
    let told = run(&["--at", "203205,96120", "--conductivity", "0.694ft/day", "--depth", "3.5ft"]);
    assert!(told.contains("Soil as given: conductivity 0.694 ft/day"), "{told}");
    assert!(run(&["--at", "north"]).contains("--at: found 'north', expected easting and northing as E,N"));
}

/// The card of the stage Lines shows it for the middle of the field, that of a line half-way up it once it is unfolded.
#[test]
fn the_card_shows_it() {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let mut harness = opened(Desk::new(session, Habits::default()), 1280.0, 2400.0);
    harness.get_by_label("2  Lines").click();
    harness.run_steps(4);
    assert!(harness.query_by_label("Computed").is_some() && harness.query_by_label("What limits").is_some());
    assert!(harness.query_by_label_contains("In the middle of the field, by pit P1").is_some());
    let line = *harness.state().session.plan().lines.keys().next().unwrap();
    harness.state_mut().view.selection = app::view::Selection::of(line);
    harness.run_steps(4);
    assert!(harness.query_by_label("Computed").is_none());
    harness.get_by_label("Spacing").click();
    harness.run_steps(30);
    assert!(harness.query_by_label("Computed").is_some());
    assert!(harness.query_by_label_contains("Half-way up the line, by pit P1").is_some());
}
