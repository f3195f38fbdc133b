//! Check 120, dam, levee, dike or pond bank.

use plan::LandmarkKind;

use super::marks::{Near, crossings, near};
use super::pipe::{self, Solid};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 120,
    slug: "dam-or-levee",
    title: "Dam, levee, dike or pond bank",
    manual: "Perforated pipe within 100 ft (30 m) of a bank that holds water, or any pipe through one. Water that seeps \
             toward a drain carries soil out of the bank until it breaks. From memory. To fix before digging.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (mark_id, mark) in site.marks(|mark| mark.kind == LandmarkKind::Bank) {
        let crossed = crossings(site, &mark.outline.path());
        for near in near(site, &mark.outline, site.plan.criteria.bank_near_m) {
            let hit = crossed.iter().find(|hit| hit.id == near.id);
            let (id, line, parts) = (near.id, near.line, near.parts.clone());
            let Some((at_m, away_m)) = place(near, hit.map(|hit| hit.station_m)) else { continue };
            let how = match hit {
                Some(hit) => format!("crosses {} at {}", mark.called(), site.station(hit.station_m)),
                None => {
                    format!("is {} from {} at {}", site.length(away_m), mark.called(), site.station(at_m))
                }
            };
            let message = format!("{} {how}, which holds water; soil can be carried out.", line.name);
            let title = format!("{} comes near a bank that holds water", line.name);
            found.push(
                Finding::new(&RULE, Severity::Block, site.point(id, at_m), title, message)
                    .once_on(id, at_m, at_m)
                    .keyed_by(mark_id)
                    .misses(away_m, site.plan.criteria.bank_near_m)
                    .offers(move |site| pipe::solid(site, id, &parts, Solid::default()).into_iter().collect())
                    .advises("Have the crossing designed, and accept this by name once it is."),
            );
        }
    }
    found
}

/// Station and distance of the worst place: where it crosses, else where perforated pipe comes nearest.
fn place(near: Near, crossing_m: Option<f64>) -> Option<(f64, f64)> {
    if let Some(station_m) = crossing_m {
        return Some((station_m, 0.0));
    }
    let open = near.perforated()?;
    open.nearest().map(|part| (part.worst_m.clamp(part.from_m, part.to_m), part.worst))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, along};

    #[test]
    fn beside_and_through_a_levee() {
        let mut job = Job::new();
        job.main(300.0);
        job.mark("V1", LandmarkKind::Bank, along(&[(0.0, 120.0), (300.0, 120.0)]));
        assert!(job.found(&RULE).is_empty());
        job.mark("V2", LandmarkKind::Bank, along(&[(0.0, 80.0), (300.0, 80.0)]));
        assert!(job.only(&RULE).message.starts_with("M1 is 80 ft from dam or levee V2"));
        job.mark("V3", LandmarkKind::Bank, along(&[(100.0, -50.0), (100.0, 50.0)]));
        assert!(job.found(&RULE)[1].message.starts_with("M1 crosses dam or levee V3 at 1+00"));
    }
}
