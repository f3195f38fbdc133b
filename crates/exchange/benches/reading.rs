//! How fast elevation grids are read: 25 million cells of invented ground in deflated tiles, plain and with the floating-point
//! predictor, the same as text, and a small part of the whole. `cargo bench -p exchange`; the file is made by the bench.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::PathBuf;

use exchange::{Effort, ReadOptions, read_ground_with};
use flate2::Compression;
use flate2::write::ZlibEncoder;

/// Cells on a side, and of a tile.
const SIDE: usize = 5_000;
const TILE: usize = 512;

fn main() {
    divan::main();
}

/// Gentle ground with a roughness of millimetres, as lidar has it.
fn level(col: usize, row: usize) -> f32 {
    let (x, y) = (col as f64, row as f64);
    let rough = (col.wrapping_mul(2_654_435_761) ^ row.wrapping_mul(40_503)) >> 7 & 0xff;
    (250.0 + 8.0 * (x / 370.0).sin() * (y / 290.0).cos() + 0.002 * x + rough as f64 * 1e-4) as f32
}

fn folder() -> PathBuf {
    let folder = std::env::temp_dir().join("drainwright-bench");
    std::fs::create_dir_all(&folder).expect("a folder for the bench");
    folder
}

/// The packed bytes of a tile.
fn tile(left: usize, top: usize, predictor: bool) -> Vec<u8> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::default());
    for row in top..top + TILE {
        let levels = (left..left + TILE).map(|col| level(col, row));
        let mut bytes: Vec<u8> = levels.flat_map(f32::to_le_bytes).collect();
        if predictor {
            // Bytes sorted by place, the largest first, each less the one before it (TIFF technical note 3).
            let planes =
                (0..4).rev().flat_map(|place| bytes.iter().skip(place).step_by(4).copied()).collect::<Vec<_>>();
            bytes =
                (0..planes.len()).map(|k| planes[k].wrapping_sub(if k > 0 { planes[k - 1] } else { 0 })).collect();
        }
        packer.write_all(&bytes).expect("memory takes all");
    }
    packer.finish().expect("memory takes all")
}

fn tiff(predictor: bool) -> PathBuf {
    let path = folder().join(if predictor { "predictor.tif" } else { "plain.tif" });
    let across = SIDE.div_ceil(TILE);
    let pieces = (across * across) as u32;
    let tables = 8 + 2 + 12 * 12 + 4;
    let (scale, tie, start) = (tables + 8 * pieces, tables + 8 * pieces + 24, tables + 8 * pieces + 72);
    let tiles: Vec<Vec<u8>> =
        (0..across * across).map(|k| tile(k % across * TILE, k / across * TILE, predictor)).collect();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    let side = SIDE as u32;
    let mut head = [&b"II*\0"[..], &[8, 0, 0, 0, 12, 0]].concat();
    for (tag, value) in [(256, side), (257, side), (258, 32), (259, 8), (317, if predictor { 3 } else { 1 })] {
        head.extend(entry(tag, 4, 1, value));
    }
    head.extend([entry(322, 4, 1, TILE as u32), entry(323, 4, 1, TILE as u32)].concat());
    head.extend([entry(324, 4, pieces, tables), entry(325, 4, pieces, tables + 4 * pieces)].concat());
    head.extend([entry(339, 4, 1, 3), entry(33550, 12, 3, scale), entry(33922, 12, 6, tie), vec![0; 4]].concat());
    let mut at = start;
    for tile in &tiles {
        head.extend(at.to_le_bytes());
        at += tile.len() as u32;
    }
    head.extend(tiles.iter().flat_map(|tile| (tile.len() as u32).to_le_bytes()));
    head.extend([1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, SIDE as f64, 0.0].iter().flat_map(|v: &f64| v.to_le_bytes()));
    let mut file = BufWriter::new(File::create(&path).expect("a file for the bench"));
    file.write_all(&head).expect("room on the disk");
    tiles.iter().for_each(|tile| file.write_all(tile).expect("room on the disk"));
    path
}

fn text() -> PathBuf {
    const SIDE: usize = 1_000;
    let path = folder().join("text.asc");
    let mut file = BufWriter::new(File::create(&path).expect("a file for the bench"));
    let head = format!("ncols {SIDE}\nnrows {SIDE}\nxllcorner 0\nyllcorner 0\ncellsize 1\n");
    file.write_all(head.as_bytes()).expect("room on the disk");
    for row in 0..SIDE {
        let line: Vec<String> = (0..SIDE).map(|col| format!("{:.3}", level(col, row))).collect();
        writeln!(file, "{}", line.join(" ")).expect("room on the disk");
    }
    path
}

fn read(bencher: divan::Bencher, path: PathBuf, crop_to: Option<[f64; 4]>, threads: usize) {
    let options = ReadOptions { crop_to, ..ReadOptions::default() };
    let effort = Effort { threads, ..Effort::PLAIN };
    bencher.bench_local(|| read_ground_with(&path, &options, &effort).expect("the bench's own file"));
}

#[divan::bench(args = [1, 2], sample_count = 10)]
fn tiles_plain(bencher: divan::Bencher, threads: usize) {
    read(bencher, tiff(false), None, threads);
}

#[divan::bench(args = [1, 2], sample_count = 10)]
fn tiles_with_predictor(bencher: divan::Bencher, threads: usize) {
    read(bencher, tiff(true), None, threads);
}

#[divan::bench(args = [1, 2], sample_count = 20)]
fn a_part_of_a_million_cells(bencher: divan::Bencher, threads: usize) {
    read(bencher, tiff(true), Some([2_000.0, 2_000.0, 2_999.0, 2_999.0]), threads);
}

#[divan::bench(sample_count = 10)]
fn text_of_a_million_cells(bencher: divan::Bencher) {
    read(bencher, text(), None, 1);
}
