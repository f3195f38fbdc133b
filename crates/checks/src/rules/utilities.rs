//! Buried utilities and irrigation mains that new lines cross; what the checks of utilities share.

use plan::{Exposed, Landmark, LandmarkId, LandmarkKind, Utility};

use super::marks::{Hit, crossings};
use crate::Site;

/// Outside diameter of a utility of unknown size, metres (judgement: 4 in).
const UNKNOWN_SIZE_M: f64 = 0.1;

/// What is done where nobody has seen a utility.
pub(crate) const EXPOSE: &str = "Expose it by hand, and enter who saw it, when, and the levels of its top and underside; the \
                                 line then goes over or under it by itself.";

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
    /// Levels of its top and underside, metres: as exposed, else by the depth that was told.
    pub fn levels_m(&self, ground_m: Option<f64>) -> Option<(f64, f64)> {
        if let Some(exposed) = self.exposed() {
            return Some((exposed.top_m, exposed.bottom_m));
        }
        let (depth_m, size_m) = buried(&self.mark.kind)?;
        let top_m = ground_m? - depth_m?;
        Some((top_m, top_m - size_m))
    }

    /// Where it was found when it was dug free by hand.
    pub fn exposed(&self) -> Option<&Exposed> {
        self.mark.kind.exposed()
    }

    /// True for a utility whose depth somebody told, and nobody saw.
    pub fn is_only_told(&self) -> bool {
        matches!(&self.mark.kind, LandmarkKind::Utility(Utility { depth_m: Some(_), exposed: None, .. }))
    }

    /// Clear distance from pipe to utility up or down, metres, below 0 where they meet; and whether the pipe lies above.
    pub fn clear_m(&self, site: &Site) -> Option<(f64, bool)> {
        let (_, worked) = site.line(self.hit.id)?;
        let station = worked.at(self.hit.station_m)?;
        let (top_m, bottom_m) = self.levels_m(station.ground_m)?;
        let pipe = worked.pipe_at(self.hit.station_m);
        let pipe_low_m = station.invert_m? - pipe.wall_m();
        let pipe_high_m = pipe_low_m + pipe.outside_m();
        let (over_m, under_m) = (pipe_low_m - top_m, bottom_m - pipe_high_m);
        Some(if over_m >= under_m { (over_m, true) } else { (under_m, false) })
    }
}
