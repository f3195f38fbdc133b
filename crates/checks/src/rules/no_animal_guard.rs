//! Check 33, no animal guard.

use super::outlets::{Led, open};
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 33,
    slug: "no-animal-guard",
    title: "No animal guard",
    manual: "An open outlet without a guard. Animals go in, die there and plug the line. New outlets have one; it should \
             swing or come off, or roots and trash gather behind it. Extension advice and a public bid. To decide.",
    source: "[WISC] [ISU-bid] [OMAFRA-oper]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let finding = |led: Led| {
        let (id, name) = (led.id, &led.outlet.name);
        let message = format!("{name} is open to animals.");
        led.finding(&RULE, Severity::Decide, format!("{name} has no guard"), message).offers(move |site| {
            let label = format!("Put a guard that opens on {}", site.outlet_name(id));
            Offer::outlet(site, id, label, |outlet| outlet.guard = true).into_iter().collect()
        })
    };
    open(site).into_iter().filter(|led| !led.outlet.guard).map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn a_guard_taken_off() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        assert!(job.found(&RULE).is_empty());
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.guard = false);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "O1 is open to animals.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
