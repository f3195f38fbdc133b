//! Plans on real ground.

use land::{Land, Laying};
use measure::{LengthUnit, Point, Units, nearest_on, path_length, point_at};
use plan::{Change, Edit, Field, Joins, Line, LineKind, Outlet, Plan, SizeBy};
use terrain::{Ground, Swale};

/// Real ground with a field over the middle of it.
pub fn land(name: &str) -> Option<Land> {
    let ground = Ground::from_grid(super::ground(name)?);
    Some(Land::of(ground, LengthUnit::Metre, &Laying::PLAIN).unwrap())
}

/// Changes a plan.
pub fn apply(plan: &mut Plan, edit: &Edit) {
    plan.apply(edit).unwrap();
}

/// Part of a swale inside the field, from where it leaves it up.
fn in_field(ring: &[Point], swale: &Swale) -> Vec<Point> {
    let (low, high) = (ring[0], ring[2]);
    let inside = |p: &&Point| p.x > low.x && p.x < high.x && p.y > low.y && p.y < high.y;
    swale.points.iter().rev().skip_while(|p| !inside(p)).take_while(inside).copied().collect()
}

/// The first part of a path.
pub fn cut(path: &[Point], length_m: f64) -> Vec<Point> {
    let mut points = vec![path[0]];
    let mut far_m = 0.0;
    for pair in path.windows(2) {
        far_m += measure::distance(pair[0], pair[1]);
        if far_m >= length_m {
            break;
        }
        points.push(pair[1]);
    }
    points.push(point_at(path, length_m).unwrap());
    points.dedup();
    points
}

/// A plan as a beginner draws it: a main up the lowest swale, three laterals up the swales that come into it.
pub fn plan_on(land: &Land) -> Plan {
    let (low, high) = land.grid().unwrap().extent();
    let at = |x: f64, y: f64| Point::new(low.x + (high.x - low.x) * x, low.y + (high.y - low.y) * y);
    let ring = vec![at(0.15, 0.15), at(0.85, 0.15), at(0.85, 0.85), at(0.15, 0.85)];
    let mut plan = Plan::new("Real ground", Units::Feet);
    apply(&mut plan, &Edit::one("Draw", Change::Field(Some(Field { ring: ring.clone(), holes: Vec::new() }))));
    let swales = &land.swales;
    let lowest = swales.iter().map(|swale| in_field(&ring, swale)).find(|path| path_length(path) > 150.0).unwrap();
    let main = cut(&lowest, path_length(&lowest).min(400.0) * 0.75);
    let level_m = land.ground.as_ref().unwrap().elevation(main[0]).unwrap();
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", main[0], level_m - 1.2));
    apply(&mut plan, &edit);
    let line = Line::new("M1", LineKind::Main, main.clone());
    let (m1, edit) = plan::add_line(&plan, Line { joins: Joins::Outlet(outlet), size_by: SizeBy::Flow, ..line });
    apply(&mut plan, &edit);
    let into_main = |swale: &&Swale| {
        let end = *swale.points.last().unwrap();
        nearest_on(&main, end).is_some_and(|(at_m, _, away_m)| away_m < 2.0 && at_m > 20.0)
    };
    let tributaries: Vec<Vec<Point>> = swales.iter().filter(into_main).map(|swale| in_field(&ring, swale)).collect();
    for (i, path) in tributaries.iter().filter(|path| path_length(path) > 30.0).take(3).enumerate() {
        let mut points = cut(path, path_length(path) * 0.6);
        points[0] = nearest_on(&main, points[0]).unwrap().1;
        let line = Line::new(&format!("L{}", i + 1), LineKind::Lateral, points);
        let (_, edit) = plan::add_line(&plan, Line { joins: Joins::Line(m1), size_by: SizeBy::Flow, ..line });
        apply(&mut plan, &edit);
    }
    plan
}
