//! What the checks of crossings share.

use design::Crossing;
use plan::LineId;

use crate::Site;

/// A crossing of two new lines, the one that comes first by name as `one`.
pub(crate) struct Cross<'a> {
    /// First line.
    pub one: LineId,
    /// Other line.
    pub other: LineId,
    /// Station on the first line, metres.
    pub station_m: f64,
    /// The crossing as worked out.
    pub crossing: &'a Crossing,
    /// True when the person said that they cross without a joint.
    pub is_apart: bool,
}

/// Crossings of new lines.
pub(crate) fn new_crossings<'a>(site: &Site<'a>) -> Vec<Cross<'a>> {
    let crossings = site.design.crossings.iter();
    let new = crossings.filter(|crossing| !site.is_old(crossing.a) && !site.is_old(crossing.b));
    new.map(|crossing| cross(site, crossing)).collect()
}

fn cross<'a>(site: &Site<'a>, crossing: &'a Crossing) -> Cross<'a> {
    let says_apart = |line: LineId, other: LineId| {
        site.plan.lines.get(&line).is_some_and(|line| line.crosses_apart.contains(&other))
    };
    let is_apart = says_apart(crossing.a, crossing.b) || says_apart(crossing.b, crossing.a);
    let (a, b) = ((crossing.a, crossing.a_station_m), (crossing.b, crossing.b_station_m));
    let (one, other) = if site.rank(a.0) <= site.rank(b.0) { (a, b) } else { (b, a) };
    Cross { one: one.0, other: other.0, station_m: one.1, crossing, is_apart }
}

impl Cross<'_> {
    /// The two lines with the station of each, the upper pipe first.
    pub fn upper_first(&self) -> [(LineId, f64); 2] {
        let (a, b) = ((self.crossing.a, self.crossing.a_station_m), (self.crossing.b, self.crossing.b_station_m));
        if self.crossing.a_above_b_m.is_some_and(|above_m| above_m < 0.0) { [b, a] } else { [a, b] }
    }

    /// Clear height from the outside of the lower pipe to the outside of the upper one, metres; below 0 they meet.
    pub fn clear_m(&self, site: &Site) -> Option<f64> {
        let above_m = self.crossing.a_above_b_m?;
        let pipe = |(id, station_m): (LineId, f64)| Some(site.design.lines.get(&id)?.pipe_at(station_m));
        let [upper, lower] = self.upper_first().map(pipe);
        Some(above_m.abs() - upper?.wall_m() - lower?.top_above_invert_m())
    }
}
