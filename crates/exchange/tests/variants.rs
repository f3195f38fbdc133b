//! GeoTIFF in ninety encodings against what rasterio reads of the same bytes (tests/reference/tiff_variants.py wrote both).

#![allow(clippy::unwrap_used, reason = "a test may fail loudly")]

use std::ops::ControlFlow;

use exchange::{Effort, FileError, GroundFile, ReadOptions, read_geotiff, read_ground_with};
use serde_json::Value;
use terrain::Grid;
use terrain::Surface;

fn files() -> Vec<Value> {
    let text = include_str!("../../../tests/reference/tiff_variants.json");
    let mut values: Value = serde_json::from_str(text).unwrap();
    serde_json::from_value(values["files"].take()).unwrap()
}

fn bytes(entry: &Value) -> Vec<u8> {
    let text = entry["bytes"].as_str().unwrap();
    (0..text.len()).step_by(2).map(|at| u8::from_str_radix(&text[at..at + 2], 16).unwrap()).collect()
}

fn grid(file: &GroundFile) -> &Grid {
    match &file.surface {
        Surface::Grid(grid) => grid,
        _ => panic!("no grid"),
    }
}

fn check(name: &str, entry: &Value, grid: &Grid) {
    let (low, high) = grid.extent();
    for (found, due) in [low.x, low.y, high.x, high.y].into_iter().zip(entry["extent"].as_array().unwrap()) {
        assert!((found - due.as_f64().unwrap()).abs() < 1e-6, "{name}: edge {found}, not {due}");
    }
    let missing = grid.levels().iter().filter(|level| level.is_nan()).count();
    assert_eq!(missing as u64, entry["missing"].as_u64().unwrap(), "{name}");
    let sum: f64 = grid.levels().iter().filter(|level| !level.is_nan()).map(|level| f64::from(*level)).sum();
    assert!((sum / entry["sum"].as_f64().unwrap() - 1.0).abs() < 1e-6, "{name}: {sum}");
    for cell in entry["cells"].as_array().unwrap() {
        let (row, col) = (cell[0].as_u64().unwrap() as usize, cell[1].as_u64().unwrap() as usize);
        let found = f64::from(grid.level(col, row));
        match cell[2].as_f64() {
            Some(due) => assert!((found - due).abs() < 1e-4, "{name}: {found}, not {due}"),
            None => assert!(found.is_nan(), "{name}: {found} where nothing is"),
        }
    }
}

#[test]
fn every_encoding_is_read_as_rasterio_reads_it_or_refused_with_words() {
    let files = files();
    for entry in &files {
        let name = entry["name"].as_str().unwrap();
        match read_geotiff(&bytes(entry), &ReadOptions::default()) {
            Ok(file) => check(name, entry, grid(&file)),
            Err(FileError::Unsupported { .. }) if name.starts_with("no_") => {}
            Err(error) => panic!("{name}: {error}"),
        }
    }
    assert_eq!(files.len(), 90);
}

/// A rectangle has the cells that the whole grid has there, whatever the pieces, the turn of the grid and the threads.
#[test]
fn a_part_is_a_part_of_the_whole() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("part.tif");
    for entry in files().iter().filter(|entry| entry["cells"].is_array()) {
        let name = entry["name"].as_str().unwrap();
        std::fs::write(&path, bytes(entry)).unwrap();
        let read = |crop_to, threads| {
            let options = ReadOptions { crop_to, ..ReadOptions::default() };
            read_ground_with(&path, &options, &Effort { threads, ..Effort::PLAIN }).unwrap()
        };
        let whole = read(None, 1);
        assert!(same(grid(&whole), grid(&read(None, 3))), "{name}");
        let unit_m = whole.horizontal_unit.metres();
        let corner = |col, row| grid(&whole).centre(col, row);
        let (from, to) = (corner(4, 14), corner(19, 2));
        let inside = [from.x, from.y, to.x, to.y].map(|edge| edge / unit_m);
        let part = read(Some(inside), 2);
        let due = grid(&whole).crop(terrain::Window { col: 4, row: 2, cols: 16, rows: 13 });
        assert!(near(grid(&part), &due.unwrap()), "{name}: {:?}", grid(&part).extent());
    }
}

fn same(a: &Grid, b: &Grid) -> bool {
    let bits = |grid: &Grid| grid.levels().iter().map(|level| level.to_bits()).collect::<Vec<_>>();
    a.extent() == b.extent() && bits(a) == bits(b)
}

/// A rectangle whose edges lie on centres may take in one more row or column by rounding.
fn near(part: &Grid, due: &Grid) -> bool {
    let (extra_cols, extra_rows) = (part.cols() - due.cols(), part.rows() - due.rows());
    let there = |(col, row): (usize, usize)| part.cell_at(due.centre(col, row));
    let cells = (0..due.rows()).flat_map(|row| (0..due.cols()).map(move |col| (col, row)));
    let equal = |cell: (usize, usize)| {
        let level = there(cell).map(|(col, row)| part.level(col, row).to_bits());
        level == Some(due.level(cell.0, cell.1).to_bits())
    };
    extra_cols <= 2 && extra_rows <= 2 && cells.into_iter().all(equal)
}

#[test]
fn a_watcher_sees_the_work_grow_and_can_stop_it() {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in [
        ("a.tif", bytes(files().iter().find(|entry| entry["name"] == "bands_band_3").unwrap())),
        (
            "a.asc",
            format!("ncols 9\nnrows 9\nxllcorner 0\nyllcorner 0\ncellsize 1\n{}", "5 ".repeat(81)).into_bytes(),
        ),
    ] {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        let seen = std::sync::Mutex::new(Vec::new());
        let watch = |share| {
            seen.lock().unwrap().push(share);
            ControlFlow::Continue(())
        };
        read_ground_with(&path, &ReadOptions::default(), &Effort { threads: 1, watch: &watch }).unwrap();
        let shares = seen.into_inner().unwrap();
        assert!(shares.is_sorted() && shares.len() > 1 && shares.last() == Some(&1.0), "{shares:?}");
        let stop = Effort { threads: 2, watch: &|_| ControlFlow::Break(()) };
        assert!(matches!(read_ground_with(&path, &ReadOptions::default(), &stop), Err(FileError::Stopped)));
    }
}
