#![no_main]
//! Any text given as a world file: what is read has pixels with an area, and every place of it is a number.

libfuzzer_sys::fuzz_target!(|text: &str| {
    if let Ok(placing) = exchange::world_file(text) {
        assert!(placing.pixel_m2() > 0.0);
        assert!(placing.at(0.0, 0.0).is_finite());
    }
});
