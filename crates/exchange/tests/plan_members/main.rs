//! The members of a plan file, held against the list of its version: a file that is out in the world is read for ever, so
//! what a version can hold does not change once it is written.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod everything;
mod walk;

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use exchange::{PLAN_VERSION, plan_text};
use plan::Plan;
use serde_json::Value;

use everything::everything;
use walk::{Seen, listed};

/// Set to write the list of a version that has none yet.
const WRITE: &str = "DRAINWRIGHT_WRITE_MEMBERS";

fn list_of(version: u64) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("tests/plans/members-{version}.txt"))
}

fn seen() -> Seen {
    let mut seen = Seen::default();
    let plans = everything();
    let head: Value = serde_json::from_str(&plan_text(&plans[0]).unwrap()).unwrap();
    let mut head = head.as_object().unwrap().clone();
    head.remove("plan").unwrap();
    seen.lines.extend(head.keys().map(|name| format!("{name}: head of the file")));
    plans.iter().for_each(|plan| seen.add("plan", plan));
    seen
}

/// What to do where the members of a plan file are no longer those of its version; nothing where they are.
fn told(version: u64, listed_lines: &BTreeSet<String>, found: &BTreeSet<String>) -> Option<String> {
    let (new, gone) = (found.difference(listed_lines), listed_lines.difference(found));
    let change = listed('+', new) + &listed('-', gone);
    let next = version + 1;
    (!change.is_empty()).then(|| {
        format!(
            "a plan file of version {version} no longer holds what its list says:\n{change}\
             Programs that read version {version} know nothing of what is new, and files of it still hold what is gone. So:\n\
             1. set PLAN_VERSION in crates/exchange/src/plan_file.rs to {next} and add a step to UPGRADES that brings a plan \
             of version {version} up;\n\
             2. keep a file as version {version} wrote it as crates/exchange/tests/plans/version-{version}.drain, with a test \
             that opens it;\n\
             3. write the list of version {next}: {WRITE}=1 cargo test -p exchange --test plan_members\n"
        )
    })
}

#[test]
fn the_members_of_a_plan_file_are_those_of_its_version() {
    let (path, found) = (list_of(PLAN_VERSION), seen().lines);
    if !path.exists() {
        assert!(
            std::env::var_os(WRITE).is_some(),
            "version {PLAN_VERSION} of the plan file has no list of its members: write it with {WRITE}=1 cargo test -p \
             exchange --test plan_members, read what changed since version {}, and commit it",
            PLAN_VERSION - 1
        );
        let lines: Vec<&str> = found.iter().map(String::as_str).collect();
        fs::write(&path, lines.join("\n") + "\n").unwrap();
    }
    let text = fs::read_to_string(&path).unwrap();
    let listed: BTreeSet<String> = text.lines().map(str::to_string).collect();
    if let Some(told) = told(PLAN_VERSION, &listed, &found) {
        panic!("{told}");
    }
}

/// What is empty in every plan hides what may stand in it.
#[test]
fn the_plan_that_has_everything_leaves_nothing_empty() {
    let seen = seen();
    let empty = seen.never_filled();
    assert!(empty.is_empty(), "fill these in tests/plan_members/everything.rs: {empty:#?}");
}

#[test]
fn the_plan_that_has_everything_comes_back_whole() {
    for plan in everything() {
        let value: Value = serde_json::from_str(&plan_text(&plan).unwrap()).unwrap();
        assert_eq!(serde_json::from_value::<Plan>(value["plan"].clone()).unwrap(), plan);
    }
}

#[test]
fn a_change_of_members_says_what_to_do() {
    let list = |lines: &[&str]| lines.iter().map(|line| line.to_string()).collect::<BTreeSet<_>>();
    let (old, new) = (list(&["plan.a: text", "plan.b: text"]), list(&["plan.a: text", "plan.c: number"]));
    assert_eq!(told(5, &old, &old), None);
    let told = told(5, &old, &new).unwrap();
    assert!(told.contains("  + plan.c: number\n  - plan.b: text\n"), "{told}");
    assert!(told.contains("PLAN_VERSION in crates/exchange/src/plan_file.rs to 6"), "{told}");
}

#[test]
fn what_is_left_out_and_what_is_chosen_is_seen() {
    #[derive(serde::Serialize)]
    struct Thing {
        #[serde(skip_serializing_if = "Option::is_none")]
        left_out: Option<f64>,
        none: Option<f64>,
        list: Vec<(f64, bool)>,
        choice: Choice,
    }
    #[derive(serde::Serialize)]
    enum Choice {
        Plain,
        Held { by: u8 },
    }
    let mut seen = Seen::default();
    seen.add("t", &Thing { left_out: None, none: None, list: vec![], choice: Choice::Plain });
    assert_eq!(seen.never_filled(), ["t.left_out", "t.list", "t.none"]);
    let held = Choice::Held { by: 1 };
    seen.add("t", &Thing { left_out: Some(0.5), none: Some(0.5), list: vec![(0.5, true)], choice: held });
    assert!(seen.never_filled().is_empty());
    let lines: Vec<&str> = seen.lines.iter().map(String::as_str).collect();
    let expected = [
        "t.choice = Held",
        "t.choice = Plain",
        "t.choice.Held.by: whole number",
        "t.left_out: number",
        "t.list[][]: number",
        "t.list[][]: yes or no",
        "t.none: number",
    ];
    assert_eq!(lines, expected);
}
