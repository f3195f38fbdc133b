//! Slope and shaded relief from the 3 × 3 neighbourhood of each cell.

use crate::Grid;

/// How steep the ground is and which way it falls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Fall over run.
    pub ratio: f64,
    /// Direction downhill, degrees clockwise from grid north, 0 to 360; 0 on level ground.
    pub aspect_deg: f64,
}

/// Rise of the ground to the east and to the north, as ratios.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rise {
    east: f64,
    north: f64,
}

/// Slope at a cell by the weights of Horn (1981) (reference-values section 5.1). `None` where the cell is missing.
///
/// A missing neighbour is put on the plane through those at hand, so that planes keep their slope up to the edge.
pub(crate) fn slope_at(grid: &Grid, col: usize, row: usize) -> Option<Slope> {
    let Rise { east, north } = rise(grid, col, row)?;
    let ratio = east.hypot(north);
    let aspect_deg = if ratio > 0.0 { (-east).atan2(-north).to_degrees().rem_euclid(360.0) } else { 0.0 };
    Some(Slope { ratio, aspect_deg })
}

/// The nine levels round a cell, north row first, gaps filled. `None` where the cell is missing.
fn window(grid: &Grid, col: usize, row: usize) -> Option<[f64; 9]> {
    let (cols, rows, levels) = (grid.cols(), grid.rows(), grid.levels());
    let index = row * cols + col;
    let centre = levels[index] as f64;
    let mut nine = [centre; 9];
    let inside = col > 0 && row > 0 && col + 1 < cols && row + 1 < rows;
    for (k, level) in nine.iter_mut().enumerate() {
        let (c, r) = (col + k % 3, row + k / 3);
        let there = inside || (c > 0 && r > 0 && c <= cols && r <= rows);
        *level = if there { levels[(r - 1) * cols + c - 1] as f64 } else { f64::NAN };
    }
    if nine.iter().any(|z| z.is_nan()) {
        mend(&mut nine);
    }
    (!centre.is_nan()).then_some(nine)
}

/// Fills the gaps of a window whose centre is known: the sides first, then the corners from the sides beside them.
fn mend(nine: &mut [f64; 9]) {
    let centre = nine[4];
    for (k, opposite) in [(1, 7), (3, 5), (5, 3), (7, 1)] {
        let mirrored = 2.0 * centre - nine[opposite];
        fill_gap(&mut nine[k], if mirrored.is_nan() { centre } else { mirrored });
    }
    for (k, beside, above) in [(0, 3, 1), (2, 5, 1), (6, 3, 7), (8, 5, 7)] {
        let level = nine[beside] + nine[above] - centre;
        fill_gap(&mut nine[k], level);
    }
}

fn fill_gap(level: &mut f64, instead: f64) {
    if level.is_nan() {
        *level = instead;
    }
}

fn rise(grid: &Grid, col: usize, row: usize) -> Option<Rise> {
    let [a, b, c, d, _, f, g, h, i] = window(grid, col, row)?;
    let (x_m, y_m) = grid.cell_m();
    Some(Rise {
        east: ((c + 2.0 * f + i) - (a + 2.0 * d + g)) / (8.0 * x_m),
        north: ((a + 2.0 * b + c) - (g + 2.0 * h + i)) / (8.0 * y_m),
    })
}

fn each_cell<T>(grid: &Grid, value: impl Fn(Option<Rise>) -> T) -> Vec<T> {
    let cells = (0..grid.rows()).flat_map(|row| (0..grid.cols()).map(move |col| (col, row)));
    cells.map(|(col, row)| value(rise(grid, col, row))).collect()
}

/// Slope of every cell as a ratio (Horn 1981), row by row from the north; `NaN` where missing.
pub fn slope_ratio(grid: &Grid) -> Vec<f32> {
    each_cell(grid, |rise| rise.map_or(f32::NAN, |r| r.east.hypot(r.north) as f32))
}

/// Shaded relief: 1 in full shadow to 255 in full light, 0 where ground is missing, row by row from the north.
///
/// Light comes from `azimuth_deg` (clockwise from north) at `altitude_deg` above the horizon; heights count
/// `exaggeration` times. The shade is the cosine between the light and the ground's normal (Lambert).
pub fn hillshade(grid: &Grid, azimuth_deg: f64, altitude_deg: f64, exaggeration: f64) -> Vec<u8> {
    let (azimuth, altitude) = (azimuth_deg.to_radians(), altitude_deg.to_radians());
    let light = [azimuth.sin() * altitude.cos(), azimuth.cos() * altitude.cos(), altitude.sin()];
    each_cell(grid, |rise| rise.map_or(0, |r| shade(r, light, exaggeration)))
}

fn shade(rise: Rise, light: [f64; 3], exaggeration: f64) -> u8 {
    let (east, north) = (rise.east * exaggeration, rise.north * exaggeration);
    let towards_light = light[2] - east * light[0] - north * light[1];
    let cosine = towards_light / (1.0 + east * east + north * north).sqrt();
    // A cosine that is not a number (senseless angles) becomes 1, the darkest shade.
    (1.0 + 254.0 * cosine.clamp(0.0, 1.0)).round().max(1.0) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(cell_m: f64, levels: &[f32]) -> Grid {
        Grid::new((3, 3), (0.0, 0.0), (cell_m, cell_m), levels.to_vec()).unwrap()
    }

    /// reference-values section 5.1: the classic window, 3.800329 and 75.25766 degrees.
    #[test]
    fn slope_example() {
        let g = grid(5.0, &[50.0, 45.0, 50.0, 30.0, 30.0, 30.0, 8.0, 10.0, 10.0]);
        let slope = slope_at(&g, 1, 1).unwrap();
        assert!((slope.ratio - 3.800_328_933).abs() < 1e-9, "{slope:?}");
        assert!((slope.ratio.atan().to_degrees() - 75.257_66).abs() < 1e-4);
    }

    /// reference-values section 5.1: aspect 92.64 degrees.
    #[test]
    fn aspect_example() {
        let g = grid(1.0, &[101.0, 92.0, 85.0, 101.0, 92.0, 85.0, 101.0, 91.0, 84.0]);
        assert!((slope_at(&g, 1, 1).unwrap().aspect_deg - 92.64).abs() < 5e-3);
    }

    /// reference-values section 5.1: plane test, kept up to the edge (levels held in single precision).
    #[test]
    fn a_plane_has_one_slope() {
        let levels = (0..100).map(|i| (0.002 * (i % 10) as f64 - 0.001 * (i / 10) as f64) as f32).collect();
        let g = Grid::new((10, 10), (0.0, 0.0), (1.0, 1.0), levels).unwrap();
        assert!(slope_ratio(&g).iter().all(|ratio| (ratio - 0.002_236_068).abs() < 1e-8));
    }

    #[test]
    fn light_from_the_north_west_brightens_that_side() {
        let to_the_light = grid(1.0, &[0.0, 1.0, 2.0, 1.0, 2.0, 3.0, 2.0, 3.0, 4.0]);
        let away = grid(1.0, &[4.0, 3.0, 2.0, 3.0, 2.0, 1.0, 2.0, 1.0, 0.0]);
        let level = grid(1.0, &[2.0; 9]);
        let shade = |g: &Grid| hillshade(g, 315.0, 45.0, 1.0)[4];
        assert!(shade(&to_the_light) > shade(&level) && shade(&level) > shade(&away));
        assert_eq!(shade(&level), (1.0 + 254.0 * 0.5f64.sqrt()).round() as u8);
        assert_eq!(hillshade(&level, f64::NAN, 45.0, 1.0)[4], 1);
    }

    #[test]
    fn missing_ground_has_no_slope_and_no_shade() {
        let g = grid(1.0, &[f32::NAN, 1.0, 2.0, 0.0, 1.0, 2.0, 0.0, 1.0, 2.0]);
        assert!(slope_ratio(&g)[0].is_nan());
        assert_eq!(hillshade(&g, 315.0, 45.0, 1.0)[0], 0);
        assert_eq!(slope_at(&g, 1, 1), Some(Slope { ratio: 1.0, aspect_deg: 270.0 }));
    }
}
