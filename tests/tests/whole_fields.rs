//! Whole demo fields as text.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use app::cli;
use checks_of::above_a_note;
use job::files::demo_session;

mod checks_of {
    use job::Session;

    /// Findings that are more than a note, by their short names.
    pub fn above_a_note(session: &Session) -> Vec<&'static str> {
        let findings = session.worked().findings.iter();
        findings.filter(|finding| finding.severity.word() != "note").map(|finding| finding.slug).collect()
    }
}

#[test]
fn the_first_demo_field_as_text() {
    let session = demo_session(job::demo::first_plan()).unwrap();
    assert_eq!(above_a_note(&session), ["adverse-grade"], "one planted mistake, and it is named");
    insta::assert_snapshot!(cli::text_lines(session.worked()).join("\n"));
}

#[test]
fn the_second_demo_field_as_text() {
    let session = demo_session(job::demo::second_plan()).unwrap();
    assert_eq!(above_a_note(&session), Vec::<&str>::new());
    insta::assert_snapshot!(cli::text_lines(session.worked()).join("\n"));
}

#[test]
fn the_planted_mistake_goes_away_with_its_fix_and_comes_back_with_undo() {
    let mut session = demo_session(job::demo::first_plan()).unwrap();
    let fix = session.worked().tried()[0].fix().cloned().expect("a fix");
    session.edit(&fix).unwrap();
    assert_eq!(above_a_note(&session), Vec::<&str>::new());
    session.undo();
    assert_eq!(above_a_note(&session), ["adverse-grade"]);
}

/// A class hour: the ten mistakes of the teaching plan are all found.
#[test]
fn the_ten_mistakes_are_found() {
    let session = demo_session(job::demo::ten_mistakes()).unwrap();
    let findings = &session.worked().findings;
    for check in [1, 26, 48, 53, 55, 63, 68, 82, 87, 99] {
        let found = findings.iter().any(|f| f.check == check || f.also.iter().any(|(also, _)| *also == check));
        assert!(found, "check {check} found nothing");
    }
}

#[test]
fn the_takeoff_of_the_first_demo_field_as_text() {
    let session = demo_session(job::demo::first_plan()).unwrap();
    insta::assert_snapshot!(cli::takeoff_lines(session.worked()).join("\n"));
}
