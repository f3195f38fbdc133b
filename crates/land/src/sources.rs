//! What was measured, as it was read, and the ground it makes once it is corrected.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use measure::{FOOT_M, LengthUnit, Point};
use plan::{GroundRef, SurveyBook, SurveyFile};
use terrain::{
    Batch, FieldBook, Grid, Ground, RawShot, Shot, ShotIndex, Surface, SurfaceOptions, Survey, SurveyShot,
};

use crate::{LandError, LeftOut, Surveyed, lidar_shift_m};

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
    /// Takes the surface of the ground's own file; a grid is given back.
    pub fn take_own(&mut self, surface: Surface, reference: &GroundRef, book: &SurveyBook) -> Option<Grid> {
        self.files.clone_from(&book.files);
        let own = Named { batch: stem(&reference.file), file: &reference.file, unit: reference.vertical_unit };
        self.take(surface, &own, &reference.datum)
    }

    /// Takes the surface of a file of levels or lidar beside the ground, and what its levels count from; a grid beside
    /// a grid is told and left out.
    pub fn take_beside(&mut self, file: &SurveyFile, surface: Surface, datum: &str, own_is_grid: bool) {
        let batch = if file.batch.is_empty() { stem(&file.file) } else { file.batch.clone() };
        let named = Named { batch, file: &file.file, unit: file.vertical_unit };
        match self.take(surface, &named, datum) {
            Some(_) if own_is_grid => {
                self.notes.push(format!("{} is left out: the ground itself comes from a grid", file.file));
            }
            lidar => self.lidar = lidar.map(Arc::new).or(self.lidar.take()),
        }
    }

    /// Notes that a file beside the ground could not be read, and why.
    pub fn leave_out(&mut self, file: &SurveyFile, why: String) {
        self.notes.push(format!("{} is left out: {why}", file.file));
        self.left_out.push(LeftOut { file: plan::bare_name(&file.file).into(), why });
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
    pub(crate) fn lay(
        &mut self,
        grid: Option<Grid>,
        corrections: &SurveyBook,
        threads: usize,
    ) -> Result<(Ground, Surveyed), LandError> {
        let shift_m = lidar_shift_m(corrections);
        let surveyed = Surveyed::of(&self.book, corrections, grid.as_ref().or(self.lidar.as_deref()));
        let ground = match grid {
            Some(grid) if shift_m == 0.0 => Ground::from_grid(grid),
            Some(grid) => {
                let raised = raised(&grid, shift_m)?;
                self.lidar = Some(Arc::new(grid));
                Ground::from_grid(raised)
            }
            None => self.triangulate(&surveyed, shift_m, threads)?,
        };
        Ok((ground, surveyed))
    }

    /// Corrected shots, and lidar where there are none once it agrees with them.
    fn triangulate(&self, surveyed: &Surveyed, shift_m: f64, threads: usize) -> Result<Ground, LandError> {
        let mut shots: Vec<Shot> = surveyed.shots.iter().chain(&self.cloud).copied().collect();
        if let Some(lidar) = self.lidar.as_deref().filter(|_| surveyed.lidar_is_trusted()) {
            shots.extend(fill(lidar, shift_m, &shots));
        }
        let survey = Survey { shots, break_lines: self.break_lines.clone() };
        Ok(Ground::from_survey(survey, &SurfaceOptions { threads, ..SurfaceOptions::default() })?)
    }

    /// True where these are the files that the book names.
    pub(crate) fn are_of(&self, book: &SurveyBook) -> bool {
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

fn raised(grid: &Grid, by_m: f64) -> Result<Grid, LandError> {
    let levels = grid.levels().iter().map(|level| (f64::from(*level) + by_m) as f32).collect();
    let (low, high) = grid.extent();
    Ok(Grid::new((grid.cols(), grid.rows()), (low.x, high.y), grid.cell_m(), levels)?)
}

/// Levels of the lidar over the shots' rectangle wherever no shot is near.
fn fill(lidar: &Grid, shift_m: f64, shots: &[Shot]) -> Vec<Shot> {
    let index = ShotIndex::of(shots, |_| true);
    let Some((low, high)) = measure::extent(shots.iter().map(|shot| shot.at)) else { return Vec::new() };
    let (west, south, east, north) = (low.x, low.y, high.x, high.y);
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
