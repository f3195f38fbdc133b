//! How a figure is written for a person.

use serde::{Deserialize, Serialize};

use crate::{FOOT_M, INCH_M, LengthUnit, SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE};

/// Feet below which a difference is arithmetic noise: figures are snapped to it before rounding, so that a value that
/// went through metres and back falls on the same side ([judgement]).
const SNAP: f64 = 1e-6;

/// The units in which a person reads and types.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Units {
    /// Metres, millimetres, hectares.
    #[serde(rename = "metric")]
    Metric,
    /// International feet, inches, acres.
    #[serde(rename = "feet")]
    Feet,
    /// US survey feet for coordinates and levels; inches and acres.
    #[serde(rename = "survey-feet")]
    SurveyFeet,
}

/// The step of a scale: the least of 1, 2 and 5 times a power of ten, 1e-9 to 1e12, that is no less.
pub fn grid_step(least: f64) -> f64 {
    let mut steps = (-9..12).flat_map(|power| [1.0, 2.0, 5.0].map(|step| step * 10f64.powi(power)));
    steps.find(|step| *step >= least).unwrap_or(1e12)
}

/// Rounds half up to `places` decimals after snapping to a millionth.
pub fn round_half_up(value: f64, places: i32) -> f64 {
    let snapped = (value / SNAP).round() * SNAP;
    let scale = 10f64.powi(places);
    // The small addition undoes the binary error of `snapped * scale` (3.445 * 100 = 344.49999…).
    let rounded = (snapped * scale + 0.5 + SNAP * 1e-3 * scale).floor() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Feet and inches to the nearest eighth, `3'-8 3/8"`, from metres (common practice, no source).
pub fn feet_and_eighths(length_m: f64) -> String {
    let eighths = round_half_up(length_m.abs() / FOOT_M * 96.0, 0) as i64;
    let sign = if length_m < 0.0 && eighths > 0 { "−" } else { "" };
    let (feet, rest) = (eighths / 96, eighths % 96);
    let (inches, part) = (rest / 8, rest % 8);
    let fraction = match part {
        0 => String::new(),
        4 => " 1/2".into(),
        2 | 6 => format!(" {}/4", part / 2),
        _ => format!(" {part}/8"),
    };
    format!("{sign}{feet}'-{inches}{fraction}\"")
}

/// A few inches to the nearest eighth: "5/8 in", "1 1/4 in".
fn inches_and_eighths(amount_m: f64) -> String {
    let eighths = round_half_up(amount_m / INCH_M * 8.0, 0) as i64;
    let fraction = match eighths % 8 {
        0 => String::new(),
        4 => "1/2".into(),
        part @ (2 | 6) => format!("{}/4", part / 2),
        part => format!("{part}/8"),
    };
    let whole = if eighths >= 8 || fraction.is_empty() { (eighths / 8).to_string() } else { String::new() };
    let parts = [whole, fraction, "in".into()];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
}

/// A number with so many decimals; what rounds to nothing has no sign: never "-0.00".
pub fn fixed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(figures) if figures.chars().all(|c| matches!(c, '0' | '.')) => figures.to_string(),
        _ => text,
    }
}

/// A number with at least and at most so many decimals, no idle noughts beyond the least: "0.75", "2.4606", "1250".
pub fn trimmed(value: f64, least: usize, most: usize) -> String {
    let text = fixed(round_half_up(value, most as i32), most);
    let shortest = text.len() - (most - least) - usize::from(least == 0 && most > 0);
    let kept = text.trim_end_matches('0').trim_end_matches('.').len().max(shortest);
    text[..kept].to_string()
}

/// A figure rounded to what an estimate is good for: three significant figures ([judgement]).
pub fn estimated(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10f64.powf(value.abs().log10().floor() - 2.0);
    (value / step).round() * step
}

/// A number with its thousands apart: "56,165.50" with two places.
pub fn thousands(value: f64, places: usize) -> String {
    let signed = fixed(value, places);
    let (sign, text) = signed.strip_prefix('-').map_or(("", signed.as_str()), |text| ("−", text));
    let (whole, rest) = text.split_once('.').map_or((text, String::new()), |(w, r)| (w, format!(".{r}")));
    let grouped: Vec<&str> =
        whole.as_bytes().rchunks(3).rev().filter_map(|three| str::from_utf8(three).ok()).collect();
    format!("{sign}{}{rest}", grouped.join(","))
}

/// A text in which every minus before a figure is a true one, as people read it; data keep the sign of the keyboard.
pub fn true_minus(text: &str) -> String {
    let mut told = String::with_capacity(text.len() + 4);
    let mut before = ' ';
    for (i, sign) in text.char_indices() {
        let figure = text[i + sign.len_utf8()..].starts_with(|c: char| c.is_ascii_digit() || c == '.');
        told.push(if sign == '-' && figure && matches!(before, ' ' | '(' | '\n') { '−' } else { sign });
        before = sign;
    }
    told
}

/// Decimals of a percent in which a grade is written.
pub fn grade_places(ratio: f64) -> i32 {
    if ratio.abs() < 0.001 { 3 } else { 2 }
}

/// Two figures of one unit, which is named once: "0.41 to 3.66 %", "1.51 of 3.36 ha".
pub fn unit_once(one: &str, word: &str, other: &str) -> String {
    let unit = other.rsplit_once(' ').map(|(_, unit)| unit);
    let bare = unit.and_then(|unit| one.strip_suffix(unit)).map_or(one, str::trim_end);
    format!("{bare} {word} {other}")
}

/// A count with its noun: "1 hub", "3 hubs".
pub fn how_many(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// A figure with the sign of its amount, "+0.02", "−0.33 ft"; without one where nothing is left of it as it is shown.
pub fn signed(amount: f64, figure: &str) -> String {
    let sign = match figure.contains(|c: char| ('1'..='9').contains(&c)) {
        false => "",
        true if amount < 0.0 => "−",
        true => "+",
    };
    format!("{sign}{figure}")
}

/// Two figures that are told beside each other, with at least so many decimals and so many more that they do not look
/// alike; figures that are the same to a hundred-thousandth do.
pub fn told_apart(values: [f64; 2], least: i32, show: impl Fn(f64, i32) -> String) -> [String; 2] {
    let told = |places: i32| values.map(|value| show(value, places));
    (least..=5).map(told).find(|[one, other]| one != other).unwrap_or_else(|| told(least))
}

/// A ratio in percent with so many decimals: "0.60 %".
fn percent(ratio: f64, places: i32) -> String {
    true_minus(&format!("{:.*} %", places as usize, round_half_up(ratio * 100.0, places)))
}

impl Units {
    /// The unit of lengths, levels and coordinates.
    pub const fn length_unit(self) -> LengthUnit {
        match self {
            Self::Metric => LengthUnit::Metre,
            Self::Feet => LengthUnit::Foot,
            Self::SurveyFeet => LengthUnit::SurveyFoot,
        }
    }

    /// The units a plan in that unit is read in.
    pub const fn of(unit: LengthUnit) -> Self {
        match unit {
            LengthUnit::Metre => Self::Metric,
            LengthUnit::Foot => Self::Feet,
            LengthUnit::SurveyFoot => Self::SurveyFeet,
        }
    }

    /// True for metres and millimetres.
    pub const fn is_metric(self) -> bool {
        matches!(self, Self::Metric)
    }

    /// The sign written after a length: `ft` or `m`.
    pub const fn sign(self) -> &'static str {
        if self.is_metric() { "m" } else { "ft" }
    }

    /// Metres as a bare number in these units.
    pub fn number(self, length_m: f64, places: i32) -> String {
        let value = round_half_up(length_m / self.length_unit().metres(), places);
        true_minus(&format!("{value:.*}", places.max(0) as usize))
    }

    /// Decimals of levels, cuts and depths that are dug by: hundredths of a foot, millimeters (common practice, no source).
    pub const fn last_place(self) -> i32 {
        if self.is_metric() { 3 } else { 2 }
    }

    /// A length rounded to the last place that is dug by, metres; halves go up.
    pub fn as_printed(self, length_m: f64) -> f64 {
        let unit_m = self.length_unit().metres();
        round_half_up(length_m / unit_m, self.last_place()) * unit_m
    }

    /// A level, cut or depth that is dug by, without its unit, always with the same decimals: `412.60`, `125.760`.
    pub fn figure(self, length_m: f64) -> String {
        self.number(length_m, self.last_place())
    }

    /// The least length of so many decimals of these units that is not less, metres: what is asked for at the least is rounded
    /// so before it is printed, and read back it is this length again.
    pub fn round_up(self, length_m: f64, places: i32) -> f64 {
        let unit_m = self.length_unit().metres();
        let scale = 10f64.powi(places);
        (length_m / unit_m * scale - SNAP).ceil() / scale * unit_m
    }

    /// The greatest length of so many decimals of these units that is not more, metres.
    pub fn round_down(self, length_m: f64, places: i32) -> f64 {
        -self.round_up(-length_m, places)
    }

    /// A horizontal length: `236 ft`, `71.9 m`.
    pub fn length(self, length_m: f64) -> String {
        let places = if self.is_metric() { 1 } else { 0 };
        format!("{} {}", self.number(length_m, places), self.sign())
    }

    /// A vertical length such as depth, cover or a fall: `3.71 ft`, `1.13 m`.
    pub fn depth(self, depth_m: f64) -> String {
        format!("{} {}", self.number(depth_m, 2), self.sign())
    }

    /// A small vertical amount with one more figure in metres: `0.05 ft`, `0.015 m`.
    pub fn amount(self, amount_m: f64) -> String {
        let places = if self.is_metric() { 3 } else { 2 };
        format!("{} {}", self.number(amount_m, places), self.sign())
    }

    /// The depth of water in a pipe: `5/8 in`, `15 mm`.
    pub fn water(self, depth_m: f64) -> String {
        if self.is_metric() { format!("{} mm", fixed(depth_m * 1000.0, 0)) } else { inches_and_eighths(depth_m) }
    }

    /// Two vertical lengths that are told beside each other, a value and its limit: with so many figures that they do not
    /// look alike, and millimetres, for limits of the trade are whole in feet.
    pub fn depths(self, one_m: f64, other_m: f64) -> [String; 2] {
        let places = if self.is_metric() { 3 } else { 2 };
        told_apart([one_m, other_m], places, |value_m, places| {
            format!("{} {}", self.number(value_m, places), self.sign())
        })
    }

    /// Two horizontal lengths that are told beside each other.
    pub fn lengths(self, one_m: f64, other_m: f64) -> [String; 2] {
        let places = if self.is_metric() { 1 } else { 0 };
        told_apart([one_m, other_m], places, |value_m, places| {
            format!("{} {}", self.number(value_m, places), self.sign())
        })
    }

    /// Two grades that are told beside each other, as ratios.
    pub fn grades(self, one: f64, other: f64) -> [String; 2] {
        let places = [grade_places(one), grade_places(other)];
        if self.grade(one) != self.grade(other) || one == other {
            return [self.grade(one), self.grade(other)];
        }
        told_apart([one, other], places[0].max(places[1]), percent)
    }

    /// A level without its unit, as on a plan: `412.61`, with a third decimal where the level has one.
    pub fn level(self, level_m: f64) -> String {
        let three = self.number(level_m, 3);
        match three.strip_suffix('0') {
            Some(two) => two.to_string(),
            None => three,
        }
    }

    /// An area: `5.6 ac`, `2.27 ha`.
    pub fn area(self, area_m2: f64) -> String {
        if self.is_metric() {
            format!("{:.2} ha", round_half_up(area_m2 / SQUARE_M_PER_HECTARE, 2))
        } else {
            let acres = area_m2 / SQUARE_M_PER_ACRE;
            let places = if acres < 10.0 { 2 } else { 1 };
            format!("{:.*} ac", places as usize, round_half_up(acres, places))
        }
    }

    /// An area that is not nothing: the same, or `Less than 0.01 ac`; begins a sentence.
    pub fn some_area(self, area_m2: f64) -> String {
        let hundredth_m2 = if self.is_metric() { SQUARE_M_PER_HECTARE } else { SQUARE_M_PER_ACRE } / 100.0;
        let less = if area_m2 < hundredth_m2 { "Less than " } else { "" };
        format!("{less}{}", self.area(area_m2.max(hundredth_m2)))
    }

    /// A volume of soil: `412 yd³`, `315 m³`.
    pub fn volume(self, volume_m3: f64) -> String {
        if self.is_metric() {
            format!("{} m³", fixed(volume_m3, 0))
        } else {
            format!("{} yd³", fixed(volume_m3 / (3.0 * FOOT_M).powi(3), 0))
        }
    }

    /// A pipe's nominal size: `4 in`, `100 mm`.
    pub fn pipe(self, size_m: f64) -> String {
        if self.is_metric() {
            return format!("{:.0} mm", size_m * 1000.0);
        }
        let inches = round_half_up(size_m / INCH_M, 1);
        if inches.fract() == 0.0 { format!("{inches:.0} in") } else { format!("{inches:.1} in") }
    }

    /// A grade, given as a ratio: `0.60 %`.
    pub fn grade(self, ratio: f64) -> String {
        percent(ratio, grade_places(ratio))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The four half-way figures of the worked cut sheet of Tannet Rise, reached through metres.
    #[test]
    fn scales_are_marked_by_ones_twos_and_fives() {
        assert_eq!([0.3, 1.0, 1.1, 6.0, 20.0, 2001.0].map(grid_step), [0.5, 1.0, 2.0, 10.0, 20.0, 5000.0]);
        assert_eq!([0.0, f64::INFINITY].map(grid_step), [1e-9, 1e12]);
    }

    #[test]
    fn halves_round_up_even_after_metres() {
        for (a, b, printed) in [
            (418.08, 414.635, "3.45"),
            (419.98, 416.285, "3.70"),
            (417.70, 414.635, "3.07"),
            (419.55, 416.285, "3.27"),
        ] {
            let through_metres = a * FOOT_M - b * FOOT_M;
            assert_eq!(Units::Feet.number(through_metres, 2), printed);
        }
        assert_eq!(Units::Feet.level(414.635 * FOOT_M), "414.635");
        assert_eq!(Units::Feet.level(412.61 * FOOT_M), "412.61");
    }

    /// The column of cuts in feet and inches of the worked cut sheet.
    #[test]
    fn cuts_in_feet_and_eighths() {
        for (feet, printed) in [
            (3.70, "3'-8 3/8\""),
            (3.56, "3'-6 3/4\""),
            (3.64, "3'-7 5/8\""),
            (3.20, "3'-2 3/8\""),
            (3.71, "3'-8 1/2\""),
            (3.445, "3'-5 3/8\""),
            (3.65, "3'-7 3/4\""),
            (3.72, "3'-8 5/8\""),
            (4.0, "4'-0\""),
        ] {
            assert_eq!(feet_and_eighths(feet * FOOT_M), printed);
        }
    }

    #[test]
    fn water_in_a_pipe_is_told_in_eighths() {
        let told = [0.05, 0.0, 1.0 / 12.0, 0.125, 1.0 / 24.0].map(|feet| Units::Feet.water(feet * FOOT_M));
        assert_eq!(told, ["5/8 in", "0 in", "1 in", "1 1/2 in", "1/2 in"]);
        assert_eq!(Units::Metric.water(0.0152), "15 mm");
    }

    #[test]
    fn figures_carry_their_unit() {
        assert_eq!(Units::Feet.length(236.0 * FOOT_M), "236 ft");
        assert_eq!(Units::Metric.pipe(0.1016), "102 mm");
        assert_eq!(Units::Feet.pipe(0.1016), "4 in");
        assert_eq!(Units::Feet.grade(0.006), "0.60 %");
        assert_eq!(Units::Feet.area(5.6 * SQUARE_M_PER_ACRE), "5.60 ac");
        assert_eq!(Units::Metric.number(-0.0001, 2), "0.00");
    }

    #[test]
    fn a_value_and_its_limit_do_not_look_alike() {
        assert_eq!(Units::Feet.depths(1.997 * FOOT_M, 2.0 * FOOT_M), ["1.997 ft", "2.000 ft"]);
        assert_eq!(Units::Feet.depths(1.2 * FOOT_M, 2.0 * FOOT_M), ["1.20 ft", "2.00 ft"]);
        assert_eq!(Units::Metric.lengths(30.46, 30.48), ["30.46 m", "30.48 m"]);
        assert_eq!(Units::Feet.grades(0.005_49, 0.005_51), ["0.549 %", "0.551 %"]);
        assert_eq!(Units::Feet.grades(0.005, 0.005), ["0.50 %", "0.50 %"]);
    }

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!([-0.004, -0.0, -0.006, 0.004].map(|value| fixed(value, 2)), ["0.00", "0.00", "-0.01", "0.00"]);
        assert_eq!(Units::Metric.volume(-0.2), "0 m³");
    }

    #[test]
    fn idle_noughts_are_left_out() {
        let shown = [0.75, 2.460_63, 12.5, 0.0, 1250.0].map(|value| trimmed(value, 2, 4));
        assert_eq!(shown, ["0.75", "2.4606", "12.50", "0.00", "1250.00"]);
        assert_eq!([1250.0, 1234.56, 0.0, -0.01].map(|value| trimmed(value, 0, 1)), ["1250", "1234.6", "0", "0"]);
        assert_eq!([100.0, 7.4].map(|value| trimmed(value, 0, 0)), ["100", "7"]);
    }

    #[test]
    fn a_minus_that_people_read_is_a_true_one() {
        assert_eq!(Units::Metric.level(-1.25), "−1.25");
        assert_eq!(
            (Units::Feet.grade(-0.004), feet_and_eighths(-0.5 * FOOT_M)),
            ("−0.40 %".into(), "−0'-6\"".into())
        );
        assert_eq!(
            true_minus("E -12.5, N -3 (-1) on 2031-04-02, 0+00-2+50, 3'-8\""),
            "E −12.5, N −3 (−1) on 2031-04-02, 0+00-2+50, 3'-8\""
        );
        assert_eq!(fixed(-1.5, 1), "-1.5", "data keep the sign of the keyboard");
    }

    #[test]
    fn an_estimate_has_three_figures() {
        let rounded = [56_165.5, -1_234.0, 0.123_45, 99.96, 0.0].map(estimated);
        let wanted = [56_200.0, -1_230.0, 0.123, 100.0, 0.0];
        rounded.iter().zip(wanted).for_each(|(one, other)| assert!((one - other).abs() < 1e-9, "{rounded:?}"));
    }

    #[test]
    fn thousands_stand_apart() {
        let shown = [0.0, 999.995, 1000.0, 56_165.5, -1_234_567.891, -0.004].map(|value| thousands(value, 2));
        assert_eq!(shown, ["0.00", "1,000.00", "1,000.00", "56,165.50", "−1,234,567.89", "0.00"]);
        assert_eq!(thousands(12_345.0, 0), "12,345");
    }
}
