//! Check 80, swale without pipe.

use measure::{Point, along, distance};
use plan::{Evidence, LandmarkKind, LineId, LineKind, Outline};
use terrain::{Depression, Swale};

use super::marks::holds;
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 80,
    slug: "swale-no-pipe",
    title: "Swale without pipe",
    manual: "Inside the field no line comes within 25 ft of a swale that gathers 3 ac or more, or of a closed depression of \
             0.05 ac and 0.25 ft or more: to decide, one for each. From 1 to 3 ac a note, one for the plan. A line that \
             a swale meets serves all of the swale above it; below it only what gathers anew counts. Old tile serves \
             where it was seen. A wet area marked \"leave\" over the place silences it. Judgements. Silent without \
             terrain.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let criteria = &site.plan.criteria;
    if site.new_lines().next().is_none() {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut small = Vec::new();
    for swale in site.swales {
        let Some((at, area_m2)) = unserved(site, swale) else { continue };
        if area_m2 >= criteria.swale_area_m2 {
            found.push(hollow(site, at, area_m2));
        } else if area_m2 >= criteria.swale_note_m2 {
            small.push((at, area_m2));
        }
    }
    for pond in site.hollows {
        let deep = pond.area_m2 >= criteria.hollow_area_m2 && pond.depth_m >= criteria.hollow_depth_m;
        let at = pond.deepest;
        if deep && site.in_field(at) && !is_left(site, at) && !has_line(site, at) {
            found.push(closed(site, at, pond));
        }
    }
    found.extend(noted(site, &small));
    found
}

/// The place on a swale where most water gathers that no line has met, and the area it comes from, square metres.
fn unserved(site: &Site, swale: &Swale) -> Option<(Point, f64)> {
    let way = way(swale, site.plan.criteria.swale_near_m);
    let met = way.iter().rposition(|(at, _)| has_line(site, *at));
    // What the last line met has left the swale there.
    let (met_m2, below) = met.map_or((0.0, &way[..]), |i| (way[i].1, &way[i + 1..]));
    let open = below.iter().filter(|(at, _)| site.in_field(*at) && !is_left(site, *at));
    open.map(|(at, area_m2)| (*at, area_m2 - met_m2)).max_by(|x, y| x.1.total_cmp(&y.1))
}

/// Places along a swale from the top down, no farther apart than that, with the area uphill of each.
fn way(swale: &Swale, apart_m: f64) -> Vec<(Point, f64)> {
    let known: Vec<(Point, f64)> = swale.points.iter().copied().zip(swale.area_m2.iter().copied()).collect();
    let between = |pair: &[(Point, f64)]| {
        let ((a, a_m2), (b, b_m2)) = (pair[0], pair[1]);
        let count = (distance(a, b) / apart_m.max(1.0)).ceil().clamp(1.0, 10_000.0);
        let place = move |i: usize| {
            let share = i as f64 / count;
            (along(a, b, share), a_m2 + (b_m2 - a_m2) * share)
        };
        (0..count as usize).map(place).collect::<Vec<_>>()
    };
    known.windows(2).flat_map(between).chain(known.last().copied()).collect()
}

fn hollow(site: &Site, at: Point, area_m2: f64) -> Finding {
    let area = site.units().area(area_m2);
    let message = format!("A hollow collects {area} and has no line. Draw one or mark \"leave\".");
    Finding::new(&RULE, Severity::Decide, at, "A hollow without a line".into(), message)
        .misses(area_m2, site.plan.criteria.swale_area_m2)
}

fn closed(site: &Site, at: Point, pond: &Depression) -> Finding {
    let units = site.units();
    let (area, depth) = (units.area(pond.area_m2), units.depth(pond.depth_m));
    let message = format!("A closed hollow of {area}, {depth} deep, has no line. Draw one or mark \"leave\".");
    Finding::new(&RULE, Severity::Decide, at, "A closed hollow without a line".into(), message)
        .misses(pond.area_m2, site.plan.criteria.hollow_area_m2)
}

fn noted(site: &Site, small: &[(Point, f64)]) -> Option<Finding> {
    let (at, _) = small.iter().max_by(|x, y| x.1.total_cmp(&y.1))?;
    let what =
        if small.len() == 1 { "A small swale has".into() } else { format!("{} small swales have", small.len()) };
    let place = |(at, area_m2): &(Point, f64)| Place {
        line: None,
        from_m: 0.0,
        to_m: 0.0,
        at: *at,
        text: site.units().area(*area_m2),
    };
    let message = format!("{what} no line. Draw one or mark \"leave\".");
    Some(
        Finding::new(&RULE, Severity::Note, *at, "Small swales without a line".into(), message)
            .gathers(small.iter().map(place).collect()),
    )
}

fn has_line(site: &Site, at: Point) -> bool {
    let serves = |id: u32| match site.plan.lines.get(&LineId(id)).map(|line| line.kind) {
        Some(LineKind::OldTile(old)) => old.evidence != Evidence::Suspected,
        kind => kind.is_some(),
    };
    site.pieces.paths_near(at, site.plan.criteria.swale_near_m).into_iter().any(|(id, ..)| serves(id))
}

/// True in a wet area that is left as it is.
fn is_left(site: &Site, at: Point) -> bool {
    site.plan.landmarks.values().any(|mark| match (&mark.kind, &mark.outline) {
        (LandmarkKind::WetArea { leave: true, .. }, Outline::Around(ring)) => holds(ring, at),
        _ => false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, around};

    /// The test's swales carry 10,000 m² (2.5 ac): a note; with the limit at 2 ac a decision.
    #[test]
    fn a_swale_far_from_the_main() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 200.0), (100.0, 60.0)]);
        assert_eq!(job.only(&RULE).severity, Severity::Note);
        job.plan.criteria.swale_area_m2 = 8_000.0;
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "A hollow collects 2.47 ac and has no line. Draw one or mark \"leave\".");
        let left = LandmarkKind::WetArea { cause: None, leave: true };
        job.mark("W", left, around(50.0, 50.0, 150.0, 250.0));
        assert!(job.found(&RULE).is_empty());
    }

    #[test]
    fn a_swale_that_a_line_meets() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 200.0), (100.0, 20.0)]);
        assert!(job.found(&RULE).is_empty());
    }

    /// The main crosses a straight piece of 400 ft between its ends.
    #[test]
    fn a_line_that_crosses_between_two_points() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 300.0), (100.0, -100.0)]);
        assert!(job.found(&RULE).is_empty());
    }

    /// A line at the head of a swale takes 0.2 ac of the 2.5 that the swale brings in the end, or all but 0.7 of it.
    #[test]
    fn what_gathers_below_the_line_counts() {
        for (head_m2, found) in [(1_000.0, true), (7_000.0, false)] {
            let mut job = Job::new();
            job.main(300.0);
            job.swale(&[(100.0, 20.0), (100.0, -60.0), (100.0, -200.0)]).gathering(&[head_m2, 8_000.0, 10_000.0]);
            assert_eq!(job.found(&RULE).len() == 1, found);
        }
    }

    /// Old tile that nobody has seen drains nothing for certain.
    #[test]
    fn suspected_tile_serves_no_swale() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 200.0), (100.0, 60.0)]);
        let t1 = job.line("T1", crate::job::suspected(), &[(100.0, 60.0), (100.0, 190.0)], plan::Joins::Nothing);
        assert_eq!(job.found(&RULE).len(), 1);
        let seen = plan::OldTile { evidence: Evidence::Seen, ..plan::OldTile::default() };
        job.change(t1, |line| line.kind = LineKind::OldTile(seen));
        assert!(job.found(&RULE).is_empty());
    }
}
