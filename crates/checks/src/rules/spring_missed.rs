//! Check 85, spring not collected.

use plan::{LandmarkKind, LineId};

use super::marks::near;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 85,
    slug: "spring-missed",
    title: "Spring not collected",
    manual: "A spring farther than 5 ft (1.5 m) from perforated pipe. Springs want a collection point of their own. British \
             drainage advice. To decide.",
    source: "[AHDB-new]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let mut found = Vec::new();
    for (id, mark) in site.marks(|mark| mark.kind == LandmarkKind::Spring) {
        let at = mark.outline.middle();
        let collected =
            near(site, &mark.outline, site.plan.criteria.spring_near_m).into_iter().any(|n| n.perforated().is_some());
        let nearest = site.pieces.nearest(at).filter(|piece| !collected && !site.is_old(LineId(piece.path)));
        let Some(piece) = nearest else { continue };
        let (along_m, foot) = piece.nearest(at);
        let message = format!(
            "{} lies {} off {} at {}. Bring a branch to it.",
            mark.called(),
            site.units().length(measure::distance(foot, at)),
            site.name(LineId(piece.path)),
            site.station(piece.start_m + along_m)
        );
        found.push(
            Finding::new(&RULE, Severity::Decide, at, "A spring is not collected".into(), message).of_landmark(id),
        );
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, at};

    #[test]
    fn twenty_feet_off() {
        let mut job = Job::new();
        job.main(300.0);
        job.mark("near", LandmarkKind::Spring, at(100.0, 4.0));
        assert!(job.found(&RULE).is_empty());
        job.mark("S1", LandmarkKind::Spring, at(150.0, 20.0));
        assert_eq!(job.only(&RULE).message, "spring S1 lies 20 ft off M1 at 1+50. Bring a branch to it.");
    }
}
