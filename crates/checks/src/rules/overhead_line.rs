//! Check 117, overhead power line at the trench.

use plan::LandmarkKind;

use super::marks::{crossings, near};
use super::shape;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// Voltage up to which the smaller distance holds, kilovolts.
const LOW_KV: f64 = 50.0;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 117,
    slug: "overhead-line",
    title: "Overhead power line at the trench",
    manual: "A wire crosses a new line, or hangs nearer in plan to the strip in which the machine works (15 ft either side of \
             the trench) than 10 ft up to 50 kV, 20 ft if more or unknown. Booms reach wires, and the operator dies. From \
             memory of the crane rule; the owner of the wire says what holds. To fix before digging.",
    source: "[memory]; strip [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let criteria = &site.plan.criteria;
    let mut found = Vec::new();
    for (id, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::OverheadLine { .. })) {
        let LandmarkKind::OverheadLine { kilovolts } = mark.kind else { continue };
        let keep_m =
            if kilovolts.is_some_and(|kv| kv <= LOW_KV) { criteria.wire_near_m } else { criteria.wire_far_m };
        let reach_m = keep_m + criteria.working_strip_m;
        let crossed = crossings(site, &mark.outline.path());
        for near in near(site, &mark.outline, keep_m + criteria.working_strip_m - 2.0 * LEVEL_TOLERANCE_M) {
            let Some(part) = near.nearest() else { continue };
            let station_m = crossed.iter().find(|hit| hit.id == near.id).map_or(part.worst_m, |hit| hit.station_m);
            let (line, nearest_m) = (near.id, part.worst);
            let away_m = (part.worst - criteria.working_strip_m).max(0.0);
            let how = match away_m > 0.0 {
                true => format!("is {} from where the boom works", site.length(away_m)),
                false => "hangs over where the boom works".to_string(),
            };
            let message = format!("{} {how} at {} of {}.", mark.called(), site.station(station_m), near.line.name);
            let title = format!("A power line at {}", near.line.name);
            let one = Finding::new(&RULE, Severity::Block, site.point(near.id, station_m), title, message);
            let advice = "Have its owner switch it off and ground it, or agree on a spotter and a distance with its owner, and accept this by name.";
            found.push(
                one.once_on(near.id, part.from_m, part.to_m)
                    .of_landmark(id)
                    .advises(advice)
                    .offers(move |site| shape::to_a_side(site, line, reach_m - nearest_m)),
            );
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, along};

    /// 30 ft off the trench: 15 ft from the strip; enough at 12 kV, too near at 110 kV and while nobody knows.
    #[test]
    fn thirty_feet_off() {
        let mut job = Job::new();
        job.main(300.0);
        let wire = |kilovolts| LandmarkKind::OverheadLine { kilovolts };
        let mark = job.mark("P1", wire(Some(12.0)), along(&[(0.0, 30.0), (300.0, 30.0)]));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, wire(None));
        assert!(job.only(&RULE).message.starts_with("overhead power line P1 is 15 ft from where the boom works"));
        job.mark("P2", wire(Some(12.0)), along(&[(100.0, -50.0), (100.0, 50.0)]));
        assert!(
            job.found(&RULE)[1].message.starts_with("overhead power line P2 hangs over where the boom works at 1+00")
        );
    }
}
