//! Check 45, coefficient low for the crop.

use measure::Point;
use plan::{Brief, Crop, Starts};

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 45,
    slug: "low-coefficient",
    title: "Coefficient low for the crop",
    manual: "Drainage coefficient under 1/2 in (12.7 mm) a day for vines, fruit and vegetables or where rain stands on \
             the surface, under 3/8 in (9.5 mm) for field crops. A smaller pipe carries it, and the water stays longer. \
             From regional trials and a public bid specification. A note, one for the plan.",
    source: "[NCSU-space] [ISU-bid]",
    find,
};

/// Least usual coefficient, m/s.
fn usual_ms(brief: &Brief) -> f64 {
    let crop = if brief.poor_surface { Crop::Fruit } else { brief.crop };
    crop.usual_coefficient_ms(Starts::of(brief.metric))
}

fn find(site: &Site) -> Vec<Finding> {
    let (brief, units) = (&site.plan.brief, site.units());
    let (own_ms, usual_ms) = (brief.coefficient_ms(), usual_ms(brief));
    let first = site.new_lines().next().and_then(|(_, line, _)| line.downstream_end());
    let Some(at) = first.filter(|_| own_ms < usual_ms * (1.0 - 1e-9)) else { return Vec::new() };
    let (own, usual) = (units.coefficient(own_ms), units.said_coefficient_up(usual_ms).text);
    let message = format!(
        "{own} is below the usual {usual} for {}.",
        if brief.poor_surface { "land where rain stands" } else { brief.crop.word() }
    );
    let place = Point::new(at.x, at.y);
    vec![
        Finding::new(&RULE, Severity::Note, place, "The drainage coefficient is low".into(), message)
            .amount(own)
            .offers(move |site| {
                let said = site.units().said_coefficient_up(usual_ms);
                let label = format!("Use a drainage coefficient of {}", said.text);
                Offer::brief(site, label, |brief| brief.coefficient_ms = Some(said.value)).into_iter().collect()
            }),
    ]
}

#[cfg(test)]
mod tests {
    use measure::INCH_PER_DAY_MS;

    use super::*;
    use crate::job::Job;

    /// The worked example Ellowby Block: 3/8 in/day for vines is a note.
    #[test]
    fn three_eighths_for_fruit() {
        let mut job = Job::new();
        job.main(300.0);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.coefficient_ms = Some(0.375 * INCH_PER_DAY_MS);
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!(finding.message, "3/8 in/day is below the usual 1/2 in/day for vines and fruit.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.plan.brief.crop = Crop::FieldCrops;
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.poor_surface = true;
        assert_eq!(job.found(&RULE).len(), 1);
    }
}
