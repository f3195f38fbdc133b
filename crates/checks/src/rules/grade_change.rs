//! What the checks of changing grades share.

use plan::{Line, LineId, Structure, StructureKind};

use crate::Site;
use crate::offer::Offer;

/// True if a structure of a kind stands so near a station that it serves it.
pub(crate) fn stands_near(site: &Site, line: &Line, station_m: f64, is_kind: impl Fn(StructureKind) -> bool) -> bool {
    let near_m = site.plan.criteria.vent_near_m;
    line.structures.iter().any(|s| is_kind(s.kind) && (s.station_m - station_m).abs() <= near_m)
}

/// Offers a structure at a station of a line: "Put a silt trap on L1 at 1+50".
pub(crate) fn stands_at<'s>(site: &'s Site, id: LineId, station_m: f64, kind: StructureKind) -> Option<Offer<'s>> {
    stand_at(site, id, &[station_m], kind)
}

/// Offers a structure of a kind at each of some stations of a line.
pub(crate) fn stand_at<'s>(site: &'s Site, id: LineId, at_m: &[f64], kind: StructureKind) -> Option<Offer<'s>> {
    let length_m = site.plan.lines.get(&id)?.length_m();
    let said: Vec<_> = at_m.iter().map(|at_m| site.units().said_station(at_m.min(length_m))).collect();
    let places: Vec<&str> = said.iter().map(|said| said.text.as_str()).collect();
    let label = format!("Put a {} on {} at {}", kind.word(), site.name(id), measure::listed(&places));
    Offer::line(site, id, label, |line| {
        for said in &said {
            *line = line.with_structure(Structure { station_m: said.value.min(length_m), kind });
        }
    })
}
