//! Grids that are turned, and lines, marks and boundaries whose numbers stand the wrong way round: named for what they are.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::io::Cursor;

use exchange::{Crs, GroundFile, ReadOptions, VectorFile, read_boundary, read_ground, read_lines};
use measure::Point;
use serde_json::{Value, json};
use tiff::encoder::{TiffEncoder, colortype::Gray32Float};
use tiff::tags::Tag;

/// A grid of 8 × 6 cells in UTM zone 15 with these tags of doubles.
fn tiff(tags: &[(u16, &[f64])]) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut out).unwrap();
    let mut image = encoder.new_image::<Gray32Float>(8, 6).unwrap();
    for (tag, values) in tags {
        image.encoder().write_tag(Tag::Unknown(*tag), *values).unwrap();
    }
    let keys: [u16; 8] = [1, 1, 0, 1, 3072, 0, 1, 26915];
    image.encoder().write_tag(Tag::Unknown(34735), &keys[..]).unwrap();
    image.write_data(&[260.0; 48]).unwrap();
    out.into_inner()
}

/// Step, turn, centre or corner of the first cell: a matrix as GeoTIFF has it.
fn matrix(a: f64, b: f64, d: f64, e: f64) -> [f64; 16] {
    [a, b, 0.0, 463_439.0, d, e, 0.0, 4_756_408.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0]
}

fn read(bytes: &[u8], world: Option<&str>) -> Result<GroundFile, String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.tif");
    std::fs::write(&path, bytes).unwrap();
    world.iter().for_each(|text| std::fs::write(path.with_extension("tfw"), text).unwrap());
    read_ground(&path, &ReadOptions::default()).map_err(|error| error.to_string())
}

#[test]
fn a_turned_or_sheared_grid_is_refused_by_name() {
    let turned = |m: [f64; 16]| read(&tiff(&[(34264, &m)]), None).unwrap_err();
    for m in [
        matrix(2.9, 0.7, 0.7, -2.9),
        matrix(3.0, 0.5, 0.0, -3.0),
        matrix(0.0, 3.0, 3.0, 0.0),
        matrix(3.0, f64::NAN, 0.0, -3.0),
    ] {
        assert!(turned(m).contains("a turned or sheared grid (tag 34264)"), "{}", turned(m));
    }
    let straight = matrix(3.0, 0.0, 0.0, -3.0);
    assert!(read(&tiff(&[(34264, &straight)]), None).is_ok());
    let scale: (u16, &[f64]) = (33550, &[3.0, 3.0, 0.0]);
    let tie: (u16, &[f64]) = (33922, &[0.0, 0.0, 0.0, 463_439.0, 4_756_408.0, 0.0]);
    // A cell size beside the matrix does not straighten it.
    let both = read(&tiff(&[scale, tie, (34264, &matrix(2.9, 0.7, 0.7, -2.9))]), None).unwrap_err();
    assert!(both.contains("a turned or sheared grid"), "{both}");
    let other = read(&tiff(&[scale, tie, (34264, &matrix(5.0, 0.0, 0.0, -5.0))]), None).unwrap_err();
    assert!(other.starts_with("tag 34264: found cells of 5 × -5"), "{other}");
    assert!(read(&tiff(&[scale, tie, (34264, &straight)]), None).is_ok());
    let by_world = read(&tiff(&[]), Some("2.9\n0.7\n0.7\n-2.9\n463440.5\n4756406.5\n")).unwrap_err();
    assert!(by_world.contains("a turned or sheared grid (the world file)"), "{by_world}");
    let beside = read(&tiff(&[scale, tie]), Some("2.9\n0.7\n0.7\n-2.9\n463440.5\n4756406.5\n")).unwrap();
    assert!(beside.notes.iter().any(|note| note.contains("world file beside the grid turns the grid")));
    let agreeing = read(&tiff(&[scale, tie]), Some("3\n0\n0\n-3\n463440.5\n4756406.5\n")).unwrap();
    assert!(agreeing.notes.iter().all(|note| !note.contains("world file")), "{:?}", agreeing.notes);
}

fn feature(kind: &str, coordinates: &Value) -> Value {
    json!({ "type": "Feature", "properties": { "what": "wet area" }, "geometry": { "type": kind, "coordinates": coordinates } })
}

fn collection(features: &[Value]) -> Vec<u8> {
    json!({ "type": "FeatureCollection", "features": features }).to_string().into_bytes()
}

#[test]
fn latitude_before_longitude_is_told_as_that() {
    let utm = Crs::from_epsg(26915).unwrap();
    let lines =
        |coordinates: Value| read_lines(&collection(&[feature("LineString", &coordinates)]), Some(&utm), false);
    assert!(lines(json!([[-93.6, 42.0], [-93.59, 42.0]])).is_ok());
    let out_of_range = lines(json!([[42.0, -93.6], [42.0, -93.59]])).unwrap_err().to_string();
    assert_eq!(
        out_of_range,
        "feature 1, position 1: found longitude 42 and latitude -93.6, which look like latitude and longitude swapped, \
         expected longitude first, then latitude"
    );
    // Both numbers are within 90: only the ground tells.
    let eastern = Crs::from_epsg(26919).unwrap();
    let boston = read_lines(
        &collection(&[feature("LineString", &json!([[42.0, -71.0], [42.0, -71.1]]))]),
        Some(&eastern),
        false,
    );
    assert!(boston.unwrap_err().to_string().contains("look like latitude and longitude swapped"));
    let ring = json!([[[42.0, -93.6], [42.0, -93.59], [42.01, -93.59], [42.0, -93.6]]]);
    let field = read_boundary(&collection(&[feature("Polygon", &ring)]), Some(&utm), false).unwrap_err().to_string();
    assert!(field.contains("look like latitude and longitude swapped"), "{field}");
    let kml = "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Placemark><LineString><coordinates>42,-93.6 42,-93.59</coordinates></LineString></Placemark></kml>";
    let marks = VectorFile::from_kml(kml.as_bytes()).unwrap().lines(Some(&utm), false).unwrap_err().to_string();
    assert!(marks.contains("look like latitude and longitude swapped"), "{marks}");
}

#[test]
fn a_place_thousands_of_kilometres_away_is_no_part_of_the_job() {
    let own = |features: &[Value]| read_lines(&collection(features), None, true);
    let near = feature("LineString", &json!([[500_000.0, 4_600_000.0], [500_100.0, 4_600_000.0]]));
    let far = feature("LineString", &json!([[4_600_000.0, 500_000.0], [4_600_000.0, 500_100.0]]));
    let apart = own(&[near.clone(), far, near.clone()]).unwrap_err().to_string();
    assert!(apart.starts_with("feature 2: found a place 5798 km away from the other features"), "{apart}");
    let bend = json!([[500_000.0, 4_600_000.0], [4_600_050.0, 500_000.0], [500_100.0, 4_600_000.0]]);
    let within = own(&[feature("LineString", &bend)]).unwrap_err().to_string();
    assert!(within.starts_with("feature 1, position 2: found a place 5798 km away"), "{within}");
    let marks = VectorFile::from_geojson(&collection(&[
        feature("Polygon", &json!([[[0, 0], [9, 0], [9, 9]]])),
        feature("Polygon", &json!([[[0, 0], [9, 0], [9, 9]]])),
        feature("Polygon", &json!([[[0, 2_000_000], [9, 2_000_000], [9, 2_000_009]]])),
    ]));
    let marks = marks.unwrap().landmarks(None, true).unwrap_err().to_string();
    assert!(marks.starts_with("feature 3: found a place 2000 km away"), "{marks}");
}

#[test]
fn numbers_that_are_no_places_are_refused_in_every_format() {
    let shapefile = |x: f64| {
        let point = [1i32.to_le_bytes().to_vec(), x.to_le_bytes().to_vec(), 2.0f64.to_le_bytes().to_vec()].concat();
        let mut bytes = vec![0; 100];
        bytes[..4].copy_from_slice(&9994i32.to_be_bytes());
        bytes.extend(1i32.to_be_bytes());
        bytes.extend((point.len() as i32 / 2).to_be_bytes());
        VectorFile::from_shapefile(&[bytes, point].concat(), None, None)
    };
    assert!(shapefile(5.0).is_ok());
    for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1e10] {
        let error = shapefile(x).unwrap_err().to_string();
        assert!(error.starts_with("byte 112: found") && error.ends_with("two finite numbers"), "{x}: {error}");
    }
    for x in ["NaN", "inf", "-Infinity", "1e308", "1e999"] {
        let kml = format!(
            "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Placemark><Point><coordinates>{x},2</coordinates></Point></Placemark></kml>"
        );
        assert!(VectorFile::from_kml(kml.as_bytes()).unwrap_err().to_string().contains("position 1: found"), "{x}");
        let text = format!("{{\"type\":\"Point\",\"coordinates\":[{x},2]}}");
        assert!(VectorFile::from_geojson(text.as_bytes()).is_err(), "{x}");
    }
    // As small as makes no difference: a place at zero.
    let tiny =
        read_lines(&collection(&[feature("LineString", &json!([[1e-320, -0.0], [10.0, 0.0]]))]), None, true).unwrap();
    assert_eq!(tiny.0[0].points[1], Point::new(10.0, 0.0));
}
