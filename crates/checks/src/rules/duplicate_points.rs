//! Check 107, two levels in one place.

use std::collections::BTreeSet;

use plan::{Remedy, ShotName, Signature};

use super::survey_words::anchor;
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};
use land::Surveyed;

/// Pairs named in the message.
const MOST_NAMED: usize = 4;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 107,
    slug: "duplicate-points",
    title: "Duplicate points with different heights",
    manual: "Two shots less than 1 ft (0.30 m) apart whose levels differ by more than 0.2 ft (0.06 m): the surface \
             would have a step there. A note, one for the plan; say which shot holds.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.land.survey.as_deref().and_then(|survey| finding(site, survey)).into_iter().collect()
}

fn finding(site: &Site, survey: &Surveyed) -> Option<Finding> {
    let worst = survey.pairs.iter().copied().reduce(|x, y| if y.2 > x.2 { y } else { x })?;
    let units = site.units();
    let named =
        |(a, b, _): &(usize, usize, f64)| format!("{} and {}", survey.book.name_of(*a), survey.book.name_of(*b));
    let mut named: Vec<String> = survey.pairs.iter().take(MOST_NAMED).map(named).collect();
    if survey.pairs.len() > MOST_NAMED {
        named.push(format!("{} more", survey.pairs.len() - MOST_NAMED));
    }
    let (count, most) = (survey.pairs.len(), units.amount(worst.2));
    let disagree = if count == 1 {
        format!("1 pair of shots disagrees by {most}")
    } else {
        format!("{count} pairs of shots disagree by up to {most}")
    };
    let message = format!("{disagree}: {}.", named.join(", "));
    let pairs: Vec<[ShotName; 2]> =
        survey.pairs.iter().map(|(a, b, _)| [*a, *b].map(|i| survey.shot_name(i))).collect();
    let at = survey.shots.get(worst.0).map_or_else(|| anchor(site), |shot| shot.at);
    Some(
        Finding::new(&RULE, Severity::Note, at, "Shots in one place disagree".into(), message)
            .amount(format!("{most} apart"))
            .offers(move |site| offers(site, &pairs)),
    )
}

/// Of every pair the one or the other left out.
fn offers<'s>(site: &'s Site, pairs: &[[ShotName; 2]]) -> Vec<Offer<'s>> {
    let one = |which: usize| {
        let left: BTreeSet<&ShotName> = pairs.iter().map(|pair| &pair[which]).collect();
        let remedies = left.into_iter().map(|shot| Remedy::LeaveOut { shot: shot.clone() }).collect();
        let signed = Signature { because: "another shot in its place holds".into(), ..Signature::default() };
        Offer::One(plan::correct(site.plan, remedies, &signed))
    };
    vec![one(0), one(1)]
}

#[cfg(test)]
mod tests {
    use plan::{Remedy, ShotName};

    use super::*;
    use crate::job::Job;

    #[test]
    fn pairs_that_disagree() {
        let mut job = Job::new();
        job.batch("A", &[(0.0, 0.0, 100.0), (50.0, 0.0, 100.0), (90.0, 0.0, 100.0), (90.0, 5.0, 101.0)]);
        job.batch("B", &[(0.5, 0.5, 100.35), (50.5, 0.0, 100.19)]);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "1 pair of shots disagrees by 0.35 ft: A1 and B1.");
        let left_out = Remedy::LeaveOut { shot: ShotName { batch: "B".into(), shot: "B1".into() } };
        assert!(job.corrected(left_out).found(&RULE).is_empty());
    }

    #[test]
    fn a_foot_apart_is_another_place() {
        let mut job = Job::new();
        job.batch("A", &[(0.0, 0.0, 100.0), (1.01, 0.0, 105.0)]);
        assert!(job.found(&RULE).is_empty());
    }
}
