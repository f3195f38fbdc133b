//! Check 10, long main without vent.

use plan::{Line, LineKind, StructureKind};

use super::grade_change;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// Places of the vents that a way between two lacks, evenly along it, metres.
fn wanted(site: &Site, from_m: f64, to_m: f64) -> Vec<f64> {
    let every_m = site.plan.criteria.vent_every_m.max(1.0);
    let count = ((to_m - from_m - LEVEL_TOLERANCE_M) / every_m).ceil().clamp(1.0, 1_000.0);
    (1..count as usize).map(|i| from_m + (to_m - from_m) * i as f64 / count).collect()
}

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 10,
    slug: "long-main-no-vent",
    title: "Long main without vent",
    manual: "More than a quarter mile (1,320 ft, 402 m) of a main between breathers, relief wells or its ends. A vent lets \
             air in and out and shows where the main is. From the field handbook, from memory. A note, one for each line.",
    source: "[EFH14, memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mains = site.new_lines().filter(|(_, line, _)| matches!(line.kind, LineKind::Main | LineKind::Submain));
    mains.filter_map(|(id, line, worked)| finding(site, id, line, worked.length_m)).collect()
}

fn finding(site: &Site, id: plan::LineId, line: &Line, length_m: f64) -> Option<Finding> {
    let is_vent = |kind: StructureKind| matches!(kind, StructureKind::Breather | StructureKind::ReliefWell);
    let vents = line.structures.iter().filter(|s| is_vent(s.kind)).map(|s| s.station_m);
    let mut ends: Vec<f64> = [0.0, length_m].into_iter().chain(vents).collect();
    ends.sort_by(f64::total_cmp);
    let longest = ends.windows(2).map(|pair| (pair[0], pair[1])).max_by(|x, y| (x.1 - x.0).total_cmp(&(y.1 - y.0)));
    let (from_m, to_m) =
        longest.filter(|(from, to)| to - from > site.plan.criteria.vent_every_m + LEVEL_TOLERANCE_M)?;
    let [length, limit] = site.units().lengths(to_m - from_m, site.plan.criteria.vent_every_m);
    let message = format!("{length} of {} has no vent; one every {limit} is wanted.", line.name);
    let at = site.point(id, (from_m + to_m) / 2.0);
    Some(
        Finding::new(&RULE, Severity::Note, at, format!("{} is long without a vent", line.name), message)
            .once_on(id, from_m, to_m)
            .offers(move |site| {
                let at_m: Vec<f64> = ends.windows(2).flat_map(|pair| wanted(site, pair[0], pair[1])).collect();
                grade_change::stand_at(site, id, &at_m, StructureKind::Breather).into_iter().collect()
            }),
    )
}

#[cfg(test)]
mod tests {
    use plan::Structure;

    use measure::FOOT_M;

    use super::*;
    use crate::job::Job;

    #[test]
    fn more_than_a_quarter_mile() {
        let mut job = Job::new();
        let m1 = job.main(1500.0);
        assert_eq!(job.only(&RULE).message, "1500 ft of M1 has no vent; one every 1320 ft is wanted.");
        let at = Structure { station_m: 700.0 * FOOT_M, kind: StructureKind::Breather };
        job.change(m1, |line| line.structures.push(at));
        assert!(job.found(&RULE).is_empty());
    }
}
