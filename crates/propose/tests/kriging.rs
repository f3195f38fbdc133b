//! What shots tell, and what a share of a variance settles, against scikit-learn, numpy and scipy:
//! `tests/reference/certainty_values.py` says how the values were worked out.

#![allow(clippy::unwrap_used, reason = "tests may stop the test")]

use measure::Point;
use propose::certainty::{Check, Checks, Covariance, quantile, settled};
use serde_json::Value;

fn values() -> Value {
    serde_json::from_str(include_str!("../../../tests/reference/certainty_values.json")).unwrap()
}

fn rows(value: &Value) -> Vec<Vec<f64>> {
    serde_json::from_value(value.clone()).unwrap()
}

#[test]
fn what_shots_tell_as_others_have_it() {
    for case in values()["kriging"].as_array().unwrap() {
        let field: Vec<f64> = serde_json::from_value(case["field"].clone()).unwrap();
        let field =
            Covariance { sill_m2: field[0], range_m: field[1], power: 1.0, nugget_m2: field[2], shift_m2: field[3] };
        let check = |row: &Vec<f64>| Check {
            at: Point::new(row[0], row[1]),
            off_m: row[2],
            error_m2: row[3],
            batch: row[4] as usize,
            batch_m2: row[5],
        };
        let checks = Checks::of(rows(&case["shots"]).iter().map(check).collect());
        for (place, known) in rows(&case["places"]).iter().zip(rows(&case["likely"])) {
            let (off_m, left_m2) = checks.likely(&field, Point::new(place[0], place[1]));
            assert!((off_m - known[0]).abs() < 1e-9, "{off_m} is not {}", known[0]);
            assert!((left_m2 - known[1]).abs() < 1e-9, "{left_m2} is not {}", known[1]);
        }
    }
}

#[test]
fn chances_as_scipy_has_them() {
    for row in rows(&values()["quantiles"]) {
        assert!((quantile(row[0]) - row[1]).abs() <= 2e-9 * row[1].abs().max(1.0), "{row:?}");
    }
    for row in rows(&values()["settled"]) {
        assert!((settled(row[0], row[1]) - row[2]).abs() < 2e-6, "{row:?} {}", settled(row[0], row[1]));
    }
}
