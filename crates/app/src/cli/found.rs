//! `drainwright found`: old tile found in the trench, the five choices side by side.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, ValueEnum};
use job::find_form::{CONDITIONS, FindForm};
use job::{find_form, found, found_words, likely_words};
use plan::{Condition, Decision, Find, Material, Photo, Plan, Signature};
use record::Shown;

use super::{CliError, OpenPlan, Over, say, say_json};

const EXAMPLE: &str =
    "With --choose and -o the plan is saved with the find, what was decided and what that changes in it.\n\nExamples:
  drainwright found block.drain --line M1 --station 4+37 --invert 734.86 --size \"4 in\" --material clay --falls S \\
    --running \"5 gal in 22 s\" --condition good --upstream \"3.4 ac\" --by \"R. Wren\" --on 2031-04-02
  drainwright found block.drain --find found-20310402-1-13320 --choose join --larger-below -o block-tied.drain
  drainwright found block.drain --likely-from 203088,96040 --shown outlet -o block-old.drain";

/// Arguments of `found`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Found {
    /// Plan file.
    plan: PathBuf,
    /// A find that is in the record already, by its key, instead of the figures below.
    #[arg(long, value_name = "KEY", conflicts_with_all = ["line", "station", "at"])]
    find: Option<String>,
    /// The planned line in whose trench it lies.
    #[arg(long, value_name = "NAME", requires = "station")]
    line: Option<String>,
    /// Its station on that line, such as 4+37.
    #[arg(long, value_name = "STATION")]
    station: Option<String>,
    /// Its place instead: easting and northing in the unit of the ground's system.
    #[arg(long, value_name = "E,N", conflicts_with_all = ["line", "station"], allow_hyphen_values = true)]
    at: Option<String>,
    /// Its invert.
    #[arg(long, value_name = "LEVEL", default_value = "", hide_default_value = true, allow_hyphen_values = true)]
    invert: String,
    /// Its inside diameter.
    #[arg(long, value_name = "SIZE", default_value = "", hide_default_value = true)]
    size: String,
    /// What it is made of: clay, concrete, plastic, metal.
    #[arg(long, value_name = "WHAT", value_parser = material)]
    material: Option<Material>,
    /// The way it falls: degrees from north, a wind such as SSW, or "from left", "from right" looking up the line.
    #[arg(long, value_name = "WAY", default_value = "", hide_default_value = true)]
    falls: String,
    /// What runs: a bucket and its seconds, a flow, dry, or runs.
    #[arg(long, value_name = "WHAT", default_value = "", hide_default_value = true)]
    running: String,
    /// Depth of silt in it.
    #[arg(long, value_name = "DEPTH", default_value = "", hide_default_value = true)]
    silt: String,
    /// Its condition: good, fair, poor.
    #[arg(long, value_name = "WORD", value_parser = condition)]
    condition: Option<Condition>,
    /// The land above it that it drains; "terrain" takes what the terrain drains to that place.
    #[arg(long, value_name = "AREA", default_value = "", hide_default_value = true)]
    upstream: String,
    /// Its water comes from beyond the boundary.
    #[arg(long)]
    beyond: bool,
    /// A photo of it.
    #[arg(long, value_name = "FILE")]
    photo: Vec<PathBuf>,
    /// Who found it.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// The day or day and time, YYYY-MM-DD or YYYY-MM-DDTHH:MM; the plan's own day without it.
    #[arg(long, value_name = "DATE")]
    on: Option<String>,
    /// What else was seen, and why it is decided so.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    note: String,
    /// Leave every planned line as it is: what the old one would spare is dug all the same.
    #[arg(long)]
    keep_planned: bool,
    /// Decide: join, bridge, replace, bypass or plug.
    #[arg(long, value_name = "CHOICE", requires = "output")]
    choose: Option<Chosen>,
    /// With larger pipe from there down to the outlet, as far as it is needed.
    #[arg(long, requires = "choose")]
    larger_below: bool,
    /// Tell instead where an old line runs that shows itself at a place (easting and northing in the unit of the ground's
    /// system), and where a probe tells most; -o draws the first course as suspected.
    #[arg(long, value_name = "E,N", allow_hyphen_values = true, conflicts_with_all = ["line", "station", "at", "find", "choose"])]
    likely_from: Option<String>,
    /// What shows it there: outlet, hole, streak or find.
    #[arg(long, value_name = "WHAT", value_parser = shown, requires = "likely_from")]
    shown: Option<Shown>,
    /// Save the plan with what was chosen; without --choose, with the find alone.
    #[arg(short = 'o', long, value_name = "PLAN")]
    output: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    /// Print JSON instead of text: metric, the unit in each key.
    #[arg(long)]
    json: bool,
}

/// The choices by their words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Chosen {
    Join,
    Bridge,
    Replace,
    Bypass,
    Plug,
}

impl Chosen {
    const fn decision(self) -> Decision {
        match self {
            Self::Join => Decision::Join,
            Self::Bridge => Decision::Bridge,
            Self::Replace => Decision::Replace,
            Self::Bypass => Decision::Bypass,
            Self::Plug => Decision::Plug,
        }
    }
}

fn worded<T: Copy>(all: &[(T, &str)], text: &str) -> Result<T, String> {
    let known = all.iter().find(|(_, word)| *word == text.trim().to_lowercase()).map(|(what, _)| *what);
    let words: Vec<&str> = all.iter().map(|(_, word)| *word).collect();
    known.ok_or_else(|| format!("expected one of: {}", words.join(", ")))
}

fn material(text: &str) -> Result<Material, String> {
    worded(&Material::ALL, text)
}

fn shown(text: &str) -> Result<Shown, String> {
    worded(&Shown::ALL, text)
}

fn condition(text: &str) -> Result<Condition, String> {
    worded(&CONDITIONS, text)
}

/// Prints the choices, and saves the one that was chosen.
pub fn run(found: &Found) -> Result<ExitCode, CliError> {
    let in_place = found.output.as_ref().is_some_and(|to| job::sparing::is_itself(&found.plan, to));
    let mut open = super::open_to(&found.plan, in_place)?;
    found.output.iter().try_for_each(|to| found.over.spare_plan((&open.plan, &found.plan), to))?;
    if let Some(text) = &found.likely_from {
        return likely(found, text, &open);
    }
    let worked = super::work_out(&open);
    let (find, photos) = found.find(&open)?;
    let signed = signed(&find, &found.note);
    let weighing = found::weigh(&worked, &find, &photos, &signed, found.keep_planned).map_err(CliError::Argument)?;
    match found.json {
        true => say_json(&found_words::as_json(&weighing, &worked.plan))?,
        false => {
            found_words::text_lines(&weighing, &worked.plan).iter().for_each(say);
            say("");
            say(plan::CAUTION);
        }
    }
    let Some(output) = &found.output else { return Ok(ExitCode::SUCCESS) };
    let edit = match found.choose {
        Some(chosen) => {
            let wanted = record::Choice { what: chosen.decision(), larger_below: found.larger_below };
            let weighed = weighing.choices.iter().find(|weighed| weighed.choice == wanted);
            let why =
                "--larger-below: found room below, or no stocked size that is enough; expected the choice without it";
            Some(weighed.ok_or_else(|| CliError::Argument(why.into()))?.edit.clone())
        }
        None => found::recorded(&open.plan, &find, &photos, &signed),
    };
    if let Some(edit) = edit {
        open.plan.apply(&edit)?;
        if !found.json {
            say(format_args!("Saved: {}", edit.label));
        }
    }
    super::save_to(&open.source, &open.plan, output)?;
    Ok(ExitCode::SUCCESS)
}

/// Tells where an old line runs that shows itself at a place, and draws it.
fn likely(found: &Found, text: &str, open: &OpenPlan) -> Result<ExitCode, CliError> {
    let (plan, land) = (&open.plan, open.land.under(&open.plan));
    let at = job::entering::read_place(text, job::ground::plane(plan).unit());
    let expected = || CliError::Argument(format!("--likely-from: found '{text}', expected easting,northing"));
    let (at, shown) = (at.ok_or_else(expected)?, found.shown.unwrap_or_default());
    let all = record::likely(plan, &land, at, shown);
    let Some(first) = all.first() else { return Err(CliError::Argument(likely_words::none(plan.title.units))) };
    let probes = record::to_probe(plan, &all);
    match found.json {
        true => say_json(&likely_words::as_json(&all, &probes, plan))?,
        false => {
            likely_words::text_lines(&all, &probes, plan).iter().for_each(say);
            say("");
            say(plan::CAUTION);
        }
    }
    if let Some(output) = &found.output {
        let mut drawn = plan.clone();
        drawn.apply(&record::draw_likely(plan, first, shown))?;
        super::save_to(&open.source, &drawn, output)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Who decides, when and why: who found it, on that day.
fn signed(find: &Find, because: &str) -> Signature {
    let day = find.taken.at.split('T').next().unwrap_or_default();
    super::signed(&find.taken.by, day.into(), because)
}

impl Found {
    /// The find: of the record, or as typed, with its photos.
    fn find(&self, open: &OpenPlan) -> Result<(Find, Vec<Photo>), CliError> {
        let plan = &open.plan;
        if let Some(key) = &self.find {
            let keys: Vec<&str> = plan.record.finds().map(|find| find.key.as_str()).collect();
            let find = plan.record.finds().find(|find| find.key == *key);
            let find = find.cloned().ok_or_else(|| {
                CliError::Argument(format!("--find: found '{key}', expected one of: {}", keys.join(", ")))
            })?;
            let photos = self.photos(&find)?;
            return Ok((find, photos));
        }
        let mut find = self.form(plan).read(plan).map_err(|error| CliError::Argument(error.to_string()))?;
        if self.upstream == TERRAIN {
            find.upstream_m2 = found::terrain_of(plan, &open.land.under(plan), &find);
        }
        let photos = self.photos(&find)?;
        Ok((find, photos))
    }

    fn form(&self, plan: &Plan) -> FindForm {
        let typed = |text: &Option<String>| text.clone().unwrap_or_default();
        FindForm {
            line: typed(&self.line),
            station: typed(&self.station),
            place: typed(&self.at),
            invert: self.invert.clone(),
            size: self.size.clone(),
            material: self.material.unwrap_or_default(),
            falls: self.falls.clone(),
            running: self.running.clone(),
            silt: self.silt.clone(),
            condition: self.condition.unwrap_or_default(),
            upstream: if self.upstream == TERRAIN { String::new() } else { self.upstream.clone() },
            beyond: self.beyond,
            photo: String::new(),
            by: typed(&self.by),
            at: self.on.clone().or(plan.title.as_of.clone()).unwrap_or_default(),
            note: self.note.clone(),
        }
    }

    fn photos(&self, find: &Find) -> Result<Vec<Photo>, CliError> {
        let home = self.output.as_ref().unwrap_or(&self.plan);
        let one = |file: &PathBuf| find_form::photo(file, home, find).map_err(|error| CliError::file(file, error));
        self.photo.iter().map(one).collect()
    }
}

/// The word that takes the land above from the terrain.
const TERRAIN: &str = "terrain";
