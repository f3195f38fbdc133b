//! Ways for water that the elevation data do not show: culverts and ditches.
//!
//! They lie only in the surface on which water is routed ([`Grid::burned`]); levels, contours and profiles stay those
//! of the ground.

use measure::Point;

use crate::{Grid, Window};

/// How far the bed of a ditch lies below the lowest ground beside it, metres, so that no roughness of the data leads
/// water out of it. Own choice.
const BED_M: f32 = 0.1;

/// What a drawn way is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WayKind {
    /// A pipe below a bank: passes water from one end to the other.
    Culvert,
    /// An open channel: takes up the water that reaches it and leads it to its lower end.
    Ditch,
}

/// A culvert or a ditch as drawn, in plan coordinates. Which end is the upper one is read from the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterWay {
    /// Culvert or ditch.
    pub kind: WayKind,
    /// Its course; points that are not finite are passed over.
    pub points: Vec<Point>,
}

impl WaterWay {
    /// The cells that this way may lower, `None` where it does not touch the grid.
    pub fn window(&self, grid: &Grid) -> Option<Window> {
        let cells = cells_along(grid, &self.points);
        let (cols, rows) = (cells.iter().map(|c| c % grid.cols()), cells.iter().map(|c| c / grid.cols()));
        let (col, row) = (cols.clone().min()?, rows.clone().min()?);
        Some(Window { col, row, cols: cols.max()? + 1 - col, rows: rows.max()? + 1 - row })
    }

    /// The bed from the upper end down, as cells and levels.
    fn bed(&self, grid: &Grid) -> Vec<(usize, f32)> {
        let mut cells = cells_along(grid, &self.points);
        let ends = |cells: &[usize]| Some((lowest_about(grid, *cells.first()?), lowest_about(grid, *cells.last()?)));
        let Some((mut top, mut end)) = ends(&cells) else { return Vec::new() };
        if top < end {
            cells.reverse();
            (top, end) = (end, top);
        }
        match self.kind {
            WayKind::Culvert => straight_fall(cells, top, end),
            WayKind::Ditch => channel(grid, cells, end),
        }
    }
}

impl Grid {
    /// The surface on which water is routed: this ground with the ways cut into it, itself left as it is.
    ///
    /// Either end of a way lies at the lowest ground within a cell of it, so that an end drawn on the slope of a bank
    /// still takes water from its foot. A culvert falls evenly from end to end. A ditch lies 0.1 m below the lowest
    /// ground beside it, never rises on its way down and never lies lower than its lower end, where it gives its water
    /// back to the ground. No cell is raised. The order of the ways does not matter: each is laid on the ground as it
    /// is, and where two meet the deeper one counts.
    pub fn burned(&self, ways: &[WaterWay]) -> Grid {
        let mut cut = self.clone();
        for (cell, bed) in ways.iter().flat_map(|way| way.bed(self)) {
            cut.lower(cell, bed);
        }
        cut
    }
}

/// Cells with ground along a line, each a neighbour of the one before it unless ground is missing between; the cell of
/// a single place.
pub(crate) fn cells_along(grid: &Grid, points: &[Point]) -> Vec<usize> {
    let known = |&cell: &usize| !grid.levels()[cell].is_nan();
    let finite: Vec<Point> = points.iter().copied().filter(|p| p.is_finite()).collect();
    let ends: Vec<(Point, Point)> = match finite[..] {
        [at] => vec![(at, at)],
        _ => finite.windows(2).map(|pair| (pair[0], pair[1])).collect(),
    };
    let mut cells: Vec<usize> =
        ends.into_iter().flat_map(|(from, to)| cells_between(grid, from, to)).filter(known).collect();
    cells.dedup();
    cells
}

fn straight_fall(cells: Vec<usize>, top: f32, end: f32) -> Vec<(usize, f32)> {
    let last = (cells.len() - 1).max(1) as f32;
    cells.into_iter().enumerate().map(|(k, cell)| (cell, top + (end - top) * (k as f32 / last))).collect()
}

fn channel(grid: &Grid, cells: Vec<usize>, end: f32) -> Vec<(usize, f32)> {
    let mut bed = f32::INFINITY;
    let mut next = |cell| {
        bed = bed.min(lowest_about(grid, cell) - BED_M);
        (cell, bed.max(end))
    };
    cells.into_iter().map(&mut next).collect()
}

/// The lowest ground in a cell and the eight around it.
fn lowest_about(grid: &Grid, cell: usize) -> f32 {
    let (col, row) = (cell % grid.cols(), cell / grid.cols());
    let rows = row.saturating_sub(1)..(row + 2).min(grid.rows());
    let cols = col.saturating_sub(1)..(col + 2).min(grid.cols());
    let levels = rows.flat_map(|r| cols.clone().map(move |c| grid.level(c, r)));
    levels.fold(f32::INFINITY, f32::min)
}

/// Cells on a straight line in its order, each a neighbour of the one before.
fn cells_between(grid: &Grid, from: Point, to: Point) -> Vec<usize> {
    let ((u0, v0), (u1, v1)) = (grid.cell_coordinates(from), grid.cell_coordinates(to));
    let (du, dv) = (u1 - u0, v1 - v0);
    let mut share = (0.0f64, 1.0f64);
    for (start, way, most) in [(u0, du, grid.cols()), (v0, dv, grid.rows())] {
        share = clip(share, start, way, most as f64);
    }
    let reach = (share.1 - share.0) * du.abs().max(dv.abs());
    if share.1 < share.0 || !reach.is_finite() {
        return Vec::new();
    }
    let steps = reach.ceil() as usize + 1;
    let at = |k: usize| share.0 + (share.1 - share.0) * (k as f64 / steps as f64);
    let cell = |t: f64| grid.cell_at(grid.place(u0 + du * t, v0 + dv * t));
    (0..=steps).filter_map(|k| cell(at(k))).map(|(col, row)| row * grid.cols() + col).collect()
}

/// The part of a line's share within which one coordinate stays between a cell outside the grid on either side.
fn clip((from, to): (f64, f64), start: f64, way: f64, most: f64) -> (f64, f64) {
    let (a, b) = ((-1.0 - start) / way, (most - start) / way);
    match way == 0.0 {
        true if (-1.0..=most).contains(&start) => (from, to),
        true => (1.0, 0.0),
        false => (from.max(a.min(b)), to.min(a.max(b))),
    }
}
