//! Check 93, outlet unexplained.

use plan::{Joins, OutletId};

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 93,
    slug: "outlet-without-line",
    title: "Outlet unexplained",
    manual: "An outlet on the plan into which no line leads and near which, within 25 ft, none lies: an old pipe end in a \
             bank that nobody has traced. A judgment. A note.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let led_to = |id: OutletId| site.plan.lines.values().any(|line| line.joins == Joins::Outlet(id));
    let finding = |(id, outlet): (&OutletId, &plan::Outlet)| {
        let near = site.pieces.paths_near(outlet.at, site.plan.criteria.old_outlet_near_m);
        (near.is_empty() && !led_to(*id)).then(|| {
            let name = &outlet.name;
            let (id, message) = (*id, format!("Outlet {name} has no line."));
            Finding::new(&RULE, Severity::Note, outlet.at, format!("No line explains {name}"), message)
                .of_outlet(id)
                .offers(move |site| {
                    let label = format!("Delete outlet {}", site.outlet_name(id));
                    Offer::one(label, plan::remove_outlet(site.plan, id)).into_iter().collect()
                })
                .advises("Trace it (camera, dye), and draw the line that leads to it.")
        })
    };
    site.plan.outlets.iter().filter_map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, suspected};

    #[test]
    fn a_pipe_in_the_bank() {
        let mut job = Job::new();
        job.main(300.0);
        job.outlet("O9", (100.0, -60.0), 99.0);
        assert!(job.only(&RULE).message.starts_with("Outlet O9 has no line."));
        job.line("T1", suspected(), &[(110.0, -50.0), (150.0, -40.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
    }
}
