//! Classes of conductivity, and the hydrologic soil groups.

use std::fmt;

/// A millionth of a metre a second, m/s.
const UM_S: f64 = 1e-6;

/// How readily a soil lets water in, from A (readily) to D (hardly).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Little runs off.
    A,
    /// Less than half.
    B,
    /// Much runs off.
    C,
    /// Most runs off.
    D,
}

/// The hydrologic soil group as it lies, and drained where that is another one ("B/D").
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SoilGroup {
    /// Once its water table is held down.
    pub drained: Group,
    /// As it lies.
    pub natural: Group,
}

impl fmt::Display for SoilGroup {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.drained == self.natural {
            true => write!(f, "{:?}", self.natural),
            false => write!(f, "{:?}/{:?}", self.drained, self.natural),
        }
    }
}

/// The hydrologic soil group by table 7-1 of [NEH630] (as open code of the agency's staff has it): depth of the
/// impermeable layer and of the high water table, metres, `None` where there is none to a metre, and the least conductivity
/// from the surface down to a depth, m/s.
pub fn soil_group(tight_m: Option<f64>, table_m: Option<f64>, least_ms: impl Fn(f64) -> f64) -> SoilGroup {
    let (tight_m, table_m) = (tight_m.unwrap_or(f64::INFINITY), table_m.unwrap_or(f64::INFINITY));
    let is_wet = table_m < 0.6;
    let is_shallow = tight_m <= 1.0;
    if tight_m < 0.5 {
        return SoilGroup { drained: Group::D, natural: Group::D };
    }
    let down_to_m = match (is_shallow, is_wet) {
        (true, true) => 0.6,
        (true, false) => 0.5,
        (false, _) if (0.6..=1.0).contains(&table_m) => 0.5,
        (false, _) => 1.0,
    };
    let steps = if down_to_m < 1.0 { [40.0, 10.0, 1.0] } else { [10.0, 4.0, 0.4] };
    let rate = least_ms(down_to_m) / UM_S;
    let drained = match steps.iter().position(|step| rate > *step) {
        Some(0) => Group::A,
        Some(1) => Group::B,
        Some(_) => Group::C,
        None => Group::D,
    };
    SoilGroup { drained, natural: if is_wet { Group::D } else { drained } }
}

/// The class of a conductivity, m/s, after the Soil Survey Manual ([SSM], breaks from memory).
pub fn conductivity_class(conductivity_ms: f64) -> &'static str {
    let classes =
        [(100.0, "very high"), (10.0, "high"), (1.0, "moderately high"), (0.1, "moderately low"), (0.01, "low")];
    let rate = conductivity_ms / UM_S;
    classes.into_iter().find(|(least, _)| rate >= *least).map_or("very low", |(_, word)| word)
}
