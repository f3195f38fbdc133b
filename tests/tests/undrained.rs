//! Swales without a drain on real ground, under plans as a beginner draws them: a main up the lowest swale, three laterals.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test, figures are shown")]

use crate::common::real::{apply, cut, land, plan_on};
use job::Worked;
use measure::{FOOT_M, Point, Units, nearest_on, path_length, point_at};
use plan::{Change, Edit, Field, Joins, Line, LineKind, Outlet, Plan, SizeBy};
use terrain::Swale;

/// What check 80 tells of swales: how many feet in all.
fn told_ft(worked: &Worked) -> f64 {
    let of_swale =
        worked.findings.iter().filter(|finding| finding.check == 80 && finding.message.contains("of a swale"));
    of_swale.map(|finding| finding.message.split(' ').next().unwrap().parse::<f64>().unwrap()).sum()
}

/// The same looked up step by step, metres: inside the field and `off_m` off its sides, 3 ac behind, no pipe within 25 ft,
/// not below the outlet, 50 ft and more at a time.
fn looked_up_m(plan: &Plan, swale: &Swale, off_m: f64) -> f64 {
    const STEP_M: f64 = 0.25;
    let ring = &plan.field.as_ref().unwrap().ring;
    let (low, high) = (ring[0], ring[2]);
    let outlet = plan.outlets.values().next().unwrap();
    let below = nearest_on(&swale.points, outlet.at).filter(|met| met.2 <= 50.0 * FOOT_M);
    let below_m = below.map_or(f64::INFINITY, |met| met.0);
    // Solid outlet pipe drains nothing.
    let open = |line: &Line| {
        let solid_m = if matches!(line.joins, Joins::Outlet(_)) { outlet.outlet_pipe_m } else { 0.0 };
        let mut path = vec![point_at(&line.points, solid_m).unwrap()];
        let mut far_m = 0.0;
        for pair in line.points.windows(2) {
            far_m += measure::distance(pair[0], pair[1]);
            path.extend((far_m > solid_m).then_some(pair[1]));
        }
        path
    };
    let pipes: Vec<Vec<Point>> = plan.lines.values().map(open).collect();
    let (mut total_m, mut run_m, mut station_m) = (0.0, 0.0, 0.0);
    let mut end = |run_m: &mut f64| {
        total_m += if *run_m >= 50.0 * FOOT_M { *run_m } else { 0.0 };
        *run_m = 0.0;
    };
    for (k, pair) in swale.points.windows(2).enumerate() {
        let length_m = measure::distance(pair[0], pair[1]);
        let steps = (length_m / STEP_M).ceil().max(1.0);
        for i in 0..steps as usize {
            let share = (i as f64 + 0.5) / steps;
            let at = measure::along(pair[0], pair[1], share);
            let area_m2 = swale.area_m2[k] + (swale.area_m2[k + 1] - swale.area_m2[k]) * share;
            let inside =
                at.x > low.x + off_m && at.x < high.x - off_m && at.y > low.y + off_m && at.y < high.y - off_m;
            let piped = pipes.iter().any(|pipe| nearest_on(pipe, at).unwrap().2 <= 25.0 * FOOT_M);
            let open = inside && !piped && area_m2 >= plan.criteria.swale_area_m2;
            if open && station_m + share * length_m < below_m {
                run_m += length_m / steps;
            } else {
                end(&mut run_m);
            }
        }
        station_m += length_m;
    }
    end(&mut run_m);
    total_m
}

/// Whatever of a swale has no drain is told, wherever it is: as much as is looked up step by step, give or take what runs
/// along the boundary and is the channel there.
#[test]
fn every_undrained_stretch_is_told() {
    for name in ["ia_slope_s_3m", "ia_patches_h_3m", "slo_hills_1m", "at_hoal_10m"] {
        let Some(land) = land(name) else { continue };
        let plan = plan_on(&land);
        let told_ft = told_ft(&Worked::of(plan.clone(), &land));
        let all =
            |off_m: f64| -> f64 { land.swales.iter().map(|swale| looked_up_m(&plan, swale, off_m) / FOOT_M).sum() };
        let (least, most) = (all(50.0 * FOOT_M), all(0.0));
        println!("{name}: {told_ft} ft told, {least:.0} to {most:.0} ft looked up, {} lines", plan.lines.len());
        assert!(told_ft > 500.0 && (0.98 * least - 60.0..=1.02 * most + 60.0).contains(&told_ft), "{name}");
    }
}

/// A boundary drawn along the middle of the largest swale, as along a creek, with the field on one side of it: nothing of
/// that swale is to be piped, nor is the main told to move into it, nor does its water count as run-on.
#[test]
fn the_creek_on_the_boundary_is_left_alone() {
    for name in ["ia_slope_s_3m", "slo_hills_1m", "at_hoal_10m"] {
        let Some(land) = land(name) else { continue };
        let (low, high) = land.grid().unwrap().extent();
        let middle =
            |p: &&Point| p.x > low.x + 150.0 && p.x < high.x - 150.0 && p.y > low.y + 150.0 && p.y < high.y - 150.0;
        let creek = &land.swales[0].points;
        let creek: Vec<Point> = creek.iter().skip_while(|p| !middle(p)).take_while(middle).copied().collect();
        let creek = cut(&creek, path_length(&creek).min(500.0));
        assert!(path_length(&creek) > 200.0, "{name}");
        // As a person draws it, up to 8 m off, and the field 120 m wide to one side.
        let side = terrain::simplify(&creek, 8.0);
        let (a, b) = (side[0], side[side.len() - 1]);
        let long_m = measure::distance(a, b);
        let across = Point::new(-(b.y - a.y) / long_m * 120.0, (b.x - a.x) / long_m * 120.0);
        let far = [b, a].map(|p| Point::new(p.x + across.x, p.y + across.y));
        let mut plan = Plan::new("Creek", Units::Feet);
        let ring = side.iter().copied().chain(far).collect();
        apply(&mut plan, &Edit::one("Draw", Change::Field(Some(Field { ring, holes: Vec::new() }))));
        // A main beside the creek, 25 m from it, with its outlet at the lower end.
        let along = |t: f64| {
            let at = measure::along(a, b, t);
            Point::new(at.x + across.x * 0.3, at.y + across.y * 0.3)
        };
        let level_m = land.ground.as_ref().unwrap().elevation(b).unwrap() - 1.2;
        let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", b, level_m));
        apply(&mut plan, &edit);
        let line = Line::new("M1", LineKind::Main, vec![b, along(0.95), along(0.1)]);
        let (_, edit) = plan::add_line(&plan, Line { joins: Joins::Outlet(outlet), size_by: SizeBy::Flow, ..line });
        apply(&mut plan, &edit);
        // Swales that come into the creek through the field end on it and are told.
        let ends: Vec<Point> = land.swales[1..].iter().filter_map(|swale| swale.points.last().copied()).collect();
        let on_creek = |at: Point| {
            nearest_on(&creek, at).unwrap().2 < 1.0 && ends.iter().all(|end| measure::distance(*end, at) > 1.0)
        };
        let told = |plan: Plan| {
            let worked = Worked::of(plan, &land);
            let mut ours = worked.findings.into_iter().filter(|finding| [44, 79, 80].contains(&finding.check));
            ours.find(|finding| finding.check != 80 || on_creek(finding.at))
        };
        let heard = told(plan.clone());
        assert!(heard.is_none(), "{name}: {heard:?}");
        // It is the nearness to the boundary and the outlet that silences them.
        plan.criteria.channel_near_m = 0.01;
        assert!(told(plan).is_some(), "{name}");
    }
}

/// A lateral through the outer part of the largest hollow, far from its deepest place, drains it.
#[test]
fn a_hollow_with_pipe_in_it_is_drained() {
    let Some(land) = land("slo_hills_1m") else { return };
    let mut plan = plan_on(&land);
    let (low, high) = (plan.field.as_ref().unwrap().ring[0], plan.field.as_ref().unwrap().ring[2]);
    let inside = |p: Point| p.x > low.x && p.x < high.x && p.y > low.y && p.y < high.y;
    let pond = land.depressions.iter().filter(|pond| inside(pond.deepest));
    let pond = pond.max_by(|x, y| x.area_m2.total_cmp(&y.area_m2)).unwrap();
    let told = |plan: &Plan| {
        let worked = Worked::of(plan.clone(), &land);
        worked.findings.iter().any(|f| f.message.contains("hollow") && measure::distance(f.at, pond.deepest) < 0.1)
    };
    assert!(told(&plan));
    let grid = land.grid().unwrap();
    let centres =
        pond.cells.iter().map(|cell| grid.centre(*cell as usize % grid.cols(), *cell as usize / grid.cols()));
    let away_m = |p: &Point| measure::distance(*p, pond.deepest);
    let far = centres.max_by(|x, y| away_m(x).total_cmp(&away_m(y))).unwrap();
    assert!(away_m(&far) > 50.0 * FOOT_M);
    let beyond = measure::along(pond.deepest, far, 1.0 + 30.0 / away_m(&far));
    let (_, edit) = plan::add_line(&plan, Line::new("L9", LineKind::Lateral, vec![far, beyond]));
    apply(&mut plan, &edit);
    assert!(!told(&plan));
}
