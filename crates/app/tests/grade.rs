//! Grade lines on the command line.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;

use serde_json::Value;

use crate::common::{demo, drainwright, told};

/// What a command that succeeds says to machines.
fn json(at: &Path, arguments: &[&str]) -> Value {
    let output = drainwright(at, arguments);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The demo field graded, fixed and checked: the fixed plan has the same levels, and JSON has what machines are promised.
#[test]
fn the_demo_field_is_graded_and_fixed() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    let json = |arguments: &[&str]| json(at, arguments);
    let graded = json(&["grade", "a.drain", "--json", "-o", "fixed.drain"]);
    let fixed = json(&["grade", "fixed.drain", "--json"]);
    let lines = graded["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 8);
    for (line, again) in lines.iter().zip(fixed["lines"].as_array().unwrap()) {
        assert_eq!(line["size_mm"], again["size_mm"]);
        let levels = |line: &Value| -> Vec<(f64, f64)> {
            let stations = line["stations"].as_array().unwrap().iter();
            stations.map(|s| (s["station_m"].as_f64().unwrap(), s["invert_m"].as_f64().unwrap())).collect()
        };
        for (one, other) in levels(line).iter().zip(levels(again)) {
            assert!((one.0 - other.0).abs() < 1e-9 && (one.1 - other.1).abs() < 1e-6, "{one:?} {other:?}");
        }
        for reach in line["reaches"].as_array().unwrap() {
            let steps = reach["grade_percent"].as_f64().unwrap() * 100.0;
            assert!(reach["exact"] == true || (steps - steps.round()).abs() < 1e-6);
        }
    }
    let cost = |name: &str| graded["cost"][name].as_f64().unwrap();
    // Each line of one grade may cost the margin of the whole more; nothing costs less than the least.
    let even = lines.iter().filter(|line| line["reaches"].as_array().unwrap().len() == 1).count() as f64;
    assert!(cost("dug") <= (1.0 + 0.03 * (1.0 + even)) * cost("cheapest"));
    assert!(cost("dug") >= cost("least") && cost("cheapest") >= cost("least"));
    let check = json(&["check", "fixed.drain", "--json"]);
    for line in check["lines"].as_array().unwrap() {
        for key in ["required_m3s", "capacity_m3s", "velocity_ms", "percent_full"] {
            assert!(line[key].as_f64().unwrap() > 0.0, "{key}");
        }
        let share = line["required_m3s"].as_f64().unwrap() / line["capacity_m3s"].as_f64().unwrap();
        assert!((line["percent_full"].as_f64().unwrap() - share * 100.0).abs() < 1e-6);
        assert!(line["outflow_m3s"].as_f64().unwrap() >= line["required_m3s"].as_f64().unwrap() - 1e-12);
    }
    let text = told(&drainwright(at, &["grade", "a.drain"]));
    assert!(text.contains("ha × 9.5 mm/day ÷ 8.64 ="), "{text}");
    let missing = drainwright(at, &["grade", "none.drain"]);
    assert_eq!(missing.status.code(), Some(2));
}

/// The ends of the range that is printed for one grade from end to end hold when they are chosen, and one step further is refused; a
/// typed grade is kept to the digit; the range of an outlet's inverts likewise.
#[test]
fn one_grade_from_end_to_end_is_told_and_kept() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    let json = |arguments: &[&str]| json(at, arguments);
    let range = json(&["grade", "a.drain", "--even", "L5", "--json"]);
    let percent = |key: &str| range[key].as_f64().unwrap();
    let (flattest, steepest) = (percent("flattest_percent"), percent("steepest_percent"));
    assert!(flattest < steepest, "{range}");
    let text = told(&drainwright(at, &["grade", "a.drain", "--even", "L5"]));
    assert!(
        text.contains("L5, as 102 mm pipe, may have one grade from end to end: 0.10 % (enough for 1.34 ha"),
        "{text}"
    );
    assert!(text.contains("Flatter does not carry the flow") && text.contains("Steeper, outlet O1 and"), "{text}");
    // Where less water comes, the pipe's own speed bounds the range.
    let dry = std::fs::read_to_string(at.join("a.drain")).unwrap().replacen(
        "\"coefficient_ms\": null",
        "\"coefficient_ms\": 5e-8",
        1,
    );
    std::fs::write(at.join("dry.drain"), dry).unwrap();
    let text = told(&drainwright(at, &["grade", "dry.drain", "--even", "L5"]));
    assert!(text.contains("from end to end: 0.070 % (enough for"), "{text}");
    assert!(text.contains("Flatter does not keep the pipe clean: 0.15 m/s when full."), "{text}");
    for (chosen, percent) in [("flattest", flattest), ("steepest", steepest), ("0.2 %", 0.2)] {
        let kept =
            drainwright(at, &["grade", "a.drain", "--even", "L5", "--at", chosen, "-o", "even.drain", "--replace"]);
        assert_eq!(kept.status.code(), Some(0), "{}", told(&kept));
        let graded = json(&["grade", "even.drain", "--json"]);
        assert_eq!(graded["clashes"].as_array().unwrap().len(), 0, "{chosen}");
        let line = graded["lines"].as_array().unwrap().iter().find(|line| line["name"] == "L5").unwrap();
        for reach in line["reaches"].as_array().unwrap() {
            assert!((reach["grade_percent"].as_f64().unwrap() - percent).abs() < 1e-9, "{chosen} {reach}");
        }
    }
    let mut refused = vec![("9 %".to_string(), "does not hold every limit; expected 0.10 % to")];
    refused.extend(
        [flattest - 0.01, steepest + 0.01].map(|percent| (format!("{percent:.2}"), "does not hold every limit")),
    );
    refused.push(("steep".into(), "or 'steepest' or 'flattest'"));
    for (chosen, expected) in refused {
        let kept = drainwright(at, &["grade", "a.drain", "--even", "L5", "--at", &chosen, "-o", "none.drain"]);
        assert_eq!(kept.status.code(), Some(2), "{chosen}: {}", told(&kept));
        assert!(told(&kept).contains(expected), "{}", told(&kept));
        assert!(!at.join("none.drain").exists());
    }
    // What would be saved is said, or nothing is.
    for asked in [&["--even", "L5"], &["--inverts", "O1"]] {
        let unsaid = drainwright(at, &[&["grade", "a.drain", "-o", "none.drain"], &asked[..]].concat());
        assert_eq!(unsaid.status.code(), Some(2), "{}", told(&unsaid));
        assert!(!at.join("none.drain").exists());
    }
    let unknown = told(&drainwright(at, &["grade", "a.drain", "--even", "L\"9"]));
    assert!(unknown.contains("no line is named 'L\"9'; expected one of: M1, L1,"), "{unknown}");
    let inverts = json(&["grade", "a.drain", "--inverts", "O1", "--json"]);
    assert!(inverts["lowest_m"].as_f64().unwrap() < inverts["highest_m"].as_f64().unwrap());
}

/// What cannot be printed is no success: a full device ends every command with 2, a reader that has enough does not.
#[cfg(target_os = "linux")]
#[test]
fn a_full_device_is_told() {
    use std::process::{Command, Stdio};
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-fields/saltern-flat.drain");
    for verb in ["grade", "check", "takeoff", "survey", "water"] {
        let run = |out: Stdio| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_drainwright"));
            command.args([verb, demo]).stdout(out).stderr(Stdio::piped()).spawn().unwrap()
        };
        let full = run(std::fs::File::create("/dev/full").unwrap().into()).wait_with_output().unwrap();
        assert_eq!(full.status.code(), Some(2), "{verb}");
        assert!(told(&full).contains("drainwright: standard output: "), "{verb}: {}", told(&full));
        let mut closed = run(Stdio::piped());
        drop(closed.stdout.take());
        assert_ne!(closed.wait_with_output().unwrap().status.code(), Some(2), "{verb}");
    }
}

/// No output takes the place of a plan, or of what a plan is made from, whatever its name; another name is taken.
#[test]
fn an_output_never_destroys_what_it_comes_from() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    let own = ["a.drain", "saltern-flat.asc", "saltern-flat-levels.csv"];
    std::fs::copy(at.join(own[0]), at.join("other.txt")).unwrap();
    let read = |name: &str| std::fs::read(at.join(name)).unwrap();
    let before: Vec<Vec<u8>> = own.iter().chain(&["other.txt"]).map(|name| read(name)).collect();
    for command in [vec!["sheets"], vec!["picture"], vec!["export", "--to", "csv"]] {
        for output in ["a.drain", "./saltern-flat.asc", "saltern-flat-levels.csv", "other.txt"] {
            let arguments: Vec<&str> = command.iter().copied().chain(["a.drain", "-o", output]).collect();
            let done = drainwright(at, &arguments);
            assert_eq!(done.status.code(), Some(2), "{arguments:?}");
            assert!(told(&done).contains("expected another name to write to"), "{}", told(&done));
        }
    }
    let after: Vec<Vec<u8>> = own.iter().chain(&["other.txt"]).map(|name| read(name)).collect();
    assert_eq!(before, after);
    let done = drainwright(at, &["export", "--to", "csv", "a.drain", "-o", "stakes.csv"]);
    assert_eq!(done.status.code(), Some(0), "{}", told(&done));
}
