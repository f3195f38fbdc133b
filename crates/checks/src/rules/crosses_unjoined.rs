//! Check 53, lines cross without a joint.

use super::crossing::{Cross, new_crossings};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 53,
    slug: "crosses-unjoined",
    title: "Lines cross without a joint",
    manual: "Two new lines that cross on the plan and are not joined there. Either a joint was forgotten or one passes \
             over the other, and the crew must know which. It clears when the lines are said to cross apart; check 54 \
             then looks at the room between them. Crossings with old tile are other checks'. A judgment. To fix \
             before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    new_crossings(site).iter().filter(|cross| !cross.is_apart).map(|cross| finding(site, cross)).collect()
}

fn finding(site: &Site, cross: &Cross) -> Finding {
    let (one, other) = (site.name(cross.one), site.name(cross.other));
    let place = site.station(cross.station_m);
    let apart = match cross.crossing.a_above_b_m {
        Some(apart_m) if apart_m.abs() < LEVEL_TOLERANCE_M => ", inverts at one level".into(),
        Some(apart_m) => format!(", inverts {} apart", site.units().depths(apart_m.abs(), 0.0)[0]),
        None => String::new(),
    };
    let message = format!("{one} crosses {other} at {place}{apart}, and nobody has said whether they are joined.");
    let ids = (cross.one, cross.other);
    Finding::new(&RULE, Severity::Block, cross.crossing.at, format!("{one} crosses {other} without a joint"), message)
        .on(cross.one, cross.station_m, cross.station_m)
        .amount("no joint".into())
        .keyed_with(cross.other)
        .offers(move |site| {
            let (one, other) = (site.name(ids.0), site.name(ids.1));
            let label = format!("Say that {one} and {other} cross apart");
            Offer::line(site, ids.0, label, |line| line.crosses_apart.push(ids.1)).into_iter().collect()
        })
        .advises("If they are to be joined, end one of them on the other.")
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL, MAIN, stations_ft, suspected};

    /// M1 lies at 100.50 at 1+00; L1 crosses there on its way to O2, level at `level_ft`.
    fn crossing(level_ft: f64) -> Job {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0);
        let outlet = job.outlet("O2", (100.0, -50.0), level_ft);
        let l1 = job.line("L1", LATERAL, &[(100.0, -50.0), (100.0, 50.0)], outlet);
        job.pin(l1, 100.0, level_ft);
        job
    }

    /// 2 ft over M1 there is room; 0.3 ft over it there is none, which is then a decision and no longer blocks.
    #[test]
    fn over_one_another() {
        let job = crossing(102.5);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (50.0, 50.0));
        assert_eq!(
            finding.message,
            "L1 crosses M1 at 0+50, inverts 2.00 ft apart, and nobody has said whether they are joined."
        );
        assert!(job.mended(&finding).found(&RULE).is_empty());
        let close = crossing(100.8);
        let apart = close.mended(&close.only(&RULE));
        assert_eq!(apart.found(&super::super::crossing_clearance::RULE).len(), 1);
    }

    /// Old tile, and a lateral that ends on its main.
    #[test]
    fn no_crossings_of_new_lines() {
        let mut job = Job::new();
        let m1 = job.line("M1", MAIN, &[(0.0, 0.0), (200.0, 0.0)], Joins::Nothing);
        job.line("T1", suspected(), &[(50.0, -50.0), (50.0, 50.0)], Joins::Nothing);
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 50.0)], Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
    }
}
