//! Flow by bucket and watch, as it is typed at an outlet.

use crate::{INCH_M, MeasureError, Units};

/// A US gallon, cubic metres: 231 cubic inches.
const GALLON_M3: f64 = 231.0 * INCH_M * INCH_M * INCH_M;
const LITRE_M3: f64 = 1e-3;

/// Reads a bucket and its seconds, "5 gal in 22 s", "10 l in 1.5 min", into m³/s; a bare volume is gallons, or litres on a metric
/// plan, and a bare time seconds.
pub fn parse_bucket(text: &str, units: Units) -> Result<f64, MeasureError> {
    let wrong =
        || MeasureError { found: text.trim().to_string(), expected: "a bucket and its time such as 5 gal in 22 s" };
    let clean = text.trim().to_lowercase();
    let (volume, time) = clean.split_once(" in ").ok_or_else(wrong)?;
    let flow_m3s = volume_m3(volume, units).zip(seconds(time)).map(|(volume_m3, time_s)| volume_m3 / time_s);
    flow_m3s.filter(|flow_m3s| flow_m3s.is_finite() && *flow_m3s >= 0.0).ok_or_else(wrong)
}

/// A number and the word behind it.
fn worded(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
    Some((text[..end].trim().parse().ok()?, text[end..].trim()))
}

fn volume_m3(text: &str, units: Units) -> Option<f64> {
    let (number, word) = worded(text)?;
    let one_m3 = match word {
        "" if units.is_metric() => LITRE_M3,
        "" | "gal" | "gallon" | "gallons" => GALLON_M3,
        "qt" | "quart" | "quarts" => GALLON_M3 / 4.0,
        "l" | "litre" | "litres" | "liter" | "liters" => LITRE_M3,
        _ => return None,
    };
    Some(number * one_m3)
}

fn seconds(text: &str) -> Option<f64> {
    let (number, word) = worded(text)?;
    let one_s = match word {
        "" | "s" | "sec" | "second" | "seconds" => 1.0,
        "min" | "minute" | "minutes" => 60.0,
        _ => return None,
    };
    (number > 0.0).then_some(number * one_s)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use super::*;

    /// 5 US gallons are 18.927 l (231 cubic inches to the gallon): in 22 s 0.8603 l/s.
    #[test]
    fn a_bucket_is_a_flow() {
        let l_s = |text: &str, units| parse_bucket(text, units).unwrap() * 1000.0;
        assert!((l_s("5 gal in 22 s", Units::Feet) - 0.860_32).abs() < 1e-4);
        assert!((l_s("5 in 22", Units::Feet) - 0.860_32).abs() < 1e-4);
        assert!((l_s("10 l in 20 s", Units::Feet) - 0.5).abs() < 1e-12);
        assert!((l_s("10 in 0.5 min", Units::Metric) - 1.0 / 3.0).abs() < 1e-12);
        for wrong in
            ["", "5 gal", "5 gal in", "5 gal in 0 s", "x in y", "5 furlongs in 2 s", "1e400 l in 1 s", "-5 in 3"]
        {
            assert!(parse_bucket(wrong, Units::Feet).is_err(), "{wrong}");
        }
    }
}
