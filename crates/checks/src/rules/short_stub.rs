//! Check 56, short stub.

use plan::{Change, Joins, Line, LineId};

use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 56,
    slug: "short-stub",
    title: "Short stub",
    manual: "A new line under 20 ft (6 m): often a leftover of drawing. A judgment. A note.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let short = site
        .new_lines()
        .filter(|(_, _, worked)| worked.length_m < site.plan.criteria.shortest_line_m - LEVEL_TOLERANCE_M);
    short.map(|(id, line, worked)| finding(site, id, line, worked.length_m)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, length_m: f64) -> Finding {
    let (name, length) = (&line.name, site.length(length_m));
    let message = format!("{name} is only {length}: often a leftover of drawing.");
    let at = site.point(id, length_m / 2.0);
    Finding::new(&RULE, Severity::Note, at, format!("{name} is a short stub"), message)
        .once_on(id, 0.0, length_m)
        .amount(length)
        .offers(move |site| {
            let label = format!("Delete {}", site.name(id));
            let alone = Offer::one(label, plan::remove_line(site.plan, id));
            alone.into_iter().chain(with_outlet(site, id)).collect()
        })
}

/// Offers that the outlet to which only this line leads is deleted with it.
fn with_outlet<'s>(site: &'s Site, id: LineId) -> Option<Offer<'s>> {
    let Joins::Outlet(outlet) = site.plan.lines.get(&id)?.joins else { return None };
    let is_alone = site.plan.lines.values().filter(|line| line.joins == Joins::Outlet(outlet)).count() == 1;
    let mut edit = plan::remove_line(site.plan, id).filter(|_| is_alone)?;
    edit.changes.push(Change::Outlet(outlet, None));
    Offer::one(format!("Delete {} and outlet {}", site.name(id), site.outlet_name(outlet)), Some(edit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn shorter_than_twenty_feet() {
        let mut job = Job::new();
        job.main(20.0);
        assert!(job.found(&RULE).is_empty());
        let mut job = Job::new();
        job.main(12.0);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 is only 12 ft: often a leftover of drawing.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
