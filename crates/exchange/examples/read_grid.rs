//! Reads an elevation file and tells how long it took and how much memory at most:
//! `cargo run --release -p exchange --example read_grid -- FILE [THREADS [W,S,E,N]]`. The best of five runs.

#![allow(clippy::print_stdout, reason = "an example that measures")]

use std::path::Path;
use std::time::Instant;

use exchange::{Effort, ReadOptions, read_ground_with};
use terrain::Surface;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let file = arguments.first().ok_or("which file?")?;
    let threads = arguments.get(1).map_or(Ok(2), |text| text.parse())?;
    let edges = arguments.get(2).map(|text| text.split(',').map(str::parse).collect::<Result<Vec<f64>, _>>());
    let crop_to = edges.transpose()?.and_then(|edges| edges.try_into().ok());
    let options = ReadOptions { crop_to, ..ReadOptions::default() };
    let mut best = f64::MAX;
    for _ in 0..5 {
        let start = Instant::now();
        let read = read_ground_with(Path::new(file), &options, &Effort { threads, ..Effort::PLAIN })?;
        best = best.min(start.elapsed().as_secs_f64());
        if let Surface::Grid(grid) = read.surface {
            println!("{} × {} cells", grid.cols(), grid.rows());
        }
    }
    println!("{best:.3} s, peak memory {}", peak().unwrap_or("not told by this system".into()));
    Ok(())
}

/// Most memory the process had, as Linux tells it.
fn peak() -> Option<String> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    status.lines().find_map(|line| line.strip_prefix("VmHWM:")).map(|size| size.trim().to_string())
}
