//! A place as it is typed: by coordinates, by so far east and north, by length and bearing, or off a line.

use crate::{LengthUnit, MeasureError, Point, Units, parse_bearing, parse_length, parse_station};

/// What was typed.
#[derive(Debug, Clone, PartialEq)]
pub enum Typed {
    /// Easting and northing, metres.
    At(Point),
    /// So far east and north of the last place, metres.
    By(f64, f64),
    /// So far from the last place, metres, in a direction, degrees clockwise from grid north.
    Toward(f64, f64),
    /// Beside a line.
    Beside {
        /// The line's name.
        line: String,
        /// Distance from its downstream end, metres.
        station_m: f64,
        /// How far to its left, looking upstream, metres; below 0 to the right.
        left_m: f64,
    },
}

const A_PLACE: &str = "a place such as 1200.5, 850 or 120 N35°E";

/// Reads a place. Coordinates are in the unit of the plane, lengths and stations in the plan's where no other is named.
pub fn parse_place(text: &str, units: Units, across: LengthUnit) -> Result<Typed, MeasureError> {
    let plain = text.trim().replace('−', "-");
    let text = plain.as_str();
    let read = coordinates(text, across).or_else(|| toward(text, units)).or_else(|| beside(text, units));
    read.ok_or_else(|| MeasureError { found: text.into(), expected: A_PLACE })
}

/// `1200.5, 850`, `E 1200.5 N 850`; with a plus before it from the last place on.
fn coordinates(text: &str, across: LengthUnit) -> Option<Typed> {
    let clean = text.to_lowercase();
    let (from_last, clean) = clean.strip_prefix('+').map_or((false, clean.as_str()), |rest| (true, rest));
    let named = clean.strip_prefix('e').and_then(|rest| rest.split_once('n'));
    let (east, north) = named.or_else(|| clean.split_once([',', ';'])).or_else(|| clean.split_once(' '))?;
    let number = |text: &str| {
        let text = text.trim().trim_end_matches(',').trim_start_matches('+');
        text.parse::<f64>().ok().filter(|n| n.is_finite()).map(|n| n * across.metres())
    };
    let (east_m, north_m) = (number(east)?, number(north)?);
    Some(if from_last { Typed::By(east_m, north_m) } else { Typed::At(Point::new(east_m, north_m)) })
}

/// `120 ft N35°E`, `120 ft 215°`, `120 at 215`.
fn toward(text: &str, units: Units) -> Option<Typed> {
    let text = text.strip_prefix('+').unwrap_or(text);
    let at = bearing_from(text)?;
    let length = text[..at].trim().trim_end_matches(['@', ',']).trim();
    let length = length.strip_suffix(" at").unwrap_or(length);
    let bearing = text[at..].trim_start_matches(['@', ' ']);
    let length_m = parse_length(length, units).ok().filter(|length_m| *length_m > 0.0)?;
    Some(Typed::Toward(length_m, parse_bearing(bearing)?))
}

/// Where the bearing begins: at the N or S of a quadrant, after "at" or "@", or at the last word where that has a sign for
/// degrees.
fn bearing_from(text: &str) -> Option<usize> {
    if text.ends_with(['E', 'W', 'e', 'w']) {
        return text.rfind(['N', 'S', 'n', 's']);
    }
    let after = |word: &str| text.rfind(word).map(|at| at + word.len());
    let last_word = || text.rfind(' ').filter(|at| text[*at..].contains('°'));
    after("@").or_else(|| after(" at ")).or_else(last_word)
}

/// `M1 2+50`, `M1 2+50 left 10 ft`, `M1 2+50 10 right`.
fn beside(text: &str, units: Units) -> Option<Typed> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let is_station = |word: &&str| word.contains('+') && parse_station(word, units).is_some();
    let at = words.iter().position(is_station).filter(|at| *at > 0)?;
    let left_m = match words[at + 1..] {
        [] => 0.0,
        [side, ref off @ ..] if sign(side).is_some() => sign(side)? * parse_length(&off.join(" "), units).ok()?,
        [ref off @ .., side] => sign(side)? * parse_length(&off.join(" "), units).ok()?,
    };
    let station_m = parse_station(words[at], units)?;
    Some(Typed::Beside { line: words[..at].join(" "), station_m, left_m })
}

/// Left counts up, right down.
fn sign(side: &str) -> Option<f64> {
    match side.to_lowercase().as_str() {
        "left" | "l" => Some(1.0),
        "right" | "r" => Some(-1.0),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FOOT_M;
    use proptest::prelude::*;

    fn feet(text: &str) -> Option<Typed> {
        parse_place(text, Units::Feet, LengthUnit::Foot).ok()
    }

    #[test]
    fn coordinates_are_in_the_unit_of_the_plane() {
        for text in ["1200.5, 850", "1200.5 850", "1200.5;850", "E 1200.5  N 850", "e1200.5, n850"] {
            let place = parse_place(text, Units::Feet, LengthUnit::Metre).unwrap();
            assert_eq!(place, Typed::At(Point::new(1200.5, 850.0)), "{text}");
        }
        assert_eq!(feet("10, 20"), Some(Typed::At(Point::new(10.0 * FOOT_M, 20.0 * FOOT_M))));
        assert_eq!(feet("-10, -20"), Some(Typed::At(Point::new(-10.0 * FOOT_M, -20.0 * FOOT_M))));
        assert_eq!(feet("+120, -35"), Some(Typed::By(120.0 * FOOT_M, -35.0 * FOOT_M)));
    }

    #[test]
    fn lengths_and_bearings() {
        for (text, feet_long, degrees) in [
            ("120 ft N35°E", 120.0, 35.0),
            ("+120 ft N35°E", 120.0, 35.0),
            ("120 n35e", 120.0, 35.0),
            ("120' S12°30'W", 120.0, 192.5),
            ("120 ft 215°", 120.0, 215.0),
            ("120 ft at 215", 120.0, 215.0),
            ("120 @ 215.5", 120.0, 215.5),
            ("1440 in N35E", 120.0, 35.0),
            ("36.576 m N35°E", 120.0, 35.0),
        ] {
            let Some(Typed::Toward(length_m, read)) = feet(text) else { panic!("{text}: {:?}", feet(text)) };
            assert!((length_m - feet_long * FOOT_M).abs() < 1e-9 && (read - degrees).abs() < 1e-9, "{text}");
        }
        let metric = parse_place("40 N35E", Units::Metric, LengthUnit::Foot);
        assert_eq!(metric, Ok(Typed::Toward(40.0, 35.0)), "lengths are in the plan's unit");
    }

    #[test]
    fn places_beside_a_line() {
        let beside = |text: &str| match feet(text) {
            Some(Typed::Beside { line, station_m, left_m }) => {
                Some((line, (station_m / FOOT_M).round(), (left_m / FOOT_M).round()))
            }
            _ => None,
        };
        assert_eq!(beside("M1 2+50"), Some(("M1".into(), 250.0, 0.0)));
        assert_eq!(beside("M1 2+50 left 10 ft"), Some(("M1".into(), 250.0, 10.0)));
        assert_eq!(beside("the \"old\" line 2+50 10 right"), Some(("the \"old\" line".into(), 250.0, -10.0)));
        assert_eq!(beside("2+50"), None);
    }

    #[test]
    fn nonsense_is_refused_with_what_was_found() {
        for text in ["", "12", "N35E", "-5 ft N35E", "120 ft N95E", "M1 2+50 up 10", "a, b", "inf, 1"] {
            assert_eq!(feet(text), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".{0,40}") {
            let _ = feet(&text);
        }
    }
}
