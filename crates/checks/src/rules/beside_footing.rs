//! Check 124, line beside a footing or wall.

use plan::LandmarkKind;

use super::levels::{self, Wants};
use super::marks::near;
use super::shape;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// How far to the side footings are looked for, metres: no trench is deeper than what it reaches.
const LOOKED_M: f64 = 10.0;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 124,
    slug: "beside-footing",
    title: "Line beside a footing or wall",
    manual: "The bottom of the trench lies below a plane that falls 1 to 1 from the lower edge of a footing: soil runs out \
             from under it. From memory; an engineer says what the soil bears. To fix before digging.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::Footing { .. })) {
        let LandmarkKind::Footing { depth_m } = mark.kind else { continue };
        for near in near(site, &mark.outline, LOOKED_M) {
            let Some(part) = near.nearest() else { continue };
            let bedding_m = site.plan.criteria.bedding_m;
            let trench_m = near.worked.at(part.worst_m).and_then(|s| near.worked.trench_depth_m(&s, bedding_m));
            let Some(over_m) = trench_m.map(|trench_m| trench_m - depth_m - part.worst) else { continue };
            if over_m <= LEVEL_TOLERANCE_M {
                continue;
            }
            let message = format!(
                "The trench of {} undermines {} at {}: it lies {} below what that allows.",
                near.line.name,
                mark.called(),
                site.station(part.worst_m),
                site.units().depths(over_m, 0.0)[0]
            );
            let (id, place) = (near.id, (part.worst_m, part.worst_m));
            let title = format!("{} undermines {}", near.line.name, mark.called());
            let at = site.point(near.id, part.worst_m);
            let one = Finding::new(&RULE, Severity::Block, at, title, message).once_on(id, place.0, place.1);
            let one = one.keyed_by(mark_id).offers(move |site| {
                let raised = levels::ways(site, id, place, Wants::Higher(over_m));
                raised.into_iter().chain(shape::to_a_side(site, id, over_m)).collect()
            });
            found.push(one.advises("Or have an engineer say what the ground bears, and accept this by name."));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::{Job, around};

    /// Trench 3.045 ft deep, 1.5 ft off a footing 1.0 ft deep: 0.545 ft too deep.
    #[test]
    fn a_foot_and_a_half_off() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        let footing = |feet: f64| LandmarkKind::Footing { depth_m: feet * FOOT_M };
        let mark = job.mark("F1", footing(1.0), around(100.0, 1.5, 150.0, 40.0));
        let finding = job.only(&RULE);
        assert!(finding.message.ends_with("it lies 0.55 ft below what that allows."), "{}", finding.message);
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.remark(mark, footing(2.0));
        assert!(job.found(&RULE).is_empty());
    }
}
