//! Check 6, grade falls off downstream.

use design::{Break, LineDesign};
use plan::{Line, LineId, StructureKind};

use super::grade_change::{self, stands_near};
use super::level_reach::is_level;
use super::levels::{self, Wants};
use crate::site::GRADE_TOLERANCE;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 6,
    slug: "grade-eases-downstream",
    title: "Grade falls off downstream",
    manual: "Along one line the grade below a break is less than half of that above, at least 0.2 percentage points less, \
             and the full pipe below runs under 1.4 ft/s (0.43 m/s). What the steep reach carries along settles there. \
             Silent where a silt trap stands at the break. From an old text. To decide.",
    source: "[OLD1867]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let easing = worked.breaks().filter(|b| eases(site, line, worked, b));
        easing.map(|b| finding(site, id, line, &b)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

fn eases(site: &Site, line: &Line, worked: &LineDesign, b: &Break) -> bool {
    let slow = worked.pipe_at(b.station_m).full_velocity_ms(b.below) < site.plan.criteria.silt_velocity_ms;
    let falls_off = b.below < site.plan.criteria.easing_kept * b.above
        && b.above - b.below >= site.plan.criteria.easing_least - GRADE_TOLERANCE;
    // A level or adverse reach is another finding.
    slow && falls_off
        && b.below > 0.0
        && !is_level(site, b.below)
        && !stands_near(site, line, b.station_m, |kind| kind == StructureKind::SiltTrap)
}

fn finding(site: &Site, id: LineId, line: &Line, b: &Break) -> Finding {
    let (name, units) = (&line.name, site.units());
    let message = format!(
        "{name} flattens from {} to {} at {}; silt will drop there.",
        units.grade(b.above),
        units.grade(b.below),
        site.station(b.station_m)
    );
    let (station_m, rise_m) = (b.station_m, b.above - b.below);
    Finding::new(&RULE, Severity::Decide, site.point(id, b.station_m), format!("{name} flattens downstream"), message)
        .on(id, b.station_m, b.station_m)
        .amount(format!("{} to {}", units.grade(b.above), units.grade(b.below)))
        .offers(move |site| {
            let trap = grade_change::stands_at(site, id, station_m, StructureKind::SiltTrap);
            let freed = levels::ways(site, id, (station_m, station_m), Wants::Steeper(rise_m));
            trap.into_iter().chain(freed).collect()
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// 1.00 % above, 0.20 % below: 6 in at 0.20 % runs 1.1 ft/s. At 0.40 % it runs 1.57, and nothing settles.
    #[test]
    fn steep_above_flat() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 100.4).pin(m1, 400.0, 102.4);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 flattens from 1.00 % to 0.20 % at 2+00; silt will drop there.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.pin(m1, 200.0, 100.8).pin(m1, 400.0, 102.8);
        assert!(job.found(&RULE).is_empty());
    }
}
