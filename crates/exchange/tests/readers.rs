//! Point clouds, vector files and coordinate systems against what other libraries find in the same small files of
//! invented ground (tests/reference/reader_files.py wrote both).

#![allow(clippy::unwrap_used, reason = "a test may fail loudly")]

use std::path::PathBuf;

use exchange::{
    Ask, Crs, FileError, GroundFile, ReadOptions, VectorFile, read_boundary_file, read_ground, read_las,
    read_lines_file,
};
use measure::{LengthUnit, Point};
use serde_json::Value;
use terrain::Surface;

fn values() -> Value {
    serde_json::from_str(include_str!("../../../tests/reference/reader_values.json")).unwrap()
}

fn data(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)
}

fn ground(name: &str) -> GroundFile {
    read_ground(&data(name), &ReadOptions::default()).unwrap()
}

fn shots(file: &GroundFile) -> Vec<[f64; 3]> {
    let Surface::Shots(shots) = &file.surface else { panic!("no shots") };
    shots.iter().map(|shot| [shot.at.x, shot.at.y, shot.level_m]).collect()
}

fn triple(value: &Value) -> [f64; 3] {
    [0, 1, 2].map(|i| value[i].as_f64().unwrap())
}

fn near(a: [f64; 3], b: [f64; 3], within: f64) {
    assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() <= within), "{a:?} is not {b:?}");
}

#[test]
fn point_clouds_of_every_format_hold_what_laspy_finds() {
    for row in values()["clouds"].as_array().unwrap() {
        let name = row["file"].as_str().unwrap();
        let file = ground(name);
        let found = shots(&file);
        assert_eq!(found.len() as u64, row["shots"].as_u64().unwrap(), "{name}");
        near(found[0], triple(&row["first"]), 1e-7);
        near(found[found.len() - 1], triple(&row["last"]), 1e-7);
        let sum: f64 = found.iter().map(|shot| shot[2]).sum();
        assert!((sum - row["sum_z"].as_f64().unwrap()).abs() < 1e-6, "{name}");
        let code = match name {
            "plain.las" => None,
            "feet.laz" => Some(3417),
            _ => Some(26915),
        };
        assert_eq!(file.crs.as_ref().and_then(Crs::code), code, "{name}: {:?}", file.notes);
    }
}

#[test]
fn units_and_classes_of_a_cloud_are_told() {
    let feet = ground("feet.laz");
    assert_eq!((feet.horizontal_unit, feet.vertical_unit), (LengthUnit::SurveyFoot, Some(LengthUnit::SurveyFoot)));
    assert!(feet.datum.is_some_and(|datum| datum.contains("NAVD88")));
    let plain = ground("plain.las");
    assert!(plain.asks.contains(&Ask::Crs) && plain.asks.contains(&Ask::VerticalUnit));
    assert!(plain.notes.iter().any(|note| note.contains("no point is classified as ground")));
    assert!(ground("f6.laz").notes.iter().any(|note| note.contains("are ground (class 2)")));
}

#[test]
fn a_cloud_of_too_many_points_is_thinned() {
    let bytes = std::fs::read(data("f6.laz")).unwrap();
    let options = ReadOptions { most_cells: 100, ..ReadOptions::default() };
    let file = read_las(&bytes, &options).unwrap();
    let left = shots(&file).len();
    assert!((25..=100).contains(&left), "{left}");
    assert!(file.notes.iter().any(|note| note.contains("thinned")), "{:?}", file.notes);
    assert_eq!(file, read_las(&bytes, &options).unwrap());
}

/// Every byte of header, records and table of chunks changed, and every cut: refused in words or read, never a panic.
#[test]
fn no_changed_byte_of_a_cloud_panics() {
    for name in ["f1.las", "f6.las", "f0.laz", "f3.laz", "f7.laz"] {
        let base = std::fs::read(data(name)).unwrap();
        for place in (0..base.len()).step_by(3) {
            let mut bytes = base.clone();
            bytes[place] = [0xff, 0x00, 0x80, 0x01][place % 4];
            let _ = read_las(&bytes, &ReadOptions::default());
            if place % 48 == 0 {
                assert!(read_las(&base[..place], &ReadOptions::default()).is_err());
            }
        }
    }
}

#[test]
fn contours_of_a_shapefile_and_of_geojson_are_the_same() {
    let all = values();
    let expected = &all["vectors"]["contour_levels"];
    let points = all["vectors"]["contour_points"].as_array().unwrap();
    for (name, within) in [("contours.shp", 1e-9), ("contours.geojson", 2e-3)] {
        let options = ReadOptions { crs: Some(Crs::from_epsg(26915).unwrap()), ..ReadOptions::default() };
        let file = read_ground(&data(name), &options).unwrap();
        let Surface::Survey { shots, lines } = &file.surface else { panic!("no lines") };
        assert!(shots.is_empty() && lines.len() == 6, "{name}");
        for (index, line) in lines.iter().enumerate() {
            assert!(line.iter().all(|shot| Some(shot.level_m) == expected[index.min(4)].as_f64()), "{name}");
        }
        for (line, expected) in lines.iter().zip(points) {
            for (shot, place) in line.iter().zip(expected.as_array().unwrap()) {
                let place = Point::new(place[0].as_f64().unwrap(), place[1].as_f64().unwrap());
                assert!(measure::distance(shot.at, place) <= within, "{name}: {:?} {place:?}", shot.at);
            }
        }
        assert!(file.notes.iter().any(|note| note.contains("CONTOUR")) && file.asks.contains(&Ask::LevelAttribute));
    }
}

#[test]
fn break_lines_keep_the_height_of_every_point() {
    let file = ground("breaks_z.shp");
    assert_eq!(file.crs.as_ref().map(Crs::name).as_deref(), Some("EPSG:26915"));
    let Surface::Survey { lines, .. } = &file.surface else { panic!("no lines") };
    let levels: Vec<f64> = lines.iter().map(|line| line[3].level_m).collect();
    assert_eq!(levels, [261.0, 260.75, 260.5, 260.25]);
}

#[test]
fn lines_without_levels_are_refused_with_the_names_of_their_attributes() {
    let asked = |name: &str| {
        let options = ReadOptions { level_attribute: Some(name.into()), ..ReadOptions::default() };
        read_ground(&data("contours.shp"), &options)
    };
    assert!(asked("contour").is_ok());
    let error = asked("nothing").unwrap_err();
    assert!(matches!(error, FileError::Unclear { .. }) && error.to_string().contains("'CONTOUR'"), "{error}");
}

#[test]
fn one_field_from_three_kinds_of_files() {
    let area = values()["vectors"]["field_area_m2"].as_f64().unwrap();
    let utm = Crs::from_epsg(26915).unwrap();
    let size = |ring: &[Point]| {
        let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
        pairs.map(|(a, b)| (a.x - ring[0].x) * (b.y - ring[0].y) - (b.x - ring[0].x) * (a.y - ring[0].y)).sum::<f64>()
            / 2.0
    };
    for name in ["field.shp", "field.kml"] {
        let boundary = read_boundary_file(&data(name), Some(&utm), false).unwrap();
        let found: f64 = boundary.rings.iter().map(|ring| size(ring)).sum();
        assert!(boundary.rings.len() == 2 && (found - area).abs() < 0.5, "{name}: {found} m², not {area}");
    }
    let (lines, _) = read_lines_file(&data("contours.shp"), Some(&utm), false).unwrap();
    assert_eq!((lines.len(), lines[5].place.as_str()), (6, "shape 5, part 2"));
    assert_eq!(lines[0].properties["CONTOUR"], 261.0);
}

#[test]
fn a_shapefile_without_prj_is_not_merged_silently() {
    let shp = std::fs::read(data("field.shp")).unwrap();
    let file = VectorFile::from_shapefile(&shp, None, None).unwrap();
    let utm = Crs::from_epsg(26915).unwrap();
    assert!(matches!(file.polygons(Some(&utm), false), Err(FileError::Unclear { .. })));
    assert_eq!(file.polygons(Some(&utm), true).unwrap().len(), 1);
}

#[test]
fn fixes_of_a_receiver_become_shots() {
    let file = ground("walk.gpx");
    let expected = values();
    let expected = expected["vectors"]["gpx"].as_array().unwrap();
    for (found, expected) in shots(&file).into_iter().zip(expected) {
        near(found, triple(expected), 2e-3);
    }
    assert_eq!(file.vertical_unit, Some(LengthUnit::Metre));
    assert!(file.notes.iter().any(|note| note.contains("commonly meters off")));
}

/// Systems by their parameters alone, in three dialects of well-known text.
#[test]
fn systems_of_well_known_text_agree_with_pyproj() {
    let all = values();
    let mut refused = Vec::new();
    for row in all["systems"].as_array().unwrap() {
        let number = |key: &str| row[key].as_f64().unwrap();
        let about = format!("{} as {}", row["code"], row["kind"]);
        let crs = match Crs::from_wkt(row["wkt"].as_str().unwrap()) {
            Ok(crs) => crs,
            Err(error) => {
                refused.push(format!("{about}: {error}"));
                continue;
            }
        };
        assert_eq!(crs.is_degrees(), row["degrees"].as_bool().unwrap(), "{about}");
        assert_eq!(Crs::parse(&crs.name()).unwrap(), crs, "{about}");
        let found = crs.from_lon_lat(number("lon"), number("lat")).unwrap();
        let expected = Point::new(number("x") * number("unit_m"), number("y") * number("unit_m"));
        let away = measure::distance(found, expected);
        assert!(away < 1e-3, "{about}: {away} m, {}", crs.name());
    }
    assert!(refused.is_empty(), "{refused:#?}");
}

/// Systems that a GeoTIFF defines by its own keys, in metres and both kinds of feet.
#[test]
fn systems_of_a_files_own_keys_agree_with_pyproj() {
    for row in values()["own_keys"].as_array().unwrap() {
        let number = |key: &str| row[key].as_f64().unwrap();
        let name = row["file"].as_str().unwrap();
        let file = ground(name);
        let crs = file.crs.as_ref().unwrap_or_else(|| panic!("{name}: {:?}", file.notes));
        assert!((crs.unit().metres() - number("unit_m")).abs() < 1e-12, "{name}: {}", crs.name());
        let expected = Point::new(number("x") * number("unit_m"), number("y") * number("unit_m"));
        let away = measure::distance(crs.from_lon_lat(number("lon"), number("lat")).unwrap(), expected);
        assert!(away < 1e-3, "{name}: {away} m, {}", crs.name());
        let Surface::Grid(grid) = &file.surface else { panic!("no grid") };
        assert!(grid.elevation(expected).is_some(), "{name}");
    }
}

#[test]
fn files_that_are_no_ground_say_why() {
    let refused = |name: &str| read_ground(&data(name), &ReadOptions::default()).unwrap_err().to_string();
    assert!(refused("field.shp").contains("without lines or points that have levels"));
    assert!(refused("field.kml").contains("without lines or points that have levels"));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("field.kmz");
    std::fs::write(&path, b"PK\x03\x04....").unwrap();
    assert!(read_boundary_file(&path, None, true).unwrap_err().to_string().contains("ZIP"));
}
