//! Check 36, receiving pipe too small.

use plan::LeadsTo;

use super::outlets::{Led, led};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 36,
    slug: "receiving-pipe-small",
    title: "Receiving pipe too small",
    manual: "The design flow is more than the pipe it is led into can still take. To fix before digging; to decide while \
             that is not known. Extension advice.",
    source: "[UMN-ten]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    led(site).into_iter().filter_map(|led| finding(site, &led)).collect()
}

fn finding(site: &Site, led: &Led) -> Option<Finding> {
    let LeadsTo::Pipe(pipe) = led.outlet.leads_to else { return None };
    let (name, units, flow_m3s) = (&led.outlet.name, site.units(), led.worked.required_m3s());
    let title = format!("The pipe at {name} may be too small");
    let Some(free_m3s) = pipe.free_m3s else {
        let message =
            format!("Nobody has said what the pipe at {name} can still take; you bring {}.", units.flow(flow_m3s));
        let found = led.finding(&RULE, Severity::Decide, title, message).keyed("unknown");
        return Some(found.advises("Measure what it can take, and enter it."));
    };
    let over = flow_m3s > free_m3s * site.plan.criteria.over_capacity;
    let [brings, takes] = units.flows(flow_m3s, free_m3s);
    let message = format!("The pipe at {name} can take {takes} more; you bring {brings}.");
    let advice = "Have it enlarged, or measured again, and enter what it can take then.";
    over.then(|| {
        let found = led.finding(&RULE, Severity::Block, title, message);
        found.misses(flow_m3s, free_m3s).advises(advice)
    })
}

#[cfg(test)]
mod tests {
    use measure::{CFS_M3S, SQUARE_M_PER_ACRE};
    use plan::{Receiving, Served};

    use super::*;
    use crate::job::Job;

    /// 4.76 ac at 1/2 in/day bring 0.100 cfs.
    #[test]
    fn a_tenth_of_a_foot_a_second() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.change(m1, |line| line.served = Served::Area(4.76 * SQUARE_M_PER_ACRE));
        let outlet = job.plan.lines[&m1].joins;
        assert!(job.found(&RULE).is_empty(), "a channel");
        let pipe = |free: Option<f64>| {
            LeadsTo::Pipe(Receiving { free_m3s: free.map(|q| q * CFS_M3S), ..Receiving::default() })
        };
        job.change_outlet(outlet, |outlet| outlet.leads_to = pipe(None));
        assert_eq!(job.only(&RULE).severity, Severity::Decide);
        job.change_outlet(outlet, |outlet| outlet.leads_to = pipe(Some(0.05)));
        assert!(job.only(&RULE).message.starts_with("The pipe at O1 can take 0.050 cfs more; you bring 0.100 cfs."));
        job.change_outlet(outlet, |outlet| outlet.leads_to = pipe(Some(0.2)));
        assert!(job.found(&RULE).is_empty());
    }
}
