//! Check 53, lines cross without a joint.

use plan::{Edit, Line};

use super::crossing::{Cross, new_crossings};
use crate::{Finding, Rule, Severity, Site};
use design::CROSSING_CLEAR_M as CLEAR_M;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 53,
    slug: "crosses-unjoined",
    title: "Lines cross without a joint",
    manual: "Two new lines that cross on the plan and are not joined there. Either a joint was forgotten or one passes \
             over the other, and the crew must know which. It clears when the lines are said to cross apart; check 54 \
             then looks at the room between them. Crossings with old tile are other checks'. A judgement. To fix \
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
        Some(apart_m) => format!(", inverts {} apart", site.units().depth(apart_m.abs())),
        None => String::new(),
    };
    let message = format!("{one} crosses {other} at {place}{apart}. Join them or set \"crosses apart\".");
    Finding::new(&RULE, Severity::Block, cross.crossing.at, format!("{one} crosses {other} without a joint"), message)
        .on(cross.one, cross.station_m, cross.station_m)
        .amount("no joint".into())
        .fix(set_apart(site, cross))
}

/// Offered only where the pipes clear each other.
fn set_apart(site: &Site, cross: &Cross) -> Option<Edit> {
    cross.clear_m(site).filter(|clear_m| *clear_m >= CLEAR_M)?;
    let line = site.plan.lines.get(&cross.one)?;
    let mut crosses_apart = line.crosses_apart.clone();
    crosses_apart.push(cross.other);
    let label = format!("{} crosses {} apart", line.name, site.name(cross.other));
    Some(plan::set_line(label, cross.one, Line { crosses_apart, ..line.clone() }))
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

    /// 2 ft over M1 there is room, so "crosses apart" is offered; 0.3 ft over it there is none.
    #[test]
    fn over_one_another() {
        let job = crossing(102.5);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (50.0, 50.0));
        assert_eq!(
            finding.message,
            "L1 crosses M1 at 0+50, inverts 2.00 ft apart. Join them or set \"crosses apart\"."
        );
        assert!(job.mended(&finding).found(&RULE).is_empty());
        assert_eq!(crossing(100.8).only(&RULE).fix, None);
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
