//! The window asks before it replaces anything, and before it reads what a plan names elsewhere.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;

use crate::hand::{ask, opened, push};
use app::desk::{Desk, Habits};
use app::panels::dialog::Dialog;
use app::purpose::Purpose;
use app::wish::Wish;
use egui_kittest::Harness;
use job::Session;

fn window(session: Session) -> Harness<'static, Desk> {
    opened(Desk::new(session, Habits::default()), 1280.0, 860.0)
}

fn demo() -> Harness<'static, Desk> {
    window(job::files::demo_session(job::demo::first_plan()).unwrap())
}

/// What the dialog of the system answers, or what was typed.
fn choose(harness: &mut Harness<'_, Desk>, purpose: Purpose, path: &Path) {
    ask(harness, Wish::Path(purpose, path.to_path_buf()));
}

fn waits(harness: &mut Harness<'_, Desk>, mut until: impl FnMut(&Desk) -> bool) -> bool {
    (0..1_000).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(10));
        harness.run_steps(1);
        until(harness.state())
    })
}

fn trouble(harness: &mut Harness<'_, Desk>) -> String {
    let Some(Dialog::Trouble(text)) = &harness.state().dialog else { panic!("it was not refused") };
    let text = text.clone();
    push(harness, "OK");
    text
}

/// Every output of the window: what lies there is replaced after a question only, and what must stay never.
#[test]
fn the_window_asks_before_it_replaces() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let mut harness = demo();
    let papers = [Purpose::WritePrices, Purpose::WriteGeojson, Purpose::WritePicture, Purpose::WriteSheets];
    for purpose in papers {
        std::fs::write(at("theirs.txt"), "a letter").unwrap();
        choose(&mut harness, purpose, &at("theirs.txt"));
        let Some(Dialog::Replace(ask)) = &harness.state().dialog else { panic!("{purpose:?} did not ask") };
        assert!(ask.question.starts_with("There is a file theirs.txt of that name already, 8 bytes, changed 2"));
        push(&mut harness, "Choose another name");
        assert!(matches!(harness.state().dialog, Some(Dialog::Path(_))), "{purpose:?}");
        push(&mut harness, "Cancel");
        assert_eq!(std::fs::read(at("theirs.txt")).unwrap(), b"a letter");
        choose(&mut harness, purpose, &at("theirs.txt"));
        push(&mut harness, "Replace it");
        assert!(waits(&mut harness, |desk| desk.jobs.is_empty()));
        assert_ne!(std::fs::read(at("theirs.txt")).unwrap(), b"a letter", "{purpose:?}");
        std::fs::write(at("plan.txt"), exchange::plan_text(harness.state().session.plan()).unwrap()).unwrap();
        for name in ["plan.txt", "x.bak", "x.autosave"] {
            choose(&mut harness, purpose, &at(name));
            assert!(trouble(&mut harness).contains("expected another name to write to"), "{purpose:?} {name}");
        }
    }
}

/// Saving under the name of another plan asks, and keeps it; saving again does not; what cannot be saved is told so that
/// nobody misses it.
#[test]
fn saving_over_another_plan_asks_and_keeps_it() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    exchange::save_plan(&plan::Plan::new("Theirs", measure::Units::Metric), &at("a.drain")).unwrap();
    let mut harness = demo();
    // A name without an ending means the file that has it.
    choose(&mut harness, Purpose::SavePlan, &at("a"));
    assert!(matches!(&harness.state().dialog, Some(Dialog::Replace(ask)) if ask.path == at("a.drain")));
    push(&mut harness, "Cancel");
    assert_eq!(exchange::read_plan(&at("a.drain")).unwrap().title.name, "Theirs");
    choose(&mut harness, Purpose::SavePlan, &at("a.drain"));
    push(&mut harness, "Replace it");
    choose(&mut harness, Purpose::SavePlan, &at("a.drain"));
    assert!(harness.state().dialog.is_none(), "the plan itself is no other file");
    let ground = at("larkmoor-bench.asc");
    choose(&mut harness, Purpose::SavePlan, &ground);
    assert!(trouble(&mut harness).contains("found a file that the plan is made from"));
    assert_eq!(exchange::read_plan(&at("a.drain.bak")).unwrap().title.name, "Theirs");
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::U);
    harness.run_steps(3);
    std::fs::remove_file(at("a.drain")).unwrap();
    std::fs::create_dir(at("a.drain")).unwrap();
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::S);
    harness.run_steps(3);
    assert!(trouble(&mut harness).starts_with("The plan is not saved. cannot read "));
    assert!(harness.state().session.history().is_unsaved());
}

/// A former hand-over is replaced after a question; a folder with anything of another's is refused.
#[test]
fn a_folder_is_handed_over_again_after_a_question() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let mut harness = demo();
    let signature = plan::Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "mended".into() };
    harness.state_mut().view.all_the_same = true;
    harness.state_mut().view.signature = signature;
    choose(&mut harness, Purpose::HandOver, &out);
    assert!((0..6).any(|_| waits(&mut harness, |desk| desk.jobs.is_empty())));
    assert!(out.join("SHA256SUMS").exists(), "{:?}", harness.state().told);
    choose(&mut harness, Purpose::HandOver, &out);
    assert!(
        matches!(&harness.state().dialog, Some(Dialog::Replace(ask)) if ask.question.contains("former hand-over"))
    );
    push(&mut harness, "Cancel");
    std::fs::write(out.join("notes.txt"), "mine").unwrap();
    choose(&mut harness, Purpose::HandOver, &out);
    assert!(trouble(&mut harness).contains("found notes.txt, which no hand-over put there"));
}

/// A plan whose ground lies elsewhere opens without it, and asks.
#[test]
fn ground_elsewhere_is_read_when_the_person_says_so() {
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let first = here.path().join("a.drain");
    job::files::save(&job::demo::first_plan().unwrap(), &first).unwrap();
    let ground = there.path().canonicalize().unwrap().join("own.asc");
    std::fs::rename(here.path().join("larkmoor-bench.asc"), &ground).unwrap();
    let text = std::fs::read_to_string(&first).unwrap();
    std::fs::write(&first, text.replace("larkmoor-bench.asc", &ground.display().to_string())).unwrap();
    for answer in ["Not now", "Read it from there"] {
        let mut harness = demo();
        choose(&mut harness, Purpose::OpenPlan, &first);
        assert!(waits(&mut harness, |desk| matches!(&desk.dialog, Some(Dialog::Allow(ask)) if ask.file == ground)));
        assert!(harness.state().session.ground().is_none());
        push(&mut harness, answer);
        assert!(waits(&mut harness, |desk| desk.jobs.is_empty()));
        assert_eq!(harness.state().session.ground().is_some(), answer != "Not now");
        assert!(!harness.state().session.history().is_unsaved());
    }
    // Said once, it is read without a question.
    let opened = job::files::open(&first, &job::Progress::default()).unwrap();
    assert!(opened.session.ground().is_some() && opened.outside.is_none());
}
