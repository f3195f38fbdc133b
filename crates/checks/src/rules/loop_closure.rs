//! Check 106, a level loop that does not close.

use measure::FOOT_M;
use plan::LevelLoop;

use super::survey_words::anchor;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// Metres in an international mile.
const MILE_M: f64 = 5280.0 * FOOT_M;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 106,
    slug: "loop-closure",
    title: "Loop does not close",
    manual: "A run of levels comes back to a known mark with an error above the larger of 0.03 ft (9 mm) and 0.05 ft \
             times the root of its length in miles. Every level of the run is in doubt by as much. Source \
             not verified. To decide: run it again, or adjust it and enter the level carried after adjustment.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = |run: &&LevelLoop| run.closure_m().abs() > allowed_m(run) + LEVEL_TOLERANCE_M;
    site.plan.survey.loops.iter().filter(open).map(|run| finding(site, run)).collect()
}

fn allowed_m(run: &LevelLoop) -> f64 {
    (0.05 * FOOT_M * (run.length_m / MILE_M).sqrt()).max(0.03 * FOOT_M)
}

fn finding(site: &Site, run: &LevelLoop) -> Finding {
    let (units, name) = (site.units(), &run.name);
    let [closure, allowed] = units.depths(run.closure_m().abs(), allowed_m(run));
    let message =
        format!("Level loop {name} misses by {closure} over {}; {allowed} is allowed.", units.length(run.length_m));
    Finding::new(&RULE, Severity::Decide, anchor(site), format!("Level loop {name} does not close"), message)
        .keyed(name)
        .advises("Run it again, or adjust it, and enter the level that it carries then.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    fn job(closure_ft: f64, length_ft: f64) -> Job {
        let mut job = Job::new();
        let (known_m, carried_m) = (100.0 * FOOT_M, (100.0 + closure_ft) * FOOT_M);
        job.plan.survey.loops.push(LevelLoop { name: "A".into(), known_m, carried_m, length_m: length_ft * FOOT_M });
        job
    }

    /// Half a mile: 0.05 × √0.5 = 0.035 ft. Four miles: 0.10 ft. A short loop: 0.03 ft.
    #[test]
    fn the_allowed_error_grows_with_the_root_of_the_length() {
        let finding = job(-0.05, 2640.0).only(&RULE);
        assert_eq!(finding.message, "Level loop A misses by 0.05 ft over 2640 ft; 0.04 ft is allowed.");
        assert!(job(0.035, 2640.0).found(&RULE).is_empty());
        assert!(job(0.10, 4.0 * 5280.0).found(&RULE).is_empty());
        assert_eq!(job(0.11, 4.0 * 5280.0).found(&RULE).len(), 1);
        assert!(job(0.03, 100.0).found(&RULE).is_empty());
        assert_eq!(job(0.04, 100.0).found(&RULE).len(), 1);
    }
}
