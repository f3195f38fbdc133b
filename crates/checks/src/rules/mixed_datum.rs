//! Check 102, levels that count from different places.

use std::collections::BTreeMap;

use super::survey_words::anchor;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 102,
    slug: "mixed-datum",
    title: "Mixed datum declared",
    manual: "Two vertical datums are named in one job: by a batch, by the ground's file or by a benchmark. Sea level, \
             ellipsoid and a local 100.00 differ by feet to hundreds of feet, and by different amounts from place to \
             place. Names are compared without regard to capitals; an unknown datum counts for none. To fix before \
             digging: bring one to the other and note it in the log.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut named: BTreeMap<String, (String, Vec<String>)> = BTreeMap::new();
    for (user, datum) in users(site) {
        let known = named.entry(datum.trim().to_lowercase()).or_insert_with(|| (datum.trim().into(), Vec::new()));
        known.1.push(user);
    }
    named.remove("");
    let uses: Vec<(String, Vec<String>)> = named.into_values().collect();
    if uses.len() < 2 { Vec::new() } else { vec![finding(site, &uses)] }
}

/// Everything with a level and the datum it is said to count from.
fn users(site: &Site) -> Vec<(String, String)> {
    let survey = site.land.survey.as_deref().map(|survey| &survey.book);
    let used = |batch: &usize| survey.is_some_and(|book| book.of_batch(*batch).next().is_some());
    let batches = survey.into_iter().flat_map(|book| book.batches.iter().enumerate());
    let batches =
        batches.filter(|(i, _)| used(i)).map(|(_, batch)| (format!("batch {}", batch.name), batch.datum.clone()));
    let ground = site.plan.ground.iter().map(|ground| ("the ground".to_string(), ground.datum.clone()));
    let marks = site.plan.survey.benchmarks.iter();
    let marks = marks.map(|mark| (format!("benchmark {}", mark.name), mark.datum.clone()));
    // Shots that are the ground have its datum until they are told another; only then do they count for themselves.
    let is_grid = site.land.lidar().is_some();
    batches.chain(ground.filter(|_| is_grid)).chain(marks).collect()
}

fn finding(site: &Site, uses: &[(String, Vec<String>)]) -> Finding {
    let said: Vec<String> = uses.iter().map(|(datum, users)| format!("{datum} ({})", users.join(", "))).collect();
    let (last, first) =
        said.split_last().map_or(("", ""), |(last, first)| (last.as_str(), first.first().map_or("", |f| f)));
    let said = if said.len() == 2 {
        format!("{first} and {last} are both in use")
    } else {
        format!("{} are in use", said.join(", "))
    };
    let message = format!("{said}.");
    Finding::new(&RULE, Severity::Block, anchor(site), "Levels count from two datums".into(), message)
        .advises("Bring all levels to one of them, and enter it for each.")
}

#[cfg(test)]
mod tests {
    use plan::{Benchmark, Remedy};

    use super::*;
    use crate::job::{Job, ft};

    fn mark(job: &mut Job, name: &str, datum: &str) {
        let (at, level_m) = (ft(0.0, 0.0), 30.0);
        job.plan.survey.benchmarks.push(Benchmark { name: name.into(), at, level_m, datum: datum.into() });
    }

    fn say(job: &mut Job, batch: &str, datum: &str) {
        job.plan.survey.batches.entry(batch.into()).or_default().datum = datum.into();
    }

    #[test]
    fn two_datums_until_one_is_brought_to_the_other() {
        let mut job = Job::new();
        job.batch("A", &[(0.0, 0.0, 100.0)]).batch("B", &[(9.0, 9.0, 812.0)]);
        say(&mut job, "A", "local 100");
        say(&mut job, "B", "sea level");
        mark(&mut job, "BM1", "Local 100 ");
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "local 100 (batch A, benchmark BM1) and sea level (batch B) are both in use.");
        let brought = job.corrected(Remedy::Datum { batch: "B".into(), datum: "local 100".into() });
        assert!(brought.found(&RULE).is_empty());
        assert!(job.corrected(Remedy::LeaveOutBatch { batch: "B".into() }).found(&RULE).is_empty());
    }

    #[test]
    fn one_datum_or_none() {
        let mut job = Job::new();
        job.batch("A", &[(0.0, 0.0, 100.0)]).batch("B", &[(9.0, 9.0, 100.0)]);
        say(&mut job, "A", "local 100");
        mark(&mut job, "BM1", "LOCAL 100");
        mark(&mut job, "BM2", "");
        assert!(job.found(&RULE).is_empty());
    }
}
