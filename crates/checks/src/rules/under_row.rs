//! Check 73, pipe under the vine row.

use measure::Segment;
use std::collections::BTreeMap;

use plan::{LandmarkKind, LineId, Outline};

use super::shape;
use crate::stretch::{Stretch, join, total_m};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 73,
    slug: "under-row",
    title: "Pipe under the vine row",
    manual: "A new line runs within 1.5 ft of a row of vines or trees for more than 20 ft. Roots fill it, and nobody can dig \
             it up again. Lay it in the middle between rows. Figures are judgments. To decide, one for each line.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut parts: BTreeMap<(usize, LineId), Vec<Stretch>> = BTreeMap::new();
    for (_, mark) in site.marks(|mark| matches!(mark.kind, LandmarkKind::Rows(_))) {
        let (LandmarkKind::Rows(block), Outline::Around(ring)) = (&mark.kind, &mark.outline) else { continue };
        for row in block.rows(ring) {
            beside(site, &Segment::new(row.from, row.to), &mut parts);
        }
    }
    parts.into_iter().filter_map(|((_, id), parts)| finding(site, id, parts)).collect()
}

/// Adds the parts of new lines that run beside a row.
fn beside(site: &Site, row: &Segment, parts: &mut BTreeMap<(usize, LineId), Vec<Stretch>>) {
    let reach_m = site.plan.criteria.row_beside_m;
    for own in site.pieces.around(row, reach_m).into_iter().filter(|own| !site.is_old(LineId(own.path))) {
        if let Some((from_m, to_m)) = own.beside(row, reach_m) {
            let (from_m, to_m) = (own.start_m + from_m, own.start_m + to_m);
            let part = Stretch { from_m, to_m, worst_m: (from_m + to_m) / 2.0, worst: 0.0 };
            parts.entry((site.rank(LineId(own.path)), LineId(own.path))).or_default().push(part);
        }
    }
}

fn finding(site: &Site, id: LineId, mut parts: Vec<Stretch>) -> Option<Finding> {
    parts.sort_by(|x, y| x.from_m.total_cmp(&y.from_m).then(x.to_m.total_cmp(&y.to_m)));
    let long: Vec<Stretch> =
        join(parts, 0.01).into_iter().filter(|part| part.length_m() > site.plan.criteria.row_length_m).collect();
    let first = long.first()?;
    let name = site.name(id);
    let message = format!(
        "{} of {name} lie under a row, {}.",
        site.length(total_m(&long)),
        site.stretch(first.from_m, first.to_m)
    );
    Some(
        Finding::new(
            &RULE,
            Severity::Decide,
            site.point(id, first.worst_m),
            format!("{name} lies under a row"),
            message,
        )
        .once_on(id, first.from_m, first.to_m)
        .offers(move |site| {
            let beside_m = site.plan.criteria.row_beside_m;
            shape::to_a_side(site, id, beside_m)
        }),
    )
}

#[cfg(test)]
mod tests {
    use plan::Rows;

    use super::*;
    use crate::job::{Job, around};

    /// Rows that run east, 9 ft apart, from 1 ft south of M1 on; then from 4.5 ft south.
    #[test]
    fn a_row_over_the_main() {
        let mut job = Job::new();
        job.main(300.0);
        let rows = LandmarkKind::Rows(Rows { bearing_deg: 90.0, ..Rows::default() });
        let mark = job.mark("B1", rows.clone(), around(50.0, -10.0, 250.0, 80.0));
        assert!(job.only(&RULE).message.starts_with("200 ft of M1 lie under a row, from 0+50 to 2+50"));
        job.plan.landmarks.remove(&mark);
        job.mark("B2", rows, around(50.0, -4.5, 250.0, 80.0));
        assert!(job.found(&RULE).is_empty());
    }
}
