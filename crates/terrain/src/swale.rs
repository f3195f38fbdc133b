//! Swales: the lines along which surface water gathers, as a person would draw them.

use measure::{Point, along, distance, nearest_on};

use crate::thin::kept;
use crate::thread::{Stretch, stretches};
use crate::{Grid, Water};

/// Passes of a 1-2-1 mean along a thread: a bell about three cells wide, which takes out the stair-steps of D8.
const PASSES: usize = 20;
/// Farthest a point may move off its cell's centre, in cells.
const REACH: f64 = 1.5;
/// What may be lost when points are left out, in cells.
const LOSS: f64 = 0.15;

/// A line along which surface water gathers.
#[derive(Debug, Clone, PartialEq)]
pub struct Swale {
    /// Its course from the top down; where it joins another swale the last point lies on that one.
    pub points: Vec<Point>,
    /// Area uphill of each point, square metres; at a confluence what this swale brings.
    pub area_m2: Vec<f64>,
}

/// Swales with at least `least_area_m2` uphill, the largest first.
///
/// Smoothed threads of accumulation. Where threads meet, the one with more area uphill goes on and the other ends on
/// it; of two that run side by side within three cells only the larger is drawn; stubs of a few cells are left out.
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
    let (x_m, y_m) = grid.cell_m();
    let cell_m = x_m.min(y_m);
    let smooth = smooth(&points, REACH * cell_m);
    let keep = kept(&smooth, LOSS * cell_m);
    Swale { points: keep.iter().map(|&k| smooth[k]).collect(), area_m2: keep.iter().map(|&k| areas[k]).collect() }
}

/// Smooths a line between its ends, moving no point farther than `reach_m`.
fn smooth(points: &[Point], reach_m: f64) -> Vec<Point> {
    let mut line = points.to_vec();
    for _ in 0..PASSES {
        let before = line.clone();
        for (to, three) in line.iter_mut().skip(1).zip(before.windows(3)) {
            *to = along(along(three[0], three[2], 0.5), three[1], 0.5);
        }
    }
    for (to, &from) in line.iter_mut().zip(points) {
        let moved_m = distance(from, *to);
        if moved_m > reach_m {
            *to = along(from, *to, reach_m / moved_m);
        }
    }
    line
}
