//! The legend: what the signs of a scene mean, and nothing that is not in it.

use checks::Severity;

use crate::role::{BATCHES, MarkSort, Pipe, Role};
use crate::scene::{Form, Scene};

/// A row of a legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key {
    /// The role whose look is shown.
    pub role: Role,
    /// True for a sign at a place, false for a line or an area.
    pub is_sign: bool,
    /// What it means.
    pub word: &'static str,
}

/// A row for everything in a scene that has a word, what has the same word only once: lines first, mains before laterals,
/// then what lies on them, then the land.
pub fn legend(scene: &Scene) -> Vec<Key> {
    let rows = scene.items.iter().filter_map(|item| {
        let is_sign = matches!(item.form, Form::Sign(..));
        let (rank, word) = word(item.role, is_sign)?;
        Some((rank, item.role, is_sign, word))
    });
    let mut rows: Vec<(u8, Role, bool, &str)> = rows.collect();
    rows.sort_unstable();
    rows.dedup_by_key(|(.., word)| *word);
    rows.into_iter().map(|(_, role, is_sign, word)| Key { role, is_sign, word }).collect()
}

/// What a role means, and its place in the legend; `None` for what is told by its words, or needs none.
fn word(role: Role, is_sign: bool) -> Option<(u8, &'static str)> {
    Some(match role {
        Role::Line(pipe) => (0, pipe_word(pipe)),
        Role::Flow(_) => (1, "direction of flow"),
        Role::CappedEnd(_) => (1, "upper end, capped"),
        Role::OpenEnd(_) => (1, "upper end, open"),
        Role::Solid(_) | Role::OutletPipe(_) => (1, "solid or heavy pipe"),
        Role::Reducer(_) => (1, "change of size or wall"),
        Role::Doubt => (1, "old tile may lie here"),
        Role::ProposedMain => (1, "proposed main"),
        Role::ProposedLateral => (1, "proposed lateral"),
        Role::Protected => (2, "trench to be protected"),
        Role::NoDig => (3, "DO NOT DIG, number below"),
        Role::Stretch(_) => (3, "stretch that a finding names"),
        Role::Finding(severity) => (3, finding_word(severity)),
        Role::Outlet => (4, "outlet"),
        Role::Joint => (4, "joint, branch invert"),
        Role::Benchmark => (5, "benchmark, level"),
        Role::Boundary => (6, "boundary"),
        Role::Ditch => (7, "ditch or stream"),
        Role::Culvert => (8, "culvert"),
        Role::Mark(sort @ (MarkSort::Utility(_) | MarkSort::Irrigation)) => (9, mark_word(sort)),
        Role::Mark(_) if is_sign => (10, "mark, named beside it"),
        Role::Mark(sort) => (9, mark_word(sort)),
        Role::HoleEdge => (11, "edge of a gap"),
        Role::BreakLine => (12, "break line"),
        Role::Swale => (13, "swale"),
        Role::Depression => (14, "closed depression"),
        Role::FlowPath => (15, "flow path"),
        Role::FlowPathLand => (15, "land that drains to it"),
        Role::Section => (15, "section"),
        Role::Shot(batch) | Role::SmallShot(batch) => (16, SHOTS[batch as usize % BATCHES]),
        Role::Outlier => (16, "shot that sticks out"),
        Role::WantedShot => (16, "one more shot asked for"),
        Role::IndexContour => (17, "index contour, level"),
        Role::Contour => (17, "contour"),
        _ => return None,
    })
}

const fn pipe_word(pipe: Pipe) -> &'static str {
    match pipe {
        Pipe::Main => "main",
        Pipe::Submain => "submain",
        Pipe::Lateral => "lateral",
        Pipe::ProvedTile => "old tile, proved",
        Pipe::SeenTile => "old tile, seen",
        Pipe::SuspectedTile => "old tile, suspected",
    }
}

/// Shots of the batches that are told apart.
const SHOTS: [&str; BATCHES] =
    ["shot, first batch", "shot, second batch", "shot, third batch", "shot, fourth batch", "shot, fifth batch"];

const fn finding_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Block => "finding, to fix",
        Severity::Decide => "finding, to decide",
        Severity::Note => "finding, a note",
    }
}

fn mark_word(sort: MarkSort) -> &'static str {
    match sort {
        MarkSort::Utility(carries) => carries.word(),
        MarkSort::Irrigation => "buried irrigation main",
        MarkSort::Overhead => "power line overhead",
        MarkSort::Road => "road or lane",
        MarkSort::Rows => "vine or tree rows",
        MarkSort::Easement => "easement",
        MarkSort::Wet => "wet area",
        MarkSort::Spring => "spring",
        MarkSort::Footing => "footing or wall",
        MarkSort::Other => "other mark, named beside it",
    }
}
