//! `drainwright sheets`: everything on paper as one PDF; and issuing sheets under the next letter.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use plan::{LineId, Plan, Signature};
use sheets::{Paper, Tongue};
use takeoff::SetUp;

use super::{CliError, OpenPlan, Over, say};
use job::Worked;
use job::handing::{self, NotIssued, PaperWish};

const EXAMPLE: &str = "Example:\n  drainwright sheets block.drain -o block.pdf --paper a4\n  \
drainwright sheets block.drain -o block.pdf --instrument 424.15 --instrument 430.10@L2:2+50-4+00\n  \
drainwright sheets block.drain -o block.pdf --language spanish\n  \
drainwright sheets block.drain -o block.pdf --issue --by \"A. Marsh\" --because \"first issue\"\n\n\
Exit status: 0 written, 1 sheets are not issued because something blocks digging, 2 unusable input.";

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
    over: Over,
    #[command(flatten)]
    paper: PaperArgs,
    #[command(flatten)]
    crew: CrewArgs,
    /// Issue the sheets under the next letter; the plan is saved with it. Refused while a finding is to be fixed.
    #[arg(long)]
    issue: bool,
    /// Issue them all the same, which the name and the reason answer for; what is open stands on the sheets and in the plan.
    /// Where a utility is not cleared nobody digs, whoever signs. Without --issue: print sheets though ground or levels that
    /// the plan names were not read.
    #[arg(long)]
    all_the_same: bool,
    #[command(flatten)]
    signed: Signed,
}

/// What is wanted of the paper.
#[derive(Debug, Args)]
pub struct PaperArgs {
    /// Size of the paper: letter, tabloid, a4 or a3; that of the plan's units without it.
    #[arg(long, value_name = "SIZE", value_parser = paper)]
    paper: Option<Paper>,
    /// Level of the laser's plane, for readings on the rod (424.15, 129.28m); where the instrument is moved, again for each
    /// line or stretch it serves (424.15@L2, 430.10@L2:2+50-4+00).
    #[arg(long, value_name = "LEVEL[@LINE[:FROM-TO]]", allow_hyphen_values = true)]
    instrument: Vec<String>,
    /// Length of the rod; 16 ft or 5 m without it.
    #[arg(long, value_name = "LENGTH")]
    rod: Option<String>,
}

/// What is wanted for the crew.
#[derive(Debug, Args)]
pub struct CrewArgs {
    /// Language of what the crew reads, cut sheets and field page: english or spanish (en, es).
    #[arg(long, value_name = "LANGUAGE", value_parser = tongue, default_value = "english")]
    pub language: Tongue,
}

/// Reads a language by its name or tag.
fn tongue(text: &str) -> Result<Tongue, String> {
    let is_named = |tongue: &Tongue| tongue.english_name().eq_ignore_ascii_case(text);
    let named = Tongue::ALL.into_iter().find(is_named).or(Tongue::tagged(text));
    named.ok_or_else(|| format!("'{text}' is no language of the sheets; expected english or spanish"))
}

/// Reads a size of paper.
pub fn paper(text: &str) -> Result<Paper, String> {
    Paper::named(text).ok_or_else(|| format!("'{text}' is no paper; expected letter, tabloid, a4 or a3"))
}

impl PaperArgs {
    /// The wish, with the usual paper of the plan's units. A set-up that gives a reading which no rod has is refused.
    pub fn wish(&self, worked: &Worked) -> Result<PaperWish, CliError> {
        let plan = &worked.plan;
        let units = plan.title.units;
        let set_ups: Vec<SetUp> = self.instrument.iter().map(|text| set_up(text, plan)).collect::<Result<_, _>>()?;
        let rod = self.rod.as_deref().map(|text| measure::parse_length(text, units)).transpose();
        let rod_m = rod.map_err(|error| CliError::Argument(format!("--rod: {error}")))?;
        let rod_m = rod_m.unwrap_or(takeoff::usual_rod_m(units));
        if rod_m <= 0.0 {
            return Err(CliError::Argument(format!("--rod: found {}, expected more", units.depth(rod_m))));
        }
        takeoff::hold_rods(plan, &worked.design, &set_ups, rod_m)
            .map_err(|trouble| CliError::Argument(format!("--instrument, {trouble}")))?;
        let paper = self.paper.unwrap_or(Paper::usual(units));
        Ok(PaperWish { paper, set_ups, ..PaperWish::default() })
    }
}

/// Reads a set-up: LEVEL for every line, LEVEL@LINE for one, LEVEL@LINE:FROM-TO for a stretch of it.
fn set_up(text: &str, plan: &Plan) -> Result<SetUp, CliError> {
    let (level, whose) = text.split_once('@').map_or((text, None), |(level, whose)| (level, Some(whose)));
    let level_m = measure::parse_length(level, plan.title.units)
        .map_err(|error| CliError::Argument(format!("--instrument: {error}")))?;
    let Some(whose) = whose.map(str::trim) else { return Ok(SetUp { level_m, line: None, stretch: None }) };
    let (line, stretch) = stretch_of("--instrument", whose, plan)?;
    Ok(SetUp { level_m, line: Some(line), stretch })
}

/// Reads a line, or a stretch of one: LINE, LINE:FROM-TO.
pub fn stretch_of(option: &str, whose: &str, plan: &Plan) -> Result<(LineId, Option<(f64, f64)>), CliError> {
    let wrong =
        |found: &str, expected: String| CliError::Argument(format!("{option}: found '{found}', expected {expected}"));
    // A name may hold a colon of its own.
    let (name, stretch) = match whose.rsplit_once(':').filter(|_| plan.line_named(whose).is_none()) {
        Some((name, stretch)) => (name, Some(stretch)),
        None => (whose, None),
    };
    let line = plan.line_named(name).ok_or_else(|| {
        let names: Vec<&str> = plan.lines.values().map(|line| line.name.as_str()).collect();
        wrong(name, format!("the name of a line: {}", names.join(", ")))
    })?;
    let station = |text: &str| measure::parse_station(text, plan.title.units);
    let read = |text: &str| {
        let (from, to) = text.split_once('-')?;
        station(from).zip(station(to)).filter(|(from_m, to_m)| from_m < to_m)
    };
    let stretch = stretch.map(|text| read(text).ok_or_else(|| wrong(text, "two stations such as 0+00-2+50".into())));
    Ok((line, stretch.transpose()?))
}

/// Who signs, when and why.
#[derive(Debug, Args)]
pub struct Signed {
    /// Name of who signs.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// The day, YYYY-MM-DD; the plan's own without it.
    #[arg(long, visible_alias = "date", value_name = "DATE", value_parser = super::check::date)]
    on: Option<String>,
    /// The reason.
    #[arg(long, value_name = "REASON")]
    because: Option<String>,
}

impl Signed {
    /// The signature; what is missing is told.
    pub fn signature(&self, plan: &Plan) -> Result<Signature, CliError> {
        let on = self.on.clone().or(plan.title.as_of.clone());
        let asked = [("--by NAME", &self.by), ("--on DATE", &on), ("--because REASON", &self.because)];
        let missing: Vec<&str> = asked.iter().filter(|(_, given)| given.is_none()).map(|(what, _)| *what).collect();
        match (&self.by, on, &self.because) {
            (Some(by), Some(on), Some(because)) => Ok(super::signed(by, on, because)),
            _ => Err(CliError::Argument(format!(
                "{} is needed: who says so, when and why is kept",
                missing.join(" and ")
            ))),
        }
    }
}

/// Who answers for what is written though something of the plan was not read.
#[derive(Debug, Args)]
pub struct Unread {
    /// Write it though ground or levels that the plan names were not read, which the name and the reason answer for.
    #[arg(long)]
    all_the_same: bool,
    #[command(flatten)]
    signed: Signed,
}

impl Unread {
    /// Who signs, where it is written all the same.
    pub fn answered(&self) -> Option<&Signed> {
        self.all_the_same.then_some(&self.signed)
    }

    /// The signature, where it is written all the same.
    pub fn signature(&self, plan: &Plan) -> Result<Option<Signature>, CliError> {
        self.answered().map(|signed| signed.signature(plan)).transpose()
    }
}

impl Signed {
    /// The signature under a correction that gives its own reason where none is given here.
    pub fn correction(&self, plan: &Plan) -> Result<Signature, CliError> {
        let given = self.because.clone().or(Some(String::new()));
        Self { by: self.by.clone(), on: self.on.clone(), because: given }.signature(plan)
    }
}

/// Writes the PDF.
pub fn run(sheets: &Sheets) -> Result<ExitCode, CliError> {
    let mut open = super::open_to(&sheets.plan, sheets.issue)?;
    sheets.over.spare((&open.plan, &sheets.plan), &sheets.output)?;
    let mut worked = super::work_out(&open);
    let mut wish = PaperWish { tongue: sheets.crew.language, ..sheets.paper.wish(&worked)? };
    if sheets.all_the_same {
        wish.all_the_same = Some(sheets.signed.signature(&open.plan)?);
    }
    if sheets.issue {
        let signed = sheets.signed.signature(&open.plan)?;
        worked.tried();
        issue(&mut open, &worked, &wish, &signed)?;
        open.source.save(&open.plan)?;
        worked = super::work_out(&open);
    }
    handing::may_tell(&worked, &wish)?;
    let made = handing::pdf(&worked, &wish, &|_, _| true);
    let (pdf, edition) = made.map_err(|error| CliError::Argument(error.to_string()))?;
    exchange::replace_file(&sheets.output, &pdf, false).map_err(|error| unwritten(sheets, error))?;
    edition.warning.iter().for_each(|warning| say(format_args!("Warning: {warning}")));
    handing::no_dig_lines(&worked).iter().for_each(say);
    say(format_args!("Written: {}", sheets.output.display()));
    Ok(ExitCode::SUCCESS)
}

/// Why there is no PDF; where sheets were issued, that they are all the same.
fn unwritten(sheets: &Sheets, error: exchange::FileError) -> CliError {
    match CliError::file(&sheets.output, error) {
        error if sheets.issue => CliError::Argument(format!(
            "{error}\nThe sheets are issued and the plan is saved so; only the PDF is not written. Write it without --issue."
        )),
        error => error,
    }
}

fn issue(open: &mut OpenPlan, worked: &Worked, wish: &PaperWish, signed: &Signature) -> Result<(), CliError> {
    let edit = handing::issue(worked, wish, signed).map_err(|error| match error {
        NotIssued::HeldBack(held_back) => CliError::HeldBack(held_back),
        error => CliError::Argument(format!("--on, {error}")),
    })?;
    open.plan.apply(&edit)?;
    say(format_args!("{}", edit.label));
    let issued = open.plan.revisions.last();
    for finding in issued.into_iter().flat_map(|revision| &revision.open).filter(|finding| !finding.no_dig) {
        say(format_args!("  open: {}, at {}", finding.title, finding.place));
    }
    Ok(())
}
