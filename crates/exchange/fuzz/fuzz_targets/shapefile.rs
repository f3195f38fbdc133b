#![no_main]
//! Any bytes given to the reader of shapefiles: the `.shp`, and the `.dbf` behind a mark.

#[path = "../caught.rs"]
mod caught;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    caught::leave_out();
    let cut = bytes.windows(4).position(|four| four == b"@dbf").unwrap_or(bytes.len());
    let table = bytes.get(cut + 4..);
    if let Ok(file) = exchange::VectorFile::from_shapefile(&bytes[..cut], table, None) {
        let crs = exchange::Crs::from_epsg(26915).ok();
        for ground in [false, true] {
            let _ = file.polygons(crs.as_ref(), ground);
            let _ = file.lines(crs.as_ref(), ground);
        }
        let _ = file.ground(&exchange::ReadOptions::default());
    }
});
