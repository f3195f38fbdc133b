//! What a drag costs: grade lines, sizes, flows and diggable reaches of 60 lines and 2,000 stations anew.
//!
//! `cargo bench -p design`

#![allow(clippy::unwrap_used, reason = "a benchmark may stop")]

use design::{Memory, work_out_again, work_out_holding};
use divan::Bencher;
use measure::{FOOT_M, Point, Units};
use plan::{Joins, Line, LineId, LineKind, Outlet, Plan, SizeBy};
use terrain::{Grid, Ground};

fn main() {
    divan::main();
}

/// A rolling valley, 600 × 500 m on 2 m cells.
fn ground() -> Ground {
    let level = |cell: usize| {
        let (x, y) = ((cell % 300) as f64 * 2.0, (249 - cell / 300) as f64 * 2.0);
        let waves = 0.35 * (x / 41.0).sin() * (y / 33.0).cos() + 0.2 * (x / 17.0 + y / 23.0).sin();
        (100.0 + 0.012 * (y - 250.0).abs() + 0.004 * x + waves) as f32
    };
    let levels = (0..300 * 250).map(level).collect();
    Ground::from_grid(Grid::new((300, 250), (0.0, 500.0), (2.0, 2.0), levels).unwrap())
}

/// A main along the foot, 59 laterals on both sides of it, stakes every 25 ft.
fn plan() -> (Plan, LineId) {
    let mut plan = Plan::new("Sixty lines", Units::Feet);
    plan.criteria.staking_m = 25.0 * FOOT_M;
    let at = Point::new(5.0, 250.0);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 98.6));
    plan.apply(&edit).unwrap();
    let course = vec![at, Point::new(200.0, 246.0), Point::new(400.0, 252.0), Point::new(595.0, 250.0)];
    let mut line = Line { joins: Joins::Outlet(outlet), ..Line::new("M1", LineKind::Main, course.clone()) };
    line.size_by = SizeBy::FlowInSteps;
    let (main, edit) = plan::add_line(&plan, line);
    plan.apply(&edit).unwrap();
    for i in 0..59 {
        let foot = measure::point_at(&course, 8.0 + 19.6 * (i / 2) as f64 + 3.0 * (i % 2) as f64).unwrap();
        let up = if i % 2 == 0 { 1.0 } else { -1.0 };
        let points =
            vec![foot, Point::new(foot.x + 4.0, foot.y + up * 120.0), Point::new(foot.x, foot.y + up * 236.0)];
        let mut line = Line { joins: Joins::Line(main), ..Line::new(&format!("L{i}"), LineKind::Lateral, points) };
        line.size_by = SizeBy::Flow;
        let (_, edit) = plan::add_line(&plan, line);
        plan.apply(&edit).unwrap();
    }
    (plan, main)
}

/// The plan with a bend moved a little further each time.
fn drags(id: LineId) -> Vec<Plan> {
    let (plan, _) = plan();
    let at = plan.lines[&id].points[1];
    let to = |k: usize| Point::new(at.x, at.y + k as f64 * 0.1);
    (0..40).map(|k| plan.with(&plan::move_point(&plan, id, 1, to(k)).unwrap())).collect()
}

fn bench_drag(bencher: Bencher, id: LineId) {
    let (ground, plans) = (ground(), drags(id));
    let mut memory = Memory::with_threads(2);
    let design = work_out_again(&plans[0], &land::Land::from(&ground), &mut memory);
    let stations: usize = design.lines.values().map(|line| line.stations.len()).sum();
    assert!(stations > 1_900, "{stations} stations");
    let mut k = 0;
    bencher.bench_local(|| {
        k = (k + 1) % plans.len();
        work_out_holding(&plans[k], &land::Land::from(&ground), &mut memory, &design)
    });
}

#[divan::bench]
fn drag_a_lateral(bencher: Bencher) {
    bench_drag(bencher, LineId(30));
}

/// Every joint moves with the main, so every line is worked out anew.
#[divan::bench]
fn drag_the_main(bencher: Bencher) {
    bench_drag(bencher, plan().1);
}

/// What a drag leaves to its end: the sizes are chosen anew.
#[divan::bench]
fn sizes_anew(bencher: Bencher) {
    let (ground, plans) = (ground(), drags(LineId(30)));
    let mut memory = Memory::with_threads(2);
    let mut k = 0;
    bencher.bench_local(|| {
        k = (k + 1) % plans.len();
        work_out_again(&plans[k], &land::Land::from(&ground), &mut memory)
    });
}

#[divan::bench]
fn from_nothing(bencher: Bencher) {
    let (ground, (plan, _)) = (ground(), plan());
    bencher.bench(|| work_out_again(&plan, &land::Land::from(&ground), &mut Memory::with_threads(2)));
}
