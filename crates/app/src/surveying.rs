//! The survey under a plan: shots and lidar as they were read, the ground they make once corrected, and how they stand
//! against each other in words.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use checks::{Against, Finding, LeftOut, Surveyed};
use exchange::{Crs, FileError, RawShot, ReadOptions, Surface};
use measure::{FOOT_M, LengthUnit, Point, Units};
use plan::{GroundRef, Remedy, SurveyBook, SurveyFile, signed_level};
use terrain::{Batch, FieldBook, Grid, Ground, Shot, ShotIndex, SurfaceOptions, Survey, SurveyShot};

use crate::chosen;
use crate::demo;
use crate::land::{name_kept, threads};

/// Beyond so many shots a file is a point cloud: it makes ground, but no batch (own choice; see the checks).
const MOST_BOOKED: usize = 100_000;
/// Lidar stands in where no shot lies within this, metres: 50 ft ([judgement]).
const FILL_BEYOND_M: f64 = 50.0 * FOOT_M;
/// Spacing of the lidar's levels where it stands in, metres: 25 ft, half as much (own choice).
const FILL_SPACING_M: f64 = 25.0 * FOOT_M;

/// What was measured, as it was read.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    /// Shots by batch.
    pub book: FieldBook,
    /// What should be told of the files.
    pub notes: Vec<String>,
    /// Files that the plan names and that could not be read.
    pub left_out: Vec<LeftOut>,
    /// Lidar beside ground that comes from shots, or the ground's own before it was shifted.
    pub lidar: Option<Arc<Grid>>,
    /// Shots of point clouds.
    cloud: Vec<Shot>,
    break_lines: Vec<Vec<Shot>>,
    files: Vec<SurveyFile>,
}

impl Sources {
    /// Takes the surface of the ground's file and reads the files beside it; what cannot be read is told. A grid is given back.
    pub fn read(
        &mut self,
        surface: Surface,
        reference: &GroundRef,
        book: &SurveyBook,
        folder: Option<&Path>,
    ) -> Option<Grid> {
        self.files.clone_from(&book.files);
        let own = Named { batch: stem(&reference.file), file: &reference.file, unit: reference.vertical_unit };
        let grid = self.take(surface, &own, &reference.datum);
        for file in &book.files {
            match read_file(file, reference, folder) {
                Ok(read) => {
                    let batch = if file.batch.is_empty() { stem(&file.file) } else { file.batch.clone() };
                    let named = Named { batch, file: &file.file, unit: file.vertical_unit };
                    match self.take(read.surface, &named, read.datum.as_deref().unwrap_or_default()) {
                        Some(_) if grid.is_some() => {
                            self.notes
                                .push(format!("{} is left out: the ground itself comes from a grid", file.file));
                        }
                        lidar => self.lidar = lidar.map(Arc::new).or(self.lidar.take()),
                    }
                }
                Err(error) => {
                    self.notes.push(format!("{} is left out: {error}", file.file));
                    self.left_out
                        .push(LeftOut { file: crate::land::bare_name(&file.file).into(), why: error.to_string() });
                }
            }
        }
        grid
    }

    /// Books the shots of a surface; a grid is given back.
    fn take(&mut self, surface: Surface, named: &Named, datum: &str) -> Option<Grid> {
        let shots = match surface {
            Surface::Grid(grid) => return Some(grid),
            Surface::Shots(shots) => shots,
            Surface::Survey { shots, lines } => {
                self.break_lines.extend(lines);
                shots
            }
        };
        if shots.len() > MOST_BOOKED {
            self.notes.push(format!(
                "{}: {} points are taken as a point cloud, not shot by shot",
                named.file,
                shots.len()
            ));
            self.cloud.extend(shots.iter().map(|shot| Shot { at: shot.at, level_m: shot.level_m }));
        } else {
            self.book_batches(&shots, named, datum);
        }
        None
    }

    fn book_batches(&mut self, shots: &[RawShot], named: &Named, datum: &str) {
        let mut order: Vec<&str> = Vec::new();
        let mut batches: BTreeMap<&str, Vec<SurveyShot>> = BTreeMap::new();
        for raw in shots {
            let name = raw.batch.as_deref().unwrap_or(&named.batch);
            let batch = batches.entry(name).or_insert_with(|| {
                order.push(name);
                Vec::new()
            });
            batch.push(SurveyShot {
                name: raw.name.clone().unwrap_or_else(|| format!("row {}", raw.line)),
                code: raw.code.clone().unwrap_or_default(),
                batch: 0,
                row: raw.line,
                shot: Shot { at: raw.at, level_m: raw.level_m },
            });
        }
        for name in order {
            let batch = Batch {
                name: name.to_string(),
                file: named.file.to_string(),
                unit: named.unit,
                datum: datum.to_string(),
                date: None,
            };
            self.book.add(batch, batches.remove(name).unwrap_or_default());
        }
    }

    /// The ground that the survey makes once it is corrected, and how the survey stands; `grid` is the ground's own
    /// where it comes from a grid.
    pub fn lay(&mut self, grid: Option<Grid>, corrections: &SurveyBook) -> Result<(Ground, Surveyed), FileError> {
        let shift_m = design::lidar_shift_m(corrections);
        let surveyed = Surveyed::of(&self.book, corrections, grid.as_ref().or(self.lidar.as_deref()));
        let ground = match grid {
            Some(grid) if shift_m == 0.0 => Ground::from_grid(grid),
            Some(grid) => {
                let raised = raised(&grid, shift_m)?;
                self.lidar = Some(Arc::new(grid));
                Ground::from_grid(raised)
            }
            None => self.triangulate(&surveyed, shift_m)?,
        };
        Ok((ground, surveyed))
    }

    /// Corrected shots, and lidar where there are none once it agrees with them.
    fn triangulate(&self, surveyed: &Surveyed, shift_m: f64) -> Result<Ground, FileError> {
        let mut shots: Vec<Shot> = surveyed.shots.iter().chain(&self.cloud).copied().collect();
        if let Some(lidar) = self.lidar.as_deref().filter(|_| surveyed.lidar_is_trusted()) {
            shots.extend(fill(lidar, shift_m, &shots));
        }
        let survey = Survey { shots, break_lines: self.break_lines.clone() };
        Ground::from_survey(survey, &SurfaceOptions { threads: threads(), ..SurfaceOptions::default() }).map_err(
            |error| FileError::Malformed {
                place: "the survey points".into(),
                found: error.to_string(),
                expected: "points that make a surface".into(),
            },
        )
    }

    /// True where these are the files that the book names.
    pub fn are_of(&self, book: &SurveyBook) -> bool {
        self.files == book.files
    }
}

/// How the shots of a file are called.
struct Named<'a> {
    batch: String,
    file: &'a str,
    unit: LengthUnit,
}

fn stem(file: &str) -> String {
    let stem = Path::new(file).file_stem().map_or_else(|| file.into(), |stem| stem.to_string_lossy());
    measure::plain(&stem).into_owned()
}

fn read_file(
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

fn raised(grid: &Grid, by_m: f64) -> Result<Grid, FileError> {
    let levels = grid.levels().iter().map(|level| (f64::from(*level) + by_m) as f32).collect();
    let (low, high) = grid.extent();
    Grid::new((grid.cols(), grid.rows()), (low.x, high.y), grid.cell_m(), levels).map_err(|error| {
        FileError::Malformed { place: "the lidar".into(), found: error.to_string(), expected: "a grid".into() }
    })
}

/// Levels of the lidar over the shots' rectangle wherever no shot is near.
fn fill(lidar: &Grid, shift_m: f64, shots: &[Shot]) -> Vec<Shot> {
    let index = ShotIndex::of(shots, |_| true);
    let edge = |pick: fn(&Shot) -> f64, choose: fn(f64, f64) -> f64| shots.iter().map(pick).reduce(choose);
    let corners = edge(|s| s.at.x, f64::min).zip(edge(|s| s.at.y, f64::min));
    let far = edge(|s| s.at.x, f64::max).zip(edge(|s| s.at.y, f64::max));
    let Some(((west, south), (east, north))) = corners.zip(far) else { return Vec::new() };
    let steps = |length_m: f64| (length_m / FILL_SPACING_M).ceil().max(1.0) as usize;
    let (cols, rows) = (steps(east - west), steps(north - south));
    let along = |from: f64, to: f64, i: usize, count: usize| from + (to - from) * i as f64 / count as f64;
    let places = (0..=rows).flat_map(|row| (0..=cols).map(move |col| (col, row)));
    places
        .map(|(col, row)| Point::new(along(west, east, col, cols), along(south, north, row, rows)))
        .filter(|at| index.within(*at, FILL_BEYOND_M).is_empty())
        .filter_map(|at| Some(Shot { at, level_m: lidar.elevation(at)? + shift_m }))
        .collect()
}

/// A batch as card, command line and files show it.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchRow {
    /// Its name.
    pub name: String,
    /// Shots that count.
    pub shots: usize,
    /// Unit of its levels.
    pub unit: LengthUnit,
    /// Its datum; empty where nobody says.
    pub datum: String,
    /// The day it was taken.
    pub date: Option<String>,
    /// Shots that stick out.
    pub outliers: usize,
    /// How it sits on lidar or on the others.
    pub offset: Option<checks::Offset>,
}

/// The batches with what is known of them.
pub fn batch_rows(surveyed: &Surveyed) -> Vec<BatchRow> {
    let rows = surveyed.book.batches.iter().enumerate().map(|(i, batch)| BatchRow {
        name: batch.name.clone(),
        shots: surveyed.book.of_batch(i).count(),
        unit: batch.unit,
        datum: batch.datum.clone(),
        date: batch.date.clone(),
        outliers: surveyed.outliers.iter().filter(|outlier| surveyed.book.shots[outlier.index].batch == i).count(),
        offset: surveyed.offsets.iter().find(|offset| offset.batch == i).copied(),
    });
    rows.collect()
}

impl BatchRow {
    /// The row in words, without its name.
    pub fn words(&self, units: Units) -> String {
        let shots = measure::how_many(self.shots, "shot");
        let datum = if self.datum.is_empty() { "datum not stated".into() } else { self.datum.clone() };
        let date = self.date.as_ref().map(|date| format!(", taken {date}")).unwrap_or_default();
        let outliers = match self.outliers {
            0 => String::new(),
            1 => ", 1 sticks out".into(),
            n => format!(", {n} stick out"),
        };
        let offset = self.offset.map(|offset| format!(", {}", offset_words(&offset, units))).unwrap_or_default();
        format!("{shots} in {}, {datum}{date}{outliers}{offset}", self.unit.words())
    }
}

/// How a batch sits: "+0.31 ft on the lidar, scatter 0.18 ft, 10 shots".
pub fn offset_words(offset: &checks::Offset, units: Units) -> String {
    let what = match offset.against {
        Against::Lidar => "the lidar",
        Against::OtherBatches => "the other batches",
    };
    let agreement = offset.agreement;
    format!(
        "{} on {what} (scatter {}, {} shots)",
        signed_level(agreement.mean_m, units),
        units.amount(agreement.scatter_m()),
        agreement.count
    )
}

/// The error of the surface in words.
pub fn error_words(surveyed: &Surveyed, units: Units) -> Option<String> {
    Some(match surveyed.error? {
        checks::SurfaceError::Measured(error_m) => format!("{}, from levels on the lidar", units.amount(error_m)),
        checks::SurfaceError::Unverified(error_m) => {
            format!("{}, assumed: no levels were held against the lidar", units.amount(error_m))
        }
    })
}

/// Findings about the survey: checks 99 to 108.
pub fn findings(list: &[Finding]) -> impl Iterator<Item = &Finding> {
    list.iter().filter(|finding| (99..=108).contains(&finding.check))
}

/// Leaves out every shot that disagrees with one in its place, which holds.
pub fn hold(surveyed: &Surveyed, holds: usize) -> Vec<Remedy> {
    let other = |(a, b, _): &(usize, usize, f64)| match (*a == holds, *b == holds) {
        (true, _) => Some(*b),
        (_, true) => Some(*a),
        _ => None,
    };
    let others = surveyed.pairs.iter().filter_map(other);
    others.map(|index| Remedy::LeaveOut { shot: surveyed.shot_name(index) }).collect()
}
