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
use plan::{Goods, Plan, PriceList, PriceRow};

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

/// Prices of pipe, and of a reducer that costs as much as so many metres of it.
fn priced(plan: &Plan, reducer_m: f64) -> PriceList {
    let row = |goods, size_m, price| PriceRow { goods, size_m: Some(size_m), branch_m: None, price, pack_m: None };
    let rows = plan.cost_weights.pipe.iter().flat_map(|pipe| {
        let price = 3.0 * pipe.per_m;
        [row(Goods::Perforated, pipe.size_m, price), row(Goods::Reducer, pipe.size_m, reducer_m * price)]
    });
    PriceList { rows: rows.collect(), waste: 0.0, ..PriceList::default() }
}

/// Every second one with prices.
fn two_hundred() -> Vec<Compared> {
    let (mut lot, mut prices) = (Rng::with_seed(7_004), Rng::with_seed(7_005));
    let networks = (0..).map(|k| {
        let (mut plan, land) = network(&mut lot);
        if k % 2 == 1 {
            plan.price_list = priced(&plan, 40.0 * prices.f64());
        }
        (plan, land)
    });
    networks.filter_map(|(plan, land)| compared(&plan, &land)).take(200).collect()
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

/// The dearer reducers are, the fewer steps there are, until none pays; what is spent on them is never more than they save.
#[test]
fn a_step_pays_for_its_reducer() {
    let mut lot = Rng::with_seed(7_006);
    let (mut seen, mut by_price) = (0, [0; 4]);
    while seen < 25 {
        let (mut plan, land) = network(&mut lot);
        let Some(free) = with_reducers(&mut plan, &land, 0.0).filter(|free| free.steps > 0) else { continue };
        seen += 1;
        let mut before = free;
        for (k, reducer_m) in [0.0, 10.0, 60.0, 2_000.0].into_iter().enumerate() {
            let now = with_reducers(&mut plan, &land, reducer_m).unwrap();
            by_price[k] += now.steps;
            assert!(now.gap.cost <= now.gap.one_size * (1.0 + 1e-9), "{:?}", now.gap);
            // The gap told is the room that is left to any comparison of two searches.
            let room = 1.0 + before.gap.share() + 1e-9;
            assert!(before.gap.cost <= now.gap.cost * room, "{:?} {:?}", before.gap, now.gap);
            before = now;
        }
    }
    println!("steps where a reducer costs as much as 0, 10, 60 and 2000 m of pipe: {by_price:?}");
    assert!(by_price.is_sorted_by(|dear, dearer| dear > dearer) && by_price[3] == 0, "{by_price:?}");
}

fn with_reducers(plan: &mut Plan, land: &Land, reducer_m: f64) -> Option<Compared> {
    plan.price_list = priced(plan, reducer_m);
    compared(plan, land)
}
