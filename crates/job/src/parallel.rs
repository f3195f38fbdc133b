//! Parallel laterals: the grid to begin with, and what is told of one.

use land::Soils;
use measure::{FOOT_M, Point, how_many};
use plan::{Laid, LineId, Parallel, Plan};

/// The grid to begin with off a main, from a place on it: as far apart as the soil there lets drains serve at the depth
/// wanted, in whole rows where it runs along rows.
pub fn begin(plan: &Plan, main: LineId, at: Point) -> Option<Parallel> {
    let depth_m = plan.criteria.target_depth_m;
    let fit_m = 2.0 * Soils::of(plan).served_m(at, depth_m);
    let grid = Parallel::usual(plan, main, at, fit_m)?;
    let step_m = grid.rows(plan).map_or(round_m(plan), |rows| rows.spacing_m);
    let spacing_m = (fit_m / step_m).floor().max(1.0) * step_m;
    Some(Parallel { spacing_m, ..grid })
}

/// What spacings off the rows are rounded to: a foot, or a quarter of a metre (own choice).
fn round_m(plan: &Plan) -> f64 {
    if plan.title.units.is_metric() { 0.25 } else { FOOT_M }
}

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
