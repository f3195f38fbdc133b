//! Parallel laterals: the grid to begin with, and what is told of one.

use measure::how_many;
use plan::{Laid, Parallel, Plan};

pub use propose::usual_grid as begin;

/// "27.00 ft (3 rows)": a spacing, and how many rows it is where the grid runs along rows.
pub fn spacing_words(plan: &Plan, grid: &Parallel) -> String {
    let spacing = plan.title.units.depth(grid.spacing_m);
    let Some(rows) = grid.rows(plan) else { return spacing };
    let count = grid.spacing_m / rows.spacing_m;
    match (count - count.round()).abs() <= plan.criteria.row_multiple {
        true => format!("{spacing} ({})", how_many(count.round() as usize, "row")),
        false => format!("{spacing} ({count:.2} rows)"),
    }
}

/// What is told of a grid that was laid out.
pub fn words(plan: &Plan, grid: &Parallel, laid: &Laid) -> Vec<String> {
    let units = plan.title.units;
    let count = how_many(laid.count, "lateral");
    let mut told =
        vec![format!("{count}, {} of pipe, {} apart.", units.length(laid.length_m), spacing_words(plan, grid))];
    if laid.stagger_m > 0.0 {
        told.push(format!("Those of one side are set off by {}.", units.depth(laid.stagger_m)));
    } else if grid.both_sides {
        told.push("Laterals meet head-on: a spacing of one row leaves no room to set one side off.".into());
    }
    told.extend(laid.short_of.iter().map(|(what, count)| {
        format!("{} short of {what}.", if *count == 1 { "1 ends".to_string() } else { format!("{count} end") })
    }));
    told
}
