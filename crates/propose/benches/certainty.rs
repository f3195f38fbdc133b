//! How long it takes to say how sure a plan of 60 lines is: a thousand samples, in one thread and in two.

#![allow(clippy::unwrap_used, reason = "a bench may stop")]

use std::ops::ControlFlow;

use design::Design;
use land::Land;
use measure::{Point, Units};
use plan::{Joins, Line, LineKind, Outlet, Plan};
use propose::certainty::{Certainty, Check, Checks, Covariance, Errors, Sampling, Whence, certainty};
use terrain::{Grid, Ground};

fn main() {
    divan::main();
}

/// Land of 620 by 240 m that falls 0.5 % to the west, in cells of 1 m that are rough by a few centimetres.
fn land() -> Land {
    let level = |cell: usize| {
        let (x, y) = ((cell % 620) as f64, (cell / 620) as f64);
        let rough = 0.03 * ((x * 12.9898 + y * 78.233).sin() * 43_758.545).fract();
        (50.0 + 0.005 * x + 0.004 * y + 0.2 * (x / 47.0).sin() * (y / 39.0).cos() + rough) as f32
    };
    let levels = (0..620 * 240).map(level).collect();
    Land::from(Ground::from_grid(Grid::new((620, 240), (0.0, 240.0), (1.0, 1.0), levels).unwrap()))
}

/// A main of 600 m with 59 laterals of 200 m, 10 m apart, and fifty shots.
fn job() -> (Plan, Design, Errors) {
    let mut plan = Plan::new("Sixty lines", Units::Feet);
    let (id, edit) = plan::place_outlet(&plan, Outlet::new("O1", Point::new(5.0, 10.0), 48.6));
    plan.apply(&edit).unwrap();
    let mut add = |name: String, kind, ends: [(f64, f64); 2], joins| {
        let points = ends.map(|(x, y)| Point::new(x, y)).to_vec();
        let (id, edit) = plan::add_line(&plan, Line { joins, ..Line::new(&name, kind, points) });
        plan.apply(&edit).unwrap();
        id
    };
    let main = add("M1".into(), LineKind::Main, [(5.0, 10.0), (605.0, 10.0)], Joins::Outlet(id));
    for i in 1..60 {
        let x = 5.0 + 10.0 * f64::from(i);
        add(format!("L{i}"), LineKind::Lateral, [(x, 10.0), (x, 210.0)], Joins::Line(main));
    }
    let design = design::work_out(&plan, &land());
    let check = |i: u32| Check {
        at: Point::new(f64::from(i * 37 % 600), f64::from(i * 53 % 210)),
        off_m: 0.05 * f64::from(i).sin(),
        error_m2: 0.015 * 0.015,
        batch: 0,
        batch_m2: 0.0,
    };
    let ground = Covariance { sill_m2: 0.006, range_m: 30.0, nugget_m2: 0.002, shift_m2: 0.002 };
    let checks = Checks::of((0..50).map(check).collect());
    (plan, design, Errors { ground, whence: Whence::Stated, checks, shot_m: 0.015 })
}

#[divan::bench(args = [1, 2], sample_count = 5)]
fn sixty_lines(bencher: divan::Bencher, threads: usize) {
    let (plan, design, errors) = job();
    let go_on = |_: f64| ControlFlow::Continue(());
    bencher.bench(|| -> Option<Certainty> { certainty(&plan, &design, &errors, &Sampling::usual(threads), &go_on) });
}
