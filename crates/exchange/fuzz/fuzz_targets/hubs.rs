#![no_main]
//! Any bytes given to the reader of hubs.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let _ = exchange::read_hubs(bytes, measure::Units::Feet);
});
