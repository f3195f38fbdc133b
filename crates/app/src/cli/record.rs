//! `drainwright record`: what was seen and done after the digging, and the signature under the record.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use job::{Worked, entering, tables};
use plan::{Additions, NoteOn, Plan, Signature};
use serde_json::json;

use super::sheets::Signed;
use super::{CliError, OpenPlan, Over, say, say_json};

const EXAMPLE: &str = "Without additions it prints the record and the yearly care list. Once the record is signed every addition \
is dated, signed and chained to the one before it.\n\nPlaces are LINE:STATION (L2:1+50) or E,N.\n\nExamples:\n  \
drainwright record block.drain --flow O1 \"5 gal in 22 s\" --by \"R. Wren\" --on 2031-04-02\n  \
drainwright record block.drain --repair L2:1+50 \"crushed pipe cut out, 6 ft replaced\" --by \"R. Wren\" --on 2033-05-11\n  \
drainwright record block.drain --finished 2031-03-28 --sign --by \"R. Wren\" --on 2031-04-02 --because \"as dug\"";

/// Arguments of `record`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct RecordVerb {
    /// Plan file; saved again when something is added, its former state kept as a backup.
    plan: PathBuf,
    /// A flow seen at an outlet: dry, runs, a bucket and its time, or a flow; may be given again.
    #[arg(long, num_args = 2, value_names = ["OUTLET", "FLOW"])]
    flow: Vec<String>,
    /// It ran cloudy: soil comes with the water.
    #[arg(long, requires = "flow")]
    cloudy: bool,
    /// A repair; may be given again.
    #[arg(long, num_args = 2, value_names = ["PLACE", "TEXT"], allow_hyphen_values = true)]
    repair: Vec<String>,
    /// Something done in yearly care; may be given again.
    #[arg(long, num_args = 2, value_names = ["PLACE", "TEXT"], allow_hyphen_values = true)]
    care: Vec<String>,
    /// Strike a shot or a find that was mistaken, by its key; it stays, and counts no more; may be given again.
    #[arg(long, value_name = "KEY")]
    strike: Vec<String>,
    /// The day the digging was finished, YYYY-MM-DD.
    #[arg(long, value_name = "DATE", value_parser = super::check::date)]
    finished: Option<String>,
    /// Sign the record as it stands.
    #[arg(long)]
    sign: bool,
    #[command(flatten)]
    signed: Signed,
    /// Plan file to write in place of the one that was read.
    #[arg(short, long, value_name = "PLAN")]
    output: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    /// Print JSON, lengths in meters.
    #[arg(long)]
    json: bool,
}

impl RecordVerb {
    fn changes(&self) -> bool {
        self.sign
            || self.finished.is_some()
            || [&self.flow, &self.repair, &self.care, &self.strike].iter().any(|given| !given.is_empty())
    }
}

/// Adds, signs and prints.
pub fn run(command: &RecordVerb) -> Result<ExitCode, CliError> {
    let mut open = super::open_to(&command.plan, command.changes())?;
    if let Some(k) = open.plan.record.broken_link() {
        let why = format!("entry {} of the log of the record is not what was signed", k + 1);
        super::complain(format_args!("{}: {why}", command.plan.display()));
    }
    if command.changes() {
        change(command, &mut open)?;
    }
    let worked = super::work_out(&open);
    if command.json {
        say_json(&told_json(&worked))?
    } else {
        tell(&worked)
    }
    Ok(ExitCode::SUCCESS)
}

fn change(command: &RecordVerb, open: &mut OpenPlan) -> Result<(), CliError> {
    if let Some(output) = &command.output {
        command.over.spare_plan((&open.plan, &command.plan), output)?;
    }
    if let Some(day) = &command.finished {
        let edit = plan::finish_digging(&open.plan, day, &command.signed.correction(&open.plan)?);
        open.plan.apply(&edit)?;
        say(&edit.label);
    }
    let additions = additions(command, &open.plan)?;
    if additions.count() > 0 {
        let signed = command.signed.correction(&open.plan)?;
        match plan::add_to_record(&open.plan, additions, &signed) {
            Some(edit) => {
                open.plan.apply(&edit)?;
                say(&edit.label);
            }
            None => say("It stands in the record already"),
        }
    }
    for key in &command.strike {
        let edit = plan::strike(&open.plan, key, &command.signed.signature(&open.plan)?).ok_or_else(|| {
            let expected =
                "the key of a shot or a find that stands; `drainwright record PLAN` prints them in brackets";
            CliError::Argument(format!("--strike: found '{key}', expected {expected}"))
        })?;
        open.plan.apply(&edit)?;
        say(&edit.label);
    }
    if command.sign {
        let edit = plan::sign_record(&open.plan, &command.signed.signature(&open.plan)?);
        open.plan.apply(&edit)?;
        say(&edit.label);
    }
    match &command.output {
        Some(output) => super::save_to(&open.source, &open.plan, output),
        None => open.source.save(&open.plan),
    }
}

/// What was typed, as entries.
fn additions(command: &RecordVerb, plan: &Plan) -> Result<Additions, CliError> {
    let mut additions = Additions::default();
    let pairs =
        |list: &[String]| list.chunks_exact(2).map(|pair| (pair[0].clone(), pair[1].clone())).collect::<Vec<_>>();
    for (name, text) in pairs(&command.flow) {
        let signed = command.signed.correction(plan)?;
        let outlet = plan.outlets.iter().find(|(_, outlet)| outlet.name == name).map(|(id, _)| *id);
        let outlet = outlet.ok_or_else(|| {
            let names: Vec<&str> = plan.outlets.values().map(|outlet| outlet.name.as_str()).collect();
            CliError::Argument(format!(
                "--flow: found '{name}', expected the name of an outlet: {}",
                names.join(", ")
            ))
        })?;
        let running = entering::running(&text, plan.title.units);
        let running = running.map_err(|error| CliError::Argument(format!("--flow: {error}")))?;
        additions.flows.push(entering::flow(plan, (outlet, running, command.cloudy), &signed));
    }
    for (kind, list, what) in [(NoteOn::Repair, &command.repair, "--repair"), (NoteOn::Care, &command.care, "--care")]
    {
        for (place, text) in pairs(list) {
            let signed: Signature = command.signed.correction(plan)?;
            let spot = entering::spot(&place, plan).ok_or_else(|| {
                let expected = "a place on a line such as L2:1+50, or easting and northing as E,N";
                CliError::Argument(format!("{what}: found '{place}', expected {expected}"))
            })?;
            let says = measure::plain(&text).into_owned();
            additions.notes.push(entering::note(plan, (kind, Some(spot), &says), &signed));
        }
    }
    Ok(additions)
}

fn tell(worked: &Worked) {
    let (plan, design) = (&worked.plan, &worked.design);
    say(match &plan.record.signed {
        Some(signed) => format!("Record: signed by {}, {}: {}", signed.by, signed.on, signed.because),
        None => "Record: not signed".into(),
    });
    if let Some(day) = &plan.record.finished {
        say(format_args!("Digging finished: {day}"));
    }
    for entry in record::entries(plan, design) {
        let key = if entry.key.is_empty() { String::new() } else { format!(" [{}]", entry.key) };
        say(format_args!("  {}{key}", entry.words(plan.title.units)));
    }
    for entry in &plan.record.log {
        say(format_args!("  log {} {}: {}", entry.signed.on, entry.signed.by, entry.says));
    }
    say("Yearly care:");
    for care in record::care_list(plan, design) {
        let tie = care.tie.map(|tie| format!(" ({})", tie.words(plan.title.units))).unwrap_or_default();
        say(format_args!("  {} {}{tie}: {}", care.what, care.station, care.task));
        care.told.iter().for_each(|told| say(format_args!("    {told}")));
    }
    say(plan::CAUTION_SHORT);
}

fn told_json(worked: &Worked) -> serde_json::Value {
    let plan = &worked.plan;
    let mut told = tables::care_json(worked, &record::care_list(plan, &worked.design));
    let entries = record::entries(plan, &worked.design);
    let entry = |entry: &record::Entry| {
        json!({
            "kind": entry.kind, "key": entry.key, "by": entry.taken.by, "at": entry.taken.at, "revision": entry.taken.revision,
            "line": entry.on.as_ref().map(|(line, _)| line), "station_m": entry.on.as_ref().map(|(_, m)| m),
            "easting_m": entry.at.map(|at| at.x), "northing_m": entry.at.map(|at| at.y), "level_m": entry.level_m,
            "says": entry.says, "struck": entry.struck.is_some(),
        })
    };
    told["entries"] = entries.iter().map(entry).collect();
    told["signed"] = json!(plan.record.signed);
    told["finished"] = json!(plan.record.finished);
    told["log"] = json!(plan.record.log);
    told["broken_log_entry"] = json!(plan.record.broken_link().map(|k| k + 1));
    told
}
