//! Mains that step up in size downstream: what they save against one size from end to end, and how near they are to the best.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests may stop the test, and a table is printed"
)]

use std::time::Instant;

use design::{Layout, SizeGap, lay_out, size_gap};
use fastrand::Rng;
use land::Land;
use measure::{Point, Units};
use plan::{Joins, Line, LineId, LineKind, Outlet, Plan, Served, SizeBy};
use terrain::{Grid, Ground};

fn between(lot: &mut Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * lot.f64()
}

/// A main of 250 to 650 m with 2 to 24 laterals on either side, some of them joined by a submain, on ground with waves.
fn network(lot: &mut Rng) -> (Plan, Land) {
    let (slope, side) = (between(lot, 0.0005, 0.012), between(lot, 0.001, 0.012));
    let (wave_m, phase) = (between(lot, 0.0, 0.35), between(lot, 0.0, 6.0));
    let level = |cell: usize| {
        let (x, y) = ((cell % 180) as f64 * 4.0, (cell / 180) as f64 * 4.0);
        let waves = wave_m * (x / 43.0 + phase).sin() * (y / 51.0).cos();
        (100.0 + slope * x + side * (y - 160.0).abs() + waves) as f32
    };
    let grid = Grid::new((180, 80), (0.0, 320.0), (4.0, 4.0), (0..180 * 80).map(level).collect()).unwrap();
    let mut plan = Plan::new("By lot", if lot.bool() { Units::Feet } else { Units::Metric });
    let (pipe, digging) = (between(lot, 0.4, 5.0), between(lot, 0.5, 2.0));
    plan.cost_weights.pipe.iter_mut().for_each(|weight| weight.per_m *= pipe);
    plan.cost_weights.digging.iter_mut().for_each(|weight| weight.per_m2 *= digging);
    let at = Point::new(6.0, 160.0);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 100.0 - between(lot, 1.0, 1.6)));
    plan.apply(&edit).unwrap();
    let length_m = between(lot, 250.0, 650.0);
    let course = vec![at, Point::new(6.0 + length_m / 2.0, 164.0), Point::new(6.0 + length_m, 160.0)];
    let main =
        add(&mut plan, Line { joins: Joins::Outlet(outlet), ..Line::new("M1", LineKind::Main, course.clone()) });
    let mut submain: Option<(LineId, Vec<Point>)> = None;
    let deep = lot.f64() < 0.5;
    for k in 0..lot.usize(2..25) {
        let up = if k % 2 == 0 { 1.0 } else { -1.0 };
        let (joined, foot) = match submain {
            Some((id, ref points)) if k % 3 == 0 => {
                (id, measure::point_at(points, 20.0 + 8.0 * (k / 3) as f64).unwrap())
            }
            _ => (main, measure::point_at(&course, between(lot, 10.0, length_m - 5.0)).unwrap()),
        };
        let (over, away) = if joined == main { (4.0, 130.0 * up) } else { (60.0, 10.0) };
        let points = vec![foot, Point::new(foot.x + over, foot.y + away)];
        let served = Served::Area(between(lot, 0.1, 2.5) * 1e4);
        let kind = if k == 1 && deep { LineKind::Submain } else { LineKind::Lateral };
        let line = Line { joins: Joins::Line(joined), served, ..Line::new(&format!("L{k}"), kind, points.clone()) };
        let id = add(&mut plan, line);
        submain = submain.or((kind == LineKind::Submain).then_some((id, points)));
    }
    (plan, Land::from(&Ground::from_grid(grid)))
}

fn add(plan: &mut Plan, line: Line) -> LineId {
    let (id, edit) = plan::add_line(plan, Line { size_by: SizeBy::FlowInSteps, ..line });
    plan.apply(&edit).unwrap();
    id
}

struct Compared {
    gap: SizeGap,
    steps: usize,
    seconds: f64,
}

fn compared(plan: &Plan, land: &Land) -> Option<Compared> {
    let layout: Layout = lay_out(plan, land, &mut design::Memory::default());
    let began = Instant::now();
    let gap = size_gap(plan, &layout)?;
    let seconds = began.elapsed().as_secs_f64();
    let design = design::work_out(plan, land);
    let steps = design.lines.values().map(|line| line.steps.all().len() - 1).sum();
    for line in design.lines.values() {
        assert!(line.steps.all().windows(2).all(|pair| pair[1].size_m < pair[0].size_m), "{:?}", line.steps);
    }
    Some(Compared { gap, steps, seconds })
}

fn two_hundred() -> Vec<Compared> {
    let mut lot = Rng::with_seed(7_004);
    (0..).map(|_| network(&mut lot)).filter_map(|(plan, land)| compared(&plan, &land)).take(200).collect()
}

/// Stepping is never dearer than one size a line, on 200 networks by lot; prints what it saves and how near it is to a bound.
#[test]
fn never_dearer_than_one_size() {
    let all = two_hundred();
    let mean = |of: &dyn Fn(&Compared) -> f64| all.iter().map(of).sum::<f64>() / all.len() as f64;
    let most = |of: &dyn Fn(&Compared) -> f64| all.iter().map(of).fold(0.0, f64::max);
    let saved = |one: &Compared| 1.0 - one.gap.cost / one.gap.one_size;
    let share = |one: &Compared| one.gap.share();
    println!("saved: mean {:.2} %, most {:.2} %", 100.0 * mean(&saved), 100.0 * most(&saved));
    println!("gap: mean {:.2} %, most {:.2} %", 100.0 * mean(&share), 100.0 * most(&share));
    println!("with steps: {} of {}", all.iter().filter(|one| one.steps > 0).count(), all.len());
    println!("seconds of a proof: mean {:.2}, most {:.2}", mean(&|one| one.seconds), most(&|one| one.seconds));
    for one in &all {
        assert!(one.gap.cost <= one.gap.one_size * (1.0 + 1e-9), "{:?}", one.gap);
        assert!(one.gap.least <= one.gap.cost, "{:?}", one.gap);
    }
    assert!(all.iter().filter(|one| one.steps > 0).count() > 100 && mean(&saved) > 0.05);
}
