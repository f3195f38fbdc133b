//! How the picture of a TIFF page is stored: its pieces (strips or tiles), their content and where they lie.

use std::ops::Range;

use crate::FileError;
use crate::tiff_file::{TiffFile, bad_tag, tag};

/// Cells a page may announce, whether they are wanted or not (own choice: a million times a million).
const MOST_ANNOUNCED: u64 = 1 << 40;
/// Longest row of a piece, bytes (own choice: 16 million levels).
const MOST_ROW_BYTES: u64 = 64 << 20;

/// How stored pieces are packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Codec {
    Plain,
    Lzw,
    Deflate,
    PackBits,
}

impl Codec {
    /// The codec of a number; those that are not read are refused by name.
    fn of(code: u64) -> Result<Self, FileError> {
        let name = match code {
            1 => return Ok(Self::Plain),
            5 => return Ok(Self::Lzw),
            8 | 32946 => return Ok(Self::Deflate),
            32773 => return Ok(Self::PackBits),
            2..=4 => "fax",
            6 | 7 => "JPEG",
            34712 => "JPEG 2000",
            34887 => "LERC",
            34925 => "LZMA",
            50000 => "Zstandard",
            50001 => "WebP",
            50002 => "JPEG XL",
            _ => "unknown",
        };
        Err(FileError::unsupported(format!("{name} compression ({code})"), "none, LZW, deflate or PackBits"))
    }

    /// How many times larger than its stored bytes a piece can be: deflate's longest match takes two bits, a PackBits run
    /// two bytes, an LZW string of at most 3,839 bytes 12 bits. Keeps a small file from asking for a large memory.
    fn most_ratio(self) -> u64 {
        match self {
            Self::Plain => 1,
            Self::PackBits => 64,
            Self::Deflate => 1_032,
            Self::Lzw => 2_560,
        }
    }
}

/// What was done to the samples of a row before packing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Predictor {
    /// Nothing.
    None,
    /// Each sample less the one before it (TIFF 6.0, section 14).
    Horizontal,
    /// The same with the bytes of floating-point numbers, sorted by place (TIFF technical note 3).
    Floating,
}

/// What a stored number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Format {
    Unsigned,
    Signed,
    Float,
}

/// Where a piece lies in the file; no length where it was never written.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stored {
    pub at: u64,
    pub length: u64,
}

/// How the picture of one page is stored.
#[derive(Debug)]
pub(crate) struct Layout {
    page: usize,
    pub width: usize,
    pub height: usize,
    pub samples: usize,
    pub bits: usize,
    pub format: Format,
    /// Samples of a cell side by side in a piece: 1 where each band is stored on its own.
    pub step: usize,
    pub codec: Codec,
    pub predictor: Predictor,
    /// Whether the bits of every stored byte are reversed.
    pub reversed: bool,
    /// Width and height of a piece.
    pub piece: (usize, usize),
    tiled: bool,
}

impl Layout {
    /// Reads and checks how a page is stored.
    pub fn read(file: &TiffFile, page: usize) -> Result<Self, FileError> {
        let (width, height) = dimensions(file, page)?;
        let codec = Codec::of(file.one(page, tag::COMPRESSION, 1)?)?;
        let samples = file.one(page, tag::SAMPLES, 1)?;
        if !(1..=64).contains(&samples) {
            return Err(bad_tag(tag::SAMPLES, format!("{samples} bands"), "1 to 64 bands"));
        }
        let planar = file.one(page, tag::PLANAR, 1)? == 2 && samples > 1;
        let bits = sample_bits(file, page, planar)?;
        let format = sample_format(file.one(page, tag::SAMPLE_FORMAT, 1)?)?;
        let tiled = file.count(page, tag::TILE_OFFSETS) > 0;
        let piece = if tiled { tile_size(file, page)? } else { strip_size(file, page, width, height)? };
        let layout = Self {
            page,
            width: width as usize,
            height: height as usize,
            samples: samples as usize,
            bits: bits as usize,
            format,
            step: if planar { 1 } else { samples as usize },
            codec,
            predictor: predictor(file, page, codec, bits, format)?,
            reversed: file.one(page, tag::FILL_ORDER, 1)? == 2,
            piece,
            tiled,
        };
        if layout.row_bytes() as u64 > MOST_ROW_BYTES {
            return Err(FileError::too_large(format!("rows of {} bytes", layout.row_bytes()), "64 MiB a row"));
        }
        layout.check_count(file, planar)?;
        Ok(layout)
    }

    /// Pieces side by side.
    fn across(&self) -> usize {
        self.width.div_ceil(self.piece.0)
    }

    /// The tags of places and of lengths.
    fn tags(&self) -> (u16, u16) {
        if self.tiled { (tag::TILE_OFFSETS, tag::TILE_COUNTS) } else { (tag::STRIP_OFFSETS, tag::STRIP_COUNTS) }
    }

    /// Both tables must list every piece.
    fn check_count(&self, file: &TiffFile, planar: bool) -> Result<(), FileError> {
        let bands = if planar { self.samples } else { 1 };
        let due = self.across() as u64 * self.height.div_ceil(self.piece.1) as u64 * bands as u64;
        let (at, of) = self.tags();
        for tag in [at, of] {
            let count = file.count(self.page, tag);
            if count != due {
                return Err(bad_tag(tag, format!("{count} pieces"), &format!("{due} pieces")));
            }
        }
        Ok(())
    }

    /// Bytes of a row of a piece.
    pub fn row_bytes(&self) -> usize {
        (self.piece.0 * self.step * self.bits).div_ceil(8)
    }

    /// Rows that the pieces of a row of pieces hold: those of a last strip end with the picture, tiles are whole.
    pub fn content_rows(&self, down: usize) -> usize {
        if self.tiled { self.piece.1 } else { self.piece.1.min(self.height - down * self.piece.1) }
    }

    /// Where the first band's pieces of some columns and rows of pieces lie, row by row.
    pub fn stored(
        &self,
        file: &TiffFile,
        across: Range<usize>,
        down: Range<usize>,
    ) -> Result<Vec<Stored>, FileError> {
        let (at, of) = self.tags();
        let mut all = Vec::with_capacity(across.len() * down.len());
        for down in down {
            let first = (down * self.across() + across.start) as u64;
            let part = |tag| file.unsigned_part(self.page, tag, first, across.len() as u64);
            let (offsets, lengths) = (part(at)?.unwrap_or_default(), part(of)?.unwrap_or_default());
            for (k, (at, length)) in offsets.into_iter().zip(lengths).enumerate() {
                let stored = Stored { at, length };
                self.check_piece(file, first + k as u64, down, stored)?;
                all.push(stored);
            }
        }
        Ok(all)
    }

    /// A piece must lie inside the file and be long enough for its content.
    fn check_piece(&self, file: &TiffFile, piece: u64, down: usize, stored: Stored) -> Result<(), FileError> {
        let Stored { at, length } = stored;
        let (places, lengths) = self.tags();
        // Only a piece that was never written has neither place nor length.
        if length == 0 && at > 0 {
            return Err(bad_tag(lengths, format!("0 bytes at byte {at}"), "the length of every stored piece"));
        }
        if length > 0 && at.checked_add(length).is_none_or(|end| end > file.source().length()) {
            return Err(bad_tag(
                places,
                format!("{length} bytes at byte {at}, past the end"),
                "pieces inside the file",
            ));
        }
        let content = self.row_bytes() as u64 * self.content_rows(down) as u64;
        if length > 0 && length < content / self.codec.most_ratio() {
            let found = format!("{length} bytes for {content} bytes of content");
            return Err(FileError::malformed(format!("piece {}", piece + 1), found, "enough stored bytes"));
        }
        Ok(())
    }
}

fn dimensions(file: &TiffFile, page: usize) -> Result<(u64, u64), FileError> {
    let side = |tag| match file.one(page, tag, 0)? {
        0 => Err(bad_tag(tag, "0", "at least 1")),
        side => Ok(side),
    };
    let (width, height) = (side(tag::WIDTH)?, side(tag::HEIGHT)?);
    if width.saturating_mul(height) > MOST_ANNOUNCED {
        return Err(FileError::too_large(format!("{width} × {height} cells"), format!("{MOST_ANNOUNCED} cells")));
    }
    Ok((width, height))
}

/// Bits of a sample, the same for every band that stands beside the first.
fn sample_bits(file: &TiffFile, page: usize, planar: bool) -> Result<u64, FileError> {
    let all = file.unsigned(page, tag::BITS)?.unwrap_or_default();
    let bits = all.first().copied().unwrap_or(1);
    if !planar && all.iter().any(|other| *other != bits) {
        return Err(FileError::unsupported("bands of unlike bits", "bands of one kind"));
    }
    match bits {
        1 | 8 | 16 | 32 | 64 => Ok(bits),
        _ => Err(FileError::unsupported(format!("samples of {bits} bits"), "8, 16, 32 or 64 bits")),
    }
}

/// Refuses what is no plain number.
fn sample_format(code: u64) -> Result<Format, FileError> {
    match code {
        1 | 4 => Ok(Format::Unsigned),
        2 => Ok(Format::Signed),
        3 => Ok(Format::Float),
        5 | 6 => Err(FileError::unsupported("complex numbers", "elevations, which are single numbers")),
        other => Err(bad_tag(tag::SAMPLE_FORMAT, other.to_string(), "1, 2 or 3 (unsigned, signed, floating point)")),
    }
}

/// The predictor counts only where the codec knows one (TIFF 6.0, section 14).
fn predictor(file: &TiffFile, page: usize, codec: Codec, bits: u64, format: Format) -> Result<Predictor, FileError> {
    if !matches!(codec, Codec::Lzw | Codec::Deflate) {
        return Ok(Predictor::None);
    }
    match file.one(page, tag::PREDICTOR, 1)? {
        1 => Ok(Predictor::None),
        2 if bits >= 8 => Ok(Predictor::Horizontal),
        3 if bits >= 16 && format == Format::Float => Ok(Predictor::Floating),
        other => Err(bad_tag(tag::PREDICTOR, format!("predictor {other}"), "a predictor that fits the samples")),
    }
}

fn tile_size(file: &TiffFile, page: usize) -> Result<(usize, usize), FileError> {
    let side = |tag| -> Result<usize, FileError> {
        let side = file.one(page, tag, 0)?;
        if side == 0 || side % 16 != 0 || side > 1 << 20 {
            return Err(bad_tag(tag, format!("tiles {side} cells wide or high"), "a multiple of 16"));
        }
        Ok(side as usize)
    };
    Ok((side(tag::TILE_WIDTH)?, side(tag::TILE_HEIGHT)?))
}

fn strip_size(file: &TiffFile, page: usize, width: u64, height: u64) -> Result<(usize, usize), FileError> {
    match file.one(page, tag::ROWS_PER_STRIP, height)? {
        0 => Err(bad_tag(tag::ROWS_PER_STRIP, "0 rows a strip", "at least 1")),
        rows => Ok((width as usize, rows.min(height) as usize)),
    }
}
