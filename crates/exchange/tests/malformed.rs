//! Every broken or dubious file of the malformed set, and what becomes of it.
//!
//! The files were made for this purpose: TIFF, ASCII grids, point tables and GeoJSON. They stand beside the project;
//! without them the test says so and passes. The table below is checked to name every file of the manifest.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use exchange::{Boundary, Crs, FileError, GroundFile, ReadOptions, guess_columns, read_ground, read_polygons};
use measure::Point;
use serde_json::Value;
use terrain::Surface;

/// What becomes of a file.
enum Outcome {
    /// Read, with a note that holds these words (none where empty), and so many shots, cells or polygons.
    Read(usize, &'static str),
    /// Refused with a message that holds these words.
    Refused(&'static str),
}
use Outcome::{Read, Refused};

const CELLS: usize = 40 * 30;

const TIFFS: [(&str, Outcome); 40] = [
    ("tiff_7_bytes.tif", Refused("ends too early")),
    ("tiff_header_only.tif", Refused("past the end")),
    ("tiff_truncated_last_byte.tif", Read(CELLS, "")),
    ("tiff_text.tif", Refused("no TIFF mark")),
    ("tiff_png_inside.tif", Refused("no TIFF mark")),
    ("tiff_magic_43_small_offsets.tif", Refused("past the end")),
    ("tiff_ifd_past_end.tif", Refused("past the end")),
    ("tiff_huge_dims.tif", Refused("2147483647 × 2147483647")),
    ("tiff_rowsperstrip_0.tif", Refused("0 rows a strip")),
    ("tiff_rowsperstrip_max.tif", Read(CELLS, "")),
    ("tiff_strip_offset_past_end.tif", Refused("past the end")),
    ("tiff_strip_count_huge.tif", Refused("past the end")),
    ("tiff_strip_arrays_differ.tif", Refused("tag 279")),
    ("tiff_too_few_strips.tif", Refused("expected 6 pieces")),
    ("tiff_sampleformat_9.tif", Refused("tag 339: found 9")),
    ("tiff_compression_jpeg.tif", Refused("JPEG")),
    ("tiff_deflate_corrupt.tif", Refused("tag 279: found 0 bytes at byte 523")),
    ("tiff_tile_width_0.tif", Refused("tag 322")),
    ("tiff_tile_width_17.tif", Refused("multiple of 16")),
    ("tiff_scale_zero.tif", Refused("cell above 0")),
    ("tiff_scale_negative.tif", Read(CELLS, "first row of the file is the south edge")),
    ("tiff_scale_nan.tif", Refused("NaN")),
    ("tiff_scale_one_value.tif", Refused("three numbers")),
    ("tiff_no_tiepoint.tif", Read(CELLS, "placed at 0, 0")),
    ("tiff_tiepoint_at_cell_10_5.tif", Read(CELLS, "")),
    ("tiff_tiepoint_many.tif", Refused("ground control points")),
    ("tiff_tiepoint_inf.tif", Refused("inf")),
    ("tiff_geokeys_odd_length.tif", Read(CELLS, "unreadable")),
    ("tiff_geokeys_version_9.tif", Read(CELLS, "unreadable")),
    ("tiff_epsg_user_defined_empty.tif", Read(CELLS, "of the file's own making")),
    ("tiff_crs_geographic_but_metres.tif", Read(CELLS, "do not fit EPSG:4326")),
    ("tiff_crs_utm_but_degrees.tif", Read(CELLS, "look like degrees")),
    ("tiff_crs_wrong_zone.tif", Read(CELLS, "do not fit EPSG:26918")),
    ("tiff_two_crs_units_clash.tif", Read(CELLS, "contradicts itself")),
    ("tiff_nodata_word.tif", Read(CELLS, "'none'")),
    ("tiff_nodata_no_nul.tif", Read(CELLS, "")),
    ("tiff_nan_inf.tif", Read(CELLS, "beyond 1e30")),
    ("tiff_value_type_ascii.tif", Refused("tag 256")),
    ("tiff_duplicate_width.tif", Refused("twice")),
    ("asc_control_good.asc", Read(48, "")),
];

const TEXTS: [(&str, Outcome); 35] = [
    ("asc_crlf.asc", Read(48, "")),
    ("asc_upper_and_order.asc", Read(48, "")),
    ("asc_center.asc", Read(48, "")),
    ("asc_no_nodata_line.asc", Read(48, "")),
    ("asc_one_long_line.asc", Read(48, "")),
    ("asc_tabs_and_spaces.asc", Read(48, "")),
    ("asc_decimal_comma.asc", Read(48, "decimal commas")),
    ("asc_long.asc", Read(48, "the rest is ignored")),
    ("asc_word.asc", Refused("line 7, column 22")),
    ("asc_nan.asc", Read(48, "taken as missing")),
    ("asc_ncols_float.asc", Read(48, "")),
    ("asc_huge.asc", Refused("4000000000 × 4000000000")),
    ("asc_header_only.asc", Refused("8 × 6")),
    ("csv_no_header.csv", Read(200, "column 2 is taken as easting, 3 as northing")),
    ("csv_pnezd.csv", Read(200, "column 3 is taken as easting, 2 as northing")),
    ("csv_spaces_fixed.txt", Read(200, "column 2 is taken as easting")),
    ("csv_pipe.csv", Read(200, "")),
    ("csv_mixed_delimiters.csv", Refused("133 of 200 rows")),
    ("csv_bom.csv", Read(200, "")),
    ("csv_utf16le.csv", Read(200, "")),
    ("csv_crlf.csv", Read(200, "")),
    ("csv_cr_only.csv", Read(200, "")),
    ("csv_quoted.csv", Read(200, "")),
    ("csv_thousands.csv", Read(200, "thousands")),
    ("csv_swapped_xy_one.csv", Read(199, "away from the rest")),
    ("csv_collinear.csv", Refused("on one line")),
    ("csv_two_points.csv", Refused("2 points")),
    ("csv_header_only.csv", Refused("no row with three numbers")),
    ("csv_empty.csv", Refused("no text")),
    ("csv_blank_lines_only.csv", Refused("no text")),
    ("csv_all_same_place.csv", Refused("one place")),
    ("csv_scientific.csv", Read(200, "")),
    ("csv_long_line.csv", Refused("line 2")),
    ("csv_nul_bytes.csv", Refused("line 7")),
    ("csv_formula.csv", Read(3, "")),
];

const GEOJSONS: [(&str, Outcome); 34] = [
    ("gj_clockwise.geojson", Read(1, "")),
    ("gj_bowtie.geojson", Refused("crosses itself")),
    ("gj_unclosed.geojson", Read(1, "the ring was closed")),
    ("gj_three_points.geojson", Refused("2 different points")),
    ("gj_repeated_vertices.geojson", Read(1, "repeated points")),
    ("gj_3d.geojson", Read(1, "heights")),
    ("gj_5d.geojson", Read(1, "heights")),
    ("gj_1d.geojson", Refused("at least two numbers")),
    ("gj_mixed_dims.geojson", Read(1, "heights")),
    ("gj_antimeridian.geojson", Refused("360 degrees wide")),
    ("gj_antimeridian_cut.geojson", Read(2, "")),
    ("gj_pole.geojson", Refused("pole")),
    ("gj_projected_no_crs.geojson", Refused("--crs ground")),
    ("gj_projected_crs_member.geojson", Read(1, "")),
    ("gj_crs_nonsense.geojson", Refused("EPSG:1")),
    ("gj_hole_crosses.geojson", Read(1, "outside the boundary")),
    ("gj_hole_equals_outer.geojson", Refused("no area left")),
    ("gj_multipolygon.geojson", Read(2, "")),
    ("gj_two_features.geojson", Read(2, "")),
    ("gj_bare_geometry.geojson", Read(1, "")),
    ("gj_lines_as_boundary.geojson", Refused("LineString")),
    ("gj_empty_polygon.geojson", Refused("no boundary")),
    ("gj_empty_collection.geojson", Refused("no feature")),
    ("gj_null_properties.geojson", Read(1, "")),
    ("gj_missing_type.geojson", Refused("no type")),
    ("gj_type_case.geojson", Refused("'polygon'")),
    ("gj_null_coordinate.geojson", Refused("position 2")),
    ("gj_nan_token.geojson", Refused("column 150")),
    ("gj_truncated.geojson", Refused("line 1, column")),
    ("gj_trailing_comma.geojson", Refused("line 1, column")),
    ("gj_bom.geojson", Read(1, "")),
    ("gj_deep_nest.geojson", Refused("recursion limit")),
    ("gj_topojson.geojson", Refused("TopoJSON")),
    ("gj_tiny_1mm.geojson", Refused("an area of")),
];

const MORE_GEOJSONS: [(&str, Outcome); 2] =
    [("gj_continent.geojson", Refused("100,000 ha")), ("gj_off_the_raster.geojson", Read(1, "cannot overlap"))];

fn folder() -> Option<PathBuf> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/terrain/malformed");
    let there = path.exists();
    if !there {
        eprintln!("skipped: {} is not there", path.display());
    }
    there.then_some(path)
}

fn size(file: &GroundFile) -> usize {
    match &file.surface {
        Surface::Grid(grid) => grid.levels().len(),
        Surface::Shots(shots) => shots.len(),
        Surface::Survey { shots, lines } => shots.len() + lines.len(),
    }
}

fn read(path: &Path) -> Result<(usize, Vec<String>), FileError> {
    if path.extension().is_some_and(|ending| ending == "geojson") {
        let utm = Crs::from_epsg(26915).unwrap();
        let all = read_polygons(&std::fs::read(path).unwrap(), Some(&utm), false)?;
        return Ok((all.len(), all.into_iter().flat_map(|boundary: Boundary| boundary.notes).collect()));
    }
    let file = read_ground(path, &ReadOptions::default())?;
    Ok((size(&file), file.notes))
}

fn check(folder: &Path, name: &str, outcome: &Outcome) {
    let start = Instant::now();
    let result = read(&folder.join(name));
    assert!(start.elapsed() < Duration::from_secs(1), "{name} took {:?}", start.elapsed());
    match (outcome, result) {
        (Read(count, words), Ok((found, notes))) => {
            assert_eq!(*count, found, "{name}");
            assert!(words.is_empty() || notes.iter().any(|note| note.contains(words)), "{name}: {notes:?}");
        }
        (Refused(words), Err(error)) => {
            let text = error.to_string();
            assert!(text.contains(words) && text.contains("expected") | text.contains("limit"), "{name}: {text}");
        }
        (Read(..), Err(error)) => panic!("{name} was refused: {error}"),
        (Refused(_), Ok((_, notes))) => panic!("{name} was read: {notes:?}"),
    }
}

#[test]
fn every_malformed_file_has_its_outcome() {
    let Some(folder) = folder() else { return };
    let all: Vec<&(&str, Outcome)> = TIFFS.iter().chain(&TEXTS).chain(&GEOJSONS).chain(&MORE_GEOJSONS).collect();
    let manifest: Vec<Value> = serde_json::from_slice(&std::fs::read(folder.join("manifest.json")).unwrap()).unwrap();
    let named: Vec<&str> = manifest.iter().map(|entry| entry["file"].as_str().unwrap()).collect();
    assert_eq!(named, all.iter().map(|(name, _)| *name).collect::<Vec<_>>());
    for (name, outcome) in all {
        check(&folder, name, outcome);
    }
}

#[test]
fn files_said_to_lie_in_the_same_place_do() {
    let Some(folder) = folder() else { return };
    let extent = |name: &str| match read_ground(&folder.join(name), &ReadOptions::default()).unwrap().surface {
        Surface::Grid(grid) => grid.extent(),
        _ => panic!("shots where a grid is due"),
    };
    assert_eq!(extent("asc_center.asc"), extent("asc_control_good.asc"));
    assert_eq!(
        extent("tiff_tiepoint_at_cell_10_5.tif"),
        (Point::new(463_439.0, 4_757_041.0), Point::new(463_559.0, 4_757_131.0))
    );
}

#[test]
fn a_byte_order_mark_is_no_part_of_the_first_name() {
    let Some(folder) = folder() else { return };
    let guess = guess_columns(&std::fs::read(folder.join("csv_bom.csv")).unwrap()).unwrap();
    assert_eq!(guess.headers[0], "point");
    assert!(guess.sure && guess.columns.name == Some(0));
}

#[test]
fn notes_that_look_like_formulas_are_kept_as_they_stand() {
    let Some(folder) = folder() else { return };
    let file = read_ground(&folder.join("csv_formula.csv"), &ReadOptions::default()).unwrap();
    let Surface::Shots(shots) = file.surface else { panic!("a grid where shots are due") };
    assert_eq!(shots[0].code.as_deref(), Some("=1+1"));
}
