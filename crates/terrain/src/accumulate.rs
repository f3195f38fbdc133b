//! How many cells lie uphill of each.

use crate::cells::{STEPS, neighbours, steps};
use crate::parallel::{band_cells, each};

/// In `inflows`: nothing left to pass down.
const DONE: u8 = 255;

/// Cells that drain through each cell, itself included; 0 on missing ground.
///
/// Takes a filled surface `cols` × `rows` and its direction codes (see
/// [`flow_directions`](crate::flow_directions)). Linear in the number of cells; the same with any number of threads.
pub fn flow_accumulation(
    size @ (cols, rows): (usize, usize),
    filled: &[f32],
    codes: &[u8],
    threads: usize,
) -> Vec<u32> {
    let cells = cols * rows;
    let (mut uphill, mut inflows) = (vec![0; cells], vec![0; cells]);
    if filled.len() != cells || codes.len() != cells || cells == 0 {
        return uphill;
    }
    let band = band_cells(size, threads);
    let mut crossing = vec![Vec::new(); cells.div_ceil(band)];
    let parts = uphill.chunks_mut(band).zip(inflows.chunks_mut(band)).zip(&mut crossing).enumerate();
    each(parts, threads, |(k, ((uphill, inflows), crossing))| {
        let own = k * band..k * band + uphill.len();
        count_inflows(size, codes, own.start / cols, inflows);
        for (count, z) in uphill.iter_mut().zip(&filled[own.clone()]) {
            *count = u32::from(!z.is_nan());
        }
        let mut river = River::new(cols, own.start, &codes[own], uphill, inflows);
        river.run();
        *crossing = river.crossing;
    });
    let mut river = River::new(cols, 0, codes, &mut uphill, &mut inflows);
    for cell in crossing.into_iter().flatten() {
        river.pass_down(cell as usize);
    }
    uphill
}

/// Counts the neighbours that drain into each cell of whole rows from one on.
fn count_inflows(size @ (cols, rows): (usize, usize), codes: &[u8], first: usize, inflows: &mut [u8]) {
    for (k, inflows) in inflows.chunks_mut(cols).enumerate() {
        let row = first + k;
        let is_inside = row > 0 && row + 1 < rows && cols > 2;
        if is_inside {
            count_inside(&codes[(row - 1) * cols..(row + 2) * cols], &mut inflows[1..cols - 1]);
        }
        let ends = [0, cols - 1];
        for col in (0..cols).filter(|col| !is_inside || ends.contains(col)) {
            inflows[col] = inflows_of(size, codes, row * cols + col).count() as u8;
        }
    }
}

/// The neighbours that drain into a cell.
pub(crate) fn inflows_of(size: (usize, usize), codes: &[u8], cell: usize) -> impl Iterator<Item = usize> {
    neighbours(size, cell).filter(|&(k, n)| codes[n] == 1 << ((k + 4) % 8)).map(|(_, n)| n)
}

fn count_inside(codes: &[u8], inflows: &mut [u8]) {
    let (cols, inner) = (codes.len() / 3, inflows.len());
    for (k, (east, south)) in STEPS.into_iter().enumerate() {
        let start = (1 + south) as usize * cols + (1 + east) as usize;
        for (count, &code) in inflows.iter_mut().zip(&codes[start..start + inner]) {
            *count += u8::from(code == 1 << ((k + 4) % 8));
        }
    }
}

/// Counts being passed down in the rows at hand.
struct River<'a> {
    steps: [isize; 8],
    /// Index of the first cell at hand.
    first: usize,
    codes: &'a [u8],
    uphill: &'a mut [u32],
    inflows: &'a mut [u8],
    /// Cells that pass their count on to rows not at hand.
    crossing: Vec<u32>,
}

impl<'a> River<'a> {
    fn new(cols: usize, first: usize, codes: &'a [u8], uphill: &'a mut [u32], inflows: &'a mut [u8]) -> Self {
        Self { steps: steps(cols), first, codes, uphill, inflows, crossing: Vec::new() }
    }

    fn run(&mut self) {
        for cell in 0..self.codes.len() {
            if self.inflows[cell] == 0 {
                self.pass_down(cell);
            }
        }
    }

    /// Walks down from a cell with nothing left to wait for until another inflow has to come first.
    fn pass_down(&mut self, start: usize) {
        let mut cell = start;
        loop {
            self.inflows[cell] = DONE;
            let Some(step) = self.steps.get(self.codes[cell].trailing_zeros() as usize) else { return };
            let next = cell.wrapping_add_signed(*step);
            let Some(waiting) = self.inflows.get_mut(next) else {
                return self.crossing.push((self.first + cell) as u32);
            };
            self.uphill[next] += self.uphill[cell];
            *waiting -= 1;
            if *waiting > 0 {
                return;
            }
            cell = next;
        }
    }
}
