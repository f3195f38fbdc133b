//! Contour lines.

use measure::Point;

use crate::Grid;

/// Levels, and pieces between cells, beyond which no contours are drawn: such ground is a fault in the file.
const MOST_LEVELS: f64 = 20_000.0;
const MOST_PIECES: u64 = 60_000_000;

/// One contour line.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// Its level, metres.
    pub level_m: f64,
    /// True for every fifth level, drawn heavier.
    pub index: bool,
    /// Its corners, higher ground to the right; a closed line ends on the point it starts from.
    pub points: Vec<Point>,
    /// True if it returns to its start.
    pub closed: bool,
}

/// Contours at the multiples of an interval, by marching squares between cell centres, lowest level first.
///
/// A corner lies where the straight line between two neighbouring centres reaches the level. Ground at the level
/// counts as above it; a saddle is joined through its middle if the mean of its four corners is above. A contour
/// opens at missing ground. Empty if the interval is not above 0 or the ground would take more than 20,000 levels.
pub fn contours(grid: &Grid, interval_m: f64) -> Vec<Contour> {
    if !affordable(grid, interval_m) {
        return Vec::new();
    }
    let mut pieces = pieces(grid, interval_m);
    pieces.sort_unstable();
    pieces.chunk_by(|a, b| a.number == b.number).flat_map(|level| join(grid, interval_m, level)).collect()
}

/// A piece of contour number `number` across one square, from one edge between centres to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Piece {
    number: i64,
    from: u32,
    to: u32,
}

/// Four neighbouring cell centres.
struct Square {
    /// Number of the north-west cell.
    cell: u32,
    /// Levels clockwise from the north-west.
    corners: [f64; 4],
}

fn squares(grid: &Grid) -> impl Iterator<Item = Square> {
    let (cols, levels) = (grid.cols(), grid.levels());
    let cells = (0..grid.rows() - 1).flat_map(move |row| row * cols..row * cols + cols - 1);
    cells.filter_map(move |cell| {
        let corners = [cell, cell + 1, cell + cols + 1, cell + cols].map(|c| levels[c] as f64);
        let whole = corners.iter().all(|z| !z.is_nan());
        whole.then_some(Square { cell: cell as u32, corners })
    })
}

/// Numbers of the levels that may cross a square, with one to spare where rounding moves a quotient over a whole number.
fn numbers(corners: &[f64; 4], interval_m: f64) -> std::ops::RangeInclusive<i64> {
    let low = corners.iter().copied().fold(f64::INFINITY, f64::min);
    let high = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (first, last) = ((low / interval_m).floor() as i64, (high / interval_m).floor() as i64 + 1);
    let outside = |number: i64| number as f64 * interval_m <= low || number as f64 * interval_m > high;
    (if outside(first) { first + 1 } else { first })..=(if outside(last) { last - 1 } else { last })
}

fn affordable(grid: &Grid, interval_m: f64) -> bool {
    let levels = || grid.levels().iter().filter(|z| !z.is_nan()).map(|&z| z as f64);
    let (low, high) = (levels().fold(f64::INFINITY, f64::min), levels().fold(f64::NEG_INFINITY, f64::max));
    // Past 2^50 intervals from zero neighbouring levels are no longer told apart.
    let countable = low.abs().max(high.abs()) / interval_m < 1e15;
    if !(interval_m > 0.0 && interval_m.is_finite() && countable && (high - low) / interval_m <= MOST_LEVELS) {
        return false;
    }
    let crossed = |s: Square| {
        let range = numbers(&s.corners, interval_m);
        (range.end() - range.start() + 1).max(0) as u64
    };
    squares(grid).map(crossed).sum::<u64>() <= MOST_PIECES
}

fn pieces(grid: &Grid, interval_m: f64) -> Vec<Piece> {
    let cols = grid.cols() as u32;
    let mut pieces = Vec::new();
    for square in squares(grid) {
        for number in numbers(&square.corners, interval_m) {
            cross(&square, cols, number, number as f64 * interval_m, &mut pieces);
        }
    }
    pieces
}

// Sides of a square.
const N: usize = 0;
const E: usize = 1;
const S: usize = 2;
const W: usize = 3;

/// Ways across a square, side to side, higher ground to the right. Bit k of the case is set if corner k is above.
const WAYS: [&[(usize, usize)]; 16] = [
    &[],
    &[(N, W)],
    &[(E, N)],
    &[(E, W)],
    &[(S, E)],
    &[(N, W), (S, E)],
    &[(S, N)],
    &[(S, W)],
    &[(W, S)],
    &[(N, S)],
    &[(E, N), (W, S)],
    &[(E, S)],
    &[(W, E)],
    &[(N, E)],
    &[(W, N)],
    &[],
];
/// The two saddles when the middle is above: the corners above are joined and those below cut off.
const JOINED_NW_SE: &[(usize, usize)] = &[(N, E), (S, W)];
const JOINED_NE_SW: &[(usize, usize)] = &[(W, N), (E, S)];

fn cross(square: &Square, cols: u32, number: i64, level_m: f64, pieces: &mut Vec<Piece>) {
    let above = |z: f64| z >= level_m;
    let case = (0..4).filter(|&k| above(square.corners[k])).fold(0, |case, k| case | 1 << k);
    let middle_above = above(square.corners.iter().sum::<f64>() / 4.0);
    let ways = match case {
        5 if middle_above => JOINED_NW_SE,
        10 if middle_above => JOINED_NE_SW,
        _ => WAYS[case],
    };
    // An edge is twice the number of its west or north cell, plus one if it runs south.
    let (cell, below) = (square.cell, square.cell + cols);
    let edges = [2 * cell, 2 * (cell + 1) + 1, 2 * below, 2 * cell + 1];
    pieces.extend(ways.iter().map(|&(from, to)| Piece { number, from: edges[from], to: edges[to] }));
}

/// Joins the pieces of one level, sorted by where they start, into lines: the open ones first.
fn join(grid: &Grid, interval_m: f64, pieces: &[Piece]) -> Vec<Contour> {
    let mut ends: Vec<u32> = pieces.iter().map(|piece| piece.to).collect();
    ends.sort_unstable();
    let mut used = vec![false; pieces.len()];
    let opens = (0..pieces.len()).filter(|&k| ends.binary_search(&pieces[k].from).is_err());
    let mut lines = Vec::new();
    for start in opens.chain(0..pieces.len()) {
        if !used[start] {
            let edges = follow(pieces, start, &mut used);
            lines.extend(line(grid, interval_m, pieces[start].number, &edges));
        }
    }
    lines
}

/// The edges a line crosses from a piece onward.
fn follow(pieces: &[Piece], start: usize, used: &mut [bool]) -> Vec<u32> {
    let mut edges = vec![pieces[start].from];
    let mut at = Some(start);
    while let Some(k) = at.filter(|&k| !used[k]) {
        used[k] = true;
        edges.push(pieces[k].to);
        at = pieces.binary_search_by_key(&pieces[k].to, |piece| piece.from).ok();
    }
    edges
}

fn line(grid: &Grid, interval_m: f64, number: i64, edges: &[u32]) -> Option<Contour> {
    let level_m = number as f64 * interval_m;
    let closed = edges.len() > 1 && edges.first() == edges.last();
    let mut points: Vec<Point> = edges.iter().map(|&edge| crossing(grid, edge, level_m)).collect();
    points.dedup();
    (points.len() > 1).then_some(Contour { level_m, index: number % 5 == 0, points, closed })
}

/// Where the level is reached on the edge between two centres.
fn crossing(grid: &Grid, edge: u32, level_m: f64) -> Point {
    let cell = (edge / 2) as usize;
    let (col, row) = (cell % grid.cols(), cell / grid.cols());
    let (east, south) = if edge.is_multiple_of(2) { (1, 0) } else { (0, 1) };
    let (a, b) = (grid.level(col, row) as f64, grid.level(col + east, row + south) as f64);
    let share = ((level_m - a) / (b - a)).clamp(0.0, 1.0);
    grid.place(col as f64 + share * east as f64, row as f64 + share * south as f64)
}

/// A step of 1, 2 or 5 times a power of ten in a unit of `unit_m` metres that gives 16 to 40 contours over a relief.
///
/// Never below a hundredth of the unit; one unit where there is no relief. Metres.
pub fn interval_for(relief_m: f64, unit_m: f64) -> f64 {
    let relief = relief_m / unit_m;
    if !(relief > 0.0 && relief.is_finite() && unit_m > 0.0) {
        return unit_m;
    }
    let steps = (-2..300).flat_map(|power| [1.0, 2.0, 5.0].map(|step| (step, power)));
    // Dividing by a whole power keeps 0.1 and its kin exact.
    let sizes =
        steps.map(|(step, power)| if power < 0 { step / 10f64.powi(-power) } else { step * 10f64.powi(power) });
    sizes.into_iter().find(|step| relief / step <= 40.0).unwrap_or(1.0) * unit_m
}
