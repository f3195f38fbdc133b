//! The program without a window: one file a command. Errors go to standard error; 0 is fine, 1 means that
//! something blocks digging, by which `check` ends and sheets are held back, 2 means unusable input, arguments or a failed write.

mod bring;
mod check;
pub mod compare;
mod export;
mod fix;
mod grade;
mod handover;
mod leave;
mod lines;
mod new;
mod open;
mod part;
mod picture;
mod sheets;
mod survey;
mod takeoff;
mod water;

pub use bring::{add_marks, hubs_edit, prices_of};
pub use check::{counted, text_lines};
pub use lines::add_lines;
pub use survey::benchmark;
pub use takeoff::takeoff_lines;

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::str::FromStr;
use std::sync::OnceLock;

use ::sheets::HeldBack;
use checks::Finding;
use clap::{Parser, Subcommand};
use exchange::FileError;
use measure::Units;
use plan::{Plan, PlanError};

use crate::land::Land;
use crate::session::Derived;
use open::{OpenPlan, open, open_to};

/// Plan, check and draw subsurface drainage. Without a command the window opens.
#[derive(Debug, Parser)]
#[command(name = "drainwright", version, args_conflicts_with_subcommands = true, after_help = plan::CAUTION)]
pub struct Arguments {
    /// What to do without a window.
    #[command(subcommand)]
    pub command: Option<Verb>,
    /// Plan file to open in the window; the demo field without one.
    pub plan: Option<PathBuf>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Start a plan from a ground file, a boundary and an outlet.
    New(Box<new::New>),
    /// Add lines from a GeoJSON, KML or shapefile; joints are found by nearness.
    Lines(lines::Lines),
    /// Print how the survey stands and its log; correct it with name, day and reason.
    Survey(Box<survey::SurveyVerb>),
    /// Tell where water goes; draw ditches and culverts that the ground file hides.
    Water(water::WaterVerb),
    /// Work out grade lines, sizes and water of every line; save them fixed with -o.
    Grade(grade::Grade),
    /// Print the punch list; exit status 1 when something blocks digging.
    Check(check::Check),
    /// Clear a finding by one of the remedies that `check` prints.
    Fix(Box<fix::Fix>),
    /// Leave a finding as it is, by name and with a reason.
    Leave(leave::Leave),
    /// Bring in marks on the land, prices, hub levels and local rules.
    Bring(Box<bring::Bring>),
    /// Print what it takes and costs, and layouts side by side.
    Takeoff(takeoff::Takeoff),
    /// Write plan sheet, profiles, cut sheets and lists as one PDF.
    Sheets(Box<sheets::Sheets>),
    /// Write the folder to hand over: PDF, tables, open formats and a note.
    Handover(handover::Handover),
    /// Draw map and profiles as a PNG; needs no display.
    Picture(picture::Picture),
    /// Write lines, joints, outlets and field in an open format.
    Export(export::Export),
}

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// A file could not be read or written.
    #[error("{file}: {error}")]
    File {
        /// The file as named.
        file: String,
        /// What is wrong with it.
        error: FileError,
    },
    /// The plan refuses what was asked.
    #[error("{0}")]
    Plan(#[from] PlanError),
    /// An argument cannot be used.
    #[error("{0}")]
    Argument(String),
    /// Something is to be fixed before sheets leave.
    #[error(
        "nothing is sent out. {0}\nMend them, or send it out all the same: --all-the-same --by NAME --because REASON"
    )]
    HeldBack(#[from] HeldBack),
}

impl CliError {
    fn file(path: &Path, error: FileError) -> Self {
        // Reading and writing errors of the system name the file themselves.
        match error {
            FileError::Io { .. } | FileError::Write { .. } | FileError::Busy { .. } | FileError::Changed { .. } => {
                Self::Argument(error.to_string())
            }
            FileError::TooManyCells { .. } => Self::Argument(format!(
                "{}: {error} with --crop W,S,E,N (its own coordinates) or --around FIELD --margin LENGTH",
                path.display()
            )),
            error => Self::File { file: path.display().to_string(), error },
        }
    }
}

/// Runs a command and gives the exit status.
#[allow(clippy::print_stderr, reason = "the command line's own error channel")]
pub fn run(verb: &Verb) -> ExitCode {
    let done = match verb {
        Verb::New(command) => new::run(command),
        Verb::Lines(command) => lines::run(command),
        Verb::Survey(command) => survey::run(command),
        Verb::Water(command) => water::run(command),
        Verb::Grade(command) => grade::run(command),
        Verb::Check(command) => check::run(command),
        Verb::Fix(command) => fix::run(command),
        Verb::Leave(command) => leave::run(command),
        Verb::Bring(command) => bring::run(command),
        Verb::Takeoff(command) => takeoff::run(command),
        Verb::Sheets(command) => sheets::run(command),
        Verb::Handover(command) => handover::run(command),
        Verb::Picture(command) => picture::run(command),
        Verb::Export(command) => export::run(command),
    };
    let done = done.and_then(|code| match UNSAID.get() {
        Some(error) => Err(CliError::Argument(format!("standard output: {error}"))),
        None => Ok(code),
    });
    match done {
        Ok(code) => code,
        Err(error) => {
            eprintln!("drainwright: {error}");
            ExitCode::from(if matches!(error, CliError::HeldBack(_)) { 1 } else { 2 })
        }
    }
}

/// The first line that could not be printed, and why.
static UNSAID: OnceLock<io::Error> = OnceLock::new();

/// Prints a line on standard output. What cannot be printed ends the command with 2 when it is done; a closed pipe does not.
fn say(text: impl std::fmt::Display) {
    match writeln!(io::stdout(), "{text}") {
        // The reader of a pipe may have enough (`| head`); what was asked is done all the same.
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => drop(UNSAID.set(error)),
        _ => {}
    }
}

/// Prints what should be known of the ground and of the files beside it.
fn say_notes(land: &Land) {
    land.notes.iter().for_each(|note| say(format_args!("Ground: {note}")));
}

/// Reads just so many numbers between commas.
fn numbers<T: FromStr, const N: usize>(text: &str) -> Option<[T; N]> {
    let numbers: Result<Vec<T>, _> = text.split(',').map(|number| number.trim().parse()).collect();
    numbers.ok()?.try_into().ok()
}

/// Refuses to write over a plan, or over a ground or survey file of the plan that the output comes from.
fn spare((plan, home): (&Plan, &Path), output: &Path) -> Result<(), CliError> {
    let named = plan.ground.iter().map(|ground| &ground.file).chain(plan.survey.files.iter().map(|file| &file.file));
    let mut own = named.map(|file| home.parent().map_or_else(|| PathBuf::from(file), |folder| folder.join(file)));
    let there = output.canonicalize().ok();
    let what = match there.is_some() {
        true if own.any(|file| file.canonicalize().ok() == there) => "a file that the plan is made from",
        true if exchange::read_plan(output).is_ok() => "a plan",
        _ => return Ok(()),
    };
    Err(CliError::Argument(format!("{}: found {what}, expected another name to write to", output.display())))
}

/// The finding of a key, or of its number on the punch list.
fn finding_of<'a>(list: &'a [Finding], key: &str, units: Units) -> Result<&'a Finding, CliError> {
    let numbered = key.parse::<usize>().ok().and_then(|number| list.get(number.checked_sub(1)?));
    checks::by_key(list, key, units).or(numbered).ok_or_else(|| {
        let keys: Vec<&str> = list.iter().map(|finding| finding.key.as_str()).collect();
        let expected = if keys.is_empty() { "nothing: the punch list is empty".into() } else { keys.join(", ") };
        CliError::Argument(format!("found '{key}', expected the key of a finding: {expected}"))
    })
}

fn work_out(open: &OpenPlan) -> Derived {
    Derived::of(open.plan.clone(), open.land.as_ref())
}

/// Says why nothing was done.
#[allow(clippy::print_stderr, reason = "the command line's own error channel")]
pub fn fail(why: &str) -> ExitCode {
    eprintln!("drainwright: {why}");
    ExitCode::from(2)
}

/// What plain `drainwright` does where there is no display: checks and draws the demo field.
#[allow(clippy::print_stderr, reason = "the command line's own error channel")]
pub fn demo_without_window(why: &str) -> ExitCode {
    eprintln!("drainwright: {why}. Without a window, here is the check of the demo field; its picture follows.");
    let shown = check::demo().and_then(|()| picture::demo());
    match shown {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("drainwright: {error}");
            ExitCode::from(2)
        }
    }
}
