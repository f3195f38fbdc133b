//! Check 85, spring not collected.

use measure::Point;
use plan::{Joins, LandmarkKind, Line, LineId, LineKind};

use super::marks::near;
use crate::offer::Offer;
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
        let main = LineId(piece.path);
        let message = format!(
            "{} lies {} off {} at {}.",
            mark.called(),
            site.length(measure::distance(foot, at)),
            site.name(LineId(piece.path)),
            site.station(piece.start_m + along_m)
        );
        found.push(
            Finding::new(&RULE, Severity::Decide, at, "A spring is not collected".into(), message)
                .of_landmark(id)
                .offers(move |site| branch(site, main, foot, at).into_iter().collect()),
        );
    }
    found
}

/// Offers a lateral from the nearest line to the spring.
fn branch<'s>(site: &'s Site, main: LineId, foot: Point, at: Point) -> Option<Offer<'s>> {
    let name = site.plan.free_name(LineKind::Lateral.stem());
    let station_m = measure::nearest_on(&site.plan.lines.get(&main)?.points, foot)?.0;
    let label = format!("Draw {name} from {} at {} to the spring", site.name(main), site.station(station_m));
    let line = Line { joins: Joins::Line(main), ..site.plan.new_line(&name, LineKind::Lateral, vec![foot, at]) };
    let (_, edit) = plan::add_line(site.plan, line);
    Offer::one(label, Some(edit))
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
        assert_eq!(job.only(&RULE).message, "spring S1 lies 20 ft off M1 at 1+50.");
    }
}
