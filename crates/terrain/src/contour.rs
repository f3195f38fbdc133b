//! Contour lines.

use std::sync::atomic::AtomicU64;

use measure::Point;

use crate::chain::Links;
use crate::march::{Band, Ladder, Piece, Seam, march};
use crate::{Grid, parallel};

/// Levels beyond which no contours are drawn: such ground is a fault in the file.
const MOST_LEVELS: f64 = 20_000.0;
/// Cells of a band that is worked out at one go: what lies in it stays in the cache. Part of the result (where a ring
/// starts), so it does not hang on the number of threads.
const BAND_CELLS: usize = 1 << 18;

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

/// Contours at the multiples of an interval, by marching squares between cell centres, lowest level first; with up to
/// `threads` threads, whose number does not change the result.
///
/// A corner lies where the straight line between two neighbouring centres reaches the level. Ground at the level
/// counts as above it; a saddle is joined through its middle if the mean of its four corners is above. A contour
/// opens at missing ground. Empty if the interval is not above 0, the ground would take more than 20,000 levels, or
/// there would be more than 60 million corners.
pub fn contours(grid: &Grid, interval_m: f64, threads: usize) -> Vec<Contour> {
    in_bands(grid, interval_m, (BAND_CELLS / grid.cols()).max(1), threads)
}

/// The contours, worked out in bands of so many rows of squares.
fn in_bands(grid: &Grid, interval_m: f64, rows: usize, threads: usize) -> Vec<Contour> {
    let Some(ladder) = ladder(grid, interval_m, threads) else { return Vec::new() };
    let (last, corners) = (grid.rows() - 1, AtomicU64::new(0));
    let band = |k: usize| march(grid, ladder, k * rows..=last.min((k + 1) * rows), &corners);
    let bands: Option<Vec<Band>> = parallel::map(last.div_ceil(rows), threads, band).into_iter().collect();
    bands.map_or_else(Vec::new, |bands| join(&bands, ladder, threads))
}

/// The levels of a grid, `None` where they are too many to be drawn or to be told apart.
fn ladder(grid: &Grid, interval_m: f64, threads: usize) -> Option<Ladder> {
    let parts: Vec<&[f32]> = grid.levels().chunks(BAND_CELLS).collect();
    let ranges = parallel::map(parts.len(), threads, |k| range(parts[k]));
    let (low, high) =
        ranges.into_iter().fold((f32::INFINITY, f32::NEG_INFINITY), |a, b| (a.0.min(b.0), a.1.max(b.1)));
    let (low, high) = (low as f64, high as f64);
    // Past 2^50 intervals from zero neighbouring levels are no longer told apart.
    let countable = low.abs().max(high.abs()) / interval_m < 1e15;
    let affordable = interval_m > 0.0 && interval_m.is_finite() && (high - low) / interval_m <= MOST_LEVELS;
    (countable && affordable).then(|| Ladder { interval_m, base: (low / interval_m).floor() - 1.0 })
}

/// Lowest and highest level, missing ones left out; eight abreast, which the compiler makes one instruction of.
fn range(levels: &[f32]) -> (f32, f32) {
    let (mut low, mut high) = ([f32::INFINITY; 8], [f32::NEG_INFINITY; 8]);
    let (eights, rest) = levels.as_chunks::<8>();
    let mut widen = |level: f32, k: usize| {
        low[k] = if level < low[k] { level } else { low[k] };
        high[k] = if level > high[k] { level } else { high[k] };
    };
    eights.iter().for_each(|eight| (0..8).for_each(|k| widen(eight[k], k)));
    rest.iter().for_each(|&level| widen(level, 0));
    (low.into_iter().fold(f32::INFINITY, f32::min), high.into_iter().fold(f32::NEG_INFINITY, f32::max))
}

/// A line as the pieces it is made of.
struct Line<'a> {
    step: i32,
    pieces: Vec<&'a [Point]>,
}

impl Line<'_> {
    fn is_closed(&self) -> bool {
        let first = self.pieces.first().and_then(|piece| piece.first());
        first == self.pieces.last().and_then(|piece| piece.last())
    }

    /// The contour, `None` where it shrinks to a point.
    fn contour(&self, ladder: Ladder) -> Option<Contour> {
        let mut points: Vec<Point> = Vec::with_capacity(self.pieces.iter().map(|piece| piece.len()).sum());
        for piece in &self.pieces {
            let again = points.last().is_some_and(|last| *last == piece[0]);
            points.extend_from_slice(&piece[usize::from(again)..]);
        }
        let (level_m, index) = (ladder.level_m(self.step), ladder.number(self.step) % 5 == 0);
        (points.len() > 1).then(|| Contour { level_m, index, closed: self.is_closed(), points })
    }
}

/// Joins the pieces of all bands to lines: by level, the open ones first.
fn join(bands: &[Band], ladder: Ladder, threads: usize) -> Vec<Contour> {
    let mut lines = lines(bands);
    lines.sort_by_key(|line| (line.step, line.is_closed()));
    let parts: Vec<&[Line]> = lines.chunks(64).collect();
    let drawn = |k: usize| -> Vec<Contour> { parts[k].iter().filter_map(|line| line.contour(ladder)).collect() };
    parallel::map(parts.len(), threads, drawn).into_iter().flatten().collect()
}

fn lines(bands: &[Band]) -> Vec<Line<'_>> {
    let pieces: Vec<(&Band, &Piece)> =
        bands.iter().flat_map(|band| band.pieces.iter().map(move |p| (band, p))).collect();
    let mut lines = Vec::new();
    links(bands, pieces.len()).chains(|chain, _| {
        let corners = |&k: &u32| {
            let (band, piece) = pieces[k as usize];
            &band.corners[piece.corners.clone()]
        };
        lines.push(Line { step: pieces[chain[0] as usize].1.step, pieces: chain.iter().map(corners).collect() });
    });
    lines
}

/// Links the pieces that meet on the rows shared by two bands, where both have the same crossings.
fn links(bands: &[Band], pieces: usize) -> Links {
    // For every crossing of a shared row the piece that ends on it and the one that starts from it.
    let count = bands.iter().map(|band| band.on_first).sum::<usize>() + bands.last().map_or(0, |band| band.on_last);
    let mut meetings = vec![[None; 2]; count];
    let (mut on_first, mut number) = (0, 0..);
    for band in bands {
        let on_last = on_first + band.on_first;
        for (piece, k) in band.pieces.iter().zip(&mut number) {
            for (end, seam) in [piece.to, piece.from].into_iter().enumerate() {
                match seam {
                    Seam::Inside => {}
                    Seam::First(crossing) => meetings[on_first + crossing][end] = Some(k),
                    Seam::Last(crossing) => meetings[on_last + crossing][end] = Some(k),
                }
            }
        }
        on_first = on_last;
    }
    let mut links = Links::default();
    links.grow(pieces);
    for [ends, starts] in meetings {
        if let (Some(ends), Some(starts)) = (ends, starts) {
            links.join(ends, starts);
        }
    }
    links
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Bumps with plateaus at whole levels and holes.
    fn bumpy(side: usize) -> Grid {
        let level = |cell: usize| match cell * 7919 % 1013 {
            0 => f32::NAN,
            noise => (((cell % side) as f32 / 7.0).sin() * 2.0
                + ((cell / side) as f32 / 5.0).cos() * 2.0
                + noise as f32 / 2e3)
                .max(-2.0),
        };
        Grid::new((side, side), (0.0, 0.0), (1.0, 1.0), (0..side * side).map(level).collect()).unwrap()
    }

    /// Sides of all lines in an order of their own, and how many lines are open and closed.
    fn content(lines: &[Contour]) -> (Vec<[u64; 5]>, [usize; 2]) {
        let side = |level_m: f64, w: &[Point]| [level_m, w[0].x, w[0].y, w[1].x, w[1].y].map(f64::to_bits);
        let mut sides: Vec<_> =
            lines.iter().flat_map(|line| line.points.windows(2).map(|w| side(line.level_m, w))).collect();
        sides.sort_unstable();
        let closed = lines.iter().filter(|line| line.closed).count();
        (sides, [lines.len() - closed, closed])
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]
        #[test]
        fn bands_and_threads_leave_no_trace(rows in 1usize..50, threads in 1usize..5, interval_m in 0.1..1.5f64) {
            let grid = bumpy(50);
            let lines = in_bands(&grid, interval_m, rows, threads);
            prop_assert_eq!(&lines, &in_bands(&grid, interval_m, rows, 1));
            prop_assert_eq!(content(&lines), content(&in_bands(&grid, interval_m, 1000, 1)));
        }
    }
}
