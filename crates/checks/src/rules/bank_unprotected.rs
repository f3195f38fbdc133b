//! Check 34, no bank protection.

use super::outlets::{Led, open};
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 34,
    slug: "bank-unprotected",
    title: "No bank protection",
    manual: "An open outlet in a bank steeper than 2 across to 1 up, or whose full pipe runs faster than 5 ft/s, and neither \
             armor nor a pipe that throws clear was entered. The stream digs the bank from under the pipe. Figures are \
             judgments. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    open(site).into_iter().filter(|led| !led.outlet.armoured).filter_map(|led| finding(site, &led)).collect()
}

fn finding(site: &Site, led: &Led) -> Option<Finding> {
    let (criteria, name, units) = (&site.plan.criteria, &led.outlet.name, site.units());
    let speed_ms = led.worked.above(0).full_velocity_ms(led.worked.grade(0)?.max(0.0));
    let steep = led.outlet.bank_run.filter(|run| *run < criteria.bank_run - 1e-6);
    let why = match steep {
        Some(run) => format!("it rises 1 in {run:.1}"),
        None if speed_ms > criteria.outlet_speed_ms => format!("the full pipe runs {}", units.velocity(speed_ms)),
        None => return None,
    };
    let (id, message) = (led.id, format!("The bank at {name} can wash out: {why}."));
    let found = led.finding(&RULE, Severity::Decide, format!("The bank at {name} is bare"), message);
    Some(found.offers(move |site| {
        let label = format!("Armor the bank at {} or let the pipe clear it", site.outlet_name(id));
        Offer::outlet(site, id, label, |outlet| outlet.armoured = true).into_iter().collect()
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// A bank of 1.5 to 1; a flat bank with a full 6-in pipe at 9 % (n 0.015): 8.6 ft/s.
    #[test]
    fn steep_banks_and_fast_pipes() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0);
        let outlet = job.plan.lines[&m1].joins;
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| outlet.bank_run = Some(1.5));
        assert!(job.only(&RULE).message.contains("it rises 1 in 1.5"));
        job.change_outlet(outlet, |outlet| outlet.armoured = true);
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| (outlet.armoured, outlet.bank_run) = (false, Some(3.0)));
        assert!(job.found(&RULE).is_empty());
        job.pin(m1, 200.0, 118.0);
        assert!(job.only(&RULE).message.contains("the full pipe runs"));
    }
}
