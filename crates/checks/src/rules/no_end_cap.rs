//! Check 55, dead end without cap.

use plan::{Line, LineId};

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 55,
    slug: "no-end-cap",
    title: "Dead end without cap",
    manual: "The upper end of a new line that has no cap and on which no other line carries on. Soil washes in and \
             animals get in. New lines are capped until the cap is taken off. To decide.",
    source: "[judgement] [IDH]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = site.new_lines().filter(|(id, line, _)| !line.capped && !site.carries_on(*id));
    open.map(|(id, line, worked)| finding(site, id, line, worked.length_m)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, length_m: f64) -> Finding {
    let name = &line.name;
    let message = format!("The top of {name} is open and soil will wash in.");
    Finding::new(&RULE, Severity::Decide, site.point(id, length_m), format!("The top of {name} is open"), message)
        .once_on(id, length_m, length_m)
        .amount("no cap".into())
        .offers(move |site| {
            let label = format!("Put the cap back on {}", site.name(id));
            Offer::line(site, id, label, |line| line.capped = true).into_iter().collect()
        })
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL};

    /// Open, mended by the fix; and open where another line carries on.
    #[test]
    fn an_open_top() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        assert!(job.found(&RULE).is_empty());
        job.change(m1, |line| line.capped = false);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The top of M1 is open and soil will wash in.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.line("L1", LATERAL, &[(200.0, 0.0), (300.0, 0.0)], Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
    }
}
