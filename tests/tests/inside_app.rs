//! Inside the program: the order of its modules, held against the table of DEVELOPERS.md both ways, and what panels may not do.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use whole_house::{code_only, root, sources, table_of};

/// A file of the program: its path below `src`, and its code without tests.
struct File {
    path: PathBuf,
    code: String,
}

fn files() -> Vec<File> {
    let src = root().join("crates/app/src");
    let read = |path: PathBuf| {
        let code = code_only(&fs::read_to_string(&path).unwrap());
        File { path: path.strip_prefix(&src).unwrap().to_path_buf(), code }
    };
    let all = sources("app").into_iter().map(read);
    all.filter(|file| !["lib.rs", "main.rs"].iter().any(|name| file.path == Path::new(name))).collect()
}

impl File {
    /// The module of the crate that the file belongs to.
    fn module(&self) -> String {
        let first = self.path.components().next().unwrap().as_os_str().to_string_lossy().into_owned();
        first.trim_end_matches(".rs").to_string()
    }

    /// How many modules deep it stands: one for a module of the crate itself.
    fn depth(&self) -> usize {
        self.path.components().count() - usize::from(self.path.ends_with("mod.rs"))
    }

    /// The modules of the crate that it names, by whatever path.
    fn named(&self) -> BTreeSet<String> {
        let up = "super::".repeat(self.depth());
        ["crate::{".to_string(), format!("{up}{{")].iter().for_each(|group| {
            assert!(!self.code.contains(group), "{}: {group} hides what is named", self.path.display());
        });
        let after = |start: &str| -> Vec<String> {
            let ends = self.code.match_indices(start).map(|(at, _)| &self.code[at + start.len()..]);
            ends.map(|rest| rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()).collect()
        };
        after("crate::").into_iter().chain(after(&up)).collect()
    }
}

/// Level of each module in the table of DEVELOPERS.md.
fn levels() -> BTreeMap<String, u32> {
    let rows = table_of("## Inside `app`").into_iter();
    rows.flat_map(|cells| {
        let level: u32 = cells[0].parse().unwrap();
        let names = cells[1].split(',').map(|name| name.trim().trim_matches('`').to_string());
        names.map(move |name| (name, level)).collect::<Vec<_>>()
    })
    .collect()
}

#[test]
fn every_module_has_its_row_and_every_row_its_module() {
    let lib = fs::read_to_string(root().join("crates/app/src/lib.rs")).unwrap();
    let declared = lib.lines().filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'));
    let declared: BTreeSet<String> = declared.map(String::from).collect();
    let found: BTreeSet<String> = files().iter().map(File::module).collect();
    assert_eq!(declared, found, "lib.rs and the files");
    assert_eq!(levels().into_keys().collect::<BTreeSet<_>>(), found, "the table and the files");
}

/// A module names only modules of lower levels, and its level is no higher than what it names asks for: the table can
/// neither hide a circle nor grow stale.
#[test]
fn arrows_inside_the_program_point_down() {
    let levels = levels();
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for file in files() {
        let own = file.module();
        let named = file.named().into_iter().filter(|name| *name != own && levels.contains_key(name));
        for name in named {
            assert!(levels[&name] < levels[&own], "{}: {own} may not name {name}", file.path.display());
            uses.entry(own.clone()).or_default().insert(name);
        }
    }
    for (name, level) in &levels {
        let asked = uses.get(name).into_iter().flatten().map(|used| levels[used] + 1).max().unwrap_or(0);
        assert_eq!(*level, asked, "{name} stands on {:?}", uses.get(name));
    }
}

/// Panels and dialogs see the plan and ask: none carries anything out, changes what is open, or touches a file.
#[test]
fn panels_only_ask() {
    let forbidden = [
        "apply",
        "saving::",
        "keeping::",
        "Desk",
        "&mut Session",
        "&mut Plan",
        ".edit(",
        ".gesture(",
        ".undo(",
        ".redo(",
        ".bring_in(",
        ".saved_as(",
        "mark_unsaved",
        ".only_look(",
        ".set_interval(",
        "std::fs",
        "Job::",
        "Jobs",
        ".start(",
    ];
    let panels: Vec<File> = files().into_iter().filter(|file| file.module() == "panels").collect();
    assert!(panels.len() > 10, "the panels are looked at");
    for file in panels {
        for word in forbidden {
            assert!(!names(&file.code, word), "{} names {word}", file.path.display());
        }
    }
}

/// True where code has a word, and not as the end of a longer one.
fn names(code: &str, word: &str) -> bool {
    let goes_on = |at: usize| code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_');
    let is_whole = |at: usize| !word.starts_with(|c: char| c.is_alphanumeric()) || !goes_on(at);
    code.match_indices(word).any(|(at, _)| is_whole(at))
}

/// The tool list, the menus and the keyboard read the tables of `command`: no other file binds a key to a command or a tool.
#[test]
fn commands_and_tools_are_data() {
    let reads = ["COMMANDS", "tools()"];
    for file in files().iter().filter(|file| file.module() != "command") {
        assert!(!file.code.contains("KeyboardShortcut::new"), "{} makes a shortcut", file.path.display());
    }
    let code = |path: &str| files().into_iter().find(|file| file.path == Path::new(path)).unwrap().code;
    assert!(code("window.rs").contains(reads[0]), "the keyboard reads the commands");
    // Menus and tool list, the list that is searched, help.
    for path in ["panels/mod.rs", "panels/find.rs", "panels/keys.rs"] {
        assert!(reads.iter().all(|table| code(path).contains(table)), "{path} reads both tables");
    }
}
