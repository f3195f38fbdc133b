//! Angles in degrees, minutes and seconds, as people write latitude and longitude.

/// Along which way an angle counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Axis {
    /// East or west.
    Longitude,
    /// North or south.
    Latitude,
}

/// An angle as `52°30'12"N`, `N 52° 30.2'`, `-1°05'30.5"` or `52 30 12 N`: its degrees, and its axis where a letter says.
/// `None` for what has neither the sign of a degree nor a letter of the compass, and for minutes or seconds beyond 60.
pub(crate) fn angle(field: &str) -> Option<(f64, Option<Axis>)> {
    let text = field.trim();
    let is_letter = |c: char| matches!(c.to_ascii_uppercase(), 'N' | 'S' | 'E' | 'W');
    let (letter, figures) = match (text.chars().next()?, text.chars().last()?) {
        (first, _) if is_letter(first) => (Some(first), &text[1..]),
        (_, last) if is_letter(last) => (Some(last), &text[..text.len() - 1]),
        _ => (None, text),
    };
    if letter.is_none() && !text.contains(['°', 'º']) {
        return None;
    }
    let figures = figures.trim();
    let (sign, figures) = match figures.strip_prefix(['-', '\u{2212}']) {
        Some(rest) if letter.is_none() => (-1.0, rest),
        Some(_) => return None,
        None => (1.0, figures.strip_prefix('+').unwrap_or(figures)),
    };
    let marks = ['°', 'º', '\'', '’', '′', '"', '”', '″', ' ', '\u{a0}'];
    let is_plain = |part: &str| part.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b',');
    let parts: Vec<&str> = figures.split(marks).filter(|part| !part.is_empty()).collect();
    let numbers: Vec<f64> = parts
        .iter()
        .map(|part| part.replace(',', ".").parse::<f64>().ok().filter(|_| is_plain(part)))
        .collect::<Option<_>>()?;
    let (whole, rest) = numbers.split_first()?;
    let sound = rest.len() <= 2 && *whole <= 180.0 && rest.iter().all(|part| *part < 60.0);
    // Only the last part has a fraction.
    let coarse = numbers.split_last().is_some_and(|(_, coarse)| coarse.iter().all(|part| part.fract() == 0.0));
    let degrees = whole + rest.first().unwrap_or(&0.0) / 60.0 + rest.get(1).unwrap_or(&0.0) / 3600.0;
    let turned = letter.is_some_and(|letter| matches!(letter.to_ascii_uppercase(), 'S' | 'W'));
    let axis = letter.map(|letter| match letter.to_ascii_uppercase() {
        'N' | 'S' => Axis::Latitude,
        _ => Axis::Longitude,
    });
    (sound && coarse).then_some((if turned { -degrees } else { degrees * sign }, axis))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_in_every_dress() {
        let near = |text: &str, degrees: f64| {
            let (read, _) = angle(text).unwrap_or_else(|| panic!("{text}"));
            assert!((read - degrees).abs() < 1e-12, "{text}: {read}");
        };
        // By hand: 30' 12" are 0.5 + 12/3600 of a degree.
        let north = 52.0 + 0.5 + 12.0 / 3600.0;
        for text in ["52°30'12\"N", "52° 30′ 12.0″ n", "N52°30’12”", "52 30 12 N", "52º30'12\"", "+52°30.2'"]
        {
            near(text, north);
        }
        near("1°05'30.5\"W", -(1.0 + 5.0 / 60.0 + 30.5 / 3600.0));
        near("-1°05'30,5\"", -(1.0 + 5.0 / 60.0 + 30.5 / 3600.0));
        near("33.25 S", -33.25);
        assert_eq!(angle("12 W").unwrap().1, Some(Axis::Longitude));
        assert_eq!(angle("52°").unwrap().1, None);
    }

    #[test]
    fn what_is_no_angle() {
        for text in [
            "",
            "N",
            "52",
            "52 30 12",
            "52°61'N",
            "52°30'60\"N",
            "-52°S",
            "52.5°30'N",
            "190°E",
            "1°2'3\"4N",
            "°",
            "stake E",
        ] {
            assert!(angle(text).is_none(), "{text}");
        }
    }
}
