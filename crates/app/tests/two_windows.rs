//! Two hands on one plan in the window, by its accessible labels: another writes the file, another window has it open,
//! the file is damaged, work of last time is there, and what is dragged is kept.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

use crate::hand::{push, says};
use app::desk::{Desk, Habits};
use app::saving;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use exchange::{Grip, PlanLock, Taken};
use job::Progress;
use job::Session;
use job::files;
use land::Land;
use measure::{Point, Units};
use plan::{Line, LineKind, Plan};

type Window = Harness<'static, Desk>;

fn with_line(plan: &Plan, name: &str) -> Plan {
    let points = vec![Point::new(0.0, 0.0), Point::new(60.0, 40.0), Point::new(120.0, 0.0)];
    plan.with(&plan::add_line(plan, Line::new(name, LineKind::Lateral, points)).1)
}

fn first() -> Plan {
    with_line(&Plan::new("Test field", Units::Feet), "L1")
}

/// A folder with a plan.
fn saved() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("block.drain");
    exchange::save_plan(&first(), &path).unwrap();
    (folder, path)
}

/// A window on a plan file, opened as the program opens it.
fn window(path: &Path) -> Window {
    let mut desk =
        Desk::new(Session::new(Plan::new("Unnamed", Units::Feet), None, Land::without_ground()), Habits::default());
    saving::lay(&mut desk, files::land(path, &Progress::default()).unwrap(), &egui::Context::default());
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 860.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    harness
}

/// Steps until something holds; false when it does not within ten seconds.
fn waits(harness: &mut Window, mut until: impl FnMut(&Window) -> bool) -> bool {
    (0..1_000).any(|_| {
        std::thread::sleep(Duration::from_millis(10));
        harness.run_steps(1);
        until(harness)
    })
}

fn draw(harness: &mut Window, name: &str) {
    let session = &mut harness.state_mut().session;
    let points = vec![Point::new(0.0, 60.0), Point::new(90.0, 60.0)];
    let edit = plan::add_line(session.plan(), Line::new(name, LineKind::Lateral, points)).1;
    session.edit(&edit).unwrap();
    harness.run_steps(2);
}

fn save(harness: &mut Window) {
    harness.key_press_modifiers(Modifiers::COMMAND, Key::S);
    harness.run_steps(4);
}

fn names(path: &Path) -> Vec<String> {
    exchange::read_plan(path).unwrap().lines.values().map(|line| line.name.clone()).collect()
}

/// Another program adds a line to the file.
fn other_writes(path: &Path) {
    exchange::save_plan(&with_line(&first(), "E0"), path).unwrap();
}

/// A window with work of its own, asked at saving since another wrote the file.
fn asked(path: &Path) -> Window {
    let mut harness = window(path);
    draw(&mut harness, "W1");
    other_writes(path);
    save(&mut harness);
    assert!(says(&harness, "block.drain was changed by another program"));
    assert_eq!(names(path), ["L1", "E0"], "nothing is written over");
    harness
}

#[test]
fn both_are_kept() {
    let (folder, path) = saved();
    let mut harness = asked(&path);
    push(&mut harness, "Keep both");
    let mine = folder.path().join("block-mine.drain");
    assert_eq!(names(&mine), ["L1", "W1"]);
    assert_eq!(names(&path), ["L1", "E0"]);
    assert_eq!(harness.state().session.path(), Some(mine.as_path()));
    assert!(!harness.state().session.history().is_unsaved());
    draw(&mut harness, "W2");
    save(&mut harness);
    assert_eq!(names(&mine), ["L1", "W1", "W2"], "it goes on with its own");
}

#[test]
fn the_difference_is_told_by_name() {
    let (_folder, path) = saved();
    let mut harness = asked(&path);
    push(&mut harness, "Look at the difference");
    assert!(says(&harness, "Line W1, E0 in the file: added here, added by the other"));
    push(&mut harness, "Cancel");
    assert_eq!(names(&path), ["L1", "E0"]);
}

#[test]
fn theirs_is_taken_and_mine_is_kept() {
    let (folder, path) = saved();
    let mut harness = asked(&path);
    push(&mut harness, "Take theirs");
    assert!(waits(&mut harness, |harness| harness.state().session.plan().line_named("E0").is_some()));
    assert!(harness.state().session.plan().line_named("W1").is_none());
    assert_eq!(names(&folder.path().join("block-mine.drain")), ["L1", "W1"]);
    assert!(harness.state().dialog.is_none());
    draw(&mut harness, "W2");
    save(&mut harness);
    assert_eq!(names(&path), ["L1", "E0", "W2"], "what was read anew is saved without a question");
}

#[test]
fn what_is_written_over_stays_as_the_backup() {
    let (_folder, path) = saved();
    let mut harness = asked(&path);
    push(&mut harness, "Write over it");
    assert_eq!(names(&path), ["L1", "W1"]);
    assert_eq!(names(&exchange::backup_path(&path)), ["L1", "E0"]);
    draw(&mut harness, "W2");
    save(&mut harness);
    assert_eq!(names(&path), ["L1", "W1", "W2"]);
}

/// While a command changes the plan the window does not save into it.
#[test]
fn a_save_waits_for_a_command_and_then_says_so() {
    let (_folder, path) = saved();
    let mut harness = window(&path);
    draw(&mut harness, "W1");
    let Taken::Ours(held) = PlanLock::take(&path, Grip::Change, "another command") else { panic!("held") };
    save(&mut harness);
    assert!(says(&harness, "block.drain is being changed by another command"));
    assert_eq!(names(&path), ["L1"]);
    push(&mut harness, "OK");
    drop(held);
    save(&mut harness);
    assert_eq!(names(&path), ["L1", "W1"]);
}

/// The file changes under the open window: that is noticed by itself, and one click reads it anew.
#[test]
fn a_change_under_the_window_is_noticed_at_once() {
    let (_folder, path) = saved();
    let mut harness = window(&path);
    save(&mut harness);
    std::thread::sleep(Duration::from_millis(1_300));
    harness.run_steps(2);
    assert!(!says(&harness, "was changed by another program"), "its own save is no change of another's");
    other_writes(&path);
    let began = Instant::now();
    assert!(waits(&mut harness, |harness| says(harness, "block.drain was changed by another program at ")));
    assert!(began.elapsed() < Duration::from_secs(5), "{:?}", began.elapsed());
    push(&mut harness, "Read it anew");
    assert!(waits(&mut harness, |harness| harness.state().session.plan().line_named("E0").is_some()));
    harness.run_steps(3);
    assert!(!says(&harness, "was changed by another program"));
}

#[test]
fn a_change_under_unsaved_work_offers_both_and_the_difference() {
    let (folder, path) = saved();
    let mut harness = window(&path);
    draw(&mut harness, "W1");
    other_writes(&path);
    assert!(waits(&mut harness, |harness| says(harness, "block.drain was changed by another program at ")));
    push(&mut harness, "Look at the difference");
    assert!(says(&harness, "Line W1, E0 in the file"));
    push(&mut harness, "Cancel");
    push(&mut harness, "Keep both");
    assert_eq!(names(&folder.path().join("block-mine.drain")), ["L1", "W1"]);
    assert!(!says(&harness, "was changed by another program"));
}

#[test]
fn a_file_that_was_taken_away_is_told_and_saved_again() {
    let (_folder, path) = saved();
    let mut harness = window(&path);
    draw(&mut harness, "W1");
    fs::remove_file(&path).unwrap();
    assert!(waits(&mut harness, |harness| says(harness, "block.drain was taken away")));
    save(&mut harness);
    assert_eq!(names(&path), ["L1", "W1"]);
}

/// The second window knows of the first, changes nothing, and never sees its autosave; once the first is closed it works.
#[test]
fn a_second_window_only_looks() {
    let (folder, path) = saved();
    let first = window(&path);
    fs::copy(&path, exchange::autosave_path(&path)).unwrap();
    exchange::save_plan(&with_line(&Plan::new("x", Units::Feet), "A1"), &exchange::autosave_path(&path)).unwrap();
    let mut second = window(&path);
    assert!(says(&second, "block.drain is open in another window"));
    assert!(says(&second, &format!("process {}", std::process::id())));
    assert!(!says(&second, "Unsaved work of last time"));
    push(&mut second, "Open read-only");
    assert!(says(&second, "Read-only."));
    let edit =
        plan::remove_line(second.state().session.plan(), first.state().session.plan().line_named("L1").unwrap());
    assert!(second.state_mut().session.edit(&edit.unwrap()).is_err());
    second.run_steps(3);
    assert!(!second.state().session.history().is_unsaved());
    save(&mut second);
    second.get_by_label("Path").type_text(&path.display().to_string());
    second.run_steps(2);
    push(&mut second, "Write");
    assert!(says(&second, "is open in another window"));
    assert!(says(&second, "Save under another name"), "not over the first window's file");
    push(&mut second, "OK");
    push(&mut second, "Work on it here");
    assert!(says(&second, "It is still open in"));
    push(&mut second, "OK");
    drop(first);
    push(&mut second, "Work on it here");
    assert!(waits(&mut second, |harness| !says(harness, "Read-only.")));
    // What the first left is work of last time by now.
    assert!(waits(&mut second, |harness| says(harness, "Unsaved work of last time")));
    push(&mut second, "Not now");
    draw(&mut second, "W1");
    save(&mut second);
    assert_eq!(names(&path), ["L1", "W1"]);
    assert_eq!(names(&folder.path().join("block.drain.autosave")), ["A1"], "what was left for now is still there");
}

#[test]
fn a_second_window_goes_on_with_a_copy() {
    let (folder, path) = saved();
    let _first = window(&path);
    let mut second = window(&path);
    push(&mut second, "Go on with a copy…");
    let copy = folder.path().join("copy.drain");
    second.get_by_label("Path").type_text(&copy.display().to_string());
    second.run_steps(2);
    push(&mut second, "Write");
    assert!(!says(&second, "Read-only."));
    draw(&mut second, "W1");
    save(&mut second);
    assert_eq!((names(&copy), names(&path)), (vec!["L1".into(), "W1".into()], vec!["L1".to_string()]));
}

fn set_date(path: &Path, ago: Duration) {
    let file = fs::File::options().write(true).open(path).unwrap();
    file.set_modified(SystemTime::now() - ago).unwrap();
}

/// The autosave is offered with both dates though the plan file is newer; taking it keeps the plan file as the backup.
#[test]
fn kept_work_is_offered_also_where_the_plan_is_newer() {
    let (_folder, path) = saved();
    let kept = exchange::autosave_path(&path);
    exchange::save_plan(&with_line(&first(), "A1"), &kept).unwrap();
    set_date(&kept, Duration::from_secs(3 * 86_400));
    let mut harness = window(&path);
    assert!(says(&harness, "Unsaved work of last time"));
    assert!(says(&harness, &format!("Autosave of {}: 2 lines", job::clock::written_words(&kept))));
    assert!(says(&harness, &format!("Plan file of {}: 1 line,", job::clock::written_words(&path))));
    assert!(says(&harness, "The plan file was written after the autosave."));
    assert!(says(&harness, "Line A1: only in the autosave"));
    push(&mut harness, "Recover it");
    assert!(waits(&mut harness, |harness| harness.state().session.plan().line_named("A1").is_some()));
    assert_eq!(names(&path), ["L1"]);
    save(&mut harness);
    assert_eq!((names(&path).len(), names(&exchange::backup_path(&path)).len()), (2, 1));
    assert!(!kept.exists(), "what is saved is no longer kept");
}

/// Escape is no answer: the autosave stays, and the next one does not write over it.
#[test]
fn kept_work_that_is_not_answered_for_stays() {
    let (folder, path) = saved();
    let kept = exchange::autosave_path(&path);
    exchange::save_plan(&with_line(&first(), "A1"), &kept).unwrap();
    let mut harness = window(&path);
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert!(!says(&harness, "Unsaved work of last time"));
    draw(&mut harness, "W1");
    assert!(waits(&mut harness, |_| names(&kept).contains(&"W1".to_string())));
    assert_eq!(names(&folder.path().join("block-autosave.drain")), ["L1", "A1"]);
}

#[test]
fn a_damaged_autosave_never_keeps_the_plan_from_opening() {
    for damage in ["", "{", "\u{0}\u{0}", "{\"format\": \"drainwright plan\"}"] {
        let (_folder, path) = saved();
        fs::write(exchange::autosave_path(&path), damage).unwrap();
        let harness = window(&path);
        assert!(harness.state().dialog.is_none());
        assert!(harness.state().session.plan().line_named("L1").is_some());
        assert!(harness.state().told.as_ref().unwrap().contains("The autosave cannot be read"));
        assert!(exchange::autosave_path(&path).exists());
    }
}

/// A damaged plan opens the window and offers what lies beside it; saved, the damaged file and the backup are both kept.
#[test]
fn a_damaged_plan_offers_backup_and_autosave() {
    let (folder, path) = saved();
    exchange::save_plan(&with_line(&first(), "A1"), &exchange::autosave_path(&path)).unwrap();
    fs::copy(&path, exchange::backup_path(&path)).unwrap();
    let whole = fs::read_to_string(&path).unwrap();
    for damage in [whole[..whole.len() / 2].to_string(), "no plan".into(), whole.replace("60.0", "1e300")] {
        assert_ne!(damage, whole);
        fs::write(&path, &damage).unwrap();
        let mut harness = window(&path);
        assert!(says(&harness, "block.drain cannot be read"));
        assert!(says(&harness, "Backup of ") && says(&harness, "1 line, 473 ft in all"));
        assert!(says(&harness, "Autosave of ") && says(&harness, "2 lines, 946 ft in all"));
        push(&mut harness, "Cancel");
        assert!(harness.state().dialog.is_none());
        assert_eq!(fs::read_to_string(&path).unwrap(), damage, "nothing is changed");
    }
    let mut harness = window(&path);
    push(&mut harness, "Open the backup");
    assert!(waits(&mut harness, |harness| harness.state().session.plan().line_named("L1").is_some()));
    save(&mut harness);
    assert_eq!(names(&path), ["L1"]);
    assert_eq!(names(&exchange::backup_path(&path)), ["L1"], "the backup is no damaged file");
    assert_eq!(
        fs::read_to_string(folder.path().join("block.drain.damaged")).unwrap(),
        whole.replace("60.0", "1e300")
    );
    assert_eq!(names(&exchange::autosave_path(&path)), ["L1", "A1"], "taking one keeps the other");
}

/// Unbroken dragging and unbroken edits: what is kept is never older than ten seconds, what is dragged included.
#[test]
fn work_is_kept_while_a_drag_goes_on() {
    let (_folder, path) = saved();
    let kept = exchange::autosave_path(&path);
    let mut harness = window(&path);
    let id = harness.state().session.plan().line_named("L1").unwrap();
    let began = Instant::now();
    let mut oldest = Duration::ZERO;
    while began.elapsed() < Duration::from_secs(14) {
        // Where the bend lies says when it was there.
        let x = 60.0 + began.elapsed().as_secs_f64();
        let session = &mut harness.state_mut().session;
        let edit = plan::move_point(session.plan(), id, 1, Point::new(x, 40.0));
        session.gesture(edit);
        harness.run_steps(1);
        let shown = exchange::read_plan(&kept).map_or(60.0, |plan| plan.lines[&id].points[1].x);
        oldest = oldest.max(began.elapsed().saturating_sub(Duration::from_secs_f64(shown - 60.0)));
        std::thread::sleep(Duration::from_millis(30));
    }
    assert!(oldest < Duration::from_secs(8), "{oldest:?}");
    harness.state_mut().session.gesture(None);
    harness.run_steps(2);
    assert!(!kept.exists(), "what was let go without a trace leaves none");
}

/// A boundary half drawn is kept as if it ended there.
#[test]
fn what_is_half_drawn_is_kept() {
    let (_folder, path) = saved();
    let kept = exchange::autosave_path(&path);
    let mut harness = window(&path);
    push(&mut harness, "Boundary");
    let rect = harness.get_by_label("Map").rect();
    for (x, y) in [(0.2, 0.2), (0.8, 0.2), (0.8, 0.7)] {
        let at = rect.lerp_inside(egui::vec2(x, y));
        harness.hover_at(at);
        harness.run_steps(1);
        harness.drag_at(at);
        harness.run_steps(1);
        harness.drop_at(at);
        harness.run_steps(30);
    }
    assert!(harness.state().session.plan().field.is_none());
    let is_kept =
        |_: &Window| exchange::read_plan(&kept).is_ok_and(|plan| plan.field.is_some_and(|f| f.ring.len() == 3));
    assert!(waits(&mut harness, is_kept));
}

/// A plan that was never open here is not written over unasked.
#[test]
fn another_plan_of_that_name_is_asked_about() {
    let (folder, path) = saved();
    let other = folder.path().join("other.drain");
    exchange::save_plan(&with_line(&first(), "E0"), &other).unwrap();
    let mut harness = window(&path);
    draw(&mut harness, "W1");
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    harness.run_steps(4);
    harness.get_by_label("Path").type_text(&other.display().to_string());
    harness.run_steps(2);
    push(&mut harness, "Write");
    assert!(says(&harness, "There is a file other.drain of that name already"));
    assert_eq!(names(&other), ["L1", "E0"]);
    push(&mut harness, "Replace it");
    assert_eq!(names(&other), ["L1", "W1"]);
    assert_eq!(names(&exchange::backup_path(&other)), ["L1", "E0"]);
}
