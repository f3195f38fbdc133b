//! A bad survey file, the worked example Tarrow End, with its figures: 48 points, 41 of them feet around 100, 7
//! metres around 30.6; one point at 112.43 among eight of about 102.4; no point for 140 ft across the east swale; ten check
//! points on lidar with a mean of +0.31 ft and a root mean square of 0.36 ft; a reach of 300 ft at 0.10 %.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;
use std::time::Duration;

use app::desk::{Desk, Habits};
use app::view::Stage;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use measure::FOOT_M;
use serde_json::{Value, json};

use crate::common::{drainwright, told};

fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = drainwright(folder, arguments);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    told(&output)
}

/// How the survey stands after some changes.
fn survey(folder: &Path, changes: &[&str]) -> Value {
    let arguments = [&["survey", "a.drain", "--json"], changes].concat();
    serde_json::from_str(&done(folder, &arguments)).unwrap()
}

const SIGNED: [&str; 6] = ["--by", "R. Wren", "--on", "2031-04-02", "--because", "checked on BM1"];

fn checks(stands: &Value) -> Vec<u64> {
    stands["findings"].as_array().unwrap().iter().map(|finding| finding["check"].as_u64().unwrap()).collect()
}

fn message(stands: &Value, check: u64) -> String {
    let found = stands["findings"].as_array().unwrap();
    let finding =
        found.iter().find(|finding| finding["check"] == check).unwrap_or_else(|| panic!("no {check}: {found:#?}"));
    finding["message"].as_str().unwrap().to_string()
}

/// Ground of Tarrow End in feet, as the lidar has it: the plane of the nine shots, falling away to the south and east.
fn ground(x: f64, y: f64) -> f64 {
    let (south, east) = ((150.0 - y).max(0.0), (x - 100.0).max(0.0));
    102.4 + (x - 50.0) / 300.0 - (y - 200.0) / 500.0 - 0.000_13 * south * south - 0.000_06 * east * east
}

fn row(text: &mut String, name: &str, (x, y): (f64, f64), level: f64, batch: &str) {
    text.push_str(&format!("{name},{:.4},{:.4},{level:.3},{batch}\n", x * FOOT_M, y * FOOT_M));
}

/// The table of 48 points: five columns and six rows in the west, eleven points beyond the swale, seven by phone.
fn table() -> String {
    const NINE: [[f64; 3]; 3] = [[102.4, 102.5, 102.6], [102.2, 112.43, 102.6], [102.1, 102.3, 102.5]];
    let mut text = String::from("point,easting,northing,elevation,batch\n");
    let mut count = 0;
    for x in [0.0, 50.0, 100.0, 150.0, 200.0, 340.0, 390.0] {
        for y in [0.0, 50.0, 100.0, 150.0, 200.0, 250.0].into_iter().filter(|y| (x, *y) != (390.0, 250.0)) {
            count += 1;
            let scatter = if (x > 350.0) == (y % 100.0 == 0.0) { 0.183 } else { -0.183 };
            let level = match (x <= 100.0 && y >= 150.0, x > 300.0 && y < 245.0) {
                (true, _) => NINE[(y / 50.0) as usize - 3][(x / 50.0) as usize],
                (_, true) => ground(x, y) + 0.31 + scatter,
                _ => ground(x, y) + 0.31,
            };
            row(&mut text, &count.to_string(), (x, y), level, "level");
        }
    }
    for i in 0..7 {
        let at = (20.0 + 25.0 * i as f64, 5.0 + (i % 3) as f64 * 2.0);
        row(
            &mut text,
            &format!("P{}", i + 1),
            at,
            ((ground(at.0, at.1) + 0.15) * FOOT_M * 100.0).round() / 100.0,
            "phone",
        );
    }
    text
}

/// Lidar from the east edge of the western points on, under ten of the points, its levels in feet.
fn lidar() -> String {
    let (cols, rows, west, south) = (40, 53, 202.0, -22.5);
    let cell = 5.0 * FOOT_M;
    let mut text = format!(
        "ncols {cols}\nnrows {rows}\nxllcorner {}\nyllcorner {}\ncellsize {cell}\n",
        west * FOOT_M,
        south * FOOT_M
    );
    for row in 0..rows {
        let y = south + 5.0 * (rows - row) as f64 - 2.5;
        let levels: Vec<String> =
            (0..cols).map(|col| format!("{:.4}", ground(west + 5.0 * col as f64 + 2.5, y))).collect();
        text.push_str(&levels.join(" "));
        text.push('\n');
    }
    text
}

/// Main M1 along the south edge: 300 ft from the outlet in the east, at 0.10 %.
fn line() -> String {
    let at = |x: f64| json!([x * FOOT_M, 0.0]);
    json!({ "type": "FeatureCollection", "features": [{
        "type": "Feature",
        "properties": {
            "name": "M1", "kind": "main", "size": "6 in", "pins": [[300.0 * FOOT_M, 87.30 * FOOT_M]],
        },
        "geometry": { "type": "LineString", "coordinates": [at(350.0), at(50.0)] },
    }] })
    .to_string()
}

fn tarrow_end(folder: &Path) -> String {
    std::fs::write(folder.join("tarrow.csv"), table()).unwrap();
    std::fs::write(folder.join("lidar.asc"), lidar()).unwrap();
    std::fs::write(folder.join("line.geojson"), line()).unwrap();
    let outlet = format!("{},0,87.00", 350.0 * FOOT_M);
    let new = ["new", "--ground", "tarrow.csv", "--horizontal-unit", "m", "--lidar", "lidar.asc"];
    let new = [&new[..], &["--vertical-unit", "ft", "--units", "feet"]].concat();
    let told = done(folder, &[&new[..], &["--outlet", &outlet, "-o", "a.drain"]].concat());
    done(folder, &["lines", "a.drain", "line.geojson", "--crs", "ground"]);
    told
}

fn round(value: &Value) -> f64 {
    (value.as_f64().unwrap() / FOOT_M * 100.0).round() / 100.0
}

#[test]
fn tarrow_end_is_found_corrected_and_logged() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let told = tarrow_end(folder);
    assert!(told.contains("Batch level: 41 shots in international feet"), "{told}");
    assert!(told.contains("Batch phone: 7 shots"), "{told}");

    let stands = survey(folder, &[]);
    assert_eq!(checks(&stands), [101, 99, 100, 103, 104, 105]);
    let mixed = message(&stands, 101);
    assert!(mixed.contains("looks like meters among feet") && mixed.contains("is 3.33"), "{mixed}");
    assert_eq!(
        message(&stands, 99),
        "Shot 11 lies 10.03 ft above its neighbors, which fit their own plane within 0.03 ft. A rod slip of 10 ft?"
    );
    assert_eq!(
        message(&stands, 100),
        "Batch level sits 0.31 ft higher than the lidar over 10 shots, with a scatter of 0.18 ft. Different datum, \
         antenna or canopy?"
    );
    assert_eq!(message(&stands, 103), "No levels along 140 ft of M1, from 0+10 to 1+50.");
    assert_eq!(
        message(&stands, 104),
        "M1 from 0+00 to 3+00 falls 0.30 ft, less than twice the survey's error of 0.18 ft."
    );
    let level = &stands["batches"][0];
    assert_eq!((round(&level["mean_m"]), round(&level["rmse_m"]), round(&level["scatter_m"])), (0.31, 0.36, 0.18));
    assert_eq!(level["compared"], 10);
    let blocked = drainwright(folder, &["check", "a.drain"]);
    assert_eq!(blocked.status.code(), Some(1));

    let unsigned = drainwright(folder, &["survey", "a.drain", "--convert", "phone=m"]);
    assert_eq!(unsigned.status.code(), Some(2));
    assert!(self::told(&unsigned).contains("a correction is signed"));

    let stands = survey(folder, &[&["--convert", "phone=m"][..], &SIGNED].concat());
    assert_eq!(checks(&stands), [99, 100, 103, 104, 105]);
    let stands = survey(folder, &[&["--correct", "11=-10ft"][..], &SIGNED].concat());
    assert_eq!(checks(&stands), [100, 103, 104, 105]);
    let stands = survey(folder, &[&["--shift", "level=-0.31ft"][..], &SIGNED].concat());
    assert_eq!(checks(&stands), [104, 105], "the lidar's shift is accepted: it fills the gap");

    let mut levels = String::from("point,easting,northing,elevation,batch\n");
    for (i, x) in [350.0, 320.0, 230.0, 140.0, 50.0].into_iter().enumerate() {
        row(&mut levels, &format!("M{i}"), (x, 2.0), ground(x, 2.0), "on M1");
    }
    std::fs::write(folder.join("m1.csv"), levels).unwrap();
    let marks = ["--benchmark", "BM1 nail in oak,3,80,101.25ft", "--benchmark", "BM2 iron pin,100,80,98.40ft"];
    let stands = survey(folder, &[&["--add", "on M1=m1.csv"][..], &marks].concat());
    assert_eq!(checks(&stands), [0u64; 0]);
    assert_eq!(stands["batches"].as_array().unwrap().len(), 3);

    let text = done(folder, &["survey", "a.drain"]);
    let log: Vec<&str> = text.lines().skip_while(|line| *line != "Log:").take(4).collect();
    assert_eq!(
        log,
        [
            "Log:",
            "  2031-04-02  R. Wren: Read batch phone as meters, because checked on BM1",
            "  2031-04-02  R. Wren: Correct 11 of batch level by −10.00 ft, because checked on BM1",
            "  2031-04-02  R. Wren: Shift batch level by −0.31 ft, because checked on BM1",
        ]
    );
    assert!(text.contains("Benchmark BM1 nail in oak: 101.25 ft"), "{text}");
}

/// A plan written elsewhere finds its files; what is not there is named.
#[test]
fn other_places_and_wrong_names() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    tarrow_end(folder);
    std::fs::create_dir(folder.join("else")).unwrap();
    done(folder, &[&["survey", "a.drain", "--leave-out", "phone", "-o", "else/b.drain"][..], &SIGNED].concat());
    let text = done(folder, &["survey", "else/b.drain"]);
    assert!(text.contains("Batch level: 41 shots") && text.contains("Leave out batch phone"), "{text}");
    assert!(!done(folder, &["survey", "a.drain"]).contains("Leave out batch phone, because"));
    for (arguments, expected) in [
        (["--shift", "nobody=1ft"], "there is no batch nobody; there are: level, phone"),
        (["--leave-out", "99"], "there is no shot 99"),
        (["--correct", "11"], "expected SHOT=HEIGHT"),
        (["--convert", "phone=cubits"], "'cubits' is no unit"),
        (["--keep", "phone"], "was held against nothing"),
        (["--add", "x=nowhere.csv"], "nowhere.csv"),
    ] {
        let output = drainwright(folder, &[&["survey", "a.drain"][..], &arguments, &SIGNED].concat());
        assert_eq!(output.status.code(), Some(2));
        assert!(told(&output).contains(expected), "{}", told(&output));
    }
}

/// Lidar is the ground and a few levels lie on it: the bias is told, and the lidar itself may be shifted.
#[test]
fn a_few_levels_on_lidar() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("lidar.asc"), lidar()).unwrap();
    let mut levels = String::from("point,easting,northing,elevation\n");
    for i in 0..6 {
        let (x, y) = (220.0 + 15.0 * i as f64, 40.0);
        levels.push_str(&format!("{i},{:.4},{:.4},{:.3}\n", x * FOOT_M, y * FOOT_M, ground(x, y) + 0.5));
    }
    std::fs::write(folder.join("levels.csv"), levels).unwrap();
    let new = [
        "new",
        "--ground",
        "lidar.asc",
        "--horizontal-unit",
        "m",
        "--batch",
        "level=levels.csv",
        "--vertical-unit",
        "ft",
        "-o",
        "a.drain",
    ];
    let told = done(folder, &new);
    assert!(
        told.contains("Batch level: 6 shots in international feet, datum not stated, +0.50 ft on the lidar"),
        "{told}"
    );
    assert!(message(&survey(folder, &[]), 100).contains("0.50 ft higher than the lidar over 6 shots"));
    let stands = survey(folder, &[&["--shift-lidar", "0.5ft"][..], &SIGNED].concat());
    assert_eq!(checks(&stands), [0u64; 0]);
    assert!(done(folder, &["survey", "a.drain"]).contains("R. Wren: Shift the lidar by +0.50 ft"));
    std::fs::copy(folder.join("lidar.asc"), folder.join("other.asc")).unwrap();
    let told = done(folder, &["survey", "a.drain", "--add", "other=other.asc"]);
    assert!(told.contains("other.asc is left out: the ground itself comes from a grid"), "{told}");
}

/// True once every finding has been tried.
fn all_tried(desk: &Desk) -> bool {
    let findings = &desk.session.worked().findings;
    findings.iter().all(|finding| desk.known(finding).tried.is_some())
}

/// Runs frames until the work beside the window is done.
fn settle(harness: &mut Harness<'_, Desk>) {
    for _ in 0..400 {
        harness.run_steps(2);
        if harness.state().jobs.is_empty() && all_tried(harness.state()) {
            harness.run_steps(2);
            return;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    panic!("the work does not end");
}

fn press(harness: &mut Harness<'_, Desk>, label: &str) {
    harness.get_all_by_label(label).next().unwrap_or_else(|| panic!("no {label}")).click();
    harness.run_steps(2);
    settle(harness);
}

fn write(harness: &mut Harness<'_, Desk>, label: &str, text: &str) {
    harness.get_by_label(label).focus();
    harness.run_steps(1);
    harness.get_by_label(label).type_text(text);
    harness.run_steps(2);
}

fn survey_checks(harness: &Harness<'_, Desk>) -> Vec<u16> {
    let derived = harness.state().session.worked();
    job::words::of_the_survey(&derived.findings).map(|finding| finding.check).collect()
}

/// See, decide, correct, undo, in the window.
#[test]
fn tarrow_end_in_the_window() {
    let folder = tempfile::tempdir().unwrap();
    tarrow_end(folder.path());
    let opened = job::files::open(&folder.path().join("a.drain"), &job::Progress::default()).unwrap();
    let desk = Desk::new(opened.session, Habits::default());
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 2400.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    press(&mut harness, "1  Ground");
    assert_eq!(harness.state().view.stage, Stage::Ground);
    harness.get_by_label("Batch phone");
    assert_eq!(survey_checks(&harness), [101, 99, 100, 103, 104, 105]);

    let before = harness.state().session.land().clone();
    press(&mut harness, "Read batch phone as meters");
    assert!(harness.state().session.plan().survey.corrections.is_empty(), "nothing is done unsigned");
    write(&mut harness, "Your name", "R. Wren");
    write(&mut harness, "Day", "2031-04-02");
    press(&mut harness, "Read batch phone as meters");
    assert_eq!(survey_checks(&harness), [99, 100, 103, 104, 105]);
    let relaid = harness.state().session.land().clone();
    assert!(before.relief_m() > 20.0 && relaid.relief_m() < 10.0, "the ground follows: {}", relaid.relief_m());
    write(&mut harness, "Because", "levels of BM1");
    press(&mut harness, "Correct 11 of batch level by −10.00 ft");
    press(&mut harness, "Shift batch level by −0.31 ft");
    assert_eq!(survey_checks(&harness), [104, 105]);
    harness.get_by_label("2031-04-02  R. Wren: Shift batch level by −0.31 ft, because levels of BM1");

    press(&mut harness, "Undo");
    assert_eq!(survey_checks(&harness), [100, 103, 104, 105]);
    assert_eq!(harness.state().session.plan().survey.corrections.len(), 2);
    press(&mut harness, "Redo");
    write(&mut harness, "New benchmark", "BM1 nail in oak, 3, 80, 101.25 ft");
    press(&mut harness, "Batch level");
    assert_eq!(harness.state().session.plan().survey.benchmarks.len(), 1);
}
