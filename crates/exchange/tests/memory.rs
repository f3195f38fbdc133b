//! Reading takes no more memory than its documentation says: held by the most that a process of its own ever had, which
//! Linux tells; elsewhere the test says so and passes.

#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::print_stderr, reason = "a test that talks with itself")]

use std::io::{BufWriter, Write};
use std::path::Path;
use std::process::Command;

use exchange::{Effort, ReadOptions, read_ground_with};

const FILE: &str = "DRAINWRIGHT_TEST_FILE";
const CROP: &str = "DRAINWRIGHT_TEST_CROP";
/// What is allowed beside the levels: two threads' parts of pieces, tables, and what any thread and allocator takes.
const BESIDE: u64 = 8 << 20;

/// Most memory this process had, bytes.
fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix(" kB")?.trim().parse::<u64>().ok()? << 10)
}

/// Not a test of its own: what the others run in a process of its own. Tells by how much reading raised the peak.
#[test]
fn child() {
    let Ok(file) = std::env::var(FILE) else { return };
    let edges: Vec<f64> = std::env::var(CROP).unwrap().split(',').filter_map(|edge| edge.parse().ok()).collect();
    let options = ReadOptions { crop_to: edges.try_into().ok(), ..ReadOptions::default() };
    let before = peak().unwrap();
    let read = read_ground_with(Path::new(&file), &options, &Effort { threads: 2, ..Effort::PLAIN });
    println!("\npeak {} {}", peak().unwrap() - before, if read.is_ok() { "read" } else { "refused" });
}

/// By how much reading a file raised the peak of a process, and what came of it; `None` where no system tells.
fn raised(file: &Path, crop: &str) -> Option<(u64, String)> {
    if peak().is_none() {
        eprintln!("skipped: this system does not tell the most memory of a process");
        return None;
    }
    let mut child = Command::new(std::env::current_exe().unwrap());
    let out = child.args(["--exact", "child", "--nocapture"]).env(FILE, file).env(CROP, crop).output().unwrap();
    let text = String::from_utf8(out.stdout).unwrap();
    let mut words = text.lines().find_map(|line| line.strip_prefix("peak ")).expect("an answer").split(' ');
    Some((words.next().unwrap().parse().unwrap(), words.next().unwrap().to_string()))
}

/// A plain TIFF of 32-bit levels in one strip, or in strips of so many rows; `data` is what follows its tables.
fn tiff(side: u32, rows_per_strip: u32, data: &[u8]) -> Vec<u8> {
    let strips = side.div_ceil(rows_per_strip);
    let tables = 8 + 2 + 10 * 12 + 4;
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    let (scale, tie, start) = (tables + 8 * strips, tables + 8 * strips + 24, tables + 8 * strips + 72);
    let places = if strips == 1 { start } else { tables };
    let strip_bytes = rows_per_strip.wrapping_mul(side).wrapping_mul(4);
    let lengths = if strips == 1 { data.len() as u32 } else { tables + 4 * strips };
    let mut bytes = [&b"II*\0"[..], &[8, 0, 0, 0, 10, 0]].concat();
    for (tag, kind, count, value) in [(256, 4, 1, side), (257, 4, 1, side), (258, 3, 1, 32)] {
        bytes.extend(entry(tag, kind, count, value));
    }
    bytes.extend(entry(259, 3, 1, if strips == 1 { 8 } else { 1 }));
    bytes.extend(
        [entry(273, 4, strips, places), entry(278, 4, 1, rows_per_strip), entry(279, 4, strips, lengths)].concat(),
    );
    bytes.extend([entry(339, 3, 1, 3), entry(33550, 12, 3, scale), entry(33922, 12, 6, tie), vec![0; 4]].concat());
    bytes.extend((0..strips).flat_map(|strip| (start + strip * strip_bytes).to_le_bytes()));
    bytes.extend((0..strips).flat_map(|_| strip_bytes.to_le_bytes()));
    let doubles = [1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, f64::from(side), 0.0];
    bytes.extend(doubles.iter().flat_map(|v| v.to_le_bytes()));
    bytes.extend(data);
    bytes
}

#[test]
fn a_part_of_a_large_grid_takes_the_memory_of_the_part() {
    let folder = tempfile::tempdir().unwrap();
    let (tif, asc) = (folder.path().join("large.tif"), folder.path().join("large.asc"));
    // 16 million cells, 64 MB, made row by row.
    let side = 4_000u32;
    let row: Vec<u8> = (0..side).flat_map(|col| (100.0 + col as f32 / 64.0).to_le_bytes()).collect();
    let mut file = BufWriter::new(std::fs::File::create(&tif).unwrap());
    file.write_all(&tiff(side, 40, &[])).unwrap();
    (0..side).for_each(|_| file.write_all(&row).unwrap());
    file.flush().unwrap();
    let row = (0..side).map(|col| (100 + col % 7).to_string()).collect::<Vec<_>>().join(" ");
    let mut file = BufWriter::new(std::fs::File::create(&asc).unwrap());
    write!(file, "ncols {side}\nnrows 1000\nxllcorner 0\nyllcorner 0\ncellsize 1\n").unwrap();
    (0..1_000).for_each(|_| writeln!(file, "{row}").unwrap());
    file.flush().unwrap();
    for (file, crop) in [(&tif, "1000,2500,1499,2999"), (&asc, "1000,250,1499,749")] {
        let Some((raised, what)) = raised(file, crop) else { return };
        assert_eq!(what, "read");
        assert!(raised < 502 * 502 * 4 + BESIDE, "{} took {raised} bytes", file.display());
    }
}

#[test]
fn headers_that_announce_too_much_take_no_memory() {
    let folder = tempfile::tempdir().unwrap();
    let text =
        |cols: u64, rows: u64| format!("ncols {cols}\nnrows {rows}\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n");
    for (name, bytes) in [
        // One strip of 400 MB said to be packed in 100 bytes.
        ("packed.tif", tiff(10_000, 10_000, &[0; 100])),
        // A table of a thousand million strips that is not there.
        ("table.tif", tiff(1_000_000, 1_000_000, &[0; 100])),
        ("wide.asc", text(9_999, 9_999).into_bytes()),
        ("wider.asc", text(4_000_000_000, 1).into_bytes()),
        // A word without an end.
        ("word.asc", [text(3, 3).into_bytes(), vec![b'7'; 4 << 20]].concat()),
    ] {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        let Some((raised, what)) = raised(&path, "") else { return };
        assert_eq!(what, "refused", "{name}");
        assert!(raised < BESIDE, "{name} took {raised} bytes");
    }
}

/// A deflate stream that would fill 256 MB under a header that announces 4 MB.
#[test]
fn a_bomb_bursts_in_a_small_room() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bomb.tif");
    let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
    (0..256).for_each(|_| packer.write_all(&[0; 1 << 20]).unwrap());
    std::fs::write(&path, tiff(1_000, 1_000, &packer.finish().unwrap())).unwrap();
    let Some((raised, what)) = raised(&path, "") else { return };
    assert_eq!(what, "refused");
    assert!(raised < 4_000_000 + BESIDE, "{raised} bytes");
}
