//! Check 54, crossing clearance.

use design::CROSSING_CLEAR_M as CLEAR_M;

use super::crossing::{Cross, new_crossings};
use super::levels::{self, Wants};
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 54,
    slug: "crossing-clearance",
    title: "Crossing clearance",
    manual: "Two new lines that are said to cross apart with less than 0.5 ft (0.15 m) of soil between their outsides. \
             The upper one would rest on the lower one. The figure is a judgment. Silent while a level is not known. \
             To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    new_crossings(site).iter().filter(|cross| cross.is_apart).filter_map(|cross| finding(site, cross)).collect()
}

fn finding(site: &Site, cross: &Cross) -> Option<Finding> {
    let clear_m = cross.clear_m(site).filter(|clear_m| *clear_m < CLEAR_M - LEVEL_TOLERANCE_M)?;
    let (one, other, units) = (site.name(cross.one), site.name(cross.other), site.units());
    let at = site.station(cross.station_m);
    let [clear, wanted] = units.depths(clear_m, CLEAR_M);
    let message = match clear_m > LEVEL_TOLERANCE_M {
        true => format!("Only {clear} between {one} and {other} where they cross at {at}; wanted {wanted}."),
        false => format!("{one} and {other} run into each other where they cross at {at}."),
    };
    let (by_m, upper) = (CLEAR_M - clear_m, cross.upper_first());
    let title = format!("{one} and {other} cross too closely");
    Some(
        Finding::new(&RULE, Severity::Decide, cross.crossing.at, title, message)
            .on(cross.one, cross.station_m, cross.station_m)
            .keyed_with(cross.other)
            .amount(format!("{} clear", site.short(clear_m.max(0.0))))
            .offers(move |site| {
                let [(upper, upper_m), (lower, lower_m)] = upper;
                let raised = levels::ways(site, upper, (upper_m, upper_m), Wants::Higher(by_m));
                let lowered = levels::ways(site, lower, (lower_m, lower_m), Wants::Lower(by_m));
                raised.into_iter().chain(lowered).collect()
            }),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, LATERAL};

    /// M1 (6 in) lies at 100.50 at 1+00, its top 0.54 ft higher at 101.04. L1 (4 in, wall 0.03) at 101.37 clears it by
    /// 0.30 ft, at 101.57 by 0.50 ft, and at 100.60 it runs into it.
    #[test]
    fn room_between_two_pipes() {
        for (level_ft, found) in [
            (101.37, "Only 0.30 ft between L1 and M1 where they cross at 0+50; wanted 0.50 ft."),
            (101.57, ""),
            (100.60, "L1 and M1 run into each other where they cross at 0+50."),
        ] {
            let mut job = Job::new();
            let m1 = job.main(200.0);
            job.pin(m1, 200.0, 101.0);
            let outlet = job.outlet("O2", (100.0, -50.0), level_ft);
            let l1 = job.line("L1", LATERAL, &[(100.0, -50.0), (100.0, 50.0)], outlet);
            job.pin(l1, 100.0, level_ft);
            assert!(job.found(&RULE).is_empty());
            job.change(l1, |line| line.crosses_apart.push(m1));
            let messages: Vec<String> = job.found(&RULE).into_iter().map(|f| f.message).collect();
            assert_eq!(messages.is_empty(), found.is_empty());
            assert!(messages.iter().all(|message| message.starts_with(found)), "{messages:?}");
        }
    }
}
