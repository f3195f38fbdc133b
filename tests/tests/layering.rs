//! The table of crates in DEVELOPERS.md against the manifests, both ways, and what only some crates may name.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use whole_house::{code_only, root, sources, table_of};

/// What the binding plan of the house allows.
fn allowed() -> BTreeMap<&'static str, Vec<&'static str>> {
    let below = vec!["measure", "terrain", "hydraulics", "plan", "land", "design"];
    let with = |more: &[&'static str]| [below.clone(), more.to_vec()].concat();
    let below_job =
        ["exchange", "record", "checks", "takeoff", "watertable", "lesson", "drawing", "propose", "sheets"];
    BTreeMap::from([
        ("measure", vec![]),
        ("terrain", vec!["measure"]),
        ("hydraulics", vec!["measure"]),
        ("plan", vec!["measure"]),
        ("land", vec!["measure", "terrain", "hydraulics", "plan"]),
        ("design", vec!["measure", "terrain", "hydraulics", "plan", "land"]),
        ("exchange", vec!["measure", "terrain", "plan", "design"]),
        ("record", below.clone()),
        ("takeoff", below.clone()),
        ("watertable", below.clone()),
        ("checks", with(&["record"])),
        ("lesson", vec!["measure", "hydraulics", "plan", "land", "watertable"]),
        ("drawing", with(&["record", "checks", "takeoff", "watertable", "lesson"])),
        ("propose", with(&["record", "checks", "takeoff"])),
        ("sheets", with(&["record", "checks", "takeoff", "watertable", "lesson", "drawing"])),
        ("job", with(&below_job)),
        ("app", with(&[&below_job[..], &["job"]].concat())),
    ])
}

/// A row of the table of DEVELOPERS.md.
struct Row {
    level: u32,
    uses: BTreeSet<String>,
}

/// The table of DEVELOPERS.md by crate.
fn table() -> BTreeMap<String, Row> {
    let row = |cells: Vec<String>| {
        let uses = cells[3].split(',').map(|word| word.trim().to_string()).filter(|word| word != "–");
        (cells[1].trim_matches('`').to_string(), Row { level: cells[0].parse().unwrap(), uses: uses.collect() })
    };
    let rows = table_of("## Crates");
    let table: BTreeMap<String, Row> = rows.iter().cloned().map(row).collect();
    assert_eq!(table.len(), rows.len(), "a crate stands twice in the table");
    table
}

/// What each crate may use, as written.
fn written() -> BTreeMap<String, BTreeSet<String>> {
    table().into_iter().map(|(name, row)| (name, row.uses)).collect()
}

fn manifest(name: &str) -> String {
    fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).unwrap()
}

/// Names in the ordinary and build dependencies of a manifest, those of one target and renamed ones too.
fn dependencies(manifest: &str) -> BTreeSet<String> {
    let mut inside = false;
    let mut names = BTreeSet::new();
    for line in manifest.lines().map(str::trim).filter(|line| !line.starts_with('#')) {
        if let Some(header) = line.strip_prefix('[') {
            let header = header.trim_end_matches(']');
            let is_kind = |part: &str| part == "dependencies" || part == "build-dependencies";
            let parts: Vec<&str> = header.split('.').collect();
            inside = parts.iter().any(|part| is_kind(part)) && header != "workspace.dependencies";
            // `[dependencies.plan]` names its crate in the header.
            names.extend(parts.windows(2).filter(|pair| is_kind(pair[0])).map(|pair| pair[1].to_string()));
        } else if inside && line.contains('=') {
            names.insert(line.split(['=', '.', ' ']).next().unwrap_or_default().to_string());
            let package = line.split("package").nth(1).and_then(|after| after.split('"').nth(1));
            names.extend(package.map(String::from));
        }
    }
    names
}

#[test]
fn dependencies_are_found_in_every_spelling() {
    let text = "[dependencies]\n# no.workspace = true\na.workspace = true\nb = { package = \"c\", path = \"x\" }\n\
                [dev-dependencies]\nd = \"1\"\n[target.'cfg(unix)'.dependencies]\ne = \"1\"\n[dependencies.f]\npath = \"y\"\n";
    let names = dependencies(text);
    assert!(["a", "b", "c", "e", "f"].iter().all(|name| names.contains(*name)), "{names:?}");
    assert!(!names.contains("d") && !names.contains("no"), "{names:?}");
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
        let ours: BTreeSet<String> = dependencies(&manifest(&name)).intersection(&crates).cloned().collect();
        assert!(ours.is_subset(&uses), "{name} uses {ours:?}, its row allows {uses:?}");
    }
}

#[test]
fn arrows_point_to_lower_levels() {
    let table = table();
    for (name, row) in &table {
        for used in &row.uses {
            assert!(table[used].level < row.level, "{name} (level {}) may not use {used}", row.level);
        }
    }
}

#[test]
fn only_the_program_names_the_window_library() {
    for name in written().into_keys().filter(|name| name != "app") {
        for word in ["egui", "eframe"] {
            assert!(!manifest(&name).contains(word), "{name}: its manifest names {word}");
            for file in sources(&name) {
                let code = code_only(&fs::read_to_string(&file).unwrap());
                assert!(!code.contains(word), "{} names {word}", file.display());
            }
        }
    }
}

#[test]
fn only_exchange_job_and_the_program_touch_files_and_only_the_program_prints() {
    let printing = ["println!", "print!", "dbg!"];
    // `use std::{fs, …}` would hide the name from this test.
    let files = ["std::fs", "std::{"];
    // When a file was written, and in which folder the program runs, is the open job's; nothing that is worked out hangs on it.
    let clock = ["SystemTime", "std::env"];
    for name in written().into_keys().filter(|name| name != "app") {
        let files = files.iter().filter(|_| name != "exchange" && name != "job");
        let words: Vec<_> = printing.iter().chain(files).chain(clock.iter().filter(|_| name != "job")).collect();
        for file in sources(&name) {
            let code = code_only(&fs::read_to_string(&file).unwrap());
            for word in &words {
                assert!(!code.contains(**word), "{} names {word}", file.display());
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

#[test]
fn every_file_of_tests_is_run() {
    let folders = [root().join("crates/app/tests"), root().join("tests/tests")];
    for folder in folders {
        let all = fs::read_to_string(folder.join("all.rs")).unwrap();
        for path in fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()) {
            let name = path.file_stem().unwrap().to_str().unwrap();
            let is_file = path.extension().is_some_and(|ending| ending == "rs") && name != "all";
            assert!(!is_file || all.contains(&format!("\nmod {name};")), "{} is no module of all.rs", path.display());
        }
    }
}
