//! Marching squares over a band of rows: every level in one pass.

use std::ops::{Range, RangeInclusive};
use std::sync::atomic::{AtomicU64, Ordering};

use measure::Point;

use crate::Grid;
use crate::chain::Links;

/// Crossings of contours and lines between neighbouring centres beyond which no contours are drawn.
const MOST_CROSSINGS: u64 = 60_000_000;
/// Step of a missing cell.
const MISSING: i32 = -1;

/// The levels of a grid: multiples of an interval, numbered by steps from the highest that is not above any ground.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ladder {
    pub interval_m: f64,
    /// Number of intervals from zero to step 0.
    pub base: f64,
}

impl Ladder {
    /// A level, metres.
    pub fn level_m(&self, step: i32) -> f64 {
        self.number(step) as f64 * self.interval_m
    }

    /// A level in intervals from zero.
    pub fn number(&self, step: i32) -> i64 {
        self.base as i64 + step as i64
    }

    /// The highest step that is not above each level; [`MISSING`] for missing ones.
    fn steps(&self, levels: &[f32], steps: &mut [i32]) {
        // Adding and taking away 1.5 · 2^52 rounds to a whole number; the low bits then hold it.
        const WHOLE: f64 = 6_755_399_441_055_744.0;
        let (interval_m, per_interval, base) = (self.interval_m, 1.0 / self.interval_m, self.base);
        for (step, &level) in steps.iter_mut().zip(levels) {
            let level_m = level as f64;
            let near = (level_m * per_interval - 0.5 + WHOLE) - WHOLE;
            // Rounding moves a quotient over a whole number at times; the product decides.
            let low = if near * interval_m > level_m { near - 1.0 } else { near };
            let right = if (low + 1.0) * interval_m <= level_m { low + 1.0 } else { low };
            let found = (right - base + WHOLE).to_bits() as i32;
            *step = if level.is_nan() { MISSING } else { found };
        }
    }
}

/// A part of a contour inside a band.
#[derive(Debug)]
pub(crate) struct Piece {
    pub step: i32,
    /// Its corners among those of the band.
    pub corners: Range<usize>,
    pub from: Seam,
    pub to: Seam,
}

/// Where an end of a piece lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Seam {
    /// On none of the rows that the band shares with its neighbours.
    Inside,
    /// On the first row of the band: which of its crossings, from the west.
    First(usize),
    /// On its last row.
    Last(usize),
}

/// The contours of a band of rows.
#[derive(Debug)]
pub(crate) struct Band {
    pub corners: Vec<Point>,
    pub pieces: Vec<Piece>,
    /// Crossings on its first row and on its last.
    pub on_first: usize,
    pub on_last: usize,
}

/// Marches from one row of cells to another; `None` once all bands together, counted in `all`, have too many crossings.
pub(crate) fn march(grid: &Grid, ladder: Ladder, rows: RangeInclusive<usize>, all: &AtomicU64) -> Option<Band> {
    let (first, last) = rows.into_inner();
    let mut march = March::new(grid, ladder, first);
    let on_first = march.crossings.len();
    for row in first..last {
        march.pass(row, all)?;
    }
    Some(march.gather(on_first))
}

/// Where a contour crosses the side of a square, the straight line between two neighbouring centres.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    step: i32,
    at: Point,
}

struct March<'a> {
    grid: &'a Grid,
    ladder: Ladder,
    crossings: Vec<Crossing>,
    links: Links,
    /// Steps of the cells north of the squares at hand, and of those south of them.
    north: Vec<i32>,
    south: Vec<i32>,
    /// 1 for each square that may be crossed; made up to a multiple of 8.
    crossed: Vec<u8>,
    /// For the north side of each square: its crossing of a step has this number plus the step.
    tops: Vec<u32>,
    /// Crossings on the row last passed, from the west.
    on_row: Vec<u32>,
}

impl<'a> March<'a> {
    fn new(grid: &'a Grid, ladder: Ladder, row: usize) -> Self {
        let cols = grid.cols();
        let mut march = Self {
            grid,
            ladder,
            crossings: Vec::new(),
            links: Links::default(),
            north: vec![MISSING; cols],
            south: vec![MISSING; cols],
            crossed: vec![0; cols.next_multiple_of(8)],
            tops: vec![0; cols],
            on_row: Vec::new(),
        };
        ladder.steps(march.levels(row), &mut march.north);
        for col in 0..cols - 1 {
            march.tops[col] = march.cross([march.north[col], march.north[col + 1]], [(col, row), (col + 1, row)]);
        }
        march
    }

    fn levels(&self, row: usize) -> &'a [f32] {
        &self.grid.levels()[row * self.grid.cols()..][..self.grid.cols()]
    }

    /// Passes over the squares south of a row.
    fn pass(&mut self, row: usize, all: &AtomicU64) -> Option<()> {
        self.ladder.steps(self.levels(row + 1), &mut self.south);
        mark(&self.north, &self.south, &mut self.crossed);
        let crossed = std::mem::take(&mut self.crossed);
        let count: u64 = marked(&crossed).map(|col| self.new_crossings(col)).sum();
        if all.fetch_add(count, Ordering::Relaxed) + count > MOST_CROSSINGS {
            return None;
        }
        self.on_row.clear();
        let mut west = self.cross([self.north[0], self.south[0]], [(0, row), (0, row + 1)]);
        for col in marked(&crossed) {
            west = self.square(col, row, west);
        }
        self.crossed = crossed;
        std::mem::swap(&mut self.north, &mut self.south);
        Some(())
    }

    /// Crossings on the south and the east side of a square.
    fn new_crossings(&self, col: usize) -> u64 {
        let [_, ne, se, sw] = self.corners(col);
        [ne, sw].iter().filter(|step| **step.min(&&se) != MISSING).map(|step| step.abs_diff(se) as u64).sum()
    }

    /// Steps of the corners of a square, clockwise from the north-west.
    fn corners(&self, col: usize) -> [i32; 4] {
        [self.north[col], self.north[col + 1], self.south[col + 1], self.south[col]]
    }

    /// Links the crossings on the sides of a square. Takes what its west side is numbered from, gives that of its east.
    fn square(&mut self, col: usize, row: usize, west: u32) -> u32 {
        let corners = self.corners(col);
        let [nw, ne, se, sw] = corners;
        let east = self.cross([ne, se], [(col + 1, row), (col + 1, row + 1)]);
        let before = self.crossings.len() as u32;
        let south = self.cross([sw, se], [(col, row + 1), (col + 1, row + 1)]);
        self.on_row.extend(before..self.crossings.len() as u32);
        let sides = [std::mem::replace(&mut self.tops[col], south), east, south, west];
        let (low, high) = (nw.min(ne).min(se).min(sw), nw.max(ne).max(se).max(sw));
        if low != MISSING {
            for step in low + 1..=high {
                for (from, to) in self.ways(corners, col, row, step) {
                    self.links.join(sides[*from].wrapping_add(step as u32), sides[*to].wrapping_add(step as u32));
                }
            }
        }
        east
    }

    /// Adds the crossings of a side between two cells and gives what they are numbered from.
    fn cross(&mut self, steps: [i32; 2], cells: [(usize, usize); 2]) -> u32 {
        let (low, high) = (steps[0].min(steps[1]), steps[0].max(steps[1]));
        let numbered_from = (self.crossings.len() as u32).wrapping_sub((low + 1) as u32);
        if low == high || low == MISSING {
            return numbered_from;
        }
        let [a, b] = cells.map(|(col, row)| self.grid.level(col, row) as f64);
        let [(col, row), (to_col, to_row)] = cells.map(|(col, row)| (col as f64, row as f64));
        for step in low + 1..=high {
            let share = ((self.ladder.level_m(step) - a) / (b - a)).clamp(0.0, 1.0);
            let at = self.grid.place(col + share * (to_col - col), row + share * (to_row - row));
            self.crossings.push(Crossing { step, at });
        }
        self.links.grow(self.crossings.len());
        numbered_from
    }

    /// Ways of a contour across a square.
    fn ways(&self, corners: [i32; 4], col: usize, row: usize, step: i32) -> &'static [(usize, usize)] {
        let case = (0..4).fold(0, |case, k| case | usize::from(corners[k] >= step) << k);
        let joined = match case {
            5 => JOINED_NW_SE,
            10 => JOINED_NE_SW,
            _ => return WAYS[case],
        };
        let cells = [(col, row), (col + 1, row), (col + 1, row + 1), (col, row + 1)];
        let mean_m = cells.iter().map(|&(col, row)| self.grid.level(col, row) as f64).sum::<f64>() / 4.0;
        if mean_m >= self.ladder.level_m(step) { joined } else { WAYS[case] }
    }

    /// Gathers what was linked.
    fn gather(self, on_first: usize) -> Band {
        let mut band = Band { corners: Vec::new(), pieces: Vec::new(), on_first, on_last: self.on_row.len() };
        let seam = |crossing: u32| match self.on_row.binary_search(&crossing) {
            _ if (crossing as usize) < on_first => Seam::First(crossing as usize),
            Ok(k) => Seam::Last(k),
            Err(_) => Seam::Inside,
        };
        self.links.chains(|chain, ring| {
            let [first, .., last] = *chain else { return };
            let (from, to) = if ring { (Seam::Inside, Seam::Inside) } else { (seam(first), seam(last)) };
            let start = band.corners.len();
            for &crossing in chain.iter().chain(ring.then_some(&first)) {
                let at = self.crossings[crossing as usize].at;
                if band.corners[start..].last() != Some(&at) {
                    band.corners.push(at);
                }
            }
            let step = self.crossings[first as usize].step;
            band.pieces.push(Piece { step, corners: start..band.corners.len(), from, to });
        });
        band
    }
}

/// Sets 1 for the squares whose corners have different steps.
fn mark(north: &[i32], south: &[i32], crossed: &mut [u8]) {
    let west = north.iter().zip(south);
    let east = north[1..].iter().zip(&south[1..]);
    for (mark, ((nw, sw), (ne, se))) in crossed.iter_mut().zip(west.zip(east)) {
        *mark = u8::from((nw ^ ne) | (nw ^ sw) | (nw ^ se) != 0);
    }
}

/// Numbers of the marked squares, eight looked at together.
fn marked(crossed: &[u8]) -> impl Iterator<Item = usize> {
    let (words, _) = crossed.as_chunks::<8>();
    let found = words.iter().enumerate().filter(|(_, word)| **word != [0; 8]);
    found.flat_map(|(k, word)| (0..8).filter(|bit| word[*bit] != 0).map(move |bit| k * 8 + bit))
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
