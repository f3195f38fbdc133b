//! Check 31, outlet pipe too short.

use super::outlets::{Led, open};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};
use measure::{FOOT_M, INCH_M};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 31,
    slug: "outlet-pipe-short",
    title: "Outlet pipe length",
    manual: "The solid pipe at an open outlet is shorter than 10 ft for pipe up to 8 in, 12 ft to 12 in, 16 ft to 18 in, \
             20 ft over that. It must lie so far in firm bank that the part in the air cannot tip it out. 10 ft is from a \
             construction specification, the rest of the table from memory; a public bid asks 20 ft. To decide.",
    source: "[444: 10 ft]; table [CPS606, memory]; 20 ft [ISU-bid]",
    find,
};

/// Length wanted for a size of pipe, metres.
pub(crate) fn wanted_m(size_m: f64) -> f64 {
    let feet = match size_m / INCH_M {
        inches if inches <= 8.5 => 10.0,
        inches if inches <= 12.5 => 12.0,
        inches if inches <= 18.5 => 16.0,
        _ => 20.0,
    };
    feet * FOOT_M
}

fn find(site: &Site) -> Vec<Finding> {
    let short = |led: &Led| {
        led.outlet.outlet_pipe_m > 0.0
            && led.outlet.outlet_pipe_m < wanted_m(led.worked.pipe_at(0.0).size_m) - LEVEL_TOLERANCE_M
    };
    let finding = |led: Led| {
        let (id, name, wanted_m) = (led.id, &led.outlet.name, wanted_m(led.worked.pipe_at(0.0).size_m));
        let [length, wanted] = site.units().lengths(led.outlet.outlet_pipe_m, wanted_m);
        let message = format!("The last solid pipe at {name} is {length}; wanted {wanted}.");
        led.finding(&RULE, Severity::Decide, format!("The outlet pipe at {name} is short"), message)
            .misses(led.outlet.outlet_pipe_m, wanted_m)
            .offers(move |site| {
                let said = site.units().said_length_up(wanted_m);
                let label = format!("Use {} of solid pipe at {}", said.text, site.outlet_name(id));
                Offer::outlet(site, id, label, |outlet| outlet.outlet_pipe_m = said.value).into_iter().collect()
            })
    };
    open(site).into_iter().filter(short).map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn eight_feet_of_six_inch() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        assert!(job.found(&RULE).is_empty());
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.outlet_pipe_m = 8.0 * FOOT_M);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The last solid pipe at O1 is 8 ft; wanted 10 ft.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }

    #[test]
    fn the_table() {
        let feet = |inches: f64| (wanted_m(inches * INCH_M) / FOOT_M).round();
        assert_eq!([4.0, 8.0, 10.0, 12.0, 15.0, 18.0, 24.0].map(feet), [10.0, 10.0, 12.0, 12.0, 16.0, 16.0, 20.0]);
    }
}
