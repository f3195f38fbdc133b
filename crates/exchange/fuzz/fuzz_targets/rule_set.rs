#![no_main]
//! Any bytes given to the reader of rule set.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let _ = exchange::read_rule_set(bytes, measure::Units::Feet);
});
