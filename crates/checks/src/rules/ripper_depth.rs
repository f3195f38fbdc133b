//! Check 15, the ripper reaches the pipe.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::worst;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 15,
    slug: "ripper-depth",
    title: "Ripper reaches the pipe",
    manual: "The brief says that the ground is ripped after the pipe is laid, and the top of the pipe lies less than \
             6 in (0.15 m) below the ripper's point. Rip first, tile second, is the safer order. The clear is a \
             judgment; ripping depths come from vineyard diaries. To decide, one for each line.",
    source: "[judgement] [RIP]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(rip_m) = site.plan.brief.rip_after_m else { return Vec::new() };
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked, rip_m)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, rip_m: f64) -> Option<Finding> {
    let limit_m = rip_m + site.plan.criteria.rip_clear_m;
    let parts = worked.cover_under(worked.outlet_pipe_m, limit_m - LEVEL_TOLERANCE_M);
    let part = *worst(&parts)?;
    let (units, name) = (site.units(), &line.name);
    let [top, wanted] = units.depths(part.worst, limit_m);
    let message = format!(
        "The ripper reaches {}, the top of {name} is at {top} at {}; wanted {wanted}.",
        units.depth(rip_m),
        site.station(part.worst_m)
    );
    let place = parts.first().zip(parts.last()).map(|(low, high)| (low.from_m, high.to_m));
    Some(
        Finding::new(
            &RULE,
            Severity::Decide,
            site.point(id, part.worst_m),
            format!("The ripper reaches {name}"),
            message,
        )
        .once_on(id, part.from_m, part.to_m)
        .misses(part.worst, limit_m)
        .offers(move |site| {
            let first = Offer::brief(site, "Rip before the pipe is laid", |brief| brief.rip_after_m = None);
            let no_deeper = site.units().said_down((part.worst - site.plan.criteria.rip_clear_m).max(0.0));
            let label = format!("Rip no deeper than {}", no_deeper.text);
            let shallower = Offer::brief(site, label, |brief| brief.rip_after_m = Some(no_deeper.value));
            let mut offers: Vec<_> = first.into_iter().collect();
            offers.extend(shallower.filter(|_| no_deeper.value > 0.0));
            let wants = Wants::Lower(limit_m - part.worst);
            offers.extend(place.into_iter().flat_map(|place| levels::ways(site, id, place, wants)));
            offers
        }),
    )
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    /// The top of the pipe 2.46 ft down; a ripper to 2.0 ft wants 2.5.
    #[test]
    fn ripped_to_two_feet() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 103.0 + 0.005 * x);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.rip_after_m = Some(2.0 * FOOT_M);
        let message = "The ripper reaches 2.00 ft, the top of M1 is at 2.46 ft at 0+20; wanted 2.50 ft.";
        assert_eq!(job.only(&RULE).message, message);
        let told = ["Rip before the pipe is laid", "Rip no deeper than 1.96 ft"];
        assert_eq!(job.remedies(&job.only(&RULE))[..2], told);
        job.plan.brief.rip_after_m = Some(1.9 * FOOT_M);
        assert!(job.found(&RULE).is_empty());
    }
}
