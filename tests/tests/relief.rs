//! Contours, slope, aspect and curvature of real ground against libraries outside this project:
//! `tests/reference/relief_values.py` says which. The ground lies beside the project; where it is absent these tests
//! say so and pass.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test")]

use std::collections::BTreeMap;

use serde_json::Value;
use terrain::{Contour, Grid};
use whole_house::root;

use crate::common::ground;

const GRIDS: [&str; 4] = ["slo_hills_1m", "ia_slope_s_3m", "ia_patches_h_3m", "at_hoal_10m"];

/// Each grid that is at hand with its reference.
fn grounds() -> Vec<(Grid, Value)> {
    let text = std::fs::read_to_string(root().join("tests/reference/relief_values.json")).unwrap();
    let mut values: Value = serde_json::from_str(&text).unwrap();
    GRIDS.iter().filter_map(|name| Some((ground(name)?, values[name].take()))).collect()
}

fn numbers(row: &Value) -> Vec<f64> {
    row.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

fn length_m(lines: &[&Contour]) -> f64 {
    lines.iter().map(|line| measure::path_length(&line.points)).sum()
}

#[test]
fn contours_have_the_lengths_of_a_plotting_library_level_by_level() {
    for (grid, expected) in grounds() {
        let interval_m = expected["interval_m"].as_f64().unwrap();
        let lines = terrain::contours(&grid, interval_m, 2);
        assert_eq!(lines, terrain::contours(&grid, interval_m, 1));
        let mut levels: BTreeMap<i64, Vec<&Contour>> = BTreeMap::new();
        for line in &lines {
            levels.entry((line.level_m / interval_m).round() as i64).or_default().push(line);
        }
        let theirs: Vec<Vec<f64>> = expected["contours"].as_array().unwrap().iter().map(numbers).collect();
        assert_eq!(levels.len(), theirs.len());
        for level in theirs {
            let ours = &levels[&(level[0] as i64)];
            assert!((length_m(ours) / level[1] - 1.0).abs() < 1e-6, "{level:?}: {}", length_m(ours));
            assert_eq!(ours.len(), level[2] as usize, "{level:?}");
        }
    }
}

#[test]
fn every_corner_of_a_contour_lies_on_the_surface() {
    for (grid, expected) in grounds() {
        for line in terrain::contours(&grid, expected["interval_m"].as_f64().unwrap(), 2) {
            // Beside a gap a corner a rounding off its side has no ground.
            for level_m in line.points.iter().filter_map(|&at| grid.elevation(at)) {
                assert!((level_m - line.level_m).abs() < 1e-4, "{level_m} on the contour {}", line.level_m);
            }
        }
    }
}

#[test]
fn slope_aspect_and_curvature_are_those_of_convolutions() {
    for (grid, expected) in grounds() {
        let slope = terrain::slope_ratio(&grid, 2);
        let aspect = terrain::aspect_deg(&grid, 2);
        let (profile, plan) = (terrain::profile_curvature(&grid, 2), terrain::plan_curvature(&grid, 2));
        for row in expected["cells"].as_array().unwrap().iter().map(numbers) {
            let cell = row[0] as usize * grid.cols() + row[1] as usize;
            let [ours_slope, ours_aspect, ours_profile, ours_plan] =
                [&slope, &aspect, &profile, &plan].map(|values| values[cell] as f64);
            assert!((ours_slope - row[2]).abs() <= 1e-6 * row[2], "slope {ours_slope}, not {}", row[2]);
            assert!((ours_aspect - row[3]).abs() < 1e-4, "aspect {ours_aspect}, not {}", row[3]);
            let near = |ours: f64, theirs: f64| (ours - theirs).abs() <= 1e-6 * theirs.abs() + 1e-9;
            assert!(near(ours_profile, row[4]), "profile {ours_profile}: {row:?}");
            assert!(near(ours_plan, row[5]), "plan {ours_plan}: {row:?}");
        }
    }
}
