//! Boundaries whose rings cross, overlap or double back: mended with a note, or refused; never another area.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use exchange::{Boundary, FileError, VectorFile, read_boundary};
use serde_json::{Value, json};

/// Values of shapely 2.1.2 by tests/reference/rings_values.py.
fn cases() -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../../../tests/reference/rings_values.json")).unwrap();
    all["cases"].as_array().unwrap().clone()
}

fn closed(rings: &Value) -> Vec<Vec<[f64; 2]>> {
    let mut rings: Vec<Vec<[f64; 2]>> = serde_json::from_value(rings.clone()).unwrap();
    rings.iter_mut().for_each(|ring| ring.push(ring[0]));
    rings
}

fn from_geojson(rings: &Value) -> Result<Boundary, FileError> {
    let polygon = json!({ "type": "Polygon", "coordinates": closed(rings) });
    let polygon = json!({ "type": "Feature", "properties": null, "geometry": polygon });
    read_boundary(polygon.to_string().as_bytes(), None, true)
}

fn from_shapefile(rings: &Value) -> Result<Boundary, FileError> {
    let mut parts = closed(rings);
    // Outer rings run clockwise in a shapefile, holes the other way.
    parts[0].reverse();
    let count: usize = parts.iter().map(Vec::len).sum();
    let mut content = [5i32.to_le_bytes().to_vec(), vec![0; 32]].concat();
    content.extend((parts.len() as i32).to_le_bytes());
    content.extend((count as i32).to_le_bytes());
    let mut start = 0i32;
    for part in &parts {
        content.extend(start.to_le_bytes());
        start += part.len() as i32;
    }
    content.extend(parts.iter().flatten().flatten().flat_map(|v| v.to_le_bytes()));
    let mut bytes = vec![0; 100];
    bytes[..4].copy_from_slice(&9994i32.to_be_bytes());
    bytes.extend(1i32.to_be_bytes());
    bytes.extend((content.len() as i32 / 2).to_be_bytes());
    bytes.extend(content);
    let all = VectorFile::from_shapefile(&bytes, None, None).and_then(|file| file.polygons(None, true));
    all.map(|mut all| all.remove(0))
}

fn area_m2(boundary: &Boundary) -> f64 {
    let ring = |ring: &Vec<measure::Point>| {
        let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
        pairs.map(|(a, b)| (a.x - ring[0].x) * (b.y - ring[0].y) - (b.x - ring[0].x) * (a.y - ring[0].y)).sum::<f64>()
            / 2.0
    };
    boundary.rings.iter().map(ring).sum()
}

#[test]
fn areas_are_those_of_the_reference_and_every_change_is_told() {
    for (i, case) in cases().iter().enumerate() {
        let (kind, area) = (case["kind"].as_str().unwrap(), case["area_m2"].as_f64().unwrap());
        let of_shapefile = (kind != "hole outside").then(|| from_shapefile(&case["rings"]));
        for boundary in [Some(from_geojson(&case["rings"])), of_shapefile].into_iter().flatten() {
            let boundary = boundary.unwrap_or_else(|error| panic!("case {i}, {kind}: {error}"));
            let off = (area_m2(&boundary) - area).abs();
            assert!(off < 0.02, "case {i}, {kind}: {} m², shapely {area}: {:?}", area_m2(&boundary), boundary.notes);
            let told = match kind {
                "knot" | "overshot" => "crosses itself near (",
                "spike" => "out and back on one line",
                "holes overlap" => "holes 1 and 2 overlap near (",
                _ => "lie outside the boundary near (",
            };
            assert!(boundary.notes.iter().any(|note| note.contains(told)), "case {i}, {kind}: {:?}", boundary.notes);
            assert!(design::flaws(&boundary.rings).is_empty(), "case {i}, {kind}: mended, it has a flaw still");
        }
    }
}

#[test]
fn what_is_in_doubt_is_refused_with_place_found_and_expected() {
    let told = |rings: Value| from_geojson(&rings).unwrap_err().to_string();
    let bow_tie = told(json!([[[0, 0], [100, 100], [100, 0], [0, 100]]]));
    assert_eq!(
        bow_tie,
        "feature 1: found a ring that crosses itself or runs over itself near (50.0, 50.0): 2500.0 m² are in or out as \
         one takes it, expected a ring that does not cross itself"
    );
    let outer = json!([[0, 0], [100, 0], [100, 100], [0, 100]]);
    let cut = told(json!([outer, [[40, -10], [60, -10], [60, 110], [40, 110]]]));
    assert!(cut.contains("2 pieces, the largest 4000.0 m²") && cut.ends_with("one field in one piece"), "{cut}");
    let covered = told(json!([outer, [[-1, -1], [101, -1], [101, 101], [-1, 101]]]));
    assert!(covered.contains("no area left"), "{covered}");
    let twice = told(json!([[[0, 0], [100, 0], [100, 100], [0, 100], [0, 0], [100, 0], [100, 100], [0, 100]]]));
    assert!(twice.contains("come back to themselves again and again"), "{twice}");
    let hole = told(json!([outer, [[10, 10], [50, 50], [50, 10], [10, 50]]]));
    assert!(hole.starts_with("feature 1, hole 1: found a ring that crosses itself"), "{hole}");
    let star: Vec<[f64; 2]> =
        (0..5001).map(|i| f64::from(i) * 3.13).map(|a| [90.0 * a.cos(), 90.0 * a.sin()]).collect();
    assert!(told(json!([star])).contains("cross or come back to themselves again and again"));
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(400))]

    /// Rings of any corners on a coarse lattice, where sides often lie on each other: what is mended is read again with the
    /// same area, and nothing panics.
    #[test]
    fn any_rings(rings in proptest::collection::vec(proptest::collection::vec((-6i8..7, -6i8..7), 3..12), 1..5)) {
        let place = |(x, y): &(i8, i8)| [5e5 + 7.3 * f64::from(*x), 4.6e6 + 7.3 * f64::from(*y)];
        let rings: Vec<Vec<[f64; 2]>> = rings.iter().map(|ring| ring.iter().map(place).collect()).collect();
        if let Ok(mended) = from_geojson(&json!(rings)) {
            let again: Vec<Vec<[f64; 2]>> = mended.rings.iter().map(|ring| ring.iter().map(|p| [p.x, p.y]).collect()).collect();
            let again = from_geojson(&json!(again)).unwrap();
            assert!((area_m2(&mended) - area_m2(&again)).abs() < 0.05, "{} m², {} m²", area_m2(&mended), area_m2(&again));
        }
    }
}
