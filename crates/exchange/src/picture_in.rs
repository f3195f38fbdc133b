//! Pictures to lie under a plan: GeoTIFF, JPEG and PNG, with the place that they or a world file beside them state. Large ones
//! are reduced while they are read, each pixel the mean of those that it stands for.

use std::io::Cursor;
use std::path::Path;

use measure::LengthUnit;
use plan::Placing;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use crate::geokeys::read_keys;
use crate::ground::{Beside, Stated, beside, read_bytes};
use crate::source::{FileSource, Source};
use crate::tiff_file::{TiffFile, tag};
use crate::tiff_layout::Layout;
use crate::tiff_piece::Unpacker;
use crate::watch::Effort;
use crate::world_file::world_file;
use crate::{Crs, FileError, geotiff, prj};

/// Pixels of a picture that is read at most (own choice: a square of 14,000; a JPEG is held whole while it is read).
const MOST_PIXELS: u64 = 200_000_000;
/// Endings of world files, which lie beside pictures and grids of the same name.
pub const WORLD_ENDINGS: [&str; 8] = ["jgw", "jpgw", "jpegw", "pgw", "pngw", "tfw", "tifw", "wld"];
/// What is read, told where something else is found.
const READ: &str = "a GeoTIFF in color or gray, a JPEG or a PNG";

/// What a picture says of itself before its pixels are read.
#[derive(Debug, Clone, PartialEq)]
pub struct PictureHead {
    /// Columns and rows.
    pub size: (usize, usize),
    /// Where its pixels lie, in the numbers of its system; `None` where nothing says so.
    pub placing: Option<Placing>,
    /// Its coordinate system; `None` where nothing names one.
    pub crs: Option<Crs>,
    /// The unit of its numbers, where it is stated without a system.
    pub unit: Option<LengthUnit>,
}

/// The pixels of a picture, reduced: one for `step` by `step` of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Pixels {
    /// Columns and rows.
    pub size: (usize, usize),
    /// Columns and rows of the picture that make one of these.
    pub step: usize,
    /// Red, green, blue and opacity of each, row by row from the top.
    pub rgba: Vec<u8>,
}

enum Format {
    Tiff,
    Jpeg,
    Png,
}

fn format_of(head: &[u8]) -> Result<Format, FileError> {
    let tiff = [&b"II*\0"[..], b"MM\0*", b"II+\0", b"MM\0+"].iter().any(|magic| head.starts_with(magic));
    match () {
        () if tiff => Ok(Format::Tiff),
        () if head.starts_with(b"\xff\xd8\xff") => Ok(Format::Jpeg),
        () if head.starts_with(b"\x89PNG") => Ok(Format::Png),
        () => Err(FileError::unsupported("a file of another kind", READ)),
    }
}

fn format_of_file(source: &FileSource) -> Result<Format, FileError> {
    format_of(&source.part(0, source.length().min(8))?.unwrap_or_default())
}

/// True for a file that is a picture and no ground: JPEG, PNG, or a TIFF with colors.
pub fn is_picture(path: &Path) -> bool {
    let Ok(source) = FileSource::open(path) else { return false };
    match format_of_file(&source) {
        Ok(Format::Tiff) => TiffFile::open(&source).is_ok_and(|file| {
            file.one(0, tag::PHOTOMETRIC, 1).is_ok_and(|photometric| photometric > 1)
                || file.one(0, tag::SAMPLES, 1).is_ok_and(|samples| samples >= 3)
        }),
        Ok(Format::Jpeg | Format::Png) => true,
        Err(_) => false,
    }
}

/// What a picture says of itself, and a world file and a system file beside it.
pub fn look_at_picture(path: &Path) -> Result<PictureHead, FileError> {
    let source = FileSource::open(path)?;
    let world = beside(path, &WORLD_ENDINGS);
    let prj = beside(path, &["prj"]);
    let mut stated = Stated::default();
    let (size, own) = match format_of_file(&source)? {
        Format::Tiff => tiff_head(&source, &mut stated)?,
        Format::Jpeg => (jpeg_size(&read_bytes(path)?)?, None),
        Format::Png => (png_size(&read_bytes(path)?)?, None),
    };
    within(size)?;
    stated.take_prj(&Beside { world: None, prj: prj.clone() });
    let placing = own.map(Ok).or_else(|| world.as_deref().map(world_file)).transpose()?;
    let unit = stated.linear.or_else(|| prj.as_deref().and_then(prj::unit_of));
    Ok(PictureHead { size, placing, crs: stated.crs, unit })
}

/// Reads the pixels of a picture, reduced so that no side is longer than `longest`.
pub fn read_picture(path: &Path, longest: usize, effort: &Effort) -> Result<Pixels, FileError> {
    let source = FileSource::open(path)?;
    match format_of_file(&source)? {
        Format::Tiff => read_tiff(&source, longest, effort),
        Format::Jpeg | Format::Png => read_picture_bytes(&read_bytes(path)?, longest, effort),
    }
}

/// The same of the bytes of a file.
pub fn read_picture_bytes(bytes: &[u8], longest: usize, effort: &Effort) -> Result<Pixels, FileError> {
    match format_of(bytes)? {
        Format::Tiff => read_tiff(&bytes, longest, effort),
        Format::Jpeg => read_jpeg(bytes, longest, effort),
        Format::Png => read_png(bytes, longest, effort),
    }
}

fn within((width, height): (usize, usize)) -> Result<(), FileError> {
    let pixels = width as u64 * height as u64;
    match pixels {
        0 => Err(FileError::malformed("the picture", format!("{width} × {height} pixels"), "at least one")),
        _ if pixels > MOST_PIXELS => {
            Err(FileError::too_large(format!("{width} × {height} pixels"), format!("{MOST_PIXELS} pixels")))
        }
        _ => Ok(()),
    }
}

/// Takes rows of a picture and keeps the means of squares of its pixels.
struct Reducer {
    step: usize,
    size: (usize, usize),
    /// Sums of red, green, blue, and of opacity, over the square in hand; colors count by their opacity.
    sums: Vec<[u64; 4]>,
    rows: usize,
    rgba: Vec<u8>,
}

impl Reducer {
    fn new(full: (usize, usize), longest: usize) -> Result<Self, FileError> {
        within(full)?;
        let step = full.0.max(full.1).div_ceil(longest.max(1));
        let size = (full.0.div_ceil(step), full.1.div_ceil(step));
        Ok(Self { step, size, sums: vec![[0; 4]; size.0], rows: 0, rgba: Vec::with_capacity(4 * size.0 * size.1) })
    }

    /// Takes the next row, whose pixels `pixel` tells by column.
    fn row(&mut self, width: usize, pixel: impl Fn(usize) -> [u8; 4]) {
        for col in 0..width {
            let [r, g, b, a] = pixel(col).map(u64::from);
            let sums = &mut self.sums[col / self.step];
            for (sum, value) in sums.iter_mut().zip([r * a, g * a, b * a, a]) {
                *sum += value;
            }
        }
        self.rows += 1;
        if self.rows == self.step {
            self.put(width);
        }
    }

    fn put(&mut self, width: usize) {
        for (i, sums) in self.sums.iter_mut().enumerate() {
            let count = (self.step.min(width - i * self.step) * self.rows) as u64;
            let [r, g, b, a] = std::mem::take(sums);
            let color = |sum: u64| (sum + a / 2).checked_div(a).unwrap_or(0) as u8;
            self.rgba.extend([color(r), color(g), color(b), ((a + count / 2) / count) as u8]);
        }
        self.rows = 0;
    }

    fn finish(mut self, width: usize) -> Pixels {
        if self.rows > 0 {
            self.put(width);
        }
        Pixels { size: self.size, step: self.step, rgba: self.rgba }
    }
}

fn damaged(kind: &str, why: impl std::fmt::Display) -> FileError {
    FileError::malformed(format!("the {kind}"), format!("damaged data ({why})"), "a sound picture")
}

/// As wide and high as a JPEG can be; one that is cut short is an error, not a gray rest.
fn jpeg(bytes: &[u8]) -> JpegDecoder<ZCursor<&[u8]>> {
    const LONGEST_SIDE: usize = u16::MAX as usize;
    let options = DecoderOptions::default().set_max_width(LONGEST_SIDE).set_max_height(LONGEST_SIDE);
    let options = options.set_strict_mode(true).jpeg_set_out_colorspace(ColorSpace::RGB);
    JpegDecoder::new_with_options(ZCursor::new(bytes), options)
}

fn jpeg_size(bytes: &[u8]) -> Result<(usize, usize), FileError> {
    let mut decoder = jpeg(bytes);
    decoder.decode_headers().map_err(|why| damaged("JPEG", why))?;
    decoder.dimensions().ok_or_else(|| damaged("JPEG", "no size"))
}

fn read_jpeg(bytes: &[u8], longest: usize, effort: &Effort) -> Result<Pixels, FileError> {
    let size = jpeg_size(bytes)?;
    let mut reducer = Reducer::new(size, longest)?;
    effort.at(0.0)?;
    let rgb = jpeg(bytes).decode().map_err(|why| damaged("JPEG", why))?;
    if rgb.len() != 3 * size.0 * size.1 {
        return Err(damaged("JPEG", format!("{} bytes for {} × {} pixels", rgb.len(), size.0, size.1)));
    }
    for (number, row) in rgb.chunks_exact(3 * size.0).enumerate() {
        reducer.row(size.0, |col| [row[3 * col], row[3 * col + 1], row[3 * col + 2], 255]);
        effort.at(number as f64 / size.1 as f64)?;
    }
    Ok(reducer.finish(size.0))
}

type PngReader<'a> = png::Reader<Cursor<&'a [u8]>>;

fn open_png(bytes: &[u8]) -> Result<PngReader<'_>, FileError> {
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    decoder.read_info().map_err(|why| damaged("PNG", why))
}

fn png_size(bytes: &[u8]) -> Result<(usize, usize), FileError> {
    let reader = open_png(bytes)?;
    Ok((reader.info().width as usize, reader.info().height as usize))
}

fn read_png(bytes: &[u8], longest: usize, effort: &Effort) -> Result<Pixels, FileError> {
    let mut reader = open_png(bytes)?;
    let (width, height) = (reader.info().width as usize, reader.info().height as usize);
    let mut reducer = Reducer::new((width, height), longest)?;
    if reader.info().interlaced {
        return Err(FileError::unsupported("an interlaced PNG", "one whose rows follow each other; save it without"));
    }
    let samples = reader.output_color_type().0.samples();
    for number in 0..height {
        let row = reader.next_row().map_err(|why| damaged("PNG", why))?;
        let row = row.ok_or_else(|| damaged("PNG", "too few rows"))?;
        let row = row.data();
        if row.len() < samples * width {
            return Err(damaged("PNG", "a short row"));
        }
        reducer.row(width, |col| pixel_of(&row[samples * col..samples * (col + 1)]));
        effort.at(number as f64 / height as f64)?;
    }
    Ok(reducer.finish(width))
}

/// A pixel of gray, gray and opacity, color, or color and opacity.
fn pixel_of(samples: &[u8]) -> [u8; 4] {
    match *samples {
        [gray] => [gray, gray, gray, 255],
        [gray, opacity] => [gray, gray, gray, opacity],
        [r, g, b] => [r, g, b, 255],
        [r, g, b, opacity, ..] => [r, g, b, opacity],
        [] => [0; 4],
    }
}

fn tiff_head(source: &dyn Source, stated: &mut Stated) -> Result<((usize, usize), Option<Placing>), FileError> {
    let file = TiffFile::open(source)?;
    let layout = Layout::read(&file, 0)?;
    let keys = read_keys(&file, stated)?;
    let placing = geotiff::picture_place(&file, keys.is_point(), stated)?;
    Ok(((layout.width, layout.height), placing))
}

/// How the samples of a TIFF are colors (TIFF 6.0, sections 3 to 6).
enum Coloring {
    /// Gray or color as stored, with opacity where there are so many samples.
    Plain { samples: usize, white_is_zero: bool },
    /// Numbers of a table of colors.
    Table(Vec<[u8; 3]>),
}

impl Coloring {
    fn of(file: &TiffFile, layout: &Layout) -> Result<Self, FileError> {
        let photometric = file.one(0, tag::PHOTOMETRIC, 1)?;
        if layout.step != layout.samples {
            return Err(FileError::unsupported("bands that are stored apart", "pixels stored together (contiguous)"));
        }
        if !matches!(layout.bits, 8 | 16) {
            return Err(FileError::unsupported(format!("samples of {} bits", layout.bits), "8 or 16 bits"));
        }
        // A further sample may be another band, infrared say, and is opacity only where it says so.
        let clear = usize::from(matches!(file.one(0, tag::EXTRA_SAMPLES, 0)?, 1 | 2));
        let samples = |colors: usize| layout.samples.min(colors + clear);
        match photometric {
            0 | 1 => Ok(Self::Plain { samples: samples(1), white_is_zero: photometric == 0 }),
            2 if layout.samples >= 3 => Ok(Self::Plain { samples: samples(3), white_is_zero: false }),
            3 => Ok(Self::Table(colors(file)?)),
            other => Err(FileError::unsupported(format!("colors of kind {other}"), "gray, RGB or a table of colors")),
        }
    }

    fn pixel(&self, samples: &[u8]) -> [u8; 4] {
        match self {
            Self::Plain { samples: count, white_is_zero } => {
                let [r, g, b, a] = pixel_of(&samples[..(*count).min(samples.len())]);
                if *white_is_zero { [255 - r, 255 - g, 255 - b, a] } else { [r, g, b, a] }
            }
            Self::Table(colors) => {
                let [r, g, b] = colors.get(usize::from(samples[0])).copied().unwrap_or_default();
                [r, g, b, 255]
            }
        }
    }
}

/// The table of colors: all reds, all greens, all blues, 16 bits each.
fn colors(file: &TiffFile) -> Result<Vec<[u8; 3]>, FileError> {
    let all = file.unsigned(0, tag::COLOR_MAP)?.unwrap_or_default();
    let count = all.len() / 3;
    if count == 0 {
        return Err(FileError::malformed(format!("tag {}", tag::COLOR_MAP), "nothing", "a table of colors"));
    }
    let high = |value: u64| (value >> 8) as u8;
    Ok((0..count).map(|i| [all[i], all[count + i], all[2 * count + i]].map(high)).collect())
}

fn read_tiff(source: &dyn Source, longest: usize, effort: &Effort) -> Result<Pixels, FileError> {
    let file = TiffFile::open(source)?;
    let layout = Layout::read(&file, 0)?;
    let coloring = Coloring::of(&file, &layout)?;
    let (width, height) = (layout.width, layout.height);
    let mut reducer = Reducer::new((width, height), longest)?;
    let across = width.div_ceil(layout.piece.0);
    let mut unpacker = Unpacker::new(source, &layout, file.big_endian);
    for down in 0..height.div_ceil(layout.piece.1) {
        let rows = layout.content_rows(down);
        if rows.saturating_mul(width) as u64 > MOST_PIXELS {
            return Err(FileError::too_large(format!("pieces {rows} rows high"), format!("{MOST_PIXELS} pixels")));
        }
        let mut band = vec![[0u8; 4]; rows * width];
        for (k, piece) in layout.stored(&file, 0..across, down..down + 1)?.into_iter().enumerate() {
            // A piece that was never written stays clear.
            if piece.length > 0 {
                let first = k * layout.piece.0;
                let columns = layout.piece.0.min(width - first);
                let put = |row: usize, bytes: &[u8]| {
                    let into = &mut band[row * width + first..][..columns];
                    pixels_of_row(bytes, &layout, file.big_endian, &coloring, into);
                };
                unpacker.rows(piece, rows, put, |_| Ok(()))?;
            }
        }
        let real = rows.min(height - down * layout.piece.1);
        for row in band.chunks_exact(width).take(real) {
            reducer.row(width, |col| row[col]);
        }
        effort.at(((down * layout.piece.1 + real) as f64) / height as f64)?;
    }
    Ok(reducer.finish(width))
}

/// The pixels of a row of a piece; of 16 bits the higher eight.
fn pixels_of_row(bytes: &[u8], layout: &Layout, big_endian: bool, coloring: &Coloring, into: &mut [[u8; 4]]) {
    let (wide, high) = (layout.bits / 8, if big_endian { 0 } else { layout.bits / 8 - 1 });
    let mut samples = vec![0u8; layout.samples];
    for (col, pixel) in into.iter_mut().enumerate() {
        let from = &bytes[col * layout.samples * wide..];
        samples.iter_mut().enumerate().for_each(|(k, sample)| *sample = from[k * wide + high]);
        *pixel = coloring.pixel(&samples);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiff::encoder::{TiffEncoder, colortype};

    /// A picture of 9 × 5 pixels: red grows to the right, green downward.
    fn rgb() -> Vec<u8> {
        (0..45u8).flat_map(|i| [(i % 9) * 20, (i / 9) * 40, 7]).collect()
    }

    fn as_png(samples: &[u8], color: png::ColorType) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, 9, 5);
        encoder.set_color(color);
        encoder.write_header().unwrap().write_image_data(samples).unwrap();
        bytes
    }

    fn as_tiff() -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        TiffEncoder::new(&mut bytes).unwrap().write_image::<colortype::RGB8>(9, 5, &rgb()).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn a_png_and_a_tiff_give_the_same_pixels() {
        let png = read_picture_bytes(&as_png(&rgb(), png::ColorType::Rgb), 100, &Effort::PLAIN).unwrap();
        assert_eq!((png.size, png.step), ((9, 5), 1));
        assert_eq!(png.rgba[4 * (2 * 9 + 3)..][..4], [60, 80, 7, 255]);
        assert_eq!(read_picture_bytes(&as_tiff(), 100, &Effort::PLAIN).unwrap(), png);
    }

    /// Each pixel of a reduced picture is the mean of those that it stands for; the last ones stand for fewer.
    #[test]
    fn a_large_picture_is_reduced_to_means() {
        let small = read_picture_bytes(&as_tiff(), 5, &Effort::PLAIN).unwrap();
        assert_eq!((small.size, small.step), ((5, 3), 2));
        assert_eq!(small.rgba[..4], [10, 20, 7, 255]);
        assert_eq!(small.rgba[4 * 14..], [160, 160, 7, 255]);
    }

    /// What is clear has no color of its own in a mean.
    #[test]
    fn clear_pixels_do_not_darken_their_neighbors() {
        let rgba: Vec<u8> =
            (0..45).flat_map(|i| if i % 2 == 0 { [200, 100, 50, 255] } else { [0, 0, 0, 0] }).collect();
        let small = read_picture_bytes(&as_png(&rgba, png::ColorType::Rgba), 5, &Effort::PLAIN).unwrap();
        assert_eq!(small.rgba[..4], [200, 100, 50, 128]);
    }

    #[test]
    fn damage_is_told() {
        let whole = as_png(&rgb(), png::ColorType::Rgb);
        for bytes in [&whole[..whole.len() / 2], b"\xff\xd8\xff\xe0 nothing", b"II*\0", b"GIF89a"] {
            assert!(read_picture_bytes(bytes, 100, &Effort::PLAIN).is_err());
        }
        let told = read_picture_bytes(b"GIF89a", 100, &Effort::PLAIN).unwrap_err().to_string();
        assert!(told.contains(READ), "{told}");
    }
}
