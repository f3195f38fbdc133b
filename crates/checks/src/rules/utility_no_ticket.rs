//! Check 64, utility crossing not cleared.

use plan::{LandmarkKind, Utility};

use super::utilities::crossed;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 64,
    slug: "utility-no-ticket",
    title: "Utility crossing not cleared",
    manual: "A new line crosses a buried utility for which no locate ticket is entered, or whose ticket ended before the \
             as-of date of the plan. Tiling always needs the call; marks come within 2 to 3 business days. One-call pages. \
             To fix before digging.",
    source: "[DTS] [811]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let as_of = site.plan.title.as_of.as_deref();
    let why = |utility: &Utility| {
        let ended = utility.valid_until.as_deref().zip(as_of).filter(|(until, today)| until < today);
        match (utility.ticket.trim().is_empty(), ended) {
            (true, _) => Some("no ticket".to_string()),
            (false, Some((until, _))) => Some(format!("the ticket ended on {until}")),
            (false, None) => None,
        }
    };
    let all = crossed(site, |kind| matches!(kind, LandmarkKind::Utility(_)));
    let finding = |crossed: &super::utilities::Crossed| {
        let LandmarkKind::Utility(utility) = &crossed.mark.kind else { return None };
        let (hit, what) = (crossed.hit, crossed.mark.called());
        let message =
            format!("{} crosses {what} at {}: {}.", site.name(hit.id), site.station(hit.station_m), why(utility)?);
        let title = format!("{what} is not cleared");
        let found = Finding::new(&RULE, Severity::Block, hit.at, title, message);
        let found = found.on(hit.id, hit.station_m, hit.station_m).of_landmark(crossed.id);
        Some(found.advises("Ask for marks (2–3 business days) and enter the ticket and its last day."))
    };
    all.iter().filter_map(finding).collect()
}

#[cfg(test)]
mod tests {
    use plan::Carries;

    use super::*;
    use crate::job::{Job, along};

    #[test]
    fn none_held_and_ended() {
        let mut job = Job::new();
        job.main(300.0);
        let gas = |ticket: &str, until: Option<&str>| {
            let (ticket, valid_until) = (ticket.into(), until.map(String::from));
            LandmarkKind::Utility(Utility { carries: Carries::Gas, ticket, valid_until, ..Utility::default() })
        };
        let mark = job.mark("G1", gas("", None), along(&[(120.0, -50.0), (120.0, 50.0)]));
        assert_eq!(job.only(&RULE).message, "M1 crosses gas line G1 at 1+20: no ticket.");
        job.plan.title.as_of = Some("2031-04-02".into());
        job.remark(mark, gas("T-88", Some("2031-04-02")));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, gas("T-88", Some("2031-04-01")));
        assert!(job.only(&RULE).message.contains("the ticket ended on 2031-04-01"));
    }
}
