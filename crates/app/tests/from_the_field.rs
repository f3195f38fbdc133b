//! What a field page handed back, dropped on the window: looked at, taken as one step, told where two disagree.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::{Path, PathBuf};

use crate::hand::{ask, opened, push};
use app::desk::{Desk, Habits};
use app::panels::dialog::Dialog;
use app::wish::Wish;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use serde_json::json;

fn window() -> Harness<'static, Desk> {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let habits = Habits { beside: false, ..Habits::default() };
    opened(Desk::new(session, habits), 1280.0, 860.0)
}

/// A file with shots at the lower end of the first line, so far above the invert planned there.
fn file(harness: &Harness<'_, Desk>, folder: &Path, name: &str, shots: &[(&str, &str, f64)]) -> PathBuf {
    let worked = harness.state().session.at_rest();
    let (id, line) = worked.plan.lines.iter().next().unwrap();
    let at = worked.design.lines[id].at(0.0).unwrap();
    let feature = |(key, by, over_m): &(&str, &str, f64)| {
        json!({ "type": "Feature", "geometry": null, "properties": {
            "what": "shot", "key": key, "by": by, "at": "2031-05-02T09:14", "line": line.name, "line_id": id.0,
            "station_m": 0.0, "easting_m": at.at.x, "northing_m": at.at.y, "level_m": at.invert_m.unwrap() + over_m,
        } })
    };
    let told = worked.told();
    let all = json!({
        "type": "FeatureCollection", "format": plan::FIELD_FORMAT, "plan": worked.plan.title.name,
        "mark": sheets::mark(&told.lines, &told.facts), "features": shots.iter().map(feature).collect::<Vec<_>>(),
    });
    let path = folder.join(name);
    std::fs::write(&path, all.to_string()).unwrap();
    path
}

fn drop_on(harness: &mut Harness<'_, Desk>, path: &Path) {
    ask(harness, Wish::Drop(path.to_path_buf()));
}

fn shots(harness: &Harness<'_, Desk>) -> usize {
    harness.state().session.plan().record.shots.len()
}

#[test]
fn what_is_dropped_is_looked_at_and_taken_as_one_step() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = window();
    let first = file(&harness, folder.path(), "one.geojson", &[("p.1", "A. Marsh", 0.0), ("p.2", "A. Marsh", 0.001)]);
    drop_on(&mut harness, &first);
    assert!(harness.query_by_label("2 shots are new.").is_some());
    push(&mut harness, "Cancel");
    assert_eq!(shots(&harness), 0);
    drop_on(&mut harness, &first);
    push(&mut harness, "Bring it in");
    assert_eq!((shots(&harness), harness.state().session.history().undo_label()), (2, Some("Record 2 shots")));
    // The same again brings nothing.
    drop_on(&mut harness, &first);
    assert!(harness.query_by_label("nothing is new; 2 are there already.").is_some());
    push(&mut harness, "Cancel");
    // Another phone at the same place.
    let second = file(&harness, folder.path(), "two.json", &[("q.1", "R. Wren", 0.2)]);
    drop_on(&mut harness, &second);
    assert!(harness.query_by_label_contains("Both are kept").is_some());
    push(&mut harness, "Bring it in");
    assert_eq!(shots(&harness), 3);
    ask(&mut harness, Wish::Run(app::command::Command::Undo));
    assert_eq!(shots(&harness), 2);
}

#[test]
fn what_is_no_hand_back_is_read_as_before_and_another_plan_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = window();
    let path = file(&harness, folder.path(), "other.geojson", &[("p.1", "A. Marsh", 0.0)]);
    let other = std::fs::read_to_string(&path).unwrap().replace("Larkmoor Bench", "Elsewhere");
    let other = other.replace("\"mark\":\"", "\"mark\":\"x");
    std::fs::write(&path, other).unwrap();
    drop_on(&mut harness, &path);
    let Some(Dialog::Trouble(text)) = &harness.state().dialog else { panic!("it was not refused") };
    assert!(text.contains("found a draft of 'Elsewhere', expected a page of this plan"), "{text}");
    push(&mut harness, "OK");
    let lines = harness.state().session.plan().lines.len();
    std::fs::write(&path, json!({ "type": "FeatureCollection", "features": [] }).to_string()).unwrap();
    drop_on(&mut harness, &path);
    assert!(!matches!(harness.state().dialog, Some(Dialog::HandedBack(_))));
    assert_eq!(harness.state().session.plan().lines.len(), lines);
}
