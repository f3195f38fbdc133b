//! Check 11, too many grade breaks.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::pipe;
use crate::offer::Offer;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 11,
    slug: "many-breaks",
    title: "Too many grade breaks",
    manual: "More than one change of grade per 100 ft (30 m) over a whole line; a single break is never too many. Each \
             break is a place where the operator stops, resets the laser and can be wrong. The figure is a judgment. \
             A note.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let breaks = worked.breaks().count();
    if breaks < 2 || breaks as f64 <= worked.length_m / site.plan.criteria.length_per_break_m {
        return None;
    }
    let length = site.length(worked.length_m);
    let message = format!("The operator must change grade {breaks} times in {length} of {}.", line.name);
    let title = format!("{} changes grade often", line.name);
    let at = site.point(id, worked.length_m / 2.0);
    Some(
        Finding::new(&RULE, Severity::Note, at, title, message)
            .once_on(id, 0.0, worked.length_m)
            .amount(format!("{breaks} breaks"))
            .offers(move |site| {
                let mut offers: Vec<_> = even(site, id).into_iter().collect();
                offers.extend(levels::ways(site, id, (0.0, f64::INFINITY), Wants::Steeper(0.0)));
                offers
            }),
    )
}

/// Offers one grade from end to end.
fn even<'s>(site: &'s Site, id: LineId) -> Option<Offer<'s>> {
    let (_, worked) = site.line(id)?;
    let whole = Stretch { from_m: 0.0, to_m: worked.length_m, worst_m: 0.0, worst: 0.0 };
    pipe::steepened(site, id, &whole, worked.mean_grade()?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// Four breaks in 250 ft: 0+50, 1+00, 1+50, 2+00.
    #[test]
    fn a_break_at_every_stake() {
        let mut job = Job::new();
        let m1 = job.main(250.0);
        job.pin(m1, 50.0, 100.5).pin(m1, 100.0, 100.7).pin(m1, 150.0, 101.2).pin(m1, 200.0, 101.4);
        job.pin(m1, 250.0, 102.0);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The operator must change grade 4 times in 250 ft of M1.");
    }

    /// Two breaks in 300 ft, and one break in 80 ft.
    #[test]
    fn a_break_now_and_then() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 100.0, 100.5).pin(m1, 200.0, 101.5).pin(m1, 300.0, 102.0);
        let l1 = job.line("L1", crate::job::LATERAL, &[(50.0, 0.0), (50.0, 80.0)], plan::Joins::Line(m1));
        job.pin(l1, 40.0, 101.5).pin(l1, 80.0, 101.7);
        assert!(job.found(&RULE).is_empty());
    }
}
