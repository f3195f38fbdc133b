//! Check 63, outside the boundary.

use measure::{Point, Segment, along, distance, segments};
use plan::{Joins, Line, LineId};

use super::shape;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::{Stretch, join};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 63,
    slug: "over-boundary",
    title: "Outside the boundary",
    manual: "More than 1 ft (0.3 m) of new pipe outside the field or in a part left out of it. It lies on someone \
             else's land, or in the pond. The last 30 ft (9 m) to an outlet whose consent is entered are allowed. The \
             figures are judgments. Silent while no boundary is drawn. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.new_lines().flat_map(|(id, line, _)| of_line(site, id, line)).collect()
}

fn of_line(site: &Site, id: LineId, line: &Line) -> Vec<Finding> {
    let allowed_m = allowed_m(site, id);
    let beyond = outside(site, line).into_iter().map(|part| Stretch { from_m: part.from_m.max(allowed_m), ..part });
    let too_long = beyond.filter(|part| part.length_m() > site.plan.criteria.outside_m + LEVEL_TOLERANCE_M);
    too_long.map(|part| finding(site, id, line, &part)).collect()
}

/// Length at the downstream end of a line that may lie outside, for it leads to an outlet with consent, metres.
fn allowed_m(site: &Site, id: LineId) -> f64 {
    let mut way_m = 0.0;
    let mut at = id;
    for _ in 0..site.plan.lines.len() {
        match site.plan.lines.get(&at).map(|line| line.joins) {
            Some(Joins::Outlet(outlet)) => {
                let consent = site.plan.outlets.get(&outlet).is_some_and(|outlet| outlet.consent);
                return if consent { (site.plan.criteria.outlet_reach_m - way_m).max(0.0) } else { 0.0 };
            }
            Some(Joins::Line(next)) => {
                way_m += site.joint_of(at).map_or(f64::INFINITY, |joint| joint.station_m);
                at = next;
            }
            _ => return 0.0,
        }
    }
    0.0
}

/// The stretches of a line outside the field.
fn outside(site: &Site, line: &Line) -> Vec<Stretch> {
    join(segments(0, &line.points).iter().flat_map(|piece| outside_parts(site, piece)), LEVEL_TOLERANCE_M)
}

/// The parts of a piece outside: it is cut at every side, and each cut lies wholly in or out.
fn outside_parts(site: &Site, piece: &Segment) -> Vec<Stretch> {
    let mut cuts = vec![0.0, 1.0];
    cuts.extend(site.sides().around(piece, 0.0).into_iter().filter_map(|side| cut(piece, side)));
    cuts.sort_by(f64::total_cmp);
    let parts = cuts.windows(2).filter(|cut| is_outside(site, along(piece.a, piece.b, (cut[0] + cut[1]) / 2.0)));
    let station_m = |share: f64| piece.start_m + share * piece.length_m();
    let stretch = |cut: &[f64]| {
        let (from_m, to_m) = (station_m(cut[0]), station_m(cut[1]));
        Stretch { from_m, to_m, worst_m: (from_m + to_m) / 2.0, worst: 0.0 }
    };
    parts.map(stretch).filter(|part| part.length_m() > 0.0).collect()
}

/// A place on the boundary itself is not outside.
fn is_outside(site: &Site, at: Point) -> bool {
    let on_side = || site.sides().nearest(at).is_some_and(|s| distance(s.nearest(at).1, at) <= LEVEL_TOLERANCE_M);
    !site.in_field(at) && !on_side()
}

/// Where a side cuts a piece, as a share of the piece; `None` where it does not, or runs along it.
fn cut(piece: &Segment, side: &Segment) -> Option<f64> {
    let own = (piece.b.x - piece.a.x, piece.b.y - piece.a.y);
    let way = (side.b.x - side.a.x, side.b.y - side.a.y);
    let across = own.0 * way.1 - own.1 * way.0;
    let from = (side.a.x - piece.a.x, side.a.y - piece.a.y);
    let own_share = (from.0 * way.1 - from.1 * way.0) / across;
    let side_share = (from.0 * own.1 - from.1 * own.0) / across;
    let is_on = |share: f64| (-1e-9..=1.0 + 1e-9).contains(&share);
    (across != 0.0 && is_on(own_share) && is_on(side_share)).then(|| own_share.clamp(0.0, 1.0))
}

fn finding(site: &Site, id: LineId, line: &Line, part: &Stretch) -> Finding {
    let (name, length) = (&line.name, site.length(part.length_m()));
    let outlet = match line.joins {
        Joins::Outlet(outlet) if part.from_m < LEVEL_TOLERANCE_M => site.plan.outlets.get(&outlet),
        _ => None,
    };
    let advice = match outlet.filter(|outlet| !outlet.consent) {
        Some(outlet) => format!("Get the owner's consent, and enter it at {}.", outlet.name),
        None => "Get an easement in writing, and accept this by name once you have it.".into(),
    };
    let message = format!("{length} of {name} {} lie outside the boundary.", site.stretch(part.from_m, part.to_m));
    let from_m = (part.to_m >= line.length_m() - LEVEL_TOLERANCE_M).then_some(part.from_m);
    Finding::new(&RULE, Severity::Block, site.point(id, part.worst_m), format!("{name} leaves the field"), message)
        .on(id, part.from_m, part.to_m)
        .amount(format!("{length} outside"))
        .offers(move |site| from_m.and_then(|from_m| shape::trimmed_to(site, id, from_m)).into_iter().collect())
        .advises(advice)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, ft, stations_ft};

    /// A field from x = 0 to 300 ft; the main leaves it 10 ft below and ends 50 ft beyond.
    fn job() -> Job {
        let mut job = Job::new();
        job.field(&[(0.0, -100.0), (300.0, -100.0), (300.0, 100.0), (0.0, 100.0)]);
        let outlet = job.outlet("O1", (-10.0, 0.0), 100.0);
        job.line("M1", crate::job::MAIN, &[(-10.0, 0.0), (350.0, 0.0)], outlet);
        job
    }

    #[test]
    fn both_ends_outside() {
        let found = job().found(&RULE);
        assert_eq!(found.iter().map(stations_ft).collect::<Vec<_>>(), [(0.0, 10.0), (310.0, 360.0)]);
        assert_eq!(found[0].message, "10 ft of M1 from 0+00 to 0+10 lie outside the boundary.");
        assert!(found[1].advice.starts_with("Get an easement in writing"));
    }

    /// With consent the way to the outlet is allowed, and a line along the fence is inside.
    #[test]
    fn with_consent_and_along_the_fence() {
        let mut job = job();
        let m1 = job.plan.line_named("M1").unwrap();
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.consent = true);
        job.change(m1, |line| line.points[1] = ft(300.5, 0.0));
        job.line("L1", crate::job::LATERAL, &[(0.0, 100.0), (300.0, 100.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
    }

    /// Two holes of 40 ft that overlap for 20: the land in both is left out too.
    #[test]
    fn through_two_parts_left_out() {
        let mut job = job();
        for west in [100.0, 120.0] {
            let hole = vec![ft(west, -20.0), ft(west + 40.0, -20.0), ft(west + 40.0, 20.0), ft(west, 20.0)];
            job.plan.field.as_mut().unwrap().holes.push(hole);
        }
        let stations: Vec<(f64, f64)> = job.found(&RULE).iter().map(stations_ft).collect();
        assert_eq!(stations, [(0.0, 10.0), (110.0, 170.0), (310.0, 360.0)]);
    }

    /// A hole of 40 ft in the way.
    #[test]
    fn through_a_part_left_out() {
        let mut job = job();
        let hole = vec![ft(100.0, -20.0), ft(140.0, -20.0), ft(140.0, 20.0), ft(100.0, 20.0)];
        job.plan.field.as_mut().unwrap().holes.push(hole);
        let stations: Vec<(f64, f64)> = job.found(&RULE).iter().map(stations_ft).collect();
        assert_eq!(stations, [(0.0, 10.0), (110.0, 150.0), (310.0, 360.0)]);
    }
}
