//! Check 101, metres among feet.

use measure::LengthUnit;
use plan::Remedy;

use super::survey_words::{corrected, first_shot};
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};
use land::{Surveyed, UnitMix};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 101,
    slug: "unit-mix",
    title: "Unit mix",
    manual: "The middle level of the ground under a batch, or of a larger batch, divided by the middle level of the \
             batch, comes within 2 % of 3.2808 (feet in a meter) or of its inverse. Phones and GNSS receivers write \
             meters where the rest of the job is in feet. Such a batch is left out of every other check until it is \
             converted. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(survey) = site.land.survey.as_deref() else { return Vec::new() };
    survey.unit_mixes.iter().map(|mix| finding(site, survey, mix)).collect()
}

fn finding(site: &Site, survey: &Surveyed, mix: &UnitMix) -> Finding {
    let (units, name) = (site.units(), survey.batch_name(mix.batch));
    let (looks, among) = if mix.written == LengthUnit::Metre { ("meters", "feet") } else { ("feet", "meters") };
    let (low_m, high_m) = (mix.middle_m.min(mix.other_m), mix.middle_m.max(mix.other_m));
    let message = format!(
        "Batch {name} looks like {looks} among {among}: its middle level reads {}, that of the ground or of the others \
         {}, and {} ÷ {} is {:.2}, near the 3.28 feet of a meter.",
        units.number(mix.middle_m, 2),
        units.number(mix.other_m, 2),
        units.number(high_m, 2),
        units.number(low_m, 2),
        high_m / low_m
    );
    let (written, batch) = (*mix, mix.batch);
    Finding::new(&RULE, Severity::Block, first_shot(site, mix.batch), format!("Batch {name} is in {looks}?"), message)
        .amount(format!("{looks}?"))
        .keyed(name)
        .offers(move |site| [convert(site, written), left_out(site, batch)].into_iter().flatten().collect())
}

/// Reads the batch in the other unit; `None` where it was read in that unit already, and the others are wrong.
fn convert<'s>(site: &'s Site, mix: UnitMix) -> Option<Offer<'s>> {
    let survey = site.land.survey.as_deref()?;
    let read = survey.book.batches[mix.batch].unit;
    let is_metric = |unit: LengthUnit| unit == LengthUnit::Metre;
    if is_metric(read) == is_metric(mix.written) {
        return None;
    }
    let batch = survey.batch_name(mix.batch).to_string();
    let remedy = Remedy::Convert { batch, read, written: mix.written };
    Some(corrected(site, remedy, "levels were written in the other unit"))
}

fn left_out<'s>(site: &'s Site, batch: usize) -> Option<Offer<'s>> {
    let batch = site.land.survey.as_deref()?.batch_name(batch).to_string();
    Some(corrected(site, Remedy::LeaveOutBatch { batch }, "levels in an unknown unit"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    fn job(phone_level: f64) -> Job {
        let place = |i: usize| ((i % 7) as f64 * 50.0, (i / 7) as f64 * 50.0);
        let mut job = Job::new();
        job.batch("level", &(0..41).map(|i| (place(i).0, place(i).1, 100.0)).collect::<Vec<_>>());
        job.batch("phone", &(0..7).map(|i| (place(i).0 + 20.0, 20.0, phone_level)).collect::<Vec<_>>());
        job
    }

    /// The worked example Tarrow End: 100 ÷ 30.6 = 3.27, within 2 % of 3.2808. The levels come out at 100.39 ft.
    #[test]
    fn metres_among_feet() {
        let job = job(30.6);
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "Batch phone looks like meters among feet: its middle level reads 30.60, that of the ground or of the \
             others 100.00, and 100.00 ÷ 30.60 is 3.27, near the 3.28 feet of a meter."
        );
        assert!(job.found(&super::super::outlier_point::RULE).is_empty(), "a unit is no slip");
        let mended = job.mended(&finding);
        assert!(mended.found(&RULE).is_empty());
        let level_ft = mended.surveyed().shots[41].level_m / measure::FOOT_M;
        assert!((level_ft - 30.6 / measure::FOOT_M).abs() < 1e-9);
        assert!(job.corrected(Remedy::LeaveOutBatch { batch: "phone".into() }).found(&RULE).is_empty());
    }

    /// The inverse is named but not converted, since it was read in feet already; other ratios are no unit's doing.
    #[test]
    fn feet_among_metres_and_neither() {
        let feet = job(328.0);
        let finding = feet.only(&RULE);
        assert!(finding.message.starts_with("Batch phone looks like feet among meters"));
        assert!(feet.remedies(&finding).iter().all(|label| !label.starts_with("Read")));
        assert!(job(29.8).found(&RULE).is_empty());
        assert!(job(101.0).found(&RULE).is_empty());
    }

    /// Against the lidar under its shots a batch is judged even when it is the only one.
    #[test]
    fn against_the_lidar() {
        let mut job = Job::new();
        job.lidar((0.0, 0.0), (400.0, 100.0), |_, _| 850.0);
        job.batch("A", &(0..6).map(|i| (20.0 + 50.0 * i as f64, 50.0, 259.1)).collect::<Vec<_>>());
        assert_eq!(job.only(&RULE).title, "Batch A is in meters?");
    }
}
