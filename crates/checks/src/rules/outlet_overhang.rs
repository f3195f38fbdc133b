//! Check 32, too much overhang.

use super::outlets::{Led, open};
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 32,
    slug: "outlet-overhang",
    title: "Too much overhang",
    manual: "More than a third of the outlet pipe hangs in the air. Water, ice and cattle then lever it out of the bank. \
             From a stored copy of a drainage handbook. To decide.",
    source: "[ILRI16 copy]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let allowed_m = |led: &Led| led.outlet.outlet_pipe_m * site.plan.criteria.overhang_share;
    let long = |led: &Led| led.outlet.overhang_m > allowed_m(led) + LEVEL_TOLERANCE_M;
    let finding = |led: Led| {
        let (id, name, units, share) = (led.id, &led.outlet.name, site.units(), site.plan.criteria.overhang_share);
        let (hangs_m, allowed) = (led.outlet.overhang_m, allowed_m(&led));
        let [hangs, wanted] = units.depths(hangs_m, allowed);
        let message = format!(
            "{hangs} of {} of pipe hang in the air at {name}; no more than {wanted} should.",
            units.depth(led.outlet.outlet_pipe_m)
        );
        led.finding(&RULE, Severity::Decide, format!("{name} hangs too far out"), message)
            .misses(hangs_m, allowed)
            .offers(move |site| {
                let (units, name) = (site.units(), site.outlet_name(id));
                let less = units.said_down(allowed);
                let label = format!("Let no more than {} hang in the air at {name}", less.text);
                let less = Offer::outlet(site, id, label, |outlet| outlet.overhang_m = less.value);
                let longer = units.said_length_up(hangs_m / share);
                let label = format!("Use {} of solid pipe at {name}", longer.text);
                let longer = Offer::outlet(site, id, label, |outlet| outlet.outlet_pipe_m = longer.value);
                less.into_iter().chain(longer.filter(|_| share > 0.0)).collect()
            })
    };
    open(site).into_iter().filter(long).map(finding).collect()
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    /// 20 ft of pipe: 6.6 ft may hang out, 7 may not.
    #[test]
    fn seven_feet_of_twenty() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.overhang_m = 6.6 * FOOT_M);
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| outlet.overhang_m = 7.0 * FOOT_M);
        assert_eq!(
            job.only(&RULE).message,
            "7.00 ft of 20.00 ft of pipe hang in the air at O1; no more than 6.67 ft \
         should."
        );
    }
}
