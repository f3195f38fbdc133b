//! What crews are told in another language: every sentence of every finding, on hundreds of plans with mistakes, is one
//! that the phrase book knows, and says again with the same figures.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test")]

use std::collections::BTreeSet;

use crate::mutants::{Place, demo_fields, for_each, small_plans, with_mistakes};
use checks::Finding;
use sheets::Tongue;

/// What of a finding is printed on a cut sheet or on the field page.
fn printed(finding: &Finding) -> Vec<String> {
    let remedies = finding.tried.iter().flat_map(|tried| &tried.remedies).map(|edit| edit.label.clone());
    let said = [finding.title.clone(), finding.message.clone(), finding.advice.clone()];
    let others = finding.way_out();
    let others = finding.tried.iter().filter(|tried| tried.remedies.is_empty()).map(|_| others.clone());
    said.into_iter().chain(remedies).chain(others).filter(|text| !text.is_empty()).collect()
}

/// The groups of digits of a text in their order.
fn figures(text: &str) -> Vec<&str> {
    let parts = text.split(|c: char| !c.is_ascii_digit());
    parts.filter(|part| !part.is_empty()).collect()
}

/// English words that stand in no Spanish sentence.
const ENGLISH: [&str; 14] =
    ["the", "of", "is", "and", "at", "with", "from", "to", "are", "it", "in", "lies", "deep", "pipe"];

/// What is wrong with a sentence in Spanish; figures of a figure with its unit ("4 in") are no English.
fn fault(english: &str) -> Option<String> {
    let spanish = Tongue::Spanish.say(english);
    let words = spanish.split(' ').map(|word| word.trim_matches(|c: char| ",;:.()\"?!".contains(c)));
    let words: Vec<&str> = words.collect();
    let is_left = |k: usize| {
        let before = k.checked_sub(1).map_or("", |k| words[k]);
        ENGLISH.contains(&words[k]) && !(words[k] == "in" && before.ends_with(|c: char| c.is_ascii_digit()))
    };
    match Tongue::knows(english) {
        false => Some(format!("unknown: {english}")),
        true if figures(english) != figures(&spanish) => Some(format!("figures: {english}\n    {spanish}")),
        true if (0..words.len()).any(is_left) => Some(format!("English left: {english}\n    {spanish}")),
        true => None,
    }
}

fn all_are_known(places: &[Place]) {
    let of = |place: &Place| {
        let worked = place.work_out(place.plan.clone());
        worked.tried().iter().flat_map(printed).collect::<BTreeSet<String>>()
    };
    let said: BTreeSet<String> = for_each(places, of).into_iter().flatten().collect();
    let wrong: Vec<String> = said.iter().filter_map(|text| fault(text)).collect();
    println!("{} plans, {} sentences", places.len(), said.len());
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), said.len(), wrong.join("\n"));
}

#[test]
fn every_finding_is_said_in_spanish() {
    all_are_known(&[with_mistakes(&demo_fields(), 20), with_mistakes(&small_plans(), 100)].concat());
}
