//! The ground of a field: a grid, and the survey it came from where there is one.

use measure::Point;

use crate::grid::MOST_CELLS;
use crate::relief::slope_at;
use crate::tin::on_triangle;
use crate::{Grid, GridError, Shot, Slope, Tin, TinError};

/// Cells a grid over shots holds at most when the program chooses the cell (common practice, no source).
const MOST_CHOSEN_CELLS: f64 = 4e6;

/// The ground of a field.
#[derive(Debug, Clone)]
pub struct Ground {
    grid: Grid,
    surveyed: Option<Surveyed>,
}

#[derive(Debug, Clone)]
struct Surveyed {
    survey: Survey,
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
        Self { grid, surveyed: None }
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
        let (low, high) = tin.bounds();
        let cell_m = options.cell_m.unwrap_or_else(|| suitable_cell_m(tin.median_side_m(), low, high));
        let grid = Raster::over(low, high, cell_m)?.draw(&tin)?;
        Ok(Self { grid, surveyed: Some(Surveyed { survey, tin }) })
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

    /// Ground level at a place, metres: from the triangles where there are shots, else bilinear from the grid.
    pub fn elevation(&self, at: Point) -> Option<f64> {
        match self.tin() {
            Some(tin) => tin.level(at),
            None => self.grid.elevation(at),
        }
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
    let origin = Point::new(0.0, 0.0);
    Tin::of(shots).map_or(suitable_cell_m(2.0, origin, origin), |tin| {
        let (low, high) = tin.bounds();
        suitable_cell_m(tin.median_side_m(), low, high)
    })
}

fn suitable_cell_m(median_side_m: f64, low: Point, high: Point) -> f64 {
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

/// An empty grid laid over shots, its corner on a multiple of the cell.
struct Raster {
    cols: usize,
    rows: usize,
    corner: Point,
    cell_m: f64,
}

impl Raster {
    fn over(low: Point, high: Point, cell_m: f64) -> Result<Self, GridError> {
        let corner = Point::new((low.x / cell_m).floor() * cell_m, (high.y / cell_m).ceil() * cell_m);
        if !(cell_m > 0.0 && cell_m < 1e9 && corner.is_finite()) {
            return Err(GridError::Place { cell_x_m: cell_m, cell_y_m: cell_m, west_m: low.x, north_m: high.y });
        }
        let count = |length_m: f64| ((length_m / cell_m).ceil() as usize).max(2);
        let (cols, rows) = (count(high.x - corner.x), count(corner.y - low.y));
        if (cols as u64).saturating_mul(rows as u64) > MOST_CELLS {
            return Err(GridError::Size { cols, rows });
        }
        Ok(Self { cols, rows, corner, cell_m })
    }

    fn draw(&self, tin: &Tin) -> Result<Grid, GridError> {
        let mut levels = vec![f32::NAN; self.cols * self.rows];
        for triangle in tin.triangles() {
            self.fill(triangle, &mut levels);
        }
        Grid::new((self.cols, self.rows), (self.corner.x, self.corner.y), (self.cell_m, self.cell_m), levels)
    }

    fn fill(&self, triangle: [Shot; 3], levels: &mut [f32]) {
        let corners = triangle.map(|s| self.coordinates(s.at));
        for row in cells_between(corners.map(|(_, v)| v), self.rows) {
            for col in cells_between(crossings(corners, row as f64), self.cols) {
                levels[row * self.cols + col] = on_triangle(triangle, self.centre(col, row)) as f32;
            }
        }
    }

    fn coordinates(&self, at: Point) -> (f64, f64) {
        ((at.x - self.corner.x) / self.cell_m - 0.5, (self.corner.y - at.y) / self.cell_m - 0.5)
    }

    fn centre(&self, col: usize, row: usize) -> Point {
        let (east, south) = ((col as f64 + 0.5) * self.cell_m, (row as f64 + 0.5) * self.cell_m);
        Point::new(self.corner.x + east, self.corner.y - south)
    }
}

/// Cell centres from the least to the greatest of some coordinates; `NaN` ones do not count.
fn cells_between(coordinates: [f64; 3], count: usize) -> std::ops::Range<usize> {
    const SLACK: f64 = 1e-9;
    let low = coordinates.into_iter().fold(f64::INFINITY, f64::min);
    let high = coordinates.into_iter().fold(f64::NEG_INFINITY, f64::max);
    if low > high {
        return 0..0;
    }
    (low - SLACK).ceil().max(0.0) as usize..((high + SLACK).floor() + 1.0).clamp(0.0, count as f64) as usize
}

/// Where a row of cell centres crosses the three sides of a triangle; `NaN` for a side it misses.
fn crossings(corners: [(f64, f64); 3], row: f64) -> [f64; 3] {
    [(0, 1), (1, 2), (2, 0)].map(|(from, to)| {
        let ((u0, v0), (u1, v1)) = (corners[from], corners[to]);
        let share = (row - v0) / (v1 - v0);
        if (-1e-9..=1.0 + 1e-9).contains(&share) { u0 + (u1 - u0) * share } else { f64::NAN }
    })
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

    /// Every centre inside the hull gets a level and no other does.
    #[test]
    fn the_grid_covers_the_hull_and_no_more() {
        let ground = Ground::from_shots(&scattered(60), 1.0).unwrap();
        let grid = ground.grid();
        for cell in 0..grid.cols() * grid.rows() {
            let (col, row) = (cell % grid.cols(), cell / grid.cols());
            let level = ground.elevation(grid.centre(col, row));
            assert_eq!(level.is_some(), !grid.level(col, row).is_nan(), "cell {col}, {row}");
        }
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
