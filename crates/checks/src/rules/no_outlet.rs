//! Check 25, no outlet: water that goes nowhere.

use measure::distance;
use plan::{Joins, Line, LineId};

use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 25,
    slug: "no-outlet",
    title: "No outlet",
    manual: "A line whose water reaches no outlet. The outlet is settled before anything else, for every level hangs \
             from it; that is advice as old as the trade. One finding for each network. A network that drains into an \
             old tile counts as well while nobody knows where that tile comes out. To fix before digging.",
    source: "[OLD1912]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let ends_nowhere = |line: &Line| line.flows_into().is_none() && !matches!(line.joins, Joins::Outlet(_));
    let new = site.new_lines().filter(|(_, line, _)| ends_nowhere(line));
    let new = new.map(|(id, line, _)| goes_nowhere(site, id, line));
    let old = site.old_lines().filter(|(_, line, _)| ends_nowhere(line));
    new.chain(old.filter_map(|(id, line, _)| into_old_tile(site, id, line))).collect()
}

fn goes_nowhere(site: &Site, id: LineId, line: &Line) -> Finding {
    let (name, others) = (&line.name, site.upstream(id).len());
    let others = match others {
        0 => String::new(),
        1 => ", and one line drains into it".to_string(),
        _ => format!(", and {others} lines drain into it"),
    };
    let message = format!("{name} goes nowhere{others}.");
    Finding::new(&RULE, Severity::Block, site.point(id, 0.0), format!("{name} goes nowhere"), message)
        .once_on(id, 0.0, 0.0)
        .amount("no outlet".into())
        .offers(move |site| outlet_near(site, id).into_iter().collect())
        .advises("Place an outlet at its lower end, or join it to a line that has one.")
}

/// Joins a line to an outlet that lies as near as an end that was meant to be there.
fn outlet_near<'s>(site: &'s Site, id: LineId) -> Option<Offer<'s>> {
    let line = site.plan.lines.get(&id)?;
    let end = line.downstream_end()?;
    let away_m = |outlet: &plan::Outlet| distance(outlet.at, end);
    let near = site.plan.outlets.iter().filter(|(_, outlet)| away_m(outlet) <= site.plan.criteria.gap_m);
    let (outlet, found) = near.min_by(|x, y| away_m(x.1).total_cmp(&away_m(y.1)).then(x.1.name.cmp(&y.1.name)))?;
    Offer::one(format!("Join {} to {}", line.name, found.name), site.join(id, Joins::Outlet(*outlet)))
}

/// New pipe that leads into an old tile of which nobody knows where it comes out.
fn into_old_tile(site: &Site, old: LineId, line: &Line) -> Option<Finding> {
    let mut new: Vec<LineId> = site.upstream(old).into_iter().filter(|id| !site.is_old(*id)).collect();
    new.retain(|id| site.downstream(*id).is_some_and(|next| site.is_old(next)));
    new.sort_by_key(|id| site.rank(*id));
    let first = *new.first()?;
    let names: Vec<&str> = new.iter().map(|id| site.name(*id)).collect();
    let (name, drain) = (&line.name, if names.len() == 1 { "drains" } else { "drain" });
    let message = format!("{} {drain} into old tile {name}; its outlet is not known.", names.join(", "));
    let title = format!("Nobody knows where old tile {name} comes out");
    let places = new.iter().map(|id| site.place(*id, (0.0, 0.0), 0.0, "joins old tile"));
    Some(
        Finding::new(&RULE, Severity::Block, site.point(first, 0.0), title, message)
            .once_on(first, 0.0, 0.0)
            .keyed_with(old)
            .amount("outlet not known".into())
            .gathers(places.collect())
            .advises(format!(
                "Find where {name} comes out, place that outlet and join {name} to it; or join new pipe only to a line that has \
                 one."
            )),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, LATERAL, MAIN, suspected};

    /// One finding for the network of M1 and its two branches, at M1's lower end.
    #[test]
    fn one_finding_for_each_network() {
        let mut job = Job::new();
        let m1 = job.line("M1", MAIN, &[(0.0, 0.0), (300.0, 0.0)], Joins::Nothing);
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(200.0, 0.0), (200.0, 90.0)], Joins::Line(m1));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "M1 goes nowhere, and 2 lines drain into it.");
        assert_eq!((finding.line, finding.from_m), (Some(m1), Some(0.0)));
    }

    /// An outlet 2 ft from the open end is offered.
    #[test]
    fn an_outlet_within_reach_is_offered() {
        let mut job = Job::new();
        job.outlet("O1", (-2.0, 0.0), 100.0);
        job.line("M1", MAIN, &[(0.0, 0.0), (300.0, 0.0)], Joins::Nothing);
        let finding = job.only(&RULE);
        assert_eq!(job.remedies(&finding)[0], "Join M1 to O1");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }

    /// T1 is old and ends nowhere on the map; by itself that is no matter of ours.
    #[test]
    fn old_tile_without_outlet() {
        let mut job = Job::new();
        let t1 = job.line("T1", suspected(), &[(0.0, 0.0), (300.0, 0.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(t1));
        assert!(job.only(&RULE).message.starts_with("L1 drains into old tile T1; its outlet is not known."));
        let outlet = job.outlet("O2", (0.0, 0.0), 100.0);
        job.change(t1, |line| line.joins = outlet);
        assert!(job.found(&RULE).is_empty());
        // Joined to a main it has an outlet too, but not while it is plugged there.
        let m1 = job.main(300.0);
        let tile = |decision| plan::LineKind::OldTile(plan::OldTile { decision, ..plan::OldTile::default() });
        job.change(t1, |line| line.joins = Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
        job.change(t1, |line| line.kind = tile(Some(plan::Decision::Plug)));
        assert!(job.only(&RULE).message.starts_with("L1 drains into old tile T1; its outlet is not known."));
    }
}
