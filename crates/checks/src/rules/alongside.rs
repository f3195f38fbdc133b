//! Where one line runs close to another; what the checks of neighbours share.

use measure::{Segment, segments};
use std::collections::BTreeMap;

use plan::{Line, LineId};

use crate::Site;
use crate::stretch::{Stretch, join};

/// Stretches of a line within reach of each other line, by that line's id. Sideways only, or to all sides where
/// `round_ends` also takes in what lies round the other line's bends and ends.
pub(crate) fn alongside(
    site: &Site,
    id: LineId,
    line: &Line,
    reach_m: f64,
    round_ends: bool,
) -> BTreeMap<LineId, Vec<Stretch>> {
    let mut parts: BTreeMap<LineId, Vec<Stretch>> = BTreeMap::new();
    for own in segments(id.0, &line.points) {
        for other in site.pieces.around(&own, reach_m).into_iter().filter(|other| other.path != id.0) {
            parts.entry(LineId(other.path)).or_default().extend(near_parts(&own, other, reach_m, round_ends));
        }
    }
    parts.into_iter().map(|(other, parts)| (other, joined(parts, reach_m))).collect()
}

fn near_parts(own: &Segment, other: &Segment, reach_m: f64, round_ends: bool) -> Vec<Stretch> {
    let ends = [other.a, other.b].into_iter().filter(|_| round_ends);
    let parts = own.beside(other, reach_m).into_iter().chain(ends.filter_map(|end| own.within(end, reach_m)));
    let stretch = |(from_m, to_m): (f64, f64)| {
        let (from_m, to_m) = (own.start_m + from_m, own.start_m + to_m);
        Stretch { from_m, to_m, worst_m: (from_m + to_m) / 2.0, worst: 0.0 }
    };
    parts.map(stretch).collect()
}

fn joined(mut parts: Vec<Stretch>, gap_m: f64) -> Vec<Stretch> {
    parts.sort_by(|x, y| x.from_m.total_cmp(&y.from_m).then(x.to_m.total_cmp(&y.to_m)));
    join(parts, gap_m)
}
