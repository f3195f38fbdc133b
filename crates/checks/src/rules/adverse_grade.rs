//! Check 1, adverse grade: pipe that rises on its way to the outlet.

use design::LineDesign;
use plan::{Line, LineId};

use super::levels::{self, Wants};
use crate::site::JOINT_TOLERANCE_M;
use crate::stretch::{Stretch, graded};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 1,
    slug: "adverse-grade",
    title: "Adverse grade",
    manual: "A stretch of pipe that rises on its way to the outlet. Water stands in the dip below it, silt settles \
             there and the line fills from that place. A stretch counts when it rises by more than 0.001 ft (0.3 mm), \
             the limit of arithmetic; neighboring stretches that rise are one finding. That pipe must never rise is \
             common to all handbooks and specifications, old and new; the limit is a judgment. To fix before digging.",
    source: "[EVERETT] [46] [OLD1867]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let rising = stretches(site, worked).into_iter();
        rising.map(|stretch| finding(site, id, line, worked, &stretch)).collect::<Vec<_>>()
    };
    site.new_lines().flat_map(of_line).collect()
}

/// The stretches of a line that rise toward the outlet.
pub(crate) fn stretches(site: &Site, worked: &LineDesign) -> Vec<Stretch> {
    let limit_m = site.plan.criteria.adverse_rise_m + 1e-9;
    let mut rising = graded(worked, |_, grade| grade < 0.0);
    rising.retain(|stretch| rise_m(worked, stretch) > limit_m);
    rising
}

fn rise_m(worked: &LineDesign, stretch: &Stretch) -> f64 {
    let level = |station_m| worked.at(station_m).and_then(|station| station.invert_m);
    level(stretch.from_m).zip(level(stretch.to_m)).map_or(0.0, |(low, high)| low - high)
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign, stretch: &Stretch) -> Finding {
    let name = &line.name;
    let rise_m = rise_m(worked, stretch);
    let (below, above) = (site.station(stretch.from_m), site.station(stretch.to_m));
    let message = format!(
        "{name} rises toward the outlet between {above} and {below} ({}). Water would stand there.",
        told(site, rise_m)
    );
    let title = format!("{name} runs uphill toward the outlet");
    let (place, by_m) = ((stretch.from_m, stretch.to_m), rise_m + worked.least_grade * stretch.length_m());
    Finding::new(&RULE, Severity::Block, site.point(id, stretch.from_m), title, message)
        .on(id, stretch.from_m, stretch.to_m)
        .amount(format!("runs uphill {}", site.short(rise_m)))
        .misses(rise_m, JOINT_TOLERANCE_M)
        .offers(move |site| levels::ways(site, id, place, Wants::Steeper(by_m)))
}

/// A rise that may be too small for two decimals.
fn told(site: &Site, rise_m: f64) -> String {
    site.units().depths(rise_m, 0.0)[0].clone()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, pins_ft, stations_ft};

    /// 100.00 at the outlet, 101.00 fixed at 1+00, 100.30 at 2+00: from 2+00 down to 1+00 the pipe rises 0.70 ft.
    #[test]
    fn a_high_place_makes_the_pipe_above_it_rise() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 100.0, 101.0).pin(m1, 200.0, 100.30).pin(m1, 400.0, 102.0);
        let finding = job.only(&RULE);
        assert_eq!(stations_ft(&finding), (100.0, 200.0));
        assert_eq!(finding.title, "M1 runs uphill toward the outlet");
        assert_eq!(finding.amount.as_deref(), Some("runs uphill 0.7 ft"));
        assert_eq!(
            finding.message,
            "M1 rises toward the outlet between 2+00 and 1+00 (0.70 ft). Water would stand there."
        );
    }

    /// Unlocking the locked level that is too high leaves 0.30 ft of fall in 200 ft: enough, so that is the fix.
    #[test]
    fn the_fix_frees_the_high_level() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 100.0, 101.0).pin(m1, 200.0, 100.30);
        let finding = job.only(&RULE);
        assert_eq!(job.remedies(&finding)[0], "Unlock the level at 1+00 of M1");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }

    /// A level below the outlet's own: nothing to unlock, so it is raised to the least grade of a 6-in pipe.
    #[test]
    fn the_fix_raises_the_low_level() {
        let mut job = Job::new();
        let m1 = job.main(400.0);
        job.pin(m1, 200.0, 99.0);
        let finding = job.only(&RULE);
        assert_eq!(job.remedies(&finding)[0], "Raise the level at 2+00 of M1 by 1.09 ft");
        let mended = job.mended(&finding);
        assert!(mended.found(&RULE).is_empty());
        assert_eq!(pins_ft(&mended, m1), [(200.0, 100.09)]);
    }

    /// A steady fall, a rise of exactly the limit, and old tile that rises: nothing.
    #[test]
    fn what_falls_or_was_there_before_is_left_alone() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.pin(m1, 200.0, 99.999);
        let old = job.line("T1", crate::job::suspected(), &[(0.0, 90.0), (100.0, 90.0)], plan::Joins::Nothing);
        job.pin(old, 0.0, 100.0).pin(old, 100.0, 99.0);
        assert!(job.found(&RULE).is_empty());
    }
}
