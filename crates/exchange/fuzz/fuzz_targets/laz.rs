#![no_main]
//! Any bytes behind a sound beginning given to the reader of compressed point clouds.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let options = exchange::ReadOptions { most_cells: 10_000, ..Default::default() };
    let mut file = bytes.to_vec();
    // Without these few bytes nearly everything is refused before it comes to the chunks.
    if file.len() > 105 {
        file[..4].copy_from_slice(b"LASF");
        file[24] = 1;
        file[104] |= 0x80;
    }
    let _ = exchange::read_las(&file, &options);
});
