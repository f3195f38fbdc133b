//! `drainwright bring`: marks on the land, prices, hub levels and local rules from files.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use exchange::FileError;
use plan::{Landmark, Plan};

use super::sheets::Signed;
use super::{CliError, OpenPlan, say};
use crate::land::{self, Land};

/// A hub stands no farther above or below the ground of its line, metres (10 ft; judgement).
const FARTHEST_HUB_M: f64 = 10.0 * measure::FOOT_M;

const EXAMPLE: &str = "Marks are GeoJSON, KML or shapefile; a feature says what it is in the property `what` (buried utility, trees, wetland, \
soil pit …) and has its few fields beside it; of a utility that was exposed exposed_top, exposed_bottom, exposed_by and exposed_on.\nTables are CSV: prices item,size,branch,price,per,roll,currency; hubs line,station,level,offset; rules \
limit,value,why.\n\nExample:\n  drainwright bring block.drain --marks gas.geojson --prices quote.csv\n  \
drainwright bring block.drain --rules county.csv --by \"A. Marsh\" --because \"county code\"";

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
    open.source.save(&open.plan)?;
    Ok(ExitCode::SUCCESS)
}

/// A plan's price list with the prices of a file; where that names no currency the plan's stays.
pub fn prices_of(prices: exchange::PricesIn, source: String, plan: &Plan) -> plan::PriceList {
    let now = plan.price_list.clone();
    let currency = prices.currency.unwrap_or(now.currency);
    plan::PriceList { rows: prices.rows, source, currency, ..now }
}

fn currency(text: &str) -> Result<String, String> {
    let text = text.trim();
    let fits = !text.is_empty() && plan::is_currency(text);
    fits.then(|| text.to_string())
        .ok_or_else(|| format!("'{text}' is no currency; expected a sign or code such as EUR"))
}

fn marks(open: &mut OpenPlan, file: &Path, own_numbers: bool) -> Result<(), CliError> {
    let plane = land::plane(&open.plan);
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

/// One edit that adds all marks; those without a name get one.
pub fn add_marks(plan: &Plan, marks: Vec<Landmark>) -> plan::Edit {
    let mut after = plan.clone();
    let mut changes = Vec::new();
    let mut count = 0;
    for mut mark in marks {
        // The same file read twice does not double what lies in the ground.
        let is_there = |old: &Landmark| {
            old.kind == mark.kind && old.outline == mark.outline && (mark.name.is_empty() || old.name == mark.name)
        };
        if after.landmarks.values().any(is_there) {
            continue;
        }
        count += 1;
        if mark.name.is_empty() {
            mark.name = after.free_name("K");
        }
        let (id, edit) = plan::add_landmark(&after, mark.clone());
        // A mark that the plan refuses is refused with the whole edit, by its name.
        let _ = after.apply(&edit);
        after.next_id = after.next_id.max(id.0 + 1);
        changes.push(plan::Change::Landmark(id, Some(mark)));
    }
    plan::Edit { label: format!("Bring in {}", measure::how_many(count, "mark")), changes }
}

/// Sets hub levels on the lines they name.
fn hubs(open: &mut OpenPlan, bytes: &[u8]) -> Result<usize, FileError> {
    let edit = hubs_edit(&open.plan, open.land.as_ref(), bytes)?;
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

/// The edit that sets hub levels; a line that is named has those of the file and no others.
/// A level that is far off the ground is refused: it would be dug by.
pub fn hubs_edit(plan: &Plan, land: Option<&Land>, bytes: &[u8]) -> Result<plan::Edit, FileError> {
    let units = plan.title.units;
    let read = exchange::read_hubs(bytes, units)?;
    let mut lines: std::collections::BTreeMap<plan::LineId, plan::Line> = std::collections::BTreeMap::new();
    for (name, hub, row) in read {
        let id = plan.line_named(&name).ok_or_else(|| FileError::Malformed {
            place: format!("line {row}, column line"),
            found: format!("'{name}'"),
            expected: "the name of a line of the plan".into(),
        })?;
        let known = plan.lines[&id].clone();
        let at = measure::point_at(&known.points, hub.station_m);
        if let Some(ground_m) = land.zip(at).and_then(|(land, at)| land.ground.elevation(at))
            && (hub.level_m - ground_m).abs() > FARTHEST_HUB_M
        {
            return Err(FileError::Malformed {
                place: format!("line {row}, column level"),
                found: units.level(hub.level_m),
                expected: format!(
                    "a level within {} of the ground there, {}",
                    units.depth(FARTHEST_HUB_M),
                    units.level(ground_m)
                ),
            });
        }
        let line = lines.entry(id).or_insert_with(|| plan::Line { hubs: Vec::new(), ..known });
        line.hubs.push(hub);
        line.hubs.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    }
    let changes = lines.into_iter().map(|(id, line)| plan::Change::Line(id, Some(line))).collect();
    Ok(plan::Edit { label: "Bring in hub levels".into(), changes })
}
