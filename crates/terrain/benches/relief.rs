//! Speed of contours, slope and shade.
//!
//! On rolling fields of 1, 4 and 25 million cells, or, to stand beside other programs, on grids of their own:
//! `RELIEF_GROUND=a.npy:b.npy cargo bench -p terrain --bench relief` (square, single precision, cells of one metre).

use std::sync::LazyLock;

use divan::Bencher;
use terrain::Grid;

fn main() {
    divan::main();
}

const THREADS: [usize; 2] = [1, 2];

/// The grids measured; given as names of files, or made.
static GROUNDS: LazyLock<Vec<Grid>> = LazyLock::new(|| match std::env::var("RELIEF_GROUND") {
    Ok(files) => files.split(':').map(|file| square(read_npy(file))).collect(),
    Err(_) => [1000, 2000, 5000].map(rolling).into(),
});

/// The levels of an uncompressed numpy file: its header ends at a multiple of 64 bytes.
fn read_npy(file: &str) -> Vec<f32> {
    let bytes = std::fs::read(file).expect("a file of RELIEF_GROUND");
    let header = 10 + u16::from_le_bytes([bytes[8], bytes[9]]) as usize;
    bytes[header..].as_chunks::<4>().0.iter().map(|four| f32::from_le_bytes(*four)).collect()
}

fn square(levels: Vec<f32>) -> Grid {
    let side = levels.len().isqrt();
    Grid::new((side, side), (0.0, side as f64), (1.0, 1.0), levels).expect("a sound grid")
}

/// Rolling ground with a roughness of some centimetres.
fn rolling(side: usize) -> Grid {
    let level = |cell: usize| {
        let (x, y) = ((cell % side) as f64, (cell / side) as f64);
        let rough = (cell * 7919 % 10_007) as f64 * 5e-6;
        (100.0 - 0.01 * y + 3.0 * (x / 97.0 + y / 210.0).sin() + 2.0 * (x / 161.0 - y / 115.0).cos() + rough) as f32
    };
    square((0..side * side).map(level).collect())
}

/// Which ground with how many threads.
fn cases() -> impl Iterator<Item = Case> {
    (0..GROUNDS.len()).flat_map(|ground| THREADS.map(|threads| Case { ground, threads }))
}

#[derive(Clone, Copy)]
struct Case {
    ground: usize,
    threads: usize,
}

impl std::fmt::Display for Case {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "{} cells, threads: {}", GROUNDS[self.ground].levels().len(), self.threads)
    }
}

#[divan::bench(args = cases(), sample_count = 9)]
fn contours(bencher: Bencher, Case { ground, threads }: Case) {
    bencher.bench(|| terrain::contours(&GROUNDS[ground], 0.5, threads));
}

#[divan::bench(args = cases(), sample_count = 20)]
fn slope(bencher: Bencher, Case { ground, threads }: Case) {
    bencher.bench(|| terrain::slope_ratio(&GROUNDS[ground], threads));
}

/// Into the same memory every time.
#[divan::bench(args = cases(), sample_count = 20)]
fn slope_into(bencher: Bencher, Case { ground, threads }: Case) {
    let mut ratios = Vec::new();
    bencher.bench_local(|| terrain::slope_ratio_into(&GROUNDS[ground], threads, &mut ratios));
}

#[divan::bench(args = cases(), sample_count = 20)]
fn hillshade(bencher: Bencher, Case { ground, threads }: Case) {
    bencher.bench(|| terrain::hillshade(&GROUNDS[ground], 315.0, 45.0, 4.0, threads));
}

/// What no pass over all cells can undercut: reading them and writing as many.
#[divan::bench(args = 0..GROUNDS.len(), sample_count = 20)]
fn copy_into(bencher: Bencher, ground: usize) {
    let mut copy = GROUNDS[ground].levels().to_vec();
    bencher.bench_local(|| copy.copy_from_slice(GROUNDS[ground].levels()));
}
