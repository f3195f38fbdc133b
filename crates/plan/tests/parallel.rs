//! Grids of parallel laterals. Figures of the grid fitted to rows are those of the worked example Ellowby Block; the rest
//! follows from the geometry that each test states.

use measure::{FOOT_M, Point, Units, distance};
use plan::{
    Field, Joins, Laid, Landmark, LandmarkId, LandmarkKind, Line, LineId, LineKind, NoGrid, Outlet, OutletId,
    Outline, Parallel, Pattern, Plan, Rows,
};
use proptest::prelude::*;

fn at(x_ft: f64, y_ft: f64) -> Point {
    Point::new(x_ft * FOOT_M, y_ft * FOOT_M)
}

fn ring(west: f64, south: f64, east: f64, north: f64) -> Vec<Point> {
    vec![at(west, south), at(west, north), at(east, north), at(east, south)]
}

const MAIN: LineId = LineId(2);

/// Ellowby Block: 560 ft along the main by 560 ft, 7.2 acres, with the main along its south edge and its outlet 20 ft west of
/// it, as far as the solid outlet pipe reaches.
fn block() -> Plan {
    let mut plan = Plan::new("Ellowby Block", Units::Feet);
    plan.field = Some(Field { ring: ring(0.0, -10.0, 560.0, 560.0), holes: Vec::new() });
    plan.outlets.insert(OutletId(1), Outlet::new("O1", at(-20.0, 0.0), 30.0));
    let mut main = Line::new("M1", LineKind::Main, vec![at(-20.0, 0.0), at(560.0, 0.0)]);
    main.joins = Joins::Outlet(OutletId(1));
    plan.lines.insert(MAIN, main);
    plan.next_id = 3;
    plan
}

fn with_rows(mut plan: Plan) -> Plan {
    let outline = Outline::Around(ring(0.0, 0.0, 560.0, 560.0));
    mark(&mut plan, "B1", LandmarkKind::Rows(Rows::default()), outline);
    plan
}

fn mark(plan: &mut Plan, name: &str, kind: LandmarkKind, outline: Outline) {
    let id = LandmarkId(plan.next_id);
    plan.next_id += 1;
    plan.landmarks.insert(id, Landmark { name: name.into(), kind, outline, note: String::new() });
}

fn asked(plan: &Plan, spacing_ft: f64) -> Parallel {
    Parallel::usual(plan, MAIN, at(280.0, 0.0), spacing_ft * FOOT_M).expect("the main is there")
}

fn laid(plan: &Plan, asked: &Parallel) -> (Laid, Plan) {
    let laid = asked.lay(plan).expect("a grid");
    let mut after = plan.clone();
    after.apply(&laid.edit).expect("a sound edit");
    (laid, after)
}

fn laterals(plan: &Plan) -> Vec<&Line> {
    plan.lines.values().filter(|line| line.pattern == Pattern::Parallel).collect()
}

fn feet(line: &Line) -> [(f64, f64); 2] {
    let shown = |p: Point| ((p.x / FOOT_M * 100.0).round() / 100.0, (p.y / FOOT_M * 100.0).round() / 100.0);
    [shown(line.points[0]), shown(line.points[1])]
}

/// Every third middle of rows 9 ft apart on 560 ft: 21 laterals, as the worked example counts them; every fourth: 16 or 15 by
/// where the first one lies. Each lies in a middle, 4.5 ft from the rows, and joins the main by a tee.
#[test]
fn a_grid_fitted_to_rows() {
    let plan = with_rows(block());
    let (found, after) = laid(&plan, &asked(&plan, 27.0));
    assert_eq!(found.count, 21);
    assert_eq!(found.edit.label, "Lay 21 parallel laterals");
    assert!((found.length_m - 21.0 * 560.0 * FOOT_M).abs() < 1e-6, "{}", found.length_m / FOOT_M);
    for line in laterals(&after) {
        let [(x, y), (end_x, end_y)] = feet(line);
        let off = (x - 4.5).rem_euclid(9.0);
        assert!(off.min(9.0 - off) < 1e-6, "{x}");
        assert_eq!((y, end_x, end_y), (0.0, x, 560.0));
        assert_eq!(line.joins, Joins::Line(MAIN));
    }
    let names: Vec<&str> = laterals(&after).iter().map(|line| line.name.as_str()).collect();
    assert_eq!((names[0], names[20]), ("L1", "L21"));
    assert!((15..=16).contains(&laid(&plan, &asked(&plan, 36.0)).0.count));
}

/// One edit lays them and one takes them back; laid again they take the place of the former ones, or lie beside them.
#[test]
fn one_step_and_in_place_of_the_former() {
    let plan = block();
    let ask = asked(&plan, 100.0);
    let (found, mut after) = laid(&plan, &ask);
    let (again, twice) = laid(&after, &Parallel { spacing_m: 80.0 * FOOT_M, ..ask.clone() });
    assert_eq!(laterals(&twice).len(), again.count);
    assert_eq!(laterals(&twice)[0].name, "L1");
    let beside = Parallel { spacing_m: 60.0 * FOOT_M, through: at(330.0, 0.0), replaces: false, ..ask };
    let (more, both) = laid(&after, &beside);
    assert_eq!(laterals(&both).len(), found.count + more.count);
    let back = after.apply(&found.edit).expect("the same edit again");
    after.apply(&back).expect("and back");
    assert_eq!(laterals(&after).len(), found.count);
}

/// Rows along the main leave no room for laterals along them: the grid begins square to the main.
#[test]
fn square_to_the_main_where_rows_run_along_it() {
    let mut plan = block();
    let outline = Outline::Around(ring(0.0, 0.0, 560.0, 560.0));
    mark(&mut plan, "B1", LandmarkKind::Rows(Rows { bearing_deg: 80.0, ..Rows::default() }), outline);
    assert_eq!(asked(&plan, 30.0).bearing_deg, 0.0);
    assert!(asked(&plan, 30.0).rows(&plan).is_none());
}

/// The headland is kept from the edge by which a lateral leaves, also where it leaves at a slant.
#[test]
fn short_of_the_headland() {
    let mut plan = block();
    plan.field = Some(Field {
        ring: vec![at(0.0, -10.0), at(0.0, 200.0), at(560.0, 480.0), at(560.0, -10.0)],
        holes: Vec::new(),
    });
    let ask = Parallel { headland_m: 30.0 * FOOT_M, ..asked(&plan, 50.0) };
    let (_, after) = laid(&plan, &ask);
    let edge = [at(0.0, 200.0), at(560.0, 480.0)];
    for line in laterals(&after) {
        let (_, _, off_m) = measure::nearest_on(&edge, line.points[1]).expect("an edge");
        assert!((off_m - 30.0 * FOOT_M).abs() < 1e-6, "{}", off_m / FOOT_M);
    }
}

/// To both sides of a main in the middle: those of one side are set off by half a spacing, along rows by whole rows.
#[test]
fn staggered_where_they_face_each_other() {
    let mut plan = block();
    plan.lines.get_mut(&MAIN).expect("the main").points = vec![at(0.0, 280.0), at(560.0, 280.0)];
    for (plan, stagger_ft) in [(plan.clone(), 13.5), (with_rows(plan), 9.0)] {
        let ask = Parallel { both_sides: true, ..asked(&plan, 27.0) };
        let (found, after) = laid(&plan, &ask);
        assert!((found.stagger_m / FOOT_M - stagger_ft).abs() < 1e-9, "{}", found.stagger_m / FOOT_M);
        let joints = |up: bool| {
            let own = laterals(&after).into_iter().filter(move |line| (line.points[1].y > 280.0 * FOOT_M) == up);
            own.map(|line| line.points[0]).collect::<Vec<_>>()
        };
        let (up, down) = (joints(true), joints(false));
        assert!(up.len() > 18 && down.len() > 18);
        let nearest = up.iter().flat_map(|a| down.iter().map(|b| distance(*a, *b))).fold(f64::INFINITY, f64::min);
        assert!(nearest > plan.criteria.opposite_m, "{nearest}");
    }
}

/// Short of a wetland by its setback, of a tree by its distance, of a gas line unless crossing is asked for; an old line is
/// crossed; the outlet pipe has no tee.
#[test]
fn short_of_what_is_in_the_way() {
    let mut plan = block();
    let wetland = LandmarkKind::Wetland { setback_m: Some(80.0 * FOOT_M), determined: None };
    mark(&mut plan, "W \"1\"", wetland, Outline::Around(ring(100.0, 400.0, 200.0, 500.0)));
    mark(
        &mut plan,
        "U1",
        LandmarkKind::Utility(plan::Utility::default()),
        Outline::Along(vec![at(300.0, 250.0), at(600.0, 250.0)]),
    );
    let (found, after) = laid(&plan, &asked(&plan, 20.0));
    let lines = laterals(&after);
    let ends: std::collections::BTreeMap<i64, f64> =
        lines.iter().map(|line| feet(line)).map(|[(x, _), (_, end)]| (x.round() as i64, end)).collect();
    // In front of the wetland, 40 ft past its corner, before the gas line, and past both.
    let corner = 400.0 - (80.0f64 * 80.0 - 40.0 * 40.0).sqrt();
    for (x, wanted) in [(160, 320.0), (240, corner), (320, 250.0 - plan.criteria.hand_dig_m / FOOT_M), (280, 560.0)] {
        assert!((ends[&x] - wanted).abs() < 0.01, "{x}: {} and not {wanted}", ends[&x]);
    }
    let solid_ft = plan.outlets[&OutletId(1)].outlet_pipe_m / FOOT_M;
    assert!(ends.keys().all(|x| *x as f64 + 20.0 > solid_ft), "no tee in the outlet pipe");
    assert!(found.short_of.contains_key("wetland W \"1\""), "{:?}", found.short_of);
    let (crossing, _) = laid(&plan, &Parallel { crosses: true, ..asked(&plan, 20.0) });
    assert!(crossing.length_m > found.length_m);
    assert!(!crossing.short_of.keys().any(|what| what.contains("U1")));
}

#[test]
fn what_makes_no_grid_is_told() {
    let plan = block();
    let of = |ask: Parallel| ask.lay(&plan).expect_err("no grid");
    assert_eq!(of(asked(&plan, 0.5)), NoGrid::Spacing);
    assert_eq!(of(Parallel { spacing_m: f64::NAN, ..asked(&plan, 20.0) }), NoGrid::Spacing);
    assert_eq!(of(Parallel { bearing_deg: 180.0, ..asked(&plan, 20.0) }), NoGrid::NoneFits);
    assert_eq!(of(Parallel { main: LineId(99), ..asked(&plan, 20.0) }), NoGrid::NoMain);
    let mut bare = plan.clone();
    bare.field = None;
    assert_eq!(asked(&plan, 20.0).lay(&bare).expect_err("no grid"), NoGrid::NoBlock);
}

proptest! {
    /// Whatever is asked on a field with a hole: laterals lie in the field, off the hole, as far apart as asked, from the main.
    #[test]
    fn every_lateral_is_where_it_may_be(
        turn in 0.0..360.0f64, spacing in 5.0..90.0f64, headland in 0.0..60.0f64, both in any::<bool>(),
        kink in -60.0..200.0f64,
    ) {
        let mut plan = block();
        plan.lines.get_mut(&MAIN).expect("the main").points = vec![at(0.0, 0.0), at(250.0, kink), at(560.0, 0.0)];
        let hole = ring(150.0, 300.0, 260.0, 380.0);
        plan.field = Some(Field { ring: ring(0.0, -100.0, 560.0, 560.0), holes: vec![hole.clone()] });
        let ask = Parallel { bearing_deg: turn, headland_m: headland, both_sides: both, ..asked(&plan, spacing) };
        let Ok(found) = ask.lay(&plan) else { return Ok(()) };
        let mut after = plan.clone();
        after.apply(&found.edit).expect("a sound edit");
        let field = plan.field.as_ref().expect("a field");
        for line in laterals(&after) {
            let main = &plan.lines[&MAIN].points;
            prop_assert!(measure::nearest_on(main, line.points[0]).expect("the main").2 < 1e-6);
            let middle = measure::along(line.points[0], line.points[1], 0.5);
            prop_assert!(measure::ring_holds(&field.ring, middle) && !measure::ring_holds(&hole, middle));
            prop_assert!(line.length_m() >= plan.criteria.shortest_line_m - 1e-9);
        }
        let (sin, cos) = turn.to_radians().sin_cos();
        let mut across: Vec<f64> = laterals(&after).iter().map(|line| line.points[0].x * cos - line.points[0].y * sin).collect();
        across.sort_by(f64::total_cmp);
        let half = if both { 2.0 } else { 1.0 };
        for pair in across.windows(2) {
            let gaps = (pair[1] - pair[0]) / (spacing * FOOT_M) * half;
            prop_assert!((gaps - gaps.round()).abs() < 1e-6, "{gaps}");
        }
    }
}
