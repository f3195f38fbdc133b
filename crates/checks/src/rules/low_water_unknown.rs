//! Check 28, low water unknown.

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 28,
    slug: "low-water-unknown",
    title: "Low water unknown",
    manual: "An open outlet whose ordinary low water was not measured. Every level of the plan hangs from the outlet, \
             and whether it is high enough cannot be said. A judgment. To decide.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let unknown = site.plan.outlets.iter().filter(|(_, outlet)| outlet.is_open() && outlet.low_water_m.is_none());
    let finding = |(id, outlet): (&plan::OutletId, &plan::Outlet)| {
        let name = &outlet.name;
        let message = format!("The level of {name} is a guess until low water is measured.");
        Finding::new(&RULE, Severity::Decide, outlet.at, format!("Low water at {name} is not known"), message)
            .of_outlet(*id)
            .amount("low water?".into())
            .advises("Measure it in the wet season and enter it.")
    };
    unknown.map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn low_water_not_entered() {
        let mut job = Job::new();
        let outlet = job.outlet("O1", (0.0, 0.0), 100.0);
        assert!(job.found(&RULE).is_empty());
        job.change_outlet(outlet, |outlet| outlet.low_water_m = None);
        assert!(job.only(&RULE).message.starts_with("The level of O1 is a guess until low water is measured."));
    }
}
