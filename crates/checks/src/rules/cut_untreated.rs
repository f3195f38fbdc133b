//! Check 88, cut and untreated.

use plan::{Decision, Evidence, Line, LineId, LineKind, Outline};

use super::marks::crossings;
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 88,
    slug: "cut-untreated",
    title: "Cut and untreated",
    manual: "A new line crosses an old tile that was seen or proved, the two are not joined, and nobody has decided what \
             becomes of the cut. An open end in the trench wall is next spring's wet spot. State specification. To fix \
             before the trench is closed, one for each old line.",
    source: "[OH-9]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let open = |line: &Line| matches!(line.kind, LineKind::OldTile(old) if old.evidence != Evidence::Suspected && old.decision.is_none());
    site.old_lines().filter(|(_, line, _)| open(line)).filter_map(|(id, line, _)| finding(site, id, line)).collect()
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
}
