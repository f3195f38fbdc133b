//! Check 136, a line over unknown ground.

use design::LineDesign;
use plan::{Line, LineId};

use super::elsewhere;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 136,
    slug: "no-ground",
    title: "Line over unknown ground",
    manual: "A stretch of a new line under which no ground is known: it leaves the ground, or crosses a hole in it. Depth, \
             cover and the soil to be dug are not known there, and beyond the last level that hangs from something known \
             no level is given. One for each line, the longest stretch first to see. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    if !site.land.is_awaited || elsewhere::is_off(site) {
        return Vec::new();
    }
    site.new_lines().filter_map(|(id, line, worked)| finding(site, id, line, worked)).collect()
}

fn finding(site: &Site, id: LineId, line: &Line, worked: &LineDesign) -> Option<Finding> {
    let unknown = worked.unknown_ground();
    let longest = unknown.iter().copied().reduce(|x, y| if y.1 - y.0 > x.1 - x.0 { y } else { x })?;
    let name = &line.name;
    let length = site.length(worked.unknown_ground_m());
    let parts: Vec<String> = unknown.iter().map(|part| site.stretch(part.0, part.1)).collect();
    let message = format!("{length} of {name} lie over unknown ground, {}.", parts.join(", "));
    let places = unknown.iter().map(|part| {
        site.place(id, *part, (part.0 + part.1) / 2.0, &format!("{} without ground", site.length(part.1 - part.0)))
    });
    let at = site.point(id, (longest.0 + longest.1) / 2.0);
    let advice = match site.plan.ground {
        Some(_) => "Bring in ground that reaches so far, or levels taken there, or keep the line on the ground.",
        None => "Bring the ground in.",
    };
    Some(
        Finding::new(&RULE, Severity::Block, at, format!("{name} lies over unknown ground"), message)
            .once_on(id, longest.0, longest.1)
            .amount(format!("no ground along {length}"))
            .gathers(places.collect())
            .advises(advice),
    )
}
