//! Check 3, grade under the minimum for clean soil.

use design::{LineDesign, Pipe};
use plan::{Line, LineId};

use super::level_reach::is_level;
use super::levels::{self, Wants};
use super::pipe;
use crate::site::GRADE_TOLERANCE;
use crate::stretch::{Stretch, graded};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 3,
    slug: "below-clean-grade",
    title: "Grade under the minimum for clean soil",
    manual: "A stretch flatter than the grade at which the full pipe runs 0.5 ft/s (0.15 m/s). Slower water leaves \
             its silt in the pipe even in soil without fine sand. With Manning's n of 0.015 that is 0.10 % for 3 in, \
             0.07 for 4 in, 0.05 for 5 in, 0.04 for 6 in, 0.03 for 8 in, which reproduces the tables of the extension \
             bulletins. To decide.",
    source: "[SW-S14] [EXT-tab]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let flat = |i: usize, grade: f64| {
            !is_level(site, grade) && grade < least_grade(site, worked.above(i)) - GRADE_TOLERANCE
        };
        let flat = graded(worked, flat).into_iter();
        flat.map(|stretch| finding(site, id, line, worked, &stretch)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

/// The flattest grade at which a pipe keeps itself clean, as a ratio.
fn least_grade(site: &Site, pipe: &Pipe) -> f64 {
    pipe.grade_for_velocity(site.plan.criteria.clean_velocity_ms)
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, stretch: &Stretch) -> Finding {
    let (name, units) = (&line.name, site.units());
    let middle_m = (stretch.from_m + stretch.to_m) / 2.0;
    let pipe = worked.pipe_at(middle_m);
    let least_grade = least_grade(site, pipe);
    let [grade, least] = units.grades(stretch.worst, least_grade);
    let message = format!(
        "{name} {}: {grade} is flatter than {least} for {} pipe.",
        site.stretch(stretch.from_m, stretch.to_m),
        units.pipe(pipe.size_m)
    );
    let (size_m, part) = (pipe.size_m, *stretch);
    let by_m = (least_grade - stretch.worst) * stretch.length_m();
    let title = format!("{name} is too flat to keep itself clean");
    Finding::new(&RULE, Severity::Decide, site.point(id, middle_m), title, message)
        .on(id, stretch.from_m, stretch.to_m)
        .amount(format!("only {}", units.grade(stretch.worst)))
        .misses(stretch.worst, least_grade)
        .offers(move |site| {
            let mut offers = levels::ways(site, id, (part.from_m, part.to_m), Wants::Steeper(by_m));
            offers.extend(pipe::smooth(site, id));
            offers.extend(pipe::larger(site, id, size_m * 1.001));
            offers
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// 0.06 ft in 200 ft is 0.030 %; a 6-in pipe wants 0.041 %.
    #[test]
    fn flatter_than_the_table() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 100.06).pin(m1, 400.0, 101.0);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (0.0, 200.0));
        assert_eq!(finding.message, "M1 from 0+00 to 2+00: 0.030 % is flatter than 0.041 % for 6 in pipe.");
    }

    /// 0.038 % is within the tolerance of 0.005 points; the least grade of the grade lines passes.
    #[test]
    fn within_the_tolerance() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 100.076);
        assert!(job.found(&RULE).is_empty());
    }
}
