//! The stage Lesson by its accessible labels: every lesson opened, questions answered, sliders moved, keys for next and back,
//! large type, lessons written.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::common;
use crate::hand::{press, push};
use app::desk::{Desk, Habits};
use app::view::Stage;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use lesson::Topic;

fn harness() -> Harness<'static, Desk> {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let desk = Desk::new(session, Habits::default());
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 900.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    harness.get_by_label("6  Lesson").click();
    harness.run_steps(3);
    harness
}

fn topic(harness: &Harness<'_, Desk>) -> (Topic, usize) {
    (harness.state().view.lesson.topic, harness.state().view.lesson.step)
}

#[test]
fn every_lesson_is_opened_and_says_its_three_sentences() {
    let mut harness = harness();
    assert_eq!(harness.state().view.stage, Stage::Lesson);
    for topic in Topic::ALL.into_iter().rev() {
        push(&mut harness, topic.name());
        let explains = lesson::lesson(topic).explains.join(" ");
        assert!(harness.query_by_label(&explains).is_some(), "{topic:?}");
        assert!(harness.query_by_label("Punch list").is_none(), "nothing but the lesson stands before a class");
    }
}

#[test]
fn right_and_wrong_answers_are_told() {
    let mut harness = harness();
    for topic in Topic::READY {
        harness.state_mut().view.lesson.open(topic);
        harness.run_steps(3);
        let question = lesson::lesson(topic).question;
        let wrong = (question.right + 1) % 3;
        for k in [wrong, question.right] {
            push(&mut harness, question.answers[k].words);
            for (other, answer) in question.answers.iter().enumerate() {
                assert_eq!(harness.query_by_label(answer.why).is_some(), other == k, "{topic:?} {k} {other}");
            }
        }
    }
}

/// Page down and Page up, as a presenter's remote sends them, go through all steps and lessons and back.
#[test]
fn keys_go_on_and_back() {
    let mut harness = harness();
    press(&mut harness, Key::PageUp);
    assert_eq!(topic(&harness), (Topic::WhereWaterGoes, 0));
    press(&mut harness, Key::PageDown);
    assert_eq!(topic(&harness), (Topic::UnderTheGround, 0));
    press(&mut harness, Key::PageDown);
    assert_eq!(topic(&harness), (Topic::UnderTheGround, 1));
    let steps: usize = Topic::ALL.iter().map(|topic| topic.steps() + 1).sum();
    (0..steps + 3).for_each(|_| press(&mut harness, Key::PageDown));
    assert_eq!(topic(&harness), (Topic::GuessFirst, 0));
    press(&mut harness, Key::PageUp);
    assert_eq!(topic(&harness), (Topic::WhatGradeDoes, 0), "a lesson that is gone back to begins anew");
    push(&mut harness, "1  Ground");
    press(&mut harness, Key::PageDown);
    assert_eq!(topic(&harness), (Topic::WhatGradeDoes, 0), "in other stages these keys are free");
}

#[test]
fn it_rains_and_the_days_pass() {
    let mut harness = harness();
    push(&mut harness, "Under the ground");
    assert!(harness.query_by_label("Before the rain the water stands at the pipes.").is_some());
    push(&mut harness, "Let it rain");
    assert!(harness.query_by_label_contains("Day 0: 2 in of rain have soaked in.").is_some());
    let deep = |harness: &Harness<'_, Desk>| {
        let lesson = &harness.state().view.lesson;
        lesson::Drying::of(lesson.setting).midway_m(lesson.step)
    };
    let mut last_m = deep(&harness);
    for day in 1..=3 {
        push(&mut harness, "Next day");
        assert!(harness.query_by_label_contains(&format!("Day {day}. Midway")).is_some());
        assert!(deep(&harness) > last_m);
        last_m = deep(&harness);
    }
    push(&mut harness, "Back");
    assert!(harness.query_by_label_contains("Day 2. Midway").is_some());
}

/// Sliders are moved by the keyboard alone; the days wet follow at once.
#[test]
fn sliders_are_moved_and_the_days_follow() {
    let mut harness = harness();
    push(&mut harness, "Under the ground");
    let before = harness.state().view.lesson.setting;
    for name in ["Spacing", "Depth of the pipe", "Soil", "Rain"] {
        harness.get_by_role_and_label(egui::accesskit::Role::Slider, name).focus();
        harness.run_steps(2);
        press(&mut harness, Key::ArrowRight);
    }
    let after = harness.state().view.lesson.setting;
    assert!(after.spacing_m > before.spacing_m && after.depth_m > before.depth_m && after.rain_m > before.rain_m);
    assert_ne!(after.texture, before.texture);
    let days = lesson::wet_words(lesson::Drying::of(after).wet);
    assert!(harness.query_all_by_label(&days).next().is_some(), "{days}");
}

#[test]
fn five_grades_run_and_a_dip_stands_full() {
    let mut harness = harness();
    push(&mut harness, "What grade does");
    for _ in 0..5 {
        push(&mut harness, "Next grade");
    }
    assert!(harness.query_by_label("A 4 in pipe carries its silt out from 0.55 % on.").is_some());
    push(&mut harness, "Show a dip");
    assert!(harness.query_by_label_contains("A dip of 1 in at 0.1 %.").is_some());
    push(&mut harness, "6 in");
    assert!(harness.query_by_label("A 6 in pipe carries its silt out from 0.32 % on.").is_some());
}

/// Switching units changes how numbers are written and nothing else; type grows for the back row.
#[test]
fn units_and_type_change_nothing_else() {
    let mut harness = harness();
    push(&mut harness, "Under the ground");
    let setting = harness.state().view.lesson.setting;
    harness.key_press_modifiers(Modifiers::COMMAND, Key::U);
    harness.run_steps(4);
    assert!(harness.query_by_label("8.23 m").is_some());
    assert_eq!(harness.state().view.lesson.setting, setting);
    let tall = |harness: &Harness<'_, Desk>| harness.get_by_label("without pipe").rect().height();
    let usual = tall(&harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::T);
    harness.run_steps(6);
    assert!(tall(&harness) > usual * 1.3, "{} {usual}", tall(&harness));
    push(&mut harness, "Large type");
    harness.run_steps(4);
    assert!((tall(&harness) - usual).abs() < 0.5);
}

#[test]
fn lessons_are_written_from_the_card() {
    let mut harness = harness();
    let folder = tempfile::tempdir().unwrap();
    for (name, starts) in [("class.html", "<!doctype html>"), ("class.pdf", "%PDF-")] {
        push(&mut harness, "Write lessons…");
        let path = folder.path().join(name);
        harness.get_by_label("Path").type_text(&path.display().to_string());
        harness.run_steps(2);
        push(&mut harness, "Write");
        harness.run_steps(4);
        let written = std::fs::read(&path).unwrap();
        assert!(written.starts_with(starts.as_bytes()), "{name}");
    }
}

/// The command says what it expects, writes over nothing unasked, and takes the demo field where no plan is named.
#[test]
fn the_command_writes_lessons() {
    let folder = common::demo("saltern-flat");
    let run = |arguments: &[&str]| common::drainwright(folder.path(), arguments);
    let refused = run(&["lesson", "-o", "lessons.txt"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(common::told(&refused).contains("found the ending 'txt', expected .pdf or .html"));
    assert_eq!(run(&["lesson", "-o", "l.html", "--number", "4"]).status.code(), Some(2));
    assert!(run(&["lesson", "-o", "l.html", "--number", "2", "--metric"]).status.success());
    let page = std::fs::read_to_string(folder.path().join("l.html")).unwrap();
    assert!(page.contains("Lesson 2.") && !page.contains("Lesson 1.") && page.contains("8 m apart"));
    let again = run(&["lesson", "a.drain", "-o", "l.html"]);
    assert_eq!(again.status.code(), Some(2), "{}", common::told(&again));
    assert!(run(&["lesson", "a.drain", "-o", "l.html", "--replace"]).status.success());
    let page = std::fs::read_to_string(folder.path().join("l.html")).unwrap();
    assert!(page.contains("Saltern Flat") && page.contains("Lesson 1."));
    assert!(run(&["lesson", "a.drain", "-o", "l.pdf", "--paper", "a4"]).status.success());
    assert_eq!(run(&["lesson", "missing.drain", "-o", "m.pdf"]).status.code(), Some(2));
}
