//! What lies beside a plan file and could stand in for it: its backup and the autosave.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use plan::Plan;

use crate::clock;
use crate::files;

/// What a file beside the plan is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The former state of the plan file.
    Backup,
    /// Work that was not saved.
    Autosave,
}

impl Kind {
    /// What it is called.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Backup => "backup",
            Self::Autosave => "autosave",
        }
    }
}

/// A file beside the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Spare {
    /// What it is.
    pub kind: Kind,
    /// Where it is.
    pub path: PathBuf,
    /// When it was written.
    pub written: Option<SystemTime>,
    /// What it holds in words, or why it cannot be read.
    pub holds: Result<String, String>,
}

impl Spare {
    /// Looks at a file; `None` where there is none.
    pub fn at(kind: Kind, path: PathBuf) -> Option<Self> {
        if !path.exists() {
            return None;
        }
        let holds = exchange::read_plan(&path).map(|plan| holding(&plan)).map_err(|error| error.to_string());
        Some(Self { kind, written: clock::written(&path), path, holds })
    }

    /// What it is, from when, and what it holds: "backup of 13:02: 5 lines, 3120 ft".
    pub fn words(&self) -> String {
        let when = self.written.map_or("an unknown date".into(), clock::words);
        match &self.holds {
            Ok(holds) => format!("{} of {when}: {holds}", self.kind.word()),
            Err(why) => format!("{} of {when}: cannot be read either ({why})", self.kind.word()),
        }
    }
}

/// How many lines a plan has and how long they are.
pub fn holding(plan: &Plan) -> String {
    let length_m: f64 = plan.lines.values().map(plan::Line::length_m).sum();
    format!("{}, {} in all", measure::how_many(plan.lines.len(), "line"), plan.title.units.length(length_m))
}

/// Backup and autosave of a plan file, as far as they are there.
pub fn beside(path: &Path) -> Vec<Spare> {
    let kinds = [(Kind::Backup, exchange::backup_path(path)), (Kind::Autosave, exchange::autosave_path(path))];
    kinds.into_iter().filter_map(|(kind, path)| Spare::at(kind, path)).collect()
}

/// How to go on with what lies beside a plan that cannot be read, command by command; empty where nothing can be.
pub fn advice(path: &Path) -> String {
    let spares = beside(path);
    let mut text = String::new();
    for spare in &spares {
        text.push_str(&format!("\nBeside it is the {}", spare.words()));
        if spare.holds.is_ok() {
            text.push_str(&format!(". To go on with it:\n  {}", command(path, &spare.path)));
        }
    }
    text
}

/// The command that puts a file in the place of a plan; what was there is put aside under a free name.
fn command(path: &Path, spare: &Path) -> String {
    let copy = format!("cp {} {}", quoted(spare), quoted(path));
    match path.exists() {
        true => format!("mv {} {} && {copy}", quoted(path), quoted(&files::damaged_path(path))),
        false => copy,
    }
}

/// A path as a shell takes it for one word.
fn quoted(path: &Path) -> String {
    let text = path.display().to_string();
    let text = if text.starts_with('-') { format!("./{text}") } else { text };
    let plain = |c: char| c.is_alphanumeric() || "/._-+=:,@%".contains(c);
    if text.chars().all(plain) { text } else { format!("'{}'", text.replace('\'', r"'\''")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_one_word_of_a_shell() {
        assert_eq!(quoted(Path::new("fields/block-2.drain")), "fields/block-2.drain");
        assert_eq!(quoted(Path::new("north field.drain")), "'north field.drain'");
        assert_eq!(quoted(Path::new("o'neil $HOME.drain")), r"'o'\''neil $HOME.drain'");
        assert_eq!(quoted(Path::new("-rf.drain")), "./-rf.drain");
    }
}
