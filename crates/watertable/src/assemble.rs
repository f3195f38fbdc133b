//! A field put together from the plan, its land and its design.

use std::collections::BTreeMap;

use design::{Design, LineDesign, PipeKind};
use hydraulics::{EFFECTIVE_RADIUS_M, Estimate};
use land::{Land, Soils};
use measure::{Paths, Point, extent, part_of, ring_holds, ring_m2, segments};
use plan::{LineId, Plan};
use terrain::{Grid, Water};

use crate::{Drain, Entry, Field, OverLand};

/// Land beyond the boundary that is looked at, since its water comes and goes too, metres ([judgement]).
const MARGIN_M: f64 = 20.0;

/// Depth at which the soil is asked for, metres: about that of the drains ([judgement]).
const SOIL_DEPTH_M: f64 = 1.0;

/// Drains farther apart than this count as so far apart, metres: the last way into one hardly changes any more.
const WIDEST_M: f64 = 100.0;

/// Drains nearer to each other than this count as so near, metres.
const NEAREST_M: f64 = 2.0;

/// Places of a line at which its distance to the next one is looked at.
const LOOKS: usize = 15;

/// Which end of a range is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    /// The least.
    Low,
    /// The figure that is worked with.
    Likely,
    /// The most.
    High,
}

impl End {
    fn of(self, estimate: Estimate) -> f64 {
        match self {
            Self::Low => estimate.low,
            Self::Likely => estimate.likely,
            Self::High => estimate.high,
        }
    }
}

/// A soil within what is known of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SoilCase {
    /// Of the conductivity.
    pub conductivity: End,
    /// Of the drainable porosity.
    pub porosity: End,
}

impl SoilCase {
    /// The soil that is worked with.
    pub const LIKELY: Self = Self { conductivity: End::Likely, porosity: End::Likely };

    /// The four corners of what is known: the wettest and the driest answer are among those of them.
    pub const CORNERS: [Self; 4] = [
        Self { conductivity: End::Low, porosity: End::Low },
        Self { conductivity: End::Low, porosity: End::High },
        Self { conductivity: End::High, porosity: End::Low },
        Self { conductivity: End::High, porosity: End::High },
    ];
}

/// Why a field cannot be put together.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FieldError {
    /// No boundary.
    #[error("the plan has no field boundary; draw it first")]
    NoBoundary,
    /// No ground within the boundary.
    #[error("no ground was read within the field; bring a survey or a grid in first")]
    NoGround,
    /// No soil.
    #[error("nothing is known of the soil; mark a soil pit with its layers, or give the texture in the brief")]
    NoSoil,
}

impl Field {
    /// The ground of a plan in cells of a size, metres, and the way of water over it; soil and drains are still to come.
    ///
    /// # Errors
    /// Where the plan has no boundary or its land no ground.
    pub fn bare(plan: &Plan, land: &Land, cell_m: f64) -> Result<Self, FieldError> {
        let field = plan.field.as_ref().ok_or(FieldError::NoBoundary)?;
        let (low, high) = extent(field.ring.iter().copied()).ok_or(FieldError::NoBoundary)?;
        let ground = land.ground.as_ref().ok_or(FieldError::NoGround)?;
        let (west_m, north_m) = (low.x - MARGIN_M, high.y + MARGIN_M);
        let count = |from: f64, to: f64| (((to - from + 2.0 * MARGIN_M) / cell_m).ceil() as usize).max(2);
        let (cols, rows) = (count(low.x, high.x), count(low.y, high.y));
        let mut bare = Self { cols, rows, cell_m, west_m, north_m, ..Self::default() };
        let edge = Paths::new(segments(0, &measure::closed(&field.ring)));
        let is_near = |at: Point| ring_holds(&field.ring, at) || !edge.paths_near(at, MARGIN_M).is_empty();
        let level = |cell: usize| {
            let at = bare.centre(cell);
            let level = ground.elevation(at).filter(|_| is_near(at));
            level.map_or(f32::NAN, |level| level as f32)
        };
        let levels: Vec<f32> = (0..cols * rows).map(level).collect();
        let grid = Grid::new((cols, rows), (west_m, north_m), (cell_m, cell_m), levels);
        let grid = grid.map_err(|_| FieldError::NoGround)?;
        bare.is_land = grid.levels().iter().map(|level| !level.is_nan()).collect();
        bare.surface_m =
            grid.levels().iter().map(|level| if level.is_nan() { 0.0 } else { f64::from(*level) }).collect();
        bare.over_land = OverLand::of(&Water::of(&grid), &bare.surface_m, cols);
        Ok(bare)
    }

    /// A cell so large that a field comes to about so many cells, metres; never under half a metre.
    pub fn cell_for(plan: &Plan, cells: usize) -> f64 {
        let area_m2 = plan.field.as_ref().map_or(0.0, |field| ring_m2(&field.ring).abs());
        (area_m2 / cells as f64).sqrt().max(0.5)
    }

    /// The same field in the soil that its pits and the brief tell of, no drains in it.
    ///
    /// # Errors
    /// Where nothing is known of the soil.
    pub fn with_soil(&self, plan: &Plan, case: SoilCase) -> Result<Self, FieldError> {
        let soils = Soils::of(plan);
        let mut field = Self { drains: Vec::new(), ..self.clone() };
        (field.base_m, field.conductivity_ms, field.porosity) = (Vec::new(), Vec::new(), Vec::new());
        for cell in 0..self.len() {
            let soil = soils.known(self.centre(cell), SOIL_DEPTH_M).ok_or(FieldError::NoSoil)?;
            field.base_m.push(self.surface_m[cell] - soil.tight_or_guess_m(SOIL_DEPTH_M));
            field.conductivity_ms.push(case.conductivity.of(soil.conductivity));
            field.porosity.push(case.porosity.of(soil.porosity));
        }
        Ok(field)
    }

    /// The same field with the new lines of a design in it, where their pipe is perforated.
    #[must_use]
    pub fn with_drains(mut self, plan: &Plan, design: &Design) -> Self {
        let is_new = |id: &LineId| plan.lines.get(id).is_some_and(|line| !line.kind.is_old());
        let lines: Vec<&LineDesign> =
            design.lines.iter().filter(|(id, _)| is_new(id)).map(|(_, line)| line).collect();
        let courses: Vec<Vec<Vec<Point>>> = lines.iter().map(|line| perforated(line)).collect();
        let pieces = courses
            .iter()
            .enumerate()
            .flat_map(|(index, parts)| parts.iter().flat_map(move |part| segments(index as u32, part)));
        let paths = Paths::new(pieces.collect());
        let mut found: BTreeMap<(usize, usize), Drain> = BTreeMap::new();
        for (index, line) in lines.iter().enumerate() {
            let spacing_m = spacing_m(&paths, index as u32, &courses[index]);
            for (from_m, to_m) in drawing_parts(line) {
                self.lay(line, (from_m, to_m), spacing_m, |drain| {
                    let piece = found.entry((drain.cell, index)).or_insert(Drain { length_m: 0.0, ..drain });
                    piece.length_m += drain.length_m;
                });
            }
        }
        self.drains = found.into_values().collect();
        self
    }

    /// Cuts a stretch of a line into pieces of half a cell, each in its cell.
    fn lay(&self, line: &LineDesign, (from_m, to_m): (f64, f64), spacing_m: f64, mut tell: impl FnMut(Drain)) {
        let count = ((to_m - from_m) / (self.cell_m / 2.0)).ceil().max(1.0);
        let length_m = (to_m - from_m) / count;
        for piece in 0..count as usize {
            let Some(station) = line.at(from_m + (piece as f64 + 0.5) * length_m) else { continue };
            let Some((level_m, cell)) = station.invert_m.zip(self.cell_at(station.at)) else { continue };
            if !self.is_land[cell] {
                continue;
            }
            let (below_m, cover_m) = (level_m - self.base_m[cell], self.surface_m[cell] - level_m);
            let level_m = level_m.max(self.base_m[cell]);
            let entry = Entry::new(
                self.conductivity_ms[cell],
                below_m,
                cover_m.max(EFFECTIVE_RADIUS_M),
                spacing_m,
                EFFECTIVE_RADIUS_M,
            );
            tell(Drain { cell, level_m, length_m, entry });
        }
    }

    /// Centre of a cell.
    pub fn centre(&self, cell: usize) -> Point {
        let (col, row) = ((cell % self.cols) as f64, (cell / self.cols) as f64);
        Point::new(self.west_m + (col + 0.5) * self.cell_m, self.north_m - (row + 0.5) * self.cell_m)
    }

    /// The cell that holds a place; `None` outside the grid.
    pub fn cell_at(&self, at: Point) -> Option<usize> {
        let (col, row) = ((at.x - self.west_m) / self.cell_m, (self.north_m - at.y) / self.cell_m);
        let inside = col >= 0.0 && row >= 0.0 && col < self.cols as f64 && row < self.rows as f64;
        inside.then(|| row as usize * self.cols + col as usize)
    }
}

/// Stretches of a line whose pipe is perforated, stations in metres.
fn drawing_parts(line: &LineDesign) -> impl Iterator<Item = (f64, f64)> + '_ {
    line.pipe.iter().filter(|pipe| pipe.kind == PipeKind::Perforated).map(|pipe| (pipe.from_m, pipe.to_m))
}

/// The courses of a line where its pipe is perforated.
fn perforated(line: &LineDesign) -> Vec<Vec<Point>> {
    let course: Vec<Point> = line.stations.iter().map(|station| station.at).collect();
    drawing_parts(line).map(|(from_m, to_m)| part_of(&course, from_m, to_m)).collect()
}

/// Distance from a line to the next one that draws, metres: the middle one of what is found along it.
fn spacing_m(paths: &Paths, index: u32, parts: &[Vec<Point>]) -> f64 {
    let looks = parts.iter().flat_map(|part| {
        let length_m = measure::path_length(part);
        (0..LOOKS).filter_map(move |look| measure::point_at(part, (look as f64 + 0.5) / LOOKS as f64 * length_m))
    });
    let next_m = |at: Point| {
        let others = paths.paths_near(at, WIDEST_M).into_iter().filter(|found| found.0 != index);
        others.map(|found| found.3).fold(WIDEST_M, f64::min)
    };
    let mut found: Vec<f64> = looks.map(next_m).collect();
    found.sort_by(f64::total_cmp);
    found.get(found.len() / 2).copied().unwrap_or(WIDEST_M).max(NEAREST_M)
}
