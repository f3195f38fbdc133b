//! Units, systems and answers: what the files say, what the caller says, and what is told of it.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

mod common;

use exchange::{
    Ask, Columns, Crs, Delimiter, FileError, GroundFile, ReadOptions, guess_columns, read_ascii_grid, read_boundary,
    read_geotiff, read_lines, read_points,
};
use measure::{LengthUnit, Point, SURVEY_FOOT_M};
use terrain::Grid;
use terrain::Surface;
use tiff::encoder::{Compression, DeflateLevel};

const UTM15: [[u16; 4]; 2] = [[1024, 0, 1, 1], [3072, 0, 1, 26915]];
const ASC: &str =
    "ncols 3\nnrows 2\nxllcorner 100\nyllcorner 200\ncellsize 10\nNODATA_value -9999\n1 2 3\n4 -9999 6\n";

fn grid(file: &GroundFile) -> &Grid {
    match &file.surface {
        Surface::Grid(grid) => grid,
        _ => panic!("shots where a grid is due"),
    }
}

fn tells(file: &GroundFile, words: &str) -> bool {
    file.notes.iter().any(|note| note.contains(words))
}

fn crs(code: u32) -> Crs {
    Crs::from_epsg(code).unwrap()
}

#[test]
fn a_system_in_survey_feet_scales_places_and_levels() {
    let keys = [[1024, 0, 1, 1], [3072, 0, 1, 2965]];
    let file = read_geotiff(&common::geotiff(&keys, Compression::Uncompressed), &ReadOptions::default()).unwrap();
    assert_eq!((file.horizontal_unit, file.vertical_unit), (LengthUnit::SurveyFoot, None));
    assert!((grid(&file).cell_m().0 - 3.0 * SURVEY_FOOT_M).abs() < 1e-12);
    assert!((f64::from(grid(&file).level(0, 0)) - 260.0 * SURVEY_FOOT_M).abs() < 1e-4);
    assert!(tells(&file, "does not state its vertical unit; US survey feet taken"));
}

#[test]
fn a_vertical_system_names_datum_and_unit() {
    let keys = [UTM15[0], UTM15[1], [4096, 0, 1, 6360]];
    let file = read_geotiff(&common::geotiff(&keys, Compression::Uncompressed), &ReadOptions::default()).unwrap();
    assert_eq!(file.datum.as_deref(), Some("NAVD88 height (ftUS)"));
    assert_eq!(file.vertical_unit, Some(LengthUnit::SurveyFoot));
    assert_eq!(file.horizontal_unit, LengthUnit::Metre);
    assert!(file.asks.is_empty(), "{:?}", file.notes);
}

#[test]
fn cells_named_by_their_centres_lie_half_a_cell_off() {
    let corner = read_geotiff(&common::geotiff(&UTM15, Compression::Lzw), &ReadOptions::default()).unwrap();
    let keys = [UTM15[0], [1025, 0, 1, 2], UTM15[1]];
    let centre = read_geotiff(&common::geotiff(&keys, Compression::Lzw), &ReadOptions::default()).unwrap();
    let (a, b) = (grid(&corner).centre(0, 0), grid(&centre).centre(0, 0));
    assert_eq!((b.x - a.x, b.y - a.y), (-1.5, 1.5));
}

#[test]
fn the_caller_may_name_another_system_and_unit() {
    let options =
        ReadOptions { crs: Some(crs(26916)), vertical_unit: Some(LengthUnit::Foot), ..ReadOptions::default() };
    let file = read_geotiff(&common::geotiff(&UTM15, Compression::Packbits), &options).unwrap();
    assert_eq!(file.crs, Some(crs(26916)));
    assert!(tells(&file, "the file says EPSG:26915; EPSG:26916 is used, as asked"));
    assert!((grid(&file).level(0, 0) - 79.248).abs() < 1e-3);
}

#[test]
fn an_ascii_grid_takes_the_system_it_is_given() {
    let options = ReadOptions { crs: Some(crs(2965)), ..ReadOptions::default() };
    let file = read_ascii_grid(ASC.as_bytes(), &options).unwrap();
    assert_eq!(file.horizontal_unit, LengthUnit::SurveyFoot);
    assert!((grid(&file).extent().0.x - 100.0 * SURVEY_FOOT_M).abs() < 1e-9);
    assert!(grid(&file).level(1, 1).is_nan());
    let local = ReadOptions { crs: Some(Crs::local()), ..ReadOptions::default() };
    let file = read_ascii_grid(ASC.as_bytes(), &local).unwrap();
    assert_eq!((file.crs.clone(), file.asks.contains(&Ask::Crs)), (None, false));
}

#[test]
fn a_grid_that_ends_too_early_says_how_far_it_came() {
    let error = read_ascii_grid(
        b"ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n4\n",
        &ReadOptions::default(),
    );
    assert!(error.unwrap_err().to_string().contains("found 4 values, then the end, expected 6 values"));
}

#[test]
fn a_grid_file_of_the_disk_takes_its_neighbours() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("field.asc");
    std::fs::write(&path, ASC).unwrap();
    std::fs::write(folder.path().join("field.prj"), "PROJCS[\"NAD_1983_UTM_Zone_15N\",UNIT[\"Meter\",1]]").unwrap();
    let file = exchange::read_ground(&path, &ReadOptions::default()).unwrap();
    assert_eq!(file.crs, Some(crs(26915)));
    let missing = exchange::read_ground(&folder.path().join("none.asc"), &ReadOptions::default());
    assert!(matches!(missing, Err(FileError::Io { .. })));
    std::fs::write(folder.path().join("cloud.las"), b"LASF....").unwrap();
    let cloud = exchange::read_ground(&folder.path().join("cloud.las"), &ReadOptions::default());
    assert!(cloud.unwrap_err().to_string().contains("LASF of version 1.0 to 1.4"));
}

#[test]
fn header_words_tell_columns_and_units() {
    let text =
        "Pt No;Northing (ft);Easting (ft);Elev (usft);Desc\n1;10,5;20,5;3,25;tile\n2;11;25;3;inlet\n3;19;21;4;\n";
    let guess = guess_columns(text.as_bytes()).unwrap();
    assert_eq!(guess.delimiter, Delimiter::Semicolon);
    assert_eq!(guess.columns, Columns { x: 2, y: 1, z: 3, name: Some(0), code: Some(4), batch: None, header: true });
    assert_eq!((guess.horizontal_unit, guess.vertical_unit), (Some(LengthUnit::Foot), Some(LengthUnit::SurveyFoot)));
    let file = read_points(text.as_bytes(), &ReadOptions::default()).unwrap();
    let Surface::Shots(shots) = &file.surface else { panic!("a grid where shots are due") };
    assert!((shots[0].at.x - 20.5 * 0.3048).abs() < 1e-12 && (shots[0].level_m - 3.25 * SURVEY_FOOT_M).abs() < 1e-12);
    assert_eq!((shots[1].code.as_deref(), shots[2].code.as_deref(), shots[1].line), (Some("inlet"), None, 3));
}

#[test]
fn columns_may_be_given_by_the_caller() {
    let columns = Some(Columns { x: 1, y: 0, z: 2, name: None, code: None, batch: None, header: false });
    let options = ReadOptions { columns, ..ReadOptions::default() };
    let file = read_points(b"1 2 3\n4 5 6\n9 5 6\n", &options).unwrap();
    let Surface::Shots(shots) = &file.surface else { panic!("a grid where shots are due") };
    assert_eq!(shots[0].at, Point::new(2.0, 1.0));
    assert!(!file.asks.contains(&Ask::Columns));
}

#[test]
fn bad_rows_are_left_out_by_name_and_too_many_refuse_the_file() {
    let file = read_points(b"x,y,z\n0,0,1\n9,0,1\nlost,1,1\n0,9,2\n", &ReadOptions::default()).unwrap();
    assert!(tells(&file, "line 4 was left out: found 'lost'"));
    let error = read_points(b"x,y,z\n0,0,1\na,b,c\nd,e,f\n", &ReadOptions::default()).unwrap_err();
    assert!(error.to_string().contains("2 of 3 rows"), "{error}");
}

#[test]
fn points_in_degrees_come_to_a_plane() {
    let text = "lat,lon,elev\n42.0,-93.6,300\n42.001,-93.6,301\n42.0,-93.601,302\n";
    let file = read_points(text.as_bytes(), &ReadOptions::default()).unwrap();
    let Surface::Shots(shots) = &file.surface else { panic!("a grid where shots are due") };
    assert_eq!(file.crs, Some(crs(32615)));
    // Worked out with a series of the transverse Mercator projection of its own.
    assert!(measure::distance(shots[0].at, Point::new(450_309.330_45, 4_649_950.322_42)) < 1e-3);
}

#[test]
fn a_boundary_in_the_numbers_of_the_ground() {
    let text = br#"{"type":"Polygon","coordinates":[[[0,0],[0,100],[100,100],[100,0],[0,0]]]}"#;
    let ring = |crs: Option<&Crs>| read_boundary(text, crs, true).unwrap().rings.remove(0);
    let square = |side: f64| [(0.0, 0.0), (0.0, side), (side, side), (side, 0.0)].map(|(x, y)| Point::new(x, y));
    let turned = |mut ring: Vec<Point>| {
        ring.reverse();
        ring
    };
    assert_eq!(turned(ring(None)), square(100.0));
    assert_eq!(turned(ring(Some(&crs(2965)))), square(100.0 * SURVEY_FOOT_M));
    assert!(matches!(read_boundary(text, None, false), Err(FileError::Unclear { .. })));
}

#[test]
fn two_polygons_are_not_one_field() {
    let square = |x: f64| format!("[[[{x},0],[{},0],[{},100],[{x},0]]]", x + 100.0, x + 100.0);
    let text = format!(r#"{{"type":"MultiPolygon","coordinates":[{},{}]}}"#, square(0.0), square(500.0));
    let error = read_boundary(text.as_bytes(), None, true).unwrap_err();
    assert!(error.to_string().contains("2 polygons"), "{error}");
}

#[test]
fn a_boundary_of_another_plane_is_brought_over() {
    let corner = crs(26915).from_lon_lat(-93.45, 42.96).unwrap();
    let (x, y) = (corner.x, corner.y);
    let text = format!(
        r#"{{"type":"Polygon","coordinates":[[[{x},{y}],[{},{y}],[{},{}],[{x},{y}]]],"crs":{{"type":"name","properties":{{"name":"EPSG:26915"}}}}}}"#,
        x + 300.0,
        x + 300.0,
        y + 300.0
    );
    let boundary = read_boundary(text.as_bytes(), Some(&crs(26916)), false).unwrap();
    let expected = crs(26916).from_lon_lat(-93.45, 42.96).unwrap();
    assert!(boundary.rings[0].iter().any(|p| measure::distance(*p, expected) < 1e-4));
}

#[test]
fn lines_keep_their_properties_and_parts() {
    let text = br#"{"type":"FeatureCollection","features":[
        {"type":"Feature","properties":{"kind":"tile"},"geometry":{"type":"LineString","coordinates":[[0,0],[0,9]]}},
        {"type":"Feature","properties":null,"geometry":{"type":"Point","coordinates":[0,0]}},
        {"type":"Feature","properties":{"n":2},"geometry":{"type":"MultiLineString","coordinates":[[[0,0],[3,4]],[[1,1],[1,1]]]}}]}"#;
    let (lines, notes) = read_lines(text, None, true).unwrap();
    let places: Vec<&str> = lines.iter().map(|line| line.place.as_str()).collect();
    assert_eq!(places, ["feature 1", "feature 3, part 1"]);
    assert_eq!(lines[0].properties["kind"], "tile");
    assert_eq!(measure::path_length(&lines[1].points), 5.0);
    assert!(notes.iter().any(|n| n.contains("feature 2 is a Point")) && notes.iter().any(|n| n.contains("part 2")));
}

/// A damaged piece whose length and decoded size are right is known by its checksum alone.
#[test]
fn a_deflated_piece_is_held_to_its_checksum() {
    let mut bytes = common::geotiff(&UTM15, Compression::Deflate(DeflateLevel::Fast));
    assert!(read_geotiff(&bytes, &ReadOptions::default()).is_ok());
    let start = bytes.windows(2).position(|pair| pair == [0x78, 0x01]).unwrap();
    let damaged = (start + 2..bytes.len()).filter(|place| {
        bytes[*place] ^= 0x10;
        let refused = read_geotiff(&bytes, &ReadOptions::default()).is_err_and(|e| e.to_string().contains("damaged"));
        bytes[*place] ^= 0x10;
        refused
    });
    assert!(damaged.count() > 30);
}

/// A column called batch, session or set says which shots were taken together.
#[test]
fn a_column_names_the_batch_of_each_shot() {
    for word in ["Batch", "session", "SET"] {
        let table =
            format!("pt,easting,northing,elevation,{word}\n1,0,0,100,level\n2,50,0,101,\n3,0,50,30.6,phone\n");
        let file = exchange::read_points(table.as_bytes(), &ReadOptions::default()).unwrap();
        let Surface::Shots(shots) = file.surface else { panic!("no shots") };
        let batches: Vec<Option<&str>> = shots.iter().map(|shot| shot.batch.as_deref()).collect();
        assert_eq!(batches, [Some("level"), None, Some("phone")], "{word}");
    }
}
