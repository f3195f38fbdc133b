//! Check 54, crossing clearance.

use design::CROSSING_CLEAR_M as CLEAR_M;

use super::crossing::{Cross, new_crossings};
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 54,
    slug: "crossing-clearance",
    title: "Crossing clearance",
    manual: "Two new lines that are said to cross apart with less than 0.5 ft (0.15 m) of soil between their outsides. \
             The upper one would rest on the lower one. The figure is a judgement. Silent while a level is not known. \
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
    let mend = units.depth(CLEAR_M - clear_m);
    let clear = if clear_m > 0.0 {
        format!("Only {} between {one} and {other}", units.depth(clear_m))
    } else {
        format!("{one} and {other} run into each other")
    };
    let message = format!(
        "{clear} where they cross at {}. Lower or raise one by {mend}, or join them.",
        site.station(cross.station_m)
    );
    let title = format!("{one} and {other} cross too closely");
    Some(
        Finding::new(&RULE, Severity::Decide, cross.crossing.at, title, message)
            .on(cross.one, cross.station_m, cross.station_m)
            .amount(format!("{} clear", site.short(clear_m.max(0.0)))),
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
            (101.37, "Only 0.30 ft between L1 and M1 where they cross at 0+50. Lower or raise one by 0.20 ft, or"),
            (101.57, ""),
            (100.60, "L1 and M1 run into each other where they cross at 0+50. Lower or raise one by 0.97 ft, or"),
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
