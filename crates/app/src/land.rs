//! The land: the ground of the plan and all that is worked out from it alone.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use checks::Surveyed;
use exchange::{Ask, Columns, Crs, FileError, GroundFile, ReadOptions};
use measure::{LengthUnit, Point};
use plan::{Field, GroundRef, Plan, SurveyBook};
use terrain::{Contour, Grid, Ground, Hole};

use crate::chosen;
use crate::demo;
use crate::jobs::Progress;
use crate::runoff::Runoff;
use crate::surveying::Sources;

/// Ground, its relief and its runoff. Made once, read by everything.
#[derive(Debug)]
pub struct Land {
    /// The surface.
    pub ground: Ground,
    /// Where water goes on it while no ditch or culvert is drawn.
    pub runoff: Arc<Runoff>,
    /// Shade of every cell, 1 to 255; 0 where there is no ground.
    pub shade: Vec<u8>,
    /// Contours at the interval that suits the relief in the ground's own unit.
    contours: Arc<Contours>,
    /// Highest less lowest ground, metres.
    relief_m: f64,
    /// Coordinate system.
    pub crs: Crs,
    /// The system that the ground's file states, where the plan has another for it.
    pub other_system: Option<String>,
    /// Where the survey leaves the ground unknown.
    pub holes: Vec<Hole>,
    /// What was assumed or looks wrong in the file.
    pub notes: Vec<String>,
    /// Shots and lidar as they were read.
    pub sources: Sources,
    /// The survey the ground was laid with, and how it stands.
    laid: (SurveyBook, Arc<Surveyed>),
}

/// Contours at one interval.
#[derive(Debug)]
pub struct Contours {
    /// Difference between two levels, metres.
    pub interval_m: f64,
    /// The contours.
    pub lines: Vec<Contour>,
    /// All their lengths together, metres.
    pub length_m: f64,
}

impl Land {
    /// Works out everything from a surface, step by step; `unit` is that of its levels. An error when it was given up.
    pub fn of(
        ground: Ground,
        crs: Crs,
        notes: Vec<String>,
        unit: LengthUnit,
        progress: &Progress,
    ) -> Result<Self, FileError> {
        let runoff = Arc::new(Runoff::of(ground.grid(), progress)?);
        progress.step("contours")?;
        let relief_m = relief_m(ground.grid());
        let interval_m = terrain::interval_for(relief_m, unit.metres());
        let contours = Arc::new(Contours::of(&ground, interval_m));
        progress.step("shading")?;
        // Light from the north-west at 45°, as maps have it; soft ground needs its relief drawn larger to be seen.
        let shade = terrain::hillshade(ground.grid(), 315.0, 45.0, 4.0, threads());
        let (sources, book) = (Sources::default(), SurveyBook::default());
        let surveyed = Surveyed::of(&sources.book, &book, Some(ground.grid()));
        let (holes, laid) = (ground.holes(), (book, Arc::new(surveyed)));
        let other_system = None;
        Ok(Self { ground, runoff, shade, contours, relief_m, crs, other_system, holes, notes, sources, laid })
    }

    /// Lays the corrected ground of sources; `grid` is the ground's own where it comes from a grid.
    fn lay(
        mut sources: Sources,
        grid: Option<Grid>,
        (crs, unit): (Crs, LengthUnit),
        book: &SurveyBook,
        progress: &Progress,
    ) -> Result<Self, FileError> {
        progress.step("surface")?;
        let (ground, surveyed) = sources.lay(grid, book)?;
        let land = Self::of(ground, crs, sources.notes.clone(), unit, progress)?;
        let notes = land.notes.iter().cloned().chain(survey_notes(&land)).collect();
        Ok(Self { sources, notes, laid: (book.clone(), Arc::new(surveyed)), ..land })
    }

    /// The same land under other corrections.
    pub fn relaid(&self, book: &SurveyBook, progress: &Progress) -> Result<Self, FileError> {
        let grid = self.lidar().filter(|_| self.ground.tin().is_none()).cloned();
        let land = Self::lay(self.sources.clone(), grid, (self.crs.clone(), self.crs.unit()), book, progress)?;
        Ok(Self { other_system: self.other_system.clone(), ..land })
    }

    /// True while this is the land that the survey's files and corrections make.
    pub fn fits(&self, book: &SurveyBook) -> bool {
        let (laid, _) = &self.laid;
        let remedies = |book: &SurveyBook| book.corrections.iter().map(|c| c.what.clone()).collect::<Vec<_>>();
        let same_ground = if self.ground.tin().is_some() {
            remedies(laid) == remedies(book)
        } else {
            design::lidar_shift_m(laid) == design::lidar_shift_m(book)
        };
        self.sources.are_of(book) && same_ground
    }

    /// The lidar as it was read: beside the shots, or the ground itself.
    pub fn lidar(&self) -> Option<&Grid> {
        let own = self.ground.tin().is_none().then(|| self.ground.grid());
        self.sources.lidar.as_deref().or(own)
    }

    /// How the survey stands after the corrections of a plan.
    pub fn surveyed(&self, book: &SurveyBook) -> Arc<Surveyed> {
        let (laid, surveyed) = &self.laid;
        if laid == book {
            return surveyed.clone();
        }
        Arc::new(Surveyed::of(&self.sources.book, book, self.lidar()))
    }

    /// Contours at an interval; a sensible one for the relief where none is given.
    pub fn contours(&self, interval_m: Option<f64>, unit: LengthUnit) -> Arc<Contours> {
        let interval_m = interval_m.unwrap_or_else(|| terrain::interval_for(self.relief_m, unit.metres()));
        if self.contours.interval_m == interval_m {
            return self.contours.clone();
        }
        Arc::new(Contours::of(&self.ground, interval_m))
    }

    /// Where water goes with the ditches and culverts of a plan; the former answer on the same
    /// land where it still holds.
    pub fn runoff_of(&self, plan: &Plan, former: Option<&Arc<Runoff>>) -> Arc<Runoff> {
        let known = former.into_iter().chain([&self.runoff]);
        let mut fitting = known.filter(|runoff| runoff.honours(plan.watercourses.values()));
        fitting.next().cloned().unwrap_or_else(|| Arc::new(self.runoff.with(self.ground.grid(), plan)))
    }

    /// The coordinate system, where it is a named one.
    pub fn named_crs(&self) -> Option<&Crs> {
        Some(&self.crs).filter(|crs| !crs.is_local())
    }

    /// A place in the numbers of the plane: "451200.5, 4640310.2".
    fn numbers(&self, at: Point) -> String {
        let unit = self.crs.unit();
        format!("{}, {}", unit.figure(at.x, 1), unit.figure(at.y, 1))
    }

    /// Reads the one polygon of a GeoJSON, KML or shapefile as the field, with what should be told of it. A boundary
    /// that does not touch the ground is refused.
    pub fn read_field(&self, path: &Path, own_numbers: bool) -> Result<(Field, Vec<String>), FileError> {
        let boundary = exchange::read_boundary_file(path, Some(&self.crs), own_numbers)?;
        let mut notes = boundary.notes;
        let field = Field::of_rings(boundary.rings).ok_or_else(|| FileError::Malformed {
            place: "the boundary".into(),
            found: "no ring".into(),
            expected: "one polygon".into(),
        })?;
        let (low, high) = self.ground.grid().extent();
        let is_off = |p: &&Point| p.x < low.x || p.x > high.x || p.y < low.y || p.y > high.y;
        let off = field.ring.iter().filter(is_off).count();
        if off == field.ring.len() {
            let first = field.ring[0];
            return Err(FileError::Malformed {
                place: "the boundary does not overlap the ground".into(),
                found: format!("its first corner at {}", self.numbers(first)),
                expected: format!(
                    "it between {} and {} ({})",
                    self.numbers(low),
                    self.numbers(high),
                    self.crs.unit().words()
                ),
            });
        }
        if off > 0 {
            notes.push(format!("{off} of {} corners lie outside the ground", field.ring.len()));
        }
        Ok((field, notes))
    }

    /// Highest less lowest ground, metres.
    pub fn relief_m(&self) -> f64 {
        self.relief_m
    }
}

impl Contours {
    fn of(ground: &Ground, interval_m: f64) -> Self {
        let lines = terrain::contours(ground.grid(), interval_m, threads());
        let length_m = lines.iter().map(|line| measure::path_length(&line.points)).sum();
        Self { interval_m, lines, length_m }
    }
}

fn relief_m(grid: &Grid) -> f64 {
    let levels = grid.levels().iter().filter(|level| level.is_finite());
    let (low, high) = levels.fold((f32::MAX, f32::MIN), |(low, high), z| (low.min(*z), high.max(*z)));
    (high - low).max(0.0) as f64
}

/// Threads that work on the ground.
pub fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

/// What was read of a ground file: the land, how it is named in the plan, and what a person should still answer.
#[derive(Debug)]
pub struct Opened {
    /// The land.
    pub land: Land,
    /// How the plan names it.
    pub reference: GroundRef,
    /// What the file leaves open.
    pub asks: Vec<Ask>,
}

impl Opened {
    /// True where the ground is local and nobody has said in what unit its coordinates are.
    pub fn lacks_unit(&self) -> bool {
        self.land.crs.is_local() && self.asks.contains(&Ask::HorizontalUnit)
    }
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

/// Lays a land anew for a survey; files are read again only where others are named.
pub fn relay(land: &Land, reference: &GroundRef, book: &SurveyBook, progress: &Progress) -> Result<Land, FileError> {
    if land.sources.are_of(book) {
        land.relaid(book, progress)
    } else {
        open_surveyed(reference, None, book, progress)
    }
}

/// What it does that the ground is not there.
pub const WITHOUT_GROUND: &str = "Without the ground depth, cover, swales and the land that drains are not known, and no level but \
     those that are fixed; nothing worked out so is kept in the plan.";

/// A file's name without its folders, as it may stand on what leaves this machine.
pub fn bare_name(file: &str) -> &str {
    file.rsplit(['/', '\\']).find(|part| !part.is_empty()).unwrap_or(file)
}

/// What it does that levels are left out.
pub const WITHOUT_LEVELS: &str =
    "Without these levels the ground is another than the plan's; nothing worked out so is kept in the plan.";

/// Reads the ground of a plan with the survey's files and corrections; `None` where the plan names none.
pub fn open_plan(plan: &Plan, folder: Option<&Path>, progress: &Progress) -> Result<Option<Land>, FileError> {
    plan.ground.as_ref().map(|reference| open_surveyed(reference, folder, &plan.survey, progress)).transpose()
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
    let is_named =
        |file: &GroundFile| file.crs.as_ref().map_or_else(|| Crs::local().name(), Crs::name) == reference.crs;
    if let Some(file) = read(&own).ok().filter(is_named) {
        return Ok(settle(path, file, &own, (book, folder), progress)?.land);
    }
    let told = ReadOptions { crs: Some(named_crs(reference)?).filter(|crs| !crs.is_local()), ..own };
    let file = read(&told)?;
    let stated = file.overruled.as_ref().or(file.crs.as_ref()).map(Crs::name);
    let other_system = stated.filter(|stated| *stated != reference.crs);
    Ok(Land { other_system, ..settle(path, file, &told, (book, folder), progress)?.land })
}

/// The plane on which a plan's places lie: that of its ground; without ground the plan's own unit.
pub fn plane(plan: &Plan) -> Crs {
    let own = Crs::local_in(plan.title.units.length_unit());
    let named =
        plan.ground.as_ref().map(|ground| Crs::of_ground(ground).unwrap_or(Crs::local_in(ground.horizontal_unit)));
    named.unwrap_or(own)
}

fn named_crs(reference: &GroundRef) -> Result<Crs, FileError> {
    Crs::parse(&reference.crs).map_err(|error| FileError::Malformed {
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
    };
    let mut sources = Sources::default();
    sources.notes.append(&mut file.notes);
    let grid = sources.read(file.surface, &reference, book, folder);
    let land = Land::lay(sources, grid, (crs, reference.vertical_unit), book, progress)?;
    Ok(Opened { land, reference, asks: file.asks })
}

/// What a person should know of the surface over a survey.
fn survey_notes(land: &Land) -> Vec<String> {
    let Some(tin) = land.ground.tin() else { return Vec::new() };
    let (holes, crossings, lost) = (land.holes.len(), tin.crossings().len(), tin.lost_segments());
    let percent = 100.0 * tin.covered_share();
    let notes = [
        (
            holes,
            format!(
                "the survey has gaps: {percent:.0} % of the land within its outline is near enough to a point to be ground"
            ),
        ),
        (
            crossings,
            format!(
                "break lines cross at {}; the mean of both levels holds there",
                measure::how_many(crossings, "place")
            ),
        ),
        (lost, format!("{} of break lines could not be held", measure::how_many(lost, "segment"))),
    ];
    notes.into_iter().filter(|(count, _)| *count > 0).map(|(_, note)| note).collect()
}
