//! Units of length and their exact factors.

use serde::{Deserialize, Serialize};

/// One international foot in metres, exact (1959 agreement, [FEET]).
pub const FOOT_M: f64 = 0.3048;
/// One US survey foot in metres, exact by definition (1200/3937; NIST, kept for SPCS 83 and 27).
pub const SURVEY_FOOT_M: f64 = 1200.0 / 3937.0;
/// One international inch in metres, exact.
pub const INCH_M: f64 = 0.0254;
/// One acre of 43,560 international square feet, in square metres.
pub const SQUARE_M_PER_ACRE: f64 = 43_560.0 * FOOT_M * FOOT_M;
/// One hectare in square metres.
pub const SQUARE_M_PER_HECTARE: f64 = 10_000.0;

/// A unit in which a file states coordinates or levels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum LengthUnit {
    /// The metre.
    #[serde(rename = "m")]
    Metre,
    /// The international foot, 0.3048 m.
    #[serde(rename = "ft")]
    Foot,
    /// The US survey foot, 1200/3937 m.
    #[serde(rename = "us-ft")]
    SurveyFoot,
}

impl LengthUnit {
    /// Metres in one of this unit.
    pub const fn metres(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Foot => FOOT_M,
            Self::SurveyFoot => SURVEY_FOOT_M,
        }
    }

    /// The short sign used in files and on the command line: `m`, `ft`, `us-ft`.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Foot => "ft",
            Self::SurveyFoot => "us-ft",
        }
    }

    /// The unit as said in a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Metre => "meters",
            Self::Foot => "international feet",
            Self::SurveyFoot => "US survey feet",
        }
    }

    /// Metres as a bare number of this unit, with so many decimals.
    pub fn figure(self, value_m: f64, places: usize) -> String {
        crate::fixed(value_m / self.metres(), places)
    }

    /// The unit of so many metres, to a part in ten million, which still tells the two feet apart; `None` for others.
    pub fn of_metres(size_m: f64) -> Option<Self> {
        let units = [Self::Metre, Self::Foot, Self::SurveyFoot];
        units.into_iter().find(|unit| (size_m / unit.metres() - 1.0).abs() < 1e-7)
    }

    /// Reads the short sign; `None` for anything else.
    pub fn from_sign(sign: &str) -> Option<Self> {
        [Self::Metre, Self::Foot, Self::SurveyFoot].into_iter().find(|unit| unit.sign() == sign)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_names_its_unit() {
        let all = [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::SurveyFoot];
        assert_eq!(all.map(|unit| LengthUnit::of_metres(unit.metres())), all.map(Some));
        assert_eq!(LengthUnit::of_metres(0.304_800_61), Some(LengthUnit::SurveyFoot));
        assert_eq!([0.9144, 0.0, f64::NAN].map(LengthUnit::of_metres), [None; 3]);
    }

    /// [FEET]: ratio of the two feet, and their difference at 2,000,000 ft.
    #[test]
    fn survey_foot_differs_by_two_parts_in_a_million() {
        assert!((SURVEY_FOOT_M / FOOT_M - 1.000_002_000_004).abs() < 1e-12);
        let metres_apart = 2_000_000.0 * (SURVEY_FOOT_M - FOOT_M);
        assert!((metres_apart - 1.219).abs() < 1e-3, "{metres_apart}");
    }
}
