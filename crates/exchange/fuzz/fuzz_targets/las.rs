#![no_main]
//! Any bytes given to the reader of point clouds that are not compressed: the compressed ones have their own target.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let options = exchange::ReadOptions { most_cells: 10_000, ..Default::default() };
    let _ = exchange::read_las(bytes, &options);
});
