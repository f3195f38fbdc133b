//! The program without a window: one file a command. Errors go to standard error; 0 is fine, 1 means that
//! something blocks digging, by which `check` ends and sheets are held back, 2 means unusable input, arguments or a failed write.

mod accept;
mod allow;
mod bid;
mod bring;
mod certainty;
mod check;
mod dossier;
mod dry;
mod dug;
mod dug_live;
mod export;
mod fix;
mod found;
mod grade;
mod handover;
mod lesson;
mod lines;
mod new;
mod open;
mod part;
mod picture;
mod propose;
mod record;
mod sheets;
mod spacing;
mod survey;
mod takeoff;
mod trouble;
mod water;

pub use check::text_lines;
pub use takeoff::takeoff_lines;

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::str::FromStr;
use std::sync::OnceLock;

use ::sheets::HeldBack;
use checks::Finding;
use clap::{Args, Parser, Subcommand};
use exchange::FileError;
use measure::{Point, Units};
use plan::{Plan, PlanError, Signature};
use serde_json::Value;

use job::Worked;
use job::{files, ground, sparing};
use land::Land;
use open::{OpenPlan, Source, open, open_to};

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

/// Whether a file that is there already may go.
#[derive(Debug, Clone, Copy, Args)]
pub struct Over {
    /// Replace a file of that name that is there already. A plan that is replaced by a plan is kept as a backup; no other
    /// output replaces a plan, a backup, unsaved work or ground.
    #[arg(long)]
    replace: bool,
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
    /// Work out grade lines, sizes and water of every line; save them locked with -o.
    Grade(grade::Grade),
    /// Print the punch list; exit status 1 when something blocks digging.
    Check(check::Check),
    /// Clear a finding by one of the remedies that `check` prints.
    Fix(Box<fix::Fix>),
    /// Weigh what to do with old tile found in the trench: the five choices side by side.
    Found(Box<found::Found>),
    /// Accept a finding as it is, by name and with a reason, or reopen it.
    Accept(accept::Accept),
    /// Bring in marks on the land, prices, hub levels and local rules.
    Bring(Box<bring::Bring>),
    /// Tell how far apart drains should lie, from figures or at a place of a plan, with what is left open.
    Spacing(Box<spacing::Spacing>),
    /// Look for first layouts by computation, side by side: cost, wet land served, why each runs where it runs.
    Propose(propose::Propose),
    /// Tell how sure a plan is when dug as staked, and where one more shot would settle most.
    Certainty(certainty::Certainty),
    /// Print what it takes and costs, and layouts side by side.
    Takeoff(takeoff::Takeoff),
    /// Tell how long the land is wet after rain: without drains, with each layout.
    Dry(dry::Dry),
    /// Write plan sheet, profiles, cut sheets and lists as one PDF.
    Sheets(Box<sheets::Sheets>),
    /// Write the bid schedule as PDF or CSV: items and quantities for contractors to price.
    Bid(Box<bid::Bid>),
    /// Write the folder to hand over: PDF, tables, open formats and a note.
    Handover(handover::Handover),
    /// Hold shots of what was laid against the plan; bring them into its record.
    Dug(Box<dug::DugVerb>),
    /// Write the dossier: what lies in the ground, for whoever digs there later.
    Dossier(Box<dossier::Dossier>),
    /// Print the record and the yearly care list; add flows, repairs and the signature.
    Record(Box<record::RecordVerb>),
    /// Write lessons for a class as PDF or as one HTML page.
    Lesson(Box<lesson::Lesson>),
    /// From a wet spot: which line is likely to blame, why, and where to dig first.
    Trouble(trouble::TroubleVerb),
    /// Tell which files a plan names, and say that one which lies elsewhere may be read.
    Allow(allow::Allow),
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
    /// Something is to be fixed before sheets are issued.
    #[error(
        "nothing is issued or handed over. {0}\nMend them, or do it all the same: --all-the-same --by NAME --because REASON"
    )]
    HeldBack(#[from] HeldBack),
}

impl CliError {
    fn demo(error: FileError) -> Self {
        Self::Argument(format!("the demo field: {error}"))
    }

    fn file(path: &Path, error: FileError) -> Self {
        // Reading and writing errors of the system name the file themselves.
        match error {
            FileError::Io { .. }
            | FileError::Write { .. }
            | FileError::Outside { .. }
            | FileError::Busy { .. }
            | FileError::Changed { .. } => Self::Argument(error.to_string()),
            FileError::TooManyCells { .. } => Self::Argument(format!(
                "{}: {error} with --crop W,S,E,N (its own coordinates) or --around FIELD --margin LENGTH",
                path.display()
            )),
            error => Self::File { file: path.display().to_string(), error },
        }
    }
}

/// Runs a command and gives the exit status.
pub fn run(verb: &Verb) -> ExitCode {
    let done = match verb {
        Verb::New(command) => new::run(command),
        Verb::Lines(command) => lines::run(command),
        Verb::Survey(command) => survey::run(command),
        Verb::Water(command) => water::run(command),
        Verb::Grade(command) => grade::run(command),
        Verb::Check(command) => check::run(command),
        Verb::Fix(command) => fix::run(command),
        Verb::Found(command) => found::run(command),
        Verb::Accept(command) => accept::run(command),
        Verb::Bring(command) => bring::run(command),
        Verb::Spacing(command) => spacing::run(command),
        Verb::Dry(command) => dry::run(command),
        Verb::Propose(command) => propose::run(command),
        Verb::Certainty(command) => certainty::run(command),
        Verb::Takeoff(command) => takeoff::run(command),
        Verb::Sheets(command) => sheets::run(command),
        Verb::Bid(command) => bid::run(command),
        Verb::Dug(command) => dug::run(command),
        Verb::Allow(command) => allow::run(command),
        Verb::Handover(command) => handover::run(command),
        Verb::Dossier(command) => dossier::run(command),
        Verb::Record(command) => record::run(command),
        Verb::Lesson(command) => lesson::run(command),
        Verb::Trouble(command) => trouble::run(command),
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
            complain(&error);
            ExitCode::from(if matches!(error, CliError::HeldBack(_)) { 1 } else { 2 })
        }
    }
}

/// Tells on standard error what went wrong. Where nobody hears it the exit status still says so.
fn complain(why: impl std::fmt::Display) {
    let _ = writeln!(io::stderr(), "drainwright: {}", measure::plain_lines(&why.to_string()));
}

/// The first line that could not be printed, and why.
static UNSAID: OnceLock<io::Error> = OnceLock::new();

/// Prints a line on standard output, with what is hidden in it shown. What cannot be printed ends the command with 2 when it is done; a closed pipe does not.
fn say(text: impl std::fmt::Display) {
    put(&measure::plain_lines(&text.to_string()));
}

/// Prints an answer for programs; what is hidden in its texts is escaped as JSON does.
fn say_json(value: &Value) -> Result<(), CliError> {
    let text = serde_json::to_string_pretty(value).map_err(|error| CliError::Argument(error.to_string()))?;
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        if c == '\n' || !measure::is_hidden(c) {
            escaped.push(c);
        } else {
            c.encode_utf16(&mut [0; 2]).iter().for_each(|unit| escaped.push_str(&format!("\\u{unit:04x}")));
        }
    }
    put(&escaped);
    Ok(())
}

fn put(text: &str) {
    match writeln!(io::stdout(), "{text}") {
        // The reader of a pipe may have enough (`| head`); what was asked is done all the same.
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => drop(UNSAID.set(error)),
        _ => {}
    }
}

/// A signature as typed, with what is hidden in it shown.
fn signed(by: &str, on: String, because: &str) -> Signature {
    Signature { by: measure::plain(by).into_owned(), on, because: measure::plain(because).into_owned() }
}

/// Prints what should be known of the ground and of the files beside it.
fn say_notes(land: &Land) {
    land.notes().iter().for_each(|note| say(format_args!("Ground: {note}")));
}

/// Reads just so many numbers between commas.
fn numbers<T: FromStr, const N: usize>(text: &str) -> Option<[T; N]> {
    let numbers: Result<Vec<T>, _> = text.split(',').map(|number| number.trim().parse()).collect();
    numbers.ok()?.try_into().ok()
}

/// Reads a place as easting and northing in the unit of the plan's ground.
fn place(plan: &Plan, text: &str) -> Result<Point, String> {
    let across = ground::plane(plan).unit().metres();
    let read = numbers(text).filter(|numbers: &[f64; 2]| numbers.iter().all(|n| n.is_finite()));
    let [x, y] = read.ok_or_else(|| format!("found '{text}', expected easting and northing as E,N"))?;
    Ok(Point::new(x * across, y * across))
}

impl Over {
    /// Refuses to write over a plan, a backup, unsaved work or ground, and over any other file where that was not said.
    fn spare(self, (plan, file): (&Plan, &Path), output: &Path) -> Result<(), CliError> {
        self.look(output, &sparing::own_files(plan, Some(file)), false)
    }

    /// The same for an output that is a plan: it may replace one, and may be the plan itself that is worked on.
    fn spare_plan(self, (plan, file): (&Plan, &Path), output: &Path) -> Result<(), CliError> {
        if sparing::is_itself(file, output) {
            return Ok(());
        }
        let mut own = sparing::own_files(plan, Some(file));
        own.pop();
        self.look(output, &own, true)
    }

    fn look(self, output: &Path, own: &[PathBuf], makes_plan: bool) -> Result<(), CliError> {
        match sparing::look(output, own, makes_plan).map_err(CliError::Argument)? {
            Some(met) if !self.replace => Err(CliError::Argument(format!(
                "{}: found a file of that name already ({}), expected another name, or --replace to replace it",
                output.display(),
                met.words()
            ))),
            _ => Ok(()),
        }
    }
}

/// Saves a plan to the file it was read from or to another one, from where its ground is found too. What else lies there is
/// kept.
fn save_to(source: &Source, plan: &Plan, to: &Path) -> Result<(), CliError> {
    let mut written = plan.clone();
    if sparing::is_itself(source.path(), to) {
        return source.write(to, || files::save(&written, to).map(drop));
    }
    files::name_whole(&mut written, source.path());
    source.write(to, || files::save_over(&written, to).map(drop))
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

fn work_out(open: &OpenPlan) -> Worked {
    Worked::of(open.plan.clone(), &open.land)
}

/// Prints what the reader of arguments answers: help and version, or what is wrong with them.
pub fn told_by_parser(told: &clap::Error) -> ExitCode {
    if told.use_stderr() {
        // Arguments may hold anything.
        let _ = write!(io::stderr(), "{}", measure::plain_lines(&told.to_string()));
        return ExitCode::from(2);
    }
    match told.print() {
        Err(error) if !told.use_stderr() && error.kind() != io::ErrorKind::BrokenPipe => {
            fail(&format!("standard output: {error}"))
        }
        _ => ExitCode::from(u8::try_from(told.exit_code()).unwrap_or(2)),
    }
}

/// Says why nothing was done.
pub fn fail(why: &str) -> ExitCode {
    complain(why);
    ExitCode::from(2)
}

/// What plain `drainwright` does where there is no display: checks and draws the demo field.
pub fn demo_without_window(why: &str) -> ExitCode {
    complain(format_args!("{why}. Without a window, here is the check of the demo field; its picture follows."));
    let shown = check::demo().and_then(|()| picture::demo());
    match shown {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            complain(&error);
            ExitCode::from(2)
        }
    }
}
