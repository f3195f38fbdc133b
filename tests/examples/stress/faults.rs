//! Failing writes: a library that is loaded before the C library lets the n-th call that writes fail, for every n, with a full
//! disk and with an error of the device.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::Tally;
use crate::bench::{Bench, Writing, how, told};

/// Lets calls fail, as many of each command as `times` allows.
pub fn run(bench: &Bench, times: usize) -> Tally {
    let mut tally = Tally::default();
    let folder = tempfile::tempdir().unwrap();
    let Some(library) = build(folder.path()) else {
        tally.see("left out: gcc does not build the library that lets writes fail");
        return tally;
    };
    for writing in &bench.writing {
        let calls = calls_of(bench, writing, &library);
        let step = calls.div_ceil(times).max(1);
        for nth in (1..=calls).step_by(step) {
            for error in ["ENOSPC", "EIO"] {
                one(bench, writing, &library, (nth, error), &mut tally);
            }
        }
        tally.see(format!("{}: {calls} calls that write", writing.words[0]));
    }
    tally
}

fn build(at: &Path) -> Option<PathBuf> {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/stress/faults.c");
    let library = at.join("faults.so");
    let built =
        Command::new("gcc").args(["-shared", "-fPIC", "-O1", "-o"]).arg(&library).arg(source).arg("-ldl").status();
    built.is_ok_and(|status| status.success()).then_some(library)
}

fn with_faults(bench: &Bench, at: &Path, writing: &Writing, library: &Path, (nth, error): (usize, &str)) -> Command {
    let mut command = bench.command(at, &writing.words);
    command.env("LD_PRELOAD", library).env("FAULT_AT", nth.to_string()).env("FAULT_WITH", error);
    command.env("FAULT_UNDER", at).env("FAULT_COUNT", at.join(".own-count"));
    command
}

/// How many calls that write a command makes undisturbed.
fn calls_of(bench: &Bench, writing: &Writing, library: &Path) -> usize {
    let folder = bench.folder();
    let output = with_faults(bench, folder.path(), writing, library, (0, "EIO")).output().unwrap();
    assert_eq!(output.status.code(), Some(writing.code), "{}", told(&output));
    let count = std::fs::read_to_string(folder.path().join(".own-count")).unwrap_or_default();
    count.trim().parse().unwrap_or(0)
}

fn one(bench: &Bench, writing: &Writing, library: &Path, fault: (usize, &str), tally: &mut Tally) {
    let folder = bench.folder();
    let output = with_faults(bench, folder.path(), writing, library, fault).output().unwrap();
    tally.trials += 1;
    let what = format!("{} with {} at call {}", writing.words.join(" "), fault.1, fault.0);
    Bench::bad_end(&output).into_iter().for_each(|bad| tally.fail(format!("{what}: {bad}")));
    tally.see(how(output.status));
    let is_refused = output.status.code() == Some(2);
    if is_refused && !told(&output).contains("drainwright: ") {
        tally.fail(format!("{what}: nothing is said"));
    }
    let _ = std::fs::remove_file(folder.path().join(".own-count"));
    bench.harm(folder.path(), writing).into_iter().for_each(|harm| tally.fail(format!("{what}: {harm}")));
    if !is_refused && !is_done(folder.path(), writing) {
        tally.fail(format!("{what}: said to be done, and is not ({})", how(output.status)));
    }
}

/// True where everything that the command writes is there.
fn is_done(at: &Path, writing: &Writing) -> bool {
    let now = crate::bench::files(at);
    writing
        .after
        .iter()
        .filter(|(name, _)| !name.starts_with(".own"))
        .all(|(name, bytes)| now.get(name) == Some(bytes))
}
