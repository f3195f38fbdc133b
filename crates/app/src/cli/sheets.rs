//! `drainwright sheets`: everything on paper as one PDF; and giving sheets out under the next letter.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use plan::Signature;
use sheets::Paper;

use super::{CliError, OpenPlan, say};
use crate::handing::{self, PaperWish};

const EXAMPLE: &str = "Example:\n  drainwright sheets block.drain -o block.pdf --paper a4\n  \
drainwright sheets block.drain -o block.pdf --give-out --by \"A. Marsh\" --because \"first issue\"";

/// Arguments of `sheets`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Sheets {
    /// Plan file.
    plan: PathBuf,
    /// PDF file to write.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    #[command(flatten)]
    paper: PaperArgs,
    /// Give the sheets out under the next letter; the plan is saved with it.
    #[arg(long)]
    give_out: bool,
    #[command(flatten)]
    signed: Signed,
}

/// What is wanted of the paper.
#[derive(Debug, Args)]
pub struct PaperArgs {
    /// Size of the paper: letter, tabloid, a4 or a3; that of the plan's units without it.
    #[arg(long, value_name = "SIZE", value_parser = paper)]
    paper: Option<Paper>,
    /// Level of the laser's plane, for readings on the rod (424.15, 129.28m).
    #[arg(long, value_name = "LEVEL")]
    instrument: Option<String>,
}

fn paper(text: &str) -> Result<Paper, String> {
    Paper::named(text).ok_or_else(|| format!("'{text}' is no paper; expected letter, tabloid, a4 or a3"))
}

impl PaperArgs {
    /// The wish, with the usual paper of the plan's units.
    pub fn wish(&self, plan: &plan::Plan) -> Result<PaperWish, CliError> {
        let level = self.instrument.as_deref().map(|text| measure::parse_length(text, plan.title.units)).transpose();
        let instrument_m = level.map_err(|error| CliError::Argument(format!("--instrument: {error}")))?;
        Ok(PaperWish { paper: self.paper.unwrap_or(Paper::usual(plan.title.units)), instrument_m })
    }
}

/// Who signs, when and why.
#[derive(Debug, Args)]
pub struct Signed {
    /// Who says so.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// The day, YYYY-MM-DD; the plan's own without it.
    #[arg(long, value_name = "DATE", value_parser = super::check::date)]
    on: Option<String>,
    /// Why.
    #[arg(long, value_name = "REASON")]
    because: Option<String>,
}

impl Signed {
    /// The signature; what is missing is told.
    pub fn signature(&self, plan: &plan::Plan) -> Result<Signature, CliError> {
        let on = self.on.clone().or(plan.title.as_of.clone());
        let asked = [("--by NAME", &self.by), ("--on DATE", &on), ("--because REASON", &self.because)];
        let missing: Vec<&str> = asked.iter().filter(|(_, given)| given.is_none()).map(|(what, _)| *what).collect();
        match (&self.by, on, &self.because) {
            (Some(by), Some(on), Some(because)) => Ok(Signature { by: by.clone(), on, because: because.clone() }),
            _ => Err(CliError::Argument(format!(
                "{} is needed: who says so, when and why is kept",
                missing.join(" and ")
            ))),
        }
    }
}

/// Writes the PDF.
pub fn run(sheets: &Sheets) -> Result<ExitCode, CliError> {
    let mut open = super::open(&sheets.plan)?;
    if sheets.give_out {
        let signed = sheets.signed.signature(&open.plan)?;
        give_out(&mut open, &signed)?;
        exchange::save_plan(&open.plan, &sheets.plan).map_err(|error| CliError::file(&sheets.plan, error))?;
    }
    let derived = super::work_out(&open);
    let wish = sheets.paper.wish(&open.plan)?;
    let made = handing::pdf(&derived, open.land.as_ref(), wish, &|_, _| true);
    let (pdf, warning) = made.map_err(|error| CliError::Argument(error.to_string()))?;
    exchange::replace_file(&sheets.output, &pdf, false).map_err(|error| CliError::file(&sheets.output, error))?;
    warning.iter().for_each(|warning| say(format_args!("Warning: {warning}")));
    say(format_args!("Written: {}", sheets.output.display()));
    Ok(ExitCode::SUCCESS)
}

fn give_out(open: &mut OpenPlan, signed: &Signature) -> Result<(), CliError> {
    if let Some(last) = open.plan.revisions.last().filter(|last| last.signed.on > signed.on) {
        return Err(CliError::Argument(format!(
            "--on: found {}, expected {} or later, the day of revision {}",
            signed.on, last.signed.on, last.letter
        )));
    }
    let derived = super::work_out(open);
    let edit = plan::issue(&open.plan, derived.digests().clone(), signed);
    open.plan.apply(&edit)?;
    say(format_args!("{}", edit.label));
    Ok(())
}
