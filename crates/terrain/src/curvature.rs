//! How the ground bends, from the 3 × 3 neighbourhood of each cell.

use crate::{Grid, parallel};

/// Derivatives of the ground at a cell, x to the east and y to the north.
struct Shape {
    x: f64,
    y: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

/// Derivatives of the quadratic that fits the nine levels best (Evans, An integrated system of terrain analysis and
/// slope mapping, Zeitschrift für Geomorphologie, Supplement 36, 1980): noise of a survey is evened out a little.
/// `None` on the border, in a gap and beside one: a bend is not guessed.
fn shape(grid: &Grid, col: usize, row: usize) -> Option<Shape> {
    let inside = col > 0 && row > 0 && col + 1 < grid.cols() && row + 1 < grid.rows();
    let level = |c: usize, r: usize| if inside { grid.level(col + c - 1, row + r - 1) as f64 } else { f64::NAN };
    let [[nw, n, ne], [w, here, e], [sw, s, se]] = [0, 1, 2].map(|r| [0, 1, 2].map(|c| level(c, r)));
    let (x_m, y_m) = grid.cell_m();
    let bend = |triples: [[f64; 3]; 3]| triples.iter().map(|[a, b, c]| (a - b) + (c - b)).sum::<f64>() / 3.0;
    let known = (nw + n + ne + w + here + e + sw + s + se).is_finite();
    known.then(|| Shape {
        x: ((ne - nw) + (e - w) + (se - sw)) / (6.0 * x_m),
        y: ((nw - sw) + (n - s) + (ne - se)) / (6.0 * y_m),
        xx: bend([[nw, n, ne], [w, here, e], [sw, s, se]]) / (x_m * x_m),
        yy: bend([[nw, w, sw], [n, here, s], [ne, e, se]]) / (y_m * y_m),
        xy: ((ne - nw) - (se - sw)) / (4.0 * x_m * y_m),
    })
}

/// Curvature of the ground down the slope, 1/m: of the curve in which a vertical plane along the steepest fall cuts it.
///
/// Positive where the ground is convex (the fall grows steeper downhill), negative where it is hollow; 0 on level
/// ground; `NaN` where a cell or one of its eight neighbours is missing. Formula of Mitášová and Hofierka,
/// Interpolation by regularized spline with tension II, Mathematical Geology 25, 1993, positive for convex ground as
/// usual; derivatives of Evans (1980). Row by row from the north.
pub fn profile_curvature(grid: &Grid, threads: usize) -> Vec<f32> {
    each_shape(grid, threads, |Shape { x, y, xx, yy, xy }| {
        let steep = x * x + y * y;
        -(xx * x * x + 2.0 * xy * x * y + yy * y * y) / (steep * (1.0 + steep).powf(1.5))
    })
}

/// Curvature of the contour through each cell, 1/m: one over the radius in which it turns.
///
/// Positive on a nose, where the fall spreads, negative in a draw, where it gathers. Sources, missing and level ground
/// as for [`profile_curvature`].
pub fn plan_curvature(grid: &Grid, threads: usize) -> Vec<f32> {
    each_shape(grid, threads, |Shape { x, y, xx, yy, xy }| {
        -(xx * y * y - 2.0 * xy * x * y + yy * x * x) / (x * x + y * y).powf(1.5)
    })
}

fn each_shape(grid: &Grid, threads: usize, curvature: impl Fn(&Shape) -> f64 + Sync) -> Vec<f32> {
    parallel::cells(grid, threads, |col, row| match shape(grid, col, row) {
        None => f32::NAN,
        Some(level) if level.x == 0.0 && level.y == 0.0 => 0.0,
        Some(shape) => curvature(&shape) as f32,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A surface on cells of 0.5 × 0.25 m round the origin.
    fn surface(level: impl Fn(f64, f64) -> f64) -> Grid {
        let (cols, rows) = (41, 61);
        let at = |cell: usize| ((cell % cols) as f64 * 0.5 - 10.0, 7.5 - (cell / cols) as f64 * 0.25);
        let levels = (0..cols * rows).map(at).map(|(x, y)| level(x, y) as f32).collect();
        Grid::new((cols, rows), (-10.25, 7.625), (0.5, 0.25), levels).unwrap()
    }

    /// Profile and plan curvature at the cell round a place, times a thousand.
    fn bends(grid: &Grid, x: f64, y: f64) -> [f64; 2] {
        let (col, row) = grid.cell_at(measure::Point::new(x, y)).unwrap();
        let cell = row * grid.cols() + col;
        [profile_curvature(grid, 2)[cell], plan_curvature(grid, 2)[cell]].map(|k| k as f64 * 1e3)
    }

    fn near(found: [f64; 2], expected: [f64; 2], within: f64) {
        assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < within), "{found:?}, not {expected:?}");
    }

    /// A ball of 50 m: every vertical cut down the slope is a great circle, a contour has its distance from the axis.
    #[test]
    fn a_ball_bends_as_its_radius() {
        let ball = surface(|x, y| (2500.0 - x * x - y * y).sqrt() - 48.0);
        for (x, y) in [(3.0, 4.0), (-6.0, 2.5), (0.0, -5.0), (7.0, 0.0)] {
            near(bends(&ball, x, y), [20.0, 1e3 / f64::hypot(x, y)], 0.3);
        }
    }

    /// A bowl z = (x² + y²) / 100: cut through its axis a parabola, hollow.
    #[test]
    fn a_bowl_is_hollow_both_ways() {
        let bowl = surface(|x, y| (x * x + y * y) / 100.0);
        for (x, y) in [(3.0, 4.0), (-6.0, -2.5)] {
            let radius = f64::hypot(x, y);
            near(bends(&bowl, x, y), [-20.0 / (1.0 + (radius / 50.0).powi(2)).powf(1.5), -1e3 / radius], 0.1);
        }
        assert_eq!(bends(&bowl, 0.0, 0.0), [0.0, 0.0]);
    }

    /// A saddle z = x·y / 50: straight along its axes (x or y 0), so that the profile is flat there; on the diagonal
    /// x = y the contour is a hyperbola x·y = c of radius √2·x at its vertex, and the fall to the middle is hollow.
    #[test]
    fn a_saddle_bends_both_ways() {
        let saddle = surface(|x, y| x * y / 50.0);
        near(bends(&saddle, 4.0, 0.0), [0.0, 0.0], 0.1);
        let steep = 2.0 * (4.0f64 / 50.0).powi(2);
        near(bends(&saddle, 4.0, 4.0), [-20.0 / (1.0 + steep).powf(1.5), 1e3 / (4.0 * 2f64.sqrt())], 0.1);
    }

    #[test]
    fn a_plane_is_straight_and_gaps_stay_gaps() {
        near(bends(&surface(|x, y| 0.5 * x - 0.25 * y), 3.0, 4.0), [0.0, 0.0], 1e-9);
        let mut levels = vec![1.0; 25];
        levels[6] = f32::NAN;
        let grid = Grid::new((5, 5), (0.0, 0.0), (1.0, 1.0), levels).unwrap();
        let known: Vec<usize> = (0..25).filter(|&cell| !plan_curvature(&grid, 1)[cell].is_nan()).collect();
        assert_eq!(known, [8, 13, 16, 17, 18]);
    }
}
