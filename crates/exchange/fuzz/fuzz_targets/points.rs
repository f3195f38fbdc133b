#![no_main]
//! Any bytes given to the reader of point tables and to its look ahead.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let _ = exchange::guess_columns(bytes);
    let _ = exchange::read_points(bytes, &exchange::ReadOptions::default());
});
