//! The ground of a field: a grid, and the survey it came from where there is one.

use std::sync::atomic::{AtomicU64, Ordering};

use measure::Point;

use crate::raster::Raster;
use crate::relief::slope_at;
use crate::{Grid, Hole, Interpolation, Shot, Slope, Tin, TinError};

/// Cells a grid over shots holds at most when the program chooses the cell (common practice, no source).
const MOST_CHOSEN_CELLS: f64 = 4e6;

/// The ground of a field.
#[derive(Debug, Clone)]
pub struct Ground {
    grid: Grid,
    surveyed: Option<Surveyed>,
    number: u64,
}

/// A number that no ground of this run of the program has had yet.
fn fresh_number() -> u64 {
    static NEXT: AtomicU64 = AtomicU64::new(0);
    NEXT.fetch_add(1, Ordering::Relaxed)
}

#[derive(Debug, Clone)]
struct Surveyed {
    survey: Survey,
    options: SurfaceOptions,
    tin: Tin,
}

/// What was measured on a field.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Survey {
    /// Single places.
    pub shots: Vec<Shot>,
    /// Lines along which the ground bends, held by the surface (see [`Tin::with_breaks`]).
    pub break_lines: Vec<Vec<Shot>>,
}

/// How the surface over a survey is made; the default suits its spacing.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SurfaceOptions {
    /// Cell of the grid, metres; by default about half the median side of the triangles (see [`cell_for_shots`]).
    pub cell_m: Option<f64>,
    /// Longest side of a triangle that counts as ground, metres; by default [`Tin::suitable_longest_side_m`]. Infinite:
    /// ground right up to the convex hull.
    pub longest_side_m: Option<f64>,
    /// How levels between shots are found. Straight in triangles, single places are read from the triangles; by natural
    /// neighbours, from the grid drawn by them.
    pub interpolation: Interpolation,
    /// Threads that draw the grid, which do not change it (0 counts as 1).
    pub threads: usize,
}

impl PartialEq for Ground {
    /// Same survey, and the same levels cell by cell (missing equals missing).
    fn eq(&self, other: &Self) -> bool {
        let (a, b) = (&self.grid, &other.grid);
        let same = |x: &f32, y: &f32| x == y || (x.is_nan() && y.is_nan());
        self.survey() == other.survey()
            && (a.cols(), a.rows(), a.extent()) == (b.cols(), b.rows(), b.extent())
            && a.levels().iter().zip(b.levels()).all(|(x, y)| same(x, y))
    }
}

impl Ground {
    /// Ground known by a grid alone.
    pub fn from_grid(grid: Grid) -> Self {
        Self { grid, surveyed: None, number: fresh_number() }
    }

    /// Ground triangulated from survey shots, with a grid of `cell_m` laid over it; missing in holes of the survey and
    /// outside the shots' convex hull.
    pub fn from_shots(shots: &[Shot], cell_m: f64) -> Result<Self, TinError> {
        let survey = Survey { shots: shots.to_vec(), break_lines: Vec::new() };
        Self::from_survey(survey, &SurfaceOptions { cell_m: Some(cell_m), ..SurfaceOptions::default() })
    }

    /// Ground triangulated from a survey, with a grid laid over it; missing in holes of the survey and outside its
    /// convex hull.
    pub fn from_survey(survey: Survey, options: &SurfaceOptions) -> Result<Self, TinError> {
        let tin = Tin::with_breaks(&survey.shots, &survey.break_lines)?;
        let longest_side_m = options.longest_side_m.unwrap_or(tin.suitable_longest_side_m());
        let tin = tin.with_longest_side(longest_side_m);
        let cell_m = options.cell_m.unwrap_or_else(|| suitable_cell_m(tin.median_side_m(), tin.bounds()));
        let grid = Raster::over(tin.bounds(), cell_m)?.draw(&tin, options.interpolation, options.threads)?;
        let surveyed = Some(Surveyed { survey, options: *options, tin });
        Ok(Self { grid, surveyed, number: fresh_number() })
    }

    /// The ground anew after shots or lines were changed, with the same options.
    pub fn with_survey(&self, survey: Survey) -> Result<Self, TinError> {
        let options = self.surveyed.as_ref().map(|surveyed| surveyed.options).unwrap_or_default();
        Self::from_survey(survey, &options)
    }

    /// A number that tells it from every other ground laid in this run of the program: what was worked out on it can be known
    /// again without comparing millions of levels. Clones share it.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// The grid.
    pub fn grid(&self) -> &Grid {
        &self.grid
    }

    /// The survey shots, as given.
    pub fn shots(&self) -> Option<&[Shot]> {
        self.survey().map(|survey| survey.shots.as_slice())
    }

    /// The survey, as given.
    pub fn survey(&self) -> Option<&Survey> {
        self.surveyed.as_ref().map(|surveyed| &surveyed.survey)
    }

    /// The triangles over the survey.
    pub fn tin(&self) -> Option<&Tin> {
        self.surveyed.as_ref().map(|surveyed| &surveyed.tin)
    }

    /// Parts of the survey's convex hull that are too far from any shot to count as ground.
    pub fn holes(&self) -> Vec<Hole> {
        self.tin().map(Tin::holes).unwrap_or_default()
    }

    /// Ground level at a place, metres: straight in the triangles where there are shots, else bilinear from the grid, which
    /// also holds what natural neighbours gave.
    pub fn elevation(&self, at: Point) -> Option<f64> {
        match self.straight_tin() {
            Some(tin) => tin.level(at),
            None => self.grid.elevation(at),
        }
    }

    /// The triangles, where the ground is straight in each of them.
    pub(crate) fn straight_tin(&self) -> Option<&Tin> {
        let straight = self.surveyed.as_ref().filter(|s| s.options.interpolation == Interpolation::Linear);
        straight.map(|surveyed| &surveyed.tin)
    }

    /// Slope of the grid cell that holds a place.
    pub fn slope(&self, at: Point) -> Option<Slope> {
        let (col, row) = self.grid.cell_at(at)?;
        slope_at(&self.grid, col, row)
    }
}

/// A cell size that suits shots: about half the median side of their triangles, out of 0.5, 1, 2 and 5 m, larger
/// where the grid would pass four million cells.
pub fn cell_for_shots(shots: &[Shot]) -> f64 {
    let nowhere = Point::new(0.0, 0.0);
    let spacing = |tin: Tin| (tin.median_side_m(), tin.bounds());
    let (median_side_m, bounds) = Tin::of(shots).map_or((2.0, (nowhere, nowhere)), spacing);
    suitable_cell_m(median_side_m, bounds)
}

fn suitable_cell_m(median_side_m: f64, (low, high): (Point, Point)) -> f64 {
    let half_m = median_side_m / 2.0;
    let (width_m, height_m) = (high.x - low.x, high.y - low.y);
    let near = |cell_m: f64| (cell_m / half_m).ln().abs();
    let nearest = [0.5, 1.0, 2.0, 5.0].into_iter().reduce(|a, b| if near(b) < near(a) { b } else { a });
    let larger = (1..9).flat_map(|power| [1.0, 2.0, 5.0].map(|step| step * 10f64.powi(power)));
    let fits = |cell_m: &f64| (width_m / cell_m + 2.0) * (height_m / cell_m + 2.0) <= MOST_CHOSEN_CELLS;
    let least = nearest.unwrap_or(1.0);
    [1.0, 2.0, 5.0]
        .into_iter()
        .chain(larger)
        .fold(least, |cell_m, next| if fits(&cell_m) { cell_m } else { next.max(cell_m) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plane(at: Point) -> f64 {
        100.0 + 0.01 * at.x - 0.02 * at.y
    }

    fn scattered(count: usize) -> Vec<Shot> {
        let place = |i: usize| Point::new((i * 7919 % 1000) as f64 * 0.1, (i * 104_729 % 997) as f64 * 0.1);
        (0..count).map(|i| Shot { at: place(i), level_m: plane(place(i)) }).collect()
    }

    #[test]
    fn a_surveyed_plane_is_a_plane_everywhere() {
        let ground = Ground::from_shots(&scattered(500), 2.0).unwrap();
        let at = Point::new(50.3, 49.1);
        assert!((ground.elevation(at).unwrap() - plane(at)).abs() < 1e-9);
        assert!((ground.grid().elevation(at).unwrap() - plane(at)).abs() < 1e-4);
        assert!((ground.slope(at).unwrap().ratio - 0.01f64.hypot(0.02)).abs() < 1e-5);
        assert_eq!(ground.shots().unwrap().len(), 500);
    }

    /// Every centre on the surface gets its level and no other does, whatever the method and the number of threads.
    #[test]
    fn the_grid_is_the_surface() {
        let hilly = |s: Shot| Shot { level_m: 100.0 + (s.at.x / 7.0).sin() + (s.at.y / 9.0).cos(), ..s };
        let shots: Vec<Shot> =
            scattered(400).into_iter().map(hilly).filter(|s| s.at.x < 60.0 || s.at.x > 90.0).collect();
        let crest = [10.0, 30.0, 55.0].map(|x| Shot { at: Point::new(x, 40.0 + x / 8.0), level_m: 103.0 });
        let survey = Survey { shots, break_lines: vec![crest.to_vec()] };
        for interpolation in [Interpolation::Linear, Interpolation::NaturalNeighbour] {
            let options = SurfaceOptions { cell_m: Some(1.0), interpolation, ..SurfaceOptions::default() };
            let ground = Ground::from_survey(survey.clone(), &options).unwrap();
            let grid = ground.grid();
            assert!(!ground.holes().is_empty());
            for cell in 0..grid.cols() * grid.rows() {
                let (col, row) = (cell % grid.cols(), cell / grid.cols());
                let (drawn, level) = (grid.level(col, row), ground.elevation(grid.centre(col, row)));
                assert_eq!(level.is_some(), !drawn.is_nan(), "cell {col}, {row}");
                assert!(level.is_none_or(|level_m| (level_m - drawn as f64).abs() < 1e-5), "{level:?} {drawn}");
            }
            let threads = Ground::from_survey(survey.clone(), &SurfaceOptions { threads: 3, ..options }).unwrap();
            assert_eq!(threads, ground);
        }
    }

    #[test]
    fn a_moved_shot_moves_the_ground() {
        let ground = Ground::from_shots(&scattered(300), 2.0).unwrap();
        let mut survey = ground.survey().unwrap().clone();
        survey.shots[7].level_m += 5.0;
        let moved = ground.with_survey(survey.clone()).unwrap();
        assert_eq!(moved.elevation(survey.shots[7].at), Some(survey.shots[7].level_m));
        assert_eq!(moved.grid().cell_m(), ground.grid().cell_m());
        survey.shots[7].level_m -= 5.0;
        assert_eq!(moved.with_survey(survey).unwrap(), ground);
    }

    #[test]
    fn the_cell_follows_the_spacing_and_stays_affordable() {
        let square = |step: f64| -> Vec<Shot> {
            let at = |i: usize| Point::new((i % 20) as f64 * step, (i / 20) as f64 * step);
            (0..400).map(|i| Shot { at: at(i), level_m: 0.0 }).collect()
        };
        assert_eq!([1.0, 2.0, 4.0, 10.0, 50.0].map(|step| cell_for_shots(&square(step))), [0.5, 1.0, 2.0, 5.0, 5.0]);
        assert_eq!(cell_for_shots(&square(1000.0)), 10.0);
        assert_eq!(cell_for_shots(&[]), 1.0);
    }

    #[test]
    fn senseless_cells_are_refused() {
        let shots = scattered(50);
        for cell_m in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300, 1e-4] {
            assert!(matches!(Ground::from_shots(&shots, cell_m), Err(TinError::Grid(_))), "{cell_m}");
        }
    }

    #[test]
    fn ground_can_be_shared_between_threads() {
        fn shared<T: Send + Sync>() {}
        shared::<Ground>();
    }
}
