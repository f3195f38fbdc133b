//! Bearings as a surveyor writes them: in a quadrant, `N35°10'E`, or round the circle, `215.5°`.

/// A bearing in its quadrant to the whole minute: `N35°10'E`.
pub fn quadrant(degrees: f64) -> String {
    let round = degrees.rem_euclid(360.0);
    let (from_north, side) = if round <= 180.0 { (round, 'E') } else { (360.0 - round, 'W') };
    let (from, angle) = if from_north <= 90.0 { ('N', from_north) } else { ('S', 180.0 - from_north) };
    let minutes = (angle * 60.0).round() as u32;
    format!("{from}{}°{:02}'{side}", minutes / 60, minutes % 60)
}

/// Reads a bearing into degrees clockwise from north, 0 to 360: `N35E`, `S 12°30' W`, `215.5°`, `215`; `None` if it is none.
pub fn parse_bearing(text: &str) -> Option<f64> {
    let clean = text.trim().to_lowercase();
    let (from, rest) = match clean.chars().next()? {
        first @ ('n' | 's') => (first, &clean[1..]),
        _ => return angle(&clean).filter(|degrees| *degrees <= 360.0),
    };
    let side = rest.chars().last()?;
    let degrees = angle(rest.strip_suffix(['e', 'w'])?).filter(|degrees| *degrees <= 90.0)?;
    Some(match (from, side) {
        ('n', 'e') => degrees,
        ('s', 'e') => 180.0 - degrees,
        ('s', _) => 180.0 + degrees,
        _ => (360.0 - degrees) % 360.0,
    })
}

/// Degrees, with minutes and seconds where they follow: `35`, `35.5°`, `35°10'`, `35-10-30`.
fn angle(text: &str) -> Option<f64> {
    let plain = text.trim().replace("deg", "°");
    let mut parts = plain.split(['°', '\'', '"', '′', '″', '’', '”', '-', ' ']).filter(|part| !part.is_empty());
    let mut number = || parts.next().map(|part| part.parse::<f64>().ok().filter(|n| n.is_finite() && *n >= 0.0));
    let degrees = number()??;
    let minutes = number().map_or(Some(0.0), |n| n.filter(|n| *n < 60.0))?;
    let seconds = number().map_or(Some(0.0), |n| n.filter(|n| *n < 60.0))?;
    (number().is_none() && !plain.starts_with('-')).then_some(degrees + minutes / 60.0 + seconds / 3600.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// One direction of each quadrant, written both ways.
    #[test]
    fn quadrants_turn_clockwise_from_north() {
        for (text, degrees) in [
            ("N35E", 35.0),
            ("n 35° e", 35.0),
            ("S12°30'W", 192.5),
            ("S 10-15-36 E", 169.74),
            ("N45W", 315.0),
            ("N0W", 0.0),
            ("215.5°", 215.5),
            ("90", 90.0),
            ("90 deg", 90.0),
        ] {
            let read = parse_bearing(text).unwrap_or_else(|| panic!("{text}"));
            assert!((read - degrees).abs() < 1e-9, "{text} read as {read}");
        }
        for text in ["", "N", "N95E", "NE", "N35", "400°", "-5", "N35°70'E", "35 10 10 10", "north"] {
            assert_eq!(parse_bearing(text), None, "{text}");
        }
    }

    #[test]
    fn a_bearing_is_written_in_its_quadrant() {
        let written = [0.0, 35.17, 90.0, 135.0, 180.0, 192.5, 315.0, 359.999].map(quadrant);
        let expected = ["N0°00'E", "N35°10'E", "N90°00'E", "S45°00'E", "S0°00'E", "S12°30'W", "N45°00'W", "N0°00'W"];
        assert_eq!(written, expected);
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back_to_half_a_minute(degrees in 0.0..360.0f64) {
            let off = (parse_bearing(&quadrant(degrees)).unwrap() - degrees).abs();
            prop_assert!(off.min(360.0 - off) <= 0.5 / 60.0 + 1e-9);
        }

        #[test]
        fn no_text_panics(text in ".{0,30}") {
            let _ = parse_bearing(&text);
        }
    }
}
