//! Check 51, square tees on long laterals where roots are likely.

use design::Joint;
use plan::{LandmarkKind, LineId};

use super::joint_against_flow::turned;
use super::shape::redrawn;
use super::soil::off_m;
use crate::offer::Offer;
use crate::site::LEVEL_TOLERANCE_M;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 51,
    slug: "square-tee-roots",
    title: "Right-angle tee on long laterals with root risk",
    manual: "A branch longer than 200 ft that enters at 85 to 95°, where the brief says that roots are a risk or thirsty \
             trees stand within 100 ft. Logs of roots form at square tees; a wye catches less. Contractors' notes; the \
             length is a judgment. A note, one for the plan.",
    source: "[CONTR-note] [PURDUE-root]; 200 ft [judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let square: Vec<&Joint> = site.joints.iter().copied().filter(|joint| is_square(site, joint)).collect();
    let Some(first) = square.first() else { return Vec::new() };
    let message = match square.len() {
        1 => "A square tee lies where roots are likely; a wye catches less.".to_string(),
        n => format!("{n} square tees lie where roots are likely; wyes catch less."),
    };
    let places =
        square.iter().map(|j| site.place(j.main, (j.station_m, j.station_m), j.station_m, site.name(j.branch)));
    let title = "Square tees where roots are likely".to_string();
    let branches: Vec<LineId> = square.iter().map(|joint| joint.branch).collect();
    let found = Finding::new(&RULE, Severity::Note, first.at, title, message).gathers(places.collect());
    vec![found.offers(move |site| wyes(site, &branches).into_iter().collect())]
}

/// Offers that the ends of branches are turned downstream.
fn wyes<'s>(site: &'s Site, branches: &[LineId]) -> Option<Offer<'s>> {
    let mut after = site.plan.clone();
    for branch in branches {
        after = turned(&after, site.joint_of(*branch)?)?;
    }
    let names: Vec<&str> = branches.iter().map(|id| site.name(*id)).collect();
    let (end, wye) = if names.len() == 1 { ("end", "a wye") } else { ("ends", "wyes") };
    let label = format!("Turn the {end} of {} downstream into {wye}", measure::listed(&names));
    Some(Offer::One(redrawn(site.plan, &after, label)))
}

fn is_square(site: &Site, joint: &Joint) -> bool {
    let criteria = &site.plan.criteria;
    let square = (180.0 - criteria.joint_angle_deg..=criteria.joint_angle_deg).contains(&joint.angle_deg);
    let long = site.line(joint.branch).is_some_and(|(line, worked)| {
        !line.kind.is_old() && worked.length_m > criteria.square_tee_m + LEVEL_TOLERANCE_M
    });
    let thirsty = || {
        let trees = site.marks(|mark| matches!(mark.kind, LandmarkKind::Trees { thirsty: true, .. }));
        trees.into_iter().any(|(_, mark)| off_m(&mark.outline.path(), joint.at) <= criteria.thirsty_trees_m)
    };
    !joint.in_line && square && long && (site.plan.brief.root_risk || thirsty())
}

#[cfg(test)]
mod tests {
    use plan::Joins;

    use super::*;
    use crate::job::{Job, LATERAL, along};

    #[test]
    fn a_long_lateral_at_a_right_angle() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 250.0)], Joins::Line(m1));
        job.line("L2", LATERAL, &[(200.0, 0.0), (200.0, 150.0)], Joins::Line(m1));
        assert!(job.found(&RULE).is_empty());
        let willows = LandmarkKind::Trees { species: "willow".into(), thirsty: true };
        job.mark("W", willows, along(&[(50.0, 90.0), (150.0, 90.0)]));
        assert_eq!(job.only(&RULE).places.len(), 1);
        job.plan.brief.root_risk = true;
        assert_eq!(job.only(&RULE).message, "A square tee lies where roots are likely; a wye catches less.");
    }
}
