//! Comparison with general-purpose libraries outside this project: `tests/reference/terrain_values.py` says which.
//!
//! The data lie beside the project, not in it; where they are absent these tests say so and pass.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // helpers of tests, outside the test functions themselves

use std::path::{Path, PathBuf};

use measure::{Point, path_length};
use serde_json::Value;
use terrain::{
    Contour, Grid, Ground, Interpolation, Shot, SurfaceOptions, Survey, Tin, Water, contours, slope_ratio,
};

fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A file of the terrain data, `None` with a note where it is absent.
fn data(file: &str) -> Option<String> {
    let path = project().join("../shared/terrain").join(file);
    let text = std::fs::read_to_string(&path).ok();
    if text.is_none() {
        println!("skipped: {file} is not there");
    }
    text
}

fn reference() -> Value {
    values("terrain_values.json")
}

/// Made by `tests/reference/surface_values.py`.
fn surface_reference() -> Value {
    values("surface_values.json")
}

fn values(file: &str) -> Value {
    let path = project().join("tests/reference").join(file);
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// Rows of numbers of the reference.
fn rows(reference: &Value, name: &str) -> Vec<[f64; 3]> {
    let row = |row: &Value| [0, 1, 2].map(|k| row[k].as_f64().unwrap());
    reference[name].as_array().unwrap().iter().map(row).collect()
}

/// dem/ia_slope_s_3m.asc: 356 × 258 cells of 3 m, gently sloping farmland with soft swales, heights 355 to 369 m.
fn farmland() -> Option<Grid> {
    let text = data("dem/ia_slope_s_3m.asc")?;
    let mut words = text.split_whitespace();
    let header: Vec<f64> = (0..6).map(|_| words.nth(1).unwrap().parse().unwrap()).collect();
    let level = |word: &str| word.parse::<f32>().map(|z| if z as f64 == header[5] { f32::NAN } else { z }).unwrap();
    let (cols, rows, cell_m) = (header[0] as usize, header[1] as usize, header[4]);
    let north_m = header[3] + rows as f64 * cell_m;
    Grid::new((cols, rows), (header[2], north_m), (cell_m, cell_m), words.map(level).collect()).ok()
}

/// points/mt_field_i_2016.csv: 21,551 heights along a combine's track over 92 ha.
fn combine_track() -> Option<Vec<Shot>> {
    let text = data("points/mt_field_i_2016.csv")?;
    Some(text.lines().skip(1).map(|line| shot_of(line, 1)).collect())
}

/// A shot out of a row whose easting stands in some column, the northing and level after it.
fn shot_of(line: &str, column: usize) -> Shot {
    let n: Vec<f64> = line.split(',').map(|word| word.parse().unwrap()).collect();
    Shot { at: Point::new(n[column], n[column + 1]), level_m: n[column + 2] }
}

#[test]
fn filled_surface_is_that_of_the_plain_algorithm() {
    let (Some(grid), expected) = (farmland(), reference()) else { return };
    let water = Water::of(&grid);
    let known = || water.filled().iter().filter(|z| !z.is_nan()).map(|&z| z as f64);
    assert!((known().sum::<f64>() / expected["filled_sum"].as_f64().unwrap() - 1.0).abs() < 1e-12);
    assert_eq!(known().fold(0.0, f64::max), expected["filled_max"].as_f64().unwrap());
    for [row, col, level_m] in rows(&expected, "filled_cells") {
        assert_eq!(water.filled()[row as usize * grid.cols() + col as usize] as f64, level_m);
    }
}

#[test]
fn hollows_are_those_of_the_plain_algorithm() {
    let (Some(grid), expected) = (farmland(), reference()) else { return };
    let hollows = Water::of(&grid).depressions(&grid, 0.0, 0.0);
    let expected = &expected["hollows"];
    assert_eq!(hollows.len() as u64, expected["count"].as_u64().unwrap());
    let close = |ours: f64, name: &str| (ours - expected[name].as_f64().unwrap()).abs() < 1e-6;
    assert!(close(hollows.iter().map(|h| h.volume_m3).sum(), "volume_m3"));
    assert!(close(hollows.iter().map(|h| h.depth_m).fold(0.0, f64::max), "deepest_m"));
    assert!(close(hollows.iter().map(|h| h.cells.len()).max().unwrap() as f64, "largest_cells"));
}

#[test]
fn slopes_are_those_of_a_convolution() {
    let (Some(grid), expected) = (farmland(), reference()) else { return };
    let slopes = slope_ratio(&grid, 2);
    for [row, col, ratio] in rows(&expected, "slope_cells") {
        let ours = slopes[row as usize * grid.cols() + col as usize] as f64;
        assert!((ours - ratio).abs() < 1e-7, "{ours} {ratio}");
    }
}

#[test]
fn contours_are_as_long_as_those_of_a_plotting_library() {
    let (Some(grid), expected) = (farmland(), reference()) else { return };
    let lines = contours(&grid, 0.437, 2);
    for level in expected["contours"].as_array().unwrap() {
        let level_m = level["level_m"].as_f64().unwrap();
        let ours: Vec<&Contour> = lines.iter().filter(|line| (line.level_m - level_m).abs() < 1e-9).collect();
        let length_m: f64 = ours.iter().map(|line| path_length(&line.points)).sum();
        let theirs_m = level["length_m"].as_f64().unwrap();
        assert!((length_m / theirs_m - 1.0).abs() < 1e-9, "{level_m}: {length_m} against {theirs_m}");
        let closed = ours.iter().filter(|line| line.closed).count() as u64;
        assert_eq!(
            (ours.len() as u64, closed),
            (level["lines"].as_u64().unwrap(), level["closed"].as_u64().unwrap())
        );
    }
}

#[test]
fn triangles_give_the_levels_of_a_scientific_library() {
    let (Some(shots), expected) = (combine_track(), reference()) else { return };
    let whole = SurfaceOptions { longest_side_m: Some(f64::INFINITY), ..SurfaceOptions::default() };
    let ground = Ground::from_survey(Survey { shots, ..Survey::default() }, &whole).unwrap();
    let places = rows(&expected, "triangulated");
    let off = |[x, y, level_m]: &[f64; 3]| (ground.elevation(Point::new(*x, *y)).unwrap() - level_m).abs();
    // Four shots on one circle leave two ways to draw the diagonal; anything else must agree.
    let agreeing = places.iter().filter(|place| off(place) < 1e-6).count();
    assert!(agreeing * 100 >= places.len() * 99, "{agreeing} of {}", places.len());
}

/// A number from 0 to 1 for each counter, as the script makes it.
fn mixed(counter: u64) -> f64 {
    let mut z = counter.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

fn place(k: u64) -> Point {
    Point::new(mixed(2 * k + 1), mixed(2 * k + 2))
}

/// Ten thousand places over the whole field; some thousands lie outside, and the cut of a few is a matter of taste.
#[test]
fn the_whole_surface_is_that_of_a_scientific_library() {
    let (Some(shots), expected) = (combine_track(), surface_reference()) else { return };
    let tin = Tin::of(&shots).unwrap();
    let (low, high) = tin.bounds();
    let mut compared = 0;
    for (k, level) in expected["linear"].as_array().unwrap().iter().enumerate() {
        let Some(level) = level.as_f64() else { continue };
        let share = place(k as u64);
        let at = Point::new(low.x + share.x * (high.x - low.x), low.y + share.y * (high.y - low.y));
        let (ours, theirs) = (tin.level(at).unwrap(), 700.0 + level * 1e-5);
        assert!((ours - theirs).abs() < 1e-5, "{ours} against {theirs} at {at:?}");
        compared += 1;
    }
    assert!(compared > 6000, "{compared}");
}

#[test]
fn natural_neighbours_are_those_of_voronoi_areas() {
    let shot = |k: u64| {
        let at = Point::new(100.0 * place(k).x, 100.0 * place(k).y);
        let level_m = 100.0 + 3.0 * (at.x / 9.7 + at.y / 21.0).sin() + 2.0 * (at.x / 16.1 - at.y / 11.5).cos();
        Shot { at, level_m }
    };
    let tin = Tin::of(&(0..2000).map(shot).collect::<Vec<_>>()).unwrap();
    for (k, level) in surface_reference()["natural"].as_array().unwrap().iter().enumerate() {
        let share = place(2000 + k as u64);
        let at = Point::new(10.0 + 80.0 * share.x, 10.0 + 80.0 * share.y);
        let ours = tin.level_by(at, Interpolation::NaturalNeighbour).unwrap();
        assert!((ours - level.as_f64().unwrap()).abs() < 1e-7, "{ours} against {level} at {at:?}");
    }
}

/// points/ar_wheat_field_10m_grid.csv: 5,982 heights on a 10 m grid, four shots on one circle everywhere. Half way
/// between two neighbours the level is their mean, however the squares are cut.
#[test]
fn a_square_net_of_shots_makes_a_surface() {
    let Some(text) = data("points/ar_wheat_field_10m_grid.csv") else { return };
    let shots: Vec<Shot> = text.lines().skip(1).map(|line| shot_of(line, 0)).collect();
    let ground =
        Ground::from_survey(Survey { shots: shots.clone(), ..Survey::default() }, &SurfaceOptions::default());
    let ground = ground.unwrap();
    let mut pairs = 0;
    for (k, a) in shots.iter().enumerate() {
        let east = |b: &&Shot| (b.at.x - a.at.x - 10.0).abs() < 1e-6 && b.at.y == a.at.y;
        let Some(b) = shots[k + 1..].iter().find(east) else { continue };
        let middle = ground.elevation(Point::new((a.at.x + b.at.x) / 2.0, a.at.y)).unwrap();
        assert!((middle - (a.level_m + b.level_m) / 2.0).abs() < 1e-9);
        pairs += 1;
    }
    assert!(pairs > 5000, "{pairs}");
}
