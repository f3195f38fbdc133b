//! Proposals beside what is drawn by hand, in the same measure: `cargo run --release -p propose --example compare -- PLAN… [-o FOLDER]`.
//! With `-o` each layout is written there as a plan.

#![allow(clippy::print_stdout, reason = "a table for a person")]

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::Instant;

use checks::Severity;
use job::{Progress, files, ground};
use propose::{Told, WetLand};

/// Threads that the search may use.
const THREADS: usize = 2;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut plans: Vec<PathBuf> = std::env::args().skip(1).map(PathBuf::from).collect();
    let folder = match plans.iter().position(|arg| arg.as_os_str() == "-o") {
        Some(at) => plans.drain(at..).nth(1),
        None => None,
    };
    println!(
        "{:<18} {:<24} {:>10} {:>8} {:>16} {:>9} {:>14} {:>6} {:>6}",
        "field", "layout", "total", "pipe m", "wet served m2", "of", "fix/decide", "gap %", "s"
    );
    plans.iter().try_for_each(|path| compare(path, folder.as_deref()))
}

/// How long somebody who says stop would wait at most, step by step.
struct Waits {
    last: Instant,
    step: String,
    asks: usize,
    longest_s: BTreeMap<String, f64>,
}

impl Waits {
    fn since(last: Instant) -> Self {
        Self { last, step: "start".into(), asks: 0, longest_s: BTreeMap::new() }
    }

    fn ask(&mut self, told: &Told) {
        let waited_s = self.last.elapsed().as_secs_f64();
        let longest_s = self.longest_s.entry(self.step.clone()).or_default();
        *longest_s = longest_s.max(waited_s);
        if let Told::Step(step) = told {
            self.step = (*step).into();
        }
        (self.last, self.asks) = (Instant::now(), self.asks + 1);
    }

    fn told(&self) -> String {
        let steps = self.longest_s.iter().map(|(step, longest_s)| format!("{longest_s:.3} s {step}"));
        format!("asked {} times, longest waits: {}", self.asks, steps.collect::<Vec<_>>().join(", "))
    }
}

/// Tells of one plan: what is drawn, then what is proposed.
fn compare(path: &Path, folder: Option<&Path>) -> Result<(), Box<dyn std::error::Error>> {
    let plan = files::read_whole(path)?;
    let land = ground::open_plan(&plan, path.parent(), &Progress::default())?.under(&plan);
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let design = design::work_out(&plan, &land);
    let findings = checks::punch_list(&plan, &design, &land);
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
    let wet = WetLand::of(&plan, &land);
    row(
        (&stem, "drawn by hand"),
        takeoff::estimate(&plan, &design).total(),
        (takeoff::totals(&plan, &design).pipe_m, wet.served_m2(&plan, &design, &land), wet.area_m2()),
        (count(Severity::Block), count(Severity::Decide)),
        (None, None),
    );
    let begun = Instant::now();
    let mut waits = Waits::since(begun);
    let found = propose::propose(&plan, &land, THREADS, &mut |told| {
        waits.ask(&told);
        match told {
            Told::Layout(proposal) => row(
                (&stem, &proposal.name),
                proposal.estimate.total(),
                (proposal.totals.pipe_m, proposal.served_m2, proposal.wet_m2),
                (proposal.count(Severity::Block), proposal.count(Severity::Decide)),
                (proposal.bound.map(|bound| 100.0 * bound.gap()), Some(begun.elapsed().as_secs_f64())),
            ),
            Told::LeftOut(one) => println!("    {}", one.told()),
            Told::Step(_) => {}
        }
        ControlFlow::Continue(())
    });
    println!("    {:.1} s in all, {}", begun.elapsed().as_secs_f64(), waits.told());
    let found = match found {
        Ok(found) => found,
        Err(why) => {
            println!("{stem:<18} {why}");
            return Ok(());
        }
    };
    for proposal in folder.iter().flat_map(|_| &found) {
        let file = format!("{stem}-{}.drain", proposal.name.replace(' ', "-"));
        let Some(folder) = folder else { continue };
        std::fs::create_dir_all(folder)?;
        files::save_over(&proposal.plan, &folder.join(file))?;
        for finding in proposal.findings.iter().filter(|f| f.severity != Severity::Note) {
            println!("    {}: [{}] {} {}", proposal.name, finding.severity.word(), finding.title, finding.message);
        }
        let whys = proposal.why.iter().chain(proposal.stays.values()).chain(proposal.why_lines.values());
        whys.for_each(|why| println!("    {}: {why}", proposal.name));
    }
    Ok(())
}

fn row(
    (field, layout): (&str, &str),
    total: f64,
    (pipe_m, served_m2, wet_m2): (f64, f64, f64),
    (fix, decide): (usize, usize),
    (gap, seconds): (Option<f64>, Option<f64>),
) {
    let told = |value: Option<f64>| value.map_or(String::new(), |value| format!("{value:.1}"));
    println!(
        "{field:<18} {layout:<24} {total:>10.0} {pipe_m:>8.0} {served_m2:>16.0} {wet_m2:>9.0} {:>14} {:>6} {:>6}",
        format!("{fix}/{decide}"),
        told(gap),
        told(seconds)
    );
}
