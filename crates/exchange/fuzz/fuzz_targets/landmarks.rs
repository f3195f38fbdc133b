#![no_main]
//! Any bytes given to the reader of landmarks.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(file) = exchange::VectorFile::from_geojson(bytes) { let _ = file.landmarks(None, true); }
});
