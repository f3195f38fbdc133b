#![no_main]
//! Any bytes given to the readers of boundaries and lines, as degrees and as the ground's own numbers, and as contours.

#[path = "../caught.rs"]
mod caught;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    caught::leave_out();
    let crs = exchange::Crs::from_epsg(26915).ok();
    for ground in [false, true] {
        let _ = exchange::read_polygons(bytes, crs.as_ref(), ground);
        let _ = exchange::read_lines(bytes, crs.as_ref(), ground);
    }
    if let Ok(file) = exchange::VectorFile::from_geojson(bytes) {
        let _ = file.ground(&exchange::ReadOptions::default());
    }
});
