//! The bones of a TIFF file, read before anything is decoded: directories and tags.
//!
//! Every number here is held against the length of the file, before memory is taken for it.

use crate::FileError;
use crate::source::Source;

/// Directories (pages, overviews, masks) that are looked at.
const MOST_PAGES: usize = 64;
/// Entries of one directory that are looked at (the standard's tags number about 100).
const MOST_ENTRIES: u64 = 4096;
/// Values of one tag that are taken into memory at once, but for the tables of pieces (own choice).
const MOST_VALUES: u64 = 1 << 16;
/// Bytes of text of one tag that are looked at (own choice).
const MOST_TEXT: u64 = 1 << 20;

/// Tag numbers (TIFF 6.0, section 8; GeoTIFF 1.1, annex; the last two are of common practice).
pub(crate) mod tag {
    pub const SUBFILE: u16 = 254;
    pub const WIDTH: u16 = 256;
    pub const HEIGHT: u16 = 257;
    pub const BITS: u16 = 258;
    pub const COMPRESSION: u16 = 259;
    pub const PHOTOMETRIC: u16 = 262;
    pub const FILL_ORDER: u16 = 266;
    pub const STRIP_OFFSETS: u16 = 273;
    pub const SAMPLES: u16 = 277;
    pub const ROWS_PER_STRIP: u16 = 278;
    pub const STRIP_COUNTS: u16 = 279;
    pub const PLANAR: u16 = 284;
    pub const PREDICTOR: u16 = 317;
    pub const COLOR_MAP: u16 = 320;
    pub const EXTRA_SAMPLES: u16 = 338;
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

/// A TIFF file.
pub(crate) struct TiffFile<'a> {
    source: &'a dyn Source,
    /// Whether numbers begin with their largest byte.
    pub big_endian: bool,
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

pub(crate) fn bad_tag(tag: u16, found: impl Into<String>, expected: &str) -> FileError {
    FileError::malformed(format!("tag {tag}"), found, expected)
}

impl<'a> TiffFile<'a> {
    /// Reads header and directories.
    pub fn open(source: &'a dyn Source) -> Result<Self, FileError> {
        let no_mark = || FileError::malformed("byte 1", "no TIFF mark", "'II' or 'MM', as every TIFF begins");
        let big_endian = match source.part(0, 2)?.as_deref() {
            Some(b"II") => false,
            Some(b"MM") => true,
            _ => return Err(no_mark()),
        };
        let mut file = Self { source, big_endian, big_tiff: false, pages: Vec::new() };
        let first = match file.number(2, 2)?.ok_or_else(cut)? {
            42 => file.number(4, 4)?,
            43 if file.number(4, 4)? == Some(if big_endian { 8 << 16 } else { 8 }) => {
                file.big_tiff = true;
                file.number(8, 8)?
            }
            43 => return Err(FileError::malformed("byte 5", "no BigTIFF header", "offsets of 8 bytes")),
            other => return Err(FileError::malformed("byte 3", other.to_string(), "42, or 43 for BigTIFF")),
        };
        file.read_pages(first.ok_or_else(cut)?)?;
        Ok(file)
    }

    /// The bytes of the file.
    pub fn source(&self) -> &'a dyn Source {
        self.source
    }

    /// An unsigned number of `size` bytes at a place; `None` past the end.
    fn number(&self, at: u64, size: u64) -> Result<Option<u64>, FileError> {
        Ok(self.source.part(at, size)?.map(|part| self.joined(&part)))
    }

    /// The unsigned number that some bytes make.
    fn joined(&self, part: &[u8]) -> u64 {
        let join = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
        if self.big_endian { part.iter().fold(0, join) } else { part.iter().rev().fold(0, join) }
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
        let count = self.number(at, count_size)?.ok_or_else(past)?;
        if count > MOST_ENTRIES {
            return Err(FileError::malformed(format!("byte {at}"), format!("{count} tags"), "at most 4096 tags"));
        }
        let table = self.source.part(at + count_size, count * entry_size)?.ok_or_else(past)?;
        let mut entries: Vec<Entry> = Vec::new();
        for (row, place) in
            table.chunks_exact(entry_size as usize).zip((at + count_size..).step_by(entry_size as usize))
        {
            let entry = self.entry_of(row, place, value_size);
            // Readers differ in which of two entries with one tag they take: refuse.
            let twice = entries.iter().find(|other| other.tag == entry.tag && entry.tag < 350);
            if twice.is_some() {
                return Err(bad_tag(entry.tag, "the tag twice in one directory", "each tag once"));
            }
            entries.push(entry);
        }
        let next = self.number(at + count_size + count * entry_size, value_size as u64)?.unwrap_or(0);
        Ok((Page { entries }, next))
    }

    /// One entry from its row of the directory, which stands at `place`, with the place of its values.
    fn entry_of(&self, row: &[u8], place: u64, value_size: usize) -> Entry {
        let count = self.joined(&row[4..4 + value_size]);
        let (tag, kind) = (self.joined(&row[..2]) as u16, self.joined(&row[2..4]) as u16);
        let inline = kind_size(kind).checked_mul(count).is_some_and(|length| length <= value_size as u64);
        let at = if inline { place + 4 + value_size as u64 } else { self.joined(&row[4 + value_size..]) };
        Entry { tag, kind, count, at }
    }

    fn entry(&self, page: usize, tag: u16) -> Option<Entry> {
        self.pages.get(page)?.entries.iter().find(|entry| entry.tag == tag).copied()
    }

    /// How many values a tag holds; 0 where it is absent.
    pub fn count(&self, page: usize, tag: u16) -> u64 {
        self.entry(page, tag).map_or(0, |entry| entry.count)
    }

    /// The whole unsigned numbers of a tag.
    pub fn unsigned(&self, page: usize, tag: u16) -> Result<Option<Vec<u64>>, FileError> {
        self.unsigned_part(page, tag, 0, self.count(page, tag).min(MOST_VALUES))
    }

    /// Some of the whole unsigned numbers of a tag.
    pub fn unsigned_part(
        &self,
        page: usize,
        tag: u16,
        first: u64,
        count: u64,
    ) -> Result<Option<Vec<u64>>, FileError> {
        let Some(entry) = self.entry(page, tag) else { return Ok(None) };
        if !matches!(entry.kind, 1 | 3 | 4 | 13 | 16 | 18) {
            return Err(bad_tag(tag, format!("values of type {}", entry.kind), "whole numbers"));
        }
        self.values(entry, first, count, |part| self.joined(part)).map(Some)
    }

    /// The first whole number of a tag, or what it is when absent.
    pub fn one(&self, page: usize, tag: u16, absent: u64) -> Result<u64, FileError> {
        let count = self.count(page, tag).min(1);
        Ok(self.unsigned_part(page, tag, 0, count)?.and_then(|values| values.first().copied()).unwrap_or(absent))
    }

    /// The numbers of a tag of doubles (or floats).
    pub fn doubles(&self, page: usize, tag: u16) -> Result<Option<Vec<f64>>, FileError> {
        let Some(entry) = self.entry(page, tag) else { return Ok(None) };
        let read = |part: &[u8]| match self.joined(part) {
            bits if part.len() == 8 => f64::from_bits(bits),
            bits => f64::from(f32::from_bits(bits as u32)),
        };
        if !matches!(entry.kind, 11 | 12) {
            return Err(bad_tag(tag, format!("values of type {}", entry.kind), "floating-point numbers"));
        }
        self.values(entry, 0, entry.count.min(MOST_VALUES), read).map(Some)
    }

    /// The text of a tag, up to the first NUL; texts beyond [`MOST_TEXT`] are cut.
    pub fn text(&self, page: usize, tag: u16) -> Result<Option<String>, FileError> {
        let entry = self.entry(page, tag).filter(|entry| matches!(entry.kind, 1 | 2 | 7));
        let Some(entry) = entry else { return Ok(None) };
        let whole = entry.at.checked_add(entry.count).is_some_and(|end| end <= self.source.length());
        let part = if whole { self.source.part(entry.at, entry.count.min(MOST_TEXT))? } else { None };
        let text = part.as_deref().and_then(|part| part.split(|byte| *byte == 0).next());
        Ok(text.map(|text| String::from_utf8_lossy(text).into_owned()))
    }

    /// Some values of an entry, which must lie inside the file as a whole.
    fn values<T>(
        &self,
        entry: Entry,
        first: u64,
        count: u64,
        read: impl Fn(&[u8]) -> T,
    ) -> Result<Vec<T>, FileError> {
        let size = kind_size(entry.kind);
        let end = entry.count.checked_mul(size).and_then(|length| length.checked_add(entry.at));
        let inside = end.is_some_and(|end| end <= self.source.length()) && first + count <= entry.count;
        let part = if inside { self.source.part(entry.at + first * size, count * size)? } else { None };
        let part =
            part.ok_or_else(|| bad_tag(entry.tag, "values past the end of the file", "values inside the file"))?;
        Ok(part.chunks_exact(size as usize).map(read).collect())
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
