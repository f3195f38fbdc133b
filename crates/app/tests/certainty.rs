//! How sure a plan is, as a command: chances, the crew's page, and what the shots that it asks for move.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;

use crate::common::{demo, drainwright, told};
use serde_json::Value;

fn json(folder: &Path, arguments: &[&str]) -> Value {
    let output = drainwright(folder, arguments);
    assert!(output.status.success(), "{}", told(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Takes the shots that are asked for, a tenth of a foot under the ground that is expected, into a copy of the plan.
fn shoot(folder: &Path, sure: &Value) {
    let row = |(i, shot): (usize, &Value)| {
        let figure = |name: &str| shot[name].as_f64().unwrap();
        format!("S{},{:.3},{:.3},{:.3}\n", i + 1, figure("x_m"), figure("y_m"), figure("level_m") - 0.03048)
    };
    let rows: String = sure["shots"].as_array().unwrap().iter().enumerate().map(row).collect();
    std::fs::write(folder.join("more.csv"), format!("name,easting,northing,level\n{rows}")).unwrap();
    let mut plan: Value = serde_json::from_slice(&std::fs::read(folder.join("a.drain")).unwrap()).unwrap();
    let files = plan["plan"]["survey"]["files"].as_array_mut().unwrap();
    let mut more = files[0].clone();
    (more["file"], more["batch"], more["vertical_unit"]) = ("more.csv".into(), "asked".into(), "m".into());
    files.push(more);
    std::fs::write(folder.join("b.drain"), plan.to_string()).unwrap();
}

#[test]
fn shots_that_are_asked_for_move_the_chances() {
    let folder = demo("larkmoor-bench");
    let before = json(folder.path(), &["certainty", "a.drain", "--json"]);
    assert_eq!(before["shots"].as_array().unwrap().len(), 5);
    assert!(before["caution"].as_str().unwrap().contains("Have utilities located"));
    assert_eq!(before, json(folder.path(), &["certainty", "a.drain", "--json"]), "the same every time");
    shoot(folder.path(), &before);
    let after = json(folder.path(), &["certainty", "b.drain", "--before", "a.drain", "--json"]);
    let (was, is) = (after["before"]["left_open"].as_f64().unwrap(), after["left_open"].as_f64().unwrap());
    assert_eq!(Some(was), before["left_open"].as_f64());
    assert!(is < was, "{is} is no less than {was}");
    let output = drainwright(folder.path(), &["certainty", "b.drain", "--before", "a.drain"]);
    assert!(told(&output).contains("cover thinner than") && told(&output).contains("before, "), "{}", told(&output));
}

#[test]
fn the_crew_gets_a_page() {
    let folder = demo("fernholt-piece");
    let output = drainwright(folder.path(), &["certainty", "a.drain", "-o", "crew.pdf"]);
    assert!(output.status.success() && told(&output).contains("Written: crew.pdf"), "{}", told(&output));
    assert!(std::fs::read(folder.path().join("crew.pdf")).unwrap().starts_with(b"%PDF"));
    let again = drainwright(folder.path(), &["certainty", "a.drain", "-o", "crew.pdf"]);
    assert!(!again.status.success() && told(&again).contains("--replace"), "{}", told(&again));
}

#[test]
fn what_is_wrong_is_told() {
    let folder = demo("fernholt-piece");
    let said = |arguments: &[&str]| told(&drainwright(folder.path(), arguments));
    assert!(said(&["certainty", "a.drain", "--accuracy", "far"]).contains("--accuracy"));
    for samples in ["1000000", "0", "-3", "1e9"] {
        let told = said(&["certainty", "a.drain", "--samples", samples]);
        assert!(told.contains("expected 1 to 100000"), "{told}");
    }
    assert!(said(&["certainty", "a.drain", "--accuracy", "0.33 ft"]).contains("as stated"));
}

#[test]
fn a_plan_of_other_land_is_none_before() {
    let folder = demo("fernholt-piece");
    let other = demo("saltern-flat");
    let path = other.path().join("a.drain");
    // The invented fields lie beside each other; this one is said to lie in the zone east of theirs.
    let moved = std::fs::read_to_string(&path).unwrap().replace("EPSG:32631", "EPSG:32632");
    std::fs::write(&path, moved).unwrap();
    let output = drainwright(folder.path(), &["certainty", "a.drain", "--before", path.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("a plan of other land"), "{}", told(&output));
}
