//! Check 18, trench deeper than the machine digs.

use design::LineDesign;
use plan::{Line, LineId};

use super::trench::deeper;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 18,
    slug: "beyond-machine",
    title: "Trench deeper than the machine",
    manual: "Trench (ground to below wall and bedding) deeper than the machine of the job reaches; 7 ft (2.1 m) unless \
             entered otherwise. The figure is a judgement, the machine's own counts. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let reach_m = site.plan.criteria.machine_reach_m;
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let deep = deeper(site, worked, reach_m).into_iter().filter(|part| part.worst > reach_m + LEVEL_TOLERANCE_M);
        deep.map(|stretch| finding(site, id, line, &stretch)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, stretch: &Stretch) -> Finding {
    let units = site.units();
    let message = format!(
        "The trench of {} is {} deep at {}: beyond the machine, which reaches {}. Move the line, add a branch, or hire \
         a bigger one.",
        line.name,
        units.depth(stretch.worst),
        site.station(stretch.worst_m),
        units.depth(site.plan.criteria.machine_reach_m)
    );
    let title = format!("{} is deeper than the machine digs", line.name);
    Finding::new(&RULE, Severity::Block, site.point(id, stretch.worst_m), title, message)
        .on(id, stretch.from_m, stretch.to_m)
        .amount(format!("trench {}", site.short(stretch.worst)))
        .misses(stretch.worst, site.plan.criteria.machine_reach_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, stations_ft};

    /// Ground rises to 8 ft over the pipe at 2+00 and falls again, 5 ft in 100 ft; the trench of 6-in pipe is 0.045 ft
    /// deeper. 7 ft is passed (8.045 − 7) ÷ 0.05 = 20.9 ft to both sides.
    #[test]
    fn a_knoll() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 104.0).ground(|x, _| 108.0 + 0.01 * x - (x - 200.0).abs() * 0.05);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (179.1, 220.9));
        assert!(finding.message.starts_with("The trench of M1 is 8.05 ft deep at 2+00: beyond the machine"));
    }

    #[test]
    fn as_deep_as_the_machine_reaches() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 400.0, 104.0).ground(|x, _| 106.955 + 0.01 * x);
        assert!(job.found(&RULE).is_empty());
    }
}
