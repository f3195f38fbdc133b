//! Check 105, a single benchmark or none.

use super::survey_words::anchor;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 105,
    slug: "one-benchmark",
    title: "Benchmark missing or one only",
    manual: "Fewer than two benchmarks on a plan with lines on surveyed ground. The laser is set by a benchmark, and a \
             single stake is what the excavator runs over; with two, a moved one is seen. To decide, one for the plan.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let count = site.plan.survey.benchmarks.len();
    if count >= 2 || site.land.survey.as_deref().is_none() || site.new_lines().next().is_none() {
        return Vec::new();
    }
    let (title, message) = match count {
        0 => ("No benchmark", "There is no benchmark."),
        _ => ("One benchmark only", "There is one benchmark only."),
    };
    let advice = match count {
        0 => "Set two that survive the digging, and enter them with their levels.",
        _ => "Set a second that survives the digging, and enter it with its level.",
    };
    vec![Finding::new(&RULE, Severity::Decide, anchor(site), title.into(), message.into()).advises(advice)]
}

#[cfg(test)]
mod tests {
    use plan::Benchmark;

    use super::*;
    use crate::job::{Job, ft};

    #[test]
    fn two_are_wanted_where_there_is_a_survey_and_a_line() {
        let mut job = Job::new();
        assert!(job.found(&RULE).is_empty());
        job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.batch("A", &[(0.0, 0.0, 100.0)]);
        assert_eq!(job.only(&RULE).title, "No benchmark");
        let mark =
            |name: &str| Benchmark { name: name.into(), at: ft(5.0, 5.0), level_m: 31.0, datum: String::new() };
        job.plan.survey.benchmarks.push(mark("BM1"));
        assert_eq!(job.only(&RULE).message, "There is one benchmark only.");
        assert_eq!(job.only(&RULE).at, ft(5.0, 5.0));
        job.plan.survey.benchmarks.push(mark("BM2"));
        assert!(job.found(&RULE).is_empty());
    }
}
