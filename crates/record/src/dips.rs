//! Dips: where the pipe as dug falls the wrong way and water will stand.

use design::ON_LIMIT_M;
use plan::Criteria;

use crate::Dug;

/// A part of a line that lies lower than a place downstream of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dip {
    /// Station of the high place downstream that holds the water, metres.
    pub lip_m: f64,
    /// Station of the lowest shot in it, metres.
    pub lowest_m: f64,
    /// Station up to which water will stand, metres; the last shot where the pipe does not rise so far again.
    pub end_m: f64,
    /// Depth of the water, metres: from the lowest invert to the highest downstream of it.
    pub depth_m: f64,
    /// Scatter of the two shots that tell it, metres, the greater.
    pub scatter_m: f64,
    /// Inside diameter there, metres.
    pub size_m: f64,
    /// True once the trench is filled there.
    pub backfilled: bool,
}

impl Dip {
    /// Depth of the water as a share of the inside diameter.
    pub fn share(&self) -> f64 {
        self.depth_m / self.size_m
    }

    /// Length along which water will stand, metres.
    pub fn length_m(&self) -> f64 {
        self.end_m - self.lip_m
    }

    /// How much a fall the wrong way may be, metres: the job's limit, no less than twice the scatter of its shots.
    pub fn allowed_m(&self, criteria: &Criteria) -> f64 {
        criteria.dug_reverse_m.max(2.0 * self.scatter_m)
    }

    /// True where it is deeper than that.
    pub fn counts(&self, criteria: &Criteria) -> bool {
        self.depth_m > self.allowed_m(criteria) + ON_LIMIT_M
    }
}

/// Every dip of shots by rising station, however shallow.
pub(crate) fn dips(shots: &[Dug]) -> Vec<Dip> {
    let mut found = Vec::new();
    let mut lip = 0;
    while lip + 1 < shots.len() {
        let held_m = shots[lip].invert_m;
        let over = shots[lip + 1..].iter().position(|shot| shot.invert_m >= held_m);
        let end = over.map_or(shots.len(), |count| lip + 1 + count);
        found.extend(dip(shots, lip, end));
        lip = end;
    }
    found
}

/// The dip between a lip and the first shot that lies as high again; `None` where nothing lies between.
fn dip(shots: &[Dug], lip: usize, end: usize) -> Option<Dip> {
    let inside = &shots[lip + 1..end];
    let lowest = inside.iter().min_by(|a, b| a.invert_m.total_cmp(&b.invert_m))?;
    let (held, last) = (&shots[lip], inside.last()?);
    let end_m = shots.get(end).map_or(last.station_m, |above| {
        let share = (held.invert_m - last.invert_m) / (above.invert_m - last.invert_m);
        last.station_m + (above.station_m - last.station_m) * share
    });
    Some(Dip {
        lip_m: held.station_m,
        lowest_m: lowest.station_m,
        end_m,
        depth_m: held.invert_m - lowest.invert_m,
        scatter_m: held.scatter_m.max(lowest.scatter_m),
        size_m: lowest.pipe.size_m,
        backfilled: lowest.backfilled,
    })
}
