//! Buried utilities and irrigation mains that new lines cross; what the checks of utilities share.

use plan::{Landmark, LandmarkId, LandmarkKind};

use super::marks::{Hit, crossings};
use crate::Site;

/// Outside diameter of a utility of unknown size, metres (judgement: 4 in).
const UNKNOWN_SIZE_M: f64 = 0.1;

/// A utility crossed by a new line.
pub(crate) struct Crossed<'a> {
    pub id: LandmarkId,
    pub mark: &'a Landmark,
    pub hit: Hit,
}

/// Depth of the top and outside diameter of something buried, metres.
pub(crate) fn buried(kind: &LandmarkKind) -> Option<(Option<f64>, f64)> {
    kind.buried().map(|(depth_m, size_m)| (depth_m, size_m.unwrap_or(UNKNOWN_SIZE_M)))
}

/// Every crossing of a new line with marks of a kind, by mark, name of the line and station.
pub(crate) fn crossed<'a>(site: &Site<'a>, is_kind: impl Fn(&LandmarkKind) -> bool + 'a) -> Vec<Crossed<'a>> {
    let marks = site.marks(move |mark| is_kind(&mark.kind));
    let of_mark = |(id, mark): (LandmarkId, &'a Landmark)| {
        let hits = crossings(site, &mark.outline.path());
        hits.into_iter().map(move |hit| Crossed { id, mark, hit }).collect::<Vec<_>>()
    };
    marks.flat_map(of_mark).collect()
}

impl Crossed<'_> {
    /// Clear distance from pipe to utility up or down, metres, below 0 where they meet; and whether the pipe lies above.
    pub fn clear_m(&self, site: &Site) -> Option<(f64, bool)> {
        let (depth_m, size_m) = buried(&self.mark.kind)?;
        let (_, worked) = site.line(self.hit.id)?;
        let station = worked.at(self.hit.station_m)?;
        let top_m = station.ground_m? - depth_m?;
        let wall_m = hydraulics::wall_m(worked.size_m);
        let pipe_low_m = station.invert_m? - wall_m;
        let pipe_high_m = pipe_low_m + hydraulics::outside_m(worked.size_m);
        let (over_m, under_m) = (pipe_low_m - top_m, top_m - size_m - pipe_high_m);
        Some(if over_m >= under_m { (over_m, true) } else { (under_m, false) })
    }
}
