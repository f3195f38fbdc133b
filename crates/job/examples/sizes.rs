//! What mains save that step up in size, beside one size from end to end of each line:
//! `cargo run -p job --example sizes -- demo-fields/*.drain`. All new lines are sized by their flow, whatever the plan says; then
//! the same on 200 networks by lot.

#![allow(clippy::print_stdout, reason = "a table for a person")]

#[path = "../../design/tests/common/networks.rs"]
mod networks;

use std::path::{Path, PathBuf};

use design::{Design, Memory, SizeGap, lay_out, size_gap, work_out};
use job::{Progress, files, ground};
use land::Land;
use plan::{Plan, SizeBy};

/// Networks by lot.
const NETWORKS: usize = 200;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!(
        "{:<18} {:>10} {:>10} {:>8} {:>9} {:>12} {:>12} {:>10}",
        "field", "one size", "in steps", "saved %", "reducers", "money one", "money steps", "gap %"
    );
    std::env::args().skip(1).map(PathBuf::from).try_for_each(|path| field(&path))?;
    by_lot();
    Ok(())
}

/// A plan with all new lines sized by their flow.
fn sized(plan: &Plan, size_by: SizeBy) -> Plan {
    let mut plan = plan.clone();
    plan.lines.values_mut().filter(|line| !line.kind.is_old()).for_each(|line| line.size_by = size_by);
    plan
}

fn gap(plan: &Plan, land: &Land) -> Option<SizeGap> {
    size_gap(plan, &lay_out(plan, land, &mut Memory::default()))
}

fn saved(gap: &SizeGap) -> f64 {
    100.0 * (1.0 - gap.cost / gap.one_size)
}

fn field(path: &Path) -> Result<(), Box<dyn std::error::Error>> {
    let plan = files::read_whole(path)?;
    let land = ground::open_plan(&plan, path.parent(), &Progress::default())?.under(&plan);
    let [one, steps] = [SizeBy::Flow, SizeBy::FlowInSteps].map(|size_by| sized(&plan, size_by));
    let [of_one, of_steps] = [&one, &steps].map(|plan| work_out(plan, &land));
    // Digging and pipe at the plan's cost weights, as dug.
    let cost = [&of_one, &of_steps].map(|design| design.cost.dug + design.cost.pipe);
    let money = [money(&one, &of_one), money(&steps, &of_steps)];
    let reducers = takeoff::totals(&steps, &of_steps).reducers;
    let open = gap(&steps, &land).map_or("no levels".into(), |gap| format!("{:.4}", 100.0 * gap.share()));
    println!(
        "{:<18} {:>10.0} {:>10.0} {:>8.2} {reducers:>9} {:>12} {:>12} {open:>10}",
        path.file_stem().unwrap_or_default().to_string_lossy(),
        cost[0],
        cost[1],
        100.0 * (1.0 - cost[1] / cost[0]),
        money[0],
        money[1]
    );
    Ok(())
}

/// What it comes to by the plan's price list, where that has a price for everything.
fn money(plan: &Plan, design: &Design) -> String {
    let estimate = takeoff::estimate(plan, design);
    let is_whole = estimate.items.iter().all(|item| item.price.is_some());
    if is_whole { format!("{:.2}", estimate.total()) } else { "not priced".into() }
}

fn by_lot() {
    let mut lot = fastrand::Rng::with_seed(7_004);
    let networks = (0..).map(|_| networks::network(&mut lot));
    let gaps: Vec<SizeGap> = networks.filter_map(|(plan, land)| gap(&plan, &land)).take(NETWORKS).collect();
    for (what, mut values) in [
        ("saved", gaps.iter().map(saved).collect::<Vec<f64>>()),
        ("gap", gaps.iter().map(|gap| 100.0 * gap.share()).collect()),
    ] {
        values.sort_by(f64::total_cmp);
        let mean = values.iter().sum::<f64>() / NETWORKS as f64;
        let (median, worst) = (values[NETWORKS / 2], values[NETWORKS - 1]);
        println!("{NETWORKS} networks, {what}: mean {mean:.4} %, median {median:.4} %, most {worst:.4} %");
    }
}
