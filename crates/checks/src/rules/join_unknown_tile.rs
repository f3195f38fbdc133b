//! Check 87, old tile of unknown condition joined.

use plan::{Condition, Line, LineId, LineKind};

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 87,
    slug: "join-unknown-tile",
    title: "Unknown condition, joined",
    manual: "New pipe joined to an old tile, or an old tile joined to new pipe, while nobody has looked inside the old \
             one. A broken or silted tile brings its soil into the new line, or takes no water from it. State \
             specification for the repair of old drains. To fix before digging, one for each old line.",
    source: "[OH-9]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let unknown = |line: &Line| matches!(line.kind, LineKind::OldTile(old) if old.condition == Condition::Unknown);
    let old = site.old_lines().filter(|(_, line, _)| unknown(line));
    old.filter_map(|(id, line, _)| finding(site, id, line)).collect()
}

fn finding(site: &Site, old: LineId, line: &Line) -> Option<Finding> {
    let into = site.joints.iter().filter(|joint| joint.main == old && !site.is_old(joint.branch));
    let into = into.map(|joint| (joint.branch, 0.0, joint.at));
    let out_of = site.joints.iter().filter(|joint| joint.branch == old && !site.is_old(joint.main));
    let out_of = out_of.map(|joint| (joint.main, joint.station_m, joint.at));
    let joined: Vec<_> = into.chain(out_of).collect();
    let (first, station_m, at) = *joined.first()?;
    let name = &line.name;
    let message = format!("The condition of old tile {name} is unknown, and {} is joined to it.", site.name(first));
    let places = joined.iter().map(|(id, m, _)| site.place(*id, (*m, *m), *m, "joins old tile"));
    Some(
        Finding::new(&RULE, Severity::Block, at, format!("Nobody has looked into old tile {name}"), message)
            .once_on(first, station_m, station_m)
            .keyed_with(old)
            .amount("condition?".into())
            .gathers(places.collect())
            .advises("Look inside before joining, and enter its condition."),
    )
}

#[cfg(test)]
mod tests {
    use plan::{Joins, OldTile};

    use super::*;
    use crate::job::{Job, LATERAL, suspected};

    /// T1 is tapped by L1 and led into M1.
    #[test]
    fn joined_unseen() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let t1 = job.line("T1", suspected(), &[(100.0, 0.0), (100.0, 200.0)], Joins::Line(m1));
        job.line("L1", LATERAL, &[(100.0, 50.0), (200.0, 50.0)], Joins::Line(t1));
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The condition of old tile T1 is unknown, and L1 is joined to it.");
        assert_eq!(finding.places.len(), 2);
        let fair = OldTile { condition: Condition::Fair, ..OldTile::default() };
        job.change(t1, |line| line.kind = LineKind::OldTile(fair));
        assert!(job.found(&RULE).is_empty());
    }

    #[test]
    fn left_alone() {
        let mut job = Job::new();
        job.main(300.0);
        job.line("T1", suspected(), &[(100.0, 1.0), (100.0, 200.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
    }
}
