#![no_main]
//! Any bytes given to the reader: no panic, no runaway memory.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let options = exchange::ReadOptions { most_cells: 1_000_000, ..Default::default() };
    let _ = exchange::read_ascii_grid(bytes, &options);
});
