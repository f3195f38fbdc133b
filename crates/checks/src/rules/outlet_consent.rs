//! Check 35, consent missing.

use plan::{LeadsTo, Owner};

use super::outlets::{Led, led};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 35,
    slug: "outlet-consent",
    title: "Consent missing",
    manual: "Water goes into a channel or pipe of somebody else and no consent is on file; roadside and public ditches are \
             no lawful outlet by themselves. To fix before digging, to decide while nobody has said whose the channel is. \
             General, no legal advice: ask the drainage and road authorities.",
    source: "[UMN-ten] [LAW-MAG]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    led(site).into_iter().filter(|led| !led.outlet.consent).filter_map(|led| finding(&led)).collect()
}

fn finding(led: &Led) -> Option<Finding> {
    let name = &led.outlet.name;
    let what = if matches!(led.outlet.leads_to, LeadsTo::Pipe(_)) { "pipe" } else { "channel" };
    let (severity, message, advice) = match (led.outlet.owner, led.outlet.leads_to) {
        (_, LeadsTo::Pump(_)) | (Owner::Own, _) => return None,
        (Owner::Other, _) => (
            Severity::Block,
            format!("The owner of the {what} at {name} must agree in writing first."),
            "Ask, and enter the consent.",
        ),
        (Owner::Unknown, _) => (
            Severity::Decide,
            format!("Nobody has said whose the {what} at {name} is."),
            "Find out, and enter that it is your own, or the owner's consent.",
        ),
    };
    Some(led.finding(&RULE, severity, format!("No consent for {name}"), message).advises(advice))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn own_unknown_and_anothers_channel() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        let outlet = job.plan.lines[&m1].joins;
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| outlet.owner = Owner::Unknown);
        assert_eq!(job.only(&RULE).severity, Severity::Decide);
        job.change_outlet(outlet, |outlet| outlet.owner = Owner::Other);
        assert_eq!(job.only(&RULE).severity, Severity::Block);
        job.change_outlet(outlet, |outlet| outlet.consent = true);
        assert!(job.found(&RULE).is_empty());
    }
}
