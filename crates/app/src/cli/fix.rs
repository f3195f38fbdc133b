//! `drainwright fix`: clears a finding by one of its remedies, as its button does in the window.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use checks::Finding;
use clap::Args;
use plan::Edit;

use super::sheets::Signed;
use super::{CliError, Over, say};
use job::Worked;
use land::Land;

const EXAMPLE: &str = "A remedy was tried before it was printed: it clears its finding and brings nothing as severe.\n\n\
Example:\n  drainwright fix block.drain --list\n  drainwright fix block.drain 1@L3:45.7m\n  \
drainwright fix block.drain 26@O1 --remedy 2 -o raised.drain";

/// Arguments of `fix`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Fix {
    /// Plan file; it is saved again, its former state kept as a backup.
    plan: PathBuf,
    /// Key of the finding as `check` prints it; its station may be typed as on the plan (1@L3:1+50).
    #[arg(required_unless_present = "list")]
    key: Option<String>,
    /// Which of its remedies, counted from 1.
    #[arg(long, value_name = "N", default_value_t = 1)]
    remedy: usize,
    /// Print the keys and what clears each, and change nothing.
    #[arg(long)]
    list: bool,
    /// Plan file to write instead.
    #[arg(short, long, value_name = "PLAN")]
    output: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    #[command(flatten)]
    signed: Signed,
}

/// Prints the remedies, or carries one out and saves the plan.
pub fn run(fix: &Fix) -> Result<ExitCode, CliError> {
    let to = fix.output.as_deref().unwrap_or(&fix.plan);
    let changes_plan = fix.key.is_some() && !fix.list && job::sparing::is_itself(&fix.plan, to);
    let mut open = super::open_to(&fix.plan, changes_plan)?;
    let worked = super::work_out(&open);
    let Some(key) = fix.key.as_deref().filter(|_| !fix.list) else {
        let units = open.plan.title.units;
        let only = fix.key.as_deref().map(|key| super::finding_of(&worked.findings, key, units)).transpose()?;
        match only {
            Some(only) => remedies(&only.with_tried(Some(worked.try_one(only)))).iter().for_each(say),
            None => worked.tried().iter().flat_map(remedies).for_each(say),
        }
        return Ok(ExitCode::SUCCESS);
    };
    let to = fix.output.as_deref().unwrap_or(&fix.plan);
    fix.over.spare_plan((&open.plan, &fix.plan), to)?;
    let finding = super::finding_of(&worked.findings, key, open.plan.title.units)?;
    let edit = chosen(&worked, finding, fix.remedy)?;
    let edit = match plan::wants_signature(&edit) {
        true => plan::sign(&edit, &fix.signed.correction(&open.plan)?),
        false => edit,
    };
    open.plan.apply(&edit)?;
    let after = Worked::of(open.plan.clone(), &relaid(&open, &fix.plan)?);
    super::save_to(&open.source, &open.plan, to)?;
    say(format_args!("{}: {}", finding.key, edit.label));
    job::words::came_and_went(&worked.findings, &after.findings).iter().for_each(say);
    say(format_args!("Written: {}", to.display()));
    Ok(ExitCode::SUCCESS)
}

/// A finding and what clears it, as lines of text.
fn remedies(finding: &Finding) -> Vec<String> {
    let mut text = vec![format!("{}   {}", finding.key, finding.title)];
    let tried = finding.tried.iter().flat_map(|tried| &tried.remedies);
    text.extend((1..).zip(tried).map(|(count, edit)| format!("  {count}. {}", edit.label)));
    if text.len() == 1 {
        text.push(format!("  {}", finding.way_out()));
    }
    text
}

/// The remedy of a finding that was asked for.
fn chosen(worked: &Worked, finding: &Finding, number: usize) -> Result<Edit, CliError> {
    let tried = worked.try_one(finding);
    let remedies = &tried.remedies;
    number.checked_sub(1).and_then(|i| remedies.get(i)).cloned().ok_or_else(|| {
        let with = finding.with_tried(Some(tried.clone()));
        let found = match remedies.len() {
            0 => format!("no remedy that clears {}", finding.key),
            1 => format!("1 remedy for {}, not {number}", finding.key),
            count => format!("{count} remedies for {}, not {number}", finding.key),
        };
        CliError::Argument(format!("found {found}. {}", with.way_out()))
    })
}

/// The land under the plan's corrections, laid anew where those have changed.
fn relaid(open: &super::OpenPlan, path: &Path) -> Result<Land, CliError> {
    match open.land.fits(&open.plan.survey) {
        true => Ok(open.land.clone()),
        false => super::survey::reread(&open.plan, path),
    }
}
