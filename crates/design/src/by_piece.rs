//! What the sizes of a line cost in cost weights: pipe by the metre, and what is bought by the piece for them: a reducer where
//! it changes its size, the rigid pipe at an open outlet.
//!
//! Weights know pipe by the metre only. A piece counts as so many metres of pipe of its size, by the plan's price list where that
//! has a price for both; so weights that are in no currency, or in another one, stay what they are.

use plan::{Goods, LineKind, Plan};

use crate::stepping::SAME_SIZE;
use crate::{Pipe, PipeKind, bodies};

/// Length of the larger pipe that costs as much as a reducer with the work of fitting it where no price list tells, metres: 10 ft
/// (judgement: a reducer at $15 beside 6-in pipe at $1.60 a foot).
const REDUCER_M: f64 = 10.0 * measure::FOOT_M;
/// What slope and rounding may add to a stick that just fits, metres (an inch).
pub const SLOPE_M: f64 = 0.0254;

/// Price of the pipe of a line with its reducers and its outlet pipe, at the plan's cost weights.
pub(crate) fn pipe_cost(plan: &Plan, pipe: &[Pipe]) -> f64 {
    let laid = pipe.iter().map(|part| plan.cost_weights.pipe_per_m(part.size_m) * (part.to_m - part.from_m));
    let sticks = pipe.iter().filter(|part| part.kind == PipeKind::OutletStick);
    let sticks = sticks.map(|part| beyond_tubing(plan, part.size_m, part.to_m - part.from_m));
    let bodies: Vec<Pipe> = bodies(pipe).collect();
    let reducers = bodies.windows(2).map(|pair| reducer_cost(plan, pair[0].size_m, pair[1].size_m));
    laid.sum::<f64>() + sticks.sum::<f64>() + reducers.sum::<f64>()
}

/// Price of a reducer between two sizes, at the plan's cost weights; 0 if they are one.
pub(crate) fn reducer_cost(plan: &Plan, one_m: f64, other_m: f64) -> f64 {
    let (large_m, small_m) = (one_m.max(other_m), one_m.min(other_m));
    let as_pipe_m = || as_pipe_m(plan, Goods::Reducer, large_m, Some(small_m)).unwrap_or(REDUCER_M);
    if one_m == other_m { 0.0 } else { as_pipe_m() * plan.cost_weights.pipe_per_m(large_m) }
}

/// What the rigid pipe at an outlet costs more than tubing at least, at the plan's cost weights: whatever the size of the main, and
/// though that may be shorter.
pub fn least_outlet_pipe_cost(plan: &Plan, outlet_pipe_m: f64) -> f64 {
    let least_m = plan.starts().least_size_m(LineKind::Main);
    let sizes = plan.cost_weights.sizes_m().filter(|size_m| *size_m >= least_m * (1.0 - SAME_SIZE));
    let costs = sizes.map(|size_m| {
        let stick_m = stick(plan, size_m).and_then(|(_, stick_m)| stick_m);
        beyond_tubing(plan, size_m, stick_m.unwrap_or(outlet_pipe_m).min(outlet_pipe_m))
    });
    costs.reduce(f64::min).filter(|_| outlet_pipe_m > 0.0).unwrap_or(0.0)
}

/// What whole sticks at an outlet cost more than tubing of their length; never less, for rigid pipe is the dearer one.
fn beyond_tubing(plan: &Plan, size_m: f64, length_m: f64) -> f64 {
    let Some((as_pipe_m, stick_m)) = stick(plan, size_m) else { return 0.0 };
    let sticks = stick_m.map_or(1.0, |stick_m| ((length_m - SLOPE_M) / stick_m).ceil());
    ((sticks * as_pipe_m - length_m) * plan.cost_weights.pipe_per_m(size_m)).max(0.0)
}

/// As how many metres of pipe of its size a stick of rigid pipe counts, and its length, metres, where the price list tells; as in the
/// nearest size that has prices, so that a size without any is not the cheapest.
fn stick(plan: &Plan, size_m: f64) -> Option<(f64, Option<f64>)> {
    let of_size = |size_m: f64| {
        let as_pipe_m = as_pipe_m(plan, Goods::OutletStick, size_m, None)?;
        Some((as_pipe_m, plan.price_list.row(Goods::OutletStick, Some(size_m), None)?.pack_m))
    };
    let mut sizes: Vec<f64> = plan.cost_weights.sizes_m().chain([size_m]).collect();
    sizes.sort_by(|a, b| (a - size_m).abs().total_cmp(&(b - size_m).abs()));
    sizes.into_iter().find_map(of_size)
}

/// Length of perforated pipe of its size that costs as much as a piece, what is lost in cutting counted, metres; `None` without a
/// price for both.
fn as_pipe_m(plan: &Plan, goods: Goods, size_m: f64, branch_m: Option<f64>) -> Option<f64> {
    let list = &plan.price_list;
    let piece = list.row(goods, Some(size_m), branch_m)?.price;
    let per_m = list.row(Goods::Perforated, Some(size_m), None)?.price * (1.0 + list.waste);
    (per_m > 0.0).then(|| piece / per_m)
}

#[cfg(test)]
mod tests {
    use measure::Units;
    use plan::{PriceList, PriceRow, Wall};

    use super::*;

    fn plan(rows: Vec<PriceRow>, waste: f64) -> Plan {
        let mut plan = Plan::new("Prices", Units::Metric);
        plan.price_list = PriceList { rows, waste, ..PriceList::default() };
        plan
    }

    fn row(goods: Goods, size_m: Option<f64>, price: f64, pack_m: Option<f64>) -> PriceRow {
        PriceRow { goods, size_m, branch_m: None, price, pack_m }
    }

    fn part(size_m: f64, (from_m, to_m): (f64, f64), kind: PipeKind) -> Pipe {
        Pipe { from_m, to_m, size_m, wall: Wall::Corrugated, n: 0.015, kind, over_guide_m: 0.0 }
    }

    /// By hand, at 9.50 and 5.25 a metre in weights: 6 m and 30 m of 200 mm, 40 m of 150 mm. In another currency 200 mm pipe
    /// costs 80 with what is lost, a reducer as much as 4 m of it, the two sticks of 3 m as much as 20.
    #[test]
    fn pieces_count_as_metres_of_their_pipe() {
        let pipe = [
            part(0.2, (0.0, 6.0), PipeKind::OutletStick),
            part(0.2, (6.0, 36.0), PipeKind::Perforated),
            part(0.15, (36.0, 76.0), PipeKind::Perforated),
        ];
        let metres = |of_200: f64| of_200 * 9.5 + 40.0 * 5.25;
        let perforated = row(Goods::Perforated, Some(0.2), 64.0, None);
        let reducer = row(Goods::Reducer, None, 320.0, None);
        let stick = row(Goods::OutletStick, Some(0.2), 800.0, Some(3.0));
        let cost = |rows: &[PriceRow]| pipe_cost(&plan(rows.to_vec(), 0.25), &pipe);
        assert!((cost(&[perforated, reducer, stick]) - metres(20.0 + 30.0 + 4.0)).abs() < 1e-9);
        // Without a price for both nothing is known of a piece: a reducer counts as 10 ft, sticks as tubing.
        assert!((cost(&[reducer, stick]) - metres(36.0 + 3.048)).abs() < 1e-9);
        assert!((cost(&[]) - metres(36.0 + 3.048)).abs() < 1e-9);
        // A size without prices counts as the nearest with them.
        let unknown = [part(0.25, (0.0, 6.0), PipeKind::OutletStick)];
        let beside = pipe_cost(&plan(vec![perforated, stick], 0.25), &unknown);
        assert!((beside - 20.0 * 16.5).abs() < 1e-9, "{beside}");
        // The least is that of one stick of 3 m, which costs as much as 10 m, in 125 mm, the least of a main, at 3.60.
        let any = |row: PriceRow| PriceRow { size_m: None, ..row };
        let least = least_outlet_pipe_cost(&plan(vec![any(perforated), any(stick)], 0.25), 6.0);
        assert!((least - 7.0 * 3.6).abs() < 1e-9, "{least}");
        // Sticks that would be cheaper than tubing count as tubing.
        let cheap = PriceRow { price: 20.0, ..stick };
        assert!((cost(&[perforated, reducer, cheap]) - metres(36.0 + 4.0)).abs() < 1e-9);
    }
}
