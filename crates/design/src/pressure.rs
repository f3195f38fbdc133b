//! Hydraulic grade line of the network: free flow in the pipe, or pressure above it.

use std::collections::BTreeMap;

use plan::{Joins, LineId, Plan};
use terrain::{Profile, Stretch};

use crate::{Design, LineDesign, Station};

/// Height over the top of the pipe's bore from which it counts as backed up, metres.
const OVER_TOP_M: f64 = 1e-3;

/// Sets the hydraulic grade line at every station of every line with known inverts, downstream lines first.
///
/// In each reach water flows at normal depth unless the level downstream is higher. Where a reach carries more than its
/// capacity, or its lower end is submerged, it runs full and the level rises upstream by the friction of the full pipe
/// (Manning).
pub(crate) fn fill_heads(plan: &Plan, sequence: &[LineId], design: &mut Design) {
    let joints: BTreeMap<LineId, (LineId, f64)> =
        design.joints.iter().map(|joint| (joint.branch, (joint.main, joint.station_m))).collect();
    for id in sequence {
        let downstream = match plan.lines[id].joins {
            Joins::Outlet(outlet) => plan.outlets.get(&outlet).and_then(|outlet| outlet.low_water_m),
            _ => joints.get(id).and_then(|(main, at_m)| design.lines.get(main)?.at(*at_m)?.head_m),
        };
        if let Some(line) = design.lines.get_mut(id) {
            line.fill_heads(downstream);
        }
    }
}

impl LineDesign {
    fn fill_heads(&mut self, downstream: Option<f64>) {
        let mut head_m = downstream;
        for i in 0..self.stations.len() {
            let below = i.saturating_sub(1);
            // The lowest station is treated like the reach above it, every other like the reach below it.
            let (grade, flow_m3s) = (self.grade(below), self.through_m3s.get(below).copied().unwrap_or(0.0));
            let Some(invert_m) = self.stations[i].invert_m else {
                head_m = None;
                continue;
            };
            let share = self.share_of(below, flow_m3s, grade.unwrap_or(0.0));
            let own_m = invert_m + hydraulics::normal_depth(share) * self.above(below).size_m;
            let from_below = head_m.map(|head_m| if i == 0 { head_m } else { self.carried_up(i, head_m, share) });
            head_m = Some(from_below.map_or(own_m, |head_m| head_m.max(own_m)));
            self.stations[i].head_m = head_m;
        }
    }

    /// A flow as a share of the full capacity of the reach above a station.
    pub(crate) fn share_of(&self, index: usize, flow_m3s: f64, grade: f64) -> f64 {
        let capacity_m3s = self.above(index).full_capacity_m3s(grade) * self.even_factor;
        if flow_m3s <= 0.0 { 0.0 } else { flow_m3s / capacity_m3s }
    }

    /// Level at station `i` caused by the level at the station below it.
    fn carried_up(&self, i: usize, head_m: f64, share: f64) -> f64 {
        let low = &self.stations[i - 1];
        let pipe = self.above(i - 1);
        let top_m = low.invert_above_m().map_or(f64::INFINITY, |invert_m| invert_m + pipe.size_m);
        if share <= 1.0 && head_m < top_m {
            return head_m;
        }
        // Along the reach the inflow from its own land increases evenly, and friction with the square of the flow.
        let (from_m3s, to_m3s) = (self.through_m3s.get(i - 1).copied().unwrap_or(0.0), self.top_m3s(i - 1));
        let mean_m3s = ((from_m3s * from_m3s + from_m3s * to_m3s + to_m3s * to_m3s) / 3.0).sqrt();
        let friction = hydraulics::friction_grade(pipe.n, pipe.size_m, mean_m3s / self.even_factor);
        head_m.max(top_m) + friction * (self.stations[i].station_m - low.station_m)
    }

    /// Discharge at the upper end of the reach above station `i`, m³/s.
    pub fn top_m3s(&self, i: usize) -> f64 {
        let at = |of: &[f64], i: usize| of.get(i).copied().unwrap_or(0.0);
        (at(&self.through_m3s, i + 1) + at(&self.entering_m3s, i + 1)).min(at(&self.through_m3s, i))
    }

    /// Length along which water stands above the pipe, metres; its level is interpolated between stations.
    pub fn backed_up_m(&self) -> f64 {
        let over_top =
            |station: &Station| Some(station.head_m? - station.invert_m? - self.pipe_at(station.station_m).size_m);
        let heights: Vec<_> = self.stations.iter().map(|station| (station.station_m, over_top(station))).collect();
        let backed = terrain::over(Profile::through(&heights).pieces().iter().copied(), OVER_TOP_M);
        backed.iter().map(Stretch::length_m).sum()
    }

    /// Where water would stand highest above ground: station and height, metres; `None` if nowhere.
    pub fn blow_out(&self) -> Option<(f64, f64)> {
        let over = self.stations.iter().filter_map(|s| Some((s.station_m, s.head_m? - s.ground_m?)));
        over.filter(|(_, over_m)| *over_m > 0.0).max_by(|a, b| a.1.total_cmp(&b.1))
    }
}
