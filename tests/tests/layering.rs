//! The table of crates in DEVELOPERS.md against the manifests, both ways, and what only some crates may name.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// What the binding plan of the house allows.
fn allowed() -> BTreeMap<&'static str, Vec<&'static str>> {
    let below = vec!["measure", "terrain", "hydraulics", "plan", "design"];
    BTreeMap::from([
        ("measure", vec![]),
        ("terrain", vec!["measure"]),
        ("hydraulics", vec!["measure"]),
        ("plan", vec!["measure"]),
        ("design", vec!["measure", "terrain", "hydraulics", "plan"]),
        ("exchange", vec!["measure", "terrain", "plan", "design"]),
        ("checks", below.clone()),
        ("takeoff", below.clone()),
        ("app", [below, vec!["exchange", "checks", "takeoff"]].concat()),
    ])
}

/// The table of DEVELOPERS.md: crate and what it may use.
fn written() -> BTreeMap<String, BTreeSet<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let rows = text.lines().filter(|line| line.starts_with("| ") && line.contains('`'));
    rows.map(|row| {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        let uses = cells[4].split(',').map(|word| word.trim().to_string()).filter(|word| word != "–");
        (cells[2].trim_matches('`').to_string(), uses.collect())
    })
    .collect()
}

/// Names in the ordinary `[dependencies]` of a crate.
fn dependencies(name: &str) -> BTreeSet<String> {
    let text = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).unwrap();
    let mut inside = false;
    let mut names = BTreeSet::new();
    for line in text.lines() {
        if line.starts_with('[') {
            inside = line.trim() == "[dependencies]";
        } else if inside && !line.starts_with('#') && line.contains('=') {
            let name = line.split(['=', '.', ' ']).next().unwrap_or_default();
            names.insert(name.to_string());
        }
    }
    names
}

#[test]
fn the_written_table_is_the_binding_one() {
    let binding: BTreeMap<String, BTreeSet<String>> = allowed()
        .into_iter()
        .map(|(name, uses)| (name.into(), uses.into_iter().map(String::from).collect()))
        .collect();
    assert_eq!(written(), binding);
}

#[test]
fn crates_use_only_what_their_row_allows() {
    let crates: BTreeSet<String> = written().into_keys().collect();
    let folders = fs::read_dir(root().join("crates")).unwrap();
    let found: BTreeSet<String> = folders.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(found, crates, "the folders of crates/ and the table");
    for (name, uses) in written() {
        let ours: BTreeSet<String> = dependencies(&name).intersection(&crates).cloned().collect();
        assert!(ours.is_subset(&uses), "{name} uses {ours:?}, its row allows {uses:?}");
    }
}

#[test]
fn only_the_program_names_the_window_library() {
    for name in written().into_keys().filter(|name| name != "app") {
        let window = dependencies(&name).into_iter().find(|name| name.starts_with("egui") || name == "eframe");
        assert_eq!(window, None, "{name}");
    }
}

fn sources(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, files);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            files.push(path);
        }
    }
}

#[test]
fn only_exchange_and_the_program_touch_files_or_print() {
    for name in written().into_keys().filter(|name| name != "app" && name != "exchange") {
        let mut files = Vec::new();
        sources(&root().join("crates").join(&name).join("src"), &mut files);
        for file in files {
            let text = fs::read_to_string(&file).unwrap();
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            for word in ["std::fs", "println!", "std::env", "SystemTime"] {
                assert!(!code.contains(word), "{} names {word}", file.display());
            }
        }
    }
}

#[test]
fn the_top_level_holds_what_it_should() {
    let meant = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "assets",
        "crates",
        "demo-fields",
        "tests",
    ];
    let names = fs::read_dir(root()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let found: BTreeSet<String> = names.filter(|name| !name.starts_with('.') && name != "target").collect();
    assert_eq!(found, meant.into_iter().map(String::from).collect());
}

/// Length of every function of a file, by the indentation of its closing brace.
fn function_lengths(text: &str) -> Vec<(String, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let word = line.trim_start();
        let starts = ["fn ", "pub fn ", "pub(crate) fn ", "const fn ", "pub const fn "]
            .iter()
            .any(|start| word.starts_with(start));
        if starts && !word.ends_with(';') {
            let closing = format!("{}}}", &line[..line.len() - word.len()]);
            let length = lines[i..].iter().position(|line| *line == closing).unwrap_or(0);
            found.push((word.to_string(), length + 1));
        }
    }
    found
}

#[test]
fn functions_and_files_stay_short() {
    for name in written().into_keys() {
        let mut files = Vec::new();
        sources(&root().join("crates").join(&name).join("src"), &mut files);
        let mut lengths: Vec<(String, usize)> = Vec::new();
        for file in files {
            let text = fs::read_to_string(&file).unwrap();
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            assert!(code.lines().count() < 900, "{} is too long", file.display());
            lengths.extend(function_lengths(code));
        }
        lengths.sort_by_key(|(_, length)| *length);
        let most = if name == "app" { 70 } else { 50 };
        let at = |share: f64| lengths[((lengths.len() - 1) as f64 * share) as usize].1;
        println!(
            "{name}: {} functions, median {}, 95 % {}, longest {:?}",
            lengths.len(),
            at(0.5),
            at(0.95),
            lengths.last()
        );
        assert!(at(0.95) < most, "{name}: 95 % of functions have up to {} lines", at(0.95));
        assert!(at(1.0) <= 120, "{name}: {:?}", lengths.last());
    }
}
