//! Check 17, depth under the vineyard guide.

use design::LineDesign;
use plan::{Line, LineId};

use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::worst;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 17,
    slug: "under-guide-depth",
    title: "Depth under the guide for deep roots",
    manual: "Pipe shallower than 1.0 m (3.3 ft), the least of a handbook for wine and table grapes in warm regions. Silent \
             unless that guide is chosen in the brief; in humid country and shallow soils others say the opposite. A note, \
             one for each line.",
    source: "[SAVINE]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    if !site.plan.brief.deep_root_guide {
        return Vec::new();
    }
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let limit_m = site.plan.criteria.guide_depth_m;
    let parts = worked.depth_under(worked.outlet_pipe_m, limit_m - LEVEL_TOLERANCE_M);
    let part = worst(&parts)?;
    let (units, name) = (site.units(), &line.name);
    let message = format!(
        "{name} at {} is {} deep, shallower than the guide's {}. Deepen it, or keep it in humid or shallow soil.",
        site.station(part.worst_m),
        units.depth(part.worst),
        units.depth(limit_m)
    );
    Some(
        Finding::new(
            &RULE,
            Severity::Note,
            site.point(id, part.worst_m),
            format!("{name} is shallow for deep roots"),
            message,
        )
        .on(id, part.from_m, part.to_m)
        .misses(part.worst, limit_m),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn three_feet_is_under_a_metre() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 103.0 + 0.005 * x);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.deep_root_guide = true;
        assert!(job.only(&RULE).message.contains("is 3.00 ft deep, shallower than the guide's 3.28 ft"));
        job.ground(|x, _| 103.3 + 0.005 * x);
        assert!(job.found(&RULE).is_empty());
    }
}
