//! First layouts as a command: told, as JSON, as plans that are opened again; and what is said where none can be found.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;

use crate::common::{demo, fine, refused};
use measure::{FOOT_M, Units};
use serde_json::Value;

/// The plan in the folder, changed.
fn change(folder: &Path, change: impl FnOnce(&mut Value)) {
    let path = folder.join("a.drain");
    let mut plan: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
    change(&mut plan["plan"]);
    std::fs::write(path, plan.to_string()).unwrap();
}

/// The JSON is the lines' own figures in metres and square metres, with the cautions; the demo field has three swales, which
/// its hand layout serves too (demo-fields/README.md).
#[test]
fn the_figures_for_programs_are_those_of_the_lines() {
    let folder = demo("larkmoor-bench");
    let found: Value = serde_json::from_str(&fine(folder.path(), &["propose", "a.drain", "--json"])).unwrap();
    assert!(found["caution"].as_str().unwrap().contains("Have utilities located"));
    let text = fine(folder.path(), &["propose", "a.drain"]);
    assert!(text.contains(plan::CAUTION) && text.contains("walk the field before you dig"), "{text}");
    for layout in found["layouts"].as_array().unwrap() {
        let length_m: f64 = layout["pipe_m"].as_f64().unwrap();
        let line = format!("{}: ", layout["name"].as_str().unwrap());
        let told = text.lines().find(|told| told.starts_with(&line)).unwrap();
        assert!(told.contains(&format!(", {:.0} ft, ", length_m / FOOT_M)), "{told}: {length_m} m");
    }
}

/// A folder takes a plan for each layout; each is opened by the other commands with its ground, and the name stays as it is.
#[test]
fn each_layout_is_a_plan_of_its_own() {
    let folder = demo("larkmoor-bench");
    let name = r#"The "North" Bench & <O'Dell's>, \ half"#;
    change(folder.path(), |plan| plan["title"]["name"] = name.into());
    let before = std::fs::read(folder.path().join("a.drain")).unwrap();
    fine(folder.path(), &["propose", "a.drain", "-o", "layouts"]);
    for file in ["layouts/swales.drain", "layouts/swales-and-wet-areas.drain"] {
        let json: Value = serde_json::from_str(&fine(folder.path(), &["takeoff", file, "--json"])).unwrap();
        assert_eq!(json["name"], name);
    }
    assert_eq!(std::fs::read(folder.path().join("a.drain")).unwrap(), before, "the plan stays as it is");
}

/// Meters in place of feet: the same layouts of the same length.
#[test]
fn meters_are_a_way_of_writing() {
    let folder = demo("larkmoor-bench");
    let json =
        |folder: &Path| -> Value { serde_json::from_str(&fine(folder, &["propose", "a.drain", "--json"])).unwrap() };
    let feet = json(folder.path());
    change(folder.path(), |plan| plan["title"]["units"] = "metric".into());
    let text = fine(folder.path(), &["propose", "a.drain"]);
    let own = text.split(plan::CAUTION).next().unwrap();
    assert!(own.contains(" ha of ") && !own.contains(" ft"), "{text}");
    let meters = json(folder.path());
    for (one, other) in feet["layouts"].as_array().unwrap().iter().zip(meters["layouts"].as_array().unwrap()) {
        let same = ["name", "pipe_m"].iter().all(|key| one[*key] == other[*key]);
        assert!(same, "{one} {other}");
    }
    assert!(own.contains(&Units::Metric.length(feet["layouts"][0]["pipe_m"].as_f64().unwrap())), "{text}");
}

#[test]
fn what_is_wanting_is_told() {
    let folder = demo("larkmoor-bench");
    let whole = std::fs::read(folder.path().join("a.drain")).unwrap();
    assert!(refused(folder.path(), &["propose", "a.drain", "--layout", "star"]).contains("expected one of swales"));
    change(folder.path(), |plan| plan["ground"] = Value::Null);
    assert!(refused(folder.path(), &["propose", "a.drain"]).contains("no ground was read within the field"));
    std::fs::write(folder.path().join("a.drain"), &whole).unwrap();
    change(folder.path(), |plan| plan["field"] = Value::Null);
    assert!(refused(folder.path(), &["propose", "a.drain"]).contains("no field boundary"));
    std::fs::write(folder.path().join("a.drain"), &whole[..whole.len() / 2]).unwrap();
    assert!(refused(folder.path(), &["propose", "a.drain"]).contains("expected a plan file in JSON"));
}

/// No file that is there is lost, and of several layouts none is written where one may not be.
#[test]
fn nothing_is_written_over() {
    let folder = demo("larkmoor-bench");
    let at = |file: &str| folder.path().join(file);
    let (plan, ground) = (std::fs::read(at("a.drain")).unwrap(), std::fs::read(at("larkmoor-bench.asc")).unwrap());
    let own = ["propose", "a.drain", "--layout", "swales", "-o", "a.drain", "--replace"];
    assert!(refused(folder.path(), &own).contains("expected another name"));
    let file = ["propose", "a.drain", "-o", "larkmoor-bench.asc", "--replace"];
    assert!(refused(folder.path(), &file).contains("found a file, expected a folder"));
    let far = ["propose", "a.drain", "--layout", "swales", "-o", "none/b.drain"];
    assert!(refused(folder.path(), &far).contains("no folder none"));
    std::fs::create_dir(at("layouts")).unwrap();
    std::fs::write(at("layouts/swales-and-wet-areas.drain"), "mine").unwrap();
    assert!(refused(folder.path(), &["propose", "a.drain", "-o", "layouts"]).contains("--replace"));
    assert!(!at("layouts/swales.drain").exists());
    assert_eq!(std::fs::read(at("layouts/swales-and-wet-areas.drain")).unwrap(), b"mine");
    assert_eq!(
        (std::fs::read(at("a.drain")).unwrap(), std::fs::read(at("larkmoor-bench.asc")).unwrap()),
        (plan, ground)
    );
}
