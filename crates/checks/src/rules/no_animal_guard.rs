//! Check 33, no animal guard.

use plan::Outlet;

use super::outlets::{Led, open};
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
        let name = &led.outlet.name;
        let guarded = Outlet { guard: true, ..led.outlet.clone() };
        let message = format!("{name} is open to animals. Add a guard that opens.");
        led.finding(&RULE, Severity::Decide, format!("{name} has no guard"), message).fix(Some(led.fix(
            site,
            format!("Put a guard on {name}"),
            guarded,
        )))
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
        assert_eq!(finding.message, "O1 is open to animals. Add a guard that opens.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
