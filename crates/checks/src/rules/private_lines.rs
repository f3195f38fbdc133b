//! Check 119, private lines not asked.

use measure::Point;

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 119,
    slug: "private-lines",
    title: "Private lines not asked",
    manual: "The farm's own wells, septic lines, power to pumps and irrigation are marked by nobody who is called: the \
             grower must be asked, and the brief says for each that he was. One-call pages and memory. To decide, one for \
             the plan.",
    source: "[811] [memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let asked = site.plan.brief.asked;
    let all = [
        (asked.wells, "wells"),
        (asked.septic, "septic"),
        (asked.pumps, "power to pumps"),
        (asked.irrigation, "irrigation"),
    ];
    let open: Vec<&str> = all.into_iter().filter(|(asked, _)| !asked).map(|(_, name)| name).collect();
    let Some((id, ..)) = site.new_lines().next().filter(|_| !open.is_empty()) else { return Vec::new() };
    let at: Point = site.point(id, 0.0);
    let message = "One-call does not mark the farm's own lines.".to_string();
    let advice = format!("Ask the grower, and tick in the brief: {}.", open.join(", "));
    let title = "The farm's own lines were not asked for".to_string();
    let places = vec![site.place(id, (0.0, 0.0), 0.0, "and every other line")];
    vec![Finding::new(&RULE, Severity::Decide, at, title, message).gathers(places).advises(advice)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn pumps_were_not_asked_for() {
        let mut job = Job::new();
        job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.asked.pumps = false;
        let message = "One-call does not mark the farm's own lines.";
        assert_eq!(job.only(&RULE).message, message);
    }
}
