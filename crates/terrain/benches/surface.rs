//! Speed of surfaces over survey points. `tests/reference/surface_speed.py` times scipy on the same points.

use divan::Bencher;
use measure::Point;
use terrain::{Ground, Interpolation, Shot, SurfaceOptions, Survey, Tin};

fn main() {
    divan::main();
}

/// A well mixed number from 0 to 1 for each counter (splitmix64; Steele, Lea and Flood 2014, Fast splittable
/// pseudorandom number generators, OOPSLA).
fn mixed(counter: u64) -> f64 {
    let mut z = counter.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// Shots anywhere on a square kilometre of rolling ground.
fn scattered(count: u64) -> Vec<Shot> {
    let shot = |k: u64| {
        let (x, y) = (1000.0 * mixed(2 * k + 1), 1000.0 * mixed(2 * k + 2));
        let level_m = 100.0 + 3.0 * (x / 97.0 + y / 210.0).sin() + 2.0 * (x / 161.0 - y / 115.0).cos();
        Shot { at: Point::new(500_000.0 + x, 5_000_000.0 + y), level_m }
    };
    (0..count).map(shot).collect()
}

/// A million shots to a grid of a million cells, everything counted.
#[divan::bench(sample_count = 7)]
fn million_shots_to_million_cells(bencher: Bencher) {
    let survey = Survey { shots: scattered(1_000_000), break_lines: Vec::new() };
    let options = SurfaceOptions { cell_m: Some(1.0), ..SurfaceOptions::default() };
    bencher.with_inputs(|| survey.clone()).bench_values(|survey| Ground::from_survey(survey, &options));
}

#[divan::bench(args = [50_000, 1_000_000], sample_count = 7)]
fn triangulate(bencher: Bencher, count: u64) {
    let shots = scattered(count);
    bencher.bench(|| Tin::of(&shots));
}

/// What one moved shot costs in a field of fifty thousand: the whole surface anew.
#[divan::bench(sample_count = 7)]
fn rebuild_fifty_thousand(bencher: Bencher) {
    let survey = Survey { shots: scattered(50_000), break_lines: Vec::new() };
    bencher
        .with_inputs(|| survey.clone())
        .bench_values(|survey| Ground::from_survey(survey, &SurfaceOptions::default()));
}

/// The same by natural neighbours, with one thread and with two.
#[divan::bench(args = [1, 2], sample_count = 3)]
fn natural_million_cells(bencher: Bencher, threads: usize) {
    let survey = Survey { shots: scattered(100_000), break_lines: Vec::new() };
    let interpolation = Interpolation::NaturalNeighbour;
    let options = SurfaceOptions { cell_m: Some(1.0), interpolation, threads, ..SurfaceOptions::default() };
    bencher.with_inputs(|| survey.clone()).bench_values(|survey| Ground::from_survey(survey, &options));
}

/// Fifty thousand shots and a hundred lines across them, each crossing dozens of others.
#[divan::bench(sample_count = 3)]
fn hundred_break_lines(bencher: Bencher) {
    let shots = scattered(50_000);
    let lines: Vec<Vec<Shot>> = scattered(51_000)[50_000..].chunks(10).map(<[Shot]>::to_vec).collect();
    bencher.bench(|| Tin::with_breaks(&shots, &lines));
}

#[divan::bench(sample_count = 7)]
fn levels_at_a_million_places(bencher: Bencher) {
    let tin = Tin::of(&scattered(1_000_000)).expect("a sound survey");
    let places: Vec<Point> = scattered(2_000_000)[1_000_000..].iter().map(|s| s.at).collect();
    bencher.bench(|| places.iter().filter_map(|&at| tin.level(at)).sum::<f64>());
}
