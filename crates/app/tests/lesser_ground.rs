//! Ground and levels that the plan names and that are not there, and lines that leave the ground: told by every command,
//! never passed over, never made up for.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;

use serde_json::{Value, json};

use crate::common::{demo, drainwright, told};

/// Changes the JSON of the plan.
fn change(at: &Path, change: impl FnOnce(&mut Value)) {
    let path = at.join("a.drain");
    let mut plan: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
    change(&mut plan["plan"]);
    std::fs::write(path, serde_json::to_vec(&plan).unwrap()).unwrap();
}

fn with_levels_gone(at: &Path) {
    change(at, |plan| {
        let gone = json!({ "file": "gone.csv", "batch": "gone", "vertical_unit": "m" });
        plan["survey"]["files"].as_array_mut().unwrap().push(gone);
    });
}

/// Every command says which file is not there and what that does; what would go out or be kept is refused.
#[test]
fn what_is_not_there_is_told_by_every_command() {
    for (missing, effect) in [("ground", "depth, cover, swales"), ("levels", "another than the plan's")] {
        let folder = demo("larkmoor-bench");
        let at = folder.path();
        match missing {
            "ground" => std::fs::remove_file(at.join("larkmoor-bench.asc")).unwrap(),
            _ => with_levels_gone(at),
        }
        // The demo's own ground is built in: under another name it is not.
        change(at, |plan| {
            if missing == "ground" {
                plan["ground"]["file"] = json!("gone.asc");
            }
        });
        let before = std::fs::read(at.join("a.drain")).unwrap();
        let lines = r#"{"type":"Feature","properties":{"kind":"lateral","name":"X"},"geometry":{"type":"LineString","coordinates":[[203200,96060],[203210,96100]]}}"#;
        std::fs::write(at.join("x.geojson"), lines).unwrap();
        let by = ["--all-the-same", "--by", "A. Marsh", "--because", "a trial", "--date", "2031-05-01"];
        let run = |arguments: &[&str], code: i32| -> String {
            let output = drainwright(at, arguments);
            assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}", told(&output));
            let text = told(&output);
            assert!(text.contains("cannot read gone.") && text.contains(effect), "{arguments:?}: {text}");
            text
        };
        let list = run(&["check", "a.drain"], 1);
        assert!(list.contains("check 135 ground-unread"), "{list}");
        run(&["takeoff", "a.drain"], 0);
        run(&["picture", "a.drain", "-o", "a.png"], 0);
        run(&["survey", "a.drain"], 0);
        run(&["grade", "a.drain"], 0);
        run(&["water", "a.drain"], if missing == "ground" { 2 } else { 0 });
        run(&["fix", "a.drain", "--list"], 0);
        for (arguments, code) in [
            (&["grade", "a.drain", "-o", "b.drain"][..], 2),
            (&["fix", "a.drain", "1@L3:45.7m"], 2),
            (&["sheets", "a.drain", "-o", "a.pdf"], 1),
            (&["export", "a.drain", "--to", "csv", "-o", "a.csv"], 1),
            (&["export", "a.drain", "--to", "dxf", "-o", "a.dxf"], 1),
            (&["handover", "a.drain", "-o", "out"], 1),
        ] {
            run(arguments, code);
        }
        for nothing in ["b.drain", "a.pdf", "a.csv", "a.dxf", "out"] {
            assert!(!at.join(nothing).exists(), "{nothing}");
        }
        assert_eq!(std::fs::read(at.join("a.drain")).unwrap(), before);
        let named = |arguments: &[&str]| run(&[arguments, &by].concat(), 0);
        named(&["sheets", "a.drain", "-o", "a.pdf"]);
        named(&["handover", "a.drain", "-o", "out"]);
        named(&["export", "a.drain", "--to", "csv", "-o", "a.csv"]);
        let table = std::fs::read_to_string(at.join("a.csv")).unwrap();
        assert!(table.contains("handed over all the same by A. Marsh, 2031-05-01: a trial"), "{table}");
        assert!(table.contains("not read"), "{table}");
        run(&["lines", "a.drain", "x.geojson", "--crs", "ground"], 0);
    }
}

/// A line that leaves the ground: how much and where, in the list, the quantities and the sheets; beyond the ground it has no
/// invert, and exports none.
#[test]
fn a_line_that_leaves_the_ground() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    // The grid ends at northing 96360.
    change(at, |plan| plan["lines"]["4"]["points"].as_array_mut().unwrap().last_mut().unwrap()["y"] = json!(96480.0));
    let list = told(&drainwright(at, &["check", "a.drain"]));
    assert!(list.contains("394 ft of L2 lie over unknown ground, from 10+27.3 to 14+21."), "{list}");
    assert!(list.contains("no ground along 394 ft") && list.contains("394 ft of trench have no volume"), "{list}");
    let costs = told(&drainwright(at, &["takeoff", "a.drain"]));
    assert!(costs.contains("394 ft of trench have no volume"), "{costs}");
    let csv = told(&drainwright(at, &["export", "a.drain", "--to", "csv"]));
    let rows: Vec<&str> = csv.lines().filter(|row| row.starts_with("L2,")).collect();
    assert!(
        rows.last().unwrap().contains("L2,10+27.3") && rows.last().unwrap().contains("NO LEVEL from here to 14+21")
    );
    for row in &rows {
        let cells: Vec<&str> = row.split(',').collect();
        assert!(!cells[6].is_empty() && cells[6].parse::<f64>().unwrap() > 200.0, "{row}");
    }
    let output = drainwright(at, &["export", "a.drain", "--to", "geojson"]);
    let features: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(!features.to_string().contains(":0.0,\"invert"), "{features}");
}

/// A line wholly off the ground that joins nothing has no level anywhere: `lines` says so, the list says so, and no format
/// gives it one.
#[test]
fn a_line_off_the_ground_has_no_level() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    let lines = r#"{"type":"Feature","properties":{"kind":"lateral","name":"FAR"},"geometry":{"type":"LineString","coordinates":[[206200,96060],[206210,96200]]}}"#;
    std::fs::write(at.join("x.geojson"), lines).unwrap();
    let added = told(&drainwright(at, &["lines", "a.drain", "x.geojson", "--crs", "ground"]));
    assert!(added.contains("FAR: no ground along 460 ft, from 0+00 to 4+60.5"), "{added}");
    let list = told(&drainwright(at, &["check", "a.drain"]));
    assert!(list.contains("joins nothing, no ground along 460 ft, no level"), "{list}");
    assert!(list.contains("FAR lies over unknown ground   136@FAR"), "{list}");
    for format in ["csv", "dxf", "landxml", "kml", "gpx"] {
        let text = told(&drainwright(at, &["export", "a.drain", "--to", format]));
        assert!(text.contains("FAR"), "{format}: {text}");
        let invented = text.lines().find(|line| line.contains("FAR") && line.contains("0.0000"));
        assert_eq!(invented, None, "{format}");
    }
    let checked = drainwright(at, &["check", "a.drain", "--json"]);
    let checked: Value = serde_json::from_slice(&checked.stdout).unwrap();
    let far = checked["lines"].as_array().unwrap().iter().find(|line| line["name"] == "FAR").unwrap();
    assert!(far["stations"].as_array().unwrap().iter().all(|station| station["invert_m"].is_null()), "{far}");
}

/// Plan and land from different places: lines off the ground altogether, or a ground file in another system.
#[test]
fn plan_and_land_from_different_places() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    change(at, |plan| {
        for line in plan["lines"].as_object_mut().unwrap().values_mut() {
            for point in line["points"].as_array_mut().unwrap() {
                point["x"] = json!(point["x"].as_f64().unwrap() + 40_000.0);
            }
        }
    });
    let output = drainwright(at, &["check", "a.drain"]);
    assert_eq!(output.status.code(), Some(1));
    let list = told(&output);
    assert!(list.contains("No new line lies over the ground of the plan") && list.contains("137@off"), "{list}");

    let folder = demo("larkmoor-bench");
    let at = folder.path();
    // The well-known text of UTM zone 33 beside a ground that the plan has in zone 31.
    let prj = r#"PROJCS["WGS 84 / UTM zone 33N",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",15],PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",0],UNIT["metre",1],AUTHORITY["EPSG","32633"]]"#;
    std::fs::write(at.join("larkmoor-bench.prj"), prj).unwrap();
    let output = drainwright(at, &["check", "a.drain"]);
    assert_eq!(output.status.code(), Some(1));
    let list = told(&output);
    assert!(list.contains("says that it is in EPSG:32633; the plan has EPSG:32631 for it."), "{list}");
}

/// A pipe or device in place of a plan or a table is refused at once, and nothing waits for its end.
#[cfg(unix)]
#[test]
fn what_never_ends_is_not_read() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    assert!(std::process::Command::new("mkfifo").arg(at.join("pipe")).status().unwrap().success());
    for endless in ["pipe", "/dev/zero"] {
        for arguments in [
            &["check", endless][..],
            &["lines", "a.drain", endless],
            &["bring", "a.drain", "--prices", endless],
            &["bring", "a.drain", "--marks", endless],
            &["survey", "a.drain", "--add", &format!("more={endless}")],
            &["new", "--ground", endless, "--columns", "1,2,3", "-o", "new.drain"],
        ] {
            let output = drainwright(at, arguments);
            assert_eq!(output.status.code(), Some(2), "{arguments:?}");
            let text = told(&output);
            assert!(text.contains("found a pipe") || text.contains("found a device"), "{arguments:?}: {text}");
        }
    }
}
