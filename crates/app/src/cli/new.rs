//! `drainwright new`: a plan from a ground file, a boundary and an outlet.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use exchange::{Crs, ReadOptions};
use measure::{LengthUnit, Point, Units};
use plan::{Change, Edit, GroundRef, Outlet, Plan};

use super::part::Part;
use super::{CliError, Over, say};
use job::Progress;
use job::dossier;
use job::files;
use job::ground::{self, Opened};

const EXAMPLE: &str = "Example:\n  drainwright new --ground lidar.tif --field block.geojson --outlet 203164.5,96040.2,282.40 \
--low-water 281.9 --channel-bottom 281.6 -o block.drain\n  drainwright new --dossier block-dossier -o block.drain";

/// Arguments of `new`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct New {
    /// Ground: GeoTIFF, ASCII grid, survey points as CSV or TXT, LAS or LAZ, GPX, or contours and break lines as
    /// shapefile, KML or GeoJSON.
    #[arg(long, value_name = "FILE", required_unless_present = "dossier")]
    ground: Option<PathBuf>,
    /// Take the plan with its ground, photos and record from a dossier, in place of a ground file.
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["ground", "lidar", "batch", "field", "outlet", "name", "units", "as_of", "Block"])]
    dossier: Option<PathBuf>,
    /// Lidar to hold survey points against: GeoTIFF or ASCII grid.
    #[arg(long, value_name = "FILE")]
    lidar: Option<PathBuf>,
    /// A further file of levels as a batch of its own; may be given again.
    #[arg(long, value_name = "BATCH=FILE")]
    batch: Vec<String>,
    /// Boundary: a GeoJSON, KML or shapefile with one polygon.
    #[arg(long, value_name = "FILE")]
    field: Option<PathBuf>,
    /// Outlet: easting, northing and invert, in the ground's coordinate system and units.
    #[arg(long, value_name = "E,N,INVERT", allow_hyphen_values = true)]
    outlet: Option<String>,
    /// Ordinary low water at the outlet, in the ground's vertical unit.
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    low_water: Option<f64>,
    /// Bottom of the channel at the outlet, in the ground's vertical unit.
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    channel_bottom: Option<f64>,
    /// Unit of the ground's coordinates where the file states neither it nor a coordinate system: m, ft or us-ft. Outlet,
    /// boundary, lines and marks given in the ground's own numbers are in it.
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    horizontal_unit: Option<LengthUnit>,
    /// Unit of the ground's levels: m, ft or us-ft. Where neither this nor the file says, the horizontal unit is taken.
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    vertical_unit: Option<LengthUnit>,
    /// What the ground's levels count from, in words, in place of what the file says: "NAVD88", "BM1 = 100.00".
    #[arg(long, value_name = "TEXT")]
    datum: Option<String>,
    /// Coordinate system of the ground where the file does not state it: EPSG:32631.
    #[arg(long, value_name = "CODE", value_parser = crs)]
    ground_crs: Option<Crs>,
    /// Columns of easting, northing and level in a file of points, counted from 1: 2,3,4.
    #[arg(long, value_name = "E,N,Z", value_parser = columns)]
    columns: Option<[usize; 3]>,
    /// Attribute that holds the level of contours and break lines without heights of their own.
    #[arg(long, value_name = "NAME")]
    level_attribute: Option<String>,
    #[command(flatten)]
    part: Part,
    /// `ground`: the numbers of the boundary file are the ground's own, in its unit, not degrees.
    #[arg(long, value_name = "ground", value_parser = ["ground"])]
    crs: Option<String>,
    /// Units to plan in: feet or metric; the ground's vertical unit without it.
    #[arg(long, value_name = "UNITS", value_parser = ["feet", "metric"])]
    units: Option<String>,
    /// Name of the job; the plan file's name without it.
    #[arg(long)]
    name: Option<String>,
    /// Date against which tickets and accepted findings are held, YYYY-MM-DD.
    #[arg(long, value_name = "DATE", value_parser = super::check::date)]
    as_of: Option<String>,
    #[command(flatten)]
    block: Block,
    /// Plan file to write.
    #[arg(short, long, value_name = "PLAN")]
    output: PathBuf,
    #[command(flatten)]
    over: Over,
}

/// What stands in the title block of the sheets.
#[derive(Debug, Args)]
struct Block {
    /// Who owns the land.
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    owner: String,
    /// Number or name of the parcel.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    parcel: String,
    /// County or district.
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    county: String,
    /// Who drew the plan.
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    drawn_by: String,
    /// Who checked it.
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    checked_by: String,
    /// Number of the ticket under which utilities over the whole site are located.
    #[arg(long, value_name = "NUMBER", default_value = "", hide_default_value = true)]
    ticket: String,
    /// Last day on which that ticket holds, YYYY-MM-DD.
    #[arg(long, value_name = "DATE", value_parser = super::check::date)]
    ticket_until: Option<String>,
}

impl Block {
    fn entered(&self) -> plan::TitleBlock {
        let text = |text: &String| text.trim().to_string();
        plan::TitleBlock {
            owner: text(&self.owner),
            parcel: text(&self.parcel),
            county: text(&self.county),
            planner: text(&self.drawn_by),
            checker: text(&self.checked_by),
            ticket: text(&self.ticket),
            ticket_until: self.ticket_until.clone(),
        }
    }
}

impl New {
    /// The ground file; empty where a dossier takes its place.
    fn ground(&self) -> &Path {
        self.ground.as_deref().unwrap_or(Path::new(""))
    }
}

fn unit(text: &str) -> Result<LengthUnit, String> {
    LengthUnit::from_sign(text).ok_or_else(|| format!("'{text}' is no unit; expected m, ft or us-ft"))
}

fn crs(text: &str) -> Result<Crs, String> {
    Crs::parse(text).map_err(|error| error.to_string())
}

fn columns(text: &str) -> Result<[usize; 3], String> {
    let wrong = || format!("'{text}' is not three column numbers; expected for instance 2,3,4");
    let numbers = super::numbers(text).filter(|numbers| numbers.iter().all(|number| *number > 0));
    numbers.map(|numbers: [usize; 3]| numbers.map(|number| number - 1)).ok_or_else(wrong)
}

/// Reads, places and saves; tells what was taken.
pub fn run(new: &New) -> Result<ExitCode, CliError> {
    new.over.look(&new.output, &inputs(new), true)?;
    if let Some(folder) = &new.dossier {
        return from_dossier(new, folder);
    }
    let options = ReadOptions {
        crs: new.ground_crs.clone(),
        horizontal_unit: new.horizontal_unit,
        vertical_unit: new.vertical_unit,
        columns: new.columns.map(|chosen| ground::columns(new.ground(), chosen)),
        level_attribute: new.level_attribute.clone(),
        ..ground::read_options()
    };
    let crop_to = new.part.edges(new.ground(), &options, new.crs.is_some())?;
    let options = ReadOptions { crop_to, ..options };
    let mut opened = ground::read(new.ground(), &options, &Progress::default())
        .map_err(|error| CliError::file(new.ground(), error))?;
    hold_unit(new, &opened)?;
    if let Some(datum) = &new.datum {
        opened.reference.datum.clone_from(datum);
    }
    let mut plan = Plan::new(&job_name(new), units(new, &opened.reference));
    plan.title.as_of = new.as_of.clone();
    plan.title.block = new.block.entered();
    plan.validate()?;
    tell_ground(&plan, &opened);
    let file = files::beside(new.ground(), &new.output).map_err(|error| CliError::file(new.ground(), error))?;
    let reference = GroundRef { file, ..opened.reference.clone() };
    plan.apply(&Edit::one("Bring in the ground", Change::Ground(Some(reference))))?;
    lay_survey(&mut plan, &opened, new)?;
    if let Some(path) = &new.field {
        lay_field(&mut plan, &opened, path, new.crs.is_some())?;
    }
    match &new.outlet {
        Some(text) => place_outlet(&mut plan, &opened, text, new)?,
        None if new.low_water.is_some() || new.channel_bottom.is_some() => {
            return Err(CliError::Argument(
                "--low-water and --channel-bottom belong to an outlet; give --outlet E,N,INVERT too".into(),
            ));
        }
        None => say(
            "Outlet: none given; every line will be found to go nowhere until there is one. Layouts that are proposed place one where a \
             ditch is deep enough",
        ),
    }
    let _lock = super::open::lock(&new.output)?;
    exchange::save_plan_over(&plan, &new.output).map_err(|error| CliError::file(&new.output, error))?;
    say(format_args!("Plan: {}", new.output.display()));
    Ok(ExitCode::SUCCESS)
}

/// The plan of a dossier with what lies beside it; what is damaged is told.
fn from_dossier(new: &New, folder: &Path) -> Result<ExitCode, CliError> {
    let reopened = dossier::read(folder).map_err(|error| CliError::file(folder, error))?;
    let real = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    if real(&job::chosen::home(&new.output)).starts_with(real(folder)) {
        let why = format!("{}: found the dossier's own folder, expected another for the plan", new.output.display());
        return Err(CliError::Argument(why));
    }
    let _lock = super::open::lock(&new.output)?;
    let at = |error| CliError::file(&new.output, error);
    dossier::lay_beside(&reopened, &new.output, new.over.replace).map_err(at)?;
    exchange::save_plan_over(&reopened.plan, &new.output).map_err(at)?;
    reopened.told.iter().for_each(|words| super::complain(format_args!("{}: {words}", folder.display())));
    say(match reopened.told.len() {
        0 => "Dossier: every file is as it was written".into(),
        count => format!(
            "Dossier: {} to be seen to, told above; the plan itself is whole",
            measure::how_many(count, "thing")
        ),
    });
    say(format_args!("Plan: {}", new.output.display()));
    Ok(ExitCode::SUCCESS)
}

/// The files that the plan is made from.
fn inputs(new: &New) -> Vec<PathBuf> {
    let batches =
        new.batch.iter().filter_map(|text| text.rsplit_once('=')).map(|(_, file)| PathBuf::from(file.trim()));
    let files = [new.ground.as_ref(), new.lidar.as_ref(), new.field.as_ref()];
    files.into_iter().flatten().cloned().chain(batches).collect()
}

/// The unit of coordinates is never assumed: it is asked for where the ground does not state it, and what is said is held
/// against what the ground states.
fn hold_unit(new: &New, opened: &Opened) -> Result<(), CliError> {
    let used = opened.crs.unit();
    match new.horizontal_unit {
        None if opened.lacks_unit() => Err(CliError::Argument(format!(
            "{}: found neither a coordinate system nor the unit of the coordinates; expected --horizontal-unit m, ft or \
                 us-ft, or --ground-crs with the code of the system",
            new.ground().display()
        ))),
        Some(said) if said != used => Err(CliError::Argument(format!(
            "--horizontal-unit: found {}, expected {}, in which {} counts",
            said.sign(),
            used.sign(),
            if opened.crs.is_local() { "the ground file" } else { opened.reference.crs.as_str() }
        ))),
        _ => Ok(()),
    }
}

/// Names lidar and batches beside the ground and tells how they stand.
fn lay_survey(plan: &mut Plan, opened: &Opened, new: &New) -> Result<(), CliError> {
    let mut book = plan.survey.clone();
    let lidar = new.lidar.iter().map(|file| ("", file.as_path()));
    let batches = new.batch.iter().map(|text| super::survey::pair("--batch", text, "BATCH=FILE"));
    let batches: Vec<(&str, &str)> = batches.collect::<Result<_, _>>()?;
    for (batch, file) in lidar.chain(batches.iter().map(|(batch, file)| (*batch, Path::new(file)))) {
        let notes = super::survey::add_file(&mut book, plan.ground.as_ref(), (batch, file), &new.output)?;
        notes.iter().for_each(say);
    }
    plan.apply(&plan::set_survey("Note what is known of the survey", book))?;
    let reread = if plan.survey.files.is_empty() { None } else { Some(super::survey::reread(plan, &new.output)?) };
    let land = reread.as_ref().unwrap_or(&opened.land).corrected_by(&plan.survey);
    land.survey.iter().for_each(|survey| super::survey::standing(plan, survey).iter().for_each(say));
    Ok(())
}

fn job_name(new: &New) -> String {
    let stem = new.output.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let name = new.name.clone().or(stem).unwrap_or_else(|| "Unnamed".into());
    measure::plain(&name).into_owned()
}

fn units(new: &New, reference: &GroundRef) -> Units {
    match new.units.as_deref() {
        Some("metric") => Units::Metric,
        Some(_) if reference.horizontal_unit == LengthUnit::SurveyFoot => Units::SurveyFeet,
        Some(_) => Units::Feet,
        None => Units::of(reference.vertical_unit),
    }
}

fn tell_ground(plan: &Plan, opened: &Opened) {
    let units = plan.title.units;
    let Some(grid) = opened.land.grid() else { return };
    let across = opened.crs.unit();
    let (cell_x_m, cell_y_m) = grid.cell_m();
    let side = |side_m: f64| measure::round_half_up(side_m / across.metres(), 3);
    say(format_args!(
        "Ground: {} × {} cells of {} × {} {}, {}, coordinates in {}, levels in {}, relief {}",
        grid.cols(),
        grid.rows(),
        side(cell_x_m),
        side(cell_y_m),
        across.sign(),
        opened.crs.words(),
        across.words(),
        opened.reference.vertical_unit.words(),
        units.depth(opened.land.relief_m()),
    ));
    super::say_notes(&opened.land);
}

fn lay_field(plan: &mut Plan, opened: &Opened, path: &Path, own_numbers: bool) -> Result<(), CliError> {
    let Some(ground) = opened.land.ground.as_deref() else { return Ok(()) };
    let read = ground::read_field(path, (ground, &opened.crs), own_numbers);
    let (field, notes) = read.map_err(|error| CliError::file(path, error))?;
    notes.iter().for_each(|note| say(format_args!("Field: {note}")));
    plan.apply(&Edit::one("Draw the boundary", Change::Field(Some(field))))?;
    let area_m2 = takeoff::totals(plan, &design::Design::default()).field_area_m2.unwrap_or(0.0);
    say(format_args!("Field: {}", plan.title.units.area(area_m2)));
    Ok(())
}

fn place_outlet(plan: &mut Plan, opened: &Opened, text: &str, new: &New) -> Result<(), CliError> {
    let wrong = || {
        CliError::Argument(format!("--outlet: found '{text}', expected easting, northing and invert as E,N,INVERT"))
    };
    let [x, y, invert]: [f64; 3] = super::numbers(text).ok_or_else(wrong)?;
    let across = opened.crs.unit().metres();
    let up = opened.reference.vertical_unit.metres();
    let at = Point::new(x * across, y * across);
    let outlet = Outlet {
        low_water_m: new.low_water.map(|level| level * up),
        channel_bottom_m: new.channel_bottom.map(|level| level * up),
        ..plan.new_outlet("O1", at, invert * up)
    };
    plan.apply(&plan::place_outlet(plan, outlet).1)?;
    let units = plan.title.units;
    let ground = match opened.land.ground.as_ref().and_then(|ground| ground.elevation(at)) {
        Some(level_m) => format!("ground there {}", units.level(level_m)),
        None => "no ground there".into(),
    };
    say(format_args!("Outlet: O1, invert {} {}, {ground}", units.level(invert * up), units.sign()));
    Ok(())
}
