//! Bytes of any kind: no reader panics, and what is read is finite.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

mod common;

use exchange::{
    Crs, GroundFile, ReadOptions, guess_columns, read_ascii_grid, read_geotiff, read_lines, read_points,
    read_polygons,
};
use proptest::prelude::*;
use terrain::Surface;
use tiff::encoder::{Compression, DeflateLevel};

const ASC: &[u8] = b"ncols 3\nnrows 2\nxllcorner 100\nyllcorner 200\ncellsize 10\nNODATA_value -9999\n1 2 3\n4 5 6\n";
const CSV: &[u8] = b"point,easting,northing,elevation,note\n1,533826.4,5304536.2,817.1,a\n2,533830.4,5304536.2,817.2,\"b\"\n3,533830.4,5304540.2,817.0,c\n";
const JSON: &[u8] = br#"{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"EPSG:26915"}},"features":[{"type":"Feature","properties":{"a":1},"geometry":{"type":"Polygon","coordinates":[[[463439,4756390],[463800,4756390],[463800,4756700],[463439,4756390]]]}},{"type":"Feature","properties":null,"geometry":{"type":"LineString","coordinates":[[463439,4756390],[463800,4756390]]}}]}"#;

/// Few cells, so that a changed header cannot make a test slow.
fn options() -> ReadOptions {
    ReadOptions { most_cells: 100_000, ..ReadOptions::default() }
}

/// Everything read must be finite, or missing in a grid.
fn check(file: GroundFile) {
    match file.surface {
        Surface::Grid(grid) => {
            let (low, high) = grid.extent();
            assert!(low.is_finite() && high.is_finite());
            assert!(grid.levels().iter().all(|level| level.is_nan() || level.is_finite()));
        }
        Surface::Shots(shots) => assert!(shots.iter().all(|s| s.at.is_finite() && s.level_m.is_finite())),
        Surface::Survey { lines, .. } => {
            assert!(lines.iter().flatten().all(|s| s.at.is_finite() && s.level_m.is_finite()));
        }
    }
}

fn read_all(bytes: &[u8]) {
    let _ = read_geotiff(bytes, &options()).map(check);
    let _ = read_ascii_grid(bytes, &options()).map(check);
    let _ = read_points(bytes, &options()).map(check);
    let _ = guess_columns(bytes);
    let utm = Crs::from_epsg(26915).unwrap();
    for (crs, ground) in [(Some(&utm), false), (None, true), (None, false)] {
        let _ = read_polygons(bytes, crs, ground);
        let _ = read_lines(bytes, crs, ground);
    }
}

/// A sound file with some bytes changed and perhaps its end cut off.
fn mutated(base: Vec<u8>) -> impl Strategy<Value = Vec<u8>> {
    let length = base.len();
    let changes = prop::collection::vec((0..length, any::<u8>()), 0..8);
    (changes, 0..length * 4).prop_map(move |(changes, cut)| {
        let mut bytes = base.clone();
        changes.into_iter().for_each(|(at, value)| bytes[at] = value);
        bytes.truncate(cut.max(8));
        bytes
    })
}

fn bases() -> Vec<Vec<u8>> {
    let keys = [[1024, 0, 1, 1], [1025, 0, 1, 1], [3072, 0, 1, 26915], [3076, 0, 1, 9001], [4099, 0, 1, 9002]];
    let degrees = [[1024, 0, 1, 2], [2048, 0, 1, 4326]];
    vec![
        ASC.to_vec(),
        CSV.to_vec(),
        JSON.to_vec(),
        common::geotiff(&keys, Compression::Uncompressed),
        common::geotiff(&keys, Compression::Lzw),
        common::geotiff(&keys, Compression::Packbits),
        common::geotiff(&keys, Compression::Deflate(DeflateLevel::Fast)),
        common::geotiff(&degrees, Compression::Uncompressed),
    ]
}

#[test]
fn the_sound_files_are_read() {
    for (index, base) in bases().iter().enumerate() {
        let read = match index {
            0 => read_ascii_grid(base, &options()).is_ok(),
            1 => read_points(base, &options()).is_ok(),
            2 => read_polygons(base, None, false).is_ok(),
            _ => read_geotiff(base, &options()).is_ok(),
        };
        assert!(read, "file {index}");
    }
}

/// Real files, each with a byte changed at many places: directories, tags and data of every encoding.
#[test]
fn no_changed_byte_of_the_torture_set_panics() {
    // One window of a national lidar terrain model (ARSO, Slovenia) in many encodings; see tests/torture.rs.
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain/torture-tiff");
    let Ok(entries) = std::fs::read_dir(&folder) else {
        eprintln!("skipped: {} is not there", folder.display());
        return;
    };
    for path in entries.map(|entry| entry.unwrap().path()).filter(|path| path.extension().is_some_and(|e| e == "tif"))
    {
        let base = std::fs::read(&path).unwrap();
        let places =
            (0..base.len().min(400)).step_by(7).chain((base.len().saturating_sub(400)..base.len()).step_by(11));
        for (round, place) in places.enumerate() {
            let mut bytes = base.clone();
            bytes[place] = [0xff, 0x00, 0x80, 0x01][round % 4];
            let _ = read_geotiff(&bytes, &options()).map(check);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn no_bytes_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read_all(&bytes);
    }

    #[test]
    fn no_text_panics(text in "[-0-9.,;|eE+ \t\r\n\"a-z\u{e9}\u{0}]{0,200}") {
        read_all(text.as_bytes());
    }

    #[test]
    fn no_mutated_file_panics(bytes in (0usize..8).prop_flat_map(|index| mutated(bases().swap_remove(index)))) {
        read_all(&bytes);
    }

    #[test]
    fn no_tag_value_panics(place in 0usize..400, value in any::<u32>(), index in 3usize..8) {
        let mut bytes = bases().swap_remove(index);
        let place = place.min(bytes.len() - 4);
        bytes[place..place + 4].copy_from_slice(&value.to_le_bytes());
        read_all(&bytes);
    }
}
