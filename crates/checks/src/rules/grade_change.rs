//! What the checks of changing grades share.

use plan::{Line, StructureKind};

use crate::Site;

/// Grades nearer than this, as a ratio, differ by rounding only.
pub(crate) const ROUNDING: f64 = 1e-7;

/// True if a structure of a kind stands so near a station that it serves it.
pub(crate) fn stands_near(site: &Site, line: &Line, station_m: f64, is_kind: impl Fn(StructureKind) -> bool) -> bool {
    let near_m = site.plan.criteria.vent_near_m;
    line.structures.iter().any(|s| is_kind(s.kind) && (s.station_m - station_m).abs() <= near_m)
}
