//! `drainwright lesson`: lessons for a class, as PDF or as one HTML page.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use ::lesson::Topic;
use clap::Args;
use measure::Units;
use sheets::Paper;

use super::sheets::paper;
use super::{CliError, Over, say, work_out};
use job::Worked;
use job::lesson;

const EXAMPLE: &str = "Lessons: 1 Where water goes, 2 Under the ground, 3 What grade does. All of them unless --number says which. \
The first is shown on the land of the plan, without one on the demo field; soils and pipes of the others are invented.\n\
The page is one file that needs no network: a pupil opens it on a phone or a school computer.\n\n\
Example:\n  drainwright lesson -o lessons.html\n  drainwright lesson block.drain -o lesson-2.pdf --number 2 --metric";

/// Arguments of `lesson`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Lesson {
    /// Plan file; the demo field without one.
    plan: Option<PathBuf>,
    /// File to write: its ending, .pdf or .html, says which.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    #[command(flatten)]
    over: Over,
    /// Size of the paper: letter, tabloid, a4 or a3; that of the units without it.
    #[arg(long, value_name = "SIZE", value_parser = paper)]
    paper: Option<Paper>,
    /// Only this lesson; may be given again.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=3))]
    number: Vec<u8>,
    /// Meters, liters and hectares, whatever the plan is in.
    #[arg(long)]
    metric: bool,
}

/// What a file of lessons is.
#[derive(Clone, Copy)]
enum Sort {
    Pdf,
    Page,
}

/// Writes the lessons.
pub fn run(command: &Lesson) -> Result<ExitCode, CliError> {
    let sort = sort_of(&command.output)?;
    let worked = worked(command)?;
    let units = if command.metric { Units::Metric } else { worked.plan.title.units };
    let topics = command.topics();
    let bytes = match sort {
        Sort::Page => lesson::page(&worked, &topics, units).into_bytes(),
        Sort::Pdf => {
            let paper = command.paper.unwrap_or(Paper::usual(units));
            let pdf = lesson::pdf(&worked, &topics, (units, paper), &|_, _| true);
            pdf.map_err(|error| CliError::Argument(error.to_string()))?
        }
    };
    exchange::replace_file(&command.output, &bytes, false).map_err(|error| CliError::file(&command.output, error))?;
    say(format_args!("Written: {}", command.output.display()));
    Ok(ExitCode::SUCCESS)
}

impl Lesson {
    fn topics(&self) -> Vec<Topic> {
        let numbered = Topic::READY.into_iter().zip(1..);
        let wanted = numbered.filter(|(_, number)| self.number.is_empty() || self.number.contains(number));
        wanted.map(|(topic, _)| topic).collect()
    }
}

/// What is to be written, by the ending of its name.
fn sort_of(path: &Path) -> Result<Sort, CliError> {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "pdf" => Ok(Sort::Pdf),
        "html" | "htm" => Ok(Sort::Page),
        _ => Err(CliError::Argument(format!(
            "{}: found the ending '{ending}', expected .pdf or .html",
            path.display()
        ))),
    }
}

/// The plan, or the demo field, with all that follows from it.
fn worked(command: &Lesson) -> Result<Worked, CliError> {
    match &command.plan {
        Some(path) => {
            let open = super::open(path)?;
            command.over.spare((&open.plan, path), &command.output)?;
            Ok(work_out(&open))
        }
        None => {
            command.over.look(&command.output, &[], false)?;
            let session = job::files::demo_session(job::demo::first_plan()).map_err(CliError::demo)?;
            Ok(Worked::of(session.plan().clone(), session.land()))
        }
    }
}
