//! An invented field with one of most things on it, and scenes as text.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use checks::Finding;
use design::Design;
use drawing::{Form, Scene};
use land::Land;
use measure::{Point, Units};
use plan::{
    Benchmark, Evidence, Joins, Landmark, LandmarkKind, Line, LineKind, OldTile, Outlet, Outline, Pin, Plan, Stretch,
    Utility, Watercourse, WatercourseKind,
};
use terrain::{Grid, Ground};

pub fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// Ground that rises to the north, with a low along the middle, 120 × 120 m.
pub fn ground() -> Ground {
    let level =
        |col: i32, row: i32| 50.0 + 0.012 * f64::from(60 - row) * 2.0 + 0.004 * f64::from((col - 30).abs()) * 2.0;
    let levels = (0..60).flat_map(|row| (0..60).map(move |col| level(col, row) as f32)).collect();
    Ground::from_grid(Grid::new((60, 60), (0.0, 120.0), (2.0, 2.0), levels).unwrap())
}

/// Harrow Spit, at sea.
pub fn plan() -> Plan {
    let mut plan = Plan::new("Harrow Spit", Units::Metric);
    plan.apply(&plan::set_field(Some(vec![p(5.0, 5.0), p(115.0, 5.0), p(115.0, 115.0), p(5.0, 115.0)]))).unwrap();
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", p(60.0, 4.0), 48.6));
    plan.apply(&edit).unwrap();
    let pin = Pin { station_m: 50.0, invert_m: 48.75, straight: false };
    let solid = Stretch { from_m: 40.0, to_m: 60.0, solid: true, ..Stretch::default() };
    let main = Line {
        joins: Joins::Outlet(outlet),
        pins: vec![pin],
        stretches: vec![solid],
        ..Line::new("M1", LineKind::Main, vec![p(60.0, 4.0), p(60.0, 110.0)])
    };
    let (m1, edit) = plan::add_line(&plan, main);
    plan.apply(&edit).unwrap();
    let old = LineKind::OldTile(OldTile { evidence: Evidence::Seen, ..OldTile::default() });
    let lateral =
        Line { joins: Joins::Line(m1), ..Line::new("L1", LineKind::Lateral, vec![p(60.0, 70.0), p(100.0, 80.0)]) };
    for line in [lateral, Line::new("T1", old, vec![p(20.0, 30.0), p(90.0, 34.0)])] {
        plan.apply(&plan::add_line(&plan, line).1).unwrap();
    }
    let water = Utility { carries: plan::Carries::Water, depth_m: Some(0.5), ..Utility::default() };
    let lane = LandmarkKind::Road { width_m: 4.0, public: false, permission: false };
    let wet = LandmarkKind::WetArea { cause: None, leave: false };
    for (name, kind, outline) in [
        ("W1", LandmarkKind::Utility(water), Outline::Along(vec![p(10.0, 50.0), p(110.0, 50.0)])),
        ("farm lane", lane, Outline::Along(vec![p(10.0, 90.0), p(110.0, 92.0)])),
        ("hollow", wet, Outline::Around(vec![p(70.0, 20.0), p(90.0, 20.0), p(80.0, 28.0)])),
        ("S1", LandmarkKind::Spring, Outline::At(p(25.0, 100.0))),
    ] {
        let mark = Landmark { name: name.into(), kind, outline, note: String::new() };
        plan.apply(&plan::add_landmark(&plan, mark).1).unwrap();
    }
    let ditch =
        Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points: vec![p(0.0, 2.0), p(120.0, 2.0)] };
    plan.apply(&plan::add_watercourse(&plan, ditch).1).unwrap();
    let nail =
        Benchmark { name: "BM1, nail in a post".into(), at: p(12.0, 12.0), level_m: 50.9, datum: String::new() };
    plan.survey.benchmarks.push(nail);
    plan
}

/// It worked out on its ground.
pub fn worked() -> (Plan, Design, Vec<Finding>) {
    let (plan, ground) = (plan(), ground());
    let design = design::work_out(&plan, &Land::from(&ground));
    let land = Land { ground: Some(ground.into()), ..Land::without_ground() };
    let findings = checks::punch_list(&plan, &design, &land);
    (plan, design, findings)
}

fn places(points: &[Point]) -> String {
    let place = |p: &Point| format!("{:.2},{:.2}", p.x, p.y);
    let shown: Vec<String> = points.iter().take(4).map(place).collect();
    let more = if points.len() > 4 { format!(" … {} places", points.len()) } else { String::new() };
    format!("{}{more}", shown.join(" "))
}

/// A scene as text, a thing a line.
pub fn listed(scene: &Scene) -> String {
    let form = |form: &Form| match form {
        Form::Path(points) => format!("path {}", places(points)),
        Form::Level(points, level_m) => format!("level {level_m:.2} {}", places(points)),
        Form::Stream(points, area_m2) => format!("stream {} with {} areas", places(points), area_m2.len()),
        Form::Ring(points) => format!("ring {}", places(points)),
        Form::Stretch(points, from_m, to_m) => format!("stretch {from_m:.2} to {to_m:.2} of {}", places(points)),
        Form::Cells(_, cells) => format!("{} cells", cells.len()),
        Form::Strip(lower, upper) => format!("strip {} under {}", places(lower), places(upper)),
        Form::Sign(at, toward) => format!("sign {} toward {}", places(&[*at]), places(&[*toward])),
        Form::Words(at) => format!("words {}", places(&[*at])),
        Form::Span(from_m, to_m) => format!("span {from_m:.2} to {to_m:.2}"),
        Form::Upright(at_m, level_m) => format!("upright {at_m:.2} level {level_m:.2?}"),
    };
    let row = |item: &drawing::Item| {
        let says = if item.says.is_empty() { String::new() } else { format!(" says {:?}", item.says) };
        format!("{:?}: {}{says} {:?}\n", item.role, form(&item.form), item.emphasis).replace(" Plain\n", "\n")
    };
    scene.items.iter().map(row).collect()
}
