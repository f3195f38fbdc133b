//! `drainwright survey`: batches, benchmarks and what is odd about them; corrections with name, day and reason; the log.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use land::Surveyed;
use measure::{LengthUnit, Units};
use plan::{GroundRef, LevelLoop, Plan, Remedy, Signature, SurveyBook};
use serde_json::{Value, json};

use super::{CliError, OpenPlan, Over, say, say_json};
use job::Progress;
use job::Worked;
use job::bring::benchmark;
use job::files;
use job::ground::{self, threads};
use land::BatchRow;

const EXAMPLE: &str = "Without corrections it prints how the survey stands and the log. What is done is added to the log and can \
be read there for good; the files with the shots are never changed. A shot is named as in its file, or BATCH/SHOT.\n\n\
Examples:\n  drainwright survey block.drain\n  \
drainwright survey block.drain --convert phone=m --by \"R. Wren\" --on 2031-04-02 --because \"phone writes meters\"\n  \
drainwright survey block.drain --shift level=-0.31ft --correct 23=-10ft --by \"R. Wren\" --on 2031-04-02 --because \"checked on BM1\"\n  \
drainwright survey block.drain --benchmark \"BM1 nail in oak,203210,96100,283.15\" --add l2=l2-levels.csv";

/// Arguments of `survey`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct SurveyVerb {
    /// Plan file; saved again when something is changed, its former state kept as a backup.
    plan: PathBuf,
    /// Add a file of levels as a batch, or a lidar grid to hold the shots against.
    #[arg(long, value_name = "BATCH=FILE", help_heading = "What is known")]
    add: Vec<String>,
    /// Say what the levels of a batch count from.
    #[arg(long, value_name = "BATCH=DATUM", help_heading = "What is known")]
    datum: Vec<String>,
    /// Say when a batch was taken.
    #[arg(long, value_name = "BATCH=YYYY-MM-DD", help_heading = "What is known")]
    taken: Vec<String>,
    /// Say when ground was last moved.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = super::check::date, help_heading = "What is known")]
    earthwork: Option<String>,
    /// Enter a benchmark: name, easting and northing in the ground's system and unit, level in the plan's, and what the
    /// level counts from where that is known.
    #[arg(long, value_name = "NAME,E,N,LEVEL[,DATUM]", allow_hyphen_values = true, help_heading = "What is known")]
    benchmark: Vec<String>,
    /// Enter a level loop: name, known level of the mark it ends on, level carried to it, length of the way.
    #[arg(
        long = "loop",
        value_name = "NAME,KNOWN,CARRIED,LENGTH",
        allow_hyphen_values = true,
        help_heading = "What is known"
    )]
    loops: Vec<String>,
    /// Read a batch in the unit it was written in: m, ft or us-ft.
    #[arg(long, value_name = "BATCH=UNIT", help_heading = "Corrections")]
    convert: Vec<String>,
    /// Move a batch up (or down): level=-0.31ft.
    #[arg(long, value_name = "BATCH=HEIGHT", help_heading = "Corrections")]
    shift: Vec<String>,
    /// Move the lidar up (or down) instead.
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true, help_heading = "Corrections")]
    shift_lidar: Option<String>,
    /// Leave a batch where it is though it sits off the rest.
    #[arg(long, value_name = "BATCH", help_heading = "Corrections")]
    keep: Vec<String>,
    /// Note that a batch was brought to another datum (shift it too).
    #[arg(long, value_name = "BATCH=DATUM", help_heading = "Corrections")]
    brought_to: Vec<String>,
    /// Move one shot up (or down): 23=-10ft.
    #[arg(long, value_name = "SHOT=HEIGHT", help_heading = "Corrections")]
    correct: Vec<String>,
    /// Leave out a shot, or a whole batch.
    #[arg(long, value_name = "SHOT|BATCH", help_heading = "Corrections")]
    leave_out: Vec<String>,
    /// Of shots in one place let this one hold; the others that disagree with it are left out.
    #[arg(long, value_name = "SHOT", help_heading = "Corrections")]
    hold: Vec<String>,
    /// Who corrects.
    #[arg(long, value_name = "NAME", help_heading = "Signature")]
    by: Option<String>,
    /// The reason.
    #[arg(long, value_name = "TEXT", help_heading = "Signature")]
    because: Option<String>,
    /// On which day; the plan's own date without it.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = super::check::date, help_heading = "Signature")]
    on: Option<String>,
    /// Write the changed plan there instead.
    #[arg(short, long, value_name = "PLAN")]
    output: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    /// Print JSON instead of text: metric, the unit in each key.
    #[arg(long)]
    json: bool,
}

impl SurveyVerb {
    /// True where something is to be entered or corrected.
    fn changes(&self) -> bool {
        let entered = [&self.add, &self.datum, &self.taken, &self.benchmark, &self.loops];
        let corrected =
            [&self.convert, &self.shift, &self.keep, &self.brought_to, &self.correct, &self.leave_out, &self.hold];
        let single = self.earthwork.is_some() || self.shift_lidar.is_some();
        single || entered.iter().chain(&corrected).any(|list| !list.is_empty())
    }
}

/// Changes what is asked, saves, and prints how the survey stands.
pub fn run(verb: &SurveyVerb) -> Result<ExitCode, CliError> {
    let output = verb.output.as_ref().unwrap_or(&verb.plan);
    let open = super::open_to(&verb.plan, verb.changes() && job::sparing::is_itself(&verb.plan, output))?;
    let mut plan = open.plan.clone();
    verb.over.spare_plan((&plan, &verb.plan), output)?;
    let book = known(verb, &plan, output)?;
    if book != plan.survey {
        plan.apply(&plan::set_survey("Note what is known of the survey", book))?;
    }
    let land = if plan.survey.files == open.plan.survey.files { open.land } else { reread(&plan, &verb.plan)? };
    let surveyed = land.corrected_by(&plan.survey).survey;
    let remedies = remedies(verb, &plan, surveyed.as_deref())?;
    if !remedies.is_empty() {
        plan.apply(&plan::correct(&plan, remedies, &signature(verb, &plan)?))?;
    }
    if plan != open.plan || verb.output.is_some() {
        super::save_to(&open.source, &plan, output)?;
    }
    let land = match land.fits(&plan.survey) {
        true => land,
        false => Progress::default()
            .lay(threads(), |laying| land.relaid(&plan.survey, laying))
            .map_err(|error| CliError::file(&verb.plan, error))?,
    };
    let open = OpenPlan { plan, land, source: open.source };
    let worked = super::work_out(&open);
    if verb.json {
        say_json(&as_json(&worked))?;
    } else {
        super::say_notes(&open.land);
        text_lines(&worked).iter().for_each(say);
    }
    Ok(ExitCode::SUCCESS)
}

/// Reads the ground of a plan anew with the files beside it.
pub fn reread(plan: &Plan, path: &Path) -> Result<land::Land, CliError> {
    ground::open_plan(plan, Some(&job::chosen::home(path)), &Progress::default())
        .map_err(|error| CliError::file(path, error))
}

/// What is known of the survey with what the arguments add.
fn known(verb: &SurveyVerb, plan: &Plan, output: &Path) -> Result<SurveyBook, CliError> {
    let (mut book, units) = (plan.survey.clone(), plan.title.units);
    for text in &verb.add {
        let (batch, file) = pair("--add", text, "BATCH=FILE")?;
        let notes = add_file(&mut book, plan.ground.as_ref(), (batch, Path::new(file)), output)?;
        notes.iter().filter(|_| !verb.json).for_each(say);
    }
    for text in &verb.datum {
        let (batch, datum) = pair("--datum", text, "BATCH=DATUM")?;
        book.batches.entry(batch.into()).or_default().datum = datum.into();
    }
    for text in &verb.taken {
        let (batch, day) = pair("--taken", text, "BATCH=YYYY-MM-DD")?;
        book.batches.entry(batch.into()).or_default().date = Some(day.into());
    }
    book.earthwork = verb.earthwork.clone().or(book.earthwork);
    for text in &verb.benchmark {
        let new = benchmark(text, plan).map_err(CliError::Argument)?;
        book.benchmarks.retain(|old| old.name != new.name);
        book.benchmarks.push(new);
    }
    for text in &verb.loops {
        let new = level_loop(text, units)?;
        book.loops.retain(|old| old.name != new.name);
        book.loops.push(new);
    }
    Ok(book)
}

/// Adds a file of levels or lidar to the book, as a plan saved at `output` will name it; answers what should be told.
pub fn add_file(
    book: &mut SurveyBook,
    reference: Option<&GroundRef>,
    (batch, file): (&str, &Path),
    output: &Path,
) -> Result<Vec<String>, CliError> {
    let reference = reference.ok_or_else(|| CliError::Argument("the plan has no ground yet".into()))?;
    let (mut named, notes) =
        ground::name_file(file, batch, reference).map_err(|error| CliError::file(file, error))?;
    named.file = files::beside(file, output).map_err(|error| CliError::file(file, error))?;
    book.files.retain(|old| old.file != named.file);
    book.files.push(named);
    Ok(notes.iter().map(|note| format!("{}: {note}", file.display())).collect())
}

/// Splits at the last equals sign: names may hold one, what follows may not.
pub fn pair<'a>(option: &str, text: &'a str, expected: &str) -> Result<(&'a str, &'a str), CliError> {
    let parts = text.rsplit_once('=').map(|(name, value)| (name.trim(), value.trim()));
    parts
        .filter(|(name, value)| !name.is_empty() && !value.is_empty())
        .ok_or_else(|| CliError::Argument(format!("{option}: found '{text}', expected {expected}")))
}

fn level_loop(text: &str, units: Units) -> Result<LevelLoop, CliError> {
    let wrong = || CliError::Argument(format!("--loop: found '{text}', expected NAME,KNOWN,CARRIED,LENGTH"));
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let [name, known, carried, length] = parts[..] else { return Err(wrong()) };
    let read = |part: &str| measure::parse_length(part, units).map_err(|_| wrong());
    Ok(LevelLoop { name: name.into(), known_m: read(known)?, carried_m: read(carried)?, length_m: read(length)? })
}

fn signature(verb: &SurveyVerb, plan: &Plan) -> Result<Signature, CliError> {
    let on = verb.on.clone().or(plan.title.as_of.clone());
    match (&verb.by, on, &verb.because) {
        (Some(by), Some(on), Some(because)) => Ok(super::signed(by, on, because)),
        _ => Err(CliError::Argument(
            "a correction is signed: give --by NAME, --on YYYY-MM-DD and --because TEXT".into(),
        )),
    }
}

/// The corrections asked for; units first, whole batches next, single shots last.
fn remedies(verb: &SurveyVerb, plan: &Plan, surveyed: Option<&Surveyed>) -> Result<Vec<Remedy>, CliError> {
    let ask = Asked { plan, surveyed };
    let mut found = Vec::new();
    for text in &verb.convert {
        found.push(ask.convert(text)?);
    }
    for text in &verb.shift {
        let (batch, height) = pair("--shift", text, "BATCH=HEIGHT")?;
        found.push(Remedy::Shift { batch: ask.batch(batch)?, by_m: ask.height(height)? });
    }
    if let Some(height) = &verb.shift_lidar {
        found.push(Remedy::ShiftLidar { by_m: ask.height(height)? });
    }
    for text in &verb.brought_to {
        let (batch, datum) = pair("--brought-to", text, "BATCH=DATUM")?;
        found.push(Remedy::Datum { batch: ask.batch(batch)?, datum: datum.into() });
    }
    for batch in &verb.keep {
        found.push(ask.keep(batch)?);
    }
    for text in &verb.correct {
        let (shot, height) = pair("--correct", text, "SHOT=HEIGHT")?;
        found.push(Remedy::Raise { shot: ask.survey()?.shot_name(ask.shot(shot)?), by_m: ask.height(height)? });
    }
    for name in &verb.leave_out {
        found.push(match ask.batch(name) {
            Ok(batch) => Remedy::LeaveOutBatch { batch },
            Err(_) => Remedy::LeaveOut { shot: ask.survey()?.shot_name(ask.shot(name)?) },
        });
    }
    for name in &verb.hold {
        found.extend(land::hold(ask.survey()?, ask.shot(name)?));
    }
    Ok(found)
}

/// Looks up what the arguments name.
struct Asked<'a> {
    plan: &'a Plan,
    surveyed: Option<&'a Surveyed>,
}

impl<'a> Asked<'a> {
    fn survey(&self) -> Result<&'a Surveyed, CliError> {
        self.surveyed.ok_or_else(|| CliError::Argument("the plan has no ground yet".into()))
    }

    fn index(&self, name: &str) -> Result<usize, CliError> {
        let batches = &self.survey()?.book.batches;
        batches.iter().position(|batch| batch.name == name).ok_or_else(|| {
            let known: Vec<&str> = batches.iter().map(|batch| batch.name.as_str()).collect();
            CliError::Argument(format!("there is no batch {name}; there are: {}", known.join(", ")))
        })
    }

    fn batch(&self, name: &str) -> Result<String, CliError> {
        self.index(name).map(|_| name.to_string())
    }

    fn shot(&self, name: &str) -> Result<usize, CliError> {
        let survey = self.survey()?;
        let found: Vec<usize> = survey.book.called(name).collect();
        match found[..] {
            [one] => Ok(one),
            [] => Err(CliError::Argument(format!("there is no shot {name}"))),
            _ => {
                let names: Vec<String> = found.iter().map(|i| survey.book.name_of(*i)).collect();
                Err(CliError::Argument(format!("{name} may be {}; name its batch too", names.join(" or "))))
            }
        }
    }

    fn height(&self, text: &str) -> Result<f64, CliError> {
        let plain = text.replace('−', "-");
        measure::parse_length(plain.trim_start_matches('+'), self.plan.title.units)
            .map_err(|error| CliError::Argument(error.to_string()))
    }

    fn convert(&self, text: &str) -> Result<Remedy, CliError> {
        let (name, unit) = pair("--convert", text, "BATCH=UNIT, with m, ft or us-ft")?;
        let written = LengthUnit::from_sign(unit)
            .ok_or_else(|| CliError::Argument(format!("--convert: '{unit}' is no unit; expected m, ft or us-ft")))?;
        let read = self.survey()?.book.batches[self.index(name)?].unit;
        Ok(Remedy::Convert { batch: name.into(), read, written })
    }

    fn keep(&self, name: &str) -> Result<Remedy, CliError> {
        let index = self.index(name)?;
        let offset = self.survey()?.offsets.iter().find(|offset| offset.batch == index);
        let off_m = offset.map(|offset| offset.agreement.mean_m);
        let off_m = off_m
            .ok_or_else(|| CliError::Argument(format!("batch {name} was held against nothing it could be off")))?;
        Ok(Remedy::Keep { batch: name.into(), off_m })
    }
}

/// How the survey stands, its log, and what is odd, as lines of text.
fn text_lines(worked: &Worked) -> Vec<String> {
    let mut text = worked.land.survey.as_ref().map(|survey| standing(&worked.plan, survey)).unwrap_or_default();
    let (plan, units) = (&worked.plan, worked.plan.title.units);
    text.push("Log:".into());
    text.extend(plan.survey.corrections.iter().map(|correction| format!("  {}", correction.words(units))));
    if plan.survey.corrections.is_empty() {
        text.push("  nothing was corrected".into());
    }
    text.push("Findings:".into());
    let found: Vec<String> = job::words::of_the_survey(worked.tried())
        .map(|finding| format!("  {} [{} {}] {}", finding.severity.word(), finding.key, finding.slug, finding.text()))
        .collect();
    text.extend(if found.is_empty() { vec!["  none".into()] } else { found });
    text
}

/// Batches, benchmarks and the surface's error, as lines of text.
pub fn standing(plan: &Plan, survey: &Surveyed) -> Vec<String> {
    let units = plan.title.units;
    let rows = land::batch_rows(survey);
    let mut text: Vec<String> = rows.iter().map(|row| format!("Batch {}: {}", row.name, row.words(units))).collect();
    text.extend(land::error_words(survey, units).map(|error| format!("Error of the surface: {error}")));
    text.extend(plan.survey.benchmarks.iter().map(|mark| {
        let datum = if mark.datum.is_empty() { String::new() } else { format!(", {}", mark.datum) };
        format!("Benchmark {}: {} {}{datum}", mark.name, units.level(mark.level_m), units.sign())
    }));
    text.extend(plan.survey.loops.iter().map(|run| {
        let closure = plan::signed_level(run.closure_m(), units);
        format!("Level loop {}: closes to {closure} over {}", run.name, units.length(run.length_m))
    }));
    text.extend(plan.survey.earthwork.iter().map(|day| format!("Ground last moved: {day}")));
    text
}

/// The same for machines.
pub fn as_json(worked: &Worked) -> Value {
    let Some(survey) = &worked.land.survey else { return Value::Null };
    let (plan, units) = (&worked.plan, worked.plan.title.units);
    json!({
        "batches": land::batch_rows(survey).iter().map(batch_json).collect::<Vec<_>>(),
        "surface_error_m": survey.error.map(|error| error.metres()),
        "surface_error_measured": survey.error.map(|error| matches!(error, land::SurfaceError::Measured(_))),
        "outliers": survey.outliers.iter().map(|outlier| json!({
            "shot": survey.book.name_of(outlier.index),
            "residual_m": outlier.residual_m,
            "deviation_m": outlier.deviation_m,
        })).collect::<Vec<_>>(),
        "benchmarks": plan.survey.benchmarks,
        "level_loops": plan.survey.loops,
        "earthwork": plan.survey.earthwork,
        "log": plan.survey.corrections.iter().map(|correction| json!({
            "by": correction.signed.by,
            "on": correction.signed.on,
            "because": correction.signed.because,
            "what": correction.what.words(units),
        })).collect::<Vec<_>>(),
        "findings": job::words::of_the_survey(&worked.findings).map(|finding| json!({
            "key": finding.key, "check": finding.check, "slug": finding.slug, "severity_words": finding.severity.word(),
            "message": finding.message, "x_m": finding.at.x, "y_m": finding.at.y,
        })).collect::<Vec<_>>(),
    })
}

fn batch_json(row: &BatchRow) -> Value {
    json!({
        "name": row.name,
        "shots": row.shots,
        "unit": row.unit.sign(),
        "datum": Some(&row.datum).filter(|datum| !datum.is_empty()),
        "taken": row.date,
        "outliers": row.outliers,
        "held_against": row.offset.map(|offset| match offset.against {
            land::Against::Lidar => "lidar",
            land::Against::OtherBatches => "other batches",
        }),
        "mean_m": row.offset.map(|offset| offset.agreement.mean_m),
        "rmse_m": row.offset.map(|offset| offset.agreement.rmse_m),
        "scatter_m": row.offset.map(|offset| offset.agreement.scatter_m()),
        "compared": row.offset.map(|offset| offset.agreement.count),
    })
}
