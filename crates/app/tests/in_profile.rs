//! What a profile shows where the line meets something, and that no name in it lies on another.

use crate::hand::on_desk;
use app::desk::Desk;
use app::view::Selection;
use egui::{Rect, Shape};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use land::{Land, Laying};
use measure::{LengthUnit, Point, Units};
use plan::{Joins, Landmark, LandmarkKind, Line, LineKind, OldTile, Outline, Plan, Utility};
use terrain::{Grid, Ground};

/// A main of 400 m with forty laterals, a gas main, a road and old tile across it, on ground that rises 1 in 100.
fn crowded(units: Units) -> Session {
    let mut plan = Plan::new("Crowded", units);
    let (outlet, edit) = plan::place_outlet(&plan, plan.new_outlet("O1", Point::new(5.0, 100.0), 49.0));
    plan.apply(&edit).unwrap();
    let line = |plan: &Plan, name: &str, kind, joins, points| Line { joins, ..plan.new_line(name, kind, points) };
    let along = vec![Point::new(5.0, 100.0), Point::new(405.0, 100.0)];
    let (main, edit) = plan::add_line(&plan, line(&plan, "M1", LineKind::Main, Joins::Outlet(outlet), along));
    plan.apply(&edit).unwrap();
    for k in 0..40 {
        let x = 10.0 + 9.5 * f64::from(k);
        let to = if k % 2 == 0 { 180.0 } else { 20.0 };
        let points = vec![Point::new(x, 100.0), Point::new(x, to)];
        let name = format!("North \"lateral\" {k}");
        plan.apply(&plan::add_line(&plan, line(&plan, &name, LineKind::Lateral, Joins::Line(main), points)).1)
            .unwrap();
    }
    let across = |x: f64| vec![Point::new(x, 10.0), Point::new(x, 190.0)];
    let utility = LandmarkKind::Utility(Utility { depth_m: Some(0.8), ..Utility::default() });
    let road = LandmarkKind::Road { width_m: 4.0, public: false, permission: false };
    for (name, kind, x) in [("gas", utility, 112.0), ("farm lane", road, 114.0)] {
        let mark = Landmark { name: name.into(), kind, outline: Outline::Along(across(x)), note: String::new() };
        plan.apply(&plan::add_landmark(&plan, mark).1).unwrap();
    }
    let old = plan.new_line("T1", LineKind::OldTile(OldTile::default()), across(116.0));
    plan.apply(&plan::add_line(&plan, old).1).unwrap();
    let level = |cell: usize| 50.0 + 0.02 * (cell % 210) as f32;
    let grid = Grid::new((210, 100), (0.0, 200.0), (2.0, 2.0), (0..21_000).map(level).collect()).unwrap();
    let land = Land::of(Ground::from_grid(grid), LengthUnit::Metre, &Laying::PLAIN).unwrap();
    Session::new(plan, None, land)
}

/// Texts painted within a place, with where they stand.
fn texts(harness: &Harness<'_, Desk>, within: Rect) -> Vec<(String, Rect)> {
    fn gather(shape: &Shape, all: &mut Vec<(String, Rect)>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| gather(shape, all)),
            Shape::Text(text) => all.push((text.galley.text().to_string(), text.visual_bounding_rect())),
            _ => {}
        }
    }
    let mut all = Vec::new();
    harness.output().shapes.iter().for_each(|clipped| gather(&clipped.shape, &mut all));
    all.retain(|(text, rect)| !text.trim().is_empty() && within.contains(rect.center()));
    all
}

/// Forty joints, a utility, a road and old tile within 4 m: what is crossed is named, and nothing is printed over anything.
#[test]
fn names_in_a_crowded_profile_stand_apart() {
    for (units, width) in [(Units::Metric, 1280.0), (Units::Feet, 1024.0)] {
        let mut harness = on_desk(crowded(units), width, 860.0);
        let main = harness.state().session.plan().line_named("M1").unwrap();
        harness.state_mut().view.selection = Selection::of(main);
        harness.run_steps(4);
        let rect = harness.get_by_label("Profile of M1").rect();
        let texts = texts(&harness, rect);
        for crossed in ["gas", "lane", "T1"] {
            assert!(texts.iter().any(|(text, _)| text.contains(crossed)), "{crossed}: {texts:?}");
        }
        assert!(texts.iter().filter(|(text, _)| text.contains("lateral")).count() >= 5, "{texts:?}");
        for (i, (one, place)) in texts.iter().enumerate() {
            for (other, beside) in &texts[i + 1..] {
                let shared = place.intersect(*beside);
                assert!(
                    !(shared.width() > 1.0 && shared.height() > 1.0),
                    "{one} at {place:?} and {other} at {beside:?}"
                );
            }
        }
    }
}
