//! Check 18, trench deeper than the machine digs.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use super::thin_cover::station_below;
use super::trench::deeper;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 18,
    slug: "beyond-machine",
    title: "Trench deeper than the machine",
    manual: "Trench (ground to below wall and bedding) deeper than the machine of the job reaches; 7 ft (2.1 m) unless \
             entered otherwise. The figure is a judgment, the machine's own counts. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let reach_m = site.plan.criteria.machine_reach_m;
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let deep = deeper(site, worked, reach_m).into_iter().filter(|part| part.worst > reach_m + LEVEL_TOLERANCE_M);
        deep.map(|stretch| finding(site, id, line, worked, &stretch)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, stretch: &Stretch) -> Finding {
    let reach_m = site.plan.criteria.machine_reach_m;
    let [depth, reach] = site.units().depths(stretch.worst, reach_m);
    let message = format!(
        "The trench of {} is {depth} deep at {}: beyond the machine, which reaches {reach}.",
        line.name,
        site.station(stretch.worst_m)
    );
    let title = format!("{} is deeper than the machine digs", line.name);
    let (place, worst_m) = ((stretch.from_m, stretch.to_m), stretch.worst);
    Finding::new(&RULE, Severity::Block, site.point(id, stretch.worst_m), title, message)
        .on(id, stretch.from_m, stretch.to_m)
        .keyed_at(station_below(worked, stretch.from_m))
        .amount(format!("trench {}", site.short(stretch.worst)))
        .misses(stretch.worst, reach_m)
        .offers(move |site| {
            let mut offers = levels::ways(site, id, place, Wants::Higher(worst_m - reach_m));
            offers.push(bigger_machine(site, worst_m));
            offers
        })
}

/// Offers a machine that reaches as deep.
fn bigger_machine<'s>(site: &'s Site, depth_m: f64) -> Offer<'s> {
    let reach = site.units().said_up(depth_m);
    let criteria = plan::Criteria { machine_reach_m: reach.value, ..site.plan.criteria.clone() };
    let label = format!("Hire a machine that digs to {}", reach.text);
    Offer::One(plan::Edit { label, ..plan::set_criteria(criteria) })
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
