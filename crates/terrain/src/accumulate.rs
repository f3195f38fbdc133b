//! How many cells lie uphill of each.

use crate::cells::{STEPS, neighbours, steps};
use crate::parallel::{band_cells, each};

/// A cell's note while counts are passed down, kept in one byte for the cache's sake: the number of its direction and,
/// times this, the inflows it still waits for.
const INFLOW: u8 = 16;
/// The number of no direction.
const NOWHERE: u8 = 8;
/// More inflows than can be, where the count has been passed down.
const DONE: u8 = 15 * INFLOW;

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
    let (mut uphill, mut notes) = (vec![0; cells], vec![0; cells]);
    if filled.len() != cells || codes.len() != cells || cells == 0 {
        return uphill;
    }
    let band = band_cells(size, threads);
    let mut crossing = vec![Vec::new(); cells.div_ceil(band)];
    let parts = uphill.chunks_mut(band).zip(notes.chunks_mut(band)).zip(&mut crossing).enumerate();
    each(parts, threads, |(k, ((uphill, notes), crossing))| {
        let own = k * band..k * band + uphill.len();
        note(size, codes, own.start / cols, notes);
        for (count, z) in uphill.iter_mut().zip(&filled[own.start..]) {
            *count = u32::from(!z.is_nan());
        }
        let mut river = River::new(cols, own.start, notes, uphill);
        river.run();
        *crossing = river.crossing;
    });
    let mut river = River::new(cols, 0, &mut notes, &mut uphill);
    for cell in crossing.into_iter().flatten() {
        river.pass_down(cell as usize);
    }
    uphill
}

/// Notes for each cell of whole rows from one on where it drains to and how many neighbours drain into it.
fn note(size @ (cols, rows): (usize, usize), codes: &[u8], first: usize, notes: &mut [u8]) {
    for (row, notes) in (first..).zip(notes.chunks_mut(cols)) {
        let is_inside = row > 0 && row + 1 < rows && cols > 2;
        if is_inside {
            count_inside(&codes[(row - 1) * cols..(row + 2) * cols], &mut notes[1..cols - 1]);
        }
        for col in (0..cols).step_by(if is_inside { cols - 1 } else { 1 }) {
            notes[col] = inflows_of(size, codes, row * cols + col).count() as u8 * INFLOW;
        }
        for (note, &code) in notes.iter_mut().zip(&codes[row * cols..]) {
            *note |= number(code);
        }
    }
}

/// The neighbours that drain into a cell.
pub(crate) fn inflows_of(size: (usize, usize), codes: &[u8], cell: usize) -> impl Iterator<Item = usize> {
    neighbours(size, cell).filter(|&(k, n)| codes[n] == 1 << ((k + 4) % 8)).map(|(_, n)| n)
}

fn count_inside(codes: &[u8], notes: &mut [u8]) {
    let (cols, inner) = (codes.len() / 3, notes.len());
    for (k, (east, south)) in STEPS.into_iter().enumerate() {
        let start = (1 + south) as usize * cols + (1 + east) as usize;
        for (note, &code) in notes.iter_mut().zip(&codes[start..start + inner]) {
            *note += if code == 1 << ((k + 4) % 8) { INFLOW } else { 0 };
        }
    }
}

/// The number of a direction code, 0 to 7, and 8 for none; in a form that compilers turn into vector instructions.
fn number(code: u8) -> u8 {
    let bit = |mask: u8, value: u8| if code & mask == 0 { 0 } else { value };
    if code == 0 { NOWHERE } else { bit(0xf0, 4) | bit(0xcc, 2) | bit(0xaa, 1) }
}

/// Counts being passed down in the rows at hand.
struct River<'a> {
    steps: [isize; 8],
    /// Index of the first cell at hand.
    first: usize,
    notes: &'a mut [u8],
    uphill: &'a mut [u32],
    /// Cells that pass their count on to rows not at hand.
    crossing: Vec<u32>,
}

impl<'a> River<'a> {
    fn new(cols: usize, first: usize, notes: &'a mut [u8], uphill: &'a mut [u32]) -> Self {
        Self { steps: steps(cols), first, notes, uphill, crossing: Vec::new() }
    }

    fn run(&mut self) {
        for cell in 0..self.notes.len() {
            if self.notes[cell] < INFLOW {
                self.pass_down(cell);
            }
        }
    }

    /// Walks down from a cell with nothing left to wait for until another inflow has to come first.
    fn pass_down(&mut self, start: usize) {
        let (mut cell, mut direction) = (start, self.notes[start] % INFLOW);
        loop {
            self.notes[cell] = DONE | direction;
            let Some(step) = self.steps.get(direction as usize) else { return };
            let next = cell.wrapping_add_signed(*step);
            let Some(note) = self.notes.get_mut(next) else {
                return self.crossing.push((self.first + cell) as u32);
            };
            self.uphill[next] += self.uphill[cell];
            *note -= INFLOW;
            direction = *note;
            if direction >= INFLOW {
                return;
            }
            cell = next;
        }
    }
}
