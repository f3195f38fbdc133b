//! Check 41, area not assigned.

use plan::{Line, LineId, Pattern, Served};

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 41,
    slug: "no-area",
    title: "Area not assigned",
    manual: "A line with no water: no land drains to it, nothing joins it, and it is not marked as a carrier. Then \
             nothing can be said about its size. Lines across a slope above a wet place take what seeps to them and are \
             exempt. A judgment. To decide, one for each line.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let dry = site.new_lines().filter(|(_, line, worked)| {
        worked.required_m3s() <= 0.0 && line.served != Served::Carrier && line.pattern != Pattern::Interceptor
    });
    dry.map(|(id, line, worked)| finding(site, id, line, worked.length_m)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, length_m: f64) -> Finding {
    let name = &line.name;
    let message = format!("Nothing is set to drain into {name}.");
    Finding::new(
        &RULE,
        Severity::Decide,
        site.point(id, length_m / 2.0),
        format!("No land drains into {name}"),
        message,
    )
    .once_on(id, 0.0, length_m)
    .amount("no area".into())
    .offers(move |site| {
        let name = site.name(id);
        let strip = Offer::line(site, id, format!("Let {name} drain the strip beside it"), |line| {
            line.served = Served::Strip;
        });
        let carrier = Offer::line(site, id, format!("Make {name} a carrier"), |line| line.served = Served::Carrier);
        strip.into_iter().chain(carrier).collect()
    })
    .advises("If it drains land of its own, enter the area.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn no_land() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.change(m1, |line| line.served = Served::Area(0.0));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "Nothing is set to drain into M1.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.change(m1, |line| line.pattern = Pattern::Interceptor);
        assert!(job.found(&RULE).is_empty());
    }
}
