//! Check 46, pipe under the smallest size.

use design::LineDesign;
use plan::{Line, LineId};

use super::pipe;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 46,
    slug: "pipe-too-small",
    title: "Pipe under the smallest size",
    manual: "A pipe under 3 in (75 mm). Smaller ones clog and cannot be cleaned. One stormwater manual asks for 3 in, \
             another for 4. To decide.",
    source: "[SW-S14: 3 in] [EVERETT: 4 in]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let least_m = site.plan.criteria.smallest_pipe_m - LEVEL_TOLERANCE_M;
    let small = site.new_lines().filter_map(|(id, line, worked)| {
        let smallest = worked.pipe.iter().min_by(|x, y| x.size_m.total_cmp(&y.size_m))?;
        (smallest.size_m < least_m).then(|| finding(site, id, line, worked, smallest.size_m))
    });
    small.collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, size_m: f64) -> Finding {
    let least_m = site.plan.criteria.smallest_pipe_m;
    let (name, size) = (&line.name, site.units().pipe(size_m));
    let message = format!("{name} is {size}; the smallest pipe is {}.", site.units().pipe(least_m));
    let length_m = worked.length_m;
    Finding::new(
        &RULE,
        Severity::Decide,
        site.point(id, length_m / 2.0),
        format!("{name} is very small pipe"),
        message,
    )
    .once_on(id, 0.0, length_m)
    .amount(size)
    .offers(move |site| pipe::larger(site, id, least_m - LEVEL_TOLERANCE_M).into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn two_inches_is_too_small_and_three_is_not() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.size(m1, 2.0);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 is 2 in; the smallest pipe is 3 in.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
