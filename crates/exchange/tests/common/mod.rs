//! A small GeoTIFF of the tests' own making.

use std::io::Cursor;

use tiff::encoder::{Compression, TiffEncoder, colortype::Gray32Float};
use tiff::tags::Tag;

/// A grid of 8 × 6 cells of 3 units at 463439, 4756408, levels 260.00 upward, with these geokeys after the header.
pub fn geotiff(keys: &[[u16; 4]], compression: Compression) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut out).unwrap().with_compression(compression);
    let mut image = encoder.new_image::<Gray32Float>(8, 6).unwrap();
    let list: Vec<u16> = [1, 1, 0, keys.len() as u16].into_iter().chain(keys.iter().flatten().copied()).collect();
    let tags = image.encoder();
    tags.write_tag(Tag::Unknown(33550), &[3.0, 3.0, 0.0][..]).unwrap();
    tags.write_tag(Tag::Unknown(33922), &[0.0, 0.0, 0.0, 463_439.0, 4_756_408.0, 0.0][..]).unwrap();
    tags.write_tag(Tag::Unknown(34735), &list[..]).unwrap();
    let levels: Vec<f32> = (0..48).map(|i| 260.0 + i as f32 * 0.01).collect();
    image.write_data(&levels).unwrap();
    out.into_inner()
}
