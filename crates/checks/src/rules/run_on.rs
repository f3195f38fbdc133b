//! Check 44, uphill area not cut off.

use measure::{Point, point_at, ring_m2};
use terrain::Swale;

use super::swales::{Course, common, less};
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 44,
    slug: "run-on",
    title: "Uphill area not cut off",
    manual: "Land outside the field that drains onto it along swales that come near a drain is more than a quarter of the \
             field, and the brief does not say that it is led round or counted. It comes as storm water and as side-flow. \
             A creek or ditch that takes the water, as along the boundary, does not count. The share is a judgment. \
             Silent without a field or terrain. To decide, one for the plan.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(field) = site.plan.field.as_ref().filter(|_| !site.plan.brief.run_on_settled) else { return Vec::new() };
    let entries: Vec<(Point, f64)> = site.courses().iter().filter_map(entry).collect();
    let outside_m2: f64 = entries.iter().map(|(_, area_m2)| area_m2).sum();
    let limit_m2 = site.plan.criteria.run_on_share * ring_m2(&field.ring).abs();
    let Some((at, _)) = entries.iter().max_by(|x, y| x.1.total_cmp(&y.1)) else { return Vec::new() };
    if outside_m2 <= limit_m2 {
        return Vec::new();
    }
    let message = format!("{} of outside land drain onto the block.", site.units().area(outside_m2));
    let title = "Outside water comes onto the block".to_string();
    vec![
        Finding::new(&RULE, Severity::Decide, *at, title, message)
            .misses(outside_m2, limit_m2)
            .advises("Lead it round or count it, and say so in the brief."),
    ]
}

/// Where a swale comes in from outside with what it brings, if a drain lies near it further down inside the field, and not
/// where it is the channel that takes the water.
fn entry(course: &Course) -> Option<(Point, f64)> {
    let from = course.inside.iter().find(|part| part.from_m > 0.0)?;
    let taken = less(&common(&[*from], &course.drained), &course.channel);
    (!taken.is_empty()).then_some(())?;
    Some((point_at(&course.swale.points, from.from_m)?, area_before(course.swale, from.from_m)))
}

/// Area that gathers at the last point of a swale before a station.
fn area_before(swale: &Swale, station_m: f64) -> f64 {
    let mut so_far_m = 0.0;
    let mut area_m2 = swale.area_m2.first().copied().unwrap_or(0.0);
    for (pair, after_m2) in swale.points.windows(2).zip(swale.area_m2.iter().skip(1)) {
        so_far_m += measure::distance(pair[0], pair[1]);
        if so_far_m > station_m {
            break;
        }
        area_m2 = *after_m2;
    }
    area_m2
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
        assert_eq!(job.only(&RULE).message, "2.47 ac of outside land drain onto the block.");
        job.plan.brief.run_on_settled = true;
        assert!(job.found(&RULE).is_empty());
    }

    /// A creek that comes in from the east and runs 30 ft inside the south side, past the end of the main.
    #[test]
    fn a_creek_along_the_boundary() {
        let mut job = Job::new();
        let outlet = job.outlet("O1", (0.0, 25.0), 100.0);
        job.line("M1", crate::job::MAIN, &[(0.0, 25.0), (0.0, 300.0)], outlet);
        job.field(&[(-200.0, -10.0), (300.0, -10.0), (300.0, 390.0), (-200.0, 390.0)]);
        job.swale(&[(500.0, 20.0), (250.0, 20.0), (0.0, 20.0), (-190.0, 20.0)]).gathering(&[90_000.0; 4]);
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
