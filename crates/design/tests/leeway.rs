//! How far an even grade or an outlet may go: every end holds, and a step beyond it does not.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

mod common;

use design::{End, Leeway, Trial, even_edit, work_out};
use measure::Units;
use plan::{Edit, LineId, Outlet, Plan};
use proptest::prelude::*;
use terrain::Ground;

const STEP: f64 = 1e-4;

fn ground(wave_m: f64) -> Ground {
    common::ground(0.01, wave_m)
}

/// A main with two laterals on each side.
fn plan(outlet_m: f64, units: Units) -> Plan {
    common::plan(outlet_m, units, &[(70.0, 130.0), (130.0, 6.0), (180.0, 132.0), (256.0, 110.0)])
}

fn clashes(plan: &Plan, ground: &Ground, edit: Option<Edit>) -> bool {
    let mut changed = plan.clone();
    changed.apply(&edit.unwrap()).unwrap();
    !work_out(&changed, &land::Land::from(ground)).clashes.is_empty()
}

/// Both ends hold, and where limits end the range a step beyond does not.
fn is_to_the_step(found: &Leeway, step: f64, clashes: impl Fn(f64) -> bool) -> Result<(), TestCaseError> {
    for (end, at, beyond) in [(&found.below, found.from, -step), (&found.above, found.to, step)] {
        prop_assert!(!clashes(at), "{at} in {found:?}");
        if matches!(end, End::Limits(..) | End::Joint(_)) {
            prop_assert!(clashes(at + beyond), "beyond {at} in {found:?}");
        }
    }
    prop_assert!(!clashes(((found.from + found.to) / 2.0 / step).round() * step), "the middle of {found:?}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]

    #[test]
    fn ends_hold_and_a_step_beyond_does_not(
        wave_m in 0.0..0.5f64, outlet_m in 98.2..99.6f64, line in 0..5usize, metric in any::<bool>(),
    ) {
        let ground = ground(wave_m);
        let plan = plan(outlet_m, if metric { Units::Metric } else { Units::Feet });
        let design = work_out(&plan, &land::Land::from(&ground));
        let trial = Trial { plan: &plan, land: &land::Land::from(&ground), design: &design };
        let id: LineId = *plan.lines.keys().nth(line).unwrap();
        match trial.even_grades(id) {
            Ok(found) => is_to_the_step(&found, STEP, |grade| {
                clashes(&plan, &ground, even_edit(&plan, id, (grade / STEP).round() * STEP))
            })?,
            // Then none of all grades holds.
            Err(_) => {
                for step in (1..600).step_by(7) {
                    prop_assert!(clashes(&plan, &ground, even_edit(&plan, id, f64::from(step) * STEP)), "{step}");
                }
            }
        }
        let outlet = *plan.outlets.keys().next().unwrap();
        let step_m = 0.01;
        let moved = |invert_m: f64| {
            let moved = Outlet { invert_m, ..plan.outlets[&outlet].clone() };
            clashes(&plan, &ground, Some(plan::set_outlet(&plan, outlet, moved)))
        };
        match trial.outlet_inverts(outlet, step_m) {
            Ok(found) => is_to_the_step(&found, step_m, moved)?,
            Err(_) => {
                for step in 0..50 {
                    prop_assert!(moved(96.0 + 0.1 * f64::from(step)));
                }
            }
        }
    }
}

/// What ends a range is named: too flat a main leaves no cover at its upper end, too steep a one outruns the machine.
#[test]
fn what_ends_a_range_is_named() {
    let (ground, plan) = (ground(0.0), plan(99.0, Units::Metric));
    let design = work_out(&plan, &land::Land::from(&ground));
    let trial = Trial { plan: &plan, land: &land::Land::from(&ground), design: &design };
    let main = plan.line_named("M1").unwrap();
    let found = trial.even_grades(main).unwrap();
    let End::Limits(low, high) = &found.above else { panic!("{found:?}") };
    assert!(matches!(low.cause, design::Cause::Outlet(_)) && high.cause == design::Cause::Cover, "{found:?}");
}
