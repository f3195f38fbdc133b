//! Slope and shaded relief from the 3 × 3 neighbourhood of each cell.

use crate::{Grid, parallel};

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

/// Slope at a cell by the weights of [HORN81]. `None` where the cell is missing.
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

/// Slope of every cell as a ratio (Horn 1981), row by row from the north; `NaN` where missing. Worked out in single
/// precision with up to `threads` threads.
pub fn slope_ratio(grid: &Grid, threads: usize) -> Vec<f32> {
    let mut ratios = vec![0.0; grid.levels().len()];
    slope_ratio_into(grid, threads, &mut ratios);
    ratios
}

/// [`slope_ratio`] into memory at hand: on large grids to get it anew takes longer than the slopes.
pub fn slope_ratio_into(grid: &Grid, threads: usize, ratios: &mut Vec<f32>) {
    let exact = |rise: Rise| rise.east.hypot(rise.north) as f32;
    let hot = |[east, north]: [f32; 2]| (east * east + north * north).sqrt();
    let slow = |col, row| rise(grid, col, row).map_or(f32::NAN, exact);
    sweep(grid, threads, ratios, hot, slow, |ratio| ratio.is_finite());
}

/// Direction downhill of every cell (Horn 1981), degrees clockwise from grid north, 0 to 360; 0 on level ground, `NaN`
/// where missing.
pub fn aspect_deg(grid: &Grid, threads: usize) -> Vec<f32> {
    parallel::cells(grid, threads, |col, row| {
        slope_at(grid, col, row).map_or(f32::NAN, |slope| slope.aspect_deg as f32)
    })
}

/// Shaded relief: 1 in full shadow to 255 in full light, 0 where ground is missing, row by row from the north.
///
/// Light comes from `azimuth_deg` (clockwise from north) at `altitude_deg` above the horizon; heights count
/// `exaggeration` times. The shade is the cosine between the light and the ground's normal (Lambert). Worked out in
/// single precision with up to `threads` threads.
pub fn hillshade(grid: &Grid, azimuth_deg: f64, altitude_deg: f64, exaggeration: f64, threads: usize) -> Vec<u8> {
    let (azimuth, altitude) = (azimuth_deg.to_radians(), altitude_deg.to_radians());
    let light = [azimuth.sin() * altitude.cos(), azimuth.cos() * altitude.cos(), altitude.sin()];
    let ([x, y, z], steep) = (light.map(|part| part as f32), exaggeration as f32);
    let hot = |[east, north]: [f32; 2]| {
        let (east, north) = (east * steep, north * steep);
        let cosine = (z - east * x - north * y) / (1.0 + east * east + north * north).sqrt();
        let shade = if cosine.is_nan() { 0.0 } else { 1.0 + 254.0 * cosine.clamp(0.0, 1.0) };
        // Adding 2^23 rounds to a whole number, which the low bits then hold.
        (shade + 8_388_608.0).to_bits() as u8
    };
    let slow = |col, row| rise(grid, col, row).map_or(0, |rise| shade(rise, light, exaggeration));
    let mut shades = vec![0; grid.levels().len()];
    sweep(grid, threads, &mut shades, hot, slow, |shade| shade > 0);
    shades
}

/// A value for every cell, row by row from the north: `hot` works from the rise to the east and to the north in single
/// precision, whole rows at a time; `slow` does the cells on the border and those that are not `settled` by it.
fn sweep<T: Copy + Default + Send>(
    grid: &Grid,
    threads: usize,
    values: &mut Vec<T>,
    hot: impl Fn([f32; 2]) -> T + Sync,
    slow: impl Fn(usize, usize) -> T + Sync,
    settled: impl Fn(T) -> bool + Sync,
) {
    let (cols, rows) = (grid.cols(), grid.rows());
    values.resize(cols * rows, T::default());
    parallel::rows(values, cols, threads, |row, line| {
        let inner = 1..if row > 0 && row + 1 < rows { cols - 1 } else { 1 };
        if !inner.is_empty() {
            hot_row(grid, row, &mut line[inner.clone()], &hot);
        }
        for (k, part) in line.chunks_mut(64).enumerate() {
            let whole = k > 0 && k * 64 + 64 < cols && !inner.is_empty();
            if whole && part.iter().fold(true, |all, value| all & settled(*value)) {
                continue;
            }
            for (value, col) in part.iter_mut().zip(k * 64..) {
                if !inner.contains(&col) || !settled(*value) {
                    *value = slow(col, row);
                }
            }
        }
    });
}

/// The inner cells of a row from those round them; what stands in a gap or beside one is not finite.
///
/// Differences between neighbours are taken first: they are exact in single precision, their sums nearly so.
fn hot_row<T>(grid: &Grid, row: usize, values: &mut [T], hot: impl Fn([f32; 2]) -> T) {
    let count = values.len();
    let line = |row: usize| [0, 1, 2].map(|by| &grid.levels()[row * grid.cols() + by..][..count]);
    let ([nw, n, ne], [w, here, e], [sw, s, se]) = (line(row - 1), line(row), line(row + 1));
    let (x_m, y_m) = grid.cell_m();
    let (per_x, per_y) = ((0.125 / x_m) as f32, (0.125 / y_m) as f32);
    for (k, value) in values.iter_mut().enumerate() {
        let (rising, falling) = (ne[k] - sw[k], se[k] - nw[k]);
        let gap = 0.0 * here[k];
        let east = rising + falling + 2.0 * (e[k] - w[k]) + gap;
        let north = rising - falling + 2.0 * (n[k] - s[k]);
        *value = hot([east * per_x, north * per_y]);
    }
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

    /// The classic window of [SLOPE-EX], 3.800329 and 75.25766 degrees.
    #[test]
    fn slope_example() {
        let g = grid(5.0, &[50.0, 45.0, 50.0, 30.0, 30.0, 30.0, 8.0, 10.0, 10.0]);
        let slope = slope_at(&g, 1, 1).unwrap();
        assert!((slope.ratio - 3.800_328_933).abs() < 1e-9, "{slope:?}");
        assert!((slope.ratio.atan().to_degrees() - 75.257_66).abs() < 1e-4);
    }

    /// The second example of [SLOPE-EX]: aspect 92.64 degrees.
    #[test]
    fn aspect_example() {
        let g = grid(1.0, &[101.0, 92.0, 85.0, 101.0, 92.0, 85.0, 101.0, 91.0, 84.0]);
        assert!((slope_at(&g, 1, 1).unwrap().aspect_deg - 92.64).abs() < 5e-3);
    }

    /// A plane, worked by hand: its slope is kept up to the edge (levels held in single precision).
    #[test]
    fn a_plane_has_one_slope() {
        let levels = (0..100).map(|i| (0.002 * (i % 10) as f64 - 0.001 * (i / 10) as f64) as f32).collect();
        let g = Grid::new((10, 10), (0.0, 0.0), (1.0, 1.0), levels).unwrap();
        assert!(slope_ratio(&g, 1).iter().all(|ratio| (ratio - 0.002_236_068).abs() < 1e-8));
    }

    #[test]
    fn light_from_the_north_west_brightens_that_side() {
        let to_the_light = grid(1.0, &[0.0, 1.0, 2.0, 1.0, 2.0, 3.0, 2.0, 3.0, 4.0]);
        let away = grid(1.0, &[4.0, 3.0, 2.0, 3.0, 2.0, 1.0, 2.0, 1.0, 0.0]);
        let level = grid(1.0, &[2.0; 9]);
        let shade = |g: &Grid| hillshade(g, 315.0, 45.0, 1.0, 1)[4];
        assert!(shade(&to_the_light) > shade(&level) && shade(&level) > shade(&away));
        assert_eq!(shade(&level), (1.0 + 254.0 * 0.5f64.sqrt()).round() as u8);
        assert_eq!(hillshade(&level, f64::NAN, 45.0, 1.0, 1)[4], 1);
    }

    #[test]
    fn missing_ground_has_no_slope_and_no_shade() {
        let g = grid(1.0, &[f32::NAN, 1.0, 2.0, 0.0, 1.0, 2.0, 0.0, 1.0, 2.0]);
        assert!(slope_ratio(&g, 1)[0].is_nan());
        assert_eq!(hillshade(&g, 315.0, 45.0, 1.0, 1)[0], 0);
        assert_eq!(slope_at(&g, 1, 1), Some(Slope { ratio: 1.0, aspect_deg: 270.0 }));
        assert_eq!(aspect_deg(&g, 1)[1..3], [270.0; 2]);
    }

    /// Hills with holes, wider than the parts in which rows are looked through.
    fn hills(cols: usize, rows: usize) -> Grid {
        let level = |cell: usize| match cell * 7919 % 1013 {
            0 => f32::NAN,
            noise => {
                300.0 + ((cell % cols) as f32 / 7.0).sin() * 2.0 + (cell / cols) as f32 * 0.02 + noise as f32 * 1e-4
            }
        };
        Grid::new((cols, rows), (0.0, 0.0), (1.0, 1.5), (0..cols * rows).map(level).collect()).unwrap()
    }

    #[test]
    fn whole_rows_agree_with_cell_by_cell_in_double_precision() {
        for (cols, rows) in [(300, 70), (64, 40), (65, 40), (2, 2), (3, 3), (2, 9)] {
            let grid = hills(cols, rows);
            let (slopes, shades) = (slope_ratio(&grid, 2), hillshade(&grid, 315.0, 45.0, 4.0, 2));
            assert_eq!(shades, hillshade(&grid, 315.0, 45.0, 4.0, 1));
            let light = [-0.5, 0.5, 0.5f64.sqrt()];
            for cell in 0..cols * rows {
                let rise = rise(&grid, cell % cols, cell / cols);
                assert_eq!((slopes[cell].is_nan(), shades[cell] == 0), (rise.is_none(), rise.is_none()));
                let Some(rise) = rise else { continue };
                let ratio = rise.east.hypot(rise.north);
                assert!((slopes[cell] as f64 - ratio).abs() <= 1e-6 * ratio, "{ratio} at {cell}");
                assert!(shades[cell].abs_diff(shade(rise, light, 4.0)) <= 1);
            }
        }
    }
}
