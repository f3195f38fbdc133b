//! Check 22, pipe too deep for its wall.

use design::LineDesign;
use measure::{FOOT_M, INCH_M};
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::marks::without_pipe;
use super::pipe::{self, Solid};
use super::trench::deeper;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 22,
    slug: "too-deep-for-wall",
    title: "Pipe too deep for its wall",
    manual: "Trench deeper than a guide table allows for the wall of the pipe and the width of the trench: in a trench of \
             24 in 5.5 ft for ordinary corrugated pipe and 6.5 ft for heavy. The wider the trench, the more soil rests on \
             the pipe. The table is from memory and of low confidence: ask the maker, and enter his figure, which then \
             holds instead. To decide.",
    source: "[EFH14 / ASTM F449 annex, memory: low confidence]",
    find,
};

/// Greatest trench depth, metres, by size, wall and width: loose fine backfill, rounded to the safe side ([EFH14 /
/// ASTM F449, memory]: low confidence). `None` where any depth passes.
pub(crate) fn guide_m(size_m: f64, heavy: bool, width_m: f64) -> Option<f64> {
    let column = [12.0, 16.0, 24.0].iter().position(|inches| width_m <= inches * INCH_M + 1e-6).unwrap_or(3);
    let inches = size_m / INCH_M;
    let row: [Option<f64>; 4] = match (inches < 4.6, inches < 8.6, heavy) {
        (_, true, true) => [None, Some(9.5), Some(6.5), Some(6.2)],
        (true, _, false) => [Some(12.8), Some(6.9), Some(5.5), Some(5.2)],
        (_, true, false) => [Some(10.2), Some(6.9), Some(5.5), Some(5.2)],
        // The table has no figure for large pipe in the narrowest trench: that of the next wider one is safe.
        (_, false, _) => [Some(8.9), Some(8.9), Some(6.5), Some(6.2)],
    };
    row[column].map(|feet| feet * FOOT_M)
}

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let width_m = site.plan.criteria.trench_width_m;
    let limit = |heavy| line.bed.maker_depth_m.or(guide_m(worked.sizes_m().1, heavy, width_m));
    let over = |heavy: bool, parts: &dyn Fn(Vec<Stretch>) -> Vec<Stretch>| {
        let limit_m = limit(heavy)?;
        let deep = parts(deeper(site, worked, limit_m + LEVEL_TOLERANCE_M));
        deep.into_iter().max_by(|x, y| x.worst.total_cmp(&y.worst)).map(|part| (part, limit_m))
    };
    let ordinary = over(false, &|parts| without_pipe(line, parts, |pipe| pipe.heavy));
    let (part, limit_m) = ordinary.or_else(|| over(true, &|parts| parts))?;
    let (units, name) = (site.units(), &line.name);
    let whose = if line.bed.maker_depth_m.is_some() { "maker's" } else { "guide's" };
    let [depth, allowed] = units.depths(part.worst, limit_m);
    let message = format!(
        "The trench of {name} is {depth} deep at {}, more than the {whose} {allowed} in a trench {} wide.",
        site.station(part.worst_m),
        units.pipe(width_m)
    );
    Some(
        Finding::new(
            &RULE,
            Severity::Decide,
            site.point(id, part.worst_m),
            format!("{name} lies deep for its wall"),
            message,
        )
        .once_on(id, part.from_m, part.to_m)
        .misses(part.worst, limit_m)
        .offers(move |site| offers(site, id, part))
        .advises("Ask the maker, and enter his figure if it is greater."),
    )
}

/// Heavy pipe where the trench is too deep for ordinary, a narrower trench, a line that lies less deep.
fn offers<'s>(site: &'s Site, id: LineId, part: Stretch) -> Vec<Offer<'s>> {
    let Some((line, worked)) = site.line(id) else { return Vec::new() };
    let criteria = &site.plan.criteria;
    let limit_m = guide_m(worked.sizes_m().1, false, criteria.trench_width_m).unwrap_or(f64::INFINITY);
    let deep = without_pipe(line, deeper(site, worked, limit_m + LEVEL_TOLERANCE_M), |pipe| pipe.heavy);
    let heavy = pipe::solid_beyond(site, id, deep, Solid { heavy: true, plugged: false });
    let narrower = [16.0, 12.0].into_iter().map(|inches| inches * INCH_M).filter(|m| *m < criteria.trench_width_m);
    let trench = |width_m: f64| {
        let said = site.units().said_inches_down(width_m);
        let label = format!("Dig a trench no wider than {}", said.text);
        let edit = plan::set_criteria(plan::Criteria { trench_width_m: said.value, ..criteria.clone() });
        plan::Edit { label, ..edit }
    };
    let narrower = Offer::First(narrower.map(trench).collect());
    let by_m = part.worst - line.bed.maker_depth_m.unwrap_or(limit_m);
    let raised = levels::ways(site, id, (part.from_m, part.to_m), Wants::Higher(by_m));
    heavy.into_iter().chain([narrower]).chain(raised).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// 6 in ordinary in 24 in of trench: 5.5 ft. A trench of 6.0 ft is too deep until the maker allows 7.
    #[test]
    fn six_feet_of_trench() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 101.0).ground(|x, _| 105.0 + 0.005 * x);
        assert!(job.found(&RULE).is_empty());
        job.ground(|x, _| 105.955 + 0.005 * x);
        assert!(job.only(&RULE).message.contains("is 6.00 ft deep at"), "{}", job.only(&RULE).message);
        job.change(m1, |line| line.bed.maker_depth_m = Some(7.0 * FOOT_M));
        assert!(job.found(&RULE).is_empty());
    }

    /// The table itself: 4 in heavy in 12 in passes at any depth; 10 in has the figures of its own row.
    #[test]
    fn the_table_by_size_wall_and_width() {
        let feet = |inches: f64, heavy, width: f64| {
            guide_m(inches * INCH_M, heavy, width * INCH_M).map(|m| (m / FOOT_M * 10.0).round() / 10.0)
        };
        assert_eq!(feet(4.0, true, 12.0), None);
        assert_eq!((feet(3.0, false, 12.0), feet(5.0, false, 12.0)), (Some(12.8), Some(10.2)));
        assert_eq!((feet(6.0, false, 20.0), feet(6.0, false, 40.0)), (Some(5.5), Some(5.2)));
        assert_eq!((feet(10.0, false, 16.0), feet(15.0, false, 36.0)), (Some(8.9), Some(6.2)));
    }
}
