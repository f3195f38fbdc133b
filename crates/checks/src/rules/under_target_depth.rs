//! Check 16, depth under the job's target.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::pipe;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{Stretch, total_m, worst};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 16,
    slug: "under-target-depth",
    title: "Depth under the job's target",
    manual: "Invert more than 0.25 ft (76 mm) shallower than the depth wanted for the job. A shallower pipe draws the \
             water table down less far to its sides. The tolerance is that of a public bid specification. The solid \
             outlet pipe is exempt. A note, one for each line.",
    source: "[ISU-bid tolerance]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let units = site.units();
    let target_m = site.plan.criteria.target_depth_m;
    let limit_m = target_m - site.plan.criteria.target_tolerance_m;
    let mut shallow = worked.depth_under(worked.outlet_pipe_m, limit_m);
    shallow.retain(|part| part.worst < limit_m - LEVEL_TOLERANCE_M);
    let least = *worst(&shallow)?;
    let message = format!(
        "{} of {} is up to {} shallower than wanted; it drains less far sideways.",
        site.length(total_m(&shallow)),
        line.name,
        units.depth(target_m - least.worst)
    );
    let places = shallow.iter().map(|part| {
        let deep = deep(part.worst, |depth_m| units.depth(depth_m));
        site.place(id, (part.from_m, part.to_m), part.worst_m, &deep)
    });
    let title = format!("{} is shallower than wanted", line.name);
    Some(
        Finding::new(&RULE, Severity::Note, site.point(id, least.worst_m), title, message)
            .once_on(id, least.from_m, least.to_m)
            .amount(deep(least.worst, |depth_m| site.short(depth_m)))
            .misses(least.worst, target_m)
            .gathers(places.collect())
            .offers(move |site| {
                let place = shallow.first().zip(shallow.last()).map(|(low, high)| (low.from_m, high.to_m));
                let wants = Wants::Lower(limit_m - least.worst);
                let whole = place.map(|(from_m, to_m)| Stretch { from_m, to_m, ..least });
                let wanted = site.units().said_up(target_m);
                let held = whole.and_then(|whole| pipe::at_depth(site, id, &whole, wanted));
                let moved = place.into_iter().flat_map(|place| levels::ways(site, id, place, wants));
                moved.chain(held).collect()
            }),
    )
}

/// How deep, or how far above the ground.
fn deep(depth_m: f64, said: impl Fn(f64) -> String) -> String {
    if depth_m < 0.0 { format!("{} above the ground", said(-depth_m)) } else { format!("{} deep", said(depth_m)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// Ground lies 3.00 ft over the pipe, and 2.50 ft from 1+00 on: 0.50 ft short of the wanted 3 ft.
    #[test]
    fn shallow_from_a_step_on() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 103.0);
        job.ground(|x, _| 100.0 + 0.01 * x + (3.0 - (x - 75.0).max(0.0) * 0.02).max(2.5));
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (87.5, 300.0));
        assert_eq!(
            finding.message,
            "213 ft of M1 is up to 0.50 ft shallower than wanted; it drains less far sideways."
        );
        assert_eq!(finding.places[0].text, "M1 from 0+87.5 to 3+00, 2.50 ft deep");
    }

    #[test]
    fn above_the_ground_is_not_minus_deep() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 103.0).ground(|x, _| if x > 200.0 { 99.5 + 0.01 * x } else { 103.0 + 0.01 * x });
        let finding = job.only(&RULE);
        assert!(finding.places[0].text.ends_with(", 0.50 ft above the ground"), "{}", finding.places[0].text);
        assert!(finding.amount.unwrap().ends_with(" ft above the ground"));
    }

    /// A quarter of a foot is tolerated.
    #[test]
    fn within_the_tolerance() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 103.0).ground(|x, _| 102.75 + 0.01 * x);
        assert!(job.found(&RULE).is_empty());
    }
}
