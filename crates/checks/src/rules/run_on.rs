//! Check 44, uphill area not cut off.

use measure::{FOOT_M, Point};
use terrain::Swale;

use crate::{Finding, Rule, Severity, Site};

/// A line this near to the way of outside water takes it in, metres (judgement; that of check 80).
const TAKES_M: f64 = 25.0 * FOOT_M;

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 44,
    slug: "run-on",
    title: "Uphill area not cut off",
    manual: "Land outside the field that drains onto it along swales that come near a drain is more than a quarter of the \
             field, and the brief does not say that it is led round or counted. It comes as storm water and as side-flow. \
             The share is a judgement. Silent without a field or terrain. To decide, one for the plan.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(field) = site.plan.field.as_ref().filter(|_| !site.plan.brief.run_on_settled) else { return Vec::new() };
    let entries: Vec<(Point, f64)> = site.swales.iter().filter_map(|swale| entry(site, swale)).collect();
    let outside_m2: f64 = entries.iter().map(|(_, area_m2)| area_m2).sum();
    let limit_m2 = site.plan.criteria.run_on_share * ring_m2(&field.ring);
    let Some((at, _)) = entries.iter().max_by(|x, y| x.1.total_cmp(&y.1)) else { return Vec::new() };
    if outside_m2 <= limit_m2 {
        return Vec::new();
    }
    let message = format!(
        "{} of outside land drain onto the block. Intercept, divert or include it.",
        site.units().area(outside_m2)
    );
    let title = "Outside water comes onto the block".to_string();
    vec![Finding::new(&RULE, Severity::Decide, *at, title, message).misses(outside_m2, limit_m2)]
}

/// Where a swale comes in from outside with what it brings, if a drain lies near it further down.
fn entry(site: &Site, swale: &Swale) -> Option<(Point, f64)> {
    // Swales run downstream where their areas grow along them.
    let grows = swale.area_m2.first()? <= swale.area_m2.last()?;
    let count = swale.points.len();
    let order: Vec<usize> = if grows { (0..count).collect() } else { (0..count).rev().collect() };
    let inside = |i: usize| site.in_field(swale.points[i]);
    let step = order.windows(2).position(|pair| !inside(pair[0]) && inside(pair[1]))?;
    let near_drain = |i: &usize| {
        let near = site.pieces.paths_near(swale.points[*i], TAKES_M);
        near.iter().any(|(path, ..)| !site.is_old(plan::LineId(*path)))
    };
    order[step + 1..].iter().take_while(|i| inside(**i)).any(near_drain).then(|| {
        let at = order[step + 1];
        (swale.points[at], swale.area_m2[order[step]])
    })
}

/// Area of a ring, square metres.
fn ring_m2(ring: &[Point]) -> f64 {
    let Some(origin) = ring.first() else { return 0.0 };
    let next = ring.iter().cycle().skip(1);
    let doubled: f64 = (ring.iter().zip(next))
        .map(|(p, q)| (p.x - origin.x) * (q.y - origin.y) - (q.x - origin.x) * (p.y - origin.y))
        .sum();
    doubled.abs() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    /// A swale of 10,000 m² comes from the north into a field of 300 by 400 ft (11,148 m²) and meets the main.
    #[test]
    fn a_swale_from_next_door() {
        let mut job = Job::new();
        job.main(300.0);
        job.field(&[(0.0, -10.0), (300.0, -10.0), (300.0, 390.0), (0.0, 390.0)]);
        assert!(job.found(&RULE).is_empty());
        job.swale(&[(150.0, 500.0), (150.0, 380.0), (150.0, 200.0), (150.0, 5.0)]);
        assert_eq!(
            job.only(&RULE).message,
            "2.47 ac of outside land drain onto the block. Intercept, divert or include it."
        );
        job.plan.brief.run_on_settled = true;
        assert!(job.found(&RULE).is_empty());
    }

    #[test]
    fn a_swale_that_begins_inside() {
        let mut job = Job::new();
        job.main(300.0);
        job.field(&[(0.0, -10.0), (300.0, -10.0), (300.0, 390.0), (0.0, 390.0)]);
        job.swale(&[(150.0, 380.0), (150.0, 200.0), (150.0, 5.0)]);
        assert!(job.found(&RULE).is_empty());
    }
}
