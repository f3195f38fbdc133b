//! Fields that tests are worked on.

#![allow(dead_code, reason = "not every test uses every helper")]

use std::ops::ControlFlow;

use watertable::{Drain, Entry, Field, OverLand, Season, Section, Weather};

pub const DAY_S: f64 = 86_400.0;

/// The soil of the reference's third Hooghoudt example, its drains an even number of metres apart.
pub fn section() -> Section {
    Section {
        spacing_m: 24.0,
        drain_depth_m: 1.2,
        tight_depth_m: 2.4,
        radius_m: 0.05,
        conductivity_ms: 1.2 / DAY_S,
        porosity: 0.06,
    }
}

/// Level land over a level base, nothing in it; what stands on the surface stays.
pub fn plain(section: &Section, (cols, rows): (usize, usize), cell_m: f64) -> Field {
    let cells = cols * rows;
    Field {
        cols,
        rows,
        cell_m,
        is_land: vec![true; cells],
        surface_m: vec![0.0; cells],
        base_m: vec![-section.tight_depth_m; cells],
        conductivity_ms: vec![section.conductivity_ms; cells],
        porosity: vec![section.porosity; cells],
        over_land: OverLand::nowhere(cells),
        ..Field::default()
    }
}

/// The same with drains from north to south along both edges and every so many cells between: each takes water from both
/// sides but for those on the edges, which are half.
pub fn parallel(section: &Section, (cols, rows): (usize, usize), cell_m: f64, every: usize) -> Field {
    let mut field = plain(section, (cols, rows), cell_m);
    let below_m = section.tight_depth_m - section.drain_depth_m;
    let entry =
        Entry::new(section.conductivity_ms, below_m, section.drain_depth_m, section.spacing_m, section.radius_m);
    for cell in (0..cols * rows).filter(|cell| (cell % cols).is_multiple_of(every)) {
        let is_edge = cell % cols == 0 || cell % cols == cols - 1;
        let length_m = if is_edge { cell_m / 2.0 } else { cell_m };
        field.drains.push(Drain { cell, level_m: -section.drain_depth_m, length_m, entry });
    }
    // Land on the edges is half a cell wide: the other half belongs to the mirror.
    for cell in (0..cols * rows).filter(|cell| cell % cols == 0 || cell % cols == cols - 1) {
        field.porosity[cell] /= 2.0;
    }
    field
}

/// Lets days pass.
pub fn pass(season: &mut Season, days: &[Weather]) {
    for day in days {
        let passed = season.pass_day(*day, &mut |_, _| ControlFlow::Continue(()));
        assert!(passed.is_continue());
    }
}

/// The most that two rows of figures differ.
pub fn apart(one: &[f64], other: &[f64]) -> f64 {
    assert_eq!(one.len(), other.len());
    one.iter().zip(other).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}
