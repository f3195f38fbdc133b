//! The solver against scipy: `tests/reference/watertable_values.py` says how the values were worked out.

#![allow(clippy::unwrap_used, reason = "tests may stop the test")]

mod common;

use common::{DAY_S, apart, pass};
use serde_json::Value;
use watertable::{Drain, Entry, Field, OverLand, Season, Section, Strip, Weather};

fn values() -> Value {
    serde_json::from_str(include_str!("../../../tests/reference/watertable_values.json")).unwrap()
}

fn row(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|figure| figure.as_f64().unwrap()).collect()
}

#[test]
fn between_drains_as_scipy_has_it() {
    let section = Section {
        spacing_m: 15.0,
        drain_depth_m: 2.0,
        tight_depth_m: 4.0,
        radius_m: 0.05,
        conductivity_ms: 0.5 / DAY_S,
        porosity: 0.05,
    };
    let case = &values()["between_drains"];
    let mut strip = Strip::over(&section, 100, 2.0, 0.8);
    for (day, wanted) in case["heads_m"].as_array().unwrap().iter().enumerate() {
        let rain_m = if day % 5 == 0 { 0.015 } else { 0.0 };
        strip.pass_day(Weather { rain_m, evaporation_m: 0.0 }, 1e-4);
        let found: Vec<f64> = row(&case["places"]).iter().map(|place| strip.heads_m[*place as usize]).collect();
        let off = apart(&found, &row(wanted));
        assert!(off < 5e-4, "day {}: {off}", day + 1);
    }
}

/// The field of the script, cell by cell.
fn field() -> Field {
    let (cols, rows) = (30, 16);
    let cells = cols * rows;
    let at = |cell: usize| ((cell % cols) as f64, (cell / cols) as f64);
    let surface_m: Vec<f64> = (0..cells).map(|cell| 0.01 * at(cell).1 + 0.004 * at(cell).0).collect();
    let conductivity = |cell: usize| 0.8 * (1.0 + 0.5 * (at(cell).0 / 6.0).sin() * (at(cell).1 / 5.0).cos()) / DAY_S;
    let drain = |cell: usize| Drain {
        cell,
        level_m: surface_m[cell] - 1.0,
        length_m: 1.0,
        entry: Entry::new(conductivity(cell), 1.0, 1.0, 12.0, 0.05),
    };
    Field {
        cols,
        rows,
        cell_m: 1.0,
        is_land: vec![true; cells],
        base_m: surface_m.iter().map(|surface| surface - 2.0).collect(),
        conductivity_ms: (0..cells).map(conductivity).collect(),
        porosity: (0..cells).map(|cell| 0.07 + 0.02 * (at(cell).1 / 4.0).sin()).collect(),
        drains: (0..cells).filter(|cell| cell % cols % 12 == 8 && cell / cols >= 4).map(drain).collect(),
        over_land: OverLand::nowhere(cells),
        surface_m,
        ..Field::default()
    }
}

#[test]
fn a_field_as_scipy_has_it() {
    let field = field();
    let mut season = Season::at_depth(&field, 0.6, 1e-3);
    let mut usual = Season::at_depth(&field, 0.6, watertable::STEP_OFF_M);
    let days = [(0.02, 0.0), (0.0, 0.004), (0.0, 0.004), (0.0, 0.004)];
    for ((rain_m, evaporation_m), wanted) in days.into_iter().zip(values()["field"]["heads_m"].as_array().unwrap()) {
        let wanted = row(wanted);
        pass(&mut season, &[Weather { rain_m, evaporation_m }]);
        pass(&mut usual, &[Weather { rain_m, evaporation_m }]);
        let off = (apart(&season.heads_m, &wanted), apart(&usual.heads_m, &wanted));
        assert!(off.0 < 1e-3 && off.1 < 1e-2, "{off:?}");
    }
}
