//! Check 2, level reach: pipe with hardly any fall.

use design::LineDesign;
use plan::{Line, LineId};

use super::adverse_grade;
use super::levels::{self, Wants};
use crate::stretch::{Stretch, graded};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 2,
    slug: "level-reach",
    title: "Level reach",
    manual: "A stretch that does not rise but falls less than 0.005 % (about 0.005 ft in 100 ft, 5 mm in 100 m). No \
             crew can lay it truer than that, so parts of it will rise, and water will stand in it. The limit is a \
             judgment. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let level = stretches(site, worked).into_iter();
        level.map(|stretch| finding(site, id, line, worked, &stretch)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

/// True where a grade is that of level pipe.
pub(crate) fn is_level(site: &Site, grade: f64) -> bool {
    grade < site.plan.criteria.level_grade - 1e-12
}

fn stretches(site: &Site, worked: &LineDesign) -> Vec<Stretch> {
    let rising = adverse_grade::stretches(site, worked);
    let rises = |station_m: f64| rising.iter().any(|part| part.from_m <= station_m && station_m < part.to_m);
    graded(worked, |i, grade| is_level(site, grade) && !rises(worked.stations[i].station_m))
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, stretch: &Stretch) -> Finding {
    let (name, units) = (&line.name, site.units());
    let message = format!(
        "{name} is nearly level {}: {} where the pipe wants {}.",
        site.stretch(stretch.from_m, stretch.to_m),
        units.grade(stretch.worst),
        units.grade(worked.least_grade)
    );
    let (place, by_m) = ((stretch.from_m, stretch.to_m), worked.least_grade * stretch.length_m());
    let middle_m = (stretch.from_m + stretch.to_m) / 2.0;
    Finding::new(&RULE, Severity::Block, site.point(id, middle_m), format!("{name} is nearly level"), message)
        .on(id, stretch.from_m, stretch.to_m)
        .amount(format!("level for {}", site.length(stretch.length_m())))
        .offers(move |site| levels::ways(site, id, place, Wants::Steeper(by_m)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// Level at 100.50 from 1+00 to 2+00.
    #[test]
    fn a_level_stretch() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 100.0, 100.5).pin(m1, 200.0, 100.5).pin(m1, 300.0, 101.0);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (100.0, 200.0));
        assert_eq!(finding.message, "M1 is nearly level from 1+00 to 2+00: 0.000 % where the pipe wants 0.041 %.");
    }

    /// 0.005 % exactly passes (0.010 ft in 200 ft); a rise is another check's.
    #[test]
    fn the_limit_passes_and_a_rise_is_no_level() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 100.01).pin(m1, 400.0, 99.0);
        assert!(job.found(&RULE).is_empty());
    }
}
