//! Figures as a class reads them: few decimals, in the units of the person.

use measure::{DAY_S, FOOT_M, INCH_M, SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE, Units, fixed};

/// A height of water or of soil in the small unit: `1.2 in`, `24 in`, `30 mm`.
pub fn small(height_m: f64, units: Units) -> String {
    if units.is_metric() {
        return format!("{} mm", fixed(height_m * 1000.0, 0));
    }
    let text = fixed(height_m / INCH_M, 1);
    format!("{} in", text.strip_suffix(".0").unwrap_or(&text))
}

/// A length without idle noughts: `27 ft`, `8.25 m`.
pub fn length(length_m: f64, units: Units) -> String {
    let unit = units.length_unit();
    format!("{} {}", measure::trimmed(length_m / unit.metres(), 0, 2), unit.sign())
}

/// A depth of roots: `18 in`, `46 cm`.
pub fn roots(depth_m: f64, units: Units) -> String {
    if units.is_metric() { format!("{} cm", fixed(depth_m * 100.0, 0)) } else { small(depth_m, units) }
}

/// Land that a pipe drains: `5.6 ac`, `2.25 ha`.
pub fn land(area_m2: f64, units: Units) -> String {
    if units.is_metric() {
        format!("{} ha", fixed(area_m2 / SQUARE_M_PER_HECTARE, 2))
    } else {
        format!("{} ac", fixed(area_m2 / SQUARE_M_PER_ACRE, 1))
    }
}

/// A conductivity: `0.694 ft/day`, `0.20 m/day`.
pub fn conductivity(conductivity_ms: f64, units: Units) -> String {
    if units.is_metric() {
        format!("{} m/day", fixed(conductivity_ms * DAY_S, 2))
    } else {
        format!("{} ft/day", fixed(conductivity_ms * DAY_S / FOOT_M, 3))
    }
}

/// A rate of water, to the hundredth of an inch a day or the tenth of a millimetre: `0.42 in/day`, `10.7 mm/day`.
pub fn rate(rate_ms: f64, units: Units) -> String {
    if units.is_metric() {
        format!("{} mm/day", fixed(rate_ms * DAY_S * 1000.0, 1))
    } else {
        format!("{} in/day", fixed(rate_ms * DAY_S / INCH_M, 2))
    }
}

/// Days with one decimal: `3.2 days`.
pub fn days(days: f64) -> String {
    format!("{} days", fixed(days, 1))
}

/// A grade as a class says it: `0.1 %`, `2 %`.
pub fn grade(ratio: f64) -> String {
    format!("{} %", measure::trimmed(ratio * 100.0, 0, 2))
}
