//! Lines drawn along swales and off a main: the way a click will take, past confluences, and what opposite laterals join.

use crate::hand::{click, on_desk, press, screen};
use app::desk::Desk;
use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use land::{Land, Laying};
use measure::{LengthUnit, Point, Units, distance, nearest_on};
use plan::{Joins, Plan};
use terrain::{Grid, Ground};

const CONFLUENCE: Point = Point::new(101.0, 151.0);
const HEADS: [Point; 2] = [Point::new(41.0, 291.0), Point::new(161.0, 291.0)];
const MOUTH: Point = Point::new(101.0, 1.0);

/// Two valleys that meet half-way down: 200 × 300 m, 1 in 100 along them and 1 in 20 up to their sides.
fn land() -> Land {
    let valleys = HEADS.map(|head| [MOUTH, CONFLUENCE, head]);
    let level = |cell: usize| {
        let at = Point::new((cell % 100) as f64 * 2.0 + 1.0, (149 - cell / 100) as f64 * 2.0 + 1.0);
        let near = valleys.iter().filter_map(|valley| nearest_on(valley, at));
        let (along_m, _, off_m) = near.min_by(|a, b| a.2.total_cmp(&b.2)).unwrap();
        (50.0 + 0.01 * along_m + 0.05 * off_m) as f32
    };
    let grid = Grid::new((100, 150), (0.0, 300.0), (2.0, 2.0), (0..15_000).map(level).collect()).unwrap();
    Land::of(Ground::from_grid(grid), LengthUnit::Metre, &Laying::PLAIN).unwrap()
}

fn desk() -> Harness<'static, Desk> {
    let mut harness = on_desk(Session::new(Plan::new("Two valleys", Units::Metric), None, land()), 1280.0, 900.0);
    harness.get_by_label("Main").click();
    harness.run_steps(3);
    harness
}

fn sketched(harness: &mut Harness<'_, Desk>, at: Point) -> Vec<Point> {
    let at = screen(harness, at);
    harness.hover_at(at);
    harness.run_steps(2);
    harness.state().tool.sketch().path
}

/// From the mouth up either valley: the rubber band runs through the confluence, and the click takes that very path.
#[test]
fn the_band_shows_the_way_past_the_confluence() {
    for head in HEADS {
        let valley = [MOUTH, CONFLUENCE, head];
        let mut harness = desk();
        click(&mut harness, Point::new(101.0, 30.0));
        let to = measure::along(CONFLUENCE, head, 0.7);
        let band = sketched(&mut harness, to);
        assert!(band.len() > 3, "{band:?}");
        let off_m = |p: &Point| nearest_on(&valley, *p).unwrap().2;
        assert!(band.iter().all(|p| off_m(p) < 6.0), "{band:?}");
        assert!(nearest_on(&band, CONFLUENCE).unwrap().2 < 6.0);
        click(&mut harness, to);
        press(&mut harness, Key::Enter);
        let line = harness.state().session.plan().lines.values().next().unwrap().points.clone();
        assert_eq!(line, band);
    }
}

/// From one branch to the other no water runs: the line is straight.
#[test]
fn nothing_is_followed_from_branch_to_branch() {
    let mut harness = desk();
    click(&mut harness, measure::along(CONFLUENCE, HEADS[0], 0.5));
    assert_eq!(sketched(&mut harness, measure::along(CONFLUENCE, HEADS[1], 0.5)).len(), 2);
}

/// An outlet in the channel is a place on it: the first line from there follows it.
#[test]
fn from_an_outlet_in_the_channel_the_line_follows_it() {
    let mut harness = desk();
    harness.get_by_label("Outlet").click();
    harness.run_steps(3);
    click(&mut harness, Point::new(101.0, 30.0));
    harness.get_by_label("Main").click();
    harness.run_steps(3);
    let outlet = harness.state().session.plan().outlets.values().next().unwrap().at;
    click(&mut harness, outlet);
    let band = sketched(&mut harness, measure::along(CONFLUENCE, HEADS[0], 0.6));
    assert!(band.len() > 3 && distance(band[0], outlet) < 1e-9, "{band:?}");
}

/// Two laterals drawn from one place of the main, to either side, both join the main.
#[test]
fn opposite_laterals_both_join_the_main() {
    let mut harness = desk();
    for at in [Point::new(60.0, 40.0), Point::new(143.0, 111.0)] {
        click(&mut harness, at);
    }
    press(&mut harness, Key::Enter);
    let main = harness.state().session.plan().line_named("M1").unwrap();
    let ends = harness.state().session.plan().lines[&main].points.clone();
    let foot = measure::along(ends[0], ends[1], 0.47);
    for end in [Point::new(70.0, 110.0), Point::new(130.0, 50.0)] {
        harness.get_by_label("Lateral").click();
        harness.run_steps(3);
        click(&mut harness, foot);
        click(&mut harness, end);
        press(&mut harness, Key::Enter);
    }
    let plan = harness.state().session.plan();
    let joined = ["L1", "L2"].map(|name| plan.lines[&plan.line_named(name).unwrap()].joins);
    assert_eq!(joined, [Joins::Line(main); 2]);
}
