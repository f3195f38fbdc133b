//! The bones of a TIFF file, read before anything is decoded: directories, tags and the table of stored pieces.
//!
//! Every number here is held against the length of the file, so that the decoder is only given what can be true.

use crate::FileError;

/// Directories (pages, overviews, masks) that are looked at.
const MOST_PAGES: usize = 64;
/// Entries of one directory that are looked at (the standard's tags number about 100).
const MOST_ENTRIES: u64 = 4096;
/// How much smaller than its content a stored piece may be: the codecs read here reach 1,032 (deflate) and about
/// 2,700 (LZW, 12-bit codes); the limit keeps a small file from asking for a large memory.
const MOST_RATIO: u64 = 4096;

/// Tag numbers (TIFF 6.0, section 8; GeoTIFF 1.1, annex; the last two are of common practice).
pub(crate) mod tag {
    pub const SUBFILE: u16 = 254;
    pub const WIDTH: u16 = 256;
    pub const HEIGHT: u16 = 257;
    pub const BITS: u16 = 258;
    pub const COMPRESSION: u16 = 259;
    pub const PHOTOMETRIC: u16 = 262;
    pub const STRIP_OFFSETS: u16 = 273;
    pub const SAMPLES: u16 = 277;
    pub const ROWS_PER_STRIP: u16 = 278;
    pub const STRIP_COUNTS: u16 = 279;
    pub const PLANAR: u16 = 284;
    pub const TILE_WIDTH: u16 = 322;
    pub const TILE_HEIGHT: u16 = 323;
    pub const TILE_OFFSETS: u16 = 324;
    pub const TILE_COUNTS: u16 = 325;
    pub const SAMPLE_FORMAT: u16 = 339;
    pub const PIXEL_SCALE: u16 = 33550;
    pub const TIE_POINTS: u16 = 33922;
    pub const TRANSFORMATION: u16 = 34264;
    pub const GEO_KEYS: u16 = 34735;
    pub const GEO_DOUBLES: u16 = 34736;
    pub const GEO_TEXT: u16 = 34737;
    pub const METADATA: u16 = 42112;
    pub const NODATA: u16 = 42113;
}

/// A TIFF file in memory.
pub(crate) struct TiffFile<'a> {
    pub bytes: &'a [u8],
    big_endian: bool,
    big_tiff: bool,
    /// Its directories, in file order.
    pub pages: Vec<Page>,
}

/// One directory.
pub(crate) struct Page {
    entries: Vec<Entry>,
}

#[derive(Clone, Copy)]
struct Entry {
    tag: u16,
    kind: u16,
    count: u64,
    at: u64,
}

fn cut() -> FileError {
    FileError::malformed("the header", "a file that ends too early", "a whole TIFF file")
}

fn bad_tag(tag: u16, found: impl Into<String>, expected: &str) -> FileError {
    FileError::malformed(format!("tag {tag}"), found, expected)
}

impl<'a> TiffFile<'a> {
    /// Reads header and directories.
    pub fn open(bytes: &'a [u8]) -> Result<Self, FileError> {
        let big_endian = match bytes.get(..2) {
            Some(b"II") => false,
            Some(b"MM") => true,
            _ => return Err(FileError::malformed("byte 1", "no TIFF mark", "'II' or 'MM', as every TIFF begins")),
        };
        let mut file = Self { bytes, big_endian, big_tiff: false, pages: Vec::new() };
        let first = match file.number(2, 2).ok_or_else(cut)? {
            42 => file.number(4, 4),
            43 if file.number(4, 4) == Some(if big_endian { 8 << 16 } else { 8 }) => {
                file.big_tiff = true;
                file.number(8, 8)
            }
            43 => return Err(FileError::malformed("byte 5", "no BigTIFF header", "offsets of 8 bytes")),
            other => return Err(FileError::malformed("byte 3", other.to_string(), "42, or 43 for BigTIFF")),
        };
        file.read_pages(first.ok_or_else(cut)?)?;
        Ok(file)
    }

    /// An unsigned number of `size` bytes at a place; `None` past the end.
    fn number(&self, at: u64, size: u64) -> Option<u64> {
        let start = usize::try_from(at).ok()?;
        let part = self.bytes.get(start..start.checked_add(size as usize)?)?;
        let join = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
        Some(if self.big_endian { part.iter().fold(0, join) } else { part.iter().rev().fold(0, join) })
    }

    fn read_pages(&mut self, first: u64) -> Result<(), FileError> {
        let (mut at, mut seen) = (first, Vec::new());
        while at != 0 && self.pages.len() < MOST_PAGES {
            if seen.contains(&at) {
                return Err(FileError::malformed(format!("byte {at}"), "directories in a ring", "a last directory"));
            }
            seen.push(at);
            let (page, next) = self.read_page(at)?;
            self.pages.push(page);
            at = next;
        }
        if self.pages.is_empty() {
            return Err(FileError::malformed("byte 5", "no directory", "at least one image"));
        }
        Ok(())
    }

    fn read_page(&self, at: u64) -> Result<(Page, u64), FileError> {
        let (count_size, entry_size, value_size) = if self.big_tiff { (8, 20, 8) } else { (2, 12, 4) };
        let past =
            || FileError::malformed(format!("byte {at}"), "a directory past the end of the file", "a directory");
        let count = self.number(at, count_size).ok_or_else(past)?;
        if count > MOST_ENTRIES {
            return Err(FileError::malformed(format!("byte {at}"), format!("{count} tags"), "at most 4096 tags"));
        }
        let mut entries: Vec<Entry> = Vec::new();
        for index in 0..count {
            let start = at + count_size + index * entry_size;
            let entry = self.read_entry(start, value_size).ok_or_else(past)?;
            // The decoder would take the last of two entries with one tag, other readers the first: refuse.
            let twice = entries.iter().find(|other| other.tag == entry.tag && entry.tag < 350);
            if twice.is_some() {
                return Err(bad_tag(entry.tag, "the tag twice in one directory", "each tag once"));
            }
            entries.push(entry);
        }
        let next = self.number(at + count_size + count * entry_size, value_size).unwrap_or(0);
        Ok((Page { entries }, next))
    }

    /// One entry, with the place of its values.
    fn read_entry(&self, at: u64, value_size: u64) -> Option<Entry> {
        let (tag, kind) = (self.number(at, 2)? as u16, self.number(at + 2, 2)? as u16);
        let count = self.number(at + 4, value_size)?;
        let inline = at + 4 + value_size;
        let fits = kind_size(kind).checked_mul(count).is_some_and(|length| length <= value_size);
        let at = if fits { inline } else { self.number(inline, value_size)? };
        Some(Entry { tag, kind, count, at })
    }

    fn entry(&self, page: usize, tag: u16) -> Option<Entry> {
        self.pages.get(page)?.entries.iter().find(|entry| entry.tag == tag).copied()
    }

    /// The whole unsigned numbers of a tag.
    pub fn unsigned(&self, page: usize, tag: u16) -> Result<Option<Vec<u64>>, FileError> {
        let Some(entry) = self.entry(page, tag) else { return Ok(None) };
        if !matches!(entry.kind, 1 | 3 | 4 | 13 | 16 | 18) {
            return Err(bad_tag(tag, format!("values of type {}", entry.kind), "whole numbers"));
        }
        self.values(entry, |at, size| self.number(at, size)).map(Some)
    }

    /// The first whole number of a tag, or what it is when absent.
    pub fn one(&self, page: usize, tag: u16, absent: u64) -> Result<u64, FileError> {
        Ok(self.unsigned(page, tag)?.and_then(|values| values.first().copied()).unwrap_or(absent))
    }

    /// The numbers of a tag of doubles (or floats).
    pub fn doubles(&self, page: usize, tag: u16) -> Result<Option<Vec<f64>>, FileError> {
        let Some(entry) = self.entry(page, tag) else { return Ok(None) };
        let read = |at, size| {
            let bits = self.number(at, size)?;
            Some(if size == 8 { f64::from_bits(bits) } else { f64::from(f32::from_bits(bits as u32)) })
        };
        if !matches!(entry.kind, 11 | 12) {
            return Err(bad_tag(tag, format!("values of type {}", entry.kind), "floating-point numbers"));
        }
        self.values(entry, read).map(Some)
    }

    /// The text of a tag, up to the first NUL.
    pub fn text(&self, page: usize, tag: u16) -> Option<String> {
        let entry = self.entry(page, tag).filter(|entry| matches!(entry.kind, 1 | 2 | 7))?;
        let start = usize::try_from(entry.at).ok()?;
        let end = start.checked_add(usize::try_from(entry.count).ok()?)?;
        let part = self.bytes.get(start..end)?.split(|byte| *byte == 0).next()?;
        Some(String::from_utf8_lossy(part).into_owned())
    }

    fn values<T>(&self, entry: Entry, read: impl Fn(u64, u64) -> Option<T>) -> Result<Vec<T>, FileError> {
        let size = kind_size(entry.kind);
        let end = entry.count.checked_mul(size).and_then(|length| length.checked_add(entry.at));
        if end.is_none_or(|end| end > self.bytes.len() as u64) {
            return Err(bad_tag(entry.tag, "values past the end of the file", "values inside the file"));
        }
        (0..entry.count).map(|i| read(entry.at + i * size, size).ok_or_else(cut)).collect()
    }

    /// The file with another value in a tag that holds one short number; `None` where it does not.
    pub fn with_short(&self, page: usize, tag: u16, value: u16) -> Option<Vec<u8>> {
        let entry = self.entry(page, tag).filter(|entry| entry.kind == 3 && entry.count == 1)?;
        let mut bytes = self.bytes.to_vec();
        let both = if self.big_endian { value.to_be_bytes() } else { value.to_le_bytes() };
        let start = usize::try_from(entry.at).ok()?;
        bytes.get_mut(start..start + 2)?.copy_from_slice(&both);
        Some(bytes)
    }
}

/// Bytes of one value of a TIFF type (TIFF 6.0, section 2, and BigTIFF's three).
fn kind_size(kind: u16) -> u64 {
    match kind {
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 | 16 | 17 | 18 => 8,
        _ => 1,
    }
}

/// How the picture of one page is stored.
#[derive(Debug)]
pub(crate) struct Layout {
    pub width: usize,
    pub height: usize,
    pub samples: usize,
    pub bits: u64,
    /// Whether each band is stored on its own.
    pub planar: bool,
    /// Width and height of a stored piece.
    pub piece: (usize, usize),
    /// Pieces side by side.
    pub across: usize,
    /// Where each piece of the first band begins in the file.
    pub offsets: Vec<u64>,
    /// Bytes each piece of the first band takes in the file; 0 for one that was never written.
    pub counts: Vec<u64>,
    /// The codec's number.
    pub codec: u64,
}

impl Layout {
    /// Reads and checks how a page is stored.
    pub fn read(file: &TiffFile, page: usize, most_cells: u64) -> Result<Self, FileError> {
        let (width, height) = dimensions(file, page, most_cells)?;
        let codec = file.one(page, tag::COMPRESSION, 1)?;
        check_codec(codec)?;
        let samples = file.one(page, tag::SAMPLES, 1)?;
        let bits = file.one(page, tag::BITS, 1)?;
        if !(1..=64).contains(&samples) {
            return Err(bad_tag(tag::SAMPLES, format!("{samples} bands"), "1 to 64 bands"));
        }
        if !matches!(bits, 1 | 8 | 16 | 32 | 64) {
            return Err(FileError::unsupported(format!("samples of {bits} bits"), "8, 16, 32 or 64 bits"));
        }
        check_sample(file.one(page, tag::SAMPLE_FORMAT, 1)?)?;
        let planar = file.one(page, tag::PLANAR, 1)? == 2;
        let tiled = file.unsigned(page, tag::TILE_OFFSETS)?.is_some();
        let piece = if tiled { tile_size(file, page)? } else { strip_size(file, page, width, height)? };
        let across = width.div_ceil(piece.0 as u64);
        let per_band = across * height.div_ceil(piece.1 as u64);
        let bands = if planar { samples } else { 1 };
        let row_bytes = piece.0 as u64 * samples * bits / 8;
        if row_bytes > 64 << 20 {
            return Err(FileError::too_large(format!("rows of {row_bytes} bytes"), "64 MiB a row"));
        }
        let (offsets, counts) = piece_table(file, page, tiled, per_band, bands)?;
        let layout = Self {
            width: width as usize,
            height: height as usize,
            samples: samples as usize,
            bits,
            planar,
            piece,
            across: across as usize,
            offsets,
            counts,
            codec,
        };
        layout.check_ratio()?;
        Ok(layout)
    }

    /// Columns and rows of a piece that lie inside the picture.
    pub fn inside(&self, piece: usize) -> (usize, usize) {
        let (left, top) = self.origin(piece);
        (self.piece.0.min(self.width - left), self.piece.1.min(self.height - top))
    }

    /// First column and row of a piece.
    pub fn origin(&self, piece: usize) -> (usize, usize) {
        (piece % self.across * self.piece.0, piece / self.across * self.piece.1)
    }

    /// Bytes of a decoded piece.
    pub fn piece_bytes(&self, piece: usize) -> u64 {
        let (cols, rows) = self.inside(piece);
        let bands = if self.planar { 1 } else { self.samples };
        (cols as u64 * rows as u64 * bands as u64 * self.bits).div_ceil(8)
    }

    /// Bytes of a whole piece, with what lies outside the picture.
    pub fn full_piece_bytes(&self) -> u64 {
        let bands = if self.planar { 1 } else { self.samples };
        (self.piece.0 as u64 * self.piece.1 as u64 * bands as u64).saturating_mul(self.bits).div_ceil(8)
    }

    /// Place and length of every stored piece, where the codec is deflate.
    pub fn deflated(&self) -> impl Iterator<Item = (usize, usize)> {
        let deflate = matches!(self.codec, 8 | 32946);
        let pieces = self.offsets.iter().zip(&self.counts).filter(move |_| deflate);
        pieces.map(|(offset, count)| (*offset as usize, *count as usize)).filter(|(_, count)| *count > 0)
    }

    /// Holds what each piece must yield against what it takes in the file.
    fn check_ratio(&self) -> Result<(), FileError> {
        let thin = |(piece, count): (usize, &u64)| *count > 0 && self.piece_bytes(piece) / MOST_RATIO > *count;
        match self.counts.iter().enumerate().find(|(piece, count)| thin((*piece, count))) {
            Some((piece, count)) => {
                let found = format!("{count} bytes for {} bytes of content", self.piece_bytes(piece));
                Err(FileError::malformed(format!("piece {}", piece + 1), found, "enough stored bytes"))
            }
            None => Ok(()),
        }
    }
}

fn dimensions(file: &TiffFile, page: usize, most_cells: u64) -> Result<(u64, u64), FileError> {
    let one = |tag| -> Result<u64, FileError> {
        file.one(page, tag, 0)?.checked_sub(1).map(|v| v + 1).ok_or_else(|| bad_tag(tag, "0", "at least 1"))
    };
    let (width, height) = (one(tag::WIDTH)?, one(tag::HEIGHT)?);
    if width.saturating_mul(height) > most_cells || width.max(height) > u64::from(u32::MAX / 2) {
        return Err(FileError::too_large(format!("{width} × {height} cells"), format!("{most_cells} cells")));
    }
    Ok((width, height))
}

/// Refuses the codecs that are not read, by name.
fn check_codec(code: u64) -> Result<(), FileError> {
    let name = match code {
        1 | 5 | 8 | 32946 | 32773 => return Ok(()),
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

/// Refuses what is no plain number.
fn check_sample(code: u64) -> Result<(), FileError> {
    match code {
        1..=4 => Ok(()),
        5 | 6 => Err(FileError::unsupported("complex numbers", "elevations, which are single numbers")),
        other => Err(bad_tag(tag::SAMPLE_FORMAT, other.to_string(), "1, 2 or 3 (unsigned, signed, floating point)")),
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

/// Places and sizes of the first band's pieces, checked to lie inside the file.
fn piece_table(
    file: &TiffFile,
    page: usize,
    tiled: bool,
    per_band: u64,
    bands: u64,
) -> Result<(Vec<u64>, Vec<u64>), FileError> {
    let (at, of) =
        if tiled { (tag::TILE_OFFSETS, tag::TILE_COUNTS) } else { (tag::STRIP_OFFSETS, tag::STRIP_COUNTS) };
    let mut offsets = file.unsigned(page, at)?.unwrap_or_default();
    let mut counts = file.unsigned(page, of)?.unwrap_or_default();
    let due = per_band.saturating_mul(bands);
    for (tag, list) in [(at, &offsets), (of, &counts)] {
        if list.len() as u64 != due {
            return Err(bad_tag(tag, format!("{} pieces", list.len()), &format!("{due} pieces")));
        }
    }
    let length = file.bytes.len() as u64;
    for (offset, count) in offsets.iter().zip(&counts) {
        // Only a piece that was never written has neither place nor length.
        if *count == 0 && *offset > 0 {
            return Err(bad_tag(of, format!("0 bytes at byte {offset}"), "the length of every stored piece"));
        }
        if *count > 0 && offset.checked_add(*count).is_none_or(|end| end > length) {
            return Err(bad_tag(
                at,
                format!("{count} bytes at byte {offset}, past the end"),
                "pieces inside the file",
            ));
        }
    }
    offsets.truncate(per_band as usize);
    counts.truncate(per_band as usize);
    Ok((offsets, counts))
}
