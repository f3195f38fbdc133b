//! Reading what a person typed.

use crate::{FOOT_M, INCH_M, LengthUnit, Units};

/// Why a typed measurement was refused: what was found and what was expected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{found}' is not {expected}")]
pub struct MeasureError {
    /// The text as typed.
    pub found: String,
    /// What would have been read.
    pub expected: &'static str,
}

const A_LENGTH: &str = "a length such as 3.71 ft, 3'-8 1/2\", 44 in, 1130 mm or 1.13 m";
const A_SIZE: &str = "a pipe size such as 4 in or 100 mm, between 1 and 60 in";

/// Reads a length into metres. A bare number is in `units`; `ft ' in " mm cm m` are read in either system. On a plan in
/// US survey feet the sign for feet means those, as it does where the plan writes it.
pub fn parse_length(text: &str, units: Units) -> Result<f64, MeasureError> {
    let clean = text.trim().replace(['′', '’'], "'").replace(['″', '”'], "\"").replace('−', "-").to_lowercase();
    read_length(&clean, units)
        .filter(|value| value.is_finite())
        .ok_or_else(|| MeasureError { found: text.trim().to_string(), expected: A_LENGTH })
}

fn read_length(text: &str, units: Units) -> Option<f64> {
    if let Some((feet, inches)) = split_feet(text) {
        let sign = if feet.trim_start().starts_with('-') { -1.0 } else { 1.0 };
        let feet: f64 = feet.trim().parse().ok()?;
        let foot_m = if units == Units::SurveyFeet { LengthUnit::SurveyFoot.metres() } else { FOOT_M };
        let inches = inches.trim().trim_start_matches('-').trim();
        let inches = if inches.is_empty() { 0.0 } else { read_inches(inches)? };
        return Some(feet * foot_m + sign * inches * INCH_M);
    }
    for (sign, metres) in [("mm", 0.001), ("cm", 0.01), ("m", 1.0)] {
        if let Some(number) = text.strip_suffix(sign) {
            return Some(number.trim().parse::<f64>().ok()? * metres);
        }
    }
    if text.ends_with('"') || text.ends_with("in") {
        return Some(read_inches(text)? * INCH_M);
    }
    Some(text.parse::<f64>().ok()? * units.length_unit().metres())
}

/// Splits at the sign for feet, if there is one.
fn split_feet(text: &str) -> Option<(&str, &str)> {
    text.split_once('\'').or_else(|| text.split_once("ft"))
}

/// Inches with an optional fraction: `8`, `8.5`, `8 1/2`, `1/2`, with or without the inch sign.
fn read_inches(text: &str) -> Option<f64> {
    let text = text.trim_end_matches("in").trim_end_matches('"').trim();
    let mut total = 0.0;
    for part in text.split_whitespace() {
        total += match part.split_once('/') {
            Some((top, bottom)) => {
                let bottom: f64 = bottom.parse().ok()?;
                top.parse::<f64>().ok().filter(|_| bottom != 0.0)? / bottom
            }
            None => part.parse::<f64>().ok()?,
        };
    }
    (!text.is_empty()).then_some(total)
}

/// Reads a pipe's nominal inside diameter into metres: `4 in`, `4"`, `100 mm`; a bare number below 40 is inches,
/// otherwise millimetres (no pipe of the trade is 40 in or 40 mm). Whole millimetres that a size of whole inches prints as
/// are that size: 152 mm is 6 in, 100 mm is itself.
pub fn parse_pipe_size(text: &str) -> Result<f64, MeasureError> {
    let clean = text.trim().replace('″', "\"").to_lowercase();
    let metres = match clean.parse::<f64>() {
        Ok(number) if number < 40.0 => Some(number * INCH_M),
        Ok(number) => Some(number / 1000.0),
        Err(_) => read_length(&clean, Units::Metric),
    };
    metres
        .map(whole_inches)
        .filter(|size_m| (INCH_M..=60.0 * INCH_M).contains(size_m))
        .ok_or_else(|| MeasureError { found: text.trim().to_string(), expected: A_SIZE })
}

/// A size in whole millimetres as the size in whole inches that prints so, where there is one.
fn whole_inches(size_m: f64) -> f64 {
    let (mm, inches) = ((size_m * 1000.0).round(), (size_m / INCH_M).round());
    let is_printed = (size_m * 1000.0 - mm).abs() < 1e-6 && (inches * INCH_M * 1000.0).round() == mm;
    if is_printed { inches * INCH_M } else { size_m }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feet_and_eighths;
    use proptest::prelude::*;

    fn close(text: &str, metres: f64) {
        let read = parse_length(text, Units::Feet).unwrap();
        assert!((read - metres).abs() < 1e-9, "{text} read as {read}");
    }

    /// The three spellings named in the desk's manners, and their kin.
    #[test]
    fn lengths_in_every_spelling() {
        close("3'-8 1/2\"", 3.0 * FOOT_M + 8.5 * INCH_M);
        close("3′ 8½″".replace('½', " 1/2").as_str(), 3.0 * FOOT_M + 8.5 * INCH_M);
        close("3.71 ft", 3.71 * FOOT_M);
        close("3.71", 3.71 * FOOT_M);
        close("1130 mm", 1.13);
        close("1.13 m", 1.13);
        close("44 in", 44.0 * INCH_M);
        close("-1'-6\"", -1.5 * FOOT_M);
        close("-0'-6\"", -0.5 * FOOT_M);
        close("−1.5 ft", -1.5 * FOOT_M);
    }

    /// [FEET]: the two feet differ by 2 ppm, 4 ft at 2,000,000.
    #[test]
    fn feet_on_a_survey_foot_plan_are_survey_feet() {
        for text in ["2000000", "2000000 ft"] {
            assert_eq!(parse_length(text, Units::SurveyFeet).unwrap(), 2_000_000.0 * 1200.0 / 3937.0);
        }
    }

    #[test]
    fn nonsense_is_refused_with_what_was_found() {
        for text in ["", "deep", "3'-x\"", "1/0 in", "inf", "NaN"] {
            let error = parse_length(text, Units::Feet).unwrap_err();
            assert_eq!(error.found, text);
        }
    }

    #[test]
    fn pipe_sizes() {
        assert_eq!(parse_pipe_size("4 in").unwrap(), 4.0 * INCH_M);
        assert_eq!(parse_pipe_size("4").unwrap(), 4.0 * INCH_M);
        assert_eq!(parse_pipe_size("100").unwrap(), 0.1);
        assert_eq!(parse_pipe_size("100 mm").unwrap(), 0.1);
        assert!(parse_pipe_size("wide").is_err());
        assert!(parse_pipe_size("0").is_err());
    }

    proptest! {
        /// What the program prints in feet and eighths it reads back to within a sixteenth of an inch.
        #[test]
        fn printed_feet_and_inches_are_read_back(metres in -50.0..50.0f64) {
            let read = parse_length(&feet_and_eighths(metres), Units::Feet).unwrap();
            prop_assert!((read - metres).abs() <= INCH_M / 16.0 + 1e-6);
        }

        #[test]
        fn no_text_panics(text in ".{0,40}") {
            let _ = parse_length(&text, Units::Feet);
            let _ = parse_pipe_size(&text);
        }
    }
}
