//! Work beside the window, the threaded way as a person has it: several tasks at once, each given up by itself, none begun
//! twice, and none that leaves the plan or its ground other than it says.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::hand::{opened, says};
use app::apply;
use app::desk::{Desk, Habits};
use app::jobs::Kind;
use app::purpose::Purpose;
use app::saving;
use app::wish::Wish;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::{Progress, Session, ground};
use land::Land;
use measure::{Point, Units};
use plan::{Landmark, LandmarkKind, Line, LineKind, Outline, Plan, Remedy, Signature};

type Window = Harness<'static, Desk>;

fn window(session: Session) -> Window {
    let habits = Habits { beside: true, ..Habits::default() };
    opened(Desk::new(session, habits), 1280.0, 900.0)
}

fn demo() -> Window {
    window(job::files::demo_session(job::demo::first_plan()).unwrap())
}

fn empty() -> Window {
    window(Session::new(Plan::new("Test field", Units::Metric), None, Land::without_ground()))
}

fn ask(harness: &mut Window, wish: Wish) {
    let ctx = harness.ctx.clone();
    apply::carry_out(harness.state_mut(), wish, &ctx);
}

/// Steps until something holds; false when it does not within half a minute.
fn waits(harness: &mut Window, mut until: impl FnMut(&Window) -> bool) -> bool {
    (0..6_000).any(|_| {
        std::thread::sleep(Duration::from_millis(5));
        harness.run_steps(1);
        until(harness)
    })
}

fn is_done(harness: &Window) -> bool {
    harness.state().jobs.is_empty()
}

/// A grid that takes a while to read.
fn wide(folder: &Path) -> PathBuf {
    let path = folder.join("wide.asc");
    let rows = format!("{}\n", "101.25 ".repeat(1_200)).repeat(1_200);
    std::fs::write(&path, format!("ncols 1200\nnrows 1200\nxllcorner 0\nyllcorner 0\ncellsize 1\n{rows}")).unwrap();
    path
}

fn read_wide(harness: &mut Window, path: &Path) {
    // In the system of the demo field: another would be asked about first.
    let ground = job::demo::first_plan().unwrap().ground.unwrap();
    let crs = exchange::Crs::of_ground(&ground).ok();
    let options = exchange::ReadOptions { crs, ..ground::read_options() };
    ask(harness, Wish::ReadGround(path.to_path_buf(), options));
}

/// Sheets are written while ground is read; each has its own way to be given up, and the other goes on.
#[test]
fn two_tasks_run_at_once_and_each_is_cancelled_by_itself() {
    let folder = tempfile::tempdir().unwrap();
    let (path, pdf) = (wide(folder.path()), folder.path().join("sheets.pdf"));
    for cancelled in ["Cancel Opening wide.asc", "Cancel Writing sheets: sheets.pdf"] {
        let mut harness = demo();
        let before = harness.state().session.land().clone();
        ask(&mut harness, Wish::FreePath(Purpose::WriteSheets, pdf.clone()));
        read_wide(&mut harness, &path);
        let both = |harness: &Window| {
            ["Writing sheets: sheets.pdf", "Opening wide.asc"].iter().all(|text| says(harness, text))
        };
        assert!(waits(&mut harness, both), "both are shown with what they are at");
        harness.get_by_label(cancelled).click();
        harness.run_steps(3);
        assert!(harness.query_by_label(cancelled).is_none());
        assert_eq!(harness.state().jobs.runs(Kind::Write), cancelled.contains("wide"), "the other goes on");
        assert!(waits(&mut harness, is_done));
        assert_eq!(pdf.exists(), cancelled.contains("wide"));
        assert_eq!(before.is_laid_as(harness.state().session.land()), cancelled.contains("wide"));
        assert!(harness.state().dialog.is_none(), "and nothing is complained of");
        let _ = std::fs::remove_file(&pdf);
    }
}

/// A second wish for the same thing is told to be under way; another file dialog stops nothing.
#[test]
fn the_same_is_not_done_twice() {
    let folder = tempfile::tempdir().unwrap();
    let (one, other) = (folder.path().join("a.pdf"), folder.path().join("b.pdf"));
    let mut harness = demo();
    ask(&mut harness, Wish::FreePath(Purpose::WriteSheets, one.clone()));
    ask(&mut harness, Wish::FreePath(Purpose::WriteSheets, one.clone()));
    assert!(harness.state().told.as_ref().unwrap().contains("a.pdf: this is under way already"));
    ask(&mut harness, Wish::FreePath(Purpose::WriteSheets, other.clone()));
    ask(&mut harness, Wish::AskPath(Purpose::OpenPlan));
    assert!(waits(&mut harness, is_done));
    assert!(one.exists() && other.exists());
}

/// What was read for a plan that was changed meanwhile is brought to the plan as it is: no number is used twice.
#[test]
fn what_was_read_comes_to_the_plan_as_it_is_by_then() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("marks.geojson");
    let mut harness = demo();
    let middle = harness.state().session.plan().outlets.values().next().unwrap().at;
    let plane = ground::plane(harness.state().session.plan()).name();
    let crs = format!(r#""crs":{{"type":"name","properties":{{"name":"{plane}"}}}}"#);
    let place = format!(r#"{{"type":"Point","coordinates":[{},{}]}}"#, middle.x, middle.y);
    let mark = format!(r#"{{"type":"Feature","properties":{{"what":"well"}},"geometry":{place}}}"#);
    let text = format!(r#"{{"type":"FeatureCollection",{crs},"features":[{mark}]}}"#);
    std::fs::write(&file, text).unwrap();
    let count = harness.state().session.plan().landmarks.len();
    ask(&mut harness, Wish::FreePath(Purpose::ReadMarks, file));
    let plan = harness.state().session.plan();
    let drawn = Landmark {
        name: plan.free_name("K"),
        kind: LandmarkKind::Hedge,
        outline: Outline::Along(vec![middle, Point::new(middle.x + 20.0, middle.y)]),
        note: String::new(),
    };
    let edit = plan::add_landmark(plan, drawn).1;
    harness.state_mut().session.edit(&edit).unwrap();
    assert!(waits(&mut harness, is_done));
    let marks = &harness.state().session.plan().landmarks;
    assert_eq!(marks.len(), count + 2, "{:?}", harness.state().dialog);
    let names: std::collections::BTreeSet<&str> = marks.values().map(|mark| mark.name.as_str()).collect();
    assert_eq!(names.len(), marks.len());
    harness.state_mut().session.undo();
    assert_eq!(harness.state().session.plan().landmarks.len(), count + 1, "one undo step");
}

/// Ground comes in whatever was drawn while it was read.
#[test]
fn ground_comes_in_whatever_was_edited_meanwhile() {
    let folder = tempfile::tempdir().unwrap();
    let path = wide(folder.path());
    let mut harness = empty();
    read_wide(&mut harness, &path);
    let session = &mut harness.state_mut().session;
    let line = Line::new("L1", LineKind::Lateral, vec![Point::new(100.0, 100.0), Point::new(300.0, 200.0)]);
    session.edit(&plan::add_line(session.plan(), line).1).unwrap();
    assert!(waits(&mut harness, is_done));
    let session = &harness.state().session;
    assert!(session.ground().is_some() && session.plan().line_named("L1").is_some());
    assert_eq!(session.history().undo_label(), Some("Bring in the ground"));
}

/// The plan that the program is started with is opened beside the window, which is there at once.
#[test]
fn a_plan_is_opened_beside_the_window() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.drain");
    job::files::save(&job::demo::first_plan().unwrap(), &path).unwrap();
    let mut harness = empty();
    let map = harness.get_by_label("Map").rect();
    let ctx = harness.ctx.clone();
    saving::open(harness.state_mut(), &path, &ctx);
    saving::open(harness.state_mut(), &path, &ctx);
    assert!(harness.state().told.as_ref().unwrap().contains("this is under way already"));
    harness.run_steps(1);
    assert!(waits(&mut harness, |harness| harness.state().session.path() == Some(&path)));
    assert!(harness.state().session.ground().is_some());
    harness.run_steps(3);
    assert_eq!(harness.get_by_label("Map").rect(), map, "nothing jumps when the plan is there");
}

/// Sheets that are being written are of the plan they were asked for, though another is opened meanwhile.
#[test]
fn what_is_being_written_goes_on_when_another_plan_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("a.pdf");
    let mut harness = demo();
    ask(&mut harness, Wish::FreePath(Purpose::WriteSheets, pdf.clone()));
    ask(&mut harness, Wish::Run(app::command::Command::New));
    assert!(harness.state().session.plan().lines.is_empty());
    assert!(waits(&mut harness, is_done));
    assert!(pdf.exists());
    assert!(harness.state().told.as_ref().unwrap().ends_with("It holds the plan as it was when this was asked for."));
}

/// A survey of 120 × 120 points on which corrected ground takes a moment to lay.
fn surveyed(folder: &Path) -> Session {
    let path = folder.join("points.csv");
    let mut text = String::from("point,easting,northing,elevation\n");
    for i in 0..14_400 {
        let (x, y) = ((i % 120) as f64 * 3.0, (i / 120) as f64 * 3.0);
        text.push_str(&format!("{i},{x},{y},{:.3}\n", 100.0 + 0.01 * x + 0.4 * (y / 60.0).sin()));
    }
    std::fs::write(&path, text).unwrap();
    let options =
        exchange::ReadOptions { horizontal_unit: Some(measure::LengthUnit::Metre), ..ground::read_options() };
    let opened = ground::read(&path, &options, &Progress::default()).unwrap();
    let mut plan = Plan::new("Surveyed", Units::Metric);
    plan.ground = Some(opened.reference);
    let line = Line::new("L1", LineKind::Lateral, vec![Point::new(60.0, 60.0), Point::new(60.0, 240.0)]);
    plan.apply(&plan::add_line(&plan, line).1).unwrap();
    Session::new(plan, None, opened.land)
}

fn correct(harness: &mut Window, shot: usize) {
    let session = &mut harness.state_mut().session;
    let shot = session.land().survey.as_ref().unwrap().shot_name(shot);
    let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: "a slip".into() };
    session.edit(&plan::correct(session.plan(), vec![Remedy::LeaveOut { shot }], &signed)).unwrap();
}

/// Laying the corrected ground is given up: it is told that the ground is the former one, nothing is kept of it, what leaves
/// has the corrections all the same, and it is laid when somebody says so.
#[test]
fn ground_that_was_not_laid_is_told_and_never_leaves() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let mut harness = window(surveyed(folder.path()));
    correct(&mut harness, 7_260);
    assert!(waits(&mut harness, |harness| harness.query_by_label("Cancel Laying the corrected ground").is_some()));
    harness.get_by_label("Cancel Laying the corrected ground").click();
    harness.run_steps(3);
    for _ in 0..3 {
        assert!(says(&harness, "The ground shown is the former one."));
        assert!(harness.state().session.is_on_former_ground() && !harness.state().jobs.runs(Kind::Relay));
        assert!(harness.state().session.worked().not_to_be_kept().unwrap().contains("not yet laid"));
        harness.run_steps(1);
    }
    ask(&mut harness, Wish::FreePath(Purpose::WriteSheets, at("before.pdf")));
    assert!(waits(&mut harness, is_done));
    harness.get_by_label("Lay it now").click();
    harness.run_steps(2);
    assert!(waits(&mut harness, |harness| !harness.state().session.is_on_former_ground()));
    harness.run_steps(2);
    assert!(!says(&harness, "The ground shown is the former one."));
    ask(&mut harness, Wish::FreePath(Purpose::WriteSheets, at("after.pdf")));
    assert!(waits(&mut harness, is_done));
    assert_eq!(std::fs::read(at("before.pdf")).unwrap(), std::fs::read(at("after.pdf")).unwrap());
}

/// Ground is laid with the newest corrections: what was being laid with others is stopped.
#[test]
fn the_newest_corrections_are_laid() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = window(surveyed(folder.path()));
    correct(&mut harness, 7_260);
    harness.run_steps(1);
    correct(&mut harness, 40);
    assert!(waits(&mut harness, |harness| is_done(harness) && !harness.state().session.is_on_former_ground()));
    assert!(harness.state().laying.is_none());
    // Taken back, the ground is laid as it was.
    harness.state_mut().session.undo();
    harness.state_mut().session.undo();
    assert!(waits(&mut harness, |harness| is_done(harness) && !harness.state().session.is_on_former_ground()));
}

/// A drag in the window, the threaded way: the line in hand is where the pointer is, what follows from it comes when it is
/// worked out, and let go it is one edit and what follows from the plan.
#[test]
fn a_drag_is_worked_out_beside_the_window() {
    let mut harness = demo();
    let line = harness.state().session.plan().line_named("L1").unwrap();
    let points = harness.state().session.plan().lines[&line].points.clone();
    ask(&mut harness, Wish::Select(app::view::Selection::of(line)));
    harness.run_steps(2);
    let rect = harness.get_by_label("Map").rect();
    let lens = app::camera::Lens { camera: harness.state().view.camera, rect };
    let from = lens.to_screen(points[points.len() - 1]);
    harness.hover_at(from);
    harness.run_steps(1);
    harness.drag_at(from);
    harness.run_steps(1);
    for k in 1..=6 {
        harness.hover_at(from + egui::vec2(10.0, 5.0) * k as f32);
        harness.run_steps(1);
        let session = &harness.state().session;
        let gesture = session.gesture_in_hand().expect("the bend is in hand at once");
        let shown = &session.worked().plan;
        assert!(shown.lines.contains_key(&line) && !session.history().is_unsaved());
        assert!(session.plan().with(gesture).lines[&line].points != points);
    }
    assert!(waits(&mut harness, |harness| harness.state().session.steps_behind() == 0));
    let session = &harness.state().session;
    assert_eq!(session.worked().plan, session.plan().with(session.gesture_in_hand().unwrap()));
    harness.drop_at(from + egui::vec2(60.0, 30.0));
    harness.run_steps(2);
    let session = &harness.state().session;
    assert!(!session.in_gesture() && session.history().is_unsaved());
    let worked = job::Worked::of(session.plan().clone(), session.land());
    assert_eq!(session.worked().design, worked.design);
    assert_eq!(session.worked().findings, worked.findings);
    harness.state_mut().session.undo();
    assert_eq!(harness.state().session.plan().lines[&line].points, points, "one undo step");
}

/// Work that was begun on the open plan while another was being opened is kept, and told.
#[test]
fn work_begun_meanwhile_is_kept_when_another_plan_comes() {
    let folder = tempfile::tempdir().unwrap();
    let (path, own) = (folder.path().join("a.drain"), folder.path().join("own.drain"));
    job::files::save(&job::demo::first_plan().unwrap(), &path).unwrap();
    exchange::save_plan(&Plan::new("Own", Units::Metric), &own).unwrap();
    let mut harness = window(job::files::open(&own, &Progress::default()).unwrap().session);
    let ctx = harness.ctx.clone();
    saving::open(harness.state_mut(), &path, &ctx);
    let session = &mut harness.state_mut().session;
    let line = Line::new("L9", LineKind::Lateral, vec![Point::new(0.0, 0.0), Point::new(60.0, 40.0)]);
    session.edit(&plan::add_line(session.plan(), line).1).unwrap();
    assert!(waits(&mut harness, |harness| harness.state().session.path() == Some(&path)));
    let kept = exchange::autosave_path(&own);
    assert!(harness.state().told.as_ref().unwrap().starts_with(&format!("Yours is kept as {}", kept.display())));
    assert!(exchange::read_plan(&kept).unwrap().line_named("L9").is_some());
}
