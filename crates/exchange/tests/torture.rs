//! Every file of the torture set against what its manifest says a reader should find.
//!
//! The files are one 160 × 200 window of a national lidar terrain model (ARSO, Slovenia; Apache-2.0 copy) written as
//! GeoTIFF in many encodings. They stand beside the project; without them the test says so and passes.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

use std::path::PathBuf;

use exchange::{Ask, FileError, GroundFile, ReadOptions, read_ground};
use measure::{LengthUnit, Point};
use serde_json::Value;
use terrain::Grid;
use terrain::Surface;

fn shared(name: &str) -> Option<PathBuf> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain").join(name);
    let there = path.exists();
    if !there {
        eprintln!("skipped: {} is not there", path.display());
    }
    there.then_some(path)
}

fn grid(file: &GroundFile) -> &Grid {
    match &file.surface {
        Surface::Grid(grid) => grid,
        _ => panic!("shots where a grid is due"),
    }
}

/// Place of a cell centre by the manifest's transform.
fn place(entry: &Value, row: f64, col: f64) -> Point {
    let t: Vec<f64> = match entry["transform"].as_array() {
        Some(numbers) => numbers.iter().map(|v| v.as_f64().unwrap()).collect(),
        None => vec![1.0, 0.0, 0.0, 0.0, -1.0, 0.0],
    };
    Point::new(t[2] + (col + 0.5) * t[0], t[5] + (row + 0.5) * t[4])
}

/// Compares the manifest's cells, at their places, so that turned grids are held to the same.
fn check_cells(entry: &Value, file: &GroundFile, name: &str) {
    let grid = grid(file);
    let tolerance = entry["tolerance_m"].as_f64().unwrap();
    for cell in entry["cells_m"].as_array().unwrap() {
        let at = place(entry, cell[0].as_f64().unwrap(), cell[1].as_f64().unwrap());
        let (col, row) = grid.cell_at(at).unwrap_or_else(|| panic!("{name}: {at:?} is outside"));
        let found = grid.level(col, row);
        match cell[2].as_f64() {
            Some(level) => assert!((f64::from(found) - level).abs() <= tolerance, "{name}: {found} is not {level}"),
            None => assert!(found.is_nan(), "{name}: {found} where nothing was measured"),
        }
    }
}

fn check_grid(entry: &Value, file: &GroundFile, name: &str) {
    let grid = grid(file);
    assert_eq!(
        (grid.rows() as u64, grid.cols() as u64),
        (entry["rows"].as_u64().unwrap(), entry["cols"].as_u64().unwrap()),
        "{name}"
    );
    let expected = entry["crs"].as_str();
    assert_eq!(file.crs.as_ref().map(|crs| crs.name()).as_deref(), expected, "{name}");
    if entry["transform"].is_array() {
        let corner = place(entry, 0.0, 0.0);
        let (col, row) = grid.cell_at(corner).unwrap();
        assert!(measure::distance(grid.centre(col, row), corner) < 1e-6, "{name}: off its place");
    }
    check_cells(entry, file, name);
}

/// A level of a resampled grid against the manifest's cell, at the cell's place on the earth.
fn check_reprojected(entry: &Value, file: &GroundFile, from: u32) {
    let source = exchange::Crs::from_epsg(from).unwrap();
    let to = file.crs.as_ref().unwrap();
    for cell in entry["cells_m"].as_array().unwrap() {
        let Some(level) = cell[2].as_f64() else { continue };
        let (lon, lat) =
            source.to_lon_lat(place(entry, cell[0].as_f64().unwrap(), cell[1].as_f64().unwrap())).unwrap();
        let found = grid(file).elevation(to.from_lon_lat(lon, lat).unwrap()).unwrap();
        assert!((found - level).abs() < 0.15, "{found} is not {level}");
    }
}

#[test]
fn every_torture_file_does_what_its_manifest_says() {
    let Some(manifest) = shared("torture-tiff/manifest.json") else { return };
    let entries: Vec<Value> = serde_json::from_slice(&std::fs::read(manifest).unwrap()).unwrap();
    let mut refused = Vec::new();
    for entry in &entries {
        let name = entry["file"].as_str().unwrap();
        let Some(path) = shared("torture-tiff").map(|dir| dir.join(name)) else { return };
        let result = read_ground(&path, &ReadOptions::default());
        match (entry["expect"].as_str().unwrap(), result) {
            ("refuse" | "refuse-too-small", Err(_)) => refused.push(name),
            ("read-or-refuse", Err(FileError::Unsupported { found, .. })) => {
                assert!(!found.is_empty());
                refused.push(name);
            }
            ("read" | "read-or-refuse" | "read-mask-or-warn", Ok(file)) => check_grid(entry, &file, name),
            ("read-and-warn", Ok(file)) => {
                assert!(file.notes.len() >= 2, "{name}: {:?}", file.notes);
                check_grid(entry, &file, name);
            }
            ("read-and-ask" | "read-or-ask", Ok(file)) => {
                assert!(file.asks.contains(&Ask::Crs) || file.asks.contains(&Ask::Place), "{name}: {:?}", file.notes);
            }
            ("reproject-or-refuse", Ok(file)) => check_reprojected(entry, &file, 4258),
            ("warn-or-refuse", Ok(file)) => check_reprojected(entry, &file, 3857),
            ("read-units", Ok(file)) => {
                assert_eq!(file.vertical_unit, Some(LengthUnit::Foot));
                check_grid(entry, &file, name);
            }
            (expect, result) => {
                panic!("{name}: expected to {expect}, got {result:?}", result = result.map(|f| f.notes))
            }
        }
    }
    assert_eq!(entries.len(), 54);
    assert_eq!(refused.len(), 6, "{refused:?}");
}

/// The definition that rasterio 1.4 reads in the keys of `at_hoal_10m.tif`, which name no code.
const LAEA: &str = "+proj=laea +lat_0=52 +lon_0=10 +x_0=4321000 +y_0=3210000 +ellps=GRS80 +units=m +no_defs";

/// The terrain models of the set, with what their list of sources says of them.
#[test]
fn the_whole_terrain_models_are_read() {
    for (name, size, crs) in [
        ("dem/ia_slope_s_3m.tif", (356, 258), Some("EPSG:26915")),
        ("dem/ia_slope_s_3m.asc", (356, 258), None),
        ("dem/ia_patches_h_3m.tif", (395, 187), Some("EPSG:26915")),
        ("dem/slo_hills_1m.tif", (1000, 1000), Some("EPSG:3794")),
        ("dem/at_hoal_10m.tif", (195, 132), Some(LAEA)),
    ] {
        let Some(path) = shared(name) else { return };
        let file = read_ground(&path, &ReadOptions::default()).unwrap();
        assert_eq!((grid(&file).cols(), grid(&file).rows()), size, "{name}");
        assert_eq!(file.crs.as_ref().map(|crs| crs.name()).as_deref(), crs, "{name}: {:?}", file.notes);
    }
}

#[test]
fn the_two_forms_of_one_model_agree() {
    let (Some(tif), Some(asc)) = (shared("dem/ia_slope_s_3m.tif"), shared("dem/ia_slope_s_3m.asc")) else { return };
    let (tif, asc) =
        (read_ground(&tif, &ReadOptions::default()).unwrap(), read_ground(&asc, &ReadOptions::default()).unwrap());
    for (a, b) in grid(&tif).levels().iter().zip(grid(&asc).levels()) {
        assert!((a - b).abs() < 0.006 || (a.is_nan() && b.is_nan()), "{a} is not {b}");
    }
}

#[test]
fn a_crop_keeps_only_the_rectangle() {
    let Some(path) = shared("dem/slo_hills_1m.tif") else { return };
    let rectangle = [564_100.0, 146_500.0, 564_200.0, 146_600.0];
    let options = ReadOptions { crop_to: Some(rectangle), ..ReadOptions::default() };
    let file = read_ground(&path, &options).unwrap();
    assert!((100..=104).contains(&grid(&file).cols()) && (100..=104).contains(&grid(&file).rows()));
    let away = [0.0, 0.0, 10.0, 10.0];
    assert!(read_ground(&path, &ReadOptions { crop_to: Some(away), ..ReadOptions::default() }).is_err());
}

#[test]
fn too_many_cells_are_refused_before_they_are_read() {
    let Some(path) = shared("dem/slo_hills_1m.tif") else { return };
    let options = ReadOptions { most_cells: 999_999, ..ReadOptions::default() };
    assert!(matches!(read_ground(&path, &options), Err(FileError::TooManyCells { .. })));
}

#[test]
fn the_point_files_are_read_whole() {
    for (name, count, sure) in [
        ("points/mt_field_i_2016.csv", 21_551, true),
        ("points/mt_field_w_2014_noisy.csv", 47_872, true),
        ("points/ar_wheat_field_10m_grid.csv", 5_982, true),
    ] {
        let Some(path) = shared(name) else { return };
        let file = read_ground(&path, &ReadOptions::default()).unwrap();
        let Surface::Shots(shots) = &file.surface else { panic!("a grid where shots are due") };
        assert_eq!(shots.len(), count, "{name}");
        assert_eq!(!file.asks.contains(&Ask::Columns), sure, "{name}");
    }
}
