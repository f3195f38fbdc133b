//! `drainwright dug`: shots of what was laid held against the plan, and brought into its record.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use plan::{Additions, DugShot, LaidStretch, LineId, Plan, ShotOn, Taken};

use super::{CliError, OpenPlan, Over, say, say_json};
use job::Worked;

const EXAMPLE: &str = "A table of shots has the columns line, station, level and where they matter held and note; or number, north, east, \
level and code, in that order where they are not named. A code or the column held may say invert (inv, fl), top, trench bottom (tb) or ground. \
Of two shots at one place the later one counts. Nothing is kept without -o; the same shots brought in twice are there once.\n\n\
With --receiver shots are taken from a satellite receiver (NMEA 0183 with GGA) as they are asked for on standard input, a line each: \
`check BENCHMARK` first; `shift` takes what that missed in height as the shift of datum, to be checked again; `shot [invert|top|…] [note]`; `photo FILE`; \
`how` tells how it stands. A shot that is told as taken is in the plan on the disk. Only positions with a fix count.\n\n\
Examples:\n  drainwright dug block.drain --shots l2.csv --on 2031-04-02\n  \
drainwright dug block.drain --shots l2.csv --held top --by \"R. Wren\" --on 2031-04-02 --laid L2:0+00-2+00 -o block.drain\n  \
drainwright dug block.drain --backfilled L2:0+00-2+00 -o block.drain --by \"R. Wren\" --on 2031-04-03";

/// Arguments of `dug`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct DugVerb {
    /// Plan file.
    plan: PathBuf,
    /// Table of shots.
    #[arg(long, value_name = "FILE")]
    shots: Vec<PathBuf>,
    /// What the shots were held on, where their table does not say: invert, top, trench-bottom or ground.
    #[arg(long, value_name = "WHAT", default_value = "invert", value_parser = held)]
    held: ShotOn,
    /// Who took them.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// On which day, YYYY-MM-DD; the plan's own without it.
    #[arg(long, value_name = "DATE", value_parser = super::check::date)]
    on: Option<String>,
    /// By which sheets, a letter; those in force without it.
    #[arg(long, value_name = "LETTER")]
    revision: Option<String>,
    /// Take shots from a satellite receiver, HOST:PORT or a serial device (/dev/ttyUSB0, /dev/ttyUSB0@9600), into the plan.
    #[arg(long, value_name = "ADDRESS", conflicts_with_all = ["shots", "output", "laid", "backfilled", "json"], requires_all = ["antenna", "by"])]
    receiver: Option<String>,
    /// Height of its antenna over what is shot.
    #[arg(long, value_name = "LENGTH")]
    antenna: Option<String>,
    /// Enter a line, or a stretch of it, as laid with its trench open.
    #[arg(long, value_name = "LINE[:FROM-TO]")]
    laid: Vec<String>,
    /// Enter a line, or a stretch of it, as laid with its trench filled.
    #[arg(long, value_name = "LINE[:FROM-TO]")]
    backfilled: Vec<String>,
    /// Take a photo into the record; it is copied beside the plan where it lies elsewhere.
    #[arg(long, value_name = "FILE", requires = "output")]
    photo: Vec<PathBuf>,
    /// Work out anew what is not dug yet, on what is down, and tell what becomes otherwise; with -o the plan is saved so.
    #[arg(long)]
    regrade: bool,
    /// Unlock the levels that were locked above the last shots.
    #[arg(long, requires = "regrade")]
    unlock: bool,
    /// Save the plan with all this in its record.
    #[arg(short, long, value_name = "PLAN")]
    output: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    /// Print JSON instead of text: metric, the unit in each key.
    #[arg(long)]
    json: bool,
}

fn held(text: &str) -> Result<ShotOn, String> {
    ShotOn::read(text).ok_or_else(|| format!("'{text}': expected invert, top, trench-bottom or ground"))
}

/// Holds the shots against the plan, prints the comparison, and keeps them where that is asked.
pub fn run(verb: &DugVerb) -> Result<ExitCode, CliError> {
    if let Some(address) = &verb.receiver {
        let [by, antenna] = [&verb.by, &verb.antenna].map(|text| text.as_deref().unwrap_or_default());
        let at = verb.on.clone().unwrap_or_else(job::clock::noted);
        let taken =
            Taken { by: measure::plain(by).into_owned(), at, revision: verb.revision.clone().unwrap_or_default() };
        return super::dug_live::run(&verb.plan, address, antenna, (taken, verb.held));
    }
    let to = verb.output.as_deref();
    let mut open = super::open_to(&verb.plan, to.is_some_and(|to| job::sparing::is_itself(&verb.plan, to)))?;
    to.iter().try_for_each(|to| verb.over.spare_plan((&open.plan, &verb.plan), to))?;
    let additions = additions(verb, &open.plan)?;
    let told = additions.clone().not_in(&open.plan.record).words();
    if let Some(edit) = record(verb, &open.plan, additions)? {
        open.plan.apply(&edit)?;
    }
    let worked = super::work_out(&open);
    if verb.regrade {
        return regrade(verb, &open, &worked);
    }
    if let Some(to) = to {
        super::save_to(&open.source, &open.plan, to)?;
    }
    if verb.json {
        say_json(&job::dug::as_json(&worked))?;
        return Ok(ExitCode::SUCCESS);
    }
    print(&worked, to.unwrap_or(&verb.plan));
    if let Some(to) = to {
        say(format_args!("Recorded {told}: {}", to.display()));
    }
    Ok(ExitCode::SUCCESS)
}

/// Works out anew what is not dug, tells what becomes otherwise, and saves it where that is asked.
fn regrade(verb: &DugVerb, open: &OpenPlan, before: &Worked) -> Result<ExitCode, CliError> {
    if let Some(why) = before.not_to_be_kept().filter(|_| verb.output.is_some()) {
        return Err(CliError::Argument(why));
    }
    let edit = job::regrade::edit(before, verb.unlock);
    let edit = edit.ok_or_else(|| CliError::Argument("nothing to regrade: the plan has all that is down".into()))?;
    let plan = before.plan.with(&edit);
    plan.validate()?;
    let after = Worked::of(plan, &open.land);
    match verb.json {
        true => say_json(&job::regrade::as_json(before, &after))?,
        false => {
            job::regrade::text_lines(before, &after).iter().for_each(say);
            say(plan::CAUTION);
        }
    }
    verb.output.iter().try_for_each(|to| super::save_to(&open.source, &after.plan, to))?;
    Ok(ExitCode::SUCCESS)
}

fn print(worked: &Worked, plan_file: &Path) {
    super::say_notes(&worked.land);
    job::dug::text_lines(worked).iter().for_each(say);
    job::photos::troubles(&worked.plan, &job::chosen::home(plan_file)).iter().for_each(say);
    say(plan::CAUTION);
}

/// The edit that brings all into the record; `None` where all of it is there.
fn record(verb: &DugVerb, plan: &Plan, additions: Additions) -> Result<Option<plan::Edit>, CliError> {
    if additions.count() == 0 {
        return Ok(None);
    }
    let by = verb.by.clone().unwrap_or_default();
    if verb.output.is_some() && by.trim().is_empty() {
        return Err(CliError::Argument("--by NAME is needed: who took the shots is kept".into()));
    }
    let signed = super::signed(&by, day(verb, plan)?, "as dug");
    Ok(plan::add_to_record(plan, additions, &signed))
}

fn day(verb: &DugVerb, plan: &Plan) -> Result<String, CliError> {
    let day = verb.on.clone().or(plan.title.as_of.clone());
    day.ok_or_else(|| CliError::Argument("--on DATE is needed: the plan has no date of its own".into()))
}

/// All that the arguments name.
fn additions(verb: &DugVerb, plan: &Plan) -> Result<Additions, CliError> {
    let mut all = Additions::default();
    for file in &verb.shots {
        all.shots.extend(shots(verb, plan, file)?);
    }
    // The order of the rows stays: of two shots at one place on one day the later row counts.
    let mut seen = BTreeSet::new();
    all.shots.retain(|shot| seen.insert(shot.key.clone()));
    if let Some(to) = &verb.output {
        let plane = job::ground::plane(plan);
        let take = |file: &PathBuf| {
            job::photos::take_in(file, to, &plane, (None, "")).map_err(|error| CliError::file(file, error))
        };
        all.photos = verb.photo.iter().map(take).collect::<Result<_, _>>()?;
    }
    for (option, list, backfilled) in [("--laid", &verb.laid, false), ("--backfilled", &verb.backfilled, true)] {
        for text in list {
            all.laid.push(laid(verb, plan, super::sheets::stretch_of(option, text, plan)?, backfilled)?);
        }
    }
    Ok(all)
}

fn shots(verb: &DugVerb, plan: &Plan, file: &Path) -> Result<Vec<DugShot>, CliError> {
    let of_file = |error| CliError::file(file, error);
    let bytes = exchange::read_bytes(file).map_err(of_file)?;
    let taken = Taken {
        by: measure::plain(verb.by.as_deref().unwrap_or("")).into_owned(),
        at: day(verb, plan)?,
        revision: verb.revision.clone().unwrap_or_else(|| job::entering::in_force(plan)),
    };
    let (shots, notes) = job::dug::read_shots(&bytes, plan, &taken, verb.held).map_err(of_file)?;
    notes.iter().filter(|_| !verb.json).for_each(|note| say(format_args!("{}: {note}", file.display())));
    Ok(shots)
}

fn laid(
    verb: &DugVerb,
    plan: &Plan,
    (line, stretch): (LineId, Option<(f64, f64)>),
    backfilled: bool,
) -> Result<LaidStretch, CliError> {
    let stretch_m = stretch.unwrap_or((0.0, plan.lines[&line].length_m()));
    let on = day(verb, plan)?;
    Ok(LaidStretch { line, stretch_m, on, size_m: None, wall: None, solid: None, backfilled })
}
