//! A small field: a main and laterals on wavy ground that rises from the outlet.

use measure::{Point, Units};
use plan::{Joins, Line, LineKind, Outlet, Plan};
use terrain::{Grid, Ground};

/// Ground that rises from the outlet and to both sides of the main by some grade, with waves of some height.
pub fn ground(side_grade: f64, wave_m: f64) -> Ground {
    let level = |cell: usize| {
        let (x, y) = ((cell % 140) as f64 * 2.0, (69 - cell / 140) as f64 * 2.0);
        (100.0 + 0.006 * x + side_grade * (y - 60.0).abs() + wave_m * ((x / 19.0).sin() * (y / 23.0).cos())) as f32
    };
    Ground::from_grid(Grid::new((140, 70), (0.0, 140.0), (2.0, 2.0), (0..140 * 70).map(level).collect()).unwrap())
}

/// A main with laterals: how far up it each joins, and how far north its upper end lies, metres.
pub fn plan(outlet_m: f64, units: Units, laterals: &[(f64, f64)]) -> Plan {
    let mut plan = Plan::new("Small field", units);
    let at = Point::new(6.0, 60.0);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, outlet_m));
    plan.apply(&edit).unwrap();
    let course = vec![at, Point::new(120.0, 62.0), Point::new(262.0, 60.0)];
    let main = Line { joins: Joins::Outlet(outlet), size_m: 0.2, ..Line::new("M1", LineKind::Main, course.clone()) };
    let (main, edit) = plan::add_line(&plan, main);
    plan.apply(&edit).unwrap();
    for (i, (away_m, y)) in laterals.iter().enumerate() {
        let foot = measure::point_at(&course, *away_m).unwrap();
        let points = vec![foot, Point::new(foot.x + 5.0, *y)];
        let line = Line { joins: Joins::Line(main), ..Line::new(&format!("L{}", i + 1), LineKind::Lateral, points) };
        plan.apply(&plan::add_line(&plan, line).1).unwrap();
    }
    plan
}
