//! Times the way of water over an elevation file, step by step: `cargo run --release -p terrain --example water --
//! FILE.tif [THREADS]`.

#![allow(clippy::print_stdout, reason = "an example tells what it found")]

use std::path::Path;
use std::time::Instant;

use exchange::ReadOptions;
use terrain::Surface;
use terrain::{Grid, Water, WaterWay, WayKind};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let path = args.next().ok_or("expected a file: water FILE.tif [THREADS]")?;
    let threads = args.next().map_or_else(
        || Ok(std::thread::available_parallelism()?.get()),
        |n| n.parse::<usize>().map_err(Box::<dyn std::error::Error>::from),
    )?;
    let grid = timed("reading", || exchange::read_ground(Path::new(&path), &ReadOptions::default()))?.surface;
    let Surface::Grid(grid) = grid else { return Err("expected a grid, found points".into()) };
    report(&grid, threads);
    Ok(())
}

fn timed<T>(step: &str, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let found = work();
    println!("{step:<13} {:>8.3} s", start.elapsed().as_secs_f64());
    found
}

fn report(grid: &Grid, threads: usize) {
    let size @ (cols, rows) = (grid.cols(), grid.rows());
    println!("{cols} x {rows} = {} cells, {threads} threads, peak after reading {}", cols * rows, peak(cols * rows));
    let filled = timed("fill", || terrain::fill(grid, threads));
    let codes = timed("directions", || terrain::flow_directions(grid, &filled, threads));
    let uphill = timed("accumulation", || terrain::flow_accumulation(size, &filled, &codes, threads));
    println!("largest accumulation {} cells", uphill.iter().max().unwrap_or(&0));
    drop((filled, codes, uphill));
    let water = timed("all three", || Water::with_threads(grid, threads));
    println!("peak memory {}", peak(cols * rows));
    let swales = timed("swales", || terrain::swales(grid, &water, measure::SQUARE_M_PER_ACRE));
    let hollows = timed("depressions", || water.depressions(grid, 0.0, 0.0));
    println!("{} swales from 1 acre, {} depressions, peak memory {}", swales.len(), hollows.len(), peak(cols * rows));
    edit(grid, &water);
}

/// An edit: a culvert of forty cells' length across the middle of the grid, and back.
fn edit(grid: &Grid, water: &Water) {
    let (col, row) = (grid.cols() / 2, grid.rows() / 2);
    let points = vec![grid.centre(col, row), grid.centre((col + 40).min(grid.cols() - 1), row)];
    let culvert = WaterWay { kind: WayKind::Culvert, points };
    let Some(window) = culvert.window(grid) else { return };
    let cut = grid.burned(&[culvert]);
    let after = timed("a culvert", || water.after(grid, &cut, window));
    timed("its swales", || terrain::swales(&cut, &after, measure::SQUARE_M_PER_ACRE));
    timed("taken away", || after.after(&cut, grid, window));
}

/// Peak memory of this process, where the system tells it.
fn peak(cells: usize) -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kib = line.and_then(|line| line.split_whitespace().next()?.parse::<u64>().ok());
    kib.map_or("unknown".into(), |kib| {
        format!("{} bytes, {:.2} a cell", kib * 1024, kib as f64 * 1024.0 / cells as f64)
    })
}
