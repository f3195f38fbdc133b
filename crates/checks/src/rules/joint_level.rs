//! What the checks of levels at a joint share.

use design::Joint;

use crate::site::JOINT_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// How low a branch enters below its main's centre: amount in metres and weight; `None` where it enters well, carries on
/// in line, or a level is not known.
fn too_low(site: &Site, joint: &Joint) -> Option<(f64, Severity)> {
    let centre_m = joint.main_centre_m.filter(|_| !joint.in_line)?;
    let low_m = centre_m - joint.branch_invert_m?;
    let half_m = joint.sizes_m(site.design)?.1 / 2.0;
    if low_m <= JOINT_TOLERANCE_M {
        return None;
    }
    let is_under_half = low_m - half_m > JOINT_TOLERANCE_M;
    Some((low_m, if is_under_half { Severity::Block } else { Severity::Decide }))
}

/// The finding for a branch that enters low; the message is made from the amount in words.
pub(crate) fn low_entry(
    site: &Site,
    rule: &Rule,
    joint: &Joint,
    title: String,
    message: impl Fn(&str) -> String,
) -> Option<Finding> {
    let (low_m, severity) = too_low(site, joint)?;
    let message = message(&site.units().depths(low_m, 0.0)[0]);
    Some(
        Finding::new(rule, severity, joint.at, title, message)
            .once_on(joint.branch, 0.0, 0.0)
            .amount(format!("{} too low", site.short(low_m))),
    )
}
