//! ASCII elevation grids (the plain text format with `ncols`, `nrows`, `cellsize`).

use crate::error::shown;
use crate::ground::{Beside, FileGrid, Stated};
use crate::{FileError, GroundFile, ReadOptions};

/// The value that stands for a missing one where the header names none (the format's published default).
const USUAL_NODATA: f64 = -9999.0;
/// Header lines looked at before the numbers must begin.
const MOST_HEADER_LINES: usize = 12;
const HEADER: &str = "a header of ncols, nrows, xllcorner, yllcorner and cellsize";

/// Reads an ASCII grid.
pub fn read_ascii_grid(bytes: &[u8], options: &ReadOptions) -> Result<GroundFile, FileError> {
    read(bytes, &Beside::default(), options)
}

/// True when the text begins like an ASCII grid.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    let first = without_mark(bytes).split(u8::is_ascii_whitespace).find(|word| !word.is_empty()).unwrap_or_default();
    [&b"ncols"[..], b"nrows", b"xllcorner", b"xllcenter"].iter().any(|key| first.eq_ignore_ascii_case(key))
}

pub(crate) fn read(bytes: &[u8], beside: &Beside, options: &ReadOptions) -> Result<GroundFile, FileError> {
    let mut words = Words { bytes: without_mark(bytes), at: 0, line: 1, line_start: 0 };
    let header = Header::read(&mut words)?;
    let size = header.size(bytes.len() as u64, options.most_cells)?;
    let mut stated = Stated::default();
    let levels = read_levels(&mut words, size.0 * size.1, header.nodata, &mut stated)?;
    let grid = FileGrid { size, corner: header.corner(size)?, cell: header.cell()?, levels };
    stated.take_prj(beside);
    grid.settle(stated, options)
}

fn without_mark(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)
}

/// The words of the text with their place.
struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
    line_start: usize,
}

impl<'a> Words<'a> {
    fn skip_blanks(&mut self) {
        while let Some(byte) = self.bytes.get(self.at).filter(|b| b.is_ascii_whitespace()) {
            self.at += 1;
            if *byte == b'\n' {
                self.line += 1;
                self.line_start = self.at;
            }
        }
    }

    /// The next word and its column.
    fn next(&mut self) -> Option<(&'a str, usize)> {
        self.skip_blanks();
        let rest = self.bytes.get(self.at..)?;
        let length = rest.iter().position(u8::is_ascii_whitespace).unwrap_or(rest.len());
        let column = self.at - self.line_start + 1;
        self.at += length;
        let word = rest.get(..length).filter(|word| !word.is_empty())?;
        Some((std::str::from_utf8(word).unwrap_or("\u{fffd}"), column))
    }

    fn place(&self, column: usize) -> String {
        format!("line {}, column {column}", self.line)
    }
}

#[derive(Default)]
struct Header {
    cols: Option<f64>,
    rows: Option<f64>,
    x: Option<(f64, bool)>,
    y: Option<(f64, bool)>,
    cell: Option<f64>,
    cell_x: Option<f64>,
    cell_y: Option<f64>,
    nodata: Option<f64>,
}

impl Header {
    fn read(words: &mut Words) -> Result<Self, FileError> {
        let mut header = Self::default();
        for _ in 0..MOST_HEADER_LINES {
            let (at, line, line_start) = (words.at, words.line, words.line_start);
            let Some((key, column)) = words.next() else { break };
            if number(key).is_some() {
                (words.at, words.line, words.line_start) = (at, line, line_start);
                break;
            }
            let key_place = words.place(column);
            let (text, column) = words.next().unwrap_or_default();
            let value = number(text).map(|(value, _)| value);
            let value = value.ok_or_else(|| FileError::malformed(words.place(column), shown(text), "a number"))?;
            header.set(key, value, key_place)?;
        }
        Ok(header)
    }

    fn set(&mut self, key: &str, value: f64, place: String) -> Result<(), FileError> {
        match key.to_ascii_lowercase().as_str() {
            "ncols" => self.cols = Some(value),
            "nrows" => self.rows = Some(value),
            "xllcorner" => self.x = Some((value, false)),
            "xllcenter" | "xllcentre" => self.x = Some((value, true)),
            "yllcorner" => self.y = Some((value, false)),
            "yllcenter" | "yllcentre" => self.y = Some((value, true)),
            "cellsize" => self.cell = Some(value),
            "dx" => self.cell_x = Some(value),
            "dy" => self.cell_y = Some(value),
            "nodata_value" | "nodata" => self.nodata = Some(value),
            _ => return Err(FileError::malformed(place, shown(key), HEADER)),
        }
        Ok(())
    }

    /// Columns and rows, held against the limit and against the length of the file (a value takes two bytes).
    fn size(&self, bytes: u64, most_cells: u64) -> Result<(usize, usize), FileError> {
        let missing = |key: &str| FileError::malformed("the header", format!("no {key}"), HEADER);
        let (cols, rows) = (self.cols.ok_or_else(|| missing("ncols"))?, self.rows.ok_or_else(|| missing("nrows"))?);
        if !(cols >= 1.0 && rows >= 1.0 && cols.fract() == 0.0 && rows.fract() == 0.0) {
            return Err(FileError::malformed(
                "the header",
                format!("{cols} × {rows} cells"),
                "whole numbers above 0",
            ));
        }
        let found = || format!("{cols} × {rows} cells");
        if cols * rows > most_cells as f64 {
            return Err(FileError::too_large(found(), format!("{most_cells} cells")));
        }
        if cols * rows > bytes as f64 / 2.0 + 1.0 {
            return Err(FileError::malformed("the header", found(), format!("what {bytes} bytes can hold")));
        }
        Ok((cols as usize, rows as usize))
    }

    fn cell(&self) -> Result<(f64, f64), FileError> {
        let side = |own: Option<f64>| own.or(self.cell).filter(|side| side.is_finite() && *side > 0.0);
        let sides = side(self.cell_x).zip(side(self.cell_y));
        sides.ok_or_else(|| FileError::malformed("the header", "no usable cellsize", "a cellsize above 0"))
    }

    /// The outer north-west corner.
    fn corner(&self, (_, rows): (usize, usize)) -> Result<(f64, f64), FileError> {
        let (cell_x, cell_y) = self.cell()?;
        let missing = || FileError::malformed("the header", "no corner", "xllcorner and yllcorner, or their centres");
        let edge = |value: (f64, bool), cell: f64| value.0 - if value.1 { cell / 2.0 } else { 0.0 };
        let west = edge(self.x.ok_or_else(missing)?, cell_x);
        let south = edge(self.y.ok_or_else(missing)?, cell_y);
        Ok((west, south + rows as f64 * cell_y))
    }
}

/// A number, and whether it was written with a decimal comma.
fn number(word: &str) -> Option<(f64, bool)> {
    if let Ok(value) = word.parse::<f64>() {
        return Some((value, false));
    }
    let comma = !word.contains('.') && word.matches(',').count() == 1;
    comma.then(|| word.replace(',', ".").parse().ok()).flatten().map(|value| (value, true))
}

/// All levels of the grid, missing ones as `NaN`.
fn read_levels(
    words: &mut Words,
    cells: usize,
    nodata: Option<f64>,
    stated: &mut Stated,
) -> Result<Vec<f32>, FileError> {
    let mut levels = Vec::with_capacity(cells);
    let (mut commas, mut unnamed, mut no_number) = (false, 0u64, 0u64);
    let missing = nodata.unwrap_or(USUAL_NODATA);
    while levels.len() < cells {
        let Some((word, column)) = words.next() else {
            let found = format!("{} values, then the end", levels.len());
            return Err(FileError::malformed(format!("line {}", words.line), found, format!("{cells} values")));
        };
        let read = number(word).ok_or_else(|| FileError::malformed(words.place(column), shown(word), "a number"))?;
        commas |= read.1;
        no_number += u64::from(read.0.is_nan());
        let is_missing = read.0 == missing;
        unnamed += u64::from(is_missing && nodata.is_none());
        levels.push(if is_missing { f32::NAN } else { read.0 as f32 });
    }
    tell(stated, commas, unnamed, no_number);
    if let Some((word, column)) = words.next() {
        let place = words.place(column);
        stated.note(format!("{place}: {} stands after the last of {cells} values; the rest is ignored", shown(word)));
    }
    Ok(levels)
}

fn tell(stated: &mut Stated, commas: bool, unnamed: u64, no_number: u64) {
    if commas {
        stated.note("decimal commas were read as decimal points");
    }
    if unnamed > 0 {
        stated.note(format!("{unnamed} cells hold −9999, the format's usual mark, and are taken as missing"));
    }
    if no_number > 0 {
        stated.note(format!("{no_number} cells hold nan and are taken as missing"));
    }
}
