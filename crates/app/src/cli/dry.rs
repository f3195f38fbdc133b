//! `drainwright dry`: how long the land is wet after rain, without drains and with each layout.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use measure::parse_length;
use plan::Plan;

use super::{CliError, say, say_json};
use job::dry::{Ask, DryError, MOST_DAYS, USUAL_EVAPORATION_M};
use job::{Progress, dry, ground};

const EXAMPLE: &str = "Rain falls on the first day, on soil whose water table stands at the depth of the roots. All layouts put aside are told beside the present one unless some are named.\n\nExamples:\n  \
drainwright dry block.drain --rain 2in --days 10\n  drainwright dry block.drain --rain 30mm --days 10 --roots 18in --json\n  \
drainwright dry block.drain --weather may.csv --layout \"every second row\"";

/// Arguments of `dry`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Dry {
    /// Plan file.
    plan: PathBuf,
    /// Rain on the first day (30mm, 1.2in).
    #[arg(long, value_name = "DEPTH", required_unless_present = "weather")]
    rain: Option<String>,
    /// How many days are looked at; 10 unless given.
    #[arg(long)]
    days: Option<usize>,
    /// Rain by day instead, from a table with the columns day, rain mm (or in) and evaporation mm (or in).
    #[arg(long, value_name = "FILE", conflicts_with_all = ["rain", "days", "evaporation"])]
    weather: Option<PathBuf>,
    /// What the air takes from a wet surface in a day; 2 mm unless given.
    #[arg(long, value_name = "DEPTH")]
    evaporation: Option<String>,
    /// Depth of the roots; the wanted depth of the water table in the brief unless given.
    #[arg(long, value_name = "DEPTH")]
    roots: Option<String>,
    /// Depth of the water table from which a tractor can go; 2 ft unless given.
    #[arg(long, value_name = "DEPTH")]
    tractor: Option<String>,
    /// A layout put aside that is told beside the present one; may be given again.
    #[arg(long, value_name = "NAME")]
    layout: Vec<String>,
    /// Print JSON: days, meters.
    #[arg(long)]
    json: bool,
}

/// Tells how the land dries.
pub fn run(command: &Dry) -> Result<ExitCode, CliError> {
    let open = super::open(&command.plan)?;
    let ask = asked(command, &open.plan)?;
    let worked = super::work_out(&open);
    let answer = dry::dry(&worked, &ask, ground::threads(), &Progress::default()).map_err(argument)?;
    if command.json {
        say_json(&answer.json())?;
    } else {
        answer.lines(worked.plan.title.units).iter().for_each(say);
        say(plan::CAUTION);
    }
    Ok(ExitCode::SUCCESS)
}

fn argument(error: DryError) -> CliError {
    CliError::Argument(error.to_string())
}

fn asked(command: &Dry, plan: &Plan) -> Result<Ask, CliError> {
    let depth = |option: &str, text: &str, most_m: f64| {
        let read =
            parse_length(text, plan.title.units).map_err(|error| CliError::Argument(format!("{option}: {error}")))?;
        if read < 0.0 || read > most_m {
            let most = plan.title.units.depth(most_m);
            return Err(CliError::Argument(format!("{option}: found '{text}', expected 0 to {most}")));
        }
        Ok(read)
    };
    let given = |option: &str, text: &Option<String>, most_m: f64| {
        text.as_deref().map(|text| depth(option, text, most_m)).transpose()
    };
    let rain_m = given("--rain", &command.rain, exchange::MOST_WATER_M)?.unwrap_or(0.0);
    let evaporation_m = given("--evaporation", &command.evaporation, 0.1)?.unwrap_or(USUAL_EVAPORATION_M);
    let mut ask = Ask::rain(plan, rain_m, command.days.unwrap_or(10), evaporation_m);
    if let Some(file) = &command.weather {
        ask.days = dry::weather(file).map_err(|error| CliError::file(file, error))?;
    }
    if ask.days.is_empty() || ask.days.len() > MOST_DAYS {
        return Err(CliError::Argument(format!("days: found {}, expected 1 to {MOST_DAYS}", ask.days.len())));
    }
    ask.roots_m = given("--roots", &command.roots, 5.0)?.unwrap_or(ask.roots_m);
    ask.tractor_m = given("--tractor", &command.tractor, 5.0)?.unwrap_or(ask.tractor_m);
    ask.layouts = Some(command.layout.clone()).filter(|names| !names.is_empty());
    Ok(ask)
}
