//! Scenario S1 of the trade's practice, a hand-computed trench, and what old tile counts for.

use measure::{FOOT_M, INCH_M, Units};
use plan::{Joins, OldTile, Outlet, OutletId};

use super::*;

fn ft(x: f64, y: f64) -> Point {
    Point::new(x * FOOT_M, y * FOOT_M)
}

fn add(plan: &mut Plan, name: &str, kind: LineKind, points: &[(f64, f64)], joins: Joins) -> LineId {
    let points = points.iter().map(|(x, y)| ft(*x, *y)).collect();
    let (id, edit) = plan::add_line(plan, Line { joins, ..Line::new(name, kind, points) });
    plan.apply(&edit).unwrap();
    id
}

fn outlet(plan: &mut Plan, at: Point, invert_ft: f64) -> OutletId {
    let (id, edit) = plan::place_outlet(plan, Outlet::new("O1", at, invert_ft * FOOT_M));
    plan.apply(&edit).unwrap();
    id
}

/// Trade-practice scenario S1: main M 640 ft, L1 310 ft at 1+80, L2 265 ft at 4+30, L3 150 ft on from its upper end.
fn quillmere_bench() -> Plan {
    let mut plan = Plan::new("Quillmere Bench", Units::Feet);
    let o1 = outlet(&mut plan, ft(0.0, 0.0), 96.40);
    let m = add(&mut plan, "M", LineKind::Main, &[(0.0, 0.0), (640.0, 0.0)], Joins::Outlet(o1));
    add(&mut plan, "L1", LineKind::Lateral, &[(180.0, 0.0), (180.0, 310.0)], Joins::Line(m));
    add(&mut plan, "L2", LineKind::Lateral, &[(430.0, 0.0), (430.0, 265.0)], Joins::Line(m));
    add(&mut plan, "L3", LineKind::Lateral, &[(640.0, 0.0), (640.0, 150.0)], Joins::Line(m));
    plan
}

fn feet(length_m: f64) -> f64 {
    (length_m / FOOT_M * 1e6).round() / 1e6
}

fn counted(plan: &Plan) -> Totals {
    totals(plan, &design::work_out(plan, None))
}

/// S1 expects 620 ft of 6 in perforated and 20 ft solid, 725 ft of 4 in, 2 tees, 1 reducer, 3 end caps, 1 outlet.
#[test]
fn quillmere_bench_takes_what_the_trade_counts() {
    let totals = counted(&quillmere_bench());
    assert_eq!(feet(totals.pipe_m), 1365.0);
    assert_eq!(feet(totals.solid_m), 20.0);
    let sizes: Vec<(f64, f64)> =
        totals.by_size.iter().map(|(size, length)| ((size / INCH_M).round(), feet(*length))).collect();
    assert_eq!(sizes, [(4.0, 725.0), (6.0, 640.0)]);
    assert_eq!((totals.joints, totals.reducers, totals.caps, totals.outlets), (2, 1, 3, 1));
    assert_eq!(feet(totals.by_role["main"]), 640.0);
    assert_eq!(feet(totals.by_role["lateral"]), 725.0);
}

/// 100 ft of 4 in on ground 3.00 ft over its invert below and 4.00 ft above: trench 3.03 and 4.03 ft with the wall,
/// mean 3.53; 3.53 × 2 ft × 100 ft = 706 ft³.
#[test]
fn a_trench_computed_by_hand() {
    let mut plan = Plan::new("trench", Units::Feet);
    let id = add(&mut plan, "L1", LineKind::Lateral, &[(0.0, 0.0), (100.0, 0.0)], Joins::Nothing);
    let mut design = design::work_out(&plan, None);
    let line = design.lines.get_mut(&id).unwrap();
    for station in &mut line.stations {
        station.invert_m = Some(50.0);
        station.ground_m = Some(50.0 + 3.0 * FOOT_M + station.station_m / 100.0);
    }
    let totals = totals(&plan, &design);
    assert!((totals.trench_m3 / FOOT_M.powi(3) - 706.0).abs() < 1e-6, "{}", totals.trench_m3 / FOOT_M.powi(3));
    assert!((totals.deepest_trench_m.unwrap() / FOOT_M - 4.03).abs() < 1e-9);
}

/// An old tile is listed for itself; the branch that taps it is one fitting.
#[test]
fn old_tile_counts_for_nothing_new() {
    let mut plan = Plan::new("old", Units::Feet);
    let old = LineKind::OldTile(OldTile::default());
    let t1 = add(&mut plan, "T1", old, &[(0.0, 0.0), (300.0, 0.0)], Joins::Nothing);
    add(&mut plan, "L1", LineKind::Lateral, &[(100.0, 0.0), (100.0, 50.0)], Joins::Line(t1));
    let totals = counted(&plan);
    assert_eq!((feet(totals.pipe_m), feet(totals.old_tile_m)), (50.0, 300.0));
    assert_eq!((totals.joints, totals.caps, totals.outlets), (1, 1, 0));
    assert_eq!(totals.by_size.len(), 1);
    assert_eq!(totals.lines.len(), 2);
}

/// 100 × 100 ft less a yard of 20 × 30 ft.
#[test]
fn the_field_is_counted_without_its_holes() {
    let ring = |x: f64, y: f64, w: f64, h: f64| vec![ft(x, y), ft(x + w, y), ft(x + w, y + h), ft(x, y + h)];
    let field = Field { ring: ring(0.0, 0.0, 100.0, 100.0), holes: vec![ring(10.0, 10.0, 20.0, 30.0)] };
    assert!((area_m2(&field) / FOOT_M.powi(2) - 9400.0).abs() < 1e-6);
    assert_eq!(area_m2(&Field { ring: Vec::new(), holes: Vec::new() }), 0.0);
}
