//! `drainwright bring`: marks on the land, prices, hub levels, local rules and what was handed back from the field.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use exchange::FileError;

use super::sheets::Signed;
use super::{CliError, OpenPlan, say};
use job::bring::{add_marks, hubs_edit, prices_of};
use job::{ground, handed_back};

const EXAMPLE: &str = "Marks are GeoJSON, KML or shapefile; a feature says what it is in the property `what` (buried utility, trees, wetland, \
soil pit …) and has its few fields beside it; of a utility that was exposed exposed_top, exposed_bottom, exposed_by and exposed_on.\nTables are CSV: prices item,size,branch,price,per,roll,currency; hubs line,station,level,offset; rules \
limit,value,why.\n\nExample:\n  drainwright bring block.drain --marks gas.geojson --prices quote.csv\n  \
drainwright bring block.drain --rules county.csv --by \"A. Marsh\" --because \"county code\"\n  \
drainwright bring block.drain --field block-field-2031-05-02-k3mq.geojson --preview";

/// The example with every limit a rule set may name, for `--help`.
fn limits_help() -> String {
    let limit = |limit: &plan::Limit| format!("  {:<32} {}\n", exchange::short(limit), limit.label);
    let limits: String = plan::LIMITS.iter().map(limit).collect();
    format!(
        "{EXAMPLE}\n\nOffsets of hubs count to the left of the line, looking upstream.\n\nLimits of a rule set:\n{limits}"
    )
}

/// Arguments of `bring`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE, after_long_help = limits_help())]
pub struct Bring {
    /// Plan file; it is saved again, its former state kept as a backup.
    plan: PathBuf,
    /// Marks on the land.
    #[arg(long, value_name = "FILE")]
    marks: Vec<PathBuf>,
    /// `ground`: the numbers of the marks are the ground's own, in its unit, not degrees.
    #[arg(long, value_name = "ground", value_parser = ["ground"])]
    crs: Option<String>,
    /// Price list.
    #[arg(long, value_name = "FILE")]
    prices: Option<PathBuf>,
    /// Sign or code of the currency of the prices (EUR, $), where the list does not say.
    #[arg(long, value_name = "SIGN", value_parser = currency)]
    currency: Option<String>,
    /// Hub levels.
    #[arg(long, value_name = "FILE")]
    hubs: Option<PathBuf>,
    /// Local rule set.
    #[arg(long, value_name = "FILE")]
    rules: Option<PathBuf>,
    /// What a field page handed back. What the plan has already is not taken twice.
    #[arg(long, value_name = "FILE")]
    field: Vec<PathBuf>,
    /// Say what the files would bring, and save nothing.
    #[arg(long)]
    preview: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Brings the files in and saves the plan; nothing is saved where one of them cannot be read.
pub fn run(bring: &Bring) -> Result<ExitCode, CliError> {
    let mut open = super::open_to(&bring.plan, true)?;
    for file in &bring.marks {
        marks(&mut open, file, bring.crs.is_some())?;
    }
    let read = |file: &PathBuf| exchange::read_bytes(file).map_err(|error| CliError::file(file, error));
    let units = open.plan.title.units;
    if let Some(file) = &bring.prices {
        let prices = exchange::read_price_rows(&read(file)?, units).map_err(|error| CliError::file(file, error))?;
        say(format_args!("{}: {}", file.display(), measure::how_many(prices.rows.len(), "price")));
        if let Some((said, other)) = prices.currency.as_ref().zip(bring.currency.as_ref()).filter(|(a, b)| a != b) {
            let why = format!("--currency: found {other}, expected {said}, in which {} is", file.display());
            return Err(CliError::Argument(why));
        }
        let source = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let list = prices_of(prices, source, &open.plan);
        open.plan.apply(&plan::set_price_list(list))?;
    }
    if let Some(currency) = &bring.currency {
        let list = plan::PriceList { currency: currency.clone(), ..open.plan.price_list.clone() };
        open.plan.apply(&plan::set_price_list(list))?;
    }
    if let Some(file) = &bring.hubs {
        let count = hubs(&mut open, &read(file)?).map_err(|error| CliError::file(file, error))?;
        say(format_args!("{}: {}", file.display(), measure::how_many(count, "hub")));
    }
    if let Some(file) = &bring.rules {
        let set = exchange::read_rule_set(&read(file)?, units).map_err(|error| CliError::file(file, error))?;
        let mut signed = bring.signed.signature(&open.plan)?;
        if !set.why().is_empty() {
            signed.because = format!("{}: {}", signed.because, set.why());
        }
        let edit = plan::change_limits(&open.plan, set.applied(&open.plan.criteria), &signed);
        let logged = open.plan.limit_log.len();
        open.plan.apply(&edit)?;
        let changed = measure::how_many(open.plan.limit_log.len() - logged, "limit");
        say(format_args!("{}: {changed} changed", file.display()));
        open.plan.limit_log[logged..].iter().for_each(|change| say(format_args!("  {}", change.words(units))));
    }
    field(&mut open, &bring.field)?;
    if bring.preview {
        say("Nothing is saved: this was a preview.");
    } else {
        open.source.save(&open.plan)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Takes what field pages handed back, one file after the other.
fn field(open: &mut OpenPlan, files: &[PathBuf]) -> Result<(), CliError> {
    if files.is_empty() {
        return Ok(());
    }
    let worked = super::work_out(open);
    for file in files {
        let at = |error| CliError::file(file, error);
        let read = exchange::read_handed_back(&exchange::read_bytes(file).map_err(at)?).map_err(at)?;
        let preview = handed_back::look(&worked, &open.plan, read).map_err(at)?;
        say(format_args!("{}: {}", file.display(), preview.words()));
        preview.lines().iter().for_each(|line| say(format_args!("  {line}")));
        if let Some(edit) = preview.taking(&open.plan) {
            open.plan.apply(&edit)?;
        }
    }
    Ok(())
}

fn currency(text: &str) -> Result<String, String> {
    let text = text.trim();
    let fits = !text.is_empty() && plan::is_currency(text);
    fits.then(|| text.to_string())
        .ok_or_else(|| format!("'{text}' is no currency; expected a sign or code such as EUR"))
}

fn marks(open: &mut OpenPlan, file: &Path, own_numbers: bool) -> Result<(), CliError> {
    let plane = ground::plane(&open.plan);
    let (marks, notes) = exchange::read_landmarks_file(file, Some(&plane), own_numbers)
        .map_err(|error| CliError::file(file, error))?;
    notes.iter().for_each(|note| say(format_args!("{}: {note}", file.display())));
    let (found, edit) = (marks.len(), add_marks(&open.plan, marks));
    let known = match found - edit.changes.len() {
        0 => String::new(),
        1 => "; one was there already".into(),
        known => format!("; {known} were there already"),
    };
    say(format_args!("{}: {}{known}", file.display(), measure::how_many(found, "mark")));
    open.plan.apply(&edit)?;
    Ok(())
}

/// Sets hub levels on the lines they name.
fn hubs(open: &mut OpenPlan, bytes: &[u8]) -> Result<usize, FileError> {
    let edit = hubs_edit(&open.plan, &open.land, bytes)?;
    let count = edit.changes.iter().filter_map(|change| match change {
        plan::Change::Line(_, Some(line)) => Some(line.hubs.len()),
        _ => None,
    });
    let count = count.sum();
    open.plan.apply(&edit).map_err(|error| FileError::Malformed {
        place: error.place,
        found: error.found,
        expected: error.expected,
    })?;
    Ok(count)
}
