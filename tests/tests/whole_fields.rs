//! Whole demo fields as text, and lengths and areas against shapely (tests/reference/geometry_values.py).

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use app::cli;
use app::files::demo_session;
use checks_of::above_a_note;
use measure::Point;
use serde_json::Value;

mod checks_of {
    use app::session::Session;

    /// Findings that are more than a note, by their short names.
    pub fn above_a_note(session: &Session) -> Vec<&'static str> {
        let findings = session.derived().findings.iter();
        findings.filter(|finding| finding.severity.word() != "note").map(|finding| finding.slug).collect()
    }
}

#[test]
fn the_first_demo_field_as_text() {
    let session = demo_session(app::demo::first_plan()).unwrap();
    assert_eq!(above_a_note(&session), ["adverse-grade"], "one planted mistake, and it is named");
    insta::assert_snapshot!(cli::text_lines(session.derived()).join("\n"));
}

#[test]
fn the_second_demo_field_as_text() {
    let session = demo_session(app::demo::second_plan()).unwrap();
    assert_eq!(above_a_note(&session), Vec::<&str>::new());
    insta::assert_snapshot!(cli::text_lines(session.derived()).join("\n"));
}

#[test]
fn the_planted_mistake_goes_away_with_its_fix_and_comes_back_with_undo() {
    let mut session = demo_session(app::demo::first_plan()).unwrap();
    let fix = session.derived().findings[0].fix.clone().expect("a fix");
    session.edit(&fix).unwrap();
    assert_eq!(above_a_note(&session), Vec::<&str>::new());
    session.undo();
    assert_eq!(above_a_note(&session), ["adverse-grade"]);
}

fn points(value: &Value) -> Vec<Point> {
    let pair = |p: &Value| Point::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
    value.as_array().unwrap().iter().map(pair).collect()
}

#[test]
fn lengths_and_areas_agree_with_shapely() {
    let text = include_str!("../reference/geometry_values.json");
    let values: Value = serde_json::from_str(text).unwrap();
    for line in values["lines"].as_array().unwrap() {
        let (ours, theirs) = (measure::path_length(&points(&line["points"])), line["length_m"].as_f64().unwrap());
        assert!((ours - theirs).abs() <= 1e-9 * theirs, "{ours} {theirs}");
    }
    for polygon in values["polygons"].as_array().unwrap() {
        let mut plan = plan::Plan::new("Area", measure::Units::Metric);
        let mut rings =
            polygon["rings"].as_array().map(|rings| rings.iter().map(points).collect::<Vec<_>>()).unwrap();
        for ring in &mut rings {
            if ring.first() == ring.last() {
                ring.pop();
            }
        }
        let field = plan::Field { ring: rings.remove(0), holes: rings };
        plan.apply(&plan::Edit::one("Draw", plan::Change::Field(Some(field)))).unwrap();
        let ours = takeoff::totals(&plan, &design::Design::default()).field_area_m2.unwrap();
        let theirs = polygon["area_m2"].as_f64().unwrap();
        assert!((ours - theirs).abs() <= 1e-9 * theirs, "{ours} {theirs}");
    }
}
