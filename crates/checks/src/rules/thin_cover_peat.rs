//! Check 13, cover too thin in organic soil.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::marks::without_pipe;
use super::pipe::{self, Solid};
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{Stretch, worst};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 13,
    slug: "thin-cover-peat",
    title: "Cover too thin, organic soil",
    manual: "A line marked as lying in organic soil has less than 2.5 ft (0.75 m) of soil over the pipe once the soil has \
             settled. Drained peat shrinks and burns away; pipe laid shallow is soon in the plow. Conservation practice \
             standard, from memory. To fix before digging; to decide while nobody has estimated the settlement.",
    source: "[CPS606, memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let organic = site.new_lines().filter(|(_, line, _)| line.bed.organic);
    organic.filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let limit_m = site.plan.criteria.organic_cover_m;
    let settled_m = line.bed.settlement_m.unwrap_or(0.0);
    let cover = worked.cover_under(worked.outlet_pipe_m, limit_m + settled_m - LEVEL_TOLERANCE_M).into_iter();
    let left = cover.map(|part| part.with_worst(part.worst - settled_m)).collect();
    let mut thin = without_pipe(line, left, |pipe| pipe.solid && pipe.heavy);
    thin.sort_by(|x, y| x.from_m.total_cmp(&y.from_m));
    let units = site.units();
    let name = &line.name;
    if line.bed.settlement_m.is_none() {
        let message = format!("{name} lies in organic soil and nobody has said how far it will settle.");
        let finding =
            Finding::new(&RULE, Severity::Decide, site.point(id, 0.0), format!("{name} lies in peat"), message);
        return Some(
            finding.once_on(id, 0.0, worked.length_m).keyed("settling").advises("Enter how far it will settle."),
        );
    }
    let part = *worst(&thin)?;
    let message = format!("Peat will shrink by {}; {}.", units.depth(settled_m), left_over(site, name, &part));
    let title = format!("Peat will bare {name}");
    Some(
        Finding::new(&RULE, Severity::Block, site.point(id, part.worst_m), title, message)
            .once_on(id, part.from_m, part.to_m)
            .amount(site.cover(part.worst))
            .misses(part.worst, limit_m)
            .offers(move |site| {
                let place = thin.first().zip(thin.last()).map(|(low, high)| (low.from_m, high.to_m));
                let wants = Wants::Lower(limit_m - part.worst);
                let mut offers: Vec<_> =
                    place.into_iter().flat_map(|place| levels::ways(site, id, place, wants)).collect();
                offers.extend(pipe::solid_beyond(site, id, thin.clone(), Solid { heavy: true, plugged: false }));
                offers
            }),
    )
}

/// What would be left of the cover: "1.90 ft would be left over L1 at 0+50, wanted 2.50 ft".
fn left_over(site: &Site, name: &str, part: &Stretch) -> String {
    let (units, at) = (site.units(), site.station(part.worst_m));
    let [left, wanted] = units.depths(part.worst, site.plan.criteria.organic_cover_m);
    match part.worst > 0.0 {
        true => format!("{left} would be left over {name} at {at}, wanted {wanted}"),
        false => format!("{name} would lie {} out of the ground at {at}", units.depth(-part.worst)),
    }
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    /// 6 in with 3.54 ft over the invert has 3.00 ft of cover; 0.8 ft of settlement leaves 2.20.
    #[test]
    fn peat_that_shrinks() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 103.54 + 0.005 * x);
        assert!(job.found(&RULE).is_empty(), "mineral soil");
        job.change(m1, |line| line.bed.organic = true);
        assert_eq!(job.only(&RULE).severity, Severity::Decide);
        job.change(m1, |line| line.bed.settlement_m = Some(0.8 * FOOT_M));
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Block);
        assert!(finding.message.starts_with("Peat will shrink by 0.80 ft; 2.20 ft would be left over M1"));
        job.change(m1, |line| line.bed.settlement_m = Some(0.4 * FOOT_M));
        assert!(job.found(&RULE).is_empty());
    }
}
