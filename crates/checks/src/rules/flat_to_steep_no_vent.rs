//! Check 9, flat-to-steep change with no vent.

use design::LineDesign;
use plan::{Line, LineId, StructureKind};

use super::grade_change::{self, stands_near};
use crate::site::GRADE_TOLERANCE;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 9,
    slug: "flat-to-steep-no-vent",
    title: "Flat-to-steep change with no vent",
    manual: "Going down, the grade steepens by more than 2 percentage points with no breather within 50 ft (15 m). The \
             steep reach runs away from the flat one and pulls vacuum. From a state handbook. A note, one for each line.",
    source: "[IDH]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let steepens = worked.breaks().filter(|b| {
        b.below - b.above > site.plan.criteria.vent_steepening + GRADE_TOLERANCE
            && b.above > 0.0
            && b.station_m > worked.outlet_pipe_m
            && !stands_near(site, line, b.station_m, |kind| kind == StructureKind::Breather)
    });
    let found: Vec<_> = steepens.collect();
    let first = found.first()?;
    let message = format!(
        "{} steepens from {} to {} at {}: it can pull a vacuum.",
        line.name,
        site.units().grade(first.above),
        site.units().grade(first.below),
        site.station(first.station_m)
    );
    let places = found.iter().map(|b| {
        let text = format!("{} to {}", site.units().grade(b.above), site.units().grade(b.below));
        site.place(id, (b.station_m, b.station_m), b.station_m, &text)
    });
    let at = site.point(id, first.station_m);
    Some(
        Finding::new(&RULE, Severity::Note, at, format!("{} steepens without a breather", line.name), message)
            .once_on(id, first.station_m, first.station_m)
            .gathers(places.collect())
            .offers(move |site| {
                let at_m: Vec<f64> = found.iter().map(|b| b.station_m).collect();
                grade_change::stand_at(site, id, &at_m, StructureKind::Breather).into_iter().collect()
            }),
    )
}

#[cfg(test)]
mod tests {
    use plan::Structure;

    use super::*;
    use crate::job::Job;

    #[test]
    fn a_steep_foot() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 106.0).pin(m1, 400.0, 107.0);
        assert_eq!(job.only(&RULE).message, "M1 steepens from 0.50 % to 3.00 % at 2+00: it can pull a vacuum.");
        let at = Structure { station_m: 61.0, kind: StructureKind::Breather };
        job.change(m1, |line| line.structures.push(at));
        assert!(job.found(&RULE).is_empty());
    }
}
