//! What the checks of trench depth share.

use design::LineDesign;

use crate::Site;
use crate::stretch::{Stretch, profile, under};

/// The stretches whose trench is deeper than a limit; `worst` is the greatest depth, metres.
pub(crate) fn deeper(site: &Site, worked: &LineDesign, limit_m: f64) -> Vec<Stretch> {
    let bedding_m = site.plan.criteria.bedding_m;
    let height = profile(worked, 0.0, |station| worked.trench_depth_m(station, bedding_m).map(|depth_m| -depth_m));
    let deep = under(&height, -limit_m).into_iter();
    deep.map(|part| Stretch { worst: -part.worst, ..part }).collect()
}

/// The deepest of several stretches, the lowest on the line where they are equal.
pub(crate) fn deepest(parts: &[Stretch]) -> Option<&Stretch> {
    parts.iter().min_by(|x, y| y.worst.total_cmp(&x.worst).then(x.from_m.total_cmp(&y.from_m)))
}
