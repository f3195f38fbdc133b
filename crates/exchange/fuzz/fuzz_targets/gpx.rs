#![no_main]
//! Any bytes given to the reader of GPX.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let _ = exchange::read_gpx(bytes, &exchange::ReadOptions::default());
});
