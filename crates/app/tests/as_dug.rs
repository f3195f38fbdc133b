//! The Record stage by its accessible labels: a shot is typed, judged, struck; a change is written down.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::push;
use app::desk::{Desk, Habits};
use app::view::Stage;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use land::Land;
use measure::{FOOT_M, Point, Units};
use plan::{Joins, Line, LineKind, Outlet, Pin, Plan, ShotOn};

/// A main of 200 ft that falls from 102.00 to 100.00; its name has quotes.
fn plan() -> Plan {
    plan_from(Point::new(0.0, 0.0))
}

/// The same with its outlet there.
fn plan_from(outlet: Point) -> Plan {
    let mut plan = Plan::new("Record", Units::Feet);
    let at = |x: f64| Point::new(outlet.x + x * FOOT_M, outlet.y);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at(0.0), 100.0 * FOOT_M));
    plan.apply(&edit).unwrap();
    let pins = vec![Pin { station_m: 200.0 * FOOT_M, invert_m: 102.0 * FOOT_M, straight: true }];
    let line = Line {
        joins: Joins::Outlet(outlet),
        pins,
        ..Line::new("M1 \"north\"", LineKind::Main, vec![at(0.0), at(200.0)])
    };
    plan.apply(&plan::add_line(&plan, line).1).unwrap();
    plan
}

fn harness(plan: Plan) -> Harness<'static, Desk> {
    let mut desk = Desk::new(Session::new(plan, None, Land::without_ground()), Habits::default());
    desk.view.stage = Stage::Record;
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 1400.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    harness
}

fn type_in(harness: &mut Harness<'_, Desk>, label: &str, text: &str) {
    let field = harness.get_by_role_and_label(egui::accesskit::Role::TextInput, label);
    field.focus();
    field.type_text(text);
    harness.run_steps(2);
}

fn sign(harness: &mut Harness<'_, Desk>, because: &str) {
    let signature = &mut harness.state_mut().view.signature;
    (signature.by, signature.on, signature.because) = ("R. Wren".into(), "2031-04-02".into(), because.into());
    harness.run_steps(2);
}

fn take(harness: &mut Harness<'_, Desk>, level: &str) {
    type_in(harness, "Level", level);
    push(harness, "Take this shot");
}

#[test]
fn shots_are_typed_judged_and_struck() {
    let mut harness = harness(plan());
    harness.get_by_label("Enter your name: who took a shot is kept.");
    sign(&mut harness, "");
    type_in(&mut harness, "Station", "0+00");
    for level in ["100.00", "100.55", "100.50", "101.50"] {
        take(&mut harness, level);
    }
    let record = |harness: &Harness<'_, Desk>| harness.state().session.plan().record.clone();
    assert_eq!(record(&harness).shots.len(), 4);
    assert_eq!(harness.state().view.shot.station, "2+00");
    harness.get_by_label("Not yet: the shot at 1+00 lies 0.05 ft under the one at 0+50, downstream of it.");

    harness.state_mut().view.shot.station = "1+00".into();
    take(&mut harness, "101.01");
    harness.get_by_label("Within limits, ready for the inspector.");
    push(&mut harness, "Trench filled 0+00 to 1+50");
    assert!(record(&harness).laid[0].backfilled);
    harness.get_by_label("0+00 to 1+50, trench filled");

    sign(&mut harness, "rod slipped");
    push(&mut harness, "4 shots");
    harness.run_steps(30);
    harness.get_all_by_label("Strike").nth(2).unwrap().click();
    harness.run_steps(4);
    assert_eq!(record(&harness).shots().count(), 4);
    assert_eq!(record(&harness).shots[4].struck.as_ref().unwrap().because, "rod slipped");
    harness.state_mut().session.undo();
    assert_eq!(harness.state().session.plan().record.shots().count(), 5);
}

/// The plane of the laser at 107.25, 6.25 on the rod, on the top of 6-in pipe (0.54 ft over the invert).
#[test]
fn a_rod_is_read_on_the_top_of_the_pipe() {
    let mut harness = harness(plan());
    sign(&mut harness, "");
    push(&mut harness, "Rod reading from an instrument");
    push(&mut harness, "top");
    type_in(&mut harness, "Station", "0+50");
    type_in(&mut harness, "Instrument height", "107.29");
    type_in(&mut harness, "Rod reading", "6.25 ft");
    push(&mut harness, "Take this shot");
    let shot = harness.state().session.plan().record.shots[0].clone();
    assert_eq!(shot.on, ShotOn::Top);
    assert!((shot.level_m - 101.04 * FOOT_M).abs() < 1e-9, "{shot:?}");
    let dug = harness.state().session.worked().dug().clone();
    let invert_m = dug.lines.values().next().unwrap().shots[0].invert_m;
    assert!((invert_m - 100.50 * FOOT_M).abs() < 1e-9, "{invert_m}");
}

#[test]
fn a_change_is_written_down_with_who_agreed() {
    let mut harness = harness(plan());
    sign(&mut harness, "");
    type_in(&mut harness, "What and why", "rock, laid 2 ft east");
    harness.get_by_label("Enter what was changed and why, and who agreed.");
    type_in(&mut harness, "Who agreed", "A. Marsh");
    push(&mut harness, "Write it down for M1 \"north\"");
    harness.get_by_label("M1 \"north\": rock, laid 2 ft east. Agreed by A. Marsh; R. Wren, 2031-04-02");
}

/// Laid 0.30 ft high at 1+00: seen first, with what it does; then the plan has it and nothing is left to regrade.
#[test]
fn what_is_not_dug_is_regraded_on_what_is_down() {
    let mut harness = harness(plan());
    sign(&mut harness, "");
    type_in(&mut harness, "Station", "0+50");
    take(&mut harness, "100.50");
    take(&mut harness, "101.30");
    push(&mut harness, "Regrade what is not dug…");
    harness.get_by_label("Do it").click();
    harness.run_steps(6);
    let worked = harness.state().session.worked();
    let design = worked.design.lines.values().next().unwrap();
    assert!((design.at(100.0 * FOOT_M).unwrap().invert_m.unwrap() - 101.30 * FOOT_M).abs() < 1e-9);
    assert!(worked.findings.iter().all(|finding| finding.check != 111));
    push(&mut harness, "Regrade what is not dug…");
    assert_eq!(harness.state().told.as_deref(), Some("Nothing to regrade: the plan has all that is down."));
}

/// Positions with a fix, of which the first stand on the benchmark.
fn sentences(at: Point, level_m: f64, from: usize) -> String {
    let (lon, lat) = exchange::Crs::from_epsg(32629).unwrap().to_lon_lat(at).unwrap();
    let minutes = |value: f64| format!("{:010.7}", value.abs().fract() * 60.0);
    let sentence = |n: usize| {
        let body = format!(
            "GNGGA,1012{:04.1},{:02.0}{},N,{:03.0}{},W,4,14,0.7,{:.3},M,-31.5,M,1.0,0000",
            n as f64 / 10.0,
            lat.floor(),
            minutes(lat),
            lon.abs().floor(),
            minutes(lon),
            level_m + 2.0
        );
        let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
        format!("${body}*{sum:02X}\r\n")
    };
    (from..from + 12).map(sentence).collect()
}

/// From a receiver on loopback: no shot before the check, then one that is told as taken once it is on the disk.
#[test]
fn a_shot_from_a_receiver_is_on_the_disk_before_it_is_told() {
    let (at, level_m) = (Point::new(451_000.0, 4_640_000.0), 100.50 * FOOT_M);
    let mut plan = plan_from(at);
    plan.ground = Some(plan::GroundRef {
        file: "none.asc".into(),
        crs: "EPSG:32629".into(),
        horizontal_unit: measure::LengthUnit::Metre,
        vertical_unit: measure::LengthUnit::Metre,
        datum: String::new(),
        columns: None,
        level_attribute: None,
        part: None,
        brought_from: None,
    });
    let mark = plan::Benchmark { name: "BM1".into(), at, level_m, datum: String::new() };
    plan.survey.benchmarks.push(mark);
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let mut harness = harness(plan);
    let folder = tempfile::tempdir().unwrap();
    let kept = folder.path().join("kept.drain");
    harness.state_mut().habits.unsaved = Some(kept.clone());
    sign(&mut harness, "");
    push(&mut harness, "Receiver");
    harness.run_steps(20);
    type_in(&mut harness, "Address", &listener.local_addr().unwrap().to_string());
    type_in(&mut harness, "Antenna height", "2 m");
    push(&mut harness, "Listen to it");
    let (mut to, _) = listener.accept().unwrap();
    let mut send = |harness: &mut Harness<'_, Desk>, from: usize| {
        std::io::Write::write_all(&mut to, sentences(at, level_m, from).as_bytes()).unwrap();
        for _ in 0..50 {
            std::thread::sleep(std::time::Duration::from_millis(10));
            harness.run_steps(1);
        }
    };
    send(&mut harness, 0);
    harness.get_by_label("Not yet checked on a benchmark.");
    push(&mut harness, "Shot here");
    send(&mut harness, 100);
    assert!(harness.state().session.plan().record.shots.is_empty(), "no shot before a check shot");
    push(&mut harness, "Check on BM1");
    send(&mut harness, 200);
    push(&mut harness, "Shot here");
    send(&mut harness, 300);
    let shots = harness.state().session.plan().record.shots.clone();
    assert_eq!(shots[0].fix.as_ref().map(|fix| fix.checked_on.as_str()), Some("BM1"));
    assert_eq!(harness.state().told.as_deref(), Some("Record 1 shot"));
    assert_eq!(exchange::read_plan(&kept).unwrap().record.shots, shots);
    drop(to);
    std::thread::sleep(std::time::Duration::from_millis(200));
    harness.run_steps(4);
    assert!(harness.state().receiving.as_ref().unwrap().ended.as_ref().unwrap().contains("closed the stream"));
    push(&mut harness, "Close the receiver");
    assert!(harness.state().receiving.is_none());
}

/// A photo beside the plan, at the station that is typed; one that was painted over is noticed.
#[test]
fn a_photo_is_taken_and_an_altered_one_is_noticed() {
    let folder = tempfile::tempdir().unwrap();
    let (file, image) = (folder.path().join("a.drain"), folder.path().join("tee.jpg"));
    exchange::save_plan(&plan(), &file).unwrap();
    std::fs::write(&image, "a photo").unwrap();
    let mut harness = harness(plan());
    harness.state_mut().session = Session::new(plan(), Some(file), Land::without_ground());
    harness.run_steps(4);
    sign(&mut harness, "");
    type_in(&mut harness, "Station", "0+50");
    push(&mut harness, "Add photo…");
    type_in(&mut harness, "Path", &image.display().to_string());
    harness.key_press(egui::Key::Enter);
    harness.run_steps(6);
    let photos = harness.state().session.plan().record.photos.clone();
    assert_eq!((photos.len(), photos[0].file.as_str()), (1, "tee.jpg"));
    assert!(matches!(photos[0].spot, Some(plan::Spot::Station { station_m, .. }) if station_m == 50.0 * FOOT_M));
    push(&mut harness, "Look at the photos");
    assert_eq!(harness.state().told.as_deref(), Some("1 photo, all there as they were taken in."));
    std::fs::write(&image, "painted over").unwrap();
    push(&mut harness, "Look at the photos");
    harness.get_by_label_contains("Photo tee.jpg: ALTERED");
}
