//! Scales of drawings: common ones only, so that the rulers people carry fit, and said in words.

use measure::Units;

/// Feet of land to an inch of paper, and metres of land to a metre of paper, for maps and lengths of profiles.
const MAP_FEET: [f64; 15] =
    [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0, 300.0, 400.0, 500.0, 1000.0, 2000.0];
const MAP_METRIC: [f64; 14] =
    [100.0, 200.0, 250.0, 500.0, 750.0, 1000.0, 1250.0, 1500.0, 2000.0, 2500.0, 4000.0, 5000.0, 10_000.0, 25_000.0];
/// The same for heights of profiles and for details.
const CLOSE_FEET: [f64; 14] = [0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 20.0, 30.0, 50.0, 100.0];
const CLOSE_METRIC: [f64; 11] = [2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0];

/// Inches in a foot: a foot to the inch is one to twelve.
const FOOT_IN: f64 = 12.0;

fn series(units: Units, feet: &[f64], metric: &[f64]) -> Vec<f64> {
    if units.is_metric() { metric.to_vec() } else { feet.iter().map(|feet| feet * FOOT_IN).collect() }
}

/// Scales of maps and lengths, rising: metres of land for a metre of paper.
pub(crate) fn of_maps(units: Units) -> Vec<f64> {
    series(units, &MAP_FEET, &MAP_METRIC)
}

/// Scales of heights and details, rising.
pub(crate) fn close_up(units: Units) -> Vec<f64> {
    series(units, &CLOSE_FEET, &CLOSE_METRIC)
}

/// The first of some scales that is `least` or coarser; the coarsest where none is.
pub(crate) fn from(scales: &[f64], least: f64) -> f64 {
    let found = scales.iter().copied().find(|scale| *scale >= least * (1.0 - 1e-9));
    found.or(scales.last().copied()).unwrap_or(least)
}

/// "1 inch = 100 feet, 1:1,200", or "1:1,000".
pub(crate) fn words(scale: f64, units: Units) -> String {
    let ratio = format!("1:{}", measure::thousands(scale, 0));
    if units.is_metric() {
        return ratio;
    }
    let feet = match scale / FOOT_IN {
        0.25 => "1/4 foot".into(),
        0.5 => "1/2 foot".into(),
        1.0 => "1 foot".into(),
        feet => format!("{} feet", measure::thousands(feet, 0)),
    };
    format!("1 inch = {feet}, {ratio}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_rise() {
        for units in [Units::Feet, Units::Metric] {
            for scales in [of_maps(units), close_up(units)] {
                assert!(scales.windows(2).all(|pair| pair[0] < pair[1]));
            }
        }
        assert_eq!(of_maps(Units::Feet)[5], 720.0);
    }

    #[test]
    fn a_scale_is_said_in_words() {
        assert_eq!(words(1200.0, Units::Feet), "1 inch = 100 feet, 1:1,200");
        assert_eq!(words(6.0, Units::SurveyFeet), "1 inch = 1/2 foot, 1:6");
        assert_eq!(words(2500.0, Units::Metric), "1:2,500");
        assert_eq!(from(&of_maps(Units::Metric), 500.0), 500.0);
        assert_eq!(from(&of_maps(Units::Metric), 501.0), 750.0);
    }
}
