//! Check 5, vineyard guide grade (United Kingdom).

use design::LineDesign;
use plan::{Line, LineId, LineKind};

use super::level_reach::is_level;
use super::levels::{self, Wants};
use super::pipe;
use crate::site::GRADE_TOLERANCE;
use crate::stretch::{graded, worst};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 5,
    slug: "below-vineyard-guide",
    title: "Vineyard guide grade (UK)",
    manual: "Off unless the guide is chosen in the brief. Vineyard advice from the United Kingdom asks laterals no flatter \
             than 1:250 (0.40 %) and mains no flatter than 1:400 (0.25 %). A note, one for each line.",
    source: "[UKVINE]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    if !site.plan.brief.uk_vineyard_guide {
        return Vec::new();
    }
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let guide = if line.kind == LineKind::Lateral {
        site.plan.criteria.guide_lateral_grade
    } else {
        site.plan.criteria.guide_main_grade
    };
    let flat = graded(worked, |_, grade| !is_level(site, grade) && grade >= 0.0 && grade < guide - GRADE_TOLERANCE);
    let (flattest, units) = (*worst(&flat)?, site.units());
    let [grade, wanted] = units.grades(flattest.worst, guide);
    let message = format!("{grade} of {} is flatter than the guide's {wanted}.", line.name);
    let at = site.point(id, (flattest.from_m + flattest.to_m) / 2.0);
    Some(
        Finding::new(&RULE, Severity::Note, at, format!("{} is flatter than the vineyard guide", line.name), message)
            .once_on(id, flattest.from_m, flattest.to_m)
            .amount(units.grade(flattest.worst))
            .offers(move |site| {
                let one = flat.iter().filter(|_| flat.len() == 1);
                let mut offers: Vec<_> = one.filter_map(|part| pipe::steepened(site, id, part, guide)).collect();
                let place = (flattest.from_m, flattest.to_m);
                let by_m = (guide - flattest.worst) * flattest.length_m();
                offers.extend(levels::ways(site, id, place, Wants::Steeper(by_m)));
                offers
            }),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn only_where_the_guide_is_chosen() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 100.8);
        assert!(job.found(&RULE).is_empty());
        job.plan.brief.uk_vineyard_guide = true;
        assert_eq!(job.only(&RULE).message, "0.20 % of M1 is flatter than the guide's 0.25 %.");
        job.pin(m1, 400.0, 101.0);
        assert!(job.found(&RULE).is_empty());
    }
}
