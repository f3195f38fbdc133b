//! Networks by lot: a main with laterals, some of them joined by a submain, on ground with waves.

#![allow(clippy::unwrap_used, reason = "what is made here can be made")]

use fastrand::Rng;
use land::Land;
use measure::{Point, Units};
use plan::{Joins, Line, LineId, LineKind, Outlet, Plan, Served, SizeBy};
use terrain::{Grid, Ground};

fn between(lot: &mut Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * lot.f64()
}

/// A main of 250 to 650 m with 2 to 24 laterals on either side, some of them joined by a submain, on ground with waves.
pub fn network(lot: &mut Rng) -> (Plan, Land) {
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
