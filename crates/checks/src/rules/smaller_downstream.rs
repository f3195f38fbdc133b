//! Check 40, size smaller downstream.

use design::{Joint, LineDesign};
use plan::{Line, LineId};

use super::pipe;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 40,
    slug: "smaller-downstream",
    title: "Size smaller downstream",
    manual: "A line narrower than one that drains into it. What the wide pipe carries jams where it narrows, pressure \
             builds and silt drops there. Pipe never gets smaller on its way to the outlet (field handbook, from \
             memory). To fix before digging; where the narrow one is old tile, to decide. One finding for each line, \
             from the highest joint that is too wide down.",
    source: "[EFH14, memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let lines = site.new_lines().chain(site.old_lines());
    let of_line = |(id, line, worked): (LineId, &Line, &LineDesign)| {
        let joints = joined(site, id, line);
        joints.into_iter().chain(narrowing(site, id, line, worked))
    };
    lines.flat_map(of_line).collect()
}

/// The place where a line in pipe of several sizes gets smaller on its way down, the lowest where there are more.
fn narrowing(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let pair = worked.changes().into_iter().find(|pair| pair[0].size_m < pair[1].size_m - LEVEL_TOLERANCE_M)?;
    let (name, units, station_m) = (&line.name, site.units(), pair[1].from_m);
    let (narrow, wide) = (units.pipe(pair[0].size_m), units.pipe(pair[1].size_m));
    let message = format!("{name} goes from {wide} to {narrow} on its way down at {}.", site.station(station_m));
    let wide_m = pair[1].size_m;
    Some(
        Finding::new(
            &RULE,
            Severity::Block,
            site.point(id, station_m),
            format!("{name} gets smaller downstream"),
            message,
        )
        .on(id, pair[0].from_m, station_m)
        .amount(format!("{wide} into {narrow}"))
        .offers(move |site| pipe::larger(site, id, wide_m).into_iter().collect()),
    )
}

/// Joints at which a wider line comes in, new work only: each with the size that comes in and that of the line there, metres.
fn wider<'a>(site: &Site<'a>, main: LineId) -> Vec<(&'a Joint, f64, f64)> {
    let is_new_work = |joint: &Joint| !(site.is_old(main) && site.is_old(joint.branch));
    let joints = site.joints.iter().filter(|joint| joint.main == main && is_new_work(joint));
    let sized = joints.filter_map(|joint| joint.sizes_m(site.design).map(|(own_m, size_m)| (*joint, size_m, own_m)));
    sized.filter(|(_, size_m, own_m)| *size_m > own_m + LEVEL_TOLERANCE_M).collect()
}

fn joined(site: &Site, id: LineId, line: &Line) -> Option<Finding> {
    let (name, units) = (&line.name, site.units());
    let wider = wider(site, id);
    let size_m = wider.iter().map(|(_, size_m, _)| *size_m).reduce(f64::max)?;
    let (widest, _, own_m) = *wider.iter().find(|(_, size, _)| *size == size_m)?;
    let station_m = wider.iter().map(|(joint, ..)| joint.station_m).fold(0.0, f64::max);
    let size = units.pipe(size_m);
    let message = format!(
        "{name} below {} must be at least {size}: it is {} and {} brings {size}.",
        site.station(station_m),
        units.pipe(own_m),
        site.name(widest.branch)
    );
    let is_old = line.kind.is_old();
    let severity = if is_old { Severity::Decide } else { Severity::Block };
    let wide: Vec<LineId> = wider.iter().map(|(joint, ..)| joint.branch).collect();
    let title = format!("{name} is smaller than what drains into it");
    Some(
        Finding::new(&RULE, severity, site.point(id, station_m), title, message)
            .once_on(id, 0.0, station_m)
            .amount(format!("{size} into {}", units.pipe(own_m)))
            .offers(move |site| match is_old {
                true => narrowed(site, &wide, own_m).into_iter().collect(),
                false => pipe::larger(site, id, size_m).into_iter().chain(narrowed(site, &wide, own_m)).collect(),
            }),
    )
}

/// Offers that the new lines that are wider come in the largest stocked size that is not.
fn narrowed<'s>(site: &'s Site, wide: &[LineId], own_m: f64) -> Option<Offer<'s>> {
    let size_m = site.plan.cost_weights.sizes_m().rev().find(|size_m| *size_m <= own_m + LEVEL_TOLERANCE_M)?;
    let all_new = wide.iter().all(|id| !site.is_old(*id));
    all_new.then(|| pipe::sized(site, wide, size_m)).flatten().map(Offer::One)
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL, stations_ft, suspected};

    /// A 6-in lateral at 1+00 and an 8-in one at 0+50 enter a 5-in main: 8 in from 1+00 down mends both.
    #[test]
    fn wide_into_narrow() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let l1 = job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        let l2 = job.line("L2", LATERAL, &[(50.0, 0.0), (50.0, 90.0)], Joins::Line(m1));
        job.size(m1, 5.0).size(l1, 6.0).size(l2, 8.0);
        let finding = job.only(&RULE);
        assert_eq!((finding.severity, stations_ft(&finding)), (Severity::Block, (0.0, 100.0)));
        assert_eq!(finding.message, "M1 below 1+00 must be at least 8 in: it is 5 in and L2 brings 8 in.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }

    /// Into old tile it is a decision, without a fix; old into old is no work of ours; equal sizes are sound.
    #[test]
    fn old_tile() {
        let mut job = Job::new();
        let t1 = job.line("T1", suspected(), &[(0.0, 0.0), (300.0, 0.0)], Joins::Nothing);
        let t2 = job.line("T2", suspected(), &[(200.0, 0.0), (200.0, 90.0)], Joins::Line(t1));
        let l1 = job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(t1));
        job.size(t2, 8.0);
        assert!(job.found(&RULE).is_empty());
        job.size(l1, 6.0);
        let finding = job.only(&RULE);
        assert_eq!((finding.severity, finding.line), (Severity::Decide, Some(t1)));
    }
}
