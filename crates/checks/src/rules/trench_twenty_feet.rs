//! Check 21, trench over 20 ft.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::trench::{deeper, deepest};
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 21,
    slug: "trench-twenty-feet",
    title: "Trench over 20 ft",
    manual: "Trench deeper than 20 ft (6.1 m). United States safety rules ask for protection designed by a registered \
             engineer. To fix before digging.",
    source: "[OSHA-sum]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let deep = deeper(site, worked, site.plan.criteria.engineered_trench_m + LEVEL_TOLERANCE_M);
    let worst = *deepest(&deep)?;
    let limit_m = site.plan.criteria.engineered_trench_m;
    let [depth, limit] = site.units().depths(worst.worst, limit_m);
    let station = site.station(worst.worst_m);
    let message = format!(
        "The trench of {} is {depth} deep at {station}: over {limit} an engineer designs the protection.",
        line.name
    );
    let title = format!("The trench of {} needs an engineer", line.name);
    Some(
        Finding::new(&RULE, Severity::Block, site.point(id, worst.worst_m), title, message)
            .once_on(id, worst.from_m, worst.to_m)
            .amount(format!("trench {}", site.short(worst.worst)))
            .offers(move |site| {
                let place = (worst.from_m, worst.to_m);
                levels::ways(site, id, place, Wants::Higher(worst.worst - limit_m))
            })
            .advises("Have the design made, and accept this by name once it is."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn a_very_deep_cut() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 102.0).ground(|x, _| 104.0 + 0.09 * x);
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "The trench of M1 is 20.05 ft deep at 2+00: over 20.00 ft an engineer designs the protection."
        );
        job.ground(|x, _| 103.9 + 0.09 * x);
        assert!(job.found(&RULE).is_empty());
    }
}
