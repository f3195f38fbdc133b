//! Places on the earth against values computed with pyproj (tests/reference/crs_values.py writes them).

#![allow(clippy::unwrap_used, clippy::print_stderr)]

use exchange::Crs;
use measure::Point;
use serde_json::Value;

fn places() -> Vec<Value> {
    let text = include_str!("../../../tests/reference/crs_values.json");
    let all: Value = serde_json::from_str(text).unwrap();
    all["places"].as_array().unwrap().clone()
}

#[test]
fn places_agree_with_the_reference_to_a_millimetre() {
    let all = places();
    assert_eq!(all.len(), 60);
    let mut worst_m = 0.0f64;
    for row in &all {
        let number = |key: &str| row[key].as_f64().unwrap();
        let crs = Crs::from_epsg(number("epsg") as u32).unwrap();
        let expected = Point::new(number("x") * number("unit_m"), number("y") * number("unit_m"));
        let found = crs.from_lon_lat(number("lon"), number("lat")).unwrap();
        let (lon, lat) = crs.to_lon_lat(expected).unwrap();
        let there_m = measure::distance(found, expected);
        let back_m = measure::distance(crs.from_lon_lat(lon, lat).unwrap(), expected);
        assert!((lon - number("lon")).abs() < 1e-8 && (lat - number("lat")).abs() < 1e-8, "{row}");
        assert!(crs.fits(expected), "{row}");
        worst_m = worst_m.max(there_m).max(back_m);
    }
    assert!(worst_m < 1e-3, "{worst_m} m");
}

#[test]
fn units_agree_with_the_reference() {
    for row in places() {
        let crs = Crs::from_epsg(row["epsg"].as_u64().unwrap() as u32).unwrap();
        assert!((crs.unit().metres() / row["unit_m"].as_f64().unwrap() - 1.0).abs() < 1e-12, "{row}");
    }
}
