//! Mains that step up in size downstream: what they save against one size from end to end, and how near they are to the best.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests may stop the test, and a table is printed"
)]

#[path = "common/networks.rs"]
mod networks;

use std::time::Instant;

use design::{Layout, SizeGap, lay_out, size_gap};
use fastrand::Rng;
use land::Land;
use networks::network;
use plan::Plan;

struct Compared {
    gap: SizeGap,
    steps: usize,
    seconds: f64,
}

fn compared(plan: &Plan, land: &Land) -> Option<Compared> {
    let layout: Layout = lay_out(plan, land, &mut design::Memory::default());
    let began = Instant::now();
    let gap = size_gap(plan, &layout)?;
    let seconds = began.elapsed().as_secs_f64();
    let design = design::work_out(plan, land);
    let steps = design.lines.values().map(|line| line.steps.all().len() - 1).sum();
    for line in design.lines.values() {
        assert!(line.steps.all().windows(2).all(|pair| pair[1].size_m < pair[0].size_m), "{:?}", line.steps);
    }
    Some(Compared { gap, steps, seconds })
}

fn two_hundred() -> Vec<Compared> {
    let mut lot = Rng::with_seed(7_004);
    (0..).map(|_| network(&mut lot)).filter_map(|(plan, land)| compared(&plan, &land)).take(200).collect()
}

/// Stepping is never dearer than one size a line, on 200 networks by lot; prints what it saves and how near it is to a bound.
#[test]
fn never_dearer_than_one_size() {
    let all = two_hundred();
    let mean = |of: &dyn Fn(&Compared) -> f64| all.iter().map(of).sum::<f64>() / all.len() as f64;
    let most = |of: &dyn Fn(&Compared) -> f64| all.iter().map(of).fold(0.0, f64::max);
    let median = |of: &dyn Fn(&Compared) -> f64| {
        let mut values: Vec<f64> = all.iter().map(of).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    let saved = |one: &Compared| 1.0 - one.gap.cost / one.gap.one_size;
    let share = |one: &Compared| one.gap.share();
    for (what, of) in [("saved", &saved as &dyn Fn(&Compared) -> f64), ("gap", &share)] {
        let [mean, median, most] = [mean(of), median(of), most(of)].map(|share| 100.0 * share);
        println!("{what}: mean {mean:.4} %, median {median:.4} %, most {most:.4} %");
    }
    println!("with steps: {} of {}", all.iter().filter(|one| one.steps > 0).count(), all.len());
    println!("seconds of a proof: mean {:.2}, most {:.2}", mean(&|one| one.seconds), most(&|one| one.seconds));
    for one in &all {
        assert!(one.gap.cost <= one.gap.one_size * (1.0 + 1e-9), "{:?}", one.gap);
        assert!(one.gap.least <= one.gap.cost && one.gap.share() < 0.005, "{:?}", one.gap);
    }
    assert!(all.iter().filter(|one| one.steps > 0).count() > 100 && mean(&saved) > 0.05);
}
