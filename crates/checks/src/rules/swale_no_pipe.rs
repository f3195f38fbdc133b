//! Check 80, swale without pipe.

use measure::{Point, Segment, distance, extent, point_at};
use terrain::{Depression, Grid, Profile, Swale};

use super::swales::{Course, common, drains, is_in_channel, is_left, left, less};
use crate::stretch::{Stretch, under};
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 80,
    slug: "swale-no-pipe",
    title: "Swale without pipe",
    manual: "Inside the field 50 ft or more of a swale that gathers 3 ac or more have no drain within 25 ft, whatever serves \
             the swale above or below; or a closed depression of 0.05 ac and 0.25 ft or more has no drain and no inlet in \
             it: to decide, one for each. From 1 to 3 ac a note, one for the plan. A drain is perforated pipe, or old tile \
             that was seen, runs and stays; the lines of a grid serve as far as they drain (half the computed spacing, 50 ft \
             where none is known). The channel that takes the water is no place for pipe: along a drawn ditch, \
             within 50 ft of the boundary along which it runs, below an outlet. A wet area marked \"leave\" over the place \
             silences it. Judgments. Silent without terrain.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    if site.new_lines().next().is_none() {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut small = Vec::new();
    for course in site.courses() {
        match open(site, course) {
            Some(open) if open.counts => found.push(hollow(site, &open)),
            Some(open) => small.push(open),
            None => {}
        }
    }
    if let Some(ground) = site.land.ground.as_deref() {
        let ponds = site.land.depressions.iter().filter(|pond| is_undrained(site, ground.grid(), pond));
        found.extend(ponds.map(|pond| closed(site, pond)));
    }
    found.extend(noted(site, &small));
    found
}

/// The parts of a swale that have no drain.
struct Open {
    /// Each with the place where most water gathers.
    parts: Vec<(Stretch, Point)>,
    /// Most area that gathers in any of them, square metres, and where.
    area_m2: f64,
    at: Point,
    /// Where the swale begins, by which it is known.
    top: Point,
    /// True from the area on that needs a line; a note else.
    counts: bool,
}

fn open(site: &Site, course: &Course) -> Option<Open> {
    let (criteria, swale) = (&site.plan.criteria, course.swale);
    let areas = areas(swale);
    let worth = gathering(&areas, criteria.swale_note_m2);
    if worth.is_empty() {
        return None;
    }
    let inside = less(&less(&course.inside, &course.channel), &left(site, swale));
    let dry = less(&common(&worth, &inside), &course.drained);
    let long = |parts: Vec<Stretch>| -> Vec<Stretch> {
        parts.into_iter().filter(|part| part.length_m() >= criteria.swale_length_m).collect()
    };
    let needed = long(common(&dry, &gathering(&areas, criteria.swale_area_m2)));
    let (parts, counts) = if needed.is_empty() { (long(dry), false) } else { (needed, true) };
    // Most gathers where a part ends.
    let ends = parts.iter().map(|part| (*part, point_at(&swale.points, part.to_m), area_at(&areas, part.to_m)));
    let ends: Vec<_> = ends.filter_map(|(part, at, area_m2)| Some((part, at?, area_m2))).collect();
    let (_, at, area_m2) = *ends.iter().max_by(|x, y| x.2.total_cmp(&y.2))?;
    Some(Open {
        parts: ends.into_iter().map(|(part, at, _)| (part, at)).collect(),
        area_m2,
        at,
        top: *swale.points.first()?,
        counts,
    })
}

/// Area that gathers at each point of a swale, by its station from the top.
fn areas(swale: &Swale) -> Vec<(f64, f64)> {
    let mut station_m = 0.0;
    let points = swale.points.iter().enumerate().map(|(i, point)| {
        station_m += if i > 0 { measure::distance(swale.points[i - 1], *point) } else { 0.0 };
        station_m
    });
    points.zip(swale.area_m2.iter().copied()).collect()
}

/// Where at least so much gathers.
fn gathering(areas: &[(f64, f64)], least_m2: f64) -> Vec<Stretch> {
    let less: Vec<(f64, Option<f64>)> = areas.iter().map(|(at_m, area_m2)| (*at_m, Some(-area_m2))).collect();
    under(Profile::through(&less).pieces().iter().copied(), -least_m2 * (1.0 - 1e-9))
}

fn area_at(areas: &[(f64, f64)], station_m: f64) -> f64 {
    let after = areas.partition_point(|(at_m, _)| *at_m < station_m);
    let (Some(high), Some(low)) = (areas.get(after).or(areas.last()), areas.get(after.saturating_sub(1))) else {
        return 0.0;
    };
    let share = if high.0 > low.0 { ((station_m - low.0) / (high.0 - low.0)).clamp(0.0, 1.0) } else { 1.0 };
    low.1 + (high.1 - low.1) * share
}

/// True for a hollow that counts, lies in the field, and has neither a drain nor an inlet in it.
fn is_undrained(site: &Site, grid: &Grid, pond: &Depression) -> bool {
    let criteria = &site.plan.criteria;
    let deep = pond.area_m2 >= criteria.hollow_area_m2 && pond.depth_m >= criteria.hollow_depth_m;
    let holds = |at: Point| {
        let cell = grid.cell_at(at).map(|(col, row)| (row * grid.cols() + col) as u32);
        cell.is_some_and(|cell| pond.cells.binary_search(&cell).is_ok())
    };
    deep && is_ours(site, grid, pond) && !has_inlet(site, &holds) && !has_drain(site, grid, pond, &holds)
}

/// True for a hollow in the field: not where most of it lies beyond, nor in the channel that takes the water.
fn is_ours(site: &Site, grid: &Grid, pond: &Depression) -> bool {
    if !site.in_field(pond.deepest) || is_left(site, pond.deepest) || is_in_channel(site, pond.deepest) {
        return false;
    }
    // Only near the boundary can most of it lie beyond.
    let spot = Segment::new(pond.deepest, pond.deepest);
    let (low, high) = corners(grid, pond);
    let reach_m = distance(low, high);
    let centre = |cell: &u32| grid.centre(*cell as usize % grid.cols(), *cell as usize / grid.cols());
    site.sides().reached(&spot, reach_m).is_empty()
        || 2 * pond.cells.iter().filter(|cell| site.in_field(centre(cell))).count() >= pond.cells.len()
}

/// The corners of the box round a hollow.
fn corners(grid: &Grid, pond: &Depression) -> (Point, Point) {
    let centre = |cell: &u32| grid.centre(*cell as usize % grid.cols(), *cell as usize / grid.cols());
    extent(pond.cells.iter().map(centre)).unwrap_or((pond.deepest, pond.deepest))
}

fn has_inlet(site: &Site, holds: &impl Fn(Point) -> bool) -> bool {
    site.new_lines().any(|(id, line, _)| {
        let inlets = line.structures.iter().filter(|structure| structure.kind.catching().is_some());
        inlets.into_iter().any(|inlet| holds(site.point(id, inlet.station_m)))
    })
}

/// True where a drain passes through a hollow, up to the level at which it spills, or close by its deepest place.
fn has_drain(site: &Site, grid: &Grid, pond: &Depression, holds: &impl Fn(Point) -> bool) -> bool {
    let near_m = site.plan.criteria.swale_near_m;
    let step_m = grid.cell_m().0.min(grid.cell_m().1) / 4.0;
    let (low, high) = corners(grid, pond);
    let diagonal = Segment::new(low, high);
    site.pieces.reached(&diagonal, near_m).into_iter().flat_map(|piece| drains(site, piece)).any(|drain| {
        let mut places = drain.parts(step_m).flat_map(|part| [part.a, part.b]);
        drain.square_to(pond.deepest) <= near_m * near_m || places.any(holds)
    })
}

fn hollow(site: &Site, open: &Open) -> Finding {
    let units = site.units();
    let (length, area) = (site.length(length_m(open)), units.area(open.area_m2));
    let near = site.length(site.plan.criteria.swale_near_m);
    let (of, most) = match open.parts.len() {
        1 => ("a swale".to_string(), ""),
        count => (format!("a swale in {count} parts"), "up to "),
    };
    let message = format!("{length} of {of} with {most}{area} behind it have no drain within {near}.");
    let places = open.parts.iter().map(|(part, at)| place(*at, site.length(part.length_m())));
    let places = if open.parts.len() > 1 { places.collect() } else { Vec::new() };
    Finding::new(&RULE, Severity::Decide, open.at, "A swale without a drain".into(), message)
        .gathers(places)
        .keyed(format!("swale {}", key(open.top)))
        .advises("Draw a drain along it, draw the ditch if it is one, or mark a wet area over it that is left wet.")
        .misses(open.area_m2, site.plan.criteria.swale_area_m2)
}

/// A place in a key, whole metres of the plane.
fn key(at: Point) -> String {
    format!("x{}y{}", measure::fixed(at.x, 0), measure::fixed(at.y, 0))
}

fn length_m(open: &Open) -> f64 {
    open.parts.iter().map(|(part, _)| part.length_m()).sum()
}

fn place(at: Point, text: String) -> Place {
    Place { line: None, from_m: 0.0, to_m: 0.0, at, text }
}

fn closed(site: &Site, pond: &Depression) -> Finding {
    let units = site.units();
    let (area, depth) = (units.area(pond.area_m2), units.depth(pond.depth_m));
    let message = format!("A closed hollow of {area}, {depth} deep, has no line.");
    Finding::new(&RULE, Severity::Decide, pond.deepest, "A closed hollow without a line".into(), message)
        .keyed(format!("hollow {}", key(pond.deepest)))
        .advises("Draw a drain or set an inlet in it, or mark a wet area over it that is left wet.")
        .misses(pond.area_m2, site.plan.criteria.hollow_area_m2)
}

fn noted(site: &Site, small: &[Open]) -> Option<Finding> {
    let units = site.units();
    let most = small.iter().max_by(|x, y| x.area_m2.total_cmp(&y.area_m2))?;
    let what =
        if small.len() == 1 { "A small swale has".into() } else { format!("{} small swales have", small.len()) };
    let text = |open: &Open| format!("{}, {}", site.length(length_m(open)), units.area(open.area_m2));
    let message = format!("{what} no line.");
    Some(
        Finding::new(&RULE, Severity::Note, most.at, "Small swales without a line".into(), message)
            .keyed("small")
            .advises("Draw a drain along each, or mark wet areas over them that are left wet.")
            .gathers(small.iter().map(|open| place(open.at, text(open))).collect()),
    )
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use measure::FOOT_M;
    use plan::{Decision, Evidence, LandmarkKind, LineKind, OldTile};

    use super::*;
    use crate::job::{Job, around};

    /// The test's swales carry 10,000 m² (2.5 ac): a note; with the limit at 2 ac a decision.
    #[test]
    fn a_swale_far_from_the_main() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 200.0), (100.0, 60.0)]);
        assert_eq!(job.only(&RULE).severity, Severity::Note);
        assert_eq!(job.only(&RULE).places[0].text, "140 ft, 2.47 ac");
        job.plan.criteria.swale_area_m2 = 8_000.0;
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "140 ft of a swale with 2.47 ac behind it have no drain within 25 ft.");
        let left = LandmarkKind::WetArea { cause: None, leave: true };
        let mark = job.mark("W", left.clone(), around(50.0, 50.0, 150.0, 250.0));
        assert!(job.found(&RULE).is_empty());
        // Left up to 1+20 only: 80 ft are not.
        job.plan.landmarks.remove(&mark);
        job.mark("W", left, around(50.0, 50.0, 150.0, 120.0));
        assert!(job.only(&RULE).message.starts_with("80 ft of a swale"), "{}", job.only(&RULE).message);
    }

    /// The main crosses a straight swale of 400 ft: 275 ft above it and 75 ft below it are farther than 25 ft away, and it
    /// serves neither.
    #[test]
    fn a_line_across_serves_what_lies_near_it() {
        let mut job = Job::new();
        job.main(300.0);
        job.plan.criteria.swale_area_m2 = 8_000.0;
        job.swale(&[(100.0, 300.0), (100.0, -100.0)]);
        let finding = job.only(&RULE);
        assert!(
            finding.message.starts_with("350 ft of a swale in 2 parts with up to 2.47 ac"),
            "{}",
            finding.message
        );
        let lengths: Vec<&str> = finding.places.iter().map(|place| place.text.as_str()).collect();
        assert_eq!(lengths, ["275 ft", "75 ft"]);
        // A lateral up the swale leaves 35 ft at its head and the 75 ft below the main; 35 ft are tolerated.
        let m1 = job.plan.line_named("M1").unwrap();
        job.line("L1", crate::job::LATERAL, &[(100.0, 0.0), (100.0, 240.0)], plan::Joins::Line(m1));
        assert!(job.only(&RULE).message.starts_with("75 ft of a swale with 2.47 ac"));
    }

    /// The limit is met half-way down: of 200 ft the lower 100 gather 2 ac and more.
    #[test]
    fn only_what_gathers_enough_counts() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 300.0), (100.0, 100.0)]).gathering(&[6_000.0, 10_000.0]);
        job.plan.criteria.swale_area_m2 = 8_000.0;
        assert!(job.only(&RULE).message.starts_with("100 ft of a swale with 2.47 ac"));
    }

    /// A swale across a grid of laterals 90 ft apart, which drain 50 ft to each side where no pit allows a spacing; lines
    /// drawn one by one serve 25 ft.
    #[test]
    fn a_grid_drains_what_lies_between_its_lines() {
        let mut job = Job::new();
        let m1 = job.main(500.0);
        job.swale(&[(460.0, 150.0), (40.0, 150.0)]);
        let line = |job: &mut Job, x: f64| {
            job.line(&format!("L{x}"), crate::job::LATERAL, &[(x, 0.0), (x, 300.0)], plan::Joins::Line(m1))
        };
        let ids: Vec<_> = [40.0, 130.0, 220.0, 310.0, 400.0].map(|x| line(&mut job, x)).to_vec();
        // The last 35 ft beyond the outer line are tolerated; between two lines 40 ft are too.
        assert!(job.found(&RULE).is_empty());
        job.plan.criteria.swale_length_m = 30.0 * FOOT_M;
        assert_eq!(job.only(&RULE).places[0].text, "195 ft, 2.47 ac");
        for id in ids {
            job.change(id, |line| line.pattern = plan::Pattern::Parallel);
        }
        assert!(job.found(&RULE).is_empty());
    }

    /// Solid pipe drains nothing.
    #[test]
    fn solid_pipe_serves_no_swale() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.swale(&[(300.0, 5.0), (30.0, 5.0)]);
        assert!(job.found(&RULE).is_empty());
        let pipe = plan::Stretch {
            from_m: job.plan.lines[&m1].length_m() / 3.0,
            to_m: job.plan.lines[&m1].length_m() * 2.0 / 3.0,
            solid: true,
            heavy: false,
            must_be_solid: false,
            plugged: false,
            ..plan::Stretch::default()
        };
        job.change(m1, |line| *line = line.with_stretch(pipe));
        // From 25 ft off the one end to 25 ft off the other, the swale 5 ft beside: 100 ft less two times 24.5.
        assert!(job.only(&RULE).places[0].text.starts_with("51 ft"), "{:?}", job.only(&RULE).places);
    }

    /// A creek that winds along the south side of the field, 20 to 40 ft inside it; where it turns into the field to the
    /// north it is a swale again.
    #[test]
    fn the_creek_on_the_boundary() {
        let mut job = Job::new();
        let outlet = job.outlet("O1", (100.0, 130.0), 100.0);
        job.line("M1", crate::job::MAIN, &[(100.0, 130.0), (100.0, 400.0)], outlet);
        job.field(&[(-500.0, 0.0), (500.0, 0.0), (500.0, 500.0), (-500.0, 500.0)]);
        job.swale(&[(480.0, 30.0), (300.0, 20.0), (150.0, 40.0), (-100.0, 25.0), (-480.0, 35.0)]);
        assert!(job.found(&RULE).is_empty());
        job.swale(&[(-300.0, 400.0), (-300.0, 30.0)]);
        // It runs onto the boundary and not along it, to its end.
        assert!(job.only(&RULE).places[0].text.starts_with("370 ft"), "{:?}", job.only(&RULE).places);
    }

    /// A swale below the outlet takes the main's water; above it is drained by the main.
    #[test]
    fn the_channel_below_an_outlet() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(300.0, 5.0), (0.0, 5.0), (-400.0, 5.0)]);
        assert!(job.found(&RULE).is_empty());
    }

    /// A drawn ditch is no place for pipe.
    #[test]
    fn a_drawn_ditch() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 400.0), (100.0, 100.0)]);
        assert_eq!(job.found(&RULE).len(), 1);
        let points = vec![crate::job::ft(110.0, 420.0), crate::job::ft(110.0, 80.0)];
        let ditch = plan::Watercourse { name: "D1".into(), kind: plan::WatercourseKind::Ditch, points };
        let (_, edit) = plan::add_watercourse(&job.plan, ditch);
        job.plan.apply(&edit).unwrap();
        assert!(job.found(&RULE).is_empty());
    }

    /// Old tile drains where it was seen, unless it stands dry or goes.
    #[test]
    fn old_tile_that_runs_serves_a_swale() {
        let mut job = Job::new();
        job.main(300.0);
        job.swale(&[(100.0, 200.0), (100.0, 60.0)]);
        let t1 = job.line("T1", crate::job::suspected(), &[(100.0, 60.0), (100.0, 190.0)], plan::Joins::Nothing);
        assert_eq!(job.found(&RULE).len(), 1);
        let seen = OldTile { evidence: Evidence::Seen, ..OldTile::default() };
        let plugged = OldTile { decision: Some(Decision::Plug), ..seen };
        for (old, found) in [(seen, 0), (OldTile { runs: Some(false), ..seen }, 1), (plugged, 1)] {
            job.change(t1, |line| line.kind = LineKind::OldTile(old));
            assert_eq!(job.found(&RULE).len(), found, "{old:?}");
        }
    }

    /// A bowl 120 ft wide and 1.5 ft deep round (300, 200): a lateral through its rim, 45 ft from its deepest place, drains
    /// it, one 10 ft outside the rim does not; nor does solid pipe, but for an inlet on it.
    #[test]
    fn a_hollow_is_drained_by_pipe_in_it() {
        let level = |cell: usize| {
            let (x, y) = ((cell % 120) as f64 * 5.0 + 2.5, 400.0 - (cell / 120) as f64 * 5.0 - 2.5);
            let from_m = measure::distance(crate::job::ft(x, y), crate::job::ft(300.0, 200.0)) / FOOT_M;
            ((100.0 + 0.002 * x - (1.5 - from_m / 40.0).max(0.0)) * FOOT_M) as f32
        };
        let (cell_m, corner) = (5.0 * FOOT_M, (0.0, 400.0 * FOOT_M));
        let levels = (0..120 * 80).map(level).collect();
        let ground = terrain::Ground::from_grid(Grid::new((120, 80), corner, (cell_m, cell_m), levels).unwrap());
        let water = terrain::Water::of(ground.grid());
        let ponds = water.depressions(ground.grid(), 0.25 * FOOT_M, 200.0);
        assert_eq!(ponds.len(), 1);
        let (ground, depressions) = (Some(Arc::new(ground)), Arc::new(ponds));
        let land = land::Land { ground, depressions, ..land::Land::default() };
        let found = |job: &Job| {
            let design = job.design();
            let site = Site::new(&job.plan, &design, &land);
            (RULE.find)(&site).len()
        };
        let with = |off_ft: f64| {
            let mut job = Job::new();
            let m1 = job.main(500.0);
            let x = 300.0 + off_ft;
            let l1 = job.line("L1", crate::job::LATERAL, &[(x, 0.0), (x, 400.0)], plan::Joins::Line(m1));
            (job, l1)
        };
        let (mut near, l1) = with(45.0);
        assert_eq!((found(&near), found(&with(70.0).0)), (0, 1));
        let length_m = near.plan.lines[&l1].length_m();
        let (from_m, to_m) = (0.0, length_m);
        let solid = plan::Stretch { from_m, to_m, solid: true, heavy: false, ..plan::Stretch::default() };
        near.change(l1, |line| *line = line.with_stretch(solid));
        assert_eq!(found(&near), 1);
        let catching =
            plan::Catching { area_m2: 500.0, coefficient_ms: None, riser_m: None, throttled: false, trapped: false };
        let kind = plan::StructureKind::BlindInlet(catching);
        let inlet = plan::Structure { station_m: length_m / 2.0, kind };
        near.change(l1, |line| *line = line.with_structure(inlet));
        assert_eq!(found(&near), 0);
    }
}
