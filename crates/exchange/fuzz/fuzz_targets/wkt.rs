#![no_main]
//! Any text given as a coordinate system; one that is read turns places both ways without harm.

libfuzzer_sys::fuzz_target!(|text: &str| {
    for crs in [exchange::Crs::from_wkt(text), exchange::Crs::parse(text)].into_iter().flatten() {
        assert_eq!(exchange::Crs::parse(&crs.name()).ok().as_ref(), Some(&crs));
        for (lon, lat) in [(-93.6, 42.0), (15.8, 46.4), (0.0, 0.0), (179.9, -89.9)] {
            if let Ok(at) = crs.from_lon_lat(lon, lat) {
                let _ = crs.to_lon_lat(at);
                let _ = crs.fits(at);
            }
        }
    }
});
