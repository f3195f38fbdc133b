//! Check 121, crossing under a ditch or waterway.

use plan::{Joins, Line, WatercourseKind};

use super::marks::{Hit, crossings, perforated};
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 121,
    slug: "under-ditch",
    title: "Crossing under a ditch or waterway",
    manual: "A new line crosses under a drawn ditch with less than 2.5 ft (0.75 m) between the bed and the pipe, or is not \
             solid from 20 ft before to 20 ft after. Ditches are cleaned deeper, and their water finds any opening. The bed \
             is taken where the ground surface shows it. A line that ends in the ditch does not cross it. From memory. To \
             fix before digging.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let ditches = site.plan.watercourses.values().filter(|ditch| ditch.kind == WatercourseKind::Ditch);
    let of_ditch = |ditch: &plan::Watercourse| {
        let hits = crossings(site, &ditch.points).into_iter().filter(|hit| !ends_there(site, hit));
        hits.filter_map(|hit| finding(site, &ditch.name, hit)).collect::<Vec<_>>()
    };
    ditches.flat_map(of_ditch).collect()
}

fn ends_there(site: &Site, hit: &Hit) -> bool {
    site.line(hit.id).is_some_and(|(line, worked)| {
        matches!(line.joins, Joins::Outlet(_)) && hit.station_m <= worked.outlet_pipe_m.max(1.0)
    })
}

fn finding(site: &Site, ditch: &str, hit: Hit) -> Option<Finding> {
    let (line, worked) = site.line(hit.id)?;
    let (criteria, units) = (&site.plan.criteria, site.units());
    let (from_m, to_m) = around(line, hit.station_m, criteria.under_ditch_beyond_m);
    let open = perforated(line, worked, vec![Stretch { from_m, to_m, worst_m: hit.station_m, worst: 0.0 }]);
    let cover_m = worked.at(hit.station_m).and_then(|station| station.cover_m(worked.size_m));
    let thin_m = cover_m.filter(|cover_m| *cover_m < criteria.under_ditch_cover_m - LEVEL_TOLERANCE_M);
    let length = units.length(to_m - from_m);
    let lower = thin_m.map(|cover_m| units.depth(criteria.under_ditch_cover_m - cover_m));
    let remedy = match (lower, open.is_empty()) {
        (None, true) => return None,
        (None, false) => format!("Use solid pipe for {length}."),
        (Some(by), true) => format!("Lower it by {by}."),
        (Some(by), false) => format!("Lower it by {by} and use solid pipe for {length}."),
    };
    let has = cover_m.map_or(String::new(), |cover_m| format!(" with {} of cover", units.depth(cover_m)));
    let message = format!("{} passes under {ditch} at {}{has}. {remedy}", line.name, site.station(hit.station_m));
    let pipe = plan::Stretch { from_m, to_m, solid: true, heavy: false, must_be_solid: false, plugged: false };
    let fix = (!open.is_empty()).then(|| plan::lay_stretch(site.plan, hit.id, pipe)).flatten();
    let finding =
        Finding::new(&RULE, Severity::Block, hit.at, format!("{} passes under a ditch", line.name), message)
            .on(hit.id, hit.station_m, hit.station_m)
            .fix(fix);
    Some(match thin_m {
        Some(cover_m) => finding.misses(cover_m, criteria.under_ditch_cover_m),
        None => finding,
    })
}

fn around(line: &Line, station_m: f64, beyond_m: f64) -> (f64, f64) {
    ((station_m - beyond_m).max(0.0), (station_m + beyond_m).min(line.length_m()))
}

#[cfg(test)]
mod tests {
    use plan::Watercourse;

    use super::*;
    use crate::job::{Job, ft};

    fn ditch(job: &mut Job, x: f64) {
        let points = vec![ft(x, -50.0), ft(x, 50.0)];
        let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points };
        let (_, edit) = plan::add_watercourse(&job.plan, ditch);
        job.plan.apply(&edit).unwrap();
    }

    /// 2.46 ft of cover under the bed at 1+50; solid pipe mends one half, half a foot more soil the other.
    #[test]
    fn under_the_bed() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        ditch(&mut job, 150.0);
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "M1 passes under D1 at 1+50 with 2.46 ft of cover. Lower it by 0.04 ft and use solid pipe for 40 ft."
        );
        let mut solid = job.mended(&finding);
        assert!(solid.only(&RULE).message.ends_with("Lower it by 0.04 ft."));
        solid.ground(|x, _| 103.5 + 0.005 * x);
        assert!(solid.found(&RULE).is_empty());
    }

    #[test]
    fn a_line_that_ends_in_the_ditch() {
        let mut job = Job::new();
        job.main(300.0);
        ditch(&mut job, 2.0);
        assert!(job.found(&RULE).is_empty());
    }
}
