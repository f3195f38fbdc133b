//! Check 108, ground moved after it was surveyed.

use plan::{Remedy, Signature};

use super::survey_words::first_shot;
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 108,
    slug: "stale-survey",
    title: "Stale survey",
    manual: "A batch was taken before the last day on which ground was moved, as entered. Both dates are entered by \
             hand; no clock is read. A note, one for the plan.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let (Some(survey), Some(moved)) = (site.land.survey.as_deref(), &site.plan.survey.earthwork) else {
        return Vec::new();
    };
    let batches = survey.book.batches.iter().enumerate();
    // Days in the form YYYY-MM-DD sort as they follow each other.
    let old: Vec<(usize, String)> = batches
        .filter_map(|(i, batch)| {
            // A batch that was left out tells of no ground.
            survey.book.of_batch(i).next()?;
            batch.date.as_ref().filter(|date| *date < moved).map(|date| (i, format!("{} of {date}", batch.name)))
        })
        .collect();
    let Some((first, _)) = old.first() else { return Vec::new() };
    let names: Vec<&str> = old.iter().map(|(_, name)| name.as_str()).collect();
    let (batch, was) = if names.len() == 1 { ("batch", "was") } else { ("batches", "were") };
    let message = format!("Ground was moved on {moved}, after {batch} {} {was} taken.", names.join(", "));
    let left: Vec<usize> = old.iter().map(|(i, _)| *i).collect();
    let found = Finding::new(
        &RULE,
        Severity::Note,
        first_shot(site, *first),
        "The ground has changed since the survey".into(),
        message,
    );
    vec![
        found
            .offers(move |site| left_out(site, &left).into_iter().collect())
            .advises("Shoot the changed part again, and leave out what it replaces."),
    ]
}

/// Offers that the old batches are left out.
fn left_out<'s>(site: &'s Site, batches: &[usize]) -> Option<Offer<'s>> {
    let survey = site.land.survey.as_deref()?;
    let out = |i: &usize| Remedy::LeaveOutBatch { batch: survey.batch_name(*i).to_string() };
    let signed = Signature { because: "taken before ground was moved".into(), ..Signature::default() };
    Some(Offer::One(plan::correct(site.plan, batches.iter().map(out).collect(), &signed)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    fn job(taken: Option<&str>, moved: Option<&str>) -> Job {
        let mut job = Job::new();
        job.batch("A", &[(0.0, 0.0, 100.0)]);
        job.plan.survey.batches.entry("A".into()).or_default().date = taken.map(str::to_string);
        job.plan.survey.earthwork = moved.map(str::to_string);
        job
    }

    #[test]
    fn ground_moved_after_the_survey() {
        let finding = job(Some("2031-03-30"), Some("2031-04-20")).only(&RULE);
        assert_eq!(finding.message, "Ground was moved on 2031-04-20, after batch A of 2031-03-30 was taken.");
    }

    #[test]
    fn the_same_day_and_unknown_days() {
        for (taken, moved) in
            [(Some("2031-04-20"), Some("2031-04-20")), (None, Some("2031-04-20")), (Some("2031-04-20"), None)]
        {
            assert!(job(taken, moved).found(&RULE).is_empty());
        }
    }
}
