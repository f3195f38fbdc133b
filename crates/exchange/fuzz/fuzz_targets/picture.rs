#![no_main]
//! Any bytes given as a picture: no panic, no runaway memory; what is read has all its pixels.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(pixels) = exchange::read_picture_bytes(bytes, 64, &exchange::Effort::PLAIN) {
        assert_eq!(pixels.rgba.len(), 4 * pixels.size.0 * pixels.size.1);
    }
});
