//! Check 57, gap in a line: an end that stops just short.

use measure::{Point, distance};
use plan::{Joins, Line, LineId};

use super::shape;
use crate::offer::Offer;
use crate::site::TOUCH_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 57,
    slug: "line-gap",
    title: "Gap in a line",
    manual: "The end of a new line within 3 ft (0.9 m) of another line (or, downstream, of an outlet) that it does not \
             join. Most often it was meant to join and was drawn a little short. A line that is joined by word but \
             drawn off its main counts too. The figure is a judgment. A downstream end is to fix before digging, an \
             upper end a note.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let ends = |(id, line): (LineId, &Line)| [lower(site, id, line), upper(site, id, line)];
    site.new_lines().flat_map(|(id, line, _)| ends((id, line))).flatten().collect()
}

fn lower(site: &Site, id: LineId, line: &Line) -> Option<Finding> {
    let end = line.downstream_end()?;
    let (target, short_m) = match line.joins {
        Joins::Nothing => nearest_target(site, id, end)?,
        Joins::Line(main) => (line.joins, site.joint_of(id).filter(|j| j.main == main)?.off_m),
        Joins::Outlet(outlet) => (line.joins, distance(site.plan.outlets.get(&outlet)?.at, end)),
    };
    if line.joins != Joins::Nothing && short_m <= TOUCH_M {
        return None;
    }
    let (name, other) = (&line.name, site.plan.name_of(target)?);
    let gap = gap(site, name, other, short_m);
    let message = format!("{gap}.");
    Some(
        Finding::new(&RULE, Severity::Block, end, format!("{name} is not joined to {other}"), message)
            .once_on(id, 0.0, 0.0)
            .keyed("lower")
            .amount(if short_m <= TOUCH_M { "not joined".into() } else { format!("gap {}", site.short(short_m)) })
            .offers(move |site| {
                let label = format!("Join {} to {}", site.name(id), site.plan.name_of(target).unwrap_or_default());
                Offer::one(label, site.join(id, target)).into_iter().collect()
            }),
    )
}

fn gap(site: &Site, name: &str, other: &str, short_m: f64) -> String {
    if short_m <= TOUCH_M {
        return format!("{name} ends on {other} without joining it");
    }
    format!("{name} stops {} short of {other}", site.units().depths(short_m, 0.0)[0])
}

/// The nearest line or outlet within reach of an open downstream end.
fn nearest_target(site: &Site, id: LineId, end: Point) -> Option<(Joins, f64)> {
    let outlets = site.plan.outlets.iter().map(|(outlet, o)| (Joins::Outlet(*outlet), distance(o.at, end)));
    let outlets = outlets.filter(|(_, away_m)| *away_m <= reach_m(site));
    let line = nearest_line(site, id, end).map(|(other, away_m)| (Joins::Line(other), away_m));
    let name = |joins: Joins| site.plan.name_of(joins).unwrap_or_default();
    line.into_iter().chain(outlets).min_by(|x, y| x.1.total_cmp(&y.1).then(name(x.0).cmp(name(y.0))))
}

fn upper(site: &Site, id: LineId, line: &Line) -> Option<Finding> {
    let end = line.upper_end()?;
    let (other, short_m) = nearest_line(site, id, end)?;
    let is_loop = short_m <= TOUCH_M && site.root(id) == site.root(other);
    if is_loop || site.is_old(other) {
        return None;
    }
    let (name, other_name, length_m) = (&line.name, site.name(other), line.length_m());
    let gap = gap(site, &format!("The upper end of {name}"), other_name, short_m);
    let message = format!("{gap}.");
    let by_m = reach_m(site) - short_m;
    Some(
        Finding::new(&RULE, Severity::Note, end, format!("{name} ends close to {other_name}"), message)
            .once_on(id, length_m, length_m)
            .keyed("upper")
            .amount(if short_m <= TOUCH_M { "not joined".into() } else { format!("gap {}", site.short(short_m)) })
            .offers(move |site| shape::trimmed_by(site, id, by_m).into_iter().collect())
            .advises("If the two belong together, draw them as one line or join them."),
    )
}

fn reach_m(site: &Site) -> f64 {
    site.plan.criteria.gap_m + TOUCH_M
}

/// The nearest line within reach of an end that is not joined to it there, directly or through a third.
fn nearest_line(site: &Site, id: LineId, end: Point) -> Option<(LineId, f64)> {
    let near = site.pieces.paths_near(end, reach_m(site));
    let near: Vec<(LineId, f64)> = near.into_iter().map(|(path, _, _, away_m)| (LineId(path), away_m)).collect();
    let joined = joined_here(site, id, &near, end);
    let apart = near.into_iter().filter(|(other, _)| !joined.contains(other));
    apart.min_by(|x, y| x.1.total_cmp(&y.1).then(site.rank(x.0).cmp(&site.rank(y.0))))
}

/// The line itself and those of its neighbours that hang together with it by joints at this place.
fn joined_here(site: &Site, id: LineId, near: &[(LineId, f64)], at: Point) -> Vec<LineId> {
    let mut joined = vec![id];
    let mut next = 0;
    while next < joined.len() {
        let one = joined[next];
        let others = near.iter().map(|(other, _)| *other);
        let new: Vec<LineId> = others
            .filter(|other| !joined.contains(other) && site.joined_near(one, *other, at, 2.0 * reach_m(site)))
            .collect();
        joined.extend(new);
        next += 1;
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, LATERAL, MAIN, ft};

    /// L1 stops 2 ft short of M1.
    #[test]
    fn a_downstream_end() {
        let mut job = Job::new();
        job.main(200.0);
        job.line("L1", LATERAL, &[(100.0, 2.0), (100.0, 90.0)], Joins::Nothing);
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Block);
        assert_eq!(finding.message, "L1 stops 2.00 ft short of M1.");
        assert_eq!(job.remedies(&finding)[0], "Join L1 to M1");
        assert!(job.mended(&finding).list().iter().all(|f| f.check != 57 && f.check != 25));
    }

    /// On the punch list "no outlet" leads at that place, names the gap and takes its fix over.
    #[test]
    fn grouped_with_no_outlet() {
        let mut job = Job::new();
        job.main(200.0);
        job.line("L1", LATERAL, &[(100.0, 2.0), (100.0, 90.0)], Joins::Nothing);
        let list = job.list();
        let first = &list[0];
        assert_eq!((first.check, first.also.as_slice()), (25, &[(57, "line-gap")][..]));
        assert_eq!(job.remedies(first)[0], "Join L1 to M1");
    }

    /// Joined by word, drawn 1 ft off; and an end joined to an outlet that lies elsewhere.
    #[test]
    fn joined_but_drawn_off() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.line("L1", LATERAL, &[(100.0, 1.0), (100.0, 90.0)], Joins::Line(m1));
        assert!(job.only(&RULE).message.starts_with("L1 stops 1.00 ft short of M1."));
        job.change(m1, |line| line.points[0] = ft(5.0, 0.0));
        assert!(job.found(&RULE).iter().any(|f| f.message.starts_with("M1 stops 5.00 ft short of O1.")));
    }

    /// L1's upper end comes within 1 ft of L2; sound joints, also two in one place, are no gaps.
    #[test]
    fn an_upper_end() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (199.0, 90.0)], Joins::Line(m1));
        let l2 = job.line("L2", LATERAL, &[(200.0, 0.0), (200.0, 190.0)], Joins::Line(m1));
        job.line("L3", LATERAL, &[(200.0, 0.0), (290.0, -90.0)], Joins::Line(l2));
        job.line("L4", LATERAL, &[(100.0, 0.0), (100.0, -90.0)], Joins::Line(m1));
        job.line("S1", MAIN, &[(0.0, 400.0), (100.0, 400.0)], Joins::Nothing);
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!(finding.message, "The upper end of L1 stops 1.00 ft short of L2.");
    }
}
