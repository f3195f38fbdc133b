//! Sources: every mark is a row of the register, every row is used, and nothing points to a paper outside the project.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use checks::RULES;
use plan::{LIMITS, SOURCES, cited};
use whole_house::root;

/// Files of the project with the given endings, in order of path; what builds leave behind is passed over.
fn files(endings: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    gather(&root(), endings, &mut found);
    found.sort();
    found
}

fn gather(folder: &Path, endings: &[&str], found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if name != "target" && name != ".git" {
                gather(&path, endings, found);
            }
        } else if endings.iter().any(|ending| name.ends_with(ending)) {
            found.push(path);
        }
    }
}

/// The comments of a source text as running words.
fn comments(text: &str) -> String {
    let words = text.lines().filter_map(|line| line.split_once("//"));
    words.map(|(_, comment)| comment.trim_start_matches(['/', '!'])).collect::<Vec<_>>().join(" ")
}

/// What stands between square brackets in comments and is written as a mark: two capitals or figures first, or a row.
fn marks(comments: &str) -> Vec<&str> {
    let inside = comments.split('[').skip(1).filter_map(|rest| rest.split_once(']')).map(|(inside, _)| inside);
    inside.filter(|inside| looks_like_a_mark(inside) || cited(&format!("[{inside}]"))[0].1.is_some()).collect()
}

fn looks_like_a_mark(inside: &str) -> bool {
    let capital = |c: char| c.is_ascii_uppercase();
    let mut signs = inside.chars();
    signs.next().is_some_and(capital)
        && signs.next().is_some_and(|c| capital(c) || c.is_ascii_digit())
        && !inside.contains(['`', '(', '<'])
}

#[test]
fn marks_are_found_in_comments() {
    let text = "let a = b[0]; // as [IDH], [0, 1] and\n/// [EFH14 /\n/// ASTM F449, memory] say; [`Plan`], [judgement], [Vec]";
    assert_eq!(marks(&comments(text)), ["IDH", "EFH14 /  ASTM F449, memory", "judgement"]);
}

#[test]
fn every_check_and_limit_names_rows_of_the_register() {
    for (what, source) in
        RULES.iter().map(|rule| (rule.slug, rule.source)).chain(LIMITS.iter().map(|limit| (limit.name, limit.source)))
    {
        let parts = cited(source);
        let elsewhere = source.contains("common practice") || source.starts_with("see checks");
        assert!(!parts.is_empty() || elsewhere, "{what}: \"{source}\" names no row of plan::SOURCES");
        for (part, row) in parts {
            assert!(row.is_some(), "{what}: \"{part}\" is no row of plan::SOURCES");
        }
    }
}

#[test]
fn every_mark_in_a_comment_is_a_row_and_every_row_is_used() {
    let mut used: BTreeSet<&str> = BTreeSet::new();
    let texts = RULES.iter().map(|rule| rule.source).chain(LIMITS.iter().map(|limit| limit.source));
    used.extend(texts.flat_map(cited).filter_map(|(_, row)| row).map(|row| row.mark));
    // Examples show how they are called, with what may be left out in square brackets.
    let cites = |file: &&PathBuf| !file.ends_with("sources.rs") && !file.iter().any(|part| part == "examples");
    for file in files(&[".rs"]).iter().filter(cites) {
        let comments = comments(&fs::read_to_string(file).unwrap());
        for mark in marks(&comments) {
            for (part, row) in cited(&format!("[{mark}]")) {
                let row = row.unwrap_or_else(|| panic!("{}: [{part}] is no row of plan::SOURCES", file.display()));
                used.insert(row.mark);
            }
        }
    }
    let unused: Vec<&str> = SOURCES.iter().map(|row| row.mark).filter(|mark| !used.contains(mark)).collect();
    assert!(unused.is_empty(), "rows of plan::SOURCES that nothing cites: {unused:?}");
}

#[test]
fn nothing_points_to_a_paper_outside_the_project() {
    let papers = [
        concat!("trade", "-practice"),
        concat!("reference", "-values"),
        concat!("house", ".md"),
        concat!("desk", ".md"),
        concat!("shared/", "design"),
        concat!("shared/", "reference"),
    ];
    let endings =
        [".rs", ".md", ".toml", ".py", ".sh", ".json", ".snap", ".txt", ".drain", ".csv", ".geojson", "run"];
    let searched = files(&endings);
    assert!(searched.len() > 300, "only {} files were found", searched.len());
    for file in searched {
        let text = String::from_utf8_lossy(&fs::read(&file).unwrap()).to_lowercase();
        for paper in papers {
            assert!(!text.contains(paper), "{}: points to {paper}, which is not in the project", file.display());
        }
    }
}
