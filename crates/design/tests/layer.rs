//! A line held in the tight layer that pits showed, and an interceptor's water.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use design::{Origin, work_out};
use measure::{Point, Units};
use plan::{Hold, Joins, Landmark, LandmarkKind, Line, LineKind, Outlet, Outline, Pattern, Pit, Plan, Served};
use terrain::{Grid, Ground};

/// Ground that rises by 1 % from the outlet.
fn ground() -> Ground {
    let level = |cell: usize| (100.0 + 0.02 * (cell % 140) as f64) as f32;
    Ground::from_grid(Grid::new((140, 30), (0.0, 60.0), (2.0, 2.0), (0..140 * 30).map(level).collect()).unwrap())
}

fn pit(plan: &mut Plan, x: f64, tight_m: f64) {
    let kind = LandmarkKind::Pit(Pit { tight_m: Some(tight_m), ..Pit::default() });
    let mark =
        Landmark { name: format!("P{x}"), kind, outline: Outline::At(Point::new(x, 30.0)), note: String::new() };
    plan.apply(&plan::add_landmark(plan, mark).1).unwrap();
}

fn plan() -> (Plan, plan::LineId) {
    let mut plan = Plan::new("Layer", Units::Metric);
    let at = Point::new(6.0, 30.0);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 98.3));
    plan.apply(&edit).unwrap();
    let line = Line::new("I1", LineKind::Lateral, vec![at, Point::new(246.0, 30.0)]);
    let line = Line { joins: Joins::Outlet(outlet), pattern: Pattern::Interceptor, seepage_m3s: 0.002, ..line };
    let (id, edit) = plan::add_line(&plan, line);
    plan.apply(&edit).unwrap();
    (plan, id)
}

/// From where the outlet lets it, the invert lies 0.1 m below the layer's top under ground of even grade: 1.4 m down near the
/// one pit, 1.2 m near the other, but for the way from one to the other.
#[test]
fn the_invert_is_held_in_the_layer() {
    let (mut plan, id) = plan();
    pit(&mut plan, 60.0, 1.3);
    pit(&mut plan, 200.0, 1.1);
    plan.apply(&plan::set_reach(&plan, id, (0.0, 240.0), Some(Hold::IntoLayer(0.1))).unwrap()).unwrap();
    let design = work_out(&plan, &land::Land::from(ground()));
    let depth_m = |station_m: f64| design.lines[&id].at(station_m).unwrap().depth_m().unwrap();
    for (station_m, wanted_m) in [(60.0, 1.4), (90.0, 1.4), (180.0, 1.2), (220.0, 1.2)] {
        assert!((depth_m(station_m) - wanted_m).abs() < 0.02, "{station_m}: {}", depth_m(station_m));
    }
}

/// An interceptor drains no land of its own: what seeps in at its upper end flows through it from end to end.
#[test]
fn an_interceptor_carries_its_seepage_from_end_to_end() {
    let (mut plan, id) = plan();
    let of = |plan: &Plan| work_out(plan, &land::Land::from(ground())).lines[&id].clone();
    let worked = of(&plan);
    assert!(worked.inflows.iter().all(|inflow| inflow.origin == Origin::Seepage), "{:?}", worked.inflows);
    let reaches = worked.through_m3s.len() - 1;
    assert!(worked.through_m3s[..reaches].iter().all(|through| (through - 0.002).abs() < 1e-12));
    let line = Line { served: Served::Area(1_000.0), ..plan.lines[&id].clone() };
    plan.apply(&plan::set_line("Area", id, line)).unwrap();
    assert!(of(&plan).area_m2 == 1_000.0, "what was typed counts");
}
