//! Check 100, a whole batch higher or lower than the rest.

use plan::{Remedy, signed_level};

use super::survey_words::{corrected, first_shot, typed};
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};
use land::{Against, Offset, SHIFT_M, Surveyed};

/// Share of the limit by which a batch that was kept may drift before it is named again ([judgement]; the share by
/// which any finding that was left comes back).
const DRIFT: f64 = 0.1;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 100,
    slug: "batch-shift",
    title: "Constant batch shift",
    manual: "The mean of a batch less the lidar under it, or less the local surface of the other batches round about \
             (the eight nearest shots, none farther than 100 ft), is more than 0.3 ft (0.09 m) either way, over five \
             shots or more. A plus means that the batch sits high; the shift offered has the opposite sign. Outliers \
             and batches in another unit are left out of the mean. Causes are another datum, a wrong antenna height, or \
             lidar that saw crop or canopy. To decide: shift the batch, or keep it and say why.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(survey) = site.land.survey.as_deref() else { return Vec::new() };
    let off = survey.offsets.iter().filter(|offset| offset.agreement.mean_m.abs() > SHIFT_M);
    off.filter(|offset| !is_kept(site, survey, offset)).map(|offset| finding(site, survey, offset)).collect()
}

/// True where somebody said why the batch stays, and it is no farther off than then.
fn is_kept(site: &Site, survey: &Surveyed, offset: &Offset) -> bool {
    let (name, mean_m) = (survey.batch_name(offset.batch), offset.agreement.mean_m);
    site.plan.survey.corrections.iter().any(|correction| match &correction.what {
        Remedy::Keep { batch, off_m } => {
            batch == name && off_m * mean_m > 0.0 && mean_m.abs() <= off_m.abs() + DRIFT * SHIFT_M
        }
        _ => false,
    })
}

fn finding(site: &Site, survey: &Surveyed, offset: &Offset) -> Finding {
    let units = site.units();
    let (name, agreement) = (survey.batch_name(offset.batch), offset.agreement);
    let (way, sits) = if agreement.mean_m > 0.0 { ("high", "higher") } else { ("low", "lower") };
    let what = match offset.against {
        Against::Lidar => "the lidar",
        Against::OtherBatches => "the other batches",
    };
    let message = format!(
        "Batch {name} sits {} {sits} than {what} over {} shots, with a scatter of {}. Different datum, antenna or canopy?",
        units.amount(agreement.mean_m.abs()),
        agreement.count,
        units.amount(agreement.scatter_m())
    );
    let at = first_shot(site, offset.batch);
    let (batch, off_m, because) = (name.to_string(), agreement.mean_m, format!("sat {sits} than {what}"));
    Finding::new(&RULE, Severity::Decide, at, format!("Batch {name} sits {way}"), message)
        .amount(format!("batch {name} {}", signed_level(agreement.mean_m, units)))
        .keyed(name)
        .offers(move |site| offers(site, &batch, off_m, &because))
}

/// The batch shifted, or kept as it is by name; or the lidar shifted to it.
fn offers<'s>(site: &'s Site, batch: &str, off_m: f64, because: &str) -> Vec<Offer<'s>> {
    let (batch, by_m) = (batch.to_string(), typed(site, -off_m));
    let lidar = site.land.lidar().map(|_| corrected(site, Remedy::ShiftLidar { by_m: -by_m }, because));
    let shift = corrected(site, Remedy::Shift { batch: batch.clone(), by_m }, because);
    let keep = corrected(site, Remedy::Keep { batch, off_m: typed(site, off_m) }, "");
    [shift].into_iter().chain(lidar).chain([keep]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// Ground rising 1 ft in 100 to the east; shots on it each 50 ft, moved by `off`.
    fn grid(count: usize, off: f64) -> Vec<(f64, f64, f64)> {
        let at = |i: usize| (10.0 + (i % 7) as f64 * 50.0, 10.0 + (i / 7) as f64 * 50.0);
        (0..count).map(|i| (at(i).0, at(i).1, 100.0 + at(i).0 / 100.0 + off)).collect()
    }

    fn on_lidar(count: usize, off: f64) -> Job {
        let mut job = Job::new();
        job.lidar((0.0, 0.0), (400.0, 400.0), |x, _| 100.0 + x / 100.0);
        job.batch("A", &grid(count, off));
        job
    }

    #[test]
    fn a_batch_above_the_lidar() {
        let job = on_lidar(10, 0.31);
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "Batch A sits 0.31 ft higher than the lidar over 10 shots, with a scatter of 0.00 ft. Different datum, \
             antenna or canopy?"
        );
        assert_eq!(job.remedies(&finding)[0], "Shift batch A by −0.31 ft");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        let lidar = Remedy::ShiftLidar { by_m: 0.31 * measure::FOOT_M };
        assert!(job.corrected(lidar).found(&RULE).is_empty());
    }

    /// 0.3 ft passes, four shots tell nothing, and what was kept with a reason stays quiet until it drifts.
    #[test]
    fn within_the_limit_too_few_or_kept() {
        assert!(on_lidar(10, 0.299).found(&RULE).is_empty());
        assert!(on_lidar(4, 2.0).found(&RULE).is_empty());
        let low = on_lidar(10, -0.5);
        assert!(low.only(&RULE).message.contains("0.50 ft lower than the lidar"));
        let keep = |off_ft: f64| Remedy::Keep { batch: "A".into(), off_m: off_ft * measure::FOOT_M };
        assert!(low.corrected(keep(-0.48)).found(&RULE).is_empty());
        assert_eq!(low.corrected(keep(-0.45)).found(&RULE).len(), 1);
        assert_eq!(low.corrected(keep(0.5)).found(&RULE).len(), 1);
    }

    /// Without lidar the smaller batch is held against the larger; one bad shot changes no mean.
    #[test]
    fn a_batch_among_others() {
        let mut job = Job::new();
        let mut b: Vec<_> = grid(12, -1.5).iter().map(|(x, y, z)| (x + 60.0, y + 60.0, *z - 0.6)).collect();
        b[4].2 += 10.0;
        job.batch("A", &grid(42, 0.0)).batch("B", &b);
        let finding = job.only(&RULE);
        assert!(
            finding.message.starts_with("Batch B sits 2.70 ft lower than the other batches over 9 shots"),
            "{}",
            finding.message
        );
        assert_eq!(job.only(&super::super::outlier_point::RULE).title, "Shot B5 sticks out");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
