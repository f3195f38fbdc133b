#![no_main]
//! Any bytes given to the reader of KML, as boundary, lines and ground.

#[path = "../caught.rs"]
mod caught;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    caught::leave_out();
    if let Ok(file) = exchange::VectorFile::from_kml(bytes) {
        let crs = exchange::Crs::from_epsg(26915).ok();
        for ground in [false, true] {
            let _ = file.polygons(crs.as_ref(), ground);
            let _ = file.lines(crs.as_ref(), ground);
        }
        let _ = file.ground(&exchange::ReadOptions::default());
    }
});
