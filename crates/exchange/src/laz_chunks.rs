//! Compressed points of a LAZ file, chunk by chunk.
//!
//! The library takes every size in a file at its word. So the number of chunks, the bytes of each and the bytes of the
//! layers in a chunk are held against the file first, and each chunk is decoded from its own bytes alone.

use std::io::Cursor;

use laz::DecompressionSelection;
use laz::laszip::ChunkTable;
use laz::record::{LayeredPointRecordDecompressor, RecordDecompressor, SequentialPointRecordDecompressor};
use laz::{LazItem, LazItemType, LazVlr};

use crate::FileError;
use crate::las::Header;
use crate::laz_time::Times;

/// Points that a byte can stand for (own choice: real clouds take at least a byte a point, and one that is made to swell
/// is not worth the wait).
const MOST_POINTS_PER_BYTE: u64 = 16;
/// Layers of a point of format 6 and later: returns and place, height, class, flags, intensity, angle, user data, source
/// and time (LASzip).
const POINT_LAYERS: usize = 9;
/// Points decoded at a time.
const BATCH: usize = 4096;

/// The chunks of a file, each with its points.
pub(crate) struct Compressed<'b> {
    items: Vec<LazItem>,
    chunks: Vec<(u64, &'b [u8])>,
    length: usize,
}

fn damaged(what: impl std::fmt::Display) -> FileError {
    FileError::malformed("the compressed points", what.to_string(), "points as LASzip writes them")
}

impl<'b> Compressed<'b> {
    /// Looks at the `laszip` record and the table of chunks.
    pub fn open(bytes: &'b [u8], header: &Header, vlr: &[u8]) -> Result<Self, FileError> {
        let way = vlr.first().copied().unwrap_or_default();
        let vlr = LazVlr::from_buffer(vlr).map_err(damaged)?;
        check_items(&vlr, header.length)?;
        let start = header.start;
        if header.count / MOST_POINTS_PER_BYTE > (bytes.len() - start) as u64 {
            let found = format!("{} points in {} bytes", header.count, bytes.len() - start);
            return Err(FileError::too_large(found, format!("{MOST_POINTS_PER_BYTE} points a byte")));
        }
        let chunks = match way {
            1 => vec![(header.count, &bytes[start..])],
            2 | 3 => chunks(bytes, header, &vlr)?,
            other => return Err(FileError::unsupported(format!("compression {other}"), "compression 1, 2 or 3")),
        };
        Ok(Self { items: vlr.items().clone(), chunks, length: header.length })
    }

    /// Decodes all points, one after the other.
    pub fn each(&self, take: &mut impl FnMut(&[u8]) -> Result<(), FileError>) -> Result<(), FileError> {
        let mut buffer = vec![0; BATCH * self.length];
        for (count, bytes) in self.chunks.iter().filter(|(count, _)| *count > 0) {
            let mut decoder = self.decoder(bytes)?;
            let mut left = *count;
            while left > 0 {
                let batch = left.min(BATCH as u64) as usize;
                let points = &mut buffer[..batch * self.length];
                decoder.decompress_many(points).map_err(damaged)?;
                points.chunks_exact(self.length).try_for_each(&mut *take)?;
                left -= batch as u64;
            }
        }
        Ok(())
    }

    fn decoder<'d>(&self, bytes: &'d [u8]) -> Result<Box<dyn RecordDecompressor<Cursor<&'d [u8]>> + 'd>, FileError> {
        let input = Cursor::new(bytes);
        let layered = self.items.iter().any(|item| item.version() > 2);
        if !layered {
            check_code(bytes.get(self.length..).unwrap_or_default())?;
            return Ok(Box::new(self.sequential(input)?));
        }
        check_layers(&self.items, bytes, self.length)?;
        let mut decoder = LayeredPointRecordDecompressor::new(input);
        decoder.set_fields_from(&self.items).map_err(damaged)?;
        let wanted = DecompressionSelection::xy_returns_channel();
        decoder.set_selection(wanted.decompress_z().decompress_classification().decompress_flags());
        Ok(Box::new(decoder))
    }

    /// The decoder of formats 0 to 5; times go through our own (see `laz_time`).
    fn sequential<'d>(
        &self,
        input: Cursor<&'d [u8]>,
    ) -> Result<SequentialPointRecordDecompressor<'d, Cursor<&'d [u8]>>, FileError> {
        let mut decoder = SequentialPointRecordDecompressor::new(input);
        for item in &self.items {
            match (item.item_type(), item.version()) {
                (LazItemType::GpsTime, 2) => decoder.add_field_decompressor(Times::new()),
                _ => decoder.set_fields_from(&vec![*item]).map_err(damaged)?,
            }
        }
        Ok(decoder)
    }
}

/// The items must make up a point, the first of them its place.
fn check_items(vlr: &LazVlr, length: usize) -> Result<(), FileError> {
    let first = vlr.items().first().map(LazItem::item_type);
    let sizes = vlr.items().iter().map(|item| match item.item_type() {
        LazItemType::Byte(count) | LazItemType::Byte14(count) => usize::from(count),
        LazItemType::Point10 => 20,
        LazItemType::GpsTime => 8,
        LazItemType::RGB12 | LazItemType::RGB14 => 6,
        LazItemType::RGBNIR14 => 8,
        LazItemType::WavePacket13 | LazItemType::WavePacket14 => 29,
        LazItemType::Point14 => 30,
    });
    let sum: usize = sizes.sum();
    if sum == length && matches!(first, Some(LazItemType::Point10 | LazItemType::Point14)) {
        return Ok(());
    }
    let found = format!("items of {sum} bytes, beginning with {first:?}, for points of {length}");
    Err(FileError::malformed("the laszip record", found, "items that make up a point"))
}

/// The chunks by the table of a file, the first after the place of that table.
fn chunks<'b>(bytes: &'b [u8], header: &Header, vlr: &LazVlr) -> Result<Vec<(u64, &'b [u8])>, FileError> {
    let place_at = |at: usize| {
        let stored = bytes.get(at..at + 8)?.try_into().ok().map(i64::from_le_bytes)?;
        usize::try_from(stored).ok().filter(|place| *place >= header.start + 8 && place + 8 <= bytes.len())
    };
    // A writer that could not go back leaves the place of the table in the last eight bytes.
    let place = place_at(header.start).or_else(|| place_at(bytes.len().checked_sub(8)?));
    let missing =
        || FileError::malformed(format!("byte {}", header.start), "no table of chunks", "its place in the file");
    let place = place.ok_or_else(missing)?;
    let count = u32::from_le_bytes([4, 5, 6, 7].map(|i| bytes[place + i])) as usize;
    let data = &bytes[header.start + 8..place];
    // Each chunk holds its first point as it is.
    if count > data.len() / header.length {
        let found = format!("{count} chunks in {} bytes", data.len());
        return Err(FileError::malformed(format!("byte {}", place + 4), found, "chunks of at least one point"));
    }
    check_code(&bytes[place + 8..])?;
    let table =
        ChunkTable::read(&mut Cursor::new(&bytes[place..]), vlr.uses_variable_size_chunks()).map_err(damaged)?;
    cut(data, &table, header, vlr)
}

/// Cuts the compressed bytes into chunks, and shares the points out to them.
fn cut<'b>(
    data: &'b [u8],
    table: &ChunkTable,
    header: &Header,
    vlr: &LazVlr,
) -> Result<Vec<(u64, &'b [u8])>, FileError> {
    let (mut rest, mut left) = (data, header.count);
    let mut chunks = Vec::new();
    for entry in table {
        let size = usize::try_from(entry.byte_count).ok().filter(|size| *size <= rest.len());
        let over =
            || format!("chunk {} of {} bytes where {} are left", chunks.len() + 1, entry.byte_count, rest.len());
        let (chunk, behind) = rest.split_at(size.ok_or_else(|| damaged(over()))?);
        let points = if vlr.uses_variable_size_chunks() { entry.point_count } else { u64::from(vlr.chunk_size()) };
        let points = points.min(left);
        chunks.push((points, chunk));
        (rest, left) = (behind, left - points);
    }
    if left > 0 {
        return Err(damaged(format!(
            "{} of {} points in {} chunks",
            header.count - left,
            header.count,
            chunks.len()
        )));
    }
    Ok(chunks)
}

/// Holds the layers of a chunk against its bytes.
fn check_layers(items: &[LazItem], chunk: &[u8], length: usize) -> Result<(), FileError> {
    let layers = items.iter().map(|item| match item.item_type() {
        LazItemType::Point14 => POINT_LAYERS,
        LazItemType::RGBNIR14 => 2,
        LazItemType::Byte14(count) => usize::from(count),
        _ => 1,
    });
    let sizes_at = length + 4;
    let sizes =
        chunk.get(sizes_at..sizes_at + 4 * layers.sum::<usize>()).ok_or_else(|| damaged("a chunk cut short"))?;
    let sizes: Vec<usize> =
        sizes.chunks_exact(4).map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]) as usize).collect();
    let mut rest = &chunk[sizes_at + 4 * sizes.len()..];
    for size in sizes.into_iter().filter(|size| *size > 0) {
        let over = || damaged(format!("a layer of {size} bytes where {} are left in its chunk", rest.len()));
        let (layer, behind) = rest.split_at_checked(size).ok_or_else(over)?;
        check_code(layer)?;
        rest = behind;
    }
    Ok(())
}

/// Refuses the one beginning of arithmetic code that no encoder writes and that lies outside the first interval, which
/// is half open: from there the library would count beyond its tables.
fn check_code(bytes: &[u8]) -> Result<(), FileError> {
    if bytes.starts_with(&[0xff; 4]) { Err(damaged("a code that begins beyond its interval")) } else { Ok(()) }
}
