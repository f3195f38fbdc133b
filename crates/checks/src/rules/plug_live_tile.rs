//! Check 89, plugging a line that runs or comes from the neighbour.

use plan::{Decision, Line, LineId, LineKind, OldTile};

use super::cut_untreated::decided;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 89,
    slug: "plug-live-tile",
    title: "Plugging a line that runs or comes from the neighbor",
    manual: "An old tile is to be plugged though it runs, or though water reaches it from beyond the boundary. Somebody may \
             have a right to it, and the water comes up somewhere. General, no legal advice: ask. To fix before digging.",
    source: "[LAW-IA] [LAW-NY]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    site.old_lines().filter_map(|(id, line, _)| finding(site, id, line)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line) -> Option<Finding> {
    let LineKind::OldTile(old) = line.kind else { return None };
    let why = match old {
        OldTile { decision: Some(Decision::Plug), from_beyond: true, .. } => {
            "water reaches it from beyond the boundary"
        }
        OldTile { decision: Some(Decision::Plug), runs: Some(true), .. } => "it runs",
        _ => return None,
    };
    let message =
        format!("Old tile {} is to be plugged, but {why}. Someone else's water may depend on it.", line.name);
    let title = format!("Old tile {} is running", line.name);
    Some(
        Finding::new(&RULE, Severity::Block, site.point(id, 0.0), title, message)
            .once_on(id, 0.0, line.length_m())
            .offers(move |site| decided(site, id)),
    )
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::Job;

    #[test]
    fn running_and_dry() {
        let mut job = Job::new();
        job.main(300.0);
        let tile = |decision, runs, from_beyond| {
            LineKind::OldTile(OldTile { decision, runs, from_beyond, ..OldTile::default() })
        };
        let plug = Some(Decision::Plug);
        let t1 = job.line("T1", tile(plug, Some(false), false), &[(100.0, -50.0), (100.0, 50.0)], Joins::Nothing);
        assert!(job.found(&RULE).is_empty());
        job.change(t1, |line| line.kind = tile(plug, Some(true), false));
        assert!(job.only(&RULE).message.contains("but it runs."));
        job.change(t1, |line| line.kind = tile(plug, None, true));
        assert!(job.only(&RULE).message.contains("from beyond the boundary"));
        job.change(t1, |line| line.kind = tile(Some(Decision::Bridge), Some(true), true));
        assert!(job.found(&RULE).is_empty());
    }
}
