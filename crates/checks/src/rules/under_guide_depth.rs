//! Check 17, depth under the vineyard guide.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::pipe;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{Stretch, worst};
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
    let part = *worst(&parts)?;
    let name = &line.name;
    let [depth, guide] = site.units().depths(part.worst, limit_m);
    let message =
        format!("{name} at {} is {depth} deep, shallower than the guide's {guide}.", site.station(part.worst_m));
    Some(
        Finding::new(
            &RULE,
            Severity::Note,
            site.point(id, part.worst_m),
            format!("{name} is shallow for deep roots"),
            message,
        )
        .once_on(id, part.from_m, part.to_m)
        .misses(part.worst, limit_m)
        .offers(move |site| {
            let place = parts.first().zip(parts.last()).map(|(low, high)| (low.from_m, high.to_m));
            let wants = Wants::Lower(limit_m - part.worst);
            let mut offers: Vec<_> =
                place.into_iter().flat_map(|place| levels::ways(site, id, place, wants)).collect();
            let whole = place.map(|(from_m, to_m)| Stretch { from_m, to_m, ..part });
            let depth = site.units().said_up(limit_m);
            offers.extend(whole.and_then(|whole| pipe::at_depth(site, id, &whole, depth)));
            let label = "Leave the guide for deep roots, as in humid or shallow soil";
            offers.extend(Offer::brief(site, label, |brief| brief.deep_root_guide = false));
            offers
        }),
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
