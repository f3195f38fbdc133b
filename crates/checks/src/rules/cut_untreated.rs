//! Check 88, cut and untreated.

use plan::{Decision, Evidence, Find, Line, LineId, LineKind, Outline};

use super::found_not_recorded::met;
use super::marks::crossings;
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 88,
    slug: "cut-untreated",
    title: "Cut and untreated",
    manual: "A new line crosses an old tile that was seen or proved, or one was found in its trench, the two are not \
             joined, and nobody has decided what becomes of the cut. An open end in the trench wall is next spring's wet spot. State specification. To fix \
             before the trench is closed, one for each old line.",
    source: "[OH-9]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = |line: &Line| matches!(line.kind, LineKind::OldTile(old) if old.evidence != Evidence::Suspected && old.decision.is_none());
    let cut = |find: &&Find| find.decided.is_none() && met(site, find).is_some();
    let dug_up: Vec<&Find> = site.plan.record.finds().filter(cut).collect();
    // What the record tells of it goes before what the map does.
    let told = |line: &Line| {
        let reach_m = site.plan.criteria.old_tile_near_m;
        let near = |at| measure::nearest_on(&line.points, at).is_some_and(|(_, _, off_m)| off_m <= reach_m);
        dug_up.iter().any(|find| met(site, find).is_some_and(|on| near(on.at)))
    };
    let drawn = site.old_lines().filter(|(_, line, _)| open(line) && !told(line));
    let drawn = drawn.filter_map(|(id, line, _)| finding(site, id, line));
    drawn.chain(dug_up.iter().filter_map(|find| found(site, find))).collect()
}

/// Old tile that was found in the trench.
fn found(site: &Site, find: &Find) -> Option<Finding> {
    let on = met(site, find)?;
    let (name, station) = (site.name(on.line), site.station(on.station_m));
    let message = format!(
        "Old tile was found in the trench of {name} at {station}, and nobody has decided what becomes of the cut pipe."
    );
    Some(
        Finding::new(&RULE, Severity::Block, on.at, format!("Old tile is cut at {station}"), message)
            .once_on(on.line, on.station_m, on.station_m)
            .keyed(find.key.clone())
            .advises("Keep it open, and choose what is done with it: the five choices stand with the find."),
    )
}

fn finding(site: &Site, old: LineId, line: &Line) -> Option<Finding> {
    let hits = crossings(site, Outline::Along(line.points.clone()).points());
    let apart = |one: LineId| site.downstream(one) != Some(old) && site.downstream(old) != Some(one);
    let cut: Vec<_> = hits.into_iter().filter(|hit| apart(hit.id)).collect();
    let first = cut.first()?;
    let message = format!(
        "{} cuts old tile {} at {}, and nobody has decided what becomes of the cut pipe.",
        site.name(first.id),
        line.name,
        site.station(first.station_m)
    );
    let places = cut.iter().map(|hit| site.place(hit.id, (hit.station_m, hit.station_m), hit.station_m, "cut"));
    let title = format!("Old tile {} is cut", line.name);
    Some(
        Finding::new(&RULE, Severity::Block, first.at, title, message)
            .once_on(first.id, first.station_m, first.station_m)
            .keyed_with(old)
            .gathers(places.collect())
            .offers(move |site| decided(site, old)),
    )
}

/// Offers every decision on an old tile.
pub(crate) fn decided<'s>(site: &'s Site, old: LineId) -> Vec<Offer<'s>> {
    let name = site.name(old);
    let one = |(decision, word): (Decision, &str)| {
        Offer::line(site, old, format!("Decide on old tile {name}: {word}"), |line| {
            if let LineKind::OldTile(tile) = &mut line.kind {
                tile.decision = Some(decision);
            }
        })
    };
    Decision::ALL.into_iter().filter_map(one).collect()
}

#[cfg(test)]
mod tests {
    use plan::{Decision, Joins, OldTile};

    use super::super::found_not_recorded::tests::find_at;

    use super::*;
    use crate::job::Job;

    #[test]
    fn seen_cut_and_decided() {
        let mut job = Job::new();
        job.main(300.0);
        let tile = |evidence, decision| LineKind::OldTile(OldTile { evidence, decision, ..OldTile::default() });
        let t1 = job.line("T1", tile(Evidence::Suspected, None), &[(100.0, -50.0), (100.0, 50.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
        job.change(t1, |line| line.kind = tile(Evidence::Seen, None));
        assert!(job.only(&RULE).message.starts_with("M1 cuts old tile T1 at 1+00,"));
        job.change(t1, |line| line.kind = tile(Evidence::Seen, Some(Decision::Bridge)));
        assert!(job.found(&RULE).is_empty());
    }

    /// A find on an old line that is drawn is told once, and gone when it is decided on.
    #[test]
    fn found_in_the_trench() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.plan.record.finds.push(find_at(m1, 100.0));
        let message =
            "Old tile was found in the trench of M1 at 1+00, and nobody has decided what becomes of the cut pipe.";
        assert_eq!(job.only(&RULE).message, message);
        let seen = LineKind::OldTile(OldTile { evidence: Evidence::Seen, ..OldTile::default() });
        job.line("T1", seen, &[(100.0, -50.0), (100.0, 50.0)], Joins::Nothing);
        assert_eq!(job.only(&RULE).message, message);
        let signed = plan::Signature::default();
        job.plan.record.finds[0].decided = Some(plan::Decided { what: Decision::Bridge, line: None, signed });
        assert!(job.only(&RULE).message.starts_with("M1 cuts old tile T1"));
    }
}
