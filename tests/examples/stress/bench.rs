//! A small field on which everything is tried, the commands that write, and what must be there afterwards.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Output, Stdio};

use tempfile::TempDir;

/// The files of a folder by their path in it.
pub type Files = BTreeMap<String, Vec<u8>>;

/// A command that writes: its words, and how it comes out.
pub struct Writing {
    /// The words after the program's name.
    pub words: Vec<String>,
    /// Exit status when nothing disturbs it.
    pub code: i32,
    /// All files of the folder then.
    pub after: Files,
}

/// The program and a folder with a small field.
pub struct Bench {
    program: PathBuf,
    template: TempDir,
    /// The commands that write.
    pub writing: Vec<Writing>,
}

/// What every process may take.
const MOST_KB: u64 = 2 << 20;
const MOST_CPU_S: u64 = 10;

impl Bench {
    /// Lays the small field out and runs every command that writes once.
    pub fn new() -> Self {
        let mut bench = Self { program: program(), template: tempfile::tempdir().unwrap(), writing: Vec::new() };
        let at = bench.template.path().to_path_buf();
        lay_out(&at);
        for words in [NEW, HANDOVER, LINES, LOOK] {
            let output = bench.run(&at, &split(words));
            assert!(output.status.success(), "{words}: {}", told(&output));
        }
        let lasting = |words: &str| {
            let folder = bench.folder();
            let output = bench.run(folder.path(), &split(words));
            let code = output.status.code().unwrap_or(-1);
            assert!(code < 2, "{words}: {}", told(&output));
            Writing { words: split(words), code, after: files(folder.path()) }
        };
        bench.writing = WRITING.iter().map(|words| lasting(words)).collect();
        bench
    }

    /// A fresh copy of the folder.
    pub fn folder(&self) -> TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (name, bytes) in files(self.template.path()) {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, bytes).unwrap();
        }
        folder
    }

    /// What the folder holds at first.
    pub fn before(&self) -> Files {
        files(self.template.path())
    }

    /// The program with words, in a folder, bounded in memory and time.
    pub fn command(&self, at: &Path, words: &[String]) -> Command {
        let mut command = Command::new("sh");
        let bounded = format!("ulimit -v {MOST_KB}; ulimit -t {MOST_CPU_S}; exec \"$0\" \"$@\"");
        command.args(["-c", &bounded]).arg(&self.program).args(words).current_dir(at);
        command.env("XDG_DATA_HOME", at.join(".own")).env("HOME", at).env("RUST_BACKTRACE", "0");
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    /// Runs the program to its end.
    pub fn run(&self, at: &Path, words: &[String]) -> Output {
        self.command(at, words).output().unwrap()
    }

    /// How long a command takes undisturbed.
    pub fn takes(&self, writing: &Writing) -> std::time::Duration {
        let folder = self.folder();
        let started = std::time::Instant::now();
        self.run(folder.path(), &writing.words);
        started.elapsed()
    }

    /// What is wrong with how a run ended; nothing where it ended as the program ends.
    pub fn bad_end(output: &Output) -> Option<String> {
        let text = told(output);
        let is_end = matches!(output.status.code(), Some(0..=2)) && !text.contains("panicked");
        (!is_end)
            .then(|| format!("{}: {}", how(output.status), text.lines().take(12).collect::<Vec<_>>().join(" | ")))
    }

    /// What is wrong with a folder after a command was disturbed: every file is as before, or as the command leaves it, and
    /// the hand-over folder is one or the other whole.
    pub fn harm(&self, at: &Path, writing: &Writing) -> Vec<String> {
        let (before, now) = (self.before(), files(at));
        let mut harm: Vec<String> = Vec::new();
        for (name, bytes) in before.iter().filter(|(name, _)| is_kept(name) && !name.starts_with("out/")) {
            match now.get(name) {
                None => harm.push(format!("{name} is gone")),
                Some(own) if own == bytes || writing.after.get(name) == Some(own) => {}
                Some(own) => harm.push(format!("{name} has {} bytes of neither plan", own.len())),
            }
        }
        for (name, own) in now.iter().filter(|(name, _)| is_kept(name) && !before.contains_key(*name)) {
            if writing.after.get(name).is_some_and(|bytes| bytes != own) {
                harm.push(format!("{name} is neither absent nor whole"));
            }
        }
        let of_folder = |files: &Files| -> Files {
            files.iter().filter(|(name, _)| name.starts_with("out/")).map(|(n, b)| (n.clone(), b.clone())).collect()
        };
        let (old, new, own) = (of_folder(&before), of_folder(&writing.after), of_folder(&now));
        if own != old && own != new {
            harm.push(format!("out/ holds {} files of {} or {}", own.len(), old.len(), new.len()));
        }
        harm
    }

    /// Files that nobody asked for, left in a folder after a command went through undisturbed.
    pub fn strays(&self, at: &Path, writing: &Writing) -> Vec<String> {
        let known = |name: &String| writing.after.contains_key(name) || !is_kept(name) || name.contains(".bak");
        files(at).into_keys().filter(|name| !known(name)).collect()
    }
}

/// True for files that are somebody's: not the program's own notes of where files were chosen, nor a lock.
fn is_kept(name: &str) -> bool {
    !name.starts_with(".own/") && !name.ends_with(".lock")
}

/// Everything a run said.
pub fn told(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// How a process ended, in words.
pub fn how(status: ExitStatus) -> String {
    match status.code() {
        Some(code) => format!("exit status {code}"),
        None => status.to_string(),
    }
}

/// All files below a folder by their path in it.
pub fn files(at: &Path) -> Files {
    let mut found = Files::new();
    let mut waiting = vec![at.to_path_buf()];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                waiting.push(path);
            } else if let Ok(bytes) = std::fs::read(&path) {
                found.insert(path.strip_prefix(at).unwrap().to_string_lossy().into_owned(), bytes);
            }
        }
    }
    found
}

/// The program beside this one, or the one that is named.
fn program() -> PathBuf {
    let beside = || {
        let own = std::env::current_exe().unwrap();
        own.ancestors().nth(2).unwrap().join("drainwright")
    };
    let program = std::env::var_os("DRAINWRIGHT").map_or_else(beside, PathBuf::from);
    assert!(program.exists(), "{} is not there: build it first (-p app), with the same profile", program.display());
    program
}

/// Words between blanks; a blank within a word is written `_`.
pub fn split(words: &str) -> Vec<String> {
    words.split(' ').map(|word| word.replace('_', " ")).collect()
}

const NEW: &str = "new --ground ground.asc --field field.geojson --crs ground --outlet 5,5,9.2 --horizontal-unit m --units metric --as-of 2031-04-02 \
                   -o a.drain";
const HANDOVER: &str = "handover a.drain -o out --all-the-same --by A._Marsh --because early --date 2031-04-02";
const LINES: &str = "lines a.drain lines.geojson --crs ground";
const LOOK: &str = "takeoff a.drain";

/// Every command that writes.
const WRITING: [&str; 12] = [
    "new --ground ground.asc --field field.geojson --crs ground --outlet 5,5,9.2 --horizontal-unit m -o fresh.drain",
    "lines a.drain more.geojson --crs ground",
    "grade a.drain -o a.drain",
    "grade a.drain -o b.drain",
    "water a.drain --ditch 20,20_60,60",
    "bring a.drain --marks marks.geojson --crs ground",
    "accept a.drain 1 --by A._Marsh --because a_trial --on 2031-04-03",
    "survey a.drain --add first=levels.csv",
    "sheets a.drain -o a.pdf --issue --all-the-same --by A._Marsh --because first --date 2031-04-03",
    "handover a.drain -o out --all-the-same --by A._Marsh --because first --date 2031-04-03",
    "export a.drain --to csv -o a.csv",
    "picture a.drain -o a.png --width 400",
];

/// Ground, boundary, lines, marks and levels of the small field.
fn lay_out(at: &Path) {
    let mut grid = String::from("ncols 24\nnrows 24\nxllcorner 0\nyllcorner 0\ncellsize 5\nNODATA_value -9999\n");
    for row in 0..24 {
        let level = |col: usize| {
            let (x, y) = (col as f64 * 5.0, (23 - row) as f64 * 5.0);
            10.0 + 0.012 * y + 0.006 * x - 0.4 * (-((x - 60.0) / 12.0).powi(2)).exp()
        };
        let levels: Vec<String> = (0..24).map(|col| format!("{:.3}", level(col))).collect();
        let _ = writeln!(grid, "{}", levels.join(" "));
    }
    let ring = "[[5,5],[110,5],[110,110],[5,110],[5,5]]";
    let line = |name: &str, kind: &str, points: &str| {
        format!(
            r#"{{"type":"Feature","properties":{{"name":"{name}","kind":"{kind}"}},"geometry":{{"type":"LineString","coordinates":{points}}}}}"#
        )
    };
    let lines = [
        line("M1", "main", "[[5,5],[60,8],[105,10]]"),
        line("L1", "lateral", "[[40,7],[40,60],[44,100]]"),
        line("L2", "lateral", "[[80,9],[78,100]]"),
    ];
    let collection = |features: &str| format!(r#"{{"type":"FeatureCollection","features":[{features}]}}"#);
    let mark = r#"{"type":"Feature","properties":{"kind":"tree","name":"oak"},"geometry":{"type":"Point","coordinates":[50,50]}}"#;
    let written = [
        ("ground.asc", grid),
        ("field.geojson", format!(r#"{{"type":"Polygon","coordinates":[{ring}]}}"#)),
        ("lines.geojson", collection(&lines.join(","))),
        ("more.geojson", collection(&line("L3", "lateral", "[[60,8],[60,90]]"))),
        ("marks.geojson", collection(mark)),
        ("levels.csv", "name,e,n,z\np1,20,20,10.36\np2,40,60,10.9\np3,90,90,11.6\n".into()),
    ];
    for (name, text) in written {
        std::fs::write(at.join(name), text).unwrap();
    }
}
