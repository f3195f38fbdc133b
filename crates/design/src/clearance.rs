//! Clearance where two drains cross without a joint: which lies on top.
//!
//! The levels of two such lines depend on each other without forming a tree. So the crossings are treated one after the other
//! with the levels found so far: if the lines are too near, either may lie on top and either may keep its level, and the
//! cheapest of these four choices that satisfies every limit is taken. If none does, the crossing stays as it is and becomes
//! a finding.

use measure::FOOT_M;

use crate::clash::Cause;
use crate::levels::{self, Solved};
use crate::network::{Clear, Inputs, Sizes};
use crate::{Crossing, Pipe};

/// Clear height between the outsides of two pipes that cross, metres: 0.5 ft ([judgement]).
pub const CROSSING_CLEAR_M: f64 = 0.5 * FOOT_M;

/// Bounds that keep the clearance at all crossings, for given sizes.
pub(crate) fn keep_apart(inputs: Inputs, sizes: &Sizes, solved: &Solved, crossings: &[Crossing]) -> Vec<Clear> {
    let mut clear: Vec<Clear> = Vec::new();
    let mut levels = solved.levels.clone();
    for crossing in crossings.iter().filter(|crossing| crossing.is_apart(inputs.plan)) {
        let at = [(crossing.a, crossing.a_station_m), (crossing.b, crossing.b_station_m)]
            .map(|(line, station_m)| solved.network.level_at(line, station_m, &levels));
        let [Some(a_m), Some(b_m)] = at else { continue };
        let pipes = [(crossing.a, crossing.a_station_m), (crossing.b, crossing.b_station_m)]
            .map(|(line, station_m)| solved.network.pipe_at(line, station_m));
        let [Some(a), Some(b)] = pipes else { continue };
        let pipes = [a, b];
        if is_clear(pipes, a_m, b_m) {
            continue;
        }
        let choices = choices(crossing, pipes, a_m, b_m).into_iter().filter_map(|pair| {
            let bounds: Vec<Clear> = clear.iter().copied().chain(pair).collect();
            let tried = levels::held(Inputs { clear: &bounds, ..inputs }, sizes)?;
            Some((tried.cost(), tried.levels, pair))
        });
        if let Some((_, found, pair)) = choices.min_by(|x, y| x.0.total_cmp(&y.0)) {
            levels = found;
            clear.extend(pair);
        }
    }
    clear
}

/// Rise from the lower to the upper line's invert that keeps the clearance, metres.
fn rise_m(upper: &Pipe, lower: &Pipe) -> f64 {
    lower.top_above_invert_m() + CROSSING_CLEAR_M + upper.wall_m()
}

fn is_clear([a, b]: [&Pipe; 2], a_m: f64, b_m: f64) -> bool {
    let rounding_m = 1e-9;
    a_m - b_m >= rise_m(a, b) - rounding_m || b_m - a_m >= rise_m(b, a) - rounding_m
}

/// The four ways to keep the clearance: either line on top, and either of the two no nearer to the other than now.
fn choices(crossing: &Crossing, [a_pipe, b_pipe]: [&Pipe; 2], a_m: f64, b_m: f64) -> [[Clear; 2]; 4] {
    let Crossing { a, b, a_station_m, b_station_m, .. } = *crossing;
    let clear = |line, station_m, bounds_m| {
        let cause = Cause::Crossing(if line == a { b } else { a });
        Clear { line, station_m, bounds_m, cause }
    };
    let above = |line, station_m, level_m| clear(line, station_m, (level_m, f64::INFINITY));
    let below = |line, station_m, level_m| clear(line, station_m, (f64::NEG_INFINITY, level_m));
    let (a_over, b_over) = (rise_m(a_pipe, b_pipe), rise_m(b_pipe, a_pipe));
    [
        [above(a, a_station_m, b_m + a_over), below(b, b_station_m, b_m)],
        [above(a, a_station_m, a_m), below(b, b_station_m, a_m - a_over)],
        [above(b, b_station_m, a_m + b_over), below(a, a_station_m, a_m)],
        [above(b, b_station_m, b_m), below(a, a_station_m, b_m - b_over)],
    ]
}
