//! The ground of a plan, read from the files that the plan names.

use std::path::{Path, PathBuf};

use exchange::{Ask, Columns, Crs, FileError, GroundFile, ReadOptions};
use land::{Land, Sources};
use measure::{LengthUnit, Point};
use plan::{Field, GroundRef, Plan, SurveyBook, SurveyFile};
use terrain::Ground;

use crate::{Progress, chosen, demo};

/// Threads that work on the ground.
pub fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

/// What was read of a ground file: the land, how it is named in the plan, and what a person should still answer.
#[derive(Debug)]
pub struct Opened {
    /// The land.
    pub land: Land,
    /// The plane it lies on.
    pub crs: Crs,
    /// How the plan names it.
    pub reference: GroundRef,
    /// What the file leaves open.
    pub asks: Vec<Ask>,
}

impl Opened {
    /// How the system of this ground is another than that of a plan on which something is drawn already; `None` where places of
    /// the plan lie on it as they are.
    pub fn other_system(&self, plan: &Plan) -> Option<OtherSystem> {
        let drawn = !(plan.lines.is_empty() && plan.outlets.is_empty() && plan.field.is_none());
        let before = plan.ground.as_ref().filter(|_| drawn)?;
        let own = Crs::of_ground(before).ok().filter(|own| *own != self.crs)?;
        let grid = self.land.grid()?;
        let middle = grid.place(grid.cols() as f64 / 2.0, grid.rows() as f64 / 2.0);
        let way = self.crs.to_lon_lat(middle).and_then(|(lon, lat)| own.from_lon_lat(lon, lat));
        let into = way.ok().map(|_| own.clone());
        Some(OtherSystem { plan: system_words(&own), ground: system_words(&self.crs), into })
    }

    /// True where the ground is local and nobody has said in what unit its coordinates are.
    pub fn lacks_unit(&self) -> bool {
        self.crs.is_local() && self.asks.contains(&Ask::HorizontalUnit)
    }
}

/// A ground and a plan in different coordinate systems.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherSystem {
    /// The plan's, in words.
    pub plan: String,
    /// The ground's, in words.
    pub ground: String,
    /// The plan's, where the ground can be brought into it.
    pub into: Option<Crs>,
}

/// "WGS 84 / UTM zone 31N (EPSG:32631), in metres".
fn system_words(crs: &Crs) -> String {
    format!("{}, in {}", crs.words(), crs.unit().words())
}

/// Reads a ground file that a person chose, with what the caller knows better than the file.
pub fn read(path: &Path, options: &ReadOptions, progress: &Progress) -> Result<Opened, FileError> {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let file = read_file(path, options, progress)?;
    let name = name_kept(&whole).or_else(|_| name_kept(path))?;
    let mut opened = settle(whole, file, options, (&SurveyBook::default(), None), progress)?;
    opened.reference.file = name;
    chosen::remember(path);
    Ok(opened)
}

fn read_file(path: &Path, options: &ReadOptions, progress: &Progress) -> Result<GroundFile, FileError> {
    progress.step("reading")?;
    progress.watch(threads(), |effort| exchange::read_ground_with(path, options, effort))
}

/// Lays land anew for a survey; files are read again only where others are named.
pub fn relay(land: &Land, reference: &GroundRef, book: &SurveyBook, progress: &Progress) -> Result<Land, FileError> {
    if land.is_of_files(book) {
        progress.lay(threads(), |laying| land.relaid(book, laying))
    } else {
        open_surveyed(reference, None, book, progress)
    }
}

/// What it does that the ground is not there.
pub const WITHOUT_GROUND: &str = "Without the ground depth, cover, swales and the land that drains are not known, and no level but \
     those that are fixed; nothing worked out so is kept in the plan.";

/// What it does that levels are left out.
pub const WITHOUT_LEVELS: &str =
    "Without these levels the ground is another than the plan's; nothing worked out so is kept in the plan.";

/// Reads the ground of a plan with the survey's files and corrections; land without ground where the plan names none.
pub fn open_plan(plan: &Plan, folder: Option<&Path>, progress: &Progress) -> Result<Land, FileError> {
    match &plan.ground {
        Some(reference) => open_surveyed(reference, folder, &plan.survey, progress),
        None => Ok(Land::without_ground()),
    }
}

/// Reads the ground a plan names with the files and corrections of a survey beside it; `folder` is where the plan file
/// lies.
pub fn open_surveyed(
    reference: &GroundRef,
    folder: Option<&Path>,
    book: &SurveyBook,
    progress: &Progress,
) -> Result<Land, FileError> {
    let path = chosen::may_read(&reference.file, folder)?;
    let read = |options: &ReadOptions| match demo::ground_bytes(&reference.file) {
        Some(bytes) if !path.exists() => exchange::read_ascii_grid(bytes, options),
        _ => read_file(&path, options, progress),
    };
    // What the file says of itself comes first: a grid in degrees was moved to the system the plan names.
    let own = options_of(reference, &path);
    let named = |crs: Option<&Crs>| crs.map_or_else(|| Crs::local().name(), Crs::name);
    let is_named = |file: &GroundFile| {
        named(file.crs.as_ref()) == reference.crs
            && file.brought_from.as_ref().map(Crs::name) == reference.brought_from
    };
    if let Some(file) = read(&own).ok().filter(is_named) {
        return Ok(settle(path, file, &own, (book, folder), progress)?.land);
    }
    let of_file = reference.brought_from.as_ref().unwrap_or(&reference.crs);
    let told = ReadOptions { crs: Some(crs_named(of_file)?).filter(|crs| !crs.is_local()), ..own };
    let file = read(&told)?;
    let used = file.brought_from.as_ref().or(file.crs.as_ref());
    let stated = file.overruled.as_ref().or(used).map(Crs::name);
    let other_system = stated.filter(|stated| stated != of_file);
    Ok(Land { other_system, ..settle(path, file, &told, (book, folder), progress)?.land })
}

/// The plane on which a plan's places lie: that of its ground; without ground the plan's own unit.
pub fn plane(plan: &Plan) -> Crs {
    let own = Crs::local_in(plan.title.units.length_unit());
    let named =
        plan.ground.as_ref().map(|ground| Crs::of_ground(ground).unwrap_or(Crs::local_in(ground.horizontal_unit)));
    named.unwrap_or(own)
}

fn crs_named(name: &str) -> Result<Crs, FileError> {
    Crs::parse(name).map_err(|error| FileError::Malformed {
        place: "the plan's ground".into(),
        found: error.to_string(),
        expected: "a coordinate system".into(),
    })
}

/// Chosen columns of a point file; whether its first line names them is seen in the file itself.
pub fn columns(path: &Path, [x, y, z]: [usize; 3]) -> Columns {
    let guess = exchange::read_bytes(path).ok().and_then(|bytes| exchange::guess_columns(&bytes).ok());
    let Some(Columns { name, code, batch, header, .. }) = guess.map(|guess| guess.columns) else {
        return Columns { x, y, z, name: None, code: None, batch: None, header: false };
    };
    // A column that was chosen for a figure names nothing.
    let free = |column: Option<usize>| column.filter(|column| ![x, y, z].contains(column));
    Columns { x, y, z, name: free(name), code: free(code), batch: free(batch), header }
}

fn options_of(reference: &GroundRef, path: &Path) -> ReadOptions {
    ReadOptions {
        horizontal_unit: Some(reference.horizontal_unit),
        vertical_unit: Some(reference.vertical_unit),
        columns: reference.columns.map(|chosen| columns(path, chosen)),
        level_attribute: reference.level_attribute.clone(),
        crop_to: reference.part,
        into: reference.brought_from.as_ref().and_then(|_| Crs::parse(&reference.crs).ok()),
        ..read_options()
    }
}

/// Cells of a grid that are worked on at most: with water, shade and contours each takes some 25 bytes (own choice, about a
/// gigabyte in all).
pub const MOST_CELLS: u64 = 40_000_000;

/// A file's name as a plan keeps it, from which the file is found again: a plan is text, so that other bytes than those of
/// text cannot be kept.
pub fn name_kept(file: &Path) -> Result<String, FileError> {
    file.to_str().map(str::to_string).ok_or_else(|| FileError::Unsupported {
        found: format!("a file name that is no text (UTF-8), {}", file.display()),
        expected: "a name in letters: rename the file or its folder".into(),
    })
}

/// How ground is read where nothing else is known.
pub fn read_options() -> ReadOptions {
    ReadOptions { most_cells: MOST_CELLS, ..ReadOptions::default() }
}

fn settle(
    path: PathBuf,
    mut file: GroundFile,
    options: &ReadOptions,
    (book, folder): (&SurveyBook, Option<&Path>),
    progress: &Progress,
) -> Result<Opened, FileError> {
    let crs = file.crs.clone().unwrap_or(Crs::local_in(file.horizontal_unit));
    let reference = GroundRef {
        file: path.to_string_lossy().into_owned(),
        crs: crs.name(),
        // Degrees that were brought to a system in feet are numbers in feet from here on.
        horizontal_unit: crs.unit(),
        vertical_unit: options.vertical_unit.or(file.vertical_unit).unwrap_or(file.horizontal_unit),
        datum: file.datum.clone().unwrap_or_default(),
        columns: options.columns.as_ref().map(|columns| [columns.x, columns.y, columns.z]),
        level_attribute: options.level_attribute.clone(),
        part: options.crop_to,
        brought_from: file.brought_from.as_ref().map(Crs::name),
    };
    let mut sources = Sources::default();
    sources.notes.append(&mut file.notes);
    let grid = sources.take_own(file.surface, &reference, book);
    for beside in &book.files {
        match read_beside(beside, &reference, folder) {
            Ok(read) => sources.take_beside(beside, read.surface, &read.datum.unwrap_or_default(), grid.is_some()),
            Err(error) => sources.leave_out(beside, error.to_string()),
        }
    }
    let unit = reference.vertical_unit;
    let land = progress.lay(threads(), |laying| Land::lay(sources, grid, unit, book, laying))?;
    Ok(Opened { land, crs, reference, asks: file.asks })
}

/// Reads the one polygon of a GeoJSON, KML or shapefile as the field, with what should be told of it. A boundary that does
/// not touch the ground is refused.
pub fn read_field(
    path: &Path,
    (ground, crs): (&Ground, &Crs),
    own_numbers: bool,
) -> Result<(Field, Vec<String>), FileError> {
    let boundary = exchange::read_boundary_file(path, Some(crs), own_numbers)?;
    let mut notes = boundary.notes;
    let field = Field::of_rings(boundary.rings).ok_or_else(|| FileError::Malformed {
        place: "the boundary".into(),
        found: "no ring".into(),
        expected: "one polygon".into(),
    })?;
    let (low, high) = ground.grid().extent();
    let is_off = |p: &&Point| p.x < low.x || p.x > high.x || p.y < low.y || p.y > high.y;
    let off = field.ring.iter().filter(is_off).count();
    if off == field.ring.len() {
        let first = field.ring[0];
        return Err(FileError::Malformed {
            place: "the boundary does not overlap the ground".into(),
            found: format!("its first corner at {}", numbers(crs, first)),
            expected: format!("it between {} and {} ({})", numbers(crs, low), numbers(crs, high), crs.unit().words()),
        });
    }
    if off > 0 {
        notes.push(format!("{off} of {} corners lie outside the ground", field.ring.len()));
    }
    Ok((field, notes))
}

/// A place in the numbers of the plane: "203164.5, 96040.2".
fn numbers(crs: &Crs, at: Point) -> String {
    let unit = crs.unit();
    format!("{}, {}", unit.figure(at.x, 1), unit.figure(at.y, 1))
}

/// Reads a file of levels or lidar that a plan names beside its ground.
fn read_beside(
    file: &SurveyFile,
    reference: &GroundRef,
    folder: Option<&Path>,
) -> Result<exchange::GroundFile, FileError> {
    let path = chosen::may_read(&file.file, folder)?;
    let options = beside(reference, Some(file.vertical_unit));
    match demo::level_bytes(&file.file) {
        Some(bytes) if !path.exists() => exchange::read_points(bytes, &options),
        _ => exchange::read_ground(&path, &options),
    }
}

/// How a file beside the ground is read: in the ground's system, and though its shots alone may make no surface.
fn beside(reference: &GroundRef, vertical_unit: Option<LengthUnit>) -> ReadOptions {
    let crs = Crs::parse(&reference.crs).ok().filter(|crs| !crs.is_local());
    let horizontal_unit = Some(reference.horizontal_unit);
    ReadOptions { crs, horizontal_unit, vertical_unit, sparse: true, ..ReadOptions::default() }
}

/// A file of levels or lidar that a person chose, as the plan is to name it: in the unit it states, else in that of the ground. Answers what
/// should be told of it too.
pub fn name_file(path: &Path, batch: &str, reference: &GroundRef) -> Result<(SurveyFile, Vec<String>), FileError> {
    let read = exchange::read_ground(path, &beside(reference, None))?;
    chosen::remember(path);
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let file = SurveyFile {
        file: name_kept(&whole).or_else(|_| name_kept(path))?,
        batch: batch.to_string(),
        vertical_unit: read.vertical_unit.unwrap_or(reference.vertical_unit),
    };
    Ok((file, read.notes))
}
