#![no_main]
//! Any bytes given to the reader of weather by day.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let _ = exchange::read_weather(bytes);
});
