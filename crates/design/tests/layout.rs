//! The two halves: what is graded from a layout is what is worked out from the ground, also over other ground.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;

use design::{Design, Memory, grade, lay_out, work_out};
use measure::{Point, Units};
use plan::{Plan, SizeBy};
use proptest::prelude::*;
use terrain::{Grid, Ground, Shot};

const LATERALS: [(f64, f64); 7] =
    [(20.0, 130.0), (55.0, 8.0), (90.0, 128.0), (120.0, 10.0), (160.0, 125.0), (200.0, 12.0), (240.0, 132.0)];

/// A whole small field, its main sized by flow, one lateral held at a depth and crossed by an exposed cable.
fn field(outlet_m: f64, cable_m: f64) -> Plan {
    let mut plan = common::plan(outlet_m, Units::Feet, &LATERALS);
    plan.lines.values_mut().for_each(|line| line.size_by = SizeBy::Flow);
    let id = plan.line_named("L3").unwrap();
    let edit = plan::set_reach(&plan, id, (30.0, 50.0), Some(plan::Hold::Depth(1.2))).unwrap();
    plan.apply(&edit).unwrap();
    let exposed =
        Some(plan::Exposed { by: "R".into(), on: "2031-04-02".into(), top_m: cable_m, bottom_m: cable_m - 0.1 });
    let kind = plan::LandmarkKind::Utility(plan::Utility { exposed, ..plan::Utility::default() });
    let outline = plan::Outline::Along(vec![Point::new(100.0, 100.0), Point::new(250.0, 100.0)]);
    let mark = plan::Landmark { name: "Cable".into(), kind, outline, note: String::new() };
    plan.apply(&plan::add_landmark(&plan, mark).1).unwrap();
    plan
}

/// The same ground with every level a multiple of 1/1024 m, raised by so much: a grid holds such levels exactly.
fn stepped(wave_m: f64, raised_m: f64) -> Ground {
    let ground = common::ground(0.008, wave_m);
    let grid = ground.grid();
    let step = |level: &f32| (f64::from((level * 1024.0).round()) / 1024.0 + raised_m) as f32;
    let levels = grid.levels().iter().map(step).collect();
    Ground::from_grid(Grid::new((grid.cols(), grid.rows()), (0.0, 140.0), (2.0, 2.0), levels).unwrap())
}

fn worst_apart_m(a: &Design, b: &Design) -> f64 {
    let mut worst_m = 0.0f64;
    for (id, one) in &a.lines {
        let other = &b.lines[id];
        assert_eq!((one.size_m, one.stations.len()), (other.size_m, other.stations.len()));
        assert_eq!(one.reaches.len(), other.reaches.len());
        for (s, o) in one.stations.iter().zip(&other.stations) {
            let apart = |a: Option<f64>, b: Option<f64>| a.zip(b).map_or(0.0, |(a, b)| (a - b).abs());
            assert_eq!((s.invert_m.is_some(), s.ground_m.is_some()), (o.invert_m.is_some(), o.ground_m.is_some()));
            worst_m = worst_m.max(apart(s.invert_m, o.invert_m)).max(apart(s.ground_m, o.ground_m));
        }
        let area = |line: &design::LineDesign| line.depth.iter().map(terrain::Piece::area_m2).sum::<f64>();
        worst_m = worst_m.max((area(one) - area(other)).abs() / one.length_m);
    }
    worst_m
}

/// One layout is graded again and again: the answer is the one worked out from the ground, to the bit.
#[test]
fn the_two_halves_make_the_whole() {
    for (outlet_m, cable_m, wave_m) in [(98.6, 99.9, 0.1), (98.4, 99.6, 0.25), (100.4, 99.9, 0.05)] {
        let (plan, ground) = (field(outlet_m, cable_m), common::ground(0.008, wave_m));
        let mut memory = Memory::default();
        let layout = lay_out(&plan, &land::Land::from(&ground), &mut memory);
        let whole = work_out(&plan, &land::Land::from(&ground));
        assert_eq!(whole.passed.len(), layout.utilities.len());
        assert_eq!(grade(&plan, &layout, &mut memory), whole);
        assert_eq!(grade(&plan, &layout, &mut memory), whole);
        let same = layout.with_ground(|_, _, _, level_m| level_m);
        assert_eq!(same, layout);
        assert_eq!(grade(&plan, &same, &mut memory), whole);
    }
    let plan = field(98.6, 99.9);
    let layout = lay_out(&plan, &land::Land::default(), &mut Memory::default());
    assert_eq!(grade(&plan, &layout, &mut Memory::default()), work_out(&plan, &land::Land::default()));
}

/// A layout raised everywhere is the layout of the raised ground; 5/16 m stands for 0.3 m, which no grid holds exactly.
#[test]
fn a_raised_layout_is_that_of_raised_ground() {
    for (outlet_m, cable_m, wave_m) in [(98.6, 99.9, 0.1), (98.4, 99.6, 0.25), (98.9, 100.4, 0.0)] {
        let (plan, raised_m) = (field(outlet_m, cable_m), 0.3125);
        let layout = lay_out(&plan, &land::Land::from(stepped(wave_m, 0.0)), &mut Memory::default());
        let raised = layout.with_ground(|_, _, _, level_m| level_m + raised_m);
        let found = grade(&plan, &raised, &mut Memory::default());
        let wanted = work_out(&plan, &land::Land::from(stepped(wave_m, raised_m)));
        let worst_m = worst_apart_m(&found, &wanted);
        assert!(worst_m < 1e-9, "{worst_m}");
        let before = grade(&plan, &layout, &mut Memory::default());
        assert_ne!(found.cost, before.cost);
    }
}

/// Over triangles ground runs straight for a long way: a change that is itself not straight is followed every 5 m.
#[test]
fn long_pieces_are_asked_on_their_way() {
    let shots = [(0.0, 0.0), (300.0, 0.0), (0.0, 140.0), (300.0, 140.0)];
    let shots = shots.map(|(x, y)| Shot { at: Point::new(x, y), level_m: 100.0 + 0.006 * x });
    let ground = Ground::from_shots(&shots, 2.0).unwrap();
    let plan = common::plan(98.6, Units::Metric, &LATERALS);
    let layout = lay_out(&plan, &land::Land::from(&ground), &mut Memory::default());
    let wave_m = |at: Point| 0.1 * (at.x / 12.0).sin();
    let other = layout.with_ground(|_, _, at, level_m| level_m + wave_m(at));
    for (id, course) in &other.courses {
        assert_eq!(course.stations.len(), layout.courses[id].stations.len());
        for k in 0..=200 {
            let station_m = course.length_m * f64::from(k) / 200.0;
            let wanted_m = layout.courses[id].ground.level(station_m).unwrap() + wave_m(course.at(station_m));
            // The sagitta of 5 m on a curve whose second derivative is at most 0.1 / 12².
            let off_m = course.ground.level(station_m).unwrap() - wanted_m;
            assert!(off_m.abs() <= 0.1 / 144.0 * 25.0 / 8.0 + 1e-9, "{off_m} at {station_m}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(16) })]

    /// Where ground is asked for anew its pieces still meet, and the levels graded over it have their depths under it.
    #[test]
    fn disturbed_ground_is_whole(seed in 0.0..6.0f64, by_m in 0.0..0.3f64) {
        let (plan, ground) = (field(98.5, 99.8), common::ground(0.008, 0.1));
        let layout = lay_out(&plan, &land::Land::from(&ground), &mut Memory::default());
        let noise = |at: Point| by_m * (at.x / 7.0 + seed).sin() * (at.y / 9.0 - seed).cos();
        let other = layout.with_ground(|_, _, at, level_m| level_m + noise(at));
        let design = grade(&plan, &other, &mut Memory::default());
        for (id, course) in &other.courses {
            let pieces = course.ground.pieces();
            prop_assert!(pieces.windows(2).all(|p| (p[0].at(p[0].to_m) - p[1].level_m).abs() < 1e-9));
            for station in &course.stations {
                let before_m = layout.courses[id].ground.level(station.station_m).unwrap();
                prop_assert!((station.ground_m.unwrap() - before_m - noise(station.at)).abs() < 0.01);
            }
            prop_assert_eq!(&design.lines[id].ground, &course.ground);
        }
    }
}
