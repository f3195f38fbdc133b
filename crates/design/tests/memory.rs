//! What is remembered changes nothing but the time: over edits drawn by lot each plan is worked out with what is left of all
//! plans before it and from nothing, and both are the same to the bit.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;

use design::{Memory, grade, lay_out, work_out};
use measure::{Point, Units};
use plan::{Hold, Joins, Landmark, LandmarkKind, Line, LineId, LineKind, Outlet, Outline, Plan, SizeBy};
use proptest::prelude::*;

/// Two networks on one field, one of them with a branch of a branch.
fn field() -> Plan {
    let laterals = [(30.0, 130.0), (70.0, 8.0), (110.0, 128.0), (160.0, 10.0), (210.0, 125.0)];
    let mut plan = common::plan(98.7, Units::Feet, &laterals);
    plan.lines.values_mut().for_each(|line| line.size_by = SizeBy::Flow);
    let join = plan.line_named("L3").unwrap();
    let foot = measure::point_at(&plan.lines[&join].points, 40.0).unwrap();
    let branch = Line::new("B1", LineKind::Lateral, vec![foot, Point::new(foot.x + 30.0, foot.y + 4.0)]);
    plan.apply(&plan::add_line(&plan, Line { joins: Joins::Line(join), ..branch }).1).unwrap();
    let at = Point::new(270.0, 134.0);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O2", at, 100.2));
    plan.apply(&edit).unwrap();
    let other = Line::new("M2", LineKind::Main, vec![at, Point::new(250.0, 110.0), Point::new(226.0, 100.0)]);
    plan.apply(&plan::add_line(&plan, Line { joins: Joins::Outlet(outlet), ..other }).1).unwrap();
    let kind = LandmarkKind::Pit(plan::Pit { tight_m: Some(1.0), ..plan::Pit::default() });
    let outline = Outline::At(Point::new(120.0, 90.0));
    let mark = Landmark { name: "P1".into(), kind, outline, note: String::new() };
    plan.apply(&plan::add_landmark(&plan, mark).1).unwrap();
    plan
}

/// One edit out of many, by its number: geometry, limits, prices, holds, sizes, outlets, lines that come and go.
fn edited(plan: &Plan, kind: u8, which: usize, by: f64) -> Plan {
    let mut next = plan.clone();
    let ids: Vec<LineId> = plan.lines.keys().copied().collect();
    let id = ids[which % ids.len()];
    let line = next.lines.get_mut(&id).unwrap();
    match kind {
        0 | 1 => {
            let k = 1 + which % (line.points.len() - 1);
            let to = Point::new(line.points[k].x + 4.0 * (by - 0.5), line.points[k].y + 3.0 * (0.5 - by));
            return plan.with(&plan::move_point(plan, id, k, to).unwrap());
        }
        2 => next.criteria.least_cover_m = 0.5 + 0.4 * by,
        3 => next.cost_weights.margin = 0.08 * by,
        4 => line.reaches = vec![plan::Reach { from_m: 10.0, to_m: 22.0, hold: Hold::Grade(0.004 + 0.01 * by) }],
        5 => line.reaches = vec![plan::Reach { from_m: 4.0, to_m: 24.0, hold: Hold::IntoLayer(0.3 * by) }],
        6 => line.reaches.clear(),
        7 => (line.size_by, line.size_m) = (SizeBy::Hand, if by < 0.5 { 0.1 } else { 0.15 }),
        8 => line.size_by = SizeBy::Flow,
        9 => line.seepage_m3s = 0.002 * by,
        10 => next.outlets.values_mut().for_each(|outlet| outlet.invert_m += 0.4 * (by - 0.5)),
        11 => next.brief.coefficient_ms = Some(1e-7 + 4e-7 * by),
        12 => next.criteria.even_grade = 0.004 * by,
        13 => next.landmarks.values_mut().for_each(|mark| {
            if let LandmarkKind::Pit(pit) = &mut mark.kind {
                pit.tight_m = Some(0.8 + 0.4 * by);
            }
        }),
        14 if line.kind == LineKind::Lateral && !plan.lines.values().any(|other| other.joins == Joins::Line(id)) => {
            next.lines.remove(&id);
        }
        14 | 15 => {
            let main = plan.line_named("M1").unwrap();
            let foot = measure::point_at(&plan.lines[&main].points, 20.0 + 200.0 * by).unwrap();
            let points = vec![foot, Point::new(foot.x + 6.0, if by < 0.5 { 12.0 } else { 122.0 })];
            let line = Line::new("New", LineKind::Lateral, points);
            next.apply(&plan::add_line(plan, Line { joins: Joins::Line(main), ..line }).1).unwrap();
        }
        _ => line.pins = vec![plan::Pin { station_m: 12.0, invert_m: 99.2 + 0.6 * by, straight: by < 0.3 }],
    }
    next
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(40) })]

    #[test]
    fn edits_in_any_order(edits in prop::collection::vec((0u8..17, 0usize..40, 0.0..1.0f64), 1..8), threads in 1usize..3) {
        let (ground, other) = (common::ground(0.008, 0.12), common::ground(0.01, 0.05));
        let (mut plan, mut memory) = (field(), Memory::with_threads(threads));
        prop_assert_eq!(design::work_out_again(&plan, &land::Land::from(&ground), &mut memory), work_out(&plan, &land::Land::from(&ground)));
        for (i, (kind, which, by)) in edits.into_iter().enumerate() {
            plan = edited(&plan, kind, which, by);
            let ground = if i % 4 == 3 { &other } else { &ground };
            let wanted = work_out(&plan, &land::Land::from(ground));
            let layout = lay_out(&plan, &land::Land::from(ground), &mut memory);
            prop_assert_eq!(&layout, &lay_out(&plan, &land::Land::from(ground), &mut Memory::default()));
            prop_assert_eq!(&grade(&plan, &layout, &mut memory), &wanted, "edit {} {} {}", kind, which, by);
            // Ground laid under the layout by itself leaves what it must not leave to nobody.
            let raised = layout.with_ground(|_, _, at, level_m| level_m + 0.1 * (at.x / 9.0 + by).sin());
            prop_assert_eq!(grade(&plan, &raised, &mut memory), grade(&plan, &raised, &mut Memory::default()));
        }
    }

    /// A vertex is dragged step by step and let go where it was.
    #[test]
    fn a_drag_and_back(which in 0usize..40, steps in prop::collection::vec(-2.0..2.0f64, 3..9)) {
        let (ground, plan, mut memory) = (common::ground(0.008, 0.12), field(), Memory::with_threads(2));
        let ids: Vec<LineId> = plan.lines.keys().copied().collect();
        let id = ids[which % ids.len()];
        let at = plan.lines[&id].points[1];
        for off_m in steps.into_iter().chain([0.0]) {
            let to = Point::new(at.x, at.y + off_m);
            let dragged = plan.with(&plan::move_point(&plan, id, 1, to).unwrap());
            let found = design::work_out_again(&dragged, &land::Land::from(&ground), &mut memory);
            prop_assert_eq!(found, work_out(&dragged, &land::Land::from(&ground)));
        }
    }
}

/// Every kind of edit after every other, on one and the same line: what each hangs on is looked at.
#[test]
fn every_edit_after_every_other() {
    let ground = common::ground(0.008, 0.12);
    let plan = field();
    let which = plan.lines.keys().position(|id| plan.lines[id].name == "L3").unwrap();
    for first in 0..17 {
        for second in 0..17 {
            let (before, mut memory) = (edited(&plan, first, which, 0.4), Memory::default());
            design::work_out_again(&before, &land::Land::from(&ground), &mut memory);
            let after = edited(&before, second, which % before.lines.len(), 0.8);
            let found = design::work_out_again(&after, &land::Land::from(&ground), &mut memory);
            assert!(found == work_out(&after, &land::Land::from(&ground)), "{second} after {first}");
        }
    }
}
