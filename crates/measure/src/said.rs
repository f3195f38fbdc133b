//! Figures as they are told and taken back: whoever types what was printed gets the very figure that was meant.

use crate::{
    INCH_M, INCH_PER_DAY_MS, Units, grade_places, parse_coefficient, parse_grade, parse_length, parse_pipe_size,
    parse_station, station, station_to,
};

/// A figure in print, with what is read when a person types it.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// As printed, with its unit: "0.38 ft".
    pub text: String,
    /// As read back, in metres, as a ratio or in metres a second.
    pub value: f64,
}

/// A station that reads back no farther off than this is told well enough, metres: two levels within an inch are one, and a
/// tenth of a foot tells any place so.
const STATION_M: f64 = 0.02;
/// Part of the last printed figure below which a difference is arithmetic noise.
const NOISE: f64 = 1e-6;

impl Said {
    /// What is printed is always read; where it were not, the figure that was meant would stand.
    fn of(text: String, read: impl Fn(&str) -> Option<f64>, meant: f64) -> Self {
        let value = read(&text).unwrap_or(meant);
        Self { text, value }
    }
}

impl Units {
    fn said_length(self, length_m: f64, places: i32) -> Said {
        let text = format!("{} {}", self.number(length_m, places), self.sign());
        Said::of(text, |text| parse_length(text, self).ok(), length_m)
    }

    /// The least vertical amount in print that is no less: `0.38 ft`, `0.12 m`.
    pub fn said_up(self, amount_m: f64) -> Said {
        self.said_length(self.round_up(amount_m, 2), 2)
    }

    /// The greatest vertical amount in print that is no more.
    pub fn said_down(self, amount_m: f64) -> Said {
        self.said_length(self.round_down(amount_m, 2), 2)
    }

    /// The lowest level in print that is no lower: `101.171 ft`, `30.837 m`.
    pub fn said_level_up(self, level_m: f64) -> Said {
        self.said_length(self.round_up(level_m, 3), 3)
    }

    /// The least amount of a few inches in print that is no less: `3 in`, `77 mm`.
    pub fn said_inches_up(self, amount_m: f64) -> Said {
        self.said_inches(amount_m, |count| (count - NOISE).ceil())
    }

    /// The greatest that is no more: `12 in`, `304 mm`.
    pub fn said_inches_down(self, amount_m: f64) -> Said {
        self.said_inches(amount_m, |count| (count + NOISE).floor())
    }

    /// Whole millimetres, or inches to a tenth.
    fn said_inches(self, amount_m: f64, whole: impl Fn(f64) -> f64) -> Said {
        let text = if self.is_metric() {
            format!("{} mm", whole(amount_m * 1000.0))
        } else {
            format!("{} in", whole(amount_m / INCH_M * 10.0) / 10.0)
        };
        Said::of(text, |text| parse_length(text, self).ok(), amount_m)
    }

    /// The least horizontal length in print that is no less: `37 ft`, `11.4 m`.
    pub fn said_length_up(self, length_m: f64) -> Said {
        let places = if self.is_metric() { 1 } else { 0 };
        self.said_length(self.round_up(length_m, places), places)
    }

    /// A station in print that reads back to the place itself: `1+50`, `0+53.34`.
    pub fn said_station(self, station_m: f64) -> Said {
        let read = |text: &str| parse_station(text, self);
        let short = station(station_m, self);
        let is_near = read(&short).is_some_and(|read_m| (read_m - station_m).abs() <= STATION_M);
        let text = if is_near { short } else { station_to(station_m, self, 2) };
        Said::of(text, read, station_m)
    }

    /// The last printed station that lies no farther up.
    pub fn said_station_down(self, station_m: f64) -> Said {
        let down_m = self.round_down(station_m, 1).max(0.0);
        Said::of(station(down_m, self), |text| parse_station(text, self), down_m)
    }

    /// The first printed station that lies no farther down.
    pub fn said_station_up(self, station_m: f64) -> Said {
        let up_m = self.round_up(station_m, 1).max(0.0);
        Said::of(station(up_m, self), |text| parse_station(text, self), up_m)
    }

    /// A pipe's nominal size: `6 in`, `152 mm`.
    pub fn said_pipe(self, size_m: f64) -> Said {
        Said::of(self.pipe(size_m), |text| parse_pipe_size(text).ok(), size_m)
    }

    /// The flattest grade in print that is no flatter: `0.51 %`.
    pub fn said_grade_up(self, ratio: f64) -> Said {
        let scale = 10f64.powi(grade_places(ratio)) * 100.0;
        let up = (ratio * scale - NOISE).ceil() / scale;
        Said::of(self.grade(up), |text| parse_grade(text).ok(), up)
    }

    /// The least drainage coefficient in print that is no less: `1/2 in/day`, `12.7 mm/day`.
    pub fn said_coefficient_up(self, coefficient_ms: f64) -> Said {
        let read = |text: &str| parse_coefficient(text, self).ok();
        let is_enough = |said: &Said| said.value >= coefficient_ms * (1.0 - NOISE);
        let plain = Said::of(self.coefficient(coefficient_ms), read, coefficient_ms);
        if is_enough(&plain) {
            return plain;
        }
        let step_ms = if self.is_metric() { INCH_PER_DAY_MS / 254.0 } else { INCH_PER_DAY_MS / 100.0 };
        let up_ms = (coefficient_ms / step_ms - NOISE).ceil() * step_ms;
        Said::of(self.coefficient(up_ms), read, up_ms)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{FOOT_M, INCH_M};
    use proptest::prelude::*;

    const ALL: [Units; 3] = [Units::Feet, Units::Metric, Units::SurveyFeet];

    #[test]
    fn figures_are_rounded_to_the_safe_side() {
        let (feet, metric) = (Units::Feet, Units::Metric);
        assert_eq!(feet.said_up(0.371 * FOOT_M).text, "0.38 ft");
        assert_eq!(feet.said_up(0.38 * FOOT_M).text, "0.38 ft");
        assert_eq!(metric.said_up(0.1181).text, "0.12 m");
        assert_eq!(metric.said_down(0.1181).text, "0.11 m");
        assert_eq!(feet.said_level_up(101.1703 * FOOT_M).text, "101.171 ft");
        assert_eq!(metric.said_inches_up(0.0762).text, "77 mm");
        assert_eq!(metric.said_inches_down(12.0 * INCH_M), Said { text: "304 mm".into(), value: 0.304 });
        assert_eq!(feet.said_inches_up(3.0 * INCH_M).text, "3 in");
        assert_eq!(feet.said_inches_up(3.02 * INCH_M).text, "3.1 in");
        assert_eq!(metric.said_length_up(3.048).text, "3.1 m");
        assert_eq!(feet.said_grade_up(0.005_01).text, "0.51 %");
        assert_eq!(feet.said_grade_up(0.000_999_9).text, "0.10 %");
        assert_eq!(feet.said_coefficient_up(INCH_PER_DAY_MS).text, "1 in/day");
        assert_eq!(feet.said_coefficient_up(0.502 * INCH_PER_DAY_MS).text, "0.51 in/day");
        assert_eq!(metric.said_coefficient_up(INCH_PER_DAY_MS).text, "25.4 mm/day");
    }

    /// A level locked at 53.34 m is freed within an inch of it: "0+53.3" would miss it.
    #[test]
    fn a_station_reads_back_to_its_place() {
        assert_eq!(Units::Metric.said_station(53.34).text, "0+53.34");
        assert_eq!(Units::Metric.said_station(53.3).text, "0+53.3");
        assert_eq!(Units::Feet.said_station(175.005 * FOOT_M).text, "1+75");
        assert_eq!(Units::Metric.said_station(199.996).text, "2+00");
    }

    /// Metric plans print nominal sizes in whole millimetres: 152 mm is 6 in, 100 mm is no 4 in.
    #[test]
    fn a_size_reads_back_to_itself() {
        for inches in 1..=60 {
            let size_m = f64::from(inches) * INCH_M;
            assert!(ALL.iter().all(|units| units.said_pipe(size_m).value == size_m), "{inches}");
        }
        assert_eq!(Units::Metric.said_pipe(0.1).value, 0.1);
    }

    proptest! {
        #[test]
        fn what_is_printed_is_what_is_read(length_m in 0.0..500.0f64, small in 0.0..0.2f64) {
            for units in ALL {
                let up = units.said_up(length_m);
                prop_assert!(up.value >= length_m - 1e-8 && up.value <= length_m + 0.0101, "{up:?}");
                let down = units.said_down(length_m);
                prop_assert!(down.value <= length_m + 1e-8 && down.value >= length_m - 0.0101, "{down:?}");
                prop_assert!((units.said_station(length_m).value - length_m).abs() <= STATION_M + 1e-6);
                prop_assert!(units.said_station_up(length_m).value >= length_m - 1e-6);
                prop_assert!(units.said_station_down(length_m).value <= length_m + 1e-6);
                prop_assert!(units.said_length_up(length_m).value >= length_m - 1e-6);
                let grade = units.said_grade_up(small);
                prop_assert!(grade.value >= small - 1e-9 && grade.value <= small + 1.01e-4, "{grade:?}");
                let wet = units.said_coefficient_up(small * INCH_PER_DAY_MS * 20.0);
                prop_assert!(wet.value >= small * INCH_PER_DAY_MS * 20.0 * (1.0 - 1e-5), "{wet:?}");
            }
        }
    }
}
