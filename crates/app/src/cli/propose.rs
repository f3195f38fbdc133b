//! `drainwright propose`: first layouts by computation, side by side, each a full plan.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use job::{Progress, proposing, sparing};
use propose::{LeftOut, Proposal, Told};

use super::{CliError, OpenPlan, Over, say, say_json};

const EXAMPLE: &str = "Lines that are drawn give way in the layouts; the plan itself stays as it is. Old tile, outlets and marks stay.\n\n\
Examples:\n  drainwright propose block.drain\n  drainwright propose block.drain --json > layouts.json\n  \
drainwright propose block.drain -o layouts/\n  drainwright propose block.drain --layout swales -o block-swales.drain";

/// Arguments of `propose`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Propose {
    /// Plan file.
    plan: PathBuf,
    /// Tell and write this layout only, by its name.
    #[arg(long, value_name = "NAME")]
    layout: Option<String>,
    /// Write the layouts as plans: a folder for all, a file for one.
    #[arg(short, long, value_name = "FOLDER_OR_FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    /// Print JSON: meters, square meters.
    #[arg(long)]
    json: bool,
}

/// Looks for layouts, tells and writes them.
pub fn run(command: &Propose) -> Result<ExitCode, CliError> {
    let open = super::open(&command.plan)?;
    let mut left_out = Vec::new();
    let found = proposing::search(&open.plan, &open.land, &Progress::default(), |told| {
        if let Told::LeftOut(one) = told {
            left_out.push((*one).clone());
        }
    });
    let mut found = found.map_err(|error| CliError::Argument(error.to_string()))?;
    if let Some(name) = &command.layout {
        let names: Vec<&str> = found.iter().map(|proposal| proposal.name.as_str()).collect();
        if !names.contains(&name.as_str()) {
            let expected = names.join(", ");
            return Err(CliError::Argument(format!("--layout: found '{name}', expected one of {expected}")));
        }
        found.retain(|proposal| proposal.name == *name);
    }
    if let Some(output) = &command.output {
        write(command, &open, &found, output)?;
    }
    if command.json {
        say_json(&proposing::json(&open.plan, &found, &left_out))?;
    } else {
        found.iter().flat_map(proposing::lines).for_each(say);
        left_out.iter().map(LeftOut::told).for_each(say);
        proposing::beforehand(&found).into_iter().for_each(say);
        say(proposing::ESTIMATE);
        say(plan::CAUTION);
    }
    Ok(ExitCode::SUCCESS)
}

/// Writes one layout to a file, or all of them into a folder.
fn write(command: &Propose, open: &OpenPlan, found: &[Proposal], output: &Path) -> Result<(), CliError> {
    let is_file = output.extension().is_some_and(|kind| kind == "drain");
    match found {
        [proposal] if is_file => {
            spare(command, open, output)?;
            super::save_to(&open.source, &proposal.plan, output)
        }
        _ if is_file => {
            let why = format!("{}: expected a folder for several layouts, or --layout to name one", output.display());
            Err(CliError::Argument(why))
        }
        _ => {
            make_folder(output)?;
            let file = |proposal: &Proposal| output.join(format!("{}.drain", proposal.name.replace(' ', "-")));
            let files: Vec<PathBuf> = found.iter().map(file).collect();
            // All are looked at before the first is written.
            files.iter().try_for_each(|file| spare(command, open, file))?;
            found
                .iter()
                .zip(&files)
                .try_for_each(|(proposal, file)| super::save_to(&open.source, &proposal.plan, file))
        }
    }
}

fn make_folder(folder: &Path) -> Result<(), CliError> {
    if folder.is_file() {
        let met = format!(
            "{}: found a file, expected a folder, or --layout and a name that ends in .drain",
            folder.display()
        );
        return Err(CliError::Argument(met));
    }
    std::fs::create_dir_all(folder).map_err(|error| CliError::Argument(format!("{}: {error}", folder.display())))
}

/// The plan that is proposed for stays as it is, whatever is said.
fn spare(command: &Propose, open: &OpenPlan, file: &Path) -> Result<(), CliError> {
    if sparing::is_itself(open.source.path(), file) {
        let met = format!("{}: found the plan that layouts are proposed for, expected another name", file.display());
        return Err(CliError::Argument(met));
    }
    command.over.spare_plan((&open.plan, open.source.path()), file)
}
