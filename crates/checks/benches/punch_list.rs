//! How long the punch list takes on a large plan: some 10,000 stations, 25 ft apart.

use design::{Design, work_out};
use land::Land;
use measure::{FOOT_M, Point, Units};
use plan::{
    Field, Joins, Landmark, LandmarkId, LandmarkKind, Line, LineId, LineKind, Outlet, OutletId, Outline, Plan,
};
use terrain::Swale;

/// Laterals of the grid.
const LATERALS: u32 = 200;

fn main() {
    divan::main();
}

fn ft(x: f64, y: f64) -> Point {
    Point::new(x * FOOT_M, y * FOOT_M)
}

/// A main of 6,000 ft with laterals of 1,200 ft every 30 ft, and the field around it.
fn plan() -> Plan {
    let mut plan = Plan::new("grid", Units::Feet);
    plan.outlets.insert(OutletId(1), Outlet::new("O1", ft(0.0, 0.0), 100.0 * FOOT_M));
    let main = Line::new("M1", LineKind::Main, vec![ft(0.0, 0.0), ft(6000.0, 0.0)]);
    plan.lines.insert(LineId(2), Line { joins: Joins::Outlet(OutletId(1)), ..main });
    for i in 0..LATERALS {
        let x = 30.0 * f64::from(i) + 15.0;
        let line = Line::new(&format!("L{i}"), LineKind::Lateral, vec![ft(x, 0.0), ft(x, 600.0), ft(x, 1200.0)]);
        plan.lines.insert(LineId(3 + i), Line { joins: Joins::Line(LineId(2)), ..line });
    }
    let ring = (0..2000).map(|i| {
        let turn = f64::from(i) / 2000.0 * std::f64::consts::TAU;
        ft(3000.0 + 3500.0 * turn.cos(), 500.0 + 900.0 * turn.sin())
    });
    plan.field = Some(Field { ring: ring.collect(), holes: Vec::new() });
    plan.next_id = 3 + LATERALS;
    plan
}

/// Two hundred marks of every kind over the grid, as a careful planner would have them.
fn marked() -> Plan {
    let mut plan = plan();
    let kinds = LandmarkKind::all();
    for i in 0..200_u32 {
        let kind = kinds[i as usize % kinds.len()].clone();
        let (x, y) = (f64::from(i) * 29.0 + 40.0, f64::from(i % 13) * 90.0 + 20.0);
        let outline = match kind.outlines() {
            (true, ..) => Outline::At(ft(x, y)),
            (_, true, _) => Outline::Along(vec![ft(x - 60.0, y), ft(x + 20.0, y + 30.0), ft(x + 90.0, y + 10.0)]),
            _ => Outline::Around(vec![ft(x, y), ft(x + 80.0, y), ft(x + 80.0, y + 60.0), ft(x, y + 60.0)]),
        };
        plan.landmarks
            .insert(LandmarkId(1_000 + i), Landmark { name: format!("K{i}"), kind, outline, note: String::new() });
    }
    plan.next_id = 2_000;
    plan
}

fn worked(plan: &Plan) -> Design {
    let mut design = work_out(plan, &Land::default());
    for station in design.lines.values_mut().flat_map(|line| &mut line.stations) {
        let wave_m = (station.at.x / 40.0).sin() * 0.5;
        station.ground_m = Some(100.0 * FOOT_M + 1.2 + station.at.x * 0.0005 + station.at.y * 0.0008 + wave_m);
    }
    design
}

fn swales() -> Vec<Swale> {
    let swale = |i: u32| {
        let points: Vec<Point> = (0..200).map(|k| ft(f64::from(k) * 30.0, 60.0 * f64::from(i) + 12.0)).collect();
        Swale { area_m2: vec![1e4; points.len()], points, joins: None }
    };
    (0..20).map(swale).collect()
}

/// Land with these swales.
fn land() -> Land {
    Land { swales: std::sync::Arc::new(swales()), ..Land::default() }
}

#[divan::bench]
fn ten_thousand_stations(bencher: divan::Bencher) {
    let plan = plan();
    let design = worked(&plan);
    let land = land();
    bencher.bench(|| {
        let site = checks::Site::new(&plan, &design, &land).with_threads(2);
        checks::punch_list_of(&site).len()
    });
}

/// Some 10,000 stations and 200 marks, all checks.
#[divan::bench]
fn ten_thousand_stations_and_two_hundred_marks(bencher: divan::Bencher) {
    let plan = marked();
    let design = worked(&plan);
    let land = land();
    bencher.bench(|| {
        let site = checks::Site::new(&plan, &design, &land).with_threads(2);
        checks::punch_list_of(&site).len()
    });
}

/// One check alone, by its short name.
#[divan::bench(args = checks::RULES.iter().map(|rule| rule.slug))]
fn check(bencher: divan::Bencher, slug: &str) {
    let plan = marked();
    let design = worked(&plan);
    let land = land();
    let site = checks::Site::new(&plan, &design, &land);
    let rule = checks::RULES.iter().find(|rule| rule.slug == slug);
    bencher.bench(|| rule.map(|rule| (rule.find)(&site).len()));
}
