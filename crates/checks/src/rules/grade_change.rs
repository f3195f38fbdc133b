//! What the checks of changing grades share.

use design::LineDesign;
use plan::{Line, StructureKind};

use crate::Site;

/// A place where the grade changes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Break {
    /// Distance from the downstream end, metres.
    pub station_m: f64,
    /// Index of the station.
    pub index: usize,
    /// Grade downstream of it, as a ratio.
    pub below: f64,
    /// Grade upstream of it, as a ratio.
    pub above: f64,
}

/// Every place of a line where the grade changes by more than rounding, from the downstream end up.
pub(crate) fn breaks(worked: &LineDesign) -> Vec<Break> {
    let inner = 1..worked.stations.len().saturating_sub(1);
    let change = |index: usize| {
        let (below, above) = (worked.grade(index - 1)?, worked.grade(index)?);
        let station_m = worked.stations[index].station_m;
        ((above - below).abs() > 1e-7).then_some(Break { station_m, index, below, above })
    };
    inner.filter_map(change).collect()
}

/// True if a structure of a kind stands so near a station that it serves it.
pub(crate) fn stands_near(site: &Site, line: &Line, station_m: f64, is_kind: impl Fn(StructureKind) -> bool) -> bool {
    let near_m = site.plan.criteria.vent_near_m;
    line.structures.iter().any(|s| is_kind(s.kind) && (s.station_m - station_m).abs() <= near_m)
}
