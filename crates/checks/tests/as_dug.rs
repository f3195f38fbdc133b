//! The as-dug part of the worked scenario: Tannet Rise, line L2, from the cut sheet to the record.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::sync::Arc;

use checks::{Finding, Severity, punch_list};
use design::Design;
use land::Land;
use measure::{FOOT_M, Point, Units};
use plan::{DugShot, Joins, LaidStretch, Line, LineId, LineKind, Outlet, Pin, Plan, ShotOn, Signature, Spot, Taken};
use record::as_dug;
use terrain::Profile;

/// Main M1 with its invert at 412.36 where L2 joins; L2 at 0.60 % from 412.61 to 2+00, then at 1.65 % to 4+00.
fn tannet_rise() -> (Plan, LineId) {
    let mut plan = Plan::new("Tannet Rise", Units::Feet);
    let point = |x: f64, y: f64| Point::new(x * FOOT_M, y * FOOT_M);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", point(-100.0, 0.0), 412.0 * FOOT_M));
    plan.apply(&edit).unwrap();
    let pin =
        |station: f64, level: f64| Pin { station_m: station * FOOT_M, invert_m: level * FOOT_M, straight: true };
    let course = vec![point(-100.0, 0.0), point(200.0, 0.0)];
    let (joins, pins) = (Joins::Outlet(outlet), vec![pin(100.0, 412.36)]);
    let (m1, edit) = plan::add_line(&plan, Line { joins, pins, ..Line::new("M1", LineKind::Main, course) });
    plan.apply(&edit).unwrap();
    let pins = vec![pin(0.0, 412.61), pin(200.0, 413.81), pin(400.0, 417.11)];
    let course = vec![point(0.0, 0.0), point(0.0, 400.0)];
    let lateral = Line { joins: Joins::Line(m1), pins, ..Line::new("L2", LineKind::Lateral, course) };
    let (l2, edit) = plan::add_line(&plan, lateral);
    plan.apply(&edit).unwrap();
    (plan, l2)
}

fn design(plan: &Plan, l2: LineId) -> Design {
    let mut design = design::work_out(plan, &Land::default());
    let ground = [415.92, 416.10, 416.42, 416.29, 417.05, 417.70, 418.62, 419.55, 420.40];
    let places: Vec<_> =
        ground.iter().enumerate().map(|(i, z)| (50.0 * i as f64 * FOOT_M, Some(z * FOOT_M))).collect();
    design.lines.get_mut(&l2).unwrap().lay_on(Arc::new(Profile::through(&places)));
    design
}

fn shot(line: LineId, station: f64, level: f64, at: &str) -> DugShot {
    DugShot {
        key: format!("s{station}-{at}"),
        taken: Taken { by: "R. Wren".into(), at: at.into(), revision: "B".into() },
        spot: Spot::Station { line, station_m: station * FOOT_M },
        on: ShotOn::Invert,
        level_m: level * FOOT_M,
        scatter_m: Some(0.015 * FOOT_M),
        fix: None,
        note: String::new(),
        struck: None,
    }
}

/// The lower half as the crew shot it.
fn lower_half(line: LineId) -> Vec<DugShot> {
    let held = [(0.0, 412.61), (50.0, 412.93), (100.0, 412.88), (150.0, 413.50), (200.0, 413.83)];
    held.iter().map(|(station, level)| shot(line, *station, *level, "2031-04-02T09:30")).collect()
}

/// What the checks of the record find.
fn found(plan: &Plan, l2: LineId) -> Vec<Finding> {
    let all = punch_list(plan, &design(plan, l2), &Land::default());
    all.into_iter().filter(|finding| (109..=116).contains(&finding.check)).collect()
}

#[test]
fn from_the_cut_sheet_to_the_record() {
    let (mut plan, l2) = tannet_rise();
    plan.record.shots = lower_half(l2);
    let dug = as_dug(&plan, &design(&plan, l2));
    let over = |dug: &record::Dug| Units::Feet.number(dug.over_plan_m().unwrap(), 2);
    let told: Vec<String> = dug.lines[&l2].shots.iter().map(over).collect();
    assert_eq!(told, ["0.00", "0.02", "−0.33", "−0.01", "0.02"]);

    let list = found(&plan, l2);
    assert_eq!(list.iter().map(|finding| finding.check).collect::<Vec<_>>(), [109, 111]);
    assert_eq!(list[0].severity, Severity::Block);
    assert!(
        list[0].message.contains("0.05 ft between 1+00 and 0+50; 5/8 in of water will stand (15 %"),
        "{}",
        list[0].message
    );
    assert_eq!(list[1].severity, Severity::Decide);
    assert_eq!(list[1].from_m, list[1].to_m);
    assert!(list[1].message.contains("0.33 ft under the plan at 1+00"), "{}", list[1].message);
    let words = |plan: &Plan| as_dug(plan, &design(plan, l2)).lines[&l2].verdicts[0].words(Units::Feet);
    assert_eq!(words(&plan), "Not yet: the shot at 1+00 lies 0.05 ft under the one at 0+50, downstream of it.");

    let (stretch_m, on) = ((0.0, 200.0 * FOOT_M), "2031-04-02".to_string());
    let laid = LaidStretch { line: l2, stretch_m, on, size_m: None, wall: None, solid: None, backfilled: true };
    let mut filled = plan.clone();
    filled.record.laid.push(laid);
    assert_eq!(found(&filled, l2)[0].severity, Severity::Decide);

    plan.record.shots.push(shot(l2, 100.2, 413.20, "2031-04-02T11:00"));
    assert_eq!(found(&plan, l2), []);
    assert_eq!(words(&plan), "Within limits, ready for the inspector.");
    assert_eq!(as_dug(&plan, &design(&plan, l2)).lines[&l2].shots[2].replaces, ["s100-2031-04-02T09:30"]);
}

/// The same pipe shot on its outside top, 0.36 ft over the invert of 4-in pipe, and on the bottom of the trench, 0.03 ft
/// under it.
#[test]
fn what_a_shot_was_held_on_is_taken_off() {
    let (mut plan, l2) = tannet_rise();
    plan.record.shots = lower_half(l2);
    let wanted = as_dug(&plan, &design(&plan, l2));
    for (on, over_ft) in [(ShotOn::Top, 0.36), (ShotOn::TrenchBottom, -0.03)] {
        let mut other = plan.clone();
        for shot in &mut other.record.shots {
            (shot.on, shot.level_m) = (on, shot.level_m + over_ft * FOOT_M);
        }
        let dug = as_dug(&other, &design(&other, l2));
        for (one, other) in dug.lines[&l2].shots.iter().zip(&wanted.lines[&l2].shots) {
            assert!((one.invert_m - other.invert_m).abs() < 1e-9 * FOOT_M.max(1.0), "{on:?}");
        }
    }
}

/// An earlier shot that comes in later changes nothing; one that was struck counts no more; one that lies on no line, or on
/// old tile, is named.
#[test]
fn which_shot_counts() {
    let (mut plan, l2) = tannet_rise();
    plan.record.shots = lower_half(l2);
    plan.record.shots.push(shot(l2, 100.0, 413.20, "2031-04-02T08:00"));
    assert_eq!(found(&plan, l2).len(), 2);
    let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: "rod slipped".into() };
    plan.record.shots[2].struck = Some(signed);
    assert_eq!(found(&plan, l2), []);
    let away = |x: f64, y: f64| Spot::Place(Point::new(x * FOOT_M, y * FOOT_M));
    plan.record.shots.push(DugShot {
        key: "astray".into(),
        spot: away(40.0, 250.0),
        ..shot(l2, 0.0, 414.0, "2031-04-02")
    });
    plan.record.shots.push(DugShot {
        key: "beside".into(),
        spot: away(-0.4, 250.5),
        ..shot(l2, 0.0, 414.6, "2031-04-02")
    });
    let dug = as_dug(&plan, &design(&plan, l2));
    assert_eq!(dug.astray, ["astray"]);
    let beside = dug.lines[&l2].shots.last().unwrap();
    assert!((beside.left_m.unwrap() - 0.4 * FOOT_M).abs() < 1e-9, "left, looking upstream: {beside:?}");
    assert!((beside.past_stake_m() - 0.5 * FOOT_M).abs() < 1e-9, "{beside:?}");
}

/// Where L2 joins the main a shot is as near to the one as to the other: its note decides, word for word.
#[test]
fn at_a_joint_the_note_names_the_line() {
    let (mut plan, l2) = tannet_rise();
    let m1 = plan.line_named("M1").unwrap();
    for (note, line) in [("shot 7, L2 inv", l2), ("shot 7, L22 inv", m1), ("shot 7", m1)] {
        let spot = Spot::Place(Point::new(0.05 * FOOT_M, 0.0));
        plan.record.shots = vec![DugShot { spot, note: note.into(), ..shot(l2, 0.0, 412.61, "2031-04-02") }];
        let dug = as_dug(&plan, &design(&plan, l2));
        assert_eq!(dug.lines.keys().collect::<Vec<_>>(), [&line], "{note}");
    }
}
