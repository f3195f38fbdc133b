//! What the checks of trench depth share.

use design::LineDesign;

use crate::Site;
use crate::stretch::Stretch;

/// The stretches whose trench is deeper than a limit; `worst` is the greatest depth, metres.
pub(crate) fn deeper(site: &Site, worked: &LineDesign, limit_m: f64) -> Vec<Stretch> {
    worked.trench_over(limit_m, site.plan.criteria.bedding_m)
}

/// The stretches whose trench is as deep as a limit or deeper.
pub(crate) fn as_deep(site: &Site, worked: &LineDesign, limit_m: f64) -> Vec<Stretch> {
    worked.trench_from(limit_m, site.plan.criteria.bedding_m)
}

/// The deepest of several stretches, the lowest on the line where they are equal.
pub(crate) fn deepest(parts: &[Stretch]) -> Option<&Stretch> {
    parts.iter().min_by(|x, y| y.worst.total_cmp(&x.worst).then(x.from_m.total_cmp(&y.from_m)))
}
