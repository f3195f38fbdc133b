//! Check 137, plan and land from different places.

use measure::{Point, distance};

use super::ground_unread::somewhere;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 137,
    slug: "elsewhere",
    title: "Plan and land from different places",
    manual: "No new line of the plan lies over its ground, or the ground's file states another coordinate system than the \
             plan has for it. Most often the file was replaced by one of another field, or places were taken over in \
             another system. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let system = site.land.other_system.as_deref().map(|stated| {
        let ground = site.plan.ground.as_ref();
        let (file, named) = ground.map_or(("the ground", ""), |ground| (ground.file.as_str(), ground.crs.as_str()));
        let message = format!("{file} says that it is in {stated}; the plan has {named} for it.");
        let title = "Plan and ground are in different coordinate systems".to_string();
        Finding::new(&RULE, Severity::Block, somewhere(site), title, message)
            .keyed("system")
            .amount("another system".into())
            .advises("Bring in the ground that the plan was made on; accept this by name where the file is known to be wrong.")
    });
    is_off(site).then(|| off(site)).into_iter().chain(system).collect()
}

/// True where there is ground and no new line lies over any of it.
pub(super) fn is_off(site: &Site) -> bool {
    let mut lines = site.new_lines().peekable();
    site.land.ground.as_deref().is_some()
        && lines.peek().is_some()
        && lines.all(|(_, _, worked)| worked.ground.pieces().is_empty())
}

fn off(site: &Site) -> Finding {
    let lines: Vec<_> = site.new_lines().collect();
    let at = lines.first().map_or_else(|| somewhere(site), |(id, ..)| site.point(*id, 0.0));
    let away =
        site.land.ground.as_deref().map(|ground| away_m(ground.grid().extent(), at)).filter(|away_m| *away_m >= 1.0);
    let away = away.map(|away_m| format!("; {} begins {} away from it", lines[0].1.name, site.length(away_m)));
    let message = format!("No new line lies over the ground of the plan{}.", away.unwrap_or_default());
    let places = lines.iter().map(|(id, line, _)| {
        site.place(
            *id,
            (0.0, line.length_m()),
            line.length_m() / 2.0,
            &format!("{} without ground", site.length(line.length_m())),
        )
    });
    Finding::new(&RULE, Severity::Block, at, "Plan and land are from different places".into(), message)
        .keyed("off")
        .amount("off the ground".into())
        .gathers(places.collect())
        .advises("Bring in the ground of this field, or draw the lines on the ground that is there.")
}

/// How far a place lies from a rectangle, metres.
fn away_m((low, high): (Point, Point), at: Point) -> f64 {
    distance(at, Point::new(at.x.clamp(low.x, high.x), at.y.clamp(low.y, high.y)))
}
