//! Numbers that no job has are refused where they come in, by edits as by files; what an edit takes, a file gives back.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use exchange::{plan_from_text, plan_text};
use measure::{Point, Units};
use plan::{Change, Edit, Hub, Joins, Landmark, LandmarkId, LandmarkKind, Line, LineId, LineKind, Outlet, OutletId};
use plan::{Outline, Pin, Plan, PlanError};
use proptest::prelude::*;

fn sketch() -> Plan {
    let mut plan = Plan::new("Sketch", Units::Metric);
    let outlet = Outlet::new("O1", Point::new(0.0, 0.0), 10.0);
    let mut line = Line::new("L1", LineKind::Main, vec![Point::new(0.0, 0.0), Point::new(300.0, 0.0)]);
    line.joins = Joins::Outlet(OutletId(1));
    let mark = Landmark {
        name: "W1".into(),
        kind: LandmarkKind::Well { keep_off_m: Some(30.0) },
        outline: Outline::At(Point::new(50.0, 50.0)),
        note: String::new(),
    };
    let changes = vec![
        Change::Outlet(OutletId(1), Some(outlet)),
        Change::Line(LineId(2), Some(line)),
        Change::Landmark(LandmarkId(3), Some(mark)),
        Change::Field(plan::Field::of_rings(vec![square(400.0)])),
    ];
    plan.apply(&Edit { label: String::new(), changes }).unwrap();
    let row = plan::PriceRow {
        goods: plan::Goods::Perforated,
        size_m: None,
        branch_m: None,
        price: 1.0,
        pack_m: Some(50.0),
    };
    plan.price_list.rows = vec![row];
    plan
}

fn square(size_m: f64) -> Vec<Point> {
    [(0.0, 0.0), (size_m, 0.0), (size_m, size_m), (0.0, size_m)].map(|(x, y)| Point::new(x, y)).to_vec()
}

fn line_of(plan: &Plan, change: impl FnOnce(&mut Line)) -> Change {
    let mut line = plan.lines[&LineId(2)].clone();
    change(&mut line);
    Change::Line(LineId(2), Some(line))
}

/// An edit that sets one number somewhere in the plan.
fn with_number(plan: &Plan, which: usize, number: f64) -> Edit {
    let at = Point::new(number, 5.0);
    let mut outlet = plan.outlets[&OutletId(1)].clone();
    let mut mark = plan.landmarks[&LandmarkId(3)].clone();
    let (mut criteria, mut brief) = (plan.criteria.clone(), plan.brief.clone());
    let (mut prices, mut list) = (plan.cost_weights.clone(), plan.price_list.clone());
    let limits = plan::LIMITS.len();
    let change = match which {
        0 => line_of(plan, |line| line.points.push(at)),
        1 => line_of(plan, |line| line.size_m = number),
        2 => line_of(plan, |line| line.roughness_n = Some(number)),
        3 => line_of(plan, |line| line.seepage_m3s = number),
        4 => line_of(plan, |line| line.drop_m = Some(number)),
        5 => line_of(plan, |line| line.served = plan::Served::Width(number)),
        6 => line_of(plan, |line| line.pins = vec![Pin { station_m: 10.0, invert_m: number, straight: false }]),
        7 => line_of(plan, |line| line.pins = vec![Pin { station_m: number, invert_m: 10.0, straight: false }]),
        8 => line_of(plan, |line| line.hubs = vec![Hub { station_m: 1.0, level_m: number, left_m: number }]),
        9 => line_of(plan, |line| line.bed.envelope = plan::Envelope::Granular(number)),
        10 => line_of(plan, |line| {
            let facts = plan::BoxFacts { lid_depth_m: number, out_invert_m: Some(number) };
            let kind = plan::StructureKind::JunctionBox(facts);
            line.structures = vec![plan::Structure { station_m: 5.0, kind }];
        }),
        11 => line_of(plan, |line| {
            let catching = plan::Catching { riser_m: Some(number), ..plan::Catching::of(100.0) };
            let kind = plan::StructureKind::OpenInlet(catching);
            line.structures = vec![plan::Structure { station_m: 5.0, kind }];
        }),
        12 => Change::Field(plan::Field::of_rings(vec![square(number)])),
        13 => {
            outlet.invert_m = number;
            Change::Outlet(OutletId(1), Some(outlet))
        }
        14 => {
            outlet.at = at;
            Change::Outlet(OutletId(1), Some(outlet))
        }
        15 => {
            mark.outline = Outline::At(at);
            Change::Landmark(LandmarkId(3), Some(mark))
        }
        16 => {
            mark.kind = LandmarkKind::Well { keep_off_m: Some(number) };
            Change::Landmark(LandmarkId(3), Some(mark))
        }
        17 => {
            brief.served_m = number;
            Change::Brief(brief)
        }
        18 => {
            prices.margin = number;
            Change::CostWeights(prices)
        }
        19 => {
            list.rows[0].pack_m = Some(number);
            Change::PriceList(list)
        }
        20 => {
            list.rows[0].price = number;
            Change::PriceList(list)
        }
        which => {
            (plan::LIMITS[(which - 21) % limits].set)(&mut criteria, number);
            Change::Criteria(criteria)
        }
    };
    Edit { label: String::new(), changes: vec![change] }
}

fn many() -> usize {
    21 + plan::LIMITS.len()
}

/// Numbers as people, slips and damaged files make them.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        -10.0..10.0f64,
        0.0..1e4f64,
        -1e9..1e9f64,
        prop::num::f64::ANY,
        prop::sample::select(vec![0.0, -0.0, 5e-324, 1e-310, 1e308, f64::MAX, f64::NAN, f64::INFINITY]),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2_000) })]

    /// The door of the edits is no wider than that of the file: what is saved opens again as it was.
    #[test]
    fn what_an_edit_takes_a_file_gives_back(which in 0..many(), number in number()) {
        let mut plan = sketch();
        if plan.apply(&with_number(&plan, which, number)).is_ok() {
            let read = plan_from_text(&plan_text(&plan).unwrap());
            prop_assert_eq!(read.ok(), Some(plan));
        } else {
            prop_assert_eq!(plan, sketch(), "a refused edit leaves no trace");
        }
    }
}

/// No number of a plan is without a bound.
#[test]
fn every_number_is_bounded() {
    for which in 0..many() {
        for wild in [f64::NAN, f64::INFINITY, -1e308, 1e308, 1e12] {
            let done = sketch().apply(&with_number(&sketch(), which, wild));
            assert!(done.is_err(), "number {which} takes {wild}");
        }
    }
}

fn refused(change: impl FnOnce(&mut Plan)) -> String {
    let mut plan = sketch();
    change(&mut plan);
    let error: PlanError = plan.validate().unwrap_err();
    let from_file = plan_from_text(&plan_text(&plan).unwrap()).unwrap_err();
    assert_eq!(from_file.to_string(), error.to_string());
    error.to_string()
}

fn line_mut(plan: &mut Plan) -> &mut Line {
    plan.lines.get_mut(&LineId(2)).unwrap()
}

#[test]
fn what_no_job_has_is_refused_with_place_and_range() {
    assert_eq!(
        refused(|plan| line_mut(plan).points[1].x = 30_001.0),
        "line L1: found length 30001, expected 0.001 to 30000 m"
    );
    assert_eq!(
        refused(|plan| plan.field.as_mut().unwrap().ring[2].x = 100_500.0),
        "the field's boundary: found way across 100500, expected 0 to 100000 m"
    );
    assert_eq!(
        refused(|plan| plan.outlets.get_mut(&OutletId(1)).unwrap().invert_m = 12_500.0),
        "outlet O1: found level 12500, expected -12000 to 12000 m"
    );
    assert_eq!(
        refused(|plan| plan.criteria.silt_velocity_ms = 1e6),
        "limit silt_velocity_ms: found 1000000, expected 0 to 1000 m/s"
    );
    assert_eq!(refused(|plan| line_mut(plan).size_m = 20.0), "line L1: found size 20, expected 0.02 to 2 m");
    // Easting and northing swapped.
    assert_eq!(
        refused(|plan| plan.landmarks.get_mut(&LandmarkId(3)).unwrap().outline = Outline::At(Point::new(0.0, 4.5e6))),
        "well W1: found way from the rest of the plan 4500000, expected 0 to 100000 m"
    );
}

#[test]
fn what_no_job_has_so_many_of_is_refused() {
    let many = |plan: &mut Plan, count: u32, length_m: f64| {
        for i in 0..count {
            let id = LineId(10 + i);
            let points = vec![Point::new(0.0, 0.0), Point::new(length_m, 0.0)];
            plan.lines.insert(id, Line::new(&format!("X{i}"), LineKind::Lateral, points));
        }
        plan.next_id = 10 + count;
    };
    assert_eq!(refused(|plan| many(plan, 5_000, 10.0)), "the plan: found 5001 lines, expected at most 5000");
    let told = refused(|plan| many(plan, 40, 29_000.0));
    assert!(told.starts_with("the plan: found length of all lines 11603"), "{told}");
    let told = refused(|plan| {
        many(plan, 10, 29_000.0);
        plan.criteria.staking_m = 1.0;
    });
    assert!(told.starts_with("the plan: found stakes on all lines 290300"), "{told}");
    let told = refused(|plan| {
        many(plan, 10, 29_000.0);
        plan.price_list.rows[0].pack_m = Some(0.1);
    });
    assert!(told.starts_with("row 1 of the price list: found rolls for all pipe 290300"), "{told}");
    let bends = |count: u32| (0..count).map(|i| Point::new(f64::from(i) * 0.01, 0.0)).collect::<Vec<_>>();
    assert_eq!(
        refused(|plan| line_mut(plan).points = bends(20_001)),
        "line L1: found 20001 points, expected at most 20000"
    );
    let told = refused(|plan| line_mut(plan).name = "long ".repeat(200));
    assert!(told.ends_with("…: found 1000 letters of a name, expected at most 500") && told.len() < 200, "{told}");
    assert_eq!(
        refused(|plan| line_mut(plan).points.truncate(1)),
        "line L1: found 1 point, expected 2 points or more"
    );
}
