#![no_main]
//! Any bytes given to the reader of price list.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let _ = exchange::read_price_rows(bytes, measure::Units::Feet);
});
