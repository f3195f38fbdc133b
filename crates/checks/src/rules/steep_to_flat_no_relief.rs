//! Check 8, steep-to-flat change with no relief.

use design::{Break, LineDesign};
use plan::{Line, LineId, LineKind, StructureKind};

use super::grade_change::{self, stands_near};
use super::pipe;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 8,
    slug: "steep-to-flat-no-relief",
    title: "Steep-to-flat change with no relief",
    manual: "On a main the grade above a break is at least one and a half times that below, the pipe above carries more \
             when full than the pipe below, and the design flow is over half of what the pipe below carries. Water comes \
             faster than it leaves, pressure builds and may burst the ground. Silent where a relief well stands within 50 \
             ft (15 m). That relief is wanted at such places is in a state handbook and, from memory, in the practice \
             standard; the limits are a judgment. To decide.",
    source: "[IDH]; [CPS606, memory]; limits [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let jams = worked.breaks().filter(|b| jams(site, line, worked, b));
        jams.map(|b| finding(site, id, line, worked, &b)).collect::<Vec<_>>()
    };
    site.new_lines().filter(|(_, line, _)| line.kind == LineKind::Main).flat_map(of_line).collect()
}

fn jams(site: &Site, line: &Line, worked: &LineDesign, b: &Break) -> bool {
    let capacity = |index: usize, grade| worked.above(index).full_capacity_m3s(grade) * worked.even_factor;
    b.below > 0.0
        && b.above >= site.plan.criteria.relief_steeper * b.below
        && capacity(b.index, b.above) > capacity(b.index - 1, b.below)
        && worked.through_m3s[b.index - 1] > site.plan.criteria.relief_full * capacity(b.index - 1, b.below)
        && !stands_near(site, line, b.station_m, |kind| kind == StructureKind::ReliefWell)
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, b: &Break) -> Finding {
    let (name, units, station) = (&line.name, site.units(), site.station(b.station_m));
    let message = format!(
        "{name} goes from {} to {} at {station}: water can back up there and burst the ground.",
        units.grade(b.above),
        units.grade(b.below)
    );
    let (station_m, size_m) = (b.station_m, worked.pipe_at(b.station_m).size_m);
    let title = format!("{name} turns from steep to flat");
    Finding::new(&RULE, Severity::Decide, site.point(id, b.station_m), title, message)
        .on(id, b.station_m, b.station_m)
        .amount(format!("{} to {}", units.grade(b.above), units.grade(b.below)))
        .offers(move |site| {
            let well = grade_change::stands_at(site, id, station_m, StructureKind::ReliefWell);
            well.into_iter().chain(pipe::larger(site, id, size_m * 1.001)).collect()
        })
}

#[cfg(test)]
mod tests {
    use measure::SQUARE_M_PER_ACRE;
    use plan::Served;

    use super::*;
    use crate::job::Job;

    /// 6 in at 0.30 % carries 0.266 cfs; 8 ac at 1/2 in/day are 0.168, 63 %. With 5 ac it is 0.105, 39 %.
    #[test]
    fn steep_above_flat_and_more_than_half_full() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 100.6).pin(m1, 400.0, 102.6);
        // The flow at the break counts: as much again comes in below it.
        job.change(m1, |line| line.served = Served::Area(16.0 * SQUARE_M_PER_ACRE));
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "M1 goes from 1.00 % to 0.30 % at 2+00: water can back up there and burst the ground."
        );
        assert!(job.mended(&finding).found(&RULE).is_empty());
        job.change(m1, |line| line.served = Served::Area(8.0 * SQUARE_M_PER_ACRE));
        assert!(job.found(&RULE).is_empty());
    }
}
