//! The walks of DEVELOPERS.md: every step that is named is a function of the crate or module it is said to be in.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::fs;

use whole_house::{code_only, root, sources};

/// The crate that holds a module of the program, or the crate itself.
fn code_of(name: &str) -> String {
    let crates = root().join("crates");
    let name = if crates.join(name).is_dir() { name } else { "app" };
    sources(name).iter().map(|file| code_only(&fs::read_to_string(file).unwrap())).collect()
}

#[test]
fn every_step_of_a_walk_is_there() {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let walks = text.split("## Three walks through the code").nth(1).unwrap().split("\n## ").next().unwrap();
    let steps: Vec<&str> = walks.split('`').skip(1).step_by(2).filter(|step| step.contains("::")).collect();
    assert!(steps.len() > 25, "{steps:?}");
    for step in steps.into_iter().filter(|step| !step.starts_with("tests/")) {
        let (place, last) = step.rsplit_once("::").unwrap();
        let code = code_of(place.split("::").next().unwrap());
        let is_there = ["fn ", "struct ", "enum "].iter().any(|kind| code.contains(&format!("{kind}{last}")));
        assert!(is_there || code.contains(&format!("    {last}(")), "no {last} for the step {step}");
    }
}
