//! Check 14, cover too thin under traffic.

use plan::{LandmarkKind, Line, LineId};

use super::levels::{self, Wants};
use super::marks::{Near, near};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 14,
    slug: "thin-cover-traffic",
    title: "Cover too thin under traffic",
    manual: "Less than 2.5 ft (0.75 m) of soil over pipe that wheels cross on a road, lane or loading place, where the \
             pipe was not entered as rated for the load. A judgment; the maker's figure goes before it. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::Road { .. })) {
        let LandmarkKind::Road { width_m, .. } = mark.kind else { continue };
        for near in near(site, &mark.outline, width_m / 2.0).iter().filter(|near| !near.line.bed.rated_for_load) {
            let thin = thin(site, near);
            found.extend(
                thin.map(|(id, line, part)| finding(site, (id, line), &part, &mark.called()).of_landmark(mark_id)),
            );
        }
    }
    found
}

/// The shallowest place under the wheels, where it is too shallow.
fn thin<'a>(site: &Site, near: &Near<'a>) -> Option<(LineId, &'a Line, Stretch)> {
    let limit_m = site.plan.criteria.traffic_cover_m - LEVEL_TOLERANCE_M;
    let thin = near.worked.cover_under(0.0, limit_m);
    let overlaps = |part: &Stretch| near.parts.iter().any(|n| n.from_m < part.to_m && part.from_m < n.to_m);
    let middle_m = near.nearest()?.worst_m;
    let part = thin.into_iter().find(overlaps)?;
    let worst_m = middle_m.clamp(part.from_m, part.to_m);
    let worst = near.worked.cover_m(&near.worked.at(worst_m)?)?;
    Some((near.id, near.line, Stretch { worst_m, worst, ..part }))
}

fn finding(site: &Site, (id, line): (LineId, &Line), part: &Stretch, lane: &str) -> Finding {
    let (units, limit_m) = (site.units(), site.plan.criteria.traffic_cover_m);
    let [cover, wanted] = units.depths(part.worst, limit_m);
    let (name, at) = (&line.name, site.station(part.worst_m));
    let message = match part.worst >= LEVEL_TOLERANCE_M {
        true => format!("Wheels cross {name} on {lane} at {at} with {cover} of cover; wanted {wanted}."),
        false => format!("Wheels cross {name} on {lane} at {at} with {}; wanted {wanted}.", site.cover(part.worst)),
    };
    let (place, by_m) = ((part.worst_m, part.worst_m), limit_m - part.worst);
    let title = format!("Wheels cross {} where it is shallow", line.name);
    Finding::new(&RULE, Severity::Decide, site.point(id, part.worst_m), title, message)
        .on(id, part.worst_m, part.worst_m)
        .misses(part.worst, limit_m)
        .offers(move |site| {
            let label = format!("Take pipe rated for the load for {}", site.name(id));
            let rated = Offer::line(site, id, label, |line| line.bed.rated_for_load = true);
            let lowered = levels::ways(site, id, place, Wants::Lower(by_m));
            rated.into_iter().chain(lowered).collect()
        })
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::{Job, along};

    /// 2.20 ft of cover (2.74 over the invert of 6 in) under a lane 12 ft wide that crosses at 1+00.
    #[test]
    fn a_lane_over_shallow_pipe() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 102.74 + 0.005 * x);
        assert!(job.found(&RULE).is_empty());
        let lane = LandmarkKind::Road { width_m: 12.0 * FOOT_M, public: false, permission: false };
        job.mark("R1", lane, along(&[(100.0, -50.0), (100.0, 50.0)]));
        assert_eq!(
            job.only(&RULE).message,
            "Wheels cross M1 on road or lane R1 at 1+00 with 2.20 ft of cover; wanted 2.50 ft."
        );
        job.change(m1, |line| line.bed.rated_for_load = true);
        assert!(job.found(&RULE).is_empty());
    }
}
