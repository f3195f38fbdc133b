#![no_main]
//! Any bytes given to the reader of what a field page handed back.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let _ = exchange::read_handed_back(bytes);
});
