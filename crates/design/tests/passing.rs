//! Exposed utilities are passed on the sides that cost least: against every choice of sides entered by hand.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;

use design::{Cause, Design, work_out};
use measure::{Point, Units};
use plan::{Carries, Exposed, Landmark, LandmarkId, LandmarkKind, Outline, Pass, Plan, Side, Utility};
use proptest::prelude::*;
use terrain::Ground;

fn ground(wave_m: f64) -> Ground {
    common::ground(0.008, wave_m)
}

/// A main with a lateral on each side.
fn plan(outlet_m: f64) -> Plan {
    common::plan(outlet_m, Units::Feet, &[(70.0, 130.0), (180.0, 10.0)])
}

/// A cable across the field at `x`, or along it at `y`, found between two levels.
fn mark(plan: &mut Plan, name: &str, points: [(f64, f64); 2], (top_m, bottom_m): (f64, f64)) {
    let exposed = Some(Exposed { by: "R. Sund".into(), on: "2031-04-02".into(), top_m, bottom_m });
    let kind = LandmarkKind::Utility(Utility { carries: Carries::Power, exposed, ..Utility::default() });
    let outline = Outline::Along(points.map(|(x, y)| Point::new(x, y)).to_vec());
    let mark = Landmark { name: name.into(), kind, outline, note: String::new() };
    plan.apply(&plan::add_landmark(plan, mark).1).unwrap();
}

/// The same plan with the cables taken away and every crossing entered as something to be passed on a chosen side.
fn by_hand(plan: &Plan, design: &Design, sides: &[Side]) -> Plan {
    let mut plan = plan.clone();
    for (passed, side) in design.passed.iter().zip(sides) {
        let LandmarkKind::Utility(utility) = &plan.landmarks[&passed.utility].kind else { panic!() };
        let exposed = utility.exposed.clone().unwrap();
        let level_m = if *side == Side::Over { exposed.top_m } else { exposed.bottom_m };
        let pass =
            Pass { station_m: passed.station_m, what: "cable".into(), side: *side, level_m, clear_m: passed.clear_m };
        let mut line = plan.lines[&passed.line].clone();
        line.passes.push(pass);
        line.passes.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
        plan.apply(&plan::set_line("Pass", passed.line, line)).unwrap();
    }
    let marks: Vec<LandmarkId> = plan.landmarks.keys().copied().collect();
    for id in marks {
        let edit = plan::remove_landmark(&plan, id).unwrap();
        plan.apply(&edit).unwrap();
    }
    plan
}

/// Every line clears every cable by a foot on one side, from the outside of the pipe.
fn all_clear(plan: &Plan, design: &Design) -> bool {
    design.passed.iter().all(|passed| {
        let LandmarkKind::Utility(utility) = &plan.landmarks[&passed.utility].kind else { panic!() };
        let exposed = utility.exposed.as_ref().unwrap();
        let worked = &design.lines[&passed.line];
        let invert_m = worked.at(passed.station_m).unwrap().invert_m.unwrap();
        let low_m = invert_m - hydraulics::Body::CORRUGATED.wall_m(worked.size_m);
        let high_m = low_m + hydraulics::Body::CORRUGATED.outside_m(worked.size_m);
        (low_m - exposed.top_m).max(exposed.bottom_m - high_m) >= plan.criteria.utility_clear_m - 1e-6
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(40) })]

    #[test]
    fn no_other_sides_cost_less(
        wave_m in 0.0..0.4f64, outlet_m in 98.0..99.4f64, depths in prop::collection::vec((0.3..2.6f64, 0.05..0.4f64), 4),
        long in any::<bool>(),
    ) {
        let ground = ground(wave_m);
        let mut plan = plan(outlet_m);
        for (k, (depth_m, size_m)) in depths.iter().enumerate() {
            let x = 40.0 + 55.0 * k as f64;
            let top_m = ground.elevation(Point::new(x, 61.0)).unwrap() - depth_m;
            let points = if long && k == 3 { [(20.0, 100.0), (270.0, 22.0)] } else { [(x, 5.0), (x + 7.0, 135.0)] };
            mark(&mut plan, &format!("C{k}"), points, (top_m, top_m - size_m));
        }
        let design = work_out(&plan, &land::Land::from(&ground));
        let count = design.passed.len();
        prop_assert!((4..=7).contains(&count) && design.untried.is_empty());
        let tried = (0..1_u32 << count).map(|bits| {
            let sides: Vec<Side> =
                (0..count).map(|k| if bits >> k & 1 == 0 { Side::Over } else { Side::Under }).collect();
            let tried = work_out(&by_hand(&plan, &design, &sides), &land::Land::from(&ground));
            (tried.clashes.is_empty(), tried.cost.cheapest, sides)
        });
        let cheapest = tried.filter(|(holds, ..)| *holds).min_by(|a, b| a.1.total_cmp(&b.1));
        match cheapest {
            Some((_, cost, sides)) => {
                prop_assert!(design.clashes.is_empty(), "{sides:?} holds, {:?}", design.clashes);
                prop_assert!(all_clear(&plan, &design), "{:?}", design.passed);
                let own: Vec<Side> = design.passed.iter().map(|passed| passed.side).collect();
                prop_assert!(design.cost.cheapest <= cost * (1.0 + 1e-9), "{} {own:?}, {cost} {sides:?}", design.cost.cheapest);
            }
            None => {
                let [clash] = &design.clashes[..] else { panic!("{:?}", design.clashes) };
                let names_one = clash.bounds.is_some_and(|(low, high)| {
                    [low.cause, high.cause].iter().any(|cause| matches!(cause, Cause::Utility(_)))
                });
                prop_assert!(!names_one || clash.other_side.is_some(), "{clash:?}");
            }
        }
    }
}

/// Without a way over or under, the clash names the cable and what is in the way on both sides.
#[test]
fn a_clash_tells_both_sides() {
    let ground = ground(0.0);
    let mut plan = plan(99.0);
    // From just under the ground to deeper than the machine digs.
    mark(&mut plan, "C1", [(100.0, 5.0), (100.0, 135.0)], (100.3, 96.0));
    let design = work_out(&plan, &land::Land::from(&ground));
    let [clash] = &design.clashes[..] else { panic!("{:?}", design.clashes) };
    let ((low, high), (other_low, other_high)) = (clash.bounds.unwrap(), clash.other_side.unwrap());
    let is_cable = |cause: Cause| matches!(cause, Cause::Utility(_));
    assert_ne!(is_cable(low.cause), is_cable(other_low.cause), "{clash:#?}");
    assert_ne!(is_cable(high.cause), is_cable(other_high.cause), "{clash:#?}");
    assert!(low.there_m > high.there_m && other_low.there_m > other_high.there_m);
}

/// More than ten crossings: every limit holds, and what was not tried is told as a share of the digging.
#[test]
fn many_crossings_are_passed() {
    let ground = ground(0.05);
    let mut plan = plan(97.6);
    (plan.criteria.machine_reach_m, plan.criteria.target_depth_m) = (3.0, 1.5);
    for k in 0..14 {
        let x = 30.0 + 16.0 * f64::from(k);
        let top_m = ground.elevation(Point::new(x, 61.0)).unwrap() - 1.35 - 0.03 * f64::from(k % 3);
        mark(&mut plan, &format!("C{k}"), [(x, 50.0), (x, 70.0)], (top_m, top_m - 0.02));
    }
    let design = work_out(&plan, &land::Land::from(&ground));
    assert!(design.clashes.is_empty() && all_clear(&plan, &design), "{:?}", design.clashes);
    assert!(design.untried.iter().all(|untried| untried.crossings >= 14 && untried.saves_at_most < 0.2));
}
