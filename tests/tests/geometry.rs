//! Lengths and areas against shapely (tests/reference/geometry_values.py).

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use design::Design;
use measure::{Point, Units};
use plan::{Change, Edit, Field, Plan};
use serde_json::Value;

/// Largest difference held to be rounding, as a share of the value.
const NEAR: f64 = 1e-9;

fn values(kind: &str) -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../reference/geometry_values.json")).unwrap();
    let found = all[kind].as_array().unwrap().clone();
    assert!(found.len() >= 20, "{kind}: {} values", found.len());
    found
}

fn points(value: &Value) -> Vec<Point> {
    let pair = |p: &Value| Point::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
    value.as_array().unwrap().iter().map(pair).collect()
}

/// Every ring without its closing corner, where it has one.
fn rings(polygon: &Value) -> Vec<Vec<Point>> {
    let mut rings: Vec<Vec<Point>> = polygon["rings"].as_array().unwrap().iter().map(points).collect();
    for ring in rings.iter_mut().filter(|ring| ring.first() == ring.last()) {
        ring.pop();
    }
    rings
}

fn assert_near(ours: f64, theirs: &Value, what: &str) {
    let theirs = theirs.as_f64().unwrap();
    assert!((ours - theirs).abs() <= NEAR * theirs.abs(), "{what}: {ours}, shapely {theirs}");
}

#[test]
fn lengths_of_lines() {
    for (i, line) in values("lines").iter().enumerate() {
        assert_near(measure::path_length(&points(&line["points"])), &line["length_m"], &format!("line {i}"));
    }
}

#[test]
fn places_along_lines() {
    for (i, line) in values("lines").iter().enumerate() {
        let at = measure::point_at(&points(&line["points"]), line["station_m"].as_f64().unwrap()).unwrap();
        assert_near(at.x, &line["at"][0], &format!("line {i}, easting"));
        assert_near(at.y, &line["at"][1], &format!("line {i}, northing"));
    }
}

#[test]
fn lengths_round_fields_and_their_holes() {
    for (i, polygon) in values("polygons").iter().enumerate() {
        let round = |mut ring: Vec<Point>| {
            ring.push(ring[0]);
            measure::path_length(&ring)
        };
        let ours: f64 = rings(polygon).into_iter().map(round).sum();
        assert_near(ours, &polygon["length_m"], &format!("polygon {i}"));
    }
}

#[test]
fn areas_of_fields_less_their_holes() {
    let mut holes = 0;
    for (i, polygon) in values("polygons").iter().enumerate() {
        let mut rings = rings(polygon);
        holes += rings.len() - 1;
        let mut plan = Plan::new("Area", Units::Metric);
        let field = Field { ring: rings.remove(0), holes: rings };
        plan.apply(&Edit::one("Draw", Change::Field(Some(field)))).unwrap();
        let ours = takeoff::totals(&plan, &Design::default()).field_area_m2.unwrap();
        assert_near(ours, &polygon["area_m2"], &format!("polygon {i}"));
    }
    assert!(holes > 0, "no polygon with a hole");
}
