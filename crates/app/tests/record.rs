//! The Record stage by its accessible labels, and the same without a window.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::common::{demo, drainwright, told};
use crate::hand::{click, opened, push};
use app::desk::{Desk, Habits};
use app::purpose::Purpose;
use app::wish::Wish;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use measure::Point;
use plan::{Running, Signature};

fn window() -> Harness<'static, Desk> {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    opened(Desk::new(session, Habits::default()), 1280.0, 1800.0)
}

fn typed(harness: &mut Harness<'_, Desk>, label: &str, text: &str) {
    harness.get_by_label(label).focus();
    harness.run_steps(2);
    harness.get_by_label(label).type_text(text);
    harness.run_steps(2);
}

/// A flow is logged by bucket and watch, the record is signed, a later flow stands in the chained log; each is one step back.
#[test]
fn a_flow_is_logged_and_the_record_signed() {
    let mut harness = window();
    push(&mut harness, "5  Record");
    typed(&mut harness, "Bucket and time", "5 gal in 22 s");
    push(&mut harness, "Log the flow");
    assert!(harness.state().told.as_deref().unwrap().contains("by name and day"));
    // The day is that of the plan until another is typed.
    typed(&mut harness, "Your name", "R. Wren");
    push(&mut harness, "Log the flow");
    let flows = harness.state().session.plan().record.flows.clone();
    assert_eq!(flows.len(), 1, "{:?} {:?}", harness.state().told, harness.state().view.signature);
    let Running::Flow(m3s) = flows[0].running else { panic!("{flows:?}") };
    // 5 US gallons of 231 cubic inches in 22 s.
    assert!((m3s - 5.0 * 231.0 * 0.0254f64.powi(3) / 22.0).abs() < 1e-12, "{m3s}");
    typed(&mut harness, "Because", "as dug");
    push(&mut harness, "Sign the record");
    assert_eq!(harness.state().session.plan().record.signed.as_ref().unwrap().by, "R. Wren");
    typed(&mut harness, "Bucket and time", "dry");
    push(&mut harness, "It ran cloudy");
    push(&mut harness, "Log the flow");
    let record = &harness.state().session.plan().record;
    assert_eq!((record.flows.len(), record.log.len(), record.broken_link()), (2, 2, None));
    assert!(record.flows[1].cloudy && record.flows[1].running == Running::Dry);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    harness.run_steps(3);
    assert_eq!(harness.state().session.plan().record.log.len(), 1);
}

/// A click on the map asks of a wet spot; the button goes to where to dig first.
#[test]
fn a_wet_spot_is_clicked() {
    let mut harness = window();
    push(&mut harness, "5  Record");
    push(&mut harness, "Click a wet spot on the map");
    let plan = harness.state().session.plan().clone();
    let line = plan.line_named("L1").unwrap();
    let at = measure::point_at(&plan.lines[&line].points, 120.0).unwrap();
    click(&mut harness, Point::new(at.x + 2.0, at.y));
    let first = harness.state().view.wet_spot.clone().unwrap().told.suspects[0].clone();
    assert_eq!(first.name, "L1");
    let words = job::trouble::dig_words(&plan, &first);
    assert!(words.starts_with("Dig first at L1 "), "{words}");
    push(&mut harness, &words);
    assert_eq!(harness.state().view.selection.line(), Some(line));
    assert!(measure::distance(harness.state().view.camera.centre, first.dig_at) < 1e-6);
    assert_eq!(harness.state().session.plan(), &plan, "asking changes nothing");
}

/// The dossier is written beside the window and read back by the command.
#[test]
fn a_dossier_leaves_by_the_window_and_comes_back() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let mut harness = window();
    let ctx = harness.ctx.clone();
    app::apply::carry_out(harness.state_mut(), Wish::Path(Purpose::Dossier, out.clone()), &ctx);
    let done = (0..6_000).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(10));
        harness.run_steps(1);
        harness.state().jobs.is_empty() && out.join("SHA256SUMS").exists()
    });
    assert!(done, "{:?}", harness.state().told);
    let back = drainwright(folder.path(), &["new", "--dossier", "out", "-o", "b.drain"]);
    assert!(told(&back).contains("every file is as it was written"), "{}", told(&back));
    let plan = exchange::read_plan(&folder.path().join("b.drain")).unwrap();
    assert_eq!(plan.lines, harness.state().session.plan().lines);
    assert!(folder.path().join("ground/larkmoor-bench.asc").exists());
}

/// Without a window: flows, repairs and the signature are kept, printed, and told where they are wrong; a forged log is told.
#[test]
fn the_record_without_a_window() {
    let folder = demo("larkmoor-bench");
    let run = |arguments: &[&str]| {
        let output = drainwright(folder.path(), arguments);
        (output.status.code(), told(&output))
    };
    let by = ["--by", "R. Wren", "--on", "2031-04-02"];
    let add = |what: &[&str]| run(&[&["record", "a.drain"], what, &by].concat());
    let (code, said) = add(&["--flow", "O1", "5 gal in 22 s", "--cloudy"]);
    // 0.8603 l/s are 0.0304 cubic feet a second.
    assert!(
        code == Some(0) && said.contains("0.030 cfs") && said.contains("in/day over") && said.contains("CLOUDY"),
        "{said}"
    );
    let (_, again) = add(&["--flow", "O1", "5 gal in 22 s", "--cloudy"]);
    assert!(again.contains("It stands in the record already"), "{again}");
    let (code, said) = add(&[
        "--repair",
        "L1:1+50",
        "crushed pipe, 6 ft replaced",
        "--finished",
        "2031-03-28",
        "--sign",
        "--because",
        "as dug",
    ]);
    assert!(
        code == Some(0) && said.contains("signed by R. Wren, 2031-04-02: as dug") && said.contains("L1 1+50"),
        "{said}"
    );
    let (_, said) = add(&["--care", "203090,96030", "guard cleared"]);
    assert!(said.contains("log 2031-04-02 R. Wren: Record 1 note"), "{said}");
    for (wrong, expected) in [
        (["--flow", "O9", "dry"], "expected the name of an outlet: O1"),
        (["--flow", "O1", "a lot"], "a bucket and its time such as 5 gal in 22 s"),
        (["--repair", "L1:99+00", "x"], "a place on a line such as L2:1+50"),
    ] {
        let (code, said) = add(&wrong);
        assert!(code == Some(2) && said.contains(expected), "{said}");
    }
    let json = drainwright(folder.path(), &["record", "a.drain", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(
        (json["entries"].as_array().unwrap().len(), json["broken_log_entry"].clone()),
        (3, serde_json::Value::Null)
    );
    assert!(
        json["care"].as_array().unwrap().iter().any(|care| care["what"] == "outlet O1" && !care["told"][0].is_null())
    );

    let path = folder.path().join("a.drain");
    let mut forged = exchange::read_plan(&path).unwrap();
    forged.record.log[0].signed = Signature { by: "Nobody".into(), ..forged.record.log[0].signed.clone() };
    exchange::save_plan(&forged, &path).unwrap();
    let (_, said) = run(&["record", "a.drain"]);
    assert!(said.contains("entry 1 of the log of the record is not what was signed"), "{said}");
}

/// A shot that was mistaken is struck by its key, with name and reason; it stays, and nothing follows from it any more.
#[test]
fn a_shot_is_struck_without_a_window() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    std::fs::write(at.join("shots.csv"), "line,station,level\nL1,0+50,300.00\n").unwrap();
    let by = ["--by", "R. Wren", "--on", "2031-04-02"];
    let dug = drainwright(at, &[&["dug", "a.drain", "--shots", "shots.csv", "-o", "b.drain"], &by[..]].concat());
    assert_eq!(dug.status.code(), Some(0), "{}", told(&dug));
    let key = exchange::read_plan(&at.join("b.drain")).unwrap().record.shots[0].key.clone();
    let printed = told(&drainwright(at, &["record", "b.drain"]));
    assert!(printed.contains(&format!("[{key}]")), "{printed}");
    let strike = |more: &[&str]| {
        let output = drainwright(at, &[&["record", "b.drain", "--strike", &key], &by[..], more].concat());
        (output.status.code(), told(&output))
    };
    let (code, said) = strike(&[]);
    assert!(code == Some(2) && said.contains("--because REASON"), "{said}");
    let (code, said) = strike(&["--because", "the rod stood on a stone"]);
    assert!(code == Some(0) && said.contains("(struck)"), "{said}");
    let (code, said) = strike(&["--because", "again"]);
    assert!(code == Some(2) && said.contains("expected the key of a shot or a find that stands"), "{said}");
    let plan = exchange::read_plan(&at.join("b.drain")).unwrap();
    assert_eq!((plan.record.shots.len(), plan.record.shots().count()), (1, 0));
}

/// A wet spot without a window: told in words, and for programs.
#[test]
fn trouble_without_a_window() {
    let folder = demo("larkmoor-bench");
    let said = told(&drainwright(folder.path(), &["trouble", "a.drain", "--at", "203169,96090"]));
    assert!(said.contains("1. L1: ") && said.contains("Dig first at L1 ") && said.contains("located"), "{said}");
    let json = drainwright(folder.path(), &["trouble", "a.drain", "--at", "203169,96090", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(json["suspects"][0]["line"], "L1");
    assert!(json["caution"].as_str().unwrap().contains("utilities"));
    let wrong = drainwright(folder.path(), &["trouble", "a.drain", "--at", "here"]);
    assert!(
        wrong.status.code() == Some(2) && told(&wrong).contains("expected easting and northing"),
        "{}",
        told(&wrong)
    );
}
