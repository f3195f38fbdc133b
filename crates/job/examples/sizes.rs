//! What mains save that step up in size, beside one size from end to end of each line:
//! `cargo run -p job --example sizes -- demo-fields/*.drain`. All new lines are sized by their flow, whatever the plan says. The
//! last columns tell what stepping saves of the money for material: as it is bought, in whole rolls, and with pipe by its length. The
//! same on 200 networks by lot: `cargo test -p design --test stepped -- --nocapture`.

#![allow(clippy::print_stdout, reason = "a table for a person")]

use std::path::{Path, PathBuf};

use design::{Design, Memory, lay_out, size_gap, work_out};
use job::{Progress, files, ground};
use plan::{Plan, SizeBy};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!(
        "{:<18} {:>10} {:>10} {:>8} {:>9} {:>8} {:>12} {:>12} {:>10} {:>10}",
        "field",
        "one size",
        "in steps",
        "saved %",
        "reducers",
        "gap %",
        "money one",
        "money steps",
        "material",
        "by length"
    );
    std::env::args().skip(1).map(PathBuf::from).try_for_each(|path| field(&path))
}

/// A plan with all new lines sized by their flow.
fn sized(plan: &Plan, size_by: SizeBy) -> Plan {
    let mut plan = plan.clone();
    plan.lines.values_mut().filter(|line| !line.kind.is_old()).for_each(|line| line.size_by = size_by);
    plan
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
    let gap = size_gap(&steps, &lay_out(&steps, &land, &mut Memory::default()));
    let open = gap.map_or("no levels".into(), |gap| format!("{:.4}", 100.0 * gap.share()));
    let [total, material, by_length] = [0, 1, 2].map(|of| money.map(|money| money.map(|sums| sums[of])));
    let told = |sum: Option<f64>| sum.map_or("not priced".into(), |sum| format!("{sum:.2}"));
    let saved = |sums: [Option<f64>; 2]| told(sums[0].zip(sums[1]).map(|(one, steps)| one - steps));
    println!(
        "{:<18} {:>10.0} {:>10.0} {:>8.2} {reducers:>9} {open:>8} {:>12} {:>12} {:>10} {:>10}",
        path.file_stem().unwrap_or_default().to_string_lossy(),
        cost[0],
        cost[1],
        100.0 * (1.0 - cost[1] / cost[0]),
        told(total[0]),
        told(total[1]),
        saved(material),
        saved(by_length)
    );
    Ok(())
}

/// By the plan's price list, where that has a price for everything: what all comes to, the material of it, and the pipe and fittings
/// of it with pipe paid by its length and not by whole rolls.
fn money(plan: &Plan, design: &Design) -> Option<[f64; 3]> {
    let estimate = takeoff::estimate(plan, design);
    let is_whole = estimate.items.iter().all(|item| item.price.is_some());
    let by_length = estimate.lines.iter().map(|line| line.parts.pipe + line.parts.fittings).sum();
    is_whole.then_some([estimate.total(), estimate.materials, by_length])
}
