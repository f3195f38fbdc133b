//! Check 20, trench 5 ft or deeper: nobody may enter it unprotected.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::trench::{as_deep, deepest};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 20,
    slug: "trench-five-feet",
    title: "Trench 5 ft or deeper",
    manual: "Trench 5 ft (1.5 m) deep or deeper, wall and bedding counted. United States safety rules forbid entering \
             it until it is sloped, shored or boxed, save in stable rock (29 CFR 1926.652, by way of a contractors' \
             summary); other countries have limits of their own, so the depth can be set. 5 ft itself counts. To \
             decide, one for each line.",
    source: "[OSHA-sum]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let units = site.units();
    let deep = as_deep(site, worked, site.plan.criteria.protected_trench_m);
    let worst = *deepest(&deep)?;
    let message = format!(
        "From {} to {} the trench of {} is up to {} deep. Until it is sloped, shored or boxed nobody may enter.",
        site.station(worst.from_m),
        site.station(worst.to_m),
        line.name,
        units.depth(worst.worst)
    );
    let places = deep.iter().map(|part| {
        let depth = units.depth(part.worst);
        site.place(id, (part.from_m, part.to_m), part.worst_m, &format!("trench {depth}"))
    });
    let title = format!("Nobody may enter the open trench of {}", line.name);
    Some(
        Finding::new(&RULE, Severity::Decide, site.point(id, worst.worst_m), title, message)
            .once_on(id, worst.from_m, worst.to_m)
            .amount(format!("trench {}", site.short(worst.worst)))
            .misses(worst.worst, site.plan.criteria.protected_trench_m)
            .gathers(places.collect())
            .offers(move |site| {
                let place = deep.first().zip(deep.last()).map(|(low, high)| (low.from_m, high.to_m));
                let wants = Wants::Higher(worst.worst - site.plan.criteria.protected_trench_m);
                place.into_iter().flat_map(|place| levels::ways(site, id, place, wants)).collect()
            })
            .advises("Plan the protection, and accept this by name once it is planned."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// Trench 3.545 ft deep below, growing to 5.545 ft at 2+00: 5 ft less the tolerance is passed at 1+45.4.
    #[test]
    fn deep_at_the_upper_end() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 102.0).ground(|x, _| 103.5 + 0.02 * x);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (145.4, 200.0));
        assert_eq!(
            finding.message,
            "From 1+45.4 to 2+00 the trench of M1 is up to 5.55 ft deep. Until it is sloped, shored or boxed nobody \
             may enter."
        );
    }

    /// Two deep places on one line are one finding with both named; the worse leads.
    #[test]
    fn two_knolls_are_one_finding() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 104.0);
        job.ground(|x, _| 104.0 + 0.01 * x + if (x - 300.0).abs() < 1.0 { 2.0 } else { f64::from(x.abs() < 1.0) });
        let finding = job.only(&RULE);
        assert_eq!(finding.places.len(), 2);
        assert!(finding.message.contains("6.05 ft"), "{}", finding.message);
    }

    #[test]
    fn a_shallow_trench() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 102.0).ground(|x, _| 104.9 + 0.01 * x);
        assert!(job.found(&RULE).is_empty());
    }
}
