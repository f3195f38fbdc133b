//! What crews are told in another language: every sentence of every finding, on hundreds of plans with mistakes, is one
//! that the phrase book knows, and says again with the same figures.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test")]

use std::collections::BTreeSet;

use crate::mutants::{Place, demo_fields, for_each, small_plans, with_mistakes};
use checks::Finding;
use job::Worked;
use sheets::Tongue;
use takeoff::CutSheet;
use whole_house::root;

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

/// What is typed in the demo fields and reads like English.
const TYPED: &str = "willow by the swale";

/// What is wrong with a sentence in Spanish; figures of a figure with its unit ("4 in") are no English.
fn fault(english: &str) -> Option<String> {
    let spanish = Tongue::Spanish.say(english).replace(TYPED, "");
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

/// What cut sheets say of their lines in English before it is said again.
fn on_sheets(worked: &Worked) -> Vec<String> {
    let (plan, design, reference) = (&worked.plan, &worked.design, exchange::reference(&worked.plan));
    let listed = sheets::listed(plan, design, worked.tried());
    let found = plan.lines.keys().filter_map(|id| sheets::cut_sheet(plan, design, &listed, *id, &[]));
    let of_sheet = |sheet: CutSheet| {
        let rows = sheet.rows.into_iter().flat_map(|row| {
            let seen = row.seen.into_iter().filter_map(|seen| seen.words);
            row.here.into_iter().chain(row.ahead.into_iter().map(|ahead| ahead.words)).chain(seen)
        });
        rows.chain([sheet.pipe, sheet.zero]).collect::<Vec<_>>()
    };
    let severities = listed.iter().map(|listed| listed.severity_words().to_string());
    let terms = [reference.coordinates(), reference.levels()];
    found.flat_map(of_sheet).chain(severities).chain(terms).collect()
}

fn all_are_known(places: &[Place]) {
    let of = |place: &Place| {
        let worked = place.work_out(place.plan.clone());
        let said = worked.tried().iter().flat_map(printed).chain(on_sheets(&worked));
        said.collect::<BTreeSet<String>>()
    };
    let said: BTreeSet<String> = for_each(places, of).into_iter().flatten().collect();
    let wrong: Vec<String> = said.iter().filter_map(|text| fault(text)).collect();
    println!("{} plans, {} sentences", places.len(), said.len());
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), said.len(), wrong.join("\n"));
}

/// What the checks put together from several pieces: these pieces are no sentence by themselves. The plans with mistakes
/// say most of them whole.
const PIECES: [&str; 32] = [
    "Peat will shrink by 7; 7.",
    "Batch 7 sits 7",
    "Put a silt trap",
    "Use narrow slots and put a silt trap",
    "Part 7 left out",
    "Set the lid of 7 7 down",
    "No new line lies over the ground of the plan7.",
    "The old line found7 lacks 7.",
    "The find7 is not recorded",
    "Fit an orifice and a trap",
    "Fit an orifice",
    "Fit a trap",
    "The open inlet at 7 can 7 7.",
    "Use a riser of 7 and a trap 7",
    "Count 7 at 7",
    "Make 7 blind",
    "Release the 7 held from 7 to 7 of 7",
    "The upper end of 7",
    "A new line leads",
    "A pair of laterals",
    "Move the 7 of 7 7 7 7",
    "A slip of the rod or of the pencil?",
    "A rod slip of 7?",
    "Shot 7 lies 7 7 its neighbors, which fit their own plane within 7. 7",
    "Lay 7 7",
    "Use 7 on 7",
    "Old tile 7 is to be plugged, but 7. Someone else's water may depend on it.",
    "Laterals from 7 on lie 7 apart, about 7 fits the soil7.7",
    "Turn the 7 of 7 downstream into 7",
    "A small swale has",
    "Pass 7 7 at 7 of 7",
    "Nobody has said why 7 7 wet.",
];

/// The sentences that a check's file holds in quotes, each hole filled with a figure: those of three words and more that
/// begin with a capital letter or a hole. What the manual says is no finding.
fn written(text: &str) -> Vec<String> {
    let code: String =
        text.split("#[cfg(test)]").next().unwrap_or_default().lines().fold(String::new(), |all, line| {
            if line.trim_start().starts_with("//") { all } else { all + line.trim_start() + "\n" }
        });
    let code = code.replace("\\\n", "").replace("\\\"", "”");
    let mut found = Vec::new();
    let mut before = "";
    for (k, part) in code.split('"').enumerate() {
        let is_told = !["manual: ", "source: ", "title: ", "slug: "].iter().any(|member| before.ends_with(member));
        if k % 2 == 1 && is_told {
            found.push(
                part.split('{')
                    .map(|piece| piece.split_once('}').map_or(piece.into(), |(_, rest)| format!("7{rest}")))
                    .collect::<String>(),
            );
        }
        before = part;
    }
    let is_sentence = |text: &String| {
        let begins = text.starts_with(|c: char| c.is_uppercase() || c == '7');
        begins && text.split_whitespace().count() >= 3
    };
    found.into_iter().map(|text| text.trim().replace('”', "\"")).filter(is_sentence).collect()
}

/// A sentence that is changed in a check is changed in the catalogues too, or this fails.
#[test]
fn every_sentence_of_every_check_has_its_phrase() {
    let files = std::fs::read_dir(root().join("crates/checks/src/rules")).unwrap();
    let texts = files.map(|file| std::fs::read_to_string(file.unwrap().path()).unwrap());
    let said: BTreeSet<String> = texts.flat_map(|text| written(&text)).collect();
    assert!(said.len() > 400, "{}", said.len());
    let unknown = said.iter().filter(|text| !Tongue::knows(text) && !PIECES.contains(&text.as_str()));
    assert_eq!(unknown.collect::<Vec<_>>(), Vec::<&String>::new());
    let idle = PIECES.iter().filter(|piece| !said.contains(**piece));
    assert_eq!(idle.collect::<Vec<_>>(), Vec::<&&str>::new());
}

#[test]
fn every_finding_is_said_in_spanish() {
    all_are_known(&[with_mistakes(&demo_fields(), 20), with_mistakes(&small_plans(), 100)].concat());
}
