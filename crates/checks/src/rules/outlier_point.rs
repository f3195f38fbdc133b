//! Check 99, a shot that does not fit its neighbours.

use measure::FOOT_M;
use plan::{Remedy, ShotName, Signature, signed_level};
use terrain::Outlier;

use super::survey_words::{corrected, typed};
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};
use land::Surveyed;

/// Slips of the rod or of the pencil that are made again and again: a whole ten feet, a metre, a foot.
const SLIPS: [(f64, &str); 3] = [(10.0 * FOOT_M, "10 ft"), (1.0, "1 m"), (FOOT_M, "1 ft")];
/// How near a residual comes to a slip that is taken for it, metres: 0.15 ft (own choice).
const SLIP_WITHIN_M: f64 = 0.15 * FOOT_M;
/// More shots than this that stick out are told together: nobody decides on hundreds one by one (own choice).
const MOST_SINGLE: usize = 20;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 99,
    slug: "outlier-point",
    title: "Outlier",
    manual: "A shot more than 1.0 ft (0.30 m), and more than six times the local deviation, off the plane through its \
             eight nearest neighbors. The local deviation is the median residual of the eight to that plane, so rough \
             ground is given more room. The worst shot is taken first and the others are looked at without it. A rod \
             read a whole 10 ft, 1 m or 1 ft wrong is named. More than 20 are told as one. A shot that lidar under it confirms within 1.0 ft, the \
             batch's own shift taken away, is no outlier. To decide: correct the shot or leave it out.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(survey) = site.land.survey.as_deref() else { return Vec::new() };
    if survey.outliers.len() > MOST_SINGLE {
        return together(site, survey).into_iter().collect();
    }
    survey.outliers.iter().map(|outlier| finding(site, survey, outlier)).collect()
}

/// One finding for a survey full of outliers, at the worst of them.
fn together(site: &Site, survey: &Surveyed) -> Option<Finding> {
    let units = site.units();
    let mut worst: Vec<&Outlier> = survey.outliers.iter().collect();
    worst.sort_by(|a, b| b.residual_m.abs().total_cmp(&a.residual_m.abs()).then(a.index.cmp(&b.index)));
    let first = worst.first()?;
    let named = worst
        .iter()
        .take(3)
        .map(|o| format!("{} ({})", survey.book.name_of(o.index), signed_level(o.residual_m, units)));
    let title = format!("{} of {} shots stick out", worst.len(), survey.shots.len());
    let message = format!(
        "{title}, by up to {}; the worst are {}. So many are no slips of the rod.",
        units.amount(first.residual_m.abs()),
        named.collect::<Vec<_>>().join(", ")
    );
    let remedies: Vec<Remedy> = worst.iter().map(|o| Remedy::LeaveOut { shot: survey.shot_name(o.index) }).collect();
    let signed = Signature { because: "does not fit its neighbors".into(), ..Signature::default() };
    let at = survey.shots[first.index].at;
    Some(
        Finding::new(&RULE, Severity::Decide, at, title, message)
            .amount(format!("{} shots", worst.len()))
            .keyed("many")
            .offers(move |site| vec![Offer::One(plan::correct(site.plan, remedies.clone(), &signed))])
            .advises("Look at how they were taken: canopy, lost signal, a machine in motion."),
    )
}

fn finding(site: &Site, survey: &Surveyed, outlier: &Outlier) -> Finding {
    let units = site.units();
    let name = survey.book.name_of(outlier.index);
    let off_m = outlier.residual_m;
    let way = if off_m > 0.0 { "above" } else { "below" };
    let slip = SLIPS.iter().find(|(slip_m, _)| (off_m.abs() - slip_m).abs() <= SLIP_WITHIN_M);
    let by_m = -off_m.signum() * slip.map_or(off_m.abs(), |(slip_m, _)| *slip_m);
    let (question, shot) = (
        slip.map_or("A slip of the rod or of the pencil?".to_string(), |(_, words)| {
            format!("A rod slip of {words}?")
        }),
        survey.shot_name(outlier.index),
    );
    let message = format!(
        "Shot {name} lies {} {way} its neighbors, which fit their own plane within {}. {question}",
        units.amount(off_m.abs()),
        units.amount(outlier.deviation_m)
    );
    let slip = slip.map(|(_, words)| *words);
    Finding::new(&RULE, Severity::Decide, survey.shots[outlier.index].at, format!("Shot {name} sticks out"), message)
        .amount(signed_level(off_m, units))
        .keyed(format!("{} {}", shot.batch, shot.shot))
        .offers(move |site| offers(site, &shot, by_m, slip))
}

/// The shot corrected by a slip, or by what it is off; or left out. A slip of the rod comes first.
fn offers<'s>(site: &'s Site, shot: &ShotName, by_m: f64, slip: Option<&str>) -> Vec<Offer<'s>> {
    let because = slip.map_or("does not fit its neighbors".into(), |words| format!("rod slip of {words}"));
    let (by_m, shot) = (typed(site, by_m), shot.clone());
    let raise = corrected(site, Remedy::Raise { shot: shot.clone(), by_m }, because);
    let out = corrected(site, Remedy::LeaveOut { shot }, "does not fit its neighbors");
    if slip.is_some() { vec![raise, out] } else { vec![out, raise] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// The ninth shot of the worked example Tarrow End in the middle of its eight neighbours.
    fn tarrow_end(middle_ft: f64) -> Job {
        let rows = [[102.1, 102.3, 102.5], [102.2, middle_ft, 102.6], [102.4, 102.5, 102.6]];
        let shot = |i: usize| ((i % 3) as f64 * 50.0, (2 - i / 3) as f64 * 50.0, rows[i / 3][i % 3]);
        let mut job = Job::new();
        job.batch("A", &(0..9).map(shot).collect::<Vec<_>>());
        job
    }

    #[test]
    fn a_rod_slip_of_ten_feet() {
        let job = tarrow_end(112.43);
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "Shot A5 lies 10.03 ft above its neighbors, which fit their own plane within 0.03 ft. A rod slip of 10 \
             ft?"
        );
        assert_eq!(job.remedies(&finding)[0], "Correct A5 of batch A by −10.00 ft");
        let mended = job.mended(&finding);
        assert!(mended.found(&RULE).is_empty());
        assert_eq!(mended.plan.survey.corrections[0].signed.because, "rod slip of 10 ft");
    }

    #[test]
    fn what_is_no_known_slip_is_left_out() {
        let job = tarrow_end(97.0);
        let finding = job.only(&RULE);
        assert!(finding.message.contains("5.40 ft below its neighbors"), "{}", finding.message);
        assert_eq!(job.remedies(&finding)[0], "Leave out A5 of batch A");
        assert!(tarrow_end(97.0).mended(&finding).found(&RULE).is_empty());
    }

    /// A shot in fourteen on a level field is 5 ft high.
    #[test]
    fn a_survey_full_of_outliers_is_one_finding() {
        let high = |i: usize| if i % 7 == 3 && (i / 20).is_multiple_of(2) { 5.0 } else { 0.0 };
        let shots: Vec<_> =
            (0..400).map(|i| ((i % 20) as f64 * 50.0, (i / 20) as f64 * 50.0, 100.0 + high(i))).collect();
        let mut job = Job::new();
        job.batch("A", &shots);
        let finding = job.only(&RULE);
        assert!(finding.title.ends_with("of 400 shots stick out"), "{}", finding.title);
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }

    /// 1.0 ft passes; so does everything where nothing is surveyed.
    #[test]
    fn within_the_limit() {
        assert!(tarrow_end(103.399).found(&RULE).is_empty());
        assert_eq!(tarrow_end(103.42).found(&RULE).len(), 1);
        assert!(Job::new().found(&RULE).is_empty());
    }

    /// A bank of 5 ft under the shot that the lidar shows too; the slip of 10 ft beside it stays one.
    #[test]
    fn what_the_lidar_confirms_is_no_outlier() {
        let mut job = tarrow_end(107.4);
        assert_eq!(job.found(&RULE).len(), 1);
        let bank = |x: f64, y: f64| if (x - 50.0).hypot(y - 50.0) < 20.0 { 106.0 } else { 101.0 };
        job.lidar((-20.0, -20.0), (120.0, 120.0), bank);
        assert!(job.found(&RULE).is_empty());
        job.lidar((-20.0, -20.0), (120.0, 120.0), |_, _| 101.0);
        assert_eq!(job.found(&RULE).len(), 1);
    }
}
