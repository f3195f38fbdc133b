//! Check 128, backwater from the receiving pipe.

use plan::LeadsTo;

use super::outlets::{Led, led};
use crate::site::JOINT_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 128,
    slug: "receiving-pipe-backwater",
    title: "Backwater from the receiving pipe",
    manual: "The invert at the joint lies below the crown of the pipe that takes the water, so the line stands full when \
             that one does. Silent while invert or size of the receiving pipe is unknown, or once somebody entered why it \
             is no harm. From memory. To decide.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    led(site).into_iter().filter(|led| !led.outlet.backwater_accepted).filter_map(|led| finding(site, &led)).collect()
}

fn finding(site: &Site, led: &Led) -> Option<Finding> {
    let LeadsTo::Pipe(pipe) = led.outlet.leads_to else { return None };
    let crown_m = pipe.invert_m? + pipe.size_m?;
    let below_m = crown_m - led.invert_m(site);
    let (id, name) = (led.id, &led.outlet.name);
    let below = site.units().depths(below_m, 0.0)[0].clone();
    let message =
        format!("{name} lies {below} below the crown of the receiving pipe and stands full when that does.");
    let title = format!("{name} stands in the receiving pipe's water");
    (below_m > JOINT_TOLERANCE_M).then(|| {
        led.finding(&RULE, Severity::Decide, title, message)
            .offers(move |site| super::outlet_freeboard::raised(site, id, below_m).into_iter().collect())
            .advises("Where it does no harm, enter that.")
    })
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::Receiving;

    use super::*;
    use crate::job::Job;

    /// Our invert at 100.00; a pipe of 1 ft with its invert at 99.50 has its crown at 100.50.
    #[test]
    fn half_a_foot_below_the_crown() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let outlet = job.plan.lines[&m1].joins;
        let pipe = |invert_ft: f64| {
            let (invert_m, size_m) = (Some(invert_ft * FOOT_M), Some(FOOT_M));
            LeadsTo::Pipe(Receiving { invert_m, size_m, free_m3s: None })
        };
        job.change_outlet(outlet, |outlet| outlet.leads_to = pipe(99.0));
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| outlet.leads_to = pipe(99.5));
        assert!(job.only(&RULE).message.starts_with("O1 lies 0.50 ft below the crown"));
    }
}
