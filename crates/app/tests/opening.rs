//! What was handed over is found again: its path, and the way to it.

#![cfg(unix)]

use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

use crate::hand::{ask, opened};
use app::desk::{Desk, Habits};
use app::purpose::Purpose;
use app::view::Stage;
use app::wish::Wish;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

/// A program that writes down what it is to open, and ends so.
fn opener(folder: &Path, status: u8) -> PathBuf {
    let program = folder.join("opener");
    let asked = folder.join("asked");
    std::fs::write(&program, format!("#!/bin/sh\nprintf %s \"$1\" > '{}'\nexit {status}\n", asked.display()))
        .unwrap();
    std::fs::set_permissions(&program, std::fs::Permissions::from_mode(0o755)).unwrap();
    program
}

/// The first demo field, handed over into a folder.
fn handed_over(opener: PathBuf, out: &Path) -> Harness<'static, Desk> {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let habits = Habits { opener: Some(opener), ..Habits::default() };
    let mut harness = opened(Desk::new(session, habits), 1280.0, 1400.0);
    harness.state_mut().view.all_the_same = true;
    harness.state_mut().view.signature =
        plan::Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "mended".into() };
    ask(&mut harness, Wish::FreePath(Purpose::HandOver, out.to_path_buf()));
    ask(&mut harness, Wish::Go(Stage::Dig));
    harness
}

#[test]
fn the_folder_is_opened_and_its_path_copied() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("O'Neil \"north\"");
    let mut harness = handed_over(opener(folder.path(), 0), &out);
    harness.get_by_label(&out.display().to_string());
    harness.get_by_label("Open folder").click();
    harness.run_steps(4);
    assert_eq!(std::fs::read_to_string(folder.path().join("asked")).unwrap(), out.display().to_string());
    harness.get_by_label("Copy path").click();
    harness.step();
    let copied = harness.output().platform_output.commands.iter().find_map(|command| match command {
        egui::OutputCommand::CopyText(text) => Some(text.clone()),
        _ => None,
    });
    assert_eq!(copied, Some(out.display().to_string()));
}

#[test]
fn it_is_told_where_no_program_answers() {
    let folder = tempfile::tempdir().unwrap();
    for program in [opener(folder.path(), 3), folder.path().join("none")] {
        let out = folder.path().join("out");
        let mut harness = handed_over(program, &out);
        harness.get_by_label("Open folder").click();
        harness.run_steps(4);
        harness.get_by_label_contains("No program of this machine opened the folder");
        std::fs::remove_dir_all(&out).unwrap();
    }
}
