//! The whole job on the command line, on real ground where it is at hand.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]
#![allow(clippy::print_stdout, reason = "what was skipped and what was found is worth reading")]

use std::path::{Path, PathBuf};
use std::process::Command;

use job::Progress;
use serde_json::{Value, json};

use crate::common::{self, drainwright, told};

fn check(folder: &Path) -> (i32, Value) {
    let output = drainwright(folder, &["check", "a.drain", "--json"]);
    let value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", told(&output)));
    (output.status.code().unwrap(), value)
}

/// A plane of 0.5 m cells in feet of the ground's own: 2 % up to the north.
fn plane(folder: &Path) {
    let mut text = String::from("ncols 200\nnrows 200\nxllcorner 1000\nyllcorner 2000\ncellsize 5\n");
    for row in 0..200 {
        let level = 500.0 + 0.02 * (999.0 - 5.0 * row as f64 - 2.5);
        text.push_str(&format!("{level:.3} ").repeat(200));
        text.push('\n');
    }
    std::fs::write(folder.join("plane.asc"), text).unwrap();
    let field = json!({"type": "Polygon", "coordinates": [[[1010, 2010], [1990, 2010], [1990, 2990], [1010, 2990], [1010, 2010]]]});
    std::fs::write(folder.join("field.geojson"), field.to_string()).unwrap();
}

fn lines(folder: &Path, features: Value) {
    let collection = json!({"type": "FeatureCollection", "features": features});
    std::fs::write(folder.join("lines.geojson"), collection.to_string()).unwrap();
}

fn feature(name: &str, kind: &str, size: &str, points: Value) -> Value {
    json!({"type": "Feature", "properties": {"name": name, "kind": kind, "size": size}, "geometry": {"type": "LineString", "coordinates": points}})
}

#[test]
fn a_plan_is_made_checked_drawn_and_exported() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    plane(at);
    let arguments = [
        "new",
        "--ground",
        "plane.asc",
        "--horizontal-unit",
        "m",
        "--field",
        "field.geojson",
        "--crs",
        "ground",
        "--outlet",
        "1015,2015,497.2",
    ];
    let made = drainwright(
        at,
        &[
            &arguments[..],
            &["--low-water", "496.0", "--channel-bottom", "495.8", "--vertical-unit", "m", "-o", "a.drain"],
        ]
        .concat(),
    );
    assert!(made.status.success(), "{}", told(&made));
    lines(
        at,
        json!([
            feature("L1", "lateral", "4 in", json!([[1300, 2400], [1300, 2100]])),
            feature("M1", "main", "6 in", json!([[1015, 2015], [1300, 2100], [1700, 2150]])),
        ]),
    );
    let added = drainwright(at, &["lines", "a.drain", "lines.geojson", "--crs", "ground"]);
    assert!(added.status.success(), "{}", told(&added));
    let text = told(&added);
    assert!(
        text.contains("M1: joins O1") && text.contains("L1: joins M1") && text.contains("turned round"),
        "{text}"
    );
    let (status, report) = check(at);
    let main = &report["lines"][0];
    assert_eq!(main["name"], "M1");
    for station in main["stations"].as_array().unwrap() {
        let value = |name: &str| station[name].as_f64().unwrap();
        assert!((value("depth_m") - (value("ground_m") - value("invert_m"))).abs() < 1e-9);
        let plane_m = 500.0 + 0.02 * (value("y_m") - 2000.0 - 1.0);
        assert!((value("ground_m") - plane_m).abs() < 2e-3, "{station}");
    }
    assert_eq!(report["lines"][1]["joins"], "M1");
    let blocks = report["findings"].as_array().unwrap().iter().any(|finding| finding["severity"] == "block");
    assert_eq!(status, i32::from(blocks));
    let picture = drainwright(at, &["picture", "a.drain", "-o", "a.png", "--width", "600"]);
    assert!(picture.status.success(), "{}", told(&picture));
    assert!(std::fs::read(at.join("a.png")).unwrap().starts_with(b"\x89PNG"));
    // Local coordinates have no place on the earth, and the refusal says so.
    let export = drainwright(at, &["export", "a.drain", "--to", "geojson"]);
    assert_eq!(export.status.code(), Some(2));
    assert!(told(&export).contains("local"), "{}", told(&export));
}

/// A field that falls to the south with a bank across it: water stands behind the bank until a culvert is drawn.
fn banked(folder: &Path) {
    let mut text = String::from("ncols 80\nnrows 80\nxllcorner 0\nyllcorner 0\ncellsize 2\n");
    for row in 0..80 {
        let bank = if (39..42).contains(&row) { 1.5 } else { 0.0 };
        for col in 0..80 {
            let valley = 0.02 * (col as f64 - 40.0).abs();
            text.push_str(&format!("{:.3} ", 100.0 - 0.02 * row as f64 + valley + bank));
        }
        text.push('\n');
    }
    std::fs::write(folder.join("bank.asc"), text).unwrap();
}

#[test]
fn a_culvert_lets_water_through_a_bank_and_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    banked(at);
    let made = drainwright(
        at,
        &["new", "--ground", "bank.asc", "--ground-crs", "EPSG:32629", "--vertical-unit", "m", "-o", "a.drain"],
    );
    assert!(made.status.success(), "{}", told(&made));
    let water = |more: &[&str]| -> Value {
        let output = drainwright(at, &[&["water", "a.drain", "--json", "--at", "81,41"], more].concat());
        serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", told(&output)))
    };
    let before = water(&["--cut-banks", "2m"]);
    assert_eq!(before["answers"][0]["closed_depressions"], 1, "{before}");
    assert_eq!(before["answers"][2]["closed_depressions_left"], 0, "{before}");
    let drawn = drainwright(at, &["water", "a.drain", "--culvert", "81,83 81,73"]);
    assert!(told(&drawn).contains("Drawn: Draw culvert C1"), "{}", told(&drawn));
    let after = water(&[]);
    assert_eq!(after["answers"][0]["closed_depressions"], 0, "{after}");
    let area = |value: &Value| value["answers"][1]["area_that_drains_here_m2"].as_f64().unwrap();
    assert!(area(&after) > 1.5 * area(&before), "{before} {after}");
    let text = drainwright(at, &["export", "a.drain", "--to", "geojson", "--what", "ground", "--every", "0.5m"]);
    let ground: Value = serde_json::from_slice(&text.stdout).unwrap_or_else(|_| panic!("{}", told(&text)));
    let kinds = |what: &str| {
        ground["features"].as_array().unwrap().iter().filter(|f| f["properties"]["what"] == what).count()
    };
    assert!(kinds("contour") > 5 && kinds("swale") > 0, "{} {}", kinds("contour"), kinds("swale"));
    for bad in [
        ["--at", "81"],
        ["--culvert", "81,83"],
        ["--ditch", "a,b c,d"],
        ["--cut-banks", "deep"],
        ["--json", "--cut-banks=-1ft"],
    ] {
        let refused = drainwright(at, &[&["water", "a.drain"], &bad[..]].concat());
        assert_eq!(refused.status.code(), Some(2), "{bad:?}: {}", told(&refused));
    }
}

#[test]
fn unusable_input_ends_with_two_and_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.drain"), "{").unwrap();
    for arguments in [
        &["check", "a.drain"][..],
        &["check", "nowhere.drain"],
        &["picture", "a.drain", "-o", "a.png"],
        &["new", "--ground", "nowhere.tif", "-o", "b.drain"],
        &["check"],
    ] {
        let output = drainwright(at, arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", told(&output));
        assert!(!output.stderr.is_empty());
        assert!(!told(&output).contains("panicked"), "{}", told(&output));
    }
}

#[test]
fn without_a_display_the_demo_field_is_checked_and_drawn() {
    let output = Command::new(env!("CARGO_BIN_EXE_drainwright"))
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .unwrap();
    let text = told(&output);
    assert!(output.status.success(), "{text}");
    assert!(
        text.contains("no display") && text.contains("1 to fix, 0 to decide") && text.contains("Picture:"),
        "{text}"
    );
}

fn shared(file: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain").join(file);
    if !path.exists() {
        println!("skipped: {file} is not at hand");
    }
    path.canonicalize().ok()
}

/// Real ground (airborne lidar, farmland lidar, combine track; see the notes beside those files): an outlet, a main and
/// three laterals along the swales found, then the check.
#[test]
fn real_ground_is_sketched_along_its_swales() {
    for (file, crs) in [
        ("dem/slo_hills_1m.tif", None),
        ("dem/ia_slope_s_3m.tif", None),
        ("points/mt_field_i_2016.csv", Some("EPSG:32612")),
    ] {
        let Some(path) = shared(file) else { return };
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path();
        let options =
            exchange::ReadOptions { crs: crs.map(|crs| exchange::Crs::parse(crs).unwrap()), ..Default::default() };
        let opened = job::ground::read(&path, &options, &Progress::default()).unwrap();
        let (outlet, features) = sketch(&opened.land);
        let outlet_text = format!("{},{},{}", outlet.0, outlet.1, outlet.2);
        let path = path.display().to_string();
        let mut arguments = vec!["new", "--ground", &path, "--outlet", &outlet_text, "-o", "a.drain"];
        if let Some(crs) = crs {
            arguments.extend(["--ground-crs", crs]);
        }
        let boundary = shared("vector/mt_field_i_boundary_lonlat.geojson").unwrap().display().to_string();
        if crs.is_some() {
            arguments.extend(["--field", &boundary]);
        }
        let made = drainwright(at, &arguments);
        assert!(made.status.success(), "{}", told(&made));
        lines(at, features);
        let added = drainwright(at, &["lines", "a.drain", "lines.geojson", "--crs", "ground"]);
        assert!(added.status.success(), "{}", told(&added));
        assert_eq!(told(&added).matches(": joins M1").count(), 3, "{}", told(&added));
        let text = drainwright(at, &["check", "a.drain"]);
        println!("{file}\n{}", told(&text));
        let (status, report) = check(at);
        assert_eq!(report["lines"].as_array().unwrap().len(), 4);
        assert!(status <= 1);
        let export = drainwright(at, &["export", "a.drain", "--to", "geojson"]);
        assert!(export.status.success(), "{}", told(&export));
    }
}

/// The longest swale as a main from its lower end, and three laterals off it to either side, up the slope.
fn sketch(land: &land::Land) -> ((f64, f64, f64), Value) {
    let swale = &land.swales[0];
    let mut course: Vec<_> = terrain::simplify(&swale.points, 2.0);
    course.reverse();
    let length_m = measure::path_length(&course).min(400.0);
    let course = measure::part_of(&course, 0.0, length_m);
    let level = land.ground.as_ref().unwrap().elevation(course[0]).unwrap();
    let pair = |p: measure::Point| json!([p.x, p.y]);
    let mut features = vec![feature("M1", "main", "6 in", course.iter().map(|p| pair(*p)).collect())];
    for (i, share) in [0.3, 0.5, 0.7].into_iter().enumerate() {
        let foot = measure::point_at(&course, share * length_m).unwrap();
        let next = measure::point_at(&course, share * length_m + 5.0).unwrap();
        let (dx, dy) = ((next.x - foot.x) / 5.0, (next.y - foot.y) / 5.0);
        let side = if i % 2 == 0 { 1.0 } else { -1.0 };
        let end = measure::Point::new(foot.x + 60.0 * (dx - side * dy), foot.y + 60.0 * (dy + side * dx));
        features.push(feature(&format!("L{}", i + 1), "lateral", "4 in", json!([pair(end), pair(foot)])));
    }
    ((course[0].x, course[0].y, level - 1.2), Value::Array(features))
}

/// A small grid in degrees, one of the encodings made for reader tests: it is moved to a plane once, the same each time.
#[test]
fn ground_in_degrees_lies_where_it_lay_when_the_plan_is_opened_again() {
    let Some(path) = shared("torture-tiff/f32_geographic_4258.tif") else { return };
    let folder = tempfile::tempdir().unwrap();
    let file = path.display().to_string();
    let made = drainwright(folder.path(), &["new", "--ground", &file, "-o", "a.drain"]);
    assert!(made.status.success(), "{}", told(&made));
    let opened = job::ground::read(&path, &exchange::ReadOptions::default(), &Progress::default()).unwrap();
    let reference = exchange::read_plan(&folder.path().join("a.drain")).unwrap().ground.unwrap();
    let again =
        job::ground::open_surveyed(&reference, Some(folder.path()), &Default::default(), &Progress::default())
            .unwrap();
    assert_eq!(again.grid().unwrap().extent(), opened.land.grid().unwrap().extent());
}

#[test]
fn a_part_of_a_grid_is_read_and_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    plane(at);
    let small = json!({"type": "Polygon", "coordinates": [[[1200, 2300], [1400, 2300], [1400, 2500], [1200, 2300]]]});
    std::fs::write(at.join("small.geojson"), small.to_string()).unwrap();
    for (part, cells) in [
        (&["--crop", "1200,2300,1400,2500"][..], "42 × 42 of 200 × 200 cells"),
        (&["--around", "small.geojson", "--margin", "20 m", "--crs", "ground"], "50 × 50 of 200 × 200 cells"),
    ] {
        let made = drainwright(
            at,
            &[&["new", "--ground", "plane.asc", "--horizontal-unit", "m", "-o", "a.drain", "--replace"], part]
                .concat(),
        );
        assert!(made.status.success() && told(&made).contains(cells), "{}", told(&made));
        let plan = exchange::read_plan(&at.join("a.drain")).unwrap();
        let land = job::ground::open_plan(&plan, Some(at), &Progress::default()).unwrap();
        assert_eq!(format!("{0} × {0} of 200 × 200 cells", land.grid().unwrap().cols()), cells);
    }
    let wrong = drainwright(
        at,
        &["new", "--ground", "plane.asc", "--horizontal-unit", "m", "-o", "b.drain", "--crop", "1400,2300,1200,2500"],
    );
    assert_eq!(wrong.status.code(), Some(2));
    assert!(told(&wrong).contains("west,south,east,north"), "{}", told(&wrong));
    let beside = drainwright(
        at,
        &["new", "--ground", "plane.asc", "--horizontal-unit", "m", "-o", "b.drain", "--crop", "0,0,10,10"],
    );
    assert!(told(&beside).contains("a rectangle that overlaps the grid"), "{}", told(&beside));
}

/// A member that is not known is told on the error channel by every command, and is still there after one that saves.
#[test]
fn unknown_members_are_told_and_kept() {
    let folder = common::demo("larkmoor-bench");
    let at = folder.path();
    let plan = std::fs::read_to_string(at.join("a.drain")).unwrap();
    std::fs::write(at.join("a.drain"), plan.replacen("\"capped\"", "\"namme\": \"X\", \"capped\"", 1)).unwrap();
    let said = |arguments: &[&str]| String::from_utf8(drainwright(at, arguments).stderr).unwrap();
    let note = "].namme is not known and is kept as it is; did you mean name?";
    assert!(said(&["takeoff", "a.drain"]).contains(note));
    assert!(said(&["water", "a.drain", "--cut-banks", "0.5"]).contains(note));
    let again = std::fs::read_to_string(at.join("a.drain")).unwrap();
    assert!(again.contains("\"namme\": \"X\""));
    assert_ne!(again, plan, "it was saved");
}
