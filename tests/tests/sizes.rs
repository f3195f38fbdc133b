//! Functions and files stay short enough to be read in one go.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::fs;

use whole_house::{code_only, item_end, root, sources};

/// Lines that no function may pass.
const LONGEST_FUNCTION: usize = 120;
/// Lines that no file may pass, its tests not counted.
const LONGEST_FILE: usize = 900;

/// Name and number of lines of every function with a body.
fn functions(code: &str) -> Vec<(String, usize)> {
    let starts = code.match_indices("fn ").map(|(at, _)| at);
    let whole_word = starts.filter(|at| !code[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_'));
    whole_word
        .filter_map(|at| {
            let item = &code[at..item_end(code, at)];
            let name: String = item[3..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            (item.ends_with('}') && !name.is_empty()).then(|| (name, item.lines().count()))
        })
        .collect()
}

#[test]
fn the_measure_counts_lines_from_the_name_to_the_closing_brace() {
    let code =
        "trait A { fn none(&self) -> [u8; 2]; }\nfn one() {}\npub(super) fn three<T>(a: [u8; 2])\nwhere T: B {\n}\n";
    assert_eq!(functions(code), [("one".to_string(), 1), ("three".to_string(), 3)]);
}

#[test]
fn functions_and_files_stay_short() {
    let mut crates: Vec<String> = fs::read_dir(root().join("crates"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    crates.sort();
    for name in crates {
        let mut found = Vec::new();
        for file in sources(&name) {
            let code = code_only(&fs::read_to_string(&file).unwrap());
            let lines = code.lines().count();
            assert!(lines <= LONGEST_FILE, "{}: {lines} lines, at most {LONGEST_FILE}", file.display());
            for (function, lines) in functions(&code) {
                let place = file.display();
                assert!(
                    lines <= LONGEST_FUNCTION,
                    "{place}: {function} has {lines} lines, at most {LONGEST_FUNCTION}"
                );
                found.push(lines);
            }
        }
        assert!(!found.is_empty(), "{name}: no function was found, so nothing was measured");
        found.sort_unstable();
        let most = if name == "app" { 70 } else { 50 };
        let short = found.iter().filter(|lines| **lines < most).count();
        let median = found[found.len() / 2];
        println!(
            "{name}: {} functions, median {median}, {short} under {most}, longest {:?}",
            found.len(),
            found.last()
        );
        assert!(
            short * 100 >= found.len() * 95,
            "{name}: {short} of {} functions are under {most} lines",
            found.len()
        );
    }
}
