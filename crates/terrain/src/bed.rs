//! The bed of a valley: the lowest way along a line that a drawing pen would follow.
//!
//! Each point of a line may move square to it; the cheapest row of moves is found stage by stage, as Amini, Weymouth
//! and Jain do for outlines in pictures ("Using dynamic programming for solving variational problems in vision", IEEE
//! Transactions on Pattern Analysis and Machine Intelligence 12, 1990). A move costs the height it leaves above the
//! lowest in reach, a change of move from one point to the next its square.

use measure::{Point, distance};

use crate::swale::{REACH, cell_m};
use crate::{Grid, Water};

/// Moves to either side.
const SIDE: usize = 4;
const MOVES: usize = 2 * SIDE + 1;
/// One move, in cells.
const MOVE: f64 = 0.5;
/// Price of a change by one cell between two points, against a full rise from the lowest to the highest in reach; own
/// choice.
const BEND: f64 = 1.0;
/// A rise that does not count as a bank, metres: what lies within it is flat, and the line need not move. Own choice.
const FLAT_M: f64 = 0.02;

/// A line with its inner points moved to the lowest ground in reach of their cells' centres.
pub(crate) fn settle(grid: &Grid, water: &Water, centres: &[Point], line: &[Point]) -> Vec<Point> {
    let last = line.len().saturating_sub(1);
    let places: Vec<[Point; MOVES]> = (0..line.len()).map(|k| places(grid, line, k)).collect();
    let cost = |(k, (places, &centre)): (usize, (&[Point; MOVES], &Point))| {
        if k == 0 || k == last { fixed() } else { heights(grid, water, places, centre) }
    };
    let costs: Vec<[f64; MOVES]> = places.iter().zip(centres).enumerate().map(cost).collect();
    cheapest(&costs).into_iter().zip(&places).map(|(at, places)| places[at]).collect()
}

/// Where a point may move, from left to right of the way of the line around it.
fn places(grid: &Grid, line: &[Point], k: usize) -> [Point; MOVES] {
    let (from, to) = (line[k.saturating_sub(2)], line[(k + 2).min(line.len() - 1)]);
    let length_m = distance(from, to).max(f64::MIN_POSITIVE);
    let step_m = MOVE * cell_m(grid) / length_m;
    let (x, y) = ((to.y - from.y) * step_m, (from.x - to.x) * step_m);
    std::array::from_fn(|at| {
        let moves = at as f64 - SIDE as f64;
        Point::new(line[k].x + x * moves, line[k].y + y * moves)
    })
}

/// Costs of a point that stays.
fn fixed() -> [f64; MOVES] {
    std::array::from_fn(|at| if at == SIDE { 0.0 } else { f64::INFINITY })
}

/// Heights above the lowest place as a share of the highest; places out of reach or off the ground cost the most.
fn heights(grid: &Grid, water: &Water, places: &[Point; MOVES], centre: Point) -> [f64; MOVES] {
    let reach_m = REACH * cell_m(grid);
    let levels = places.map(|at| if distance(at, centre) <= reach_m { bed_m(grid, water, at) } else { None });
    let known = || levels.iter().flatten().copied();
    let low_m = known().fold(f64::INFINITY, f64::min);
    let rise_m = known().fold(FLAT_M, |most, level_m| most.max(level_m - low_m));
    let cost = |at: usize| levels[at].map_or(f64::INFINITY, |level_m| (level_m - low_m) / rise_m);
    if low_m.is_finite() { std::array::from_fn(cost) } else { fixed() }
}

/// Level of the ground at a place, or of the ditch or culvert that water takes below it, metres. `None` off the ground.
fn bed_m(grid: &Grid, water: &Water, at: Point) -> Option<f64> {
    let (col, row) = grid.cell_at(at)?;
    let (ground, way) = (grid.level(col, row), water.filled()[row * grid.cols() + col]);
    if way < ground { Some(way as f64) } else { grid.elevation(at) }
}

/// The cheapest row of moves, one a point.
fn cheapest(costs: &[[f64; MOVES]]) -> Vec<usize> {
    let mut total = [0.0; MOVES];
    let mut before: Vec<[u8; MOVES]> = Vec::with_capacity(costs.len());
    for cost in costs {
        let best: [(u8, f64); MOVES] = std::array::from_fn(|at| cheapest_to(&total, at));
        total = std::array::from_fn(|at| best[at].1 + cost[at]);
        before.push(best.map(|(from, _)| from));
    }
    let mut at = (0..MOVES).min_by(|a, b| total[*a].total_cmp(&total[*b])).unwrap_or(SIDE);
    let mut moves = vec![SIDE; costs.len()];
    for (k, from) in before.iter().enumerate().rev() {
        moves[k] = at;
        at = from[at] as usize;
    }
    moves
}

/// The move of the point before from which a move is reached most cheaply, and what it costs so far.
fn cheapest_to(total: &[f64; MOVES], at: usize) -> (u8, f64) {
    let change = |from: usize| BEND * (MOVE * (from as f64 - at as f64)).powi(2);
    let row = (0..MOVES).map(|from| (from as u8, total[from] + change(from)));
    row.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((SIDE as u8, f64::INFINITY))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A valley of five metres' fall a hundred, running south along the tenth column.
    fn valley() -> Grid {
        let level = |cell: usize| ((cell % 21).abs_diff(10) as f32) * 0.1 - (cell / 21) as f32 * 0.05;
        Grid::new((21, 30), (0.0, 30.0), (1.0, 1.0), (0..630).map(level).collect()).unwrap()
    }

    #[test]
    fn a_line_beside_the_floor_moves_onto_it() {
        let grid = valley();
        let water = Water::of(&grid);
        let line: Vec<Point> = (0..30).map(|row| grid.centre(11, row)).collect();
        let settled = settle(&grid, &water, &line, &line);
        assert_eq!((settled[0], settled[29]), (line[0], line[29]));
        assert!(settled[4..26].iter().all(|at| (at.x - 10.5).abs() < 1e-9), "{settled:?}");
    }

    #[test]
    fn lines_of_few_points_and_off_the_ground_stay() {
        let grid = valley();
        let water = Water::of(&grid);
        for count in 0..3 {
            let line: Vec<Point> = (0..count).map(|row| grid.centre(5, row)).collect();
            assert_eq!(settle(&grid, &water, &line, &line), line);
        }
        let away = [Point::new(-90.0, 0.0), Point::new(-91.0, 0.0), Point::new(-92.0, 0.0)];
        assert_eq!(settle(&grid, &water, &away, &away), away);
    }
}
