//! Speed of the ground's heavy work on a rolling field of a million cells; `*_plainly` is the simple way it replaces.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use divan::Bencher;
use terrain::{Grid, Ground, Shot, Water};

fn main() {
    divan::main();
}

/// Rolling ground with a roughness of some centimetres, cells of one metre.
fn rolling(side: usize) -> Grid {
    let level = |cell: usize| {
        let (x, y) = ((cell % side) as f64, (cell / side) as f64);
        let rough = (cell * 7919 % 10_007) as f64 * 5e-6;
        (100.0 - 0.01 * y + 3.0 * (x / 97.0 + y / 210.0).sin() + 2.0 * (x / 161.0 - y / 115.0).cos() + rough) as f32
    };
    let levels = (0..side * side).map(level).collect();
    Grid::new((side, side), (0.0, side as f64), (1.0, 1.0), levels).expect("a sound grid")
}

/// Priority-Flood with every cell going through the queue.
fn fill_plainly(grid: &Grid) -> Vec<f32> {
    let (cols, rows) = (grid.cols(), grid.rows());
    let mut filled = grid.levels().to_vec();
    let mut seen = vec![false; filled.len()];
    let key = |z: f32, cell: usize| Reverse(((z as f64 * 1e6) as i64, cell));
    let border =
        (0..cols * rows).filter(|c| c % cols == 0 || c % cols == cols - 1 || *c < cols || c / cols == rows - 1);
    let mut queue: BinaryHeap<_> = border.map(|cell| key(filled[cell], cell)).collect();
    queue.iter().for_each(|Reverse((_, cell))| seen[*cell] = true);
    while let Some(Reverse((_, cell))) = queue.pop() {
        let (col, row) = (cell % cols, cell / cols);
        for r in row.saturating_sub(1)..(row + 2).min(rows) {
            for c in col.saturating_sub(1)..(col + 2).min(cols) {
                let n = r * cols + c;
                if !std::mem::replace(&mut seen[n], true) {
                    filled[n] = filled[n].max(filled[cell]);
                    queue.push(key(filled[n], n));
                }
            }
        }
    }
    filled
}

#[divan::bench(args = [1000, 2500], sample_count = 5)]
fn water(bencher: Bencher, side: usize) {
    let grid = rolling(side);
    bencher.bench(|| Water::of(&grid));
}

#[divan::bench(args = [1000, 2500], sample_count = 5)]
fn filling_plainly(bencher: Bencher, side: usize) {
    let grid = rolling(side);
    bencher.bench(|| fill_plainly(&grid));
}

#[divan::bench(sample_count = 5)]
fn swales(bencher: Bencher) {
    let grid = rolling(1000);
    let water = Water::of(&grid);
    bencher.bench(|| terrain::swales(&grid, &water, 5000.0));
}

#[divan::bench(sample_count = 5)]
fn depressions(bencher: Bencher) {
    let grid = rolling(1000);
    let water = Water::of(&grid);
    bencher.bench(|| water.depressions(&grid, 0.05, 20.0));
}

#[divan::bench(sample_count = 5)]
fn ground_from_shots(bencher: Bencher) {
    let grid = rolling(1000);
    let place = |k: usize| grid.centre(k * 7919 % 1000, k * 104_729 / 13 % 1000);
    let shots: Vec<Shot> =
        (0..20_000).map(|k| Shot { at: place(k), level_m: grid.elevation(place(k)).unwrap_or(0.0) }).collect();
    bencher.bench(|| Ground::from_shots(&shots, 2.0));
}
