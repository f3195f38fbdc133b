//! Swales: the lines along which surface water gathers, as a person would draw them.

use measure::{Point, along, distance, nearest_on, part_of, path_length};

use crate::bed;
use crate::thin::kept;
use crate::thread::{Stretch, stretches};
use crate::{Grid, Water};

/// Passes of a 1-2-1 mean along a thread: a bell about three cells wide, which takes out the stair-steps of D8.
const PASSES: usize = 20;
/// Farthest a point may lie from the nearest cell centre of its thread, in cells: two, less what thinning and the chords
/// between points take. Own choice.
pub(crate) const REACH: f64 = 1.5;
/// Passes of the same mean once the line has settled on the bed of its valley.
const FINISH: usize = 16;
/// Cells up and down a thread that a point may be held to in place of its own.
const AROUND: usize = 4;
/// What may be lost when points are left out, in cells.
const LOSS: f64 = 0.15;

/// A line along which surface water gathers.
#[derive(Debug, Clone, PartialEq)]
pub struct Swale {
    /// Its course from the top down; where it joins another swale the last point lies on that one.
    pub points: Vec<Point>,
    /// Area uphill of each point, square metres; at a confluence what this swale brings.
    pub area_m2: Vec<f64>,
    /// The swale it ends on, by its number among all; `None` where it runs off the ground or into a hollow.
    pub joins: Option<usize>,
}

/// Swales with at least `least_area_m2` uphill, the largest first.
///
/// Smoothed threads of accumulation, settled on the bed of their valley but never farther than two cells off the thread.
/// Where threads meet, the one with more area uphill goes on and the other ends on it; of two that run side by side
/// within three cells only the larger is drawn; stubs of a few cells are left out.
pub fn swales(grid: &Grid, water: &Water, least_area_m2: f64) -> Vec<Swale> {
    let mut drawn: Vec<Swale> = Vec::new();
    if water.fits(grid) {
        for stretch in stretches(water, least_area_m2 / grid.cell_area_m2()) {
            let swale = draw(grid, water, &stretch, &drawn);
            drawn.push(swale);
        }
    }
    drawn
}

fn draw(grid: &Grid, water: &Water, stretch: &Stretch, drawn: &[Swale]) -> Swale {
    let centre = |cell: u32| grid.centre(cell as usize % grid.cols(), cell as usize / grid.cols());
    let area_m2 = |cell: u32| water.cells_uphill()[cell as usize] as f64 * grid.cell_area_m2();
    let mut points: Vec<Point> = stretch.cells.iter().copied().map(centre).collect();
    let mut areas: Vec<f64> = stretch.cells.iter().copied().map(area_m2).collect();
    let joint = stretch.joins.and_then(|(line, cell)| nearest_on(&drawn.get(line)?.points, centre(cell)));
    if let (Some((_, at, _)), Some(&brought)) = (joint, areas.last()) {
        points.push(at);
        areas.push(brought);
    }
    let joins = joint.and(stretch.joins).map(|(line, _)| line);
    let cell_m = cell_m(grid);
    let rough = smooth(&points, &points, REACH * cell_m, PASSES);
    let settled = bed::settle(grid, water, &points, &rough);
    let line = smooth(&settled, &points, REACH * cell_m, FINISH);
    let keep = kept(&line, LOSS * cell_m);
    let area_m2 = keep.iter().map(|&k| areas[k]).collect();
    Swale { points: keep.iter().map(|&k| line[k]).collect(), area_m2, joins }
}

/// The way along swales from a place on one to a place on the same or another, past confluences; either may be the lower one.
/// `None` where water does not run from the one to the other.
pub fn way_along(swales: &[Swale], from: (usize, Point), to: (usize, Point)) -> Option<Vec<Point>> {
    let back = || {
        let mut way = way_down(swales, to, from)?;
        way.reverse();
        Some(way)
    };
    way_down(swales, from, to).or_else(back)
}

/// The way of the water from a place on a swale down to another.
fn way_down(swales: &[Swale], (mut own, mut at): (usize, Point), (last, end): (usize, Point)) -> Option<Vec<Point>> {
    let mut way = Vec::new();
    // Each swale ends on an earlier one; a list that does not hold that must not lead in circles.
    for _ in 0..swales.len() {
        let swale = swales.get(own)?;
        let (from_m, ..) = nearest_on(&swale.points, at)?;
        if own == last {
            let (to_m, ..) = nearest_on(&swale.points, end)?;
            way.extend(part_of(&swale.points, from_m, to_m));
            way.dedup();
            return (from_m <= to_m).then_some(way);
        }
        way.extend(part_of(&swale.points, from_m, path_length(&swale.points)));
        at = *swale.points.last()?;
        own = swale.joins?;
    }
    None
}

/// The shorter side of a cell.
pub(crate) fn cell_m(grid: &Grid) -> f64 {
    let (x_m, y_m) = grid.cell_m();
    x_m.min(y_m)
}

/// Smooths a line between its ends, keeping every point within `reach_m` of the cells of its thread.
fn smooth(points: &[Point], cells: &[Point], reach_m: f64, passes: usize) -> Vec<Point> {
    let mut line = points.to_vec();
    for _ in 0..passes {
        let before = line.clone();
        for (k, three) in before.windows(3).enumerate() {
            line[k + 1] = held(along(along(three[0], three[2], 0.5), three[1], 0.5), k + 1, cells, reach_m);
        }
    }
    line
}

/// A point of a line drawn back to the nearest of the cells around its own if it is beyond their reach.
fn held(at: Point, k: usize, cells: &[Point], reach_m: f64) -> Point {
    // Squares spare most points the root, which is a third of the time of drawing.
    let (x, y) = (at.x - cells[k].x, at.y - cells[k].y);
    if x * x + y * y <= reach_m * reach_m {
        return at;
    }
    let around = &cells[k.saturating_sub(AROUND)..(k + AROUND + 1).min(cells.len())];
    let near = around.iter().copied().map(|cell| (distance(at, cell), cell)).min_by(|a, b| a.0.total_cmp(&b.0));
    near.filter(|(away_m, _)| *away_m > reach_m).map_or(at, |(away_m, cell)| along(cell, at, reach_m / away_m))
}
