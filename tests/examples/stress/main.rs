//! The stress script: kills, failing writes, two hands on one plan, full and read-only file systems, mutated plans and
//! hostile properties, through every command of the program. It starts its own processes only, each bounded in memory and
//! time, in folders of its own.
//!
//! `cargo run --profile stress -p whole-house --example stress` runs it all, with `short` after `--` a short form; `kills`,
//! `faults`, `writers`, `walls`, `mutants` or `properties` and a number run one part so many times. What is found wrong is
//! printed with what makes it happen again, and the exit status is 1.

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "a script that tells what it sees and may stop")]

mod bench;
mod faults;
mod hands;
mod kills;
mod mutants;
mod properties;
mod walls;

use std::process::ExitCode;

use bench::Bench;

/// What a part of the script saw.
#[derive(Default)]
pub struct Tally {
    /// Trials made.
    trials: usize,
    /// What was seen, by words, with how often.
    seen: std::collections::BTreeMap<String, usize>,
    /// What was wrong.
    wrong: Vec<String>,
}

impl Tally {
    /// Counts something that was seen.
    pub fn see(&mut self, what: impl Into<String>) {
        *self.seen.entry(what.into()).or_default() += 1;
    }

    /// Notes that something is wrong.
    pub fn fail(&mut self, what: String) {
        println!("WRONG: {what}");
        self.wrong.push(what);
    }
}

type Part = (&'static str, fn(&Bench, usize) -> Tally, usize, usize);

/// The parts: name, what it does, how often in all, how often in the short form.
const PARTS: [Part; 6] = [
    ("kills", kills::run, 1_000, 40),
    ("faults", faults::run, 1_000, 6),
    ("writers", hands::run, 50, 3),
    ("walls", walls::run, 1, 1),
    ("mutants", mutants::run, 10_000, 60),
    ("properties", properties::run, 2_000, 40),
];

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let first = arguments.first().map(String::as_str);
    let count = arguments.get(1).and_then(|count| count.parse().ok());
    let bench = Bench::new();
    let mut is_well = true;
    for (name, part, all, short) in PARTS {
        let times = match first {
            None => all,
            Some("short") => short,
            Some(only) if only == name => count.unwrap_or(all),
            Some(_) => continue,
        };
        let started = std::time::Instant::now();
        let tally = part(&bench, times);
        println!(
            "{name}: {} trials, {} wrong, {:.0} s",
            tally.trials,
            tally.wrong.len(),
            started.elapsed().as_secs_f64()
        );
        tally.seen.iter().for_each(|(what, count)| println!("  {count:>6}  {what}"));
        is_well &= tally.wrong.is_empty();
    }
    ExitCode::from(u8::from(!is_well))
}
