//! The punch list: every check run, one finding per place, in order of weight.

use std::cmp::Ordering;

use design::Design;
use measure::{FOOT_M, distance};
use plan::Plan;
use terrain::Swale;

use crate::{Finding, RULES, Site};

/// Checks that look at one trouble from several sides: at one place only the worst is shown, the others are named under
/// it (trade-practice section 5).
const GROUPS: [&[u16]; 8] = [
    &[1, 2, 3, 4],
    &[12, 13, 14, 113],
    &[14, 71],
    &[25, 57],
    &[36, 38],
    &[48, 90],
    &[53, 86, 88, 114],
    &[64, 65, 118],
];

/// Points this near are one place, metres: 5 ft (trade-practice section 5).
const SAME_PLACE_M: f64 = 5.0 * FOOT_M;

/// Everything that is wrong with a plan, the heaviest first; one finding per place.
pub fn punch_list(plan: &Plan, design: &Design, swales: &[Swale]) -> Vec<Finding> {
    let site = Site::new(plan, design, swales);
    let mut found: Vec<Finding> = RULES.iter().flat_map(|rule| (rule.find)(&site)).collect();
    found.sort_by(|x, y| order(&site, x, y));
    one_per_place(found)
}

fn order(site: &Site, x: &Finding, y: &Finding) -> Ordering {
    let rank = |finding: &Finding| finding.line.map(|line| site.rank(line));
    let outlet =
        |finding: &Finding| finding.outlet.and_then(|id| site.plan.outlets.get(&id)).map(|o| o.name.as_str());
    let from = |finding: &Finding| finding.from_m.unwrap_or(0.0);
    (x.severity, x.check, rank(x), outlet(x))
        .cmp(&(y.severity, y.check, rank(y), outlet(y)))
        .then(from(x).total_cmp(&from(y)))
        .then(x.at.x.total_cmp(&y.at.x))
        .then(x.at.y.total_cmp(&y.at.y))
        .then_with(|| x.message.cmp(&y.message))
}

/// Of a group at one place keeps the first of the sorted list and names the others under it.
fn one_per_place(sorted: Vec<Finding>) -> Vec<Finding> {
    let mut kept: Vec<Finding> = Vec::with_capacity(sorted.len());
    for finding in sorted {
        match kept.iter_mut().find(|other| grouped(other.check, finding.check) && same_place(other, &finding)) {
            Some(worse) => name_under(worse, &finding),
            None => kept.push(finding),
        }
    }
    kept
}

/// Names a finding under the worse one at its place, which takes its fix over where it has none.
fn name_under(worse: &mut Finding, other: &Finding) {
    let named = (other.check, other.slug);
    if worse.fix.is_none() {
        worse.fix.clone_from(&other.fix);
    }
    if other.check != worse.check && !worse.also.contains(&named) {
        worse.also.push(named);
    }
}

fn grouped(one: u16, other: u16) -> bool {
    GROUPS.iter().any(|group| group.contains(&one) && group.contains(&other))
}

/// Same line with overlapping stretch, or points near each other.
fn same_place(x: &Finding, y: &Finding) -> bool {
    if x.line.is_some() && x.line == y.line {
        if let (Some(x), Some(y)) = (extent(x), extent(y)) {
            return overlap(x, y);
        }
    }
    is_point(x) && is_point(y) && distance(x.at, y.at) <= SAME_PLACE_M
}

fn extent(finding: &Finding) -> Option<(f64, f64)> {
    finding.from_m.zip(finding.to_m)
}

fn is_point(finding: &Finding) -> bool {
    extent(finding).is_none_or(|(from_m, to_m)| to_m <= from_m)
}

/// True when two stretches share some length, when a point lies in a stretch, or when two points are near.
fn overlap(x: (f64, f64), y: (f64, f64)) -> bool {
    let shared_m = x.1.min(y.1) - x.0.max(y.0);
    let points = [x, y].iter().filter(|extent| extent.1 <= extent.0).count();
    match points {
        0 => shared_m > 0.0,
        1 => shared_m >= 0.0,
        _ => shared_m >= -SAME_PLACE_M,
    }
}
