//! Words that people read: US spelling, and none of the words that were given up. Read from the source: what stands in
//! quotes in the program, in the field page and the lessons, in the README, and what `--help` tells.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::fs;
use std::path::{Path, PathBuf};

use whole_house::root;

/// British spellings, by their beginnings in small letters, each with one that is meant otherwise.
const BRITISH: [&str; 23] = [
    "armour",
    "behaviour",
    "catalogue",
    "centre",
    "cancelled",
    "colour",
    "encyclopaedia",
    "favour",
    "fibre",
    "grey",
    "judgement",
    "kilometre",
    "labelled",
    "levelled",
    "litre",
    "metre",
    "millimetre",
    "neighbour",
    "plough",
    "programme",
    "travelled",
    "centimetre",
    "mobilis",
];

/// Words that were given up, as they stood.
const GIVEN_UP: [&str; 18] = [
    "follow a drop",
    "take it up again",
    "take up again",
    "take-up",
    "leave it, because",
    "left as it is",
    "left by name",
    "free the level",
    "fix the level",
    "fixed level",
    "given out",
    "put by",
    "water to leave",
    "grade lines weigh",
    "is alive",
    "made dead",
    "dig to ",
    "from memory, unverified",
];

fn files(folder: &Path, ending: &str, found: &mut Vec<PathBuf>) {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            files(&path, ending, found);
        } else if path.to_string_lossy().ends_with(ending) {
            found.push(path);
        }
    }
}

/// What stands in quotes in a source, line by line; of the command line the comments too, for they are its help. What
/// tests say is no word of the program.
fn told(path: &Path, text: &str) -> Vec<(usize, String)> {
    let is_help = path.to_string_lossy().contains("/app/src/cli/");
    let program = text.split("#[cfg(test)]").next().unwrap();
    let mut found = Vec::new();
    let mut open = false;
    for (i, line) in program.lines().enumerate() {
        let trimmed = line.trim_start();
        if !open && trimmed.starts_with("//") {
            if is_help && trimmed.starts_with("///") {
                found.push((i + 1, trimmed.to_string()));
            }
            continue;
        }
        let mut words = String::new();
        let mut escaped = false;
        let signs: Vec<char> = line.chars().collect();
        for (k, sign) in signs.iter().enumerate() {
            match sign {
                _ if escaped => escaped = false,
                '\\' if open => escaped = true,
                '"' if !open && k > 0 && signs[k - 1] == '\'' => {}
                '"' => {
                    open = !open;
                    words.push('\n');
                }
                _ if open => words.push(*sign),
                _ => {}
            }
        }
        found.push((i + 1, words));
    }
    found
}

/// Without what stands in braces and brackets: names of figures, and marks of sources.
fn bare(text: &str) -> String {
    let mut depth = 0;
    let stays = |sign: &char| {
        match sign {
            '{' | '[' => depth += 1,
            '}' | ']' => depth = (depth - 1).max(0),
            _ => return depth == 0,
        }
        false
    };
    text.to_lowercase().chars().filter(stays).collect()
}

/// Titles of documents keep their spelling, and files the names of their members and what may stand in them.
fn is_meant(word: &str) -> bool {
    matches!(
        word,
        "encyclopaedia britannica, 1910"
            | "encyclopaedia britannica"
            | "armoured"
            | "mobilisation"
            | "neighbour"
            | "neighbour's"
            | "neighbour's side"
            | "fibre"
            | "judgement"
            | "metre"
            | "metres"
            | "litre"
            | "litres"
            | "telephone or fibre"
            | "drains near a neighbour's boundary"
    )
}

fn british(text: &str) -> Option<&'static str> {
    let begins = |word: &str| BRITISH.into_iter().find(|british| word.starts_with(british));
    let parts = text.split('\n').filter(|part| !is_meant(part.trim()));
    parts
        .flat_map(|part| part.split(|c: char| !c.is_alphabetic() && c != '_'))
        .filter(|w| !w.contains('_'))
        .find_map(begins)
}

#[test]
fn nothing_that_people_read_is_spelled_the_british_way_or_in_words_that_were_given_up() {
    let mut sources = Vec::new();
    fs::read_dir(root().join("crates")).unwrap().for_each(|entry| {
        let folder = entry.unwrap().path().join("src");
        files(&folder, ".rs", &mut sources);
    });
    let mut wrong = Vec::new();
    for path in &sources {
        let text = fs::read_to_string(path).unwrap();
        for (line, words) in told(path, &text) {
            let words = bare(&words);
            // Files of before are read in the words of their day.
            let is_old = path.ends_with("exchange/src/plan_file.rs");
            let given_up = GIVEN_UP.into_iter().find(|old| !is_old && words.contains(old));
            if let Some(word) = british(&words).or(given_up) {
                wrong.push(format!("{}:{line}: {word}", path.strip_prefix(root()).unwrap().display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_readme_speaks_as_the_program_does() {
    for name in ["README.md", "demo-fields/README.md"] {
        let text = fs::read_to_string(root().join(name)).unwrap();
        for (i, line) in text.lines().enumerate() {
            let line = line.to_lowercase();
            assert_eq!(british(&line), None, "{name}, line {}", i + 1);
            assert_eq!(GIVEN_UP.into_iter().find(|old| line.contains(old)), None, "{name}, line {}", i + 1);
        }
    }
}

#[test]
fn words_in_quotes_are_found() {
    let text = "/// a grey line\nlet a = \"the colour {centre}\";\nlet b = 'x'; // the metre\nlet c = \"two \\\n    lines, grey\";";
    let found = told(Path::new("crates/plan/src/a.rs"), text);
    let british: Vec<_> = found.iter().filter_map(|(line, words)| Some((*line, british(&bare(words))?))).collect();
    assert_eq!(british, [(2, "colour"), (5, "grey")]);
    let help = told(Path::new("crates/app/src/cli/a.rs"), text);
    assert_eq!(help[0], (1, "/// a grey line".to_string()));
}
