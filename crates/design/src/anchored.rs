//! Which levels are supported by something known. Where a line leaves the ground and nothing locks it beyond, no level is
//! invented.

use plan::{Hold, Joins, Line, LineId, Plan};

use crate::course::SAME_STATION_M;
use crate::{Design, Layout, LineDesign, Station};

/// Removes the levels of new lines that nothing known supports. On ground every level must lie between known ground, control
/// points, outlets and joints, or in a reach whose grade is given; without ground a line keeps its levels if it has an
/// outlet, a joint or a control point.
pub(crate) fn drop_unknown(plan: &Plan, layout: &Layout, design: &mut Design) {
    let has_land = layout.has_ground || plan.ground.is_some();
    for id in layout.order.iter().filter(|id| !plan.lines[id].kind.is_old()) {
        let line = &plan.lines[id];
        let from_below = below_is_known(plan, layout, (*id, line), design);
        let Some(worked) = design.lines.get_mut(id) else { continue };
        let known = match has_land {
            true => known_on_land(line, worked, from_below),
            false => (from_below || !line.pins.is_empty()).then(|| (0, worked.stations.len().saturating_sub(1))),
        };
        worked.keep_levels(known);
        if let Joins::Outlet(outlet) = line.joins
            && worked.stations.first().is_none_or(|first| first.invert_m.is_none())
        {
            design.outlet_inverts_m.remove(&outlet);
        }
    }
}

/// True if the downstream end is at an outlet or on a line whose level there is known.
fn below_is_known(plan: &Plan, layout: &Layout, (id, line): (LineId, &Line), design: &Design) -> bool {
    match line.joins {
        Joins::Nothing => false,
        Joins::Outlet(id) => plan
            .outlets
            .get(&id)
            .is_some_and(|outlet| !outlet.invert_free || outlet.low_water_m.or(outlet.channel_bottom_m).is_some()),
        Joins::Line(main) => {
            let there = layout.joint(id).and_then(|joint| design.lines.get(&main)?.at(joint.station_m)?.invert_m);
            there.is_some()
        }
    }
}

/// The first and the last station whose level is known.
fn known_on_land(line: &Line, worked: &LineDesign, from_below: bool) -> Option<(usize, usize)> {
    let stations = &worked.stations;
    let is_fixed = |s: &Station| line.pins.iter().any(|pin| (pin.station_m - s.station_m).abs() <= SAME_STATION_M);
    let is_known = |i: &usize| (*i == 0 && from_below) || stations[*i].ground_m.is_some() || is_fixed(&stations[*i]);
    let mut known = (0..stations.len()).filter(is_known);
    let first = known.next()?;
    let (mut first, mut last) = (first, known.next_back().unwrap_or(first));
    let graded = |i: usize| {
        let (from_m, to_m) = (stations[i].station_m, stations[i + 1].station_m);
        let over =
            |reach: &&plan::Reach| reach.from_m <= from_m + SAME_STATION_M && reach.to_m >= to_m - SAME_STATION_M;
        line.reaches.iter().filter(over).any(|reach| matches!(reach.hold, Hold::Grade(_)))
    };
    while first > 0 && graded(first - 1) {
        first -= 1;
    }
    while last + 1 < stations.len() && graded(last) {
        last += 1;
    }
    Some((first, last))
}

impl LineDesign {
    /// Keeps the levels between two stations and the reaches there.
    fn keep_levels(&mut self, known: Option<(usize, usize)>) {
        let all = (0, self.stations.len().saturating_sub(1));
        if known == Some(all) {
            return;
        }
        let is_kept = |i: usize| known.is_some_and(|(first, last)| (first..=last).contains(&i));
        let dropped = (0..self.stations.len()).filter(|i| !is_kept(*i));
        dropped.for_each(|i| self.stations[i].invert_m = None);
        let (first, last) = known.unwrap_or((0, 0));
        self.reaches.iter_mut().for_each(|reach| {
            (reach.from, reach.to) = (reach.from.max(first), reach.to.min(last));
        });
        self.reaches.retain(|reach| reach.from < reach.to);
        self.fathom();
    }
}
