//! Stations: distance along a line from its downstream end, as the trade writes it.

use crate::{LengthUnit, Units, round_half_up};

/// Metres between full stations: 100 ft, or 100 m on a metric plan (both the trade's habit).
fn full_station_m(units: Units) -> f64 {
    100.0 * units.length_unit().metres()
}

/// A station as written on a plan: `2+50` is 250 ft from zero, `1+00` on a metric plan 100 m.
///
/// Tenths appear only where the place is not on a whole foot (metre): `2+50.5`.
pub fn station(station_m: f64, units: Units) -> String {
    let unit_m = units.length_unit().metres();
    let tenths = round_half_up(station_m / unit_m, 1);
    let full = (tenths / 100.0).floor();
    let rest = tenths - full * 100.0;
    if (rest - rest.round()).abs() < 0.05 {
        format!("{full:.0}+{rest:02.0}")
    } else {
        format!("{full:.0}+{rest:04.1}")
    }
}

/// The same with so many decimals, idle or not.
pub(crate) fn station_to(station_m: f64, units: Units, places: i32) -> String {
    let value = round_half_up(station_m / units.length_unit().metres(), places);
    let full = (value / 100.0).floor();
    let (places, rest) = (places as usize, value - full * 100.0);
    format!("{full:.0}+{rest:0width$.places$}", width = places + 3)
}

/// Reads a station (`2+50`, `2+50.5`, or a plain distance `250`) into metres; `None` if it is neither.
pub fn parse_station(text: &str, units: Units) -> Option<f64> {
    let unit: LengthUnit = units.length_unit();
    let text = text.trim();
    let value = match text.split_once('+') {
        Some((full, rest)) => {
            let full: f64 = full.parse().ok()?;
            let rest: f64 = rest.parse().ok()?;
            full * full_station_m(units) + rest * unit.metres()
        }
        None => text.parse::<f64>().ok()? * unit.metres(),
    };
    (value.is_finite() && value >= 0.0).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FOOT_M;

    #[test]
    fn stations_read_as_the_trade_writes_them() {
        assert_eq!(station(250.0 * FOOT_M, Units::Feet), "2+50");
        assert_eq!(station(0.0, Units::Feet), "0+00");
        assert_eq!(station(107.4 * FOOT_M, Units::Feet), "1+07.4");
        assert_eq!(station(199.99 * FOOT_M, Units::Feet), "2+00");
        assert_eq!(station(250.0, Units::Metric), "2+50");
    }

    #[test]
    fn stations_are_read_back() {
        assert_eq!(parse_station("2+50", Units::Feet), Some(250.0 * FOOT_M));
        assert_eq!(parse_station("35.5", Units::Metric), Some(35.5));
        assert_eq!(parse_station("two", Units::Metric), None);
    }
}
