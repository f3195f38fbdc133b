//! Check 121, crossing under a ditch or waterway.

use plan::{Joins, Line, LineId, WatercourseKind};

use super::levels::{self, Wants};
use super::marks::{Hit, crossings, perforated};
use super::pipe::{self, Solid};
use crate::offer::Offer;
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
    let around = Stretch { from_m, to_m, worst_m: hit.station_m, worst: 0.0 };
    let open = perforated(line, worked, vec![around]);
    let cover_m = worked.at(hit.station_m).and_then(|station| worked.cover_m(&station));
    let thin_m = cover_m.filter(|cover_m| *cover_m < criteria.under_ditch_cover_m - LEVEL_TOLERANCE_M);
    let open: Vec<Stretch> = open.into_iter().take(1).map(|_| around).collect();
    if thin_m.is_none() && open.is_empty() {
        return None;
    }
    let (id, name, at) = (hit.id, &line.name, site.station(hit.station_m));
    let mut wants = Vec::new();
    if let Some(cover_m) = thin_m {
        let [cover, wanted] = units.depths(cover_m, criteria.under_ditch_cover_m);
        let cover = if cover_m > 0.0 { format!("{cover} of cover") } else { site.cover(cover_m) };
        wants.push(format!("{cover} where {wanted} are wanted"));
    }
    if !open.is_empty() {
        wants.push(format!("pipe that is not solid {}", site.stretch(from_m, to_m)));
    }
    let message = format!("{name} passes under {ditch} at {at} with {}.", wants.join(", and with "));
    let (place, by_m) = (hit.station_m, thin_m.map(|cover_m| criteria.under_ditch_cover_m - cover_m));
    let finding = Finding::new(&RULE, Severity::Block, hit.at, format!("{name} passes under a ditch"), message)
        .on(id, place, place)
        .keyed(ditch)
        .offers(move |site| offers(site, id, place, &open, by_m));
    Some(match thin_m {
        Some(cover_m) => finding.misses(cover_m, criteria.under_ditch_cover_m),
        None => finding,
    })
}

/// Solid pipe and a lower level, whichever is lacking, in one change.
fn offers<'s>(site: &'s Site, id: LineId, at_m: f64, open: &[Stretch], by_m: Option<f64>) -> Vec<Offer<'s>> {
    let Some(line) = site.plan.lines.get(&id) else { return Vec::new() };
    let (place, laid) = pipe::laid(site, line, open, Solid::default(), 0.0);
    let Some(by_m) = by_m else {
        return vec![Offer::One(plan::set_line(format!("Lay solid pipe {place}"), id, laid))];
    };
    let lowered = levels::ways(site, id, (at_m, at_m), Wants::Lower(by_m));
    if open.is_empty() {
        return lowered;
    }
    let both = |offer: Offer<'s>| {
        let laid = laid.stretches.clone();
        offer.and(format!("lay solid pipe {place}"), site, id, move |line| line.stretches.clone_from(&laid))
    };
    lowered.into_iter().map(both).collect()
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

    /// 2.46 ft of cover under the bed at 1+50: lower and in solid pipe, in one change.
    #[test]
    fn under_the_bed() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 300.0, 101.5).ground(|x, _| 103.0 + 0.005 * x);
        ditch(&mut job, 150.0);
        let finding = job.only(&RULE);
        assert_eq!(
            finding.message,
            "M1 passes under D1 at 1+50 with 2.46 ft of cover where 2.50 ft are wanted, and with pipe that is not \
             solid from 1+30 to 1+70."
        );
        // By hand: at 1+50 the pipe falls by half of what its end at 3+00 falls, and 0.04 ft are wanted there.
        let lowered = "Lower the level at 3+00 of M1 by 0.08 ft and lay solid pipe from 1+30 to 1+70 of M1";
        assert!(job.remedies(&finding).contains(&lowered.to_string()), "{:?}", job.remedies(&finding));
        let mut lower = job.mended(&finding);
        assert!(lower.found(&RULE).is_empty());
        lower.change(m1, |line| line.stretches.clear());
        let pipe = lower.only(&RULE);
        assert_eq!(lower.remedies(&pipe), ["Lay solid pipe from 1+30 to 1+70 of M1"]);
    }

    #[test]
    fn a_line_that_ends_in_the_ditch() {
        let mut job = Job::new();
        job.main(300.0);
        ditch(&mut job, 2.0);
        assert!(job.found(&RULE).is_empty());
    }
}
