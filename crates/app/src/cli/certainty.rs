//! `drainwright certainty`: what may be broken when a plan is dug as staked, what it may cost, where one more shot tells most.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use job::Progress;
use job::certainty::{self, MOST_SAMPLES, Sure};
use plan::Plan;
use propose::certainty::{Sampling, Stated};
use sheets::Paper;

use super::sheets::paper;
use super::{CliError, Over, say, say_json, work_out};

const EXAMPLE: &str = "Levels stay as designed; the ground is drawn many times as it may be by what is known of its error.\n\n\
Examples:\n  drainwright certainty block.drain\n  drainwright certainty block.drain --accuracy 0.33ft --json\n  \
drainwright certainty block.drain -o crew.pdf\n  drainwright certainty block.drain --before block-last-week.drain";

/// Arguments of `certainty`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Certainty {
    /// Plan file.
    plan: PathBuf,
    /// Stated accuracy of the ground, one standard error (0.33ft, 10cm); found from the survey unless given.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    accuracy: Option<String>,
    /// How many times the ground is drawn; 1000 unless given.
    #[arg(long, value_name = "N", value_parser = samples, allow_hyphen_values = true)]
    samples: Option<NonZeroUsize>,
    /// Tell what moved since this plan, before further shots were entered.
    #[arg(long, value_name = "PLAN")]
    before: Option<PathBuf>,
    /// Write the page for the survey crew as PDF.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Size of its paper: letter, tabloid, a4 or a3; that of the units without it.
    #[arg(long, value_name = "SIZE", value_parser = paper)]
    paper: Option<Paper>,
    #[command(flatten)]
    over: Over,
    /// Print JSON: meters.
    #[arg(long)]
    json: bool,
}

/// Tells how sure a plan is, and writes the crew's page.
pub fn run(command: &Certainty) -> Result<ExitCode, CliError> {
    let open = super::open(&command.plan)?;
    let worked = work_out(&open);
    let sure = sure(command, &worked)?;
    let before = command.before.as_ref().map(|path| earlier(command, &worked.plan, path)).transpose()?;
    if let Some(output) = &command.output {
        command.over.spare((&open.plan, &command.plan), output)?;
        let pdf = certainty::crew_pdf(&worked, &sure, command.paper.unwrap_or(Paper::usual(open.plan.title.units)));
        let pdf = pdf.map_err(|error| CliError::Argument(error.to_string()))?;
        exchange::replace_file(output, &pdf, false).map_err(|error| CliError::file(output, error))?;
    }
    if command.json {
        say_json(&certainty::json(&worked.plan, &sure, before.as_ref().map(|(_, sure)| sure)))?;
        return Ok(ExitCode::SUCCESS);
    }
    certainty::lines(&worked.plan, &sure).iter().for_each(say);
    let moved = before
        .map(|(was, before)| certainty::moved_lines((&was.plan, &before.certainty), (&worked.plan, &sure.certainty)));
    command.before.iter().for_each(|path| say(format_args!("Moved since {}:", path.display())));
    moved.iter().flatten().for_each(say);
    command.output.iter().for_each(|output| say(format_args!("Written: {}", output.display())));
    say(plan::CAUTION);
    Ok(ExitCode::SUCCESS)
}

fn samples(text: &str) -> Result<NonZeroUsize, String> {
    let read = text.parse().ok().filter(|samples: &NonZeroUsize| samples.get() <= MOST_SAMPLES);
    read.ok_or_else(|| format!("found '{text}', expected 1 to {MOST_SAMPLES}"))
}

/// The plan before, worked out; it is of the same land.
fn earlier(command: &Certainty, now: &Plan, path: &Path) -> Result<(job::Worked, Sure), CliError> {
    let worked = work_out(&super::open(path)?);
    if !certainty::is_of_one_land(&worked.plan, now) {
        let met =
            format!("--before: found {}, a plan of other land, expected this plan before its shots", path.display());
        return Err(CliError::Argument(met));
    }
    let sure = sure(command, &worked)?;
    Ok((worked, sure))
}

fn sure(command: &Certainty, worked: &job::Worked) -> Result<Sure, CliError> {
    let samples = command.samples.unwrap_or(Sampling::SAMPLES);
    let read = |text: &String| certainty::read_accuracy(text, worked.plan.title.units);
    let stated = command.accuracy.as_ref().map_or(Ok(Stated::default()), read);
    let stated = stated.map_err(|error| CliError::Argument(format!("--accuracy: {error}")))?;
    certainty::sure(worked, stated, samples, &Progress::default())
        .map_err(|error| CliError::Argument(error.to_string()))
}
