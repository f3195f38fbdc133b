//! Check 116, first flow not logged.

use measure::Point;

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 116,
    slug: "first-flow",
    title: "First flow not logged",
    manual: "More than 30 days after the digging was finished nobody has entered how the outlets run. What was laid wrong shows \
             first in what an outlet runs after rain. Silent without an as-of date: no clock is read. The figure is a judgment. A \
             note, one for the plan.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    finding(site).into_iter().collect()
}

fn finding(site: &Site) -> Option<Finding> {
    let (finished, today) = (site.plan.record.finished.as_ref()?, site.plan.title.as_of.as_ref()?);
    let days = plan::days_between(finished, today)?;
    let is_logged = site.plan.record.flows.iter().any(|flow| flow.taken.at.as_str() >= finished.as_str());
    if is_logged || days as f64 <= site.plan.criteria.flow_logged_days {
        return None;
    }
    let at = site.plan.outlets.values().next().map_or(Point::new(0.0, 0.0), |outlet| outlet.at);
    let message = format!("No flow was logged since {finished}, when the digging was finished.");
    let found = Finding::new(&RULE, Severity::Note, at, "Nobody has logged how the outlets run".into(), message);
    Some(found.advises("Look at the outlets after rain and enter what runs."))
}

#[cfg(test)]
mod tests {
    use plan::{OutletFlow, OutletId, Running, Taken};

    use super::*;
    use crate::job::Job;

    #[test]
    fn thirty_days_pass_and_then_it_is_asked_for() {
        let mut job = Job::new();
        job.main(200.0);
        job.plan.record.finished = Some("2031-04-02".into());
        assert!(job.found(&RULE).is_empty());
        job.plan.title.as_of = Some("2031-05-02".into());
        assert!(job.found(&RULE).is_empty());
        job.plan.title.as_of = Some("2031-05-03".into());
        assert_eq!(job.only(&RULE).message, "No flow was logged since 2031-04-02, when the digging was finished.");
        let taken = Taken { by: "R. Wren".into(), at: "2031-04-20T08:00".into(), revision: String::new() };
        let (key, note) = ("w1".into(), String::new());
        let flow = OutletFlow { key, taken, outlet: OutletId(1), running: Running::Runs, cloudy: false, note };
        job.plan.record.flows.push(flow);
        assert!(job.found(&RULE).is_empty());
    }
}
