//! `drainwright dug --receiver`: shots from a satellite receiver, as they are asked for on standard input.

use std::io::BufRead;
use std::path::Path;
use std::process::ExitCode;
use std::sync::mpsc::{Receiver as Asked, TryRecvError, sync_channel};
use std::time::Duration;

use plan::{Additions, Benchmark, Plan, ShotOn, Signature, Taken};

use super::{CliError, complain, say};
use job::link::Link;
use job::receiver::{Outcome, Receiver};

/// How long it is waited for a piece of the stream before it is looked whether something is asked.
const MOMENT: Duration = Duration::from_millis(50);

/// A receiver, its plan, and the shot that is asked for.
struct Live<'a> {
    path: &'a Path,
    plan: Plan,
    taken: Taken,
    held: ShotOn,
    receiver: Receiver,
    asked: (ShotOn, String),
}

/// Takes what is asked for until nothing more is.
pub fn run(
    path: &Path,
    address: &str,
    antenna: &str,
    (mut taken, held): (Taken, ShotOn),
) -> Result<ExitCode, CliError> {
    let plan = super::open::change(path, |_| Ok(None))?;
    let antenna_m = measure::parse_length(antenna, plan.title.units)
        .map_err(|error| CliError::Argument(format!("--antenna: {error}")))?;
    if taken.revision.is_empty() {
        taken.revision = job::entering::in_force(&plan);
    }
    let receiver = Receiver::new(&plan, antenna_m).map_err(CliError::Argument)?;
    let mut live = Live { path, plan, taken, held, receiver, asked: (held, String::new()) };
    let (asked, link) = (lines(), Link::open(address, || {}));
    say("Nothing is taken before a check shot on a benchmark: check BENCHMARK");
    loop {
        if !live.receiver.is_averaging() {
            match asked.try_recv() {
                Ok(line) => live.ask(&line),
                Err(TryRecvError::Empty) => {}
                Err(TryRecvError::Disconnected) => break,
            }
        }
        match link.wait(MOMENT) {
            None => {}
            Some(Ok(piece)) => live.receiver.hear(&piece).into_iter().try_for_each(|outcome| live.settle(outcome))?,
            Some(Err(why)) => return Err(CliError::Argument(why)),
        }
    }
    live.how();
    say(plan::CAUTION_SHORT);
    Ok(ExitCode::SUCCESS)
}

/// Lines of standard input, as they come.
fn lines() -> Asked<String> {
    let (send, asked) = sync_channel(1);
    std::thread::spawn(move || {
        let all = std::io::stdin().lock().lines().map_while(Result::ok);
        // Nobody asks any more once the other end is gone.
        let _ = all.filter(|line| !line.trim().is_empty()).try_for_each(|line| send.send(line));
    });
    asked
}

impl Live<'_> {
    /// Does what a line asks for; what cannot be done is told.
    fn ask(&mut self, line: &str) {
        let (word, rest) = line.trim().split_once(' ').unwrap_or((line.trim(), ""));
        let done = match word {
            "check" => self.benchmark(rest.trim()).map(|benchmark| self.receiver.check_on(benchmark)),
            "shift" => self.shift(),
            "shot" => self.shoot(rest.trim()),
            "photo" => self.photo(Path::new(rest.trim())).map_err(|error| error.to_string()),
            "how" => {
                self.how();
                Ok(())
            }
            _ => Err(format!("found '{word}', expected check, shift, shot, photo or how")),
        };
        if let Err(why) = done {
            complain(why);
        }
    }

    /// Tells how it stands.
    fn how(&self) {
        self.receiver.words(self.plan.title.units).iter().for_each(say);
    }

    fn shift(&mut self) -> Result<(), String> {
        let shift_m = self.receiver.take_shift().ok_or("no check shot missed its benchmark")?;
        say(format_args!("Shift {}; check it again.", plan::signed_level(shift_m, self.plan.title.units)));
        Ok(())
    }

    /// A benchmark of the plan by its name, or the part of it before the first comma.
    fn benchmark(&self, name: &str) -> Result<Benchmark, String> {
        let all = &self.plan.survey.benchmarks;
        let is_called = |mark: &&Benchmark| mark.name == name || mark.name.split(',').next() == Some(name);
        all.iter().find(is_called).cloned().ok_or_else(|| {
            let names: Vec<&str> = all.iter().map(|mark| mark.name.as_str()).collect();
            format!("found '{name}', expected a benchmark of the plan: {}", names.join("; "))
        })
    }

    fn shoot(&mut self, rest: &str) -> Result<(), String> {
        let (first, after) = rest.split_once(' ').unwrap_or((rest, ""));
        let (on, note) = match ShotOn::read(first) {
            Some(on) => (on, after),
            None => (self.held, rest),
        };
        self.asked = (on, measure::plain(note.trim()).into_owned());
        self.receiver.shoot()
    }

    /// Takes a photo into the record; it is on the disk, and so is the plan, before that is told.
    fn photo(&mut self, file: &Path) -> Result<(), CliError> {
        let plane = job::ground::plane(&self.plan);
        let photo = job::photos::take_in(file, self.path, &plane, (None, ""));
        let photo = photo.map_err(|error| CliError::file(file, error))?;
        let told = photo.file.clone();
        self.record(Additions { photos: vec![photo], ..Additions::default() })?;
        say(format_args!("Taken: photo {told}"));
        Ok(())
    }

    /// Brings something into the record of the plan as it lies on the disk then.
    fn record(&mut self, additions: Additions) -> Result<(), CliError> {
        let on = self.taken.at.chars().take(10).collect();
        let signed = Signature { by: self.taken.by.clone(), on, because: "as dug".into() };
        self.plan = super::open::change(self.path, |plan| Ok(plan::add_to_record(plan, additions, &signed)))?;
        Ok(())
    }

    /// Tells what came of it; a shot is in the plan on the disk before it is told.
    fn settle(&mut self, outcome: Outcome) -> Result<(), CliError> {
        let units = self.plan.title.units;
        match outcome {
            Outcome::Checked(checked) => {
                say(format_args!("Checked: {}", self.receiver.missed_words(&checked, units)))
            }
            Outcome::Missed(missed) => {
                say(format_args!("Refused: {}", self.receiver.missed_words(&missed, units)));
                say("Another datum? `shift` takes the miss in height as a shift; then check again.");
            }
            Outcome::Shot(averaged) => {
                let ((on, note), scatter_m) = (self.asked.clone(), averaged.scatter_m);
                let shot = averaged.shot(on, &note, &self.taken, self.plan.record.shots.len());
                let told = format!("{} {} ± {}", shot.key, units.level(shot.level_m), units.amount(scatter_m));
                self.record(Additions { shots: vec![shot], ..Additions::default() })?;
                say(format_args!("Taken: {told}"));
            }
        }
        Ok(())
    }
}
