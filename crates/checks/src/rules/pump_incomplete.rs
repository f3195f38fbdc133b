//! Check 129, pump outlet not complete.

use plan::LeadsTo;

use super::outlets::{Led, led};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 129,
    slug: "pump-incomplete",
    title: "Pump outlet not complete",
    manual: "The outlet is a pump, and storage between starts, level switch or power was not entered. A pump without one of \
             them floods the field in the first storm. From memory. To fix before digging.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    led(site).into_iter().filter_map(|led| finding(&led)).collect()
}

fn finding(led: &Led) -> Option<Finding> {
    let LeadsTo::Pump(pump) = led.outlet.leads_to else { return None };
    let parts = [(pump.storage, "storage"), (pump.switch, "a level switch"), (pump.power, "power")];
    let missing: Vec<&str> = parts.into_iter().filter(|(there, _)| !there).map(|(_, name)| name).collect();
    let name = &led.outlet.name;
    let message = format!("The pump outlet {name} lacks {}.", missing.join(", "));
    (!missing.is_empty()).then(|| {
        led.finding(&RULE, Severity::Block, format!("The pump at {name} is not complete"), message)
            .advises("Plan it, and enter that it is there.")
    })
}

#[cfg(test)]
mod tests {
    use plan::Pump;

    use super::*;
    use crate::job::Job;

    #[test]
    fn a_pump_without_power() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let outlet = job.plan.lines[&m1].joins;
        let pump = |power| LeadsTo::Pump(Pump { storage: true, switch: false, power });
        job.change_outlet(outlet, |outlet| outlet.leads_to = pump(false));
        assert!(job.only(&RULE).message.starts_with("The pump outlet O1 lacks a level switch, power."));
        job.change_outlet(outlet, |outlet| {
            outlet.leads_to = LeadsTo::Pump(Pump { storage: true, switch: true, power: true })
        });
        assert!(job.found(&RULE).is_empty());
    }
}
