//! GeoTIFF elevation grids.

use std::io::{Cursor, Read};

use flate2::read::ZlibDecoder;
use tiff::TiffError;
use tiff::decoder::{Decoder, DecodingResult, Limits};

use crate::geokeys::{GeoKeys, Scaling, read_keys, read_scaling};
use crate::ground::{Ask, Beside, FileGrid, Stated};
use crate::tiff_file::{Layout, TiffFile, tag};
use crate::{FileError, GroundFile, ReadOptions};

/// Reads a GeoTIFF.
pub fn read_geotiff(bytes: &[u8], options: &ReadOptions) -> Result<GroundFile, FileError> {
    read(bytes, &Beside::default(), options)
}

pub(crate) fn read(bytes: &[u8], beside: &Beside, options: &ReadOptions) -> Result<GroundFile, FileError> {
    let file = TiffFile::open(bytes)?;
    let layout = Layout::read(&file, 0, options.most_cells)?;
    let mut stated = Stated::default();
    check_is_ground(&file, &layout, &mut stated)?;
    let keys = read_keys(&file, &mut stated);
    let place = place(&file, &keys, beside, &mut stated)?;
    let scaling = read_scaling(&file, &mut stated)?;
    let mut levels = read_levels(&file, &layout, &scaling)?;
    apply_mask(&file, &layout, &mut levels, &mut stated)?;
    stated.take_prj(beside);
    oriented(&layout, place, levels, &mut stated)?.settle(stated, options)
}

/// Refuses pictures and tells what is left aside.
fn check_is_ground(file: &TiffFile, layout: &Layout, stated: &mut Stated) -> Result<(), FileError> {
    let photometric = file.one(0, tag::PHOTOMETRIC, 1)?;
    if photometric > 1 {
        return Err(FileError::unsupported("a colour picture", "elevations, one number a cell"));
    }
    if layout.bits == 1 {
        return Err(FileError::unsupported("cells of one bit", "elevations, one number a cell"));
    }
    if layout.bits == 8 {
        stated.note("the cells hold whole numbers from 0 to 255: is this a picture of the ground, not its levels?");
    }
    if layout.samples > 1 {
        stated.note(format!("the file has {} bands; the first is taken as the elevation", layout.samples));
    }
    Ok(())
}

/// How cells lie on the ground: place of the outer corner of the first cell, and signed steps per column and row.
#[derive(Debug, Clone, Copy)]
struct Place {
    x: f64,
    y: f64,
    step_x: f64,
    step_y: f64,
}

fn place(file: &TiffFile, keys: &GeoKeys, beside: &Beside, stated: &mut Stated) -> Result<Place, FileError> {
    let mut place = stored_place(file, stated)?;
    if place.is_none() {
        place = world_place(beside, stated)?;
    } else if let Some(place) = place.as_mut().filter(|_| keys.is_point()) {
        place.x -= place.step_x / 2.0;
        place.y -= place.step_y / 2.0;
    }
    let place = place.unwrap_or_else(|| {
        stated.ask(Ask::Place, "the file does not say where it lies: it is placed at 0, 0 with cells of 1");
        Place { x: 0.0, y: 0.0, step_x: 1.0, step_y: -1.0 }
    });
    let sound = [place.x, place.y, place.step_x, place.step_y].iter().all(|v| v.is_finite());
    if !sound || place.step_x == 0.0 || place.step_y == 0.0 {
        let found = format!("cells of {} × {} at ({}, {})", place.step_x, place.step_y, place.x, place.y);
        return Err(FileError::malformed(
            format!("tag {}", tag::PIXEL_SCALE),
            found,
            "finite numbers and a cell above 0",
        ));
    }
    Ok(place)
}

/// The place by the file's own tags.
fn stored_place(file: &TiffFile, stated: &mut Stated) -> Result<Option<Place>, FileError> {
    let scale = file.doubles(0, tag::PIXEL_SCALE)?;
    let ties = file.doubles(0, tag::TIE_POINTS)?.unwrap_or_default();
    if let Some(m) = file.doubles(0, tag::TRANSFORMATION)?.filter(|_| scale.is_none()) {
        return transformed(&m).map(Some);
    }
    let Some(scale) = scale else {
        return match ties.len() {
            0 => Ok(None),
            _ => Err(FileError::unsupported("ground control points", "a grid with a cell size")),
        };
    };
    let [width, height, ..] = scale[..] else {
        let found = format!("{} numbers for the cell size", scale.len());
        return Err(FileError::malformed(format!("tag {}", tag::PIXEL_SCALE), found, "three numbers"));
    };
    // A positive height steps to the south (GeoTIFF 1.1, section B.6).
    let steps = (width, -height);
    if ties.is_empty() {
        stated.ask(Ask::Place, "the file gives its cell size but not its place: it is placed at 0, 0");
        return Ok(Some(Place { x: 0.0, y: 0.0, step_x: steps.0, step_y: steps.1 }));
    }
    tied(&ties, steps).map(Some)
}

/// The place by tie points, which must all agree with the cell size.
fn tied(ties: &[f64], (step_x, step_y): (f64, f64)) -> Result<Place, FileError> {
    let place = format!("tag {}", tag::TIE_POINTS);
    let corner = |tie: &[f64]| (tie[3] - tie[0] * step_x, tie[4] - tie[1] * step_y);
    let mut corners = ties.chunks_exact(6).map(corner);
    let (x, y) = corners.next().ok_or_else(|| {
        FileError::malformed(place.clone(), format!("{} numbers", ties.len()), "six numbers a tie point")
    })?;
    let within = 0.01 * step_x.abs().min(step_y.abs());
    if corners.any(|(other_x, other_y)| (other_x - x).abs() > within || (other_y - y).abs() > within) {
        return Err(FileError::malformed(place, "tie points that contradict each other", "one place for the grid"));
    }
    Ok(Place { x, y, step_x, step_y })
}

/// The place by a 4 × 4 matrix; turned grids are refused.
fn transformed(m: &[f64]) -> Result<Place, FileError> {
    let place = format!("tag {}", tag::TRANSFORMATION);
    if m.len() != 16 {
        return Err(FileError::malformed(place, format!("{} numbers", m.len()), "sixteen numbers"));
    }
    if m[1] != 0.0 || m[4] != 0.0 {
        return Err(FileError::unsupported("a turned or sheared grid", "a grid along the coordinate axes"));
    }
    Ok(Place { x: m[3], y: m[7], step_x: m[0], step_y: m[5] })
}

/// The place by a world file: six lines, the last two the centre of the first cell.
fn world_place(beside: &Beside, stated: &mut Stated) -> Result<Option<Place>, FileError> {
    let Some(text) = &beside.world else { return Ok(None) };
    let numbers: Vec<f64> = text.split_whitespace().map_while(|word| word.parse().ok()).collect();
    let [step_x, turn_a, turn_b, step_y, x, y] = numbers[..] else {
        return Err(FileError::malformed("the world file", format!("{} numbers", numbers.len()), "six numbers"));
    };
    if turn_a != 0.0 || turn_b != 0.0 {
        return Err(FileError::unsupported("a turned or sheared grid", "a grid along the coordinate axes"));
    }
    stated.note("the place of the grid was read from the world file beside it");
    Ok(Some(Place { x: x - step_x / 2.0, y: y - step_y / 2.0, step_x, step_y }))
}

/// The grid with its first row to the north and its first column to the west.
fn oriented(layout: &Layout, place: Place, mut levels: Vec<f32>, stated: &mut Stated) -> Result<FileGrid, FileError> {
    let (cols, rows) = (layout.width, layout.height);
    let (mut west, mut north) = (place.x, place.y);
    if place.step_y > 0.0 {
        stated.note("the first row of the file is the south edge; the grid was turned over");
        north += place.step_y * rows as f64;
        for row in 0..rows / 2 {
            let (upper, lower) = levels.split_at_mut((rows - 1 - row) * cols);
            upper[row * cols..(row + 1) * cols].swap_with_slice(&mut lower[..cols]);
        }
    }
    if place.step_x < 0.0 {
        stated.note("the first column of the file is the east edge; the grid was mirrored");
        west += place.step_x * cols as f64;
        levels.chunks_exact_mut(cols).for_each(<[f32]>::reverse);
    }
    let cell = (place.step_x.abs(), place.step_y.abs());
    Ok(FileGrid { size: (cols, rows), corner: (west, north), cell, levels })
}

/// A decoder at a page, with limits that fit the file.
fn decoder<'a>(bytes: &'a [u8], page: usize, layout: &Layout) -> Result<Decoder<Cursor<&'a [u8]>>, FileError> {
    let most = (0..layout.counts.len()).map(|piece| layout.piece_bytes(piece)).max().unwrap_or(0);
    let mut limits = Limits::default();
    limits.decoding_buffer_size = most as usize + 4096;
    limits.intermediate_buffer_size = bytes.len().max(most as usize) + 4096;
    limits.ifd_value_size = bytes.len() + 4096;
    let mut decoder =
        Decoder::new(Cursor::new(bytes)).map_err(|e| decode_error(e, "the header"))?.with_limits(limits);
    if page > 0 {
        decoder.seek_to_image(page).map_err(|e| decode_error(e, "a later page"))?;
    }
    Ok(decoder)
}

fn decode_error(error: TiffError, place: &str) -> FileError {
    match error {
        TiffError::UnsupportedError(what) => {
            FileError::unsupported(what.to_string(), "elevations, one number a cell")
        }
        TiffError::LimitsExceeded => FileError::too_large(place, "what the header of the file announces"),
        other => FileError::malformed(place, other.to_string(), "sound image data"),
    }
}

/// Calls `put(cell, value)` for the first band of every stored cell of a page.
fn each_value(bytes: &[u8], page: usize, layout: &Layout, mut put: impl FnMut(usize, f64)) -> Result<(), FileError> {
    check_sums(bytes, layout)?;
    let mut decoder = decoder(bytes, page, layout)?;
    for (piece, _) in layout.counts.iter().enumerate().filter(|(_, count)| **count > 0) {
        let result =
            decoder.read_chunk(piece as u32).map_err(|e| decode_error(e, &format!("piece {}", piece + 1)))?;
        let (left, top) = layout.origin(piece);
        let (cols, rows) = layout.inside(piece);
        let step = if layout.planar { 1 } else { layout.samples };
        for row in 0..rows {
            for col in 0..cols {
                let value = if layout.bits == 1 {
                    bit(&result, cols, row, col)
                } else {
                    at(&result, (row * cols + col) * step)
                };
                let short = || FileError::malformed(format!("piece {}", piece + 1), "too few values", "a full piece");
                put((top + row) * layout.width + left + col, value.ok_or_else(short)?);
            }
        }
    }
    Ok(())
}

/// Holds every deflated piece against its own checksum, which the decoder does not read: without this a damaged piece
/// would come out as ground.
fn check_sums(bytes: &[u8], layout: &Layout) -> Result<(), FileError> {
    let mut buffer = vec![0; 64 << 10];
    for (piece, (offset, count)) in layout.deflated().enumerate() {
        let stored = bytes.get(offset..offset + count).unwrap_or_default();
        let mut reader = ZlibDecoder::new(stored);
        let mut left = layout.full_piece_bytes() + 1;
        loop {
            match reader.read(&mut buffer) {
                Ok(0) => break,
                Ok(length) if (length as u64) < left => left -= length as u64,
                Ok(_) => break,
                Err(error) => {
                    let place = format!("piece {}", piece + 1);
                    return Err(FileError::malformed(place, format!("damaged data ({error})"), "sound image data"));
                }
            }
        }
    }
    Ok(())
}

/// One decoded value.
fn at(result: &DecodingResult, index: usize) -> Option<f64> {
    Some(match result {
        DecodingResult::U8(v) => f64::from(*v.get(index)?),
        DecodingResult::U16(v) => f64::from(*v.get(index)?),
        DecodingResult::U32(v) => f64::from(*v.get(index)?),
        DecodingResult::U64(v) => *v.get(index)? as f64,
        DecodingResult::I8(v) => f64::from(*v.get(index)?),
        DecodingResult::I16(v) => f64::from(*v.get(index)?),
        DecodingResult::I32(v) => f64::from(*v.get(index)?),
        DecodingResult::I64(v) => *v.get(index)? as f64,
        DecodingResult::F16(v) => v.get(index)?.to_f64(),
        DecodingResult::F32(v) => f64::from(*v.get(index)?),
        DecodingResult::F64(v) => *v.get(index)?,
    })
}

/// One bit of rows that are filled up to whole bytes.
fn bit(result: &DecodingResult, cols: usize, row: usize, col: usize) -> Option<f64> {
    let DecodingResult::U8(bytes) = result else { return None };
    let byte = bytes.get(row * cols.div_ceil(8) + col / 8)?;
    Some(f64::from(byte >> (7 - col % 8) & 1))
}

/// The levels of the first band, missing ones as `NaN`.
fn read_levels(file: &TiffFile, layout: &Layout, scaling: &Scaling) -> Result<Vec<f32>, FileError> {
    if layout.counts.iter().all(|count| *count == 0) {
        return Err(FileError::malformed("the grid", "no stored cells", "at least one cell with a level"));
    }
    // A file that counts 0 as white would come out inverted; levels have no colour.
    let turned = match file.one(0, tag::PHOTOMETRIC, 1)? {
        0 => file.with_short(0, tag::PHOTOMETRIC, 1),
        _ => None,
    };
    let bytes = turned.as_deref().unwrap_or(file.bytes);
    let mut levels = vec![f32::NAN; layout.width * layout.height];
    // A missing value that is written with more digits than a 32-bit cell holds still means that cell.
    let missing = |value: f64| {
        scaling
            .nodata
            .is_some_and(|nodata| value == nodata || (layout.bits == 32 && value == f64::from(nodata as f32)))
    };
    each_value(bytes, 0, layout, |cell, value| {
        if !missing(value) {
            levels[cell] = (value * scaling.scale + scaling.offset) as f32;
        }
    })?;
    Ok(levels)
}

/// Takes out the cells that a mask page of the file marks as not valid, and tells of other pages.
fn apply_mask(file: &TiffFile, layout: &Layout, levels: &mut [f32], stated: &mut Stated) -> Result<(), FileError> {
    for page in 1..file.pages.len() {
        let kind = file.one(page, tag::SUBFILE, 0)?;
        if kind == 0 {
            stated.note(format!("page {} of the file is not read", page + 1));
        }
        if kind != 4 {
            continue;
        }
        let mask = Layout::read(file, page, (layout.width * layout.height) as u64)?;
        let bytes = file.with_short(page, tag::PHOTOMETRIC, 1);
        let Some(bytes) = bytes.filter(|_| (mask.width, mask.height) == (layout.width, layout.height)) else {
            stated.note("the file has a mask of another size than the grid, which is not applied");
            continue;
        };
        let mut hidden = 0u64;
        each_value(&bytes, page, &mask, |cell, value| {
            if value == 0.0 {
                levels[cell] = f32::NAN;
                hidden += 1;
            }
        })?;
        stated.note(format!("the file's own mask marks {hidden} cells as missing"));
    }
    Ok(())
}
