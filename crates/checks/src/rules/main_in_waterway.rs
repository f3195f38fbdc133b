//! Check 123, main in the centre of an eroding waterway.

use measure::{Point, segments};
use plan::{Line, LineId, LineKind};

use super::shape;
use crate::stretch::{Stretch, join, total_m};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 123,
    slug: "main-in-waterway",
    title: "Main in the center of an eroding waterway",
    manual: "More than 50 ft of a main within 10 ft of the flow line of a swale that falls more than 2 % there: storms cut \
             the fresh trench open and bare the pipe. Keep to one side. Handbook, from memory. Silent without terrain. To \
             decide.",
    source: "[EFH14, memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let criteria = &site.plan.criteria;
    let mains = site.new_lines().filter(|(_, line, _)| matches!(line.kind, LineKind::Main | LineKind::Submain));
    let parts = mains.map(|(id, line, _)| (id, in_flow_line(site, id, line)));
    let mut found = Vec::new();
    for (id, mut of_line) in parts {
        of_line.sort_by(|x: &Stretch, y| x.from_m.total_cmp(&y.from_m));
        let steep: Vec<_> = join(of_line, 0.01)
            .into_iter()
            .filter(|part| ground_grade(site, id, part).is_some_and(|grade| grade > criteria.waterway_grade))
            .collect();
        let Some(first) = steep.first().filter(|_| total_m(&steep) > criteria.waterway_length_m) else { continue };
        let name = site.name(id);
        let message = format!("{} of {name} lie where the channel erodes.", site.length(total_m(&steep)));
        let at: Point = site.point(id, first.worst_m);
        let title = format!("{name} lies in the waterway");
        found.push(
            Finding::new(&RULE, Severity::Decide, at, title, message)
                .once_on(id, first.from_m, first.to_m)
                .offers(move |site| shape::to_a_side(site, id, site.plan.criteria.waterway_near_m)),
        );
    }
    found
}

/// Parts of a line within reach of a flow line.
fn in_flow_line(site: &Site, id: LineId, line: &Line) -> Vec<Stretch> {
    let reach_m = site.plan.criteria.waterway_near_m;
    let mut parts = Vec::new();
    for own in segments(id.0, &line.points) {
        for low in site.swale_pieces().around(&own, reach_m) {
            parts.extend(own.reaches(low, reach_m).map(|(from_m, to_m)| {
                let (from_m, to_m) = (own.start_m + from_m, own.start_m + to_m);
                Stretch { from_m, to_m, worst_m: (from_m + to_m) / 2.0, worst: 0.0 }
            }));
        }
    }
    parts
}

/// Fall of the ground along a part of a line, as a ratio.
fn ground_grade(site: &Site, id: plan::LineId, part: &Stretch) -> Option<f64> {
    let (_, worked) = site.line(id)?;
    let level = |station_m: f64| worked.at(station_m)?.ground_m;
    (part.length_m() > 1.0).then_some((level(part.to_m)? - level(part.from_m)?).abs() / part.length_m())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// A swale 5 ft beside the main; the ground falls 3 %, then 1 %.
    #[test]
    fn beside_the_flow_line() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 5.0), (200.0, 5.0)]);
        job.ground(|x, _| 104.0 + 0.01 * x);
        assert!(job.found(&RULE).is_empty());
        job.ground(|x, _| 104.0 + 0.03 * x);
        assert!(job.only(&RULE).message.contains("of M1 lie where the channel erodes"));
    }
}
