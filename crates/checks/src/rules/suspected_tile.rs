//! Check 86, crossing a suspected line.

use plan::{Evidence, Line, LineId, LineKind};

use super::alongside::alongside;
use crate::site::LEVEL_TOLERANCE_M;
use crate::stretch::Stretch;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 86,
    slug: "suspected-tile",
    title: "Crossing a suspected line",
    manual: "New pipe within 15 ft (4.6 m) of the mark of an old tile that nobody has seen. Lines read from photos \
             were within about 4 ft of the truth when probed; marks set by memory are worse. The operator slows down \
             and watches. A note, one for each old line, with every new line that comes near.",
    source: "[PURDUE23 ±4 ft]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut met: Vec<(LineId, LineId, Stretch)> = Vec::new();
    for (id, line, _) in site.new_lines() {
        let near = alongside(site, id, line, site.plan.criteria.old_tile_near_m + LEVEL_TOLERANCE_M, true);
        let suspected = near.into_iter().filter(|(old, _)| is_suspected(site, *old) && !is_joined(site, id, *old));
        met.extend(suspected.flat_map(|(old, parts)| parts.into_iter().map(move |part| (old, id, part))));
    }
    site.old_lines().filter_map(|(old, line, _)| finding(site, old, line, &met)).collect()
}

fn is_suspected(site: &Site, id: LineId) -> bool {
    let kind = site.plan.lines.get(&id).map(|line| line.kind);
    matches!(kind, Some(LineKind::OldTile(old)) if old.evidence == Evidence::Suspected)
}

fn is_joined(site: &Site, one: LineId, other: LineId) -> bool {
    site.downstream(one) == Some(other) || site.downstream(other) == Some(one)
}

fn finding(site: &Site, old: LineId, line: &Line, met: &[(LineId, LineId, Stretch)]) -> Option<Finding> {
    let places: Vec<_> = met
        .iter()
        .filter(|(met, _, _)| *met == old)
        .map(|(_, id, part)| site.place(*id, (part.from_m, part.to_m), part.worst_m, "old tile may be here"))
        .collect();
    let first = places.first()?.clone();
    let on = first.line?;
    let (name, near) = (&line.name, site.name(on));
    let more = match places.len() - 1 {
        0 => String::new(),
        1 => " and at one place more".into(),
        n => format!(" and at {n} places more"),
    };
    let message = format!("Old tile {name} may be near {near} {}{more}.", site.stretch(first.from_m, first.to_m));
    Some(
        Finding::new(&RULE, Severity::Note, first.at, format!("Old tile {name} may be in the way"), message)
            .once_on(on, first.from_m, first.to_m)
            .keyed_with(old)
            .amount("old tile?".into())
            .gathers(places)
            .advises(format!(
                "Slow down and watch; mark {name} seen when it is found, or delete it when it is not there."
            )),
    )
}

#[cfg(test)]
mod tests {
    use plan::{Joins, OldTile};

    use super::*;
    use crate::job::{Job, LATERAL, suspected};

    /// T1 crosses M1 at 1+00 and ends 10 ft short of L1, which runs at y = 110.
    #[test]
    fn a_suspected_line_across() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let t1 = job.line("T1", suspected(), &[(100.0, -100.0), (100.0, 100.0)], Joins::Nothing);
        job.line("L1", LATERAL, &[(50.0, 110.0), (200.0, 110.0)], Joins::Nothing);
        let finding = job.only(&RULE);
        assert_eq!(finding.places.iter().map(|p| site_name(&job, p.line.unwrap())).collect::<Vec<_>>(), ["L1", "M1"]);
        assert!(
            finding.message.starts_with("Old tile T1 may be near L1 from 0+38.8 to 0+61.2 and at one place more.")
        );
        let seen = OldTile { evidence: Evidence::Seen, ..OldTile::default() };
        job.change(t1, |line| line.kind = LineKind::OldTile(seen));
        assert!(job.found(&RULE).is_empty());
        job.change(t1, |line| (line.kind, line.joins) = (suspected(), Joins::Line(m1)));
        assert_eq!(job.only(&RULE).places.len(), 1);
    }

    fn site_name(job: &Job, id: LineId) -> String {
        job.plan.lines[&id].name.clone()
    }

    #[test]
    fn sixteen_feet_away() {
        let mut job = Job::new();
        job.main(300.0);
        job.line("T1", suspected(), &[(100.0, 16.0), (100.0, 100.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
    }
}
