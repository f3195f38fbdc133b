//! Check 66, hand-dig zone.

use super::utilities::{buried, crossed};
use crate::no_dig::hand_dug;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 66,
    slug: "hand-dig",
    title: "Hand-dig zone",
    manual: "Within 2 ft (0.6 m) either side of the mark of a buried line the ground is opened by hand; state law sets the \
             exact width, 18 to 24 in is common. One-call pages. A note, one for the plan, with every place.",
    source: "[811]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let all = crossed(site, |kind| buried(kind).is_some());
    let Some(first) = all.first() else { return Vec::new() };
    let either_m = site.plan.criteria.hand_dig_m;
    let count = measure::how_many(all.len(), "place");
    let message =
        format!("{count} to dig by hand, {} either side of the mark.", site.units().lengths(either_m, 0.0)[0]);
    let places = all.iter().map(|crossed| {
        let hit = crossed.hit;
        let stretch = hand_dug(site.plan, hit.id, crossed.mark, hit.station_m);
        site.place(hit.id, stretch, hit.station_m, &crossed.mark.called())
    });
    let title = "Dig by hand at buried lines".to_string();
    vec![
        Finding::new(&RULE, Severity::Note, first.hit.at, title, message)
            .gathers(places.collect())
            .advises("Tell the crew; the sheets show them."),
    ]
}

#[cfg(test)]
mod tests {
    use plan::{LandmarkKind, Utility};

    use super::*;
    use crate::job::{Job, along};

    #[test]
    fn two_feet_either_side() {
        let mut job = Job::new();
        job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.mark("C1", LandmarkKind::Utility(Utility::default()), along(&[(120.0, -50.0), (120.0, 50.0)]));
        assert_eq!(job.only(&RULE).places[0].text, "M1 from 1+18 to 1+22, buried utility C1");
    }
}
