//! Check 97, blinding not specified.

use plan::Brief;

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 97,
    slug: "blinding-missing",
    title: "Blinding not specified",
    manual: "The backfill is stony or frozen and nobody asked for soft soil over the pipe first: stones dent and move pipe. \
             Construction specification. A note, one for the plan.",
    source: "[444]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Brief { rough_backfill, blinding, .. } = &site.plan.brief;
    let Some((id, ..)) = site.new_lines().next().filter(|_| !rough_backfill.trim().is_empty() && !blinding) else {
        return Vec::new();
    };
    let message = format!("The backfill has {rough_backfill}, and nothing soft is asked for over the pipe.");
    let least = site.units().said_inches_up(6.0 * measure::INCH_M).text;
    let place = site.place(id, (0.0, 0.0), 0.0, "and every other line");
    let title = "Nothing soft is asked for over the pipe".to_string();
    vec![Finding::new(&RULE, Severity::Note, site.point(id, 0.0), title, message).gathers(vec![place]).offers(
        move |site| {
            let label = format!("Ask for at least {least} of stone-free soil over the pipe first");
            Offer::brief(site, label, |brief| brief.blinding = true).into_iter().collect()
        },
    )]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn stones() {
        let mut job = Job::new();
        job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.rough_backfill = "stones".into();
        assert!(job.only(&RULE).message.starts_with("The backfill has stones,"));
        job.plan.brief.blinding = true;
        assert!(job.found(&RULE).is_empty());
    }
}
