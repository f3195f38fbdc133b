//! Several hands on one plan, and plans that cannot be read, on the command line.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]
#![allow(clippy::print_stdout, reason = "what was found is worth reading")]

use std::path::Path;
use std::process::Command;

use serde_json::json;

use crate::common::{drainwright, told};

/// A field without a ground; its plan has one line.
fn field(folder: &Path) {
    let mut plan = plan::Plan::new("Test field", measure::Units::Feet);
    let points = vec![measure::Point::new(0.0, 0.0), measure::Point::new(100.0, 0.0)];
    let line = plan::Line::new("M1", plan::LineKind::Main, points);
    plan.apply(&plan::add_line(&plan, line).1).unwrap();
    exchange::save_plan(&plan, &folder.join("a.drain")).unwrap();
}

/// Eight commands at once: each line is in the plan, or its command said that it is not.
#[test]
fn of_eight_commands_at_once_none_is_lost_in_silence() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    field(at);
    for n in 0..8 {
        let y = 20.0 + 10.0 * n as f64;
        let feature = json!({"type": "Feature", "properties": {"name": format!("E{n}"), "kind": "lateral"},
            "geometry": {"type": "LineString", "coordinates": [[0.0, y], [90.0, y]]}});
        let all = json!({"type": "FeatureCollection", "features": [feature]});
        std::fs::write(at.join(format!("{n}.geojson")), all.to_string()).unwrap();
    }
    let ends: Vec<_> = std::thread::scope(|scope| {
        let at_once = (0..8).map(|n| {
            scope.spawn(move || drainwright(at, &["lines", "a.drain", &format!("{n}.geojson"), "--crs", "ground"]))
        });
        let at_once: Vec<_> = at_once.collect();
        at_once.into_iter().map(|run| run.join().unwrap()).collect()
    });
    let plan = exchange::read_plan(&at.join("a.drain")).unwrap();
    let mut written = 0;
    for (n, end) in ends.iter().enumerate() {
        let is_in = plan.line_named(&format!("E{n}")).is_some();
        assert_eq!(is_in, end.status.success(), "E{n}: {}", told(end));
        if !is_in {
            assert_eq!(end.status.code(), Some(2), "{}", told(end));
            assert!(told(end).contains("is being changed by"), "{}", told(end));
        }
        written += usize::from(is_in);
    }
    println!("{written} of 8 written");
    assert!(written >= 1);
    assert!(exchange::read_plan(&exchange::backup_path(&at.join("a.drain"))).is_ok());
    let left = std::fs::read_dir(at).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let left: Vec<String> = left.filter(|name| name.starts_with('.')).collect();
    assert!(left.is_empty() || !cfg!(unix), "{left:?}");
}

/// A plan that cannot be read: the command says what lies beside it, and what it prints puts it in its place.
#[test]
fn a_damaged_plan_is_mended_by_the_command_that_is_printed() {
    for (name, kept) in [("a.drain", "bak"), ("north field's.drain", "autosave")] {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path();
        field(at);
        let whole = std::fs::read_to_string(at.join("a.drain")).unwrap();
        std::fs::rename(at.join("a.drain"), at.join(name)).unwrap();
        std::fs::write(at.join(format!("{name}.{kept}")), &whole).unwrap();
        let invalid = whole.replace("\"x\": 100.0", "\"x\": 1e300");
        assert_ne!(invalid, whole);
        for damage in [&whole[..whole.len() / 2], "no plan at all", "", invalid.as_str()] {
            std::fs::write(at.join(name), damage).unwrap();
            let refused = drainwright(at, &["check", name]);
            let text = told(&refused);
            assert_eq!(refused.status.code(), Some(2), "{text}");
            assert!(text.contains("1 line, 328 ft in all"), "{text}");
            let command = text.lines().find(|line| line.starts_with("  mv ")).expect("a command").trim();
            let done = Command::new("sh").args(["-c", command]).current_dir(at).status().unwrap();
            assert!(done.success(), "{command}");
            assert_eq!(std::fs::read_to_string(at.join(name)).unwrap(), whole);
            assert_eq!(std::fs::read_to_string(at.join(format!("{name}.{kept}"))).unwrap(), whole);
        }
        let damaged = std::fs::read_to_string(at.join(format!("{name}.damaged"))).unwrap();
        assert_eq!(damaged, whole[..whole.len() / 2], "the first damaged one is kept");
    }
}

/// What lies beside a damaged plan may be damaged too; that is said, and no command is printed for it.
#[test]
fn what_cannot_be_read_either_is_not_offered() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.drain"), "{").unwrap();
    std::fs::write(at.join("a.drain.autosave"), "{").unwrap();
    let refused = drainwright(at, &["takeoff", "a.drain"]);
    let text = told(&refused);
    assert_eq!(refused.status.code(), Some(2));
    assert!(text.contains("autosave of ") && text.contains("cannot be read either"), "{text}");
    assert!(!text.contains("cp "), "{text}");
}
