//! Kills: every command that writes is killed at some moment of its run.

use std::time::Duration;

use crate::Tally;
use crate::bench::{Bench, how};

/// Kills so often, the commands in turn. Each moment is chosen within the time that the command takes undisturbed.
pub fn run(bench: &Bench, times: usize) -> Tally {
    let mut tally = Tally::default();
    let takes: Vec<Duration> = bench.writing.iter().map(|writing| bench.takes(writing)).collect();
    let mut dice = fastrand::Rng::with_seed(13);
    for trial in 0..times {
        let i = trial % bench.writing.len();
        let writing = &bench.writing[i];
        let folder = bench.folder();
        // Most of what is written is written at the end: half of the kills are sent in its last fifth.
        let share = if dice.bool() { dice.f64() * 1.05 } else { 0.8 + dice.f64() * 0.25 };
        let mut child = bench.command(folder.path(), &writing.words).spawn().unwrap();
        std::thread::sleep(takes[i].mul_f64(share));
        let _ = child.kill();
        let output = child.wait_with_output().unwrap();
        tally.trials += 1;
        tally.see(if output.status.code().is_some() { "was done before the kill" } else { "was killed" });
        let command = writing.words.join(" ");
        for harm in bench.harm(folder.path(), writing) {
            tally.fail(format!("{command}, killed at {:.0} % ({}): {harm}", share * 100.0, how(output.status)));
        }
        again(bench, folder.path(), i, &mut tally);
    }
    tally
}

/// What was killed is run again: it comes out as it would have, or says why not, and nothing is left lying about.
fn again(bench: &Bench, at: &std::path::Path, i: usize, tally: &mut Tally) {
    let writing = &bench.writing[i];
    let checked = bench.run(at, &crate::bench::split("check a.drain"));
    if !matches!(checked.status.code(), Some(0 | 1)) {
        tally.fail(format!("{}: the plan cannot be checked afterwards, {}", writing.words[0], how(checked.status)));
    }
    let output = bench.run(at, &writing.words);
    Bench::bad_end(&output).into_iter().for_each(|bad| tally.fail(format!("{} again: {bad}", writing.words[0])));
    if output.status.code() == Some(writing.code) {
        for stray in bench.strays(at, writing) {
            tally.fail(format!("{} again: {stray} is left lying about", writing.words[0]));
        }
    }
}
