//! How long the choices on old tile take beside working the plan out once: a main with 59 laterals on both sides, without
//! ground. The answer is to stand in under 50 ms on a planner's laptop; the ratio tells what the choices cost, whatever the
//! machine. `cargo bench -p job --bench found`.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop and print")]

use std::time::{Duration, Instant};

use job::Worked;
use job::find_form::FindForm;
use job::found::weigh;
use land::Land;
use measure::{FOOT_M, Point, Units};
use plan::{Joins, Line, LineKind, Outlet, Plan, Signature};

const TIMES: u32 = 10;

fn ft(x: f64, y: f64) -> Point {
    Point::new(x * FOOT_M, y * FOOT_M)
}

fn plan() -> Plan {
    let mut plan = Plan::new("Sixty lines", Units::Feet);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", ft(0.0, 0.0), 100.0 * FOOT_M));
    plan.apply(&edit).unwrap();
    let main = Line::new("M1", LineKind::Main, vec![ft(0.0, 0.0), ft(2000.0, 0.0)]);
    let (main, edit) = plan::add_line(&plan, Line { joins: Joins::Outlet(outlet), ..main });
    plan.apply(&edit).unwrap();
    for i in 0..59_u32 {
        let (x, y) = (25.0 + 33.0 * f64::from(i), if i % 2 == 0 { 600.0 } else { -600.0 });
        let lateral = Line::new(&format!("L{i}"), LineKind::Lateral, vec![ft(x, 0.0), ft(x, y)]);
        plan.apply(&plan::add_line(&plan, Line { joins: Joins::Line(main), ..lateral }).1).unwrap();
    }
    plan
}

/// The shortest of several runs.
fn best(mut work: impl FnMut()) -> Duration {
    let time = |_| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..TIMES).map(time).min().unwrap_or_default()
}

fn main() {
    let (plan, land) = (plan(), Land::default());
    let form = FindForm {
        line: "M1".into(),
        station: "4+37".into(),
        invert: "104.5".into(),
        size: "4 in".into(),
        falls: "from left".into(),
        upstream: "3.4 ac".into(),
        by: "R. Wren".into(),
        at: "2031-04-02".into(),
        ..FindForm::default()
    };
    let find = form.read(&plan).unwrap();
    let signed = Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: String::new() };
    let worked = Worked::of(plan.clone(), &land);
    let once = best(|| drop(Worked::of(plan.clone(), &land)));
    let choices = best(|| drop(weigh(&worked, &find, &[], &signed, false).unwrap()));
    let ratio = choices.as_secs_f64() / once.as_secs_f64();
    println!("one plan worked out {once:.1?}, all choices weighed {choices:.1?}: {ratio:.1} times as long");
}
