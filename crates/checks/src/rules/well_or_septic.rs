//! Check 76, well or septic.

use plan::LandmarkKind;

use super::marks::near;
use super::shape;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 76,
    slug: "well-or-septic",
    title: "Well or septic",
    manual: "A new line nearer to a well or septic field than the local distance that was entered (to decide), or within \
             200 ft of one for which none is entered (a note). Drains carry what they meet: health rules differ from county \
             to county. The 200 ft is a judgment.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    let is_kind = |kind: &LandmarkKind| matches!(kind, LandmarkKind::Well { .. } | LandmarkKind::Septic { .. });
    for (mark_id, mark) in site.marks(move |mark| is_kind(&mark.kind)) {
        let (LandmarkKind::Well { keep_off_m } | LandmarkKind::Septic { keep_off_m }) = mark.kind else { continue };
        let reach_m = keep_off_m.unwrap_or(site.plan.criteria.well_ask_m);
        let lines = near(site, &mark.outline, reach_m);
        let nearest = lines
            .iter()
            .filter_map(|near| Some((near, near.nearest()?)))
            .min_by(|x, y| x.1.worst.total_cmp(&y.1.worst));
        let Some((near, part)) = nearest else { continue };
        let (what, away) = (mark.called(), site.length(part.worst));
        let (severity, wanted, advice) = match keep_off_m {
            Some(keep_m) if part.worst >= keep_m - 1e-3 => continue,
            Some(keep_m) => {
                let [away, keep] = site.units().lengths(part.worst, keep_m);
                (
                    Severity::Decide,
                    format!("{what} is {away} away from {}; the local rule asks for {keep}.", near.line.name),
                    "",
                )
            }
            None => (
                Severity::Note,
                format!("{what} is {away} away from {}, and the local distance is not entered.", near.line.name),
                "Ask for the local distance, and enter it.",
            ),
        };
        let message = wanted;
        let (id, away_m) = (near.id, part.worst);
        let title = format!("{} runs near {what}", near.line.name);
        found.push(
            Finding::new(&RULE, severity, site.point(near.id, part.worst_m), title, message)
                .once_on(near.id, part.from_m, part.to_m)
                .keyed_by(mark_id)
                .keyed(if keep_off_m.is_none() { "unknown" } else { "" })
                .misses(part.worst, reach_m)
                .offers(move |site| {
                    keep_off_m.map_or(Vec::new(), |keep_m| shape::to_a_side(site, id, keep_m - away_m))
                })
                .advises(advice),
        );
    }
    found
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;

    use super::*;
    use crate::job::{Job, at};

    #[test]
    fn a_well_eighty_feet_away() {
        let mut job = Job::new();
        job.main(300.0);
        let well = |feet: Option<f64>| LandmarkKind::Well { keep_off_m: feet.map(|feet| feet * FOOT_M) };
        let mark = job.mark("W1", well(None), at(120.0, 80.0));
        let finding = job.only(&RULE);
        assert_eq!(finding.severity, Severity::Note);
        assert!(finding.message.starts_with("well W1 is 80 ft away from M1, and the local distance"));
        job.remark(mark, well(Some(100.0)));
        assert_eq!(job.only(&RULE).severity, Severity::Decide);
        job.remark(mark, well(Some(50.0)));
        assert!(job.found(&RULE).is_empty());
    }
}
