#![no_main]
//! Any text given to the reader of plan files; what it accepts is written and read again unchanged.

libfuzzer_sys::fuzz_target!(|text: &str| {
    if let Ok(plan) = exchange::plan_from_text(text) {
        let written = exchange::plan_text(&plan).expect("a plan that was read can be written");
        assert_eq!(exchange::plan_from_text(&written).ok(), Some(plan));
    }
});
