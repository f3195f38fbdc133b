//! Where water goes from each cell (D8) and how many cells lie uphill of it.

use crate::pad::Pad;

/// Marks a cell whose way out is not known yet.
const OPEN: u8 = 255;

/// Direction codes on a filled, framed surface: the steepest way down, and over flats the shortest way out.
///
/// Steepest drop over distance to one of eight neighbours (O'Callaghan and Mark 1984); codes as in reference-values
/// section 5.2. Cells beside missing ground with nothing lower leave the grid: code 0.
pub(crate) fn directions(pad: Pad, filled: &[f32], cell_m: (f64, f64)) -> Vec<u8> {
    let nearness = nearness(cell_m);
    let mut codes = vec![0; pad.len()];
    let mut open = Vec::new();
    for cell in pad.inner() {
        codes[cell] = steepest(pad, filled, cell, &nearness);
        if codes[cell] == OPEN {
            open.push(cell as u32);
        }
    }
    drain_flats(pad, filled, &mut codes, &open);
    codes
}

/// One over the distance to each neighbour.
fn nearness((x_m, y_m): (f64, f64)) -> [f32; 8] {
    let diagonal = x_m.hypot(y_m);
    [x_m, diagonal, y_m, diagonal, x_m, diagonal, y_m, diagonal].map(|away_m| (1.0 / away_m) as f32)
}

fn steepest(pad: Pad, filled: &[f32], cell: usize, nearness: &[f32; 8]) -> u8 {
    let here = filled[cell];
    if here.is_nan() {
        return 0;
    }
    let (mut best, mut most, mut outlet) = (8, 0.0, false);
    for (k, near) in nearness.iter().enumerate() {
        let there = filled[pad.step(cell, k)];
        outlet |= there.is_nan();
        let fall = (here - there) * near;
        if fall > most {
            (best, most) = (k, fall);
        }
    }
    match best {
        8 if outlet => 0,
        8 => OPEN,
        k => 1 << k,
    }
}

/// Leads the open cells of each flat breadth-first to the cells of its level that have a way down or out.
fn drain_flats(pad: Pad, filled: &[f32], codes: &mut [u8], open: &[u32]) {
    let mut queue = low_edges(pad, filled, codes, open);
    let mut next = 0;
    while next < queue.len() {
        let cell = queue[next] as usize;
        next += 1;
        for k in 0..8 {
            let n = pad.step(cell, k);
            if codes[n] == OPEN && filled[n] == filled[cell] {
                codes[n] = 1 << ((k + 4) % 8);
                queue.push(n as u32);
            }
        }
    }
}

fn low_edges(pad: Pad, filled: &[f32], codes: &[u8], open: &[u32]) -> Vec<u32> {
    let beside = |&cell: &u32| {
        let level = filled[cell as usize];
        pad.around(cell as usize).into_iter().filter(move |&n| codes[n] != OPEN && filled[n] == level)
    };
    let mut edges: Vec<u32> = open.iter().flat_map(beside).map(|n| n as u32).collect();
    edges.sort_unstable();
    edges.dedup();
    edges
}

/// Cells that drain through each cell, itself included; 0 on missing ground. Linear in the number of cells.
pub(crate) fn accumulate(pad: Pad, filled: &[f32], codes: &[u8]) -> Vec<u32> {
    let mut waiting = inflows(pad, codes);
    let mut uphill: Vec<u32> = filled.iter().map(|z| u32::from(!z.is_nan())).collect();
    for cell in pad.inner() {
        if waiting[cell] == 0 {
            pass_down(pad, codes, cell, &mut waiting, &mut uphill);
        }
    }
    uphill
}

fn inflows(pad: Pad, codes: &[u8]) -> Vec<u8> {
    let mut inflows = vec![0; codes.len()];
    for cell in pad.inner() {
        if codes[cell] != 0 {
            inflows[pad.step(cell, codes[cell].trailing_zeros() as usize)] += 1;
        }
    }
    inflows
}

/// Walks down from a cell with nothing left to wait for until another inflow has to come first.
fn pass_down(pad: Pad, codes: &[u8], start: usize, waiting: &mut [u8], uphill: &mut [u32]) {
    const DONE: u8 = 255;
    let mut cell = start;
    loop {
        waiting[cell] = DONE;
        if codes[cell] == 0 {
            return;
        }
        let next = pad.step(cell, codes[cell].trailing_zeros() as usize);
        uphill[next] += uphill[cell];
        waiting[next] -= 1;
        if waiting[next] > 0 {
            return;
        }
        cell = next;
    }
}
