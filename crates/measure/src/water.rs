//! Flow, speed and drainage coefficient as a person reads and types them.

use crate::{
    FOOT_M, INCH_M, MeasureError, SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE, Units, round_half_up, told_apart, trimmed,
};

/// Seconds in a day.
pub const DAY_S: f64 = 86_400.0;
const HOUR_S: f64 = 3_600.0;

/// An inch a day, m/s.
pub const INCH_PER_DAY_MS: f64 = INCH_M / DAY_S;
/// A cubic foot a second, m³/s.
pub const CFS_M3S: f64 = FOOT_M * FOOT_M * FOOT_M;

impl Units {
    /// A flow: `0.143 cfs`, `4.04 L/s`.
    pub fn flow(self, flow_m3s: f64) -> String {
        if self.is_metric() {
            format!("{:.2} L/s", round_half_up(flow_m3s * 1000.0, 2))
        } else {
            format!("{:.3} cfs", round_half_up(flow_m3s / CFS_M3S, 3))
        }
    }

    /// A flow as a bucket tells it: `13.6 gpm`, `51.6 L/min`.
    pub fn bucket(self, flow_m3s: f64) -> String {
        let (unit_m3, sign) = if self.is_metric() { (1e-3, "L/min") } else { (GALLON_M3, "gpm") };
        format!("{:.1} {sign}", round_half_up(flow_m3s * 60.0 / unit_m3, 1))
    }

    /// A speed: `1.46 ft/s`, `0.45 m/s`.
    pub fn velocity(self, velocity_ms: f64) -> String {
        if self.is_metric() {
            format!("{:.2} m/s", round_half_up(velocity_ms, 2))
        } else {
            format!("{:.2} ft/s", round_half_up(velocity_ms / FOOT_M, 2))
        }
    }

    /// Two speeds that are told beside each other.
    pub fn velocities(self, one_ms: f64, other_ms: f64) -> [String; 2] {
        let (unit_ms, sign) = if self.is_metric() { (1.0, "m/s") } else { (FOOT_M, "ft/s") };
        told_apart([one_ms, other_ms], 2, |value_ms, places| {
            format!("{:.*} {sign}", places as usize, round_half_up(value_ms / unit_ms, places))
        })
    }

    /// Two flows that are told beside each other.
    pub fn flows(self, one_m3s: f64, other_m3s: f64) -> [String; 2] {
        let (unit_m3s, sign, places) = if self.is_metric() { (1e-3, "L/s", 2) } else { (CFS_M3S, "cfs", 3) };
        told_apart([one_m3s, other_m3s], places, |value_m3s, places| {
            format!("{:.*} {sign}", places as usize, round_half_up(value_m3s / unit_m3s, places))
        })
    }

    /// A drainage coefficient: `1/2 in/day` for eighths up to an inch, else `0.44 in/day`; `12.7 mm/day`.
    pub fn coefficient(self, coefficient_ms: f64) -> String {
        if self.is_metric() {
            return format!("{} mm/day", plain(coefficient_ms * DAY_S * 1000.0, 1));
        }
        let inches = coefficient_ms / INCH_PER_DAY_MS;
        let eighths = (inches * 8.0).round();
        if (inches * 8.0 - eighths).abs() > 1e-6 || !(1.0..8.0).contains(&eighths) {
            return format!("{} in/day", plain(inches, 2));
        }
        let mut fraction = (eighths as u32, 8);
        while fraction.0 % 2 == 0 {
            fraction = (fraction.0 / 2, fraction.1 / 2);
        }
        format!("{}/{} in/day", fraction.0, fraction.1)
    }

    /// A depth of rain: `1.20 in`, `30 mm`.
    pub fn rain(self, depth_m: f64) -> String {
        if self.is_metric() {
            format!("{} mm", trimmed(depth_m * 1000.0, 0, 1))
        } else {
            format!("{:.2} in", round_half_up(depth_m / INCH_M, 2))
        }
    }

    /// A conductivity of soil in three figures: `0.694 ft/day`, `0.212 m/day`.
    pub fn conductivity(self, conductivity_ms: f64) -> String {
        let (unit_m, sign) = if self.is_metric() { (1.0, "m/day") } else { (FOOT_M, "ft/day") };
        let value = conductivity_ms * DAY_S / unit_m;
        let whole = if value > 0.0 { value.log10().floor() as i32 } else { 0 };
        format!("{} {sign}", trimmed(value, 0, (2 - whole).clamp(0, 6) as usize))
    }

    /// How land under a coefficient becomes a flow: `6.8 ac × 1/2 in/day ÷ 23.8 = 0.143 cfs` (by the units:
    /// 23.8017 acre-inches a day to the cubic foot a second, 8.64 hectare-millimetres a day to the litre).
    pub fn drained(self, area_m2: f64, coefficient_ms: f64) -> String {
        let (area, divisor) = if self.is_metric() {
            (format!("{} ha", plain(area_m2 / SQUARE_M_PER_HECTARE, 2)), "8.64")
        } else {
            (format!("{} ac", plain(area_m2 / SQUARE_M_PER_ACRE, 2)), "23.8")
        };
        let flow = self.flow(area_m2 * coefficient_ms);
        format!("{area} × {} ÷ {divisor} = {flow}", self.coefficient(coefficient_ms))
    }
}

/// A number without idle zeros.
fn plain(value: f64, places: i32) -> String {
    let text = format!("{:.*}", places as usize, round_half_up(value, places));
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Reads a conductivity of soil into m/s: `0.694 ft/day`, `0.35 in/hr`, `0.21 m/day`, `8.8 mm/h`, `2.4 µm/s`; a bare number is
/// feet a day, or metres a day on a metric plan.
pub fn parse_conductivity(text: &str, units: Units) -> Result<f64, MeasureError> {
    let clean: String = text.to_lowercase().replace('μ', "µ").split_whitespace().collect();
    let bare = if units.is_metric() { 1.0 } else { FOOT_M } / DAY_S;
    let signs = [
        ("ft/day", FOOT_M / DAY_S),
        ("ft/d", FOOT_M / DAY_S),
        ("in/hr", INCH_M / HOUR_S),
        ("in/h", INCH_M / HOUR_S),
        ("in/day", INCH_M / DAY_S),
        ("mm/hr", 1e-3 / HOUR_S),
        ("mm/h", 1e-3 / HOUR_S),
        ("mm/day", 1e-3 / DAY_S),
        ("cm/day", 1e-2 / DAY_S),
        ("cm/d", 1e-2 / DAY_S),
        ("cm/h", 1e-2 / HOUR_S),
        ("µm/s", 1e-6),
        ("um/s", 1e-6),
        ("m/day", 1.0 / DAY_S),
        ("m/d", 1.0 / DAY_S),
        ("m/s", 1.0),
    ];
    let found = signs.into_iter().find_map(|(sign, unit)| clean.strip_suffix(sign).map(|number| (number, unit)));
    let (number, unit) = found.unwrap_or((&clean, bare));
    let value = number.parse::<f64>().ok().map(|number| number * unit).filter(|value| *value > 0.0);
    positive(text, value, "a conductivity such as 0.694 ft/day, 0.35 in/hr, 0.21 m/day, 8.8 mm/h or 2.4 µm/s")
}

/// Reads a drainage coefficient into m/s: `1/2 in/day`, `0.5`, `12.7 mm/day`; a bare number is inches a day, or
/// millimetres on a metric plan.
pub fn parse_coefficient(text: &str, units: Units) -> Result<f64, MeasureError> {
    let clean = spread(text).replace("/day", "").replace("per day", "");
    let (number, unit_m) = match clean.trim().strip_suffix("mm") {
        Some(number) => (number, 1e-3),
        None => match clean.trim().strip_suffix("in") {
            Some(number) => (number, INCH_M),
            None => (clean.trim(), if units.is_metric() { 1e-3 } else { INCH_M }),
        },
    };
    positive(
        text,
        fraction(number).map(|number| number * unit_m / DAY_S),
        "a coefficient such as 1/2 in/day or 12 mm/day",
    )
}

/// Reads a depth of rain into metres: `1.2 in`, `1 1/4 in`, `30 mm`, `3 cm`; a bare number is inches, or millimetres on a
/// metric plan.
pub fn parse_rain(text: &str, units: Units) -> Result<f64, MeasureError> {
    let clean = spread(text);
    let bare = if units.is_metric() { 1e-3 } else { INCH_M };
    let signs = [("mm", 1e-3), ("cm", 1e-2), ("in", INCH_M), ("\"", INCH_M)];
    let found = signs.into_iter().find_map(|(sign, unit)| clean.trim().strip_suffix(sign).map(|n| (n, unit)));
    let (number, unit) = found.unwrap_or((clean.trim(), bare));
    positive(text, fraction(number).map(|number| number * unit), "a depth of rain such as 1.2 in or 30 mm")
}

/// Reads an area into square metres: `6.8 ac`, `2.7 ha`, `5000 m2`, `20000 ft2`; a bare number is acres, or hectares on
/// a metric plan.
pub fn parse_area(text: &str, units: Units) -> Result<f64, MeasureError> {
    let clean = spread(text).replace('²', "2");
    let bare = if units.is_metric() { SQUARE_M_PER_HECTARE } else { SQUARE_M_PER_ACRE };
    let signs = [("ac", SQUARE_M_PER_ACRE), ("ha", SQUARE_M_PER_HECTARE), ("ft2", FOOT_M * FOOT_M), ("m2", 1.0)];

    let found = signs.into_iter().find_map(|(sign, unit)| clean.trim().strip_suffix(sign).map(|n| (n, unit)));
    let (number, unit) = found.unwrap_or((clean.trim(), bare));
    positive(text, fraction(number).map(|number| number * unit), "an area such as 6.8 ac, 2.7 ha or 5000 m²")
}

/// Reads a grade into a ratio: `0.6 %`, `0.6`; always in percent.
pub fn parse_grade(text: &str) -> Result<f64, MeasureError> {
    let clean = spread(text);
    let number = clean.trim().trim_end_matches('%').trim().replace('−', "-").parse::<f64>().ok();
    number
        .filter(|percent| percent.is_finite())
        .map(|percent| percent / 100.0)
        .ok_or_else(|| MeasureError { found: text.trim().to_string(), expected: "a grade in percent such as 0.6" })
}

/// Reads a flow into m³/s: `0.03 cfs`, `13.6 gpm`, `2 L/s`; a bare number is cfs, or L/s on a metric plan.
pub fn parse_flow(text: &str, units: Units) -> Result<f64, MeasureError> {
    let clean = spread(text);
    let bare = if units.is_metric() { 1e-3 } else { CFS_M3S };
    let signs = [("cfs", CFS_M3S), ("gpm", GALLON_M3 / 60.0), ("l/s", 1e-3), ("m3/s", 1.0)];
    let found = signs.into_iter().find_map(|(sign, unit)| clean.trim().strip_suffix(sign).map(|n| (n, unit)));
    let (number, unit) = found.unwrap_or((clean.trim(), bare));
    positive(text, fraction(number).map(|number| number * unit), "a flow such as 0.03 cfs, 13.6 gpm or 2 L/s")
}

/// A US gallon, m³: 231 cubic inches.
pub const GALLON_M3: f64 = 231.0 * INCH_M * INCH_M * INCH_M;

fn spread(text: &str) -> String {
    let text = text.trim().to_lowercase();
    [("½", " 1/2"), ("¼", " 1/4"), ("¾", " 3/4"), ("⅜", " 3/8"), ("⅝", " 5/8")]
        .into_iter()
        .fold(text, |text, (sign, plain)| text.replace(sign, plain))
}

/// A number, a fraction, or a number and a fraction: `0.5`, `1/2`, `1 1/2`.
pub(crate) fn fraction(text: &str) -> Option<f64> {
    let mut parts = text.split_whitespace().peekable();
    parts.peek()?;
    parts
        .map(|part| match part.split_once('/') {
            Some((top, bottom)) => Some(top.parse::<f64>().ok()? / bottom.parse::<f64>().ok()?),
            None => part.parse::<f64>().ok(),
        })
        .sum()
}

fn positive(text: &str, value: Option<f64>, expected: &'static str) -> Result<f64, MeasureError> {
    let value = value.filter(|value| value.is_finite() && *value >= 0.0);
    value.ok_or_else(|| MeasureError { found: text.trim().to_string(), expected })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rain_is_read_as_it_is_shown() {
        for (text, metres) in
            [("1.2", 0.03048), ("1 1/4 in", 0.03175), ("30 mm", 0.03), ("3cm", 0.03), ("2\"", 0.0508)]
        {
            assert!((parse_rain(text, Units::Feet).unwrap() - metres).abs() < 1e-12, "{text}");
        }
        assert_eq!(parse_rain("30", Units::Metric), Ok(0.03));
        assert_eq!((Units::Feet.rain(0.03048), Units::Metric.rain(0.0305)), ("1.20 in".into(), "30.5 mm".into()));
        assert!(["", "-1", "wet"].iter().all(|text| parse_rain(text, Units::Feet).is_err()));
    }

    /// Worked out from the units: cfs an acre, gpm an acre and mm a day of the usual coefficients.
    #[test]
    fn coefficients_of_the_table() {
        for (text, cfs, mm) in [
            ("1/4", 0.010503, 6.35),
            ("3/8", 0.015755, 9.525),
            ("1/2 in/day", 0.021007, 12.70),
            ("3/4 in", 0.031510, 19.05),
            ("1", 0.042014, 25.40),
        ] {
            let read = parse_coefficient(text, Units::Feet).unwrap();
            let flow = read * SQUARE_M_PER_ACRE / CFS_M3S;
            assert!((flow - cfs).abs() < 1e-6 + 5e-7, "{text}: {flow}");
            assert!((read * DAY_S * 1000.0 - mm).abs() < 1e-9);
            let gpm = parse_flow(&format!("{} gpm", flow * 448.831), Units::Feet).unwrap();
            assert!((gpm / CFS_M3S - flow).abs() < 1e-7);
        }
        assert_eq!(parse_coefficient("12 mm/day", Units::Feet).unwrap(), 0.012 / DAY_S);
        assert_eq!(Units::Feet.coefficient(0.375 * INCH_PER_DAY_MS), "3/8 in/day");
        assert_eq!(Units::Feet.coefficient(0.44 * INCH_PER_DAY_MS), "0.44 in/day");
        assert_eq!(Units::Feet.coefficient(1.0 * INCH_PER_DAY_MS), "1 in/day");
        assert_eq!(Units::Metric.coefficient(0.5 * INCH_PER_DAY_MS), "12.7 mm/day");
    }

    /// The same section: 1 mm/day on a hectare is 0.115741 L/s; 100 ha, 11.6 L/s; 250 ha at 15 mm/day, 0.434 m³/s.
    #[test]
    fn metric_flows() {
        let hectares = |ha: f64, mm: f64| ha * SQUARE_M_PER_HECTARE * mm / 1000.0 / DAY_S;
        assert!((hectares(1.0, 1.0) * 1000.0 - 0.115741).abs() < 5e-7);
        assert_eq!(Units::Metric.flow(hectares(100.0, 1.0)), "11.57 L/s");
        assert!((hectares(250.0, 15.0) - 0.43403).abs() < 5e-6);
    }

    #[test]
    fn arithmetic_can_be_read() {
        let area = 6.8 * SQUARE_M_PER_ACRE;
        assert_eq!(Units::Feet.drained(area, 0.5 * INCH_PER_DAY_MS), "6.8 ac × 1/2 in/day ÷ 23.8 = 0.143 cfs");
        assert_eq!(Units::Metric.drained(27_500.0, 0.0127 / DAY_S), "2.75 ha × 12.7 mm/day ÷ 8.64 = 4.04 L/s");
    }

    /// By the units; a soil survey's 0.1417 in/hr to the µm/s (read there) is 3600/25400.
    #[test]
    fn conductivities_in_every_unit() {
        let read = |text| parse_conductivity(text, Units::Feet).unwrap();
        let near = |found: f64, expected: f64| assert!((found / expected - 1.0).abs() < 1e-12, "{found} {expected}");
        near(read("0.694 ft/day"), 0.694 * FOOT_M / DAY_S);
        near(read("0.694"), read("0.694ft/d"));
        near(parse_conductivity("0.21", Units::Metric).unwrap(), 0.21 / DAY_S);
        near(read("0.21 m/day"), 0.21 / DAY_S);
        near(read("1 ft/day"), read("0.5 in/hr"));
        near(read("1 µm/s"), read("3.6 mm/h"));
        near(read("1 um/s"), read("0.0864 m/d"));
        near(read("10 cm/day"), read("0.1 m/day"));
        near(read("24 in/day"), read("1 in/h"));
        let in_hour = read("1 μm/s") / (INCH_M / HOUR_S);
        assert!((in_hour - 0.1417).abs() < 5e-5 && (in_hour - 0.141_732).abs() < 5e-7);
        for text in ["", "fast", "0", "-1 ft/day", "1 ft", "inf m/day", "1/2 in/hr"] {
            let error = parse_conductivity(text, Units::Feet).unwrap_err().to_string();
            assert!(error.starts_with(&format!("'{text}' is not a conductivity such as 0.694 ft/day")), "{error}");
        }
        assert_eq!(Units::Feet.conductivity(read("0.694 ft/day")), "0.694 ft/day");
        assert_eq!(Units::Metric.conductivity(read("0.694 ft/day")), "0.212 m/day");
        assert_eq!(Units::Feet.conductivity(read("49.9 ft/day")), "49.9 ft/day");
        assert_eq!(Units::Metric.conductivity(read("0.002 m/day")), "0.002 m/day");
        assert_eq!(Units::Metric.conductivity(read("1500 m/day")), "1500 m/day");
    }

    #[test]
    fn areas_grades_and_flows_are_read() {
        assert_eq!(parse_area("6.8 ac", Units::Metric).unwrap(), 6.8 * SQUARE_M_PER_ACRE);
        assert_eq!(parse_area("2.5", Units::Metric).unwrap(), 25_000.0);
        assert_eq!(parse_area("5000 m²", Units::Feet).unwrap(), 5000.0);
        assert_eq!(parse_area("100 ft2", Units::Feet).unwrap(), 100.0 * FOOT_M * FOOT_M);
        assert_eq!(parse_grade("0.6 %").unwrap(), 0.006);
        assert_eq!(parse_grade("−0.2").unwrap(), -0.002);
        assert_eq!(parse_flow("2 L/s", Units::Feet).unwrap(), 0.002);
        for text in ["", "wet", "1/0", "-3"] {
            assert!(parse_area(text, Units::Feet).is_err(), "{text}");
            assert!(parse_coefficient(text, Units::Feet).is_err(), "{text}");
            assert!(parse_flow(text, Units::Feet).is_err(), "{text}");
        }
        assert!(parse_grade("steep").is_err());
    }
}
