//! ASCII elevation grids (the plain text format with `ncols`, `nrows`, `cellsize`), read as a stream of words.

use terrain::Window;

use crate::error::shown;
use crate::frame::{Frame, Settled};
use crate::ground::{Beside, Stated};
use crate::samples::{Scaling, Tally};
use crate::source::Source;
use crate::watch::Effort;
use crate::{FileError, GroundFile, ReadOptions};

/// The value that stands for a missing one where the header names none (the format's published default).
const USUAL_NODATA: f64 = -9999.0;
/// Header lines looked at before the numbers must begin.
const MOST_HEADER_LINES: usize = 12;
/// Bytes of text held at a time, and so the longest word (own choice).
const PART: usize = 256 << 10;
/// Longest number, bytes (own choice: the largest double written out takes 309).
const LONGEST_NUMBER: usize = 512;
const HEADER: &str = "a header of ncols, nrows, xllcorner, yllcorner and cellsize";

/// Reads an ASCII grid.
pub fn read_ascii_grid(bytes: &[u8], options: &ReadOptions) -> Result<GroundFile, FileError> {
    read(&bytes, &Beside::default(), options, &Effort::PLAIN)
}

/// True when the text begins like an ASCII grid.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(MARK).unwrap_or(bytes);
    let first = text.split(u8::is_ascii_whitespace).find(|word| !word.is_empty()).unwrap_or_default();
    [&b"ncols"[..], b"nrows", b"xllcorner", b"xllcenter"].iter().any(|key| first.eq_ignore_ascii_case(key))
}

pub(crate) fn read(
    source: &dyn Source,
    beside: &Beside,
    options: &ReadOptions,
    effort: &Effort,
) -> Result<GroundFile, FileError> {
    let mut words = Words::new(source);
    let (header, mut settled) = open(&mut words, beside, options)?;
    let (cols, rows) = header.size(source.length())?;
    let levels = Levels { cols, rows, window: settled.window, nodata: header.nodata, unit_m: settled.vertical_m };
    let (levels, tally) = levels.read(&mut words, &mut settled.stated, effort)?;
    settled.finish(levels, tally, options)
}

/// What the grid is, without its levels.
pub(crate) fn look(source: &dyn Source, beside: &Beside, options: &ReadOptions) -> Result<Settled, FileError> {
    open(&mut Words::new(source), beside, options).map(|(_, settled)| settled)
}

/// Everything but the levels.
fn open(words: &mut Words, beside: &Beside, options: &ReadOptions) -> Result<(Header, Settled), FileError> {
    let header = Header::read(words)?;
    let size = header.size(words.source.length())?;
    let mut stated = Stated::default();
    stated.take_prj(beside);
    let frame = Frame { size, corner: header.corner(size)?, cell: header.cell()? };
    let settled = Settled::of(frame, stated, options)?;
    Ok((header, settled))
}

/// The mark that may stand before UTF-8 text.
const MARK: &[u8] = b"\xef\xbb\xbf";

/// The words of the text with their place; only a part of the text is in memory.
struct Words<'a> {
    source: &'a dyn Source,
    /// Where in the text the part ends.
    end: u64,
    part: Vec<u8>,
    at: usize,
    line: usize,
    /// Where in the text the line begins.
    line_start: u64,
}

impl<'a> Words<'a> {
    fn new(source: &'a dyn Source) -> Self {
        Self { source, end: 0, part: Vec::new(), at: 0, line: 1, line_start: 0 }
    }

    /// Drops what was read and takes in more; false at the end of the text.
    fn more(&mut self) -> Result<bool, FileError> {
        let first = self.end == 0;
        self.part.drain(..self.at);
        self.at = 0;
        let kept = self.part.len();
        let count = (self.source.length() - self.end).min((PART - kept) as u64) as usize;
        self.part.resize(kept + count, 0);
        self.source.read_at(self.end, &mut self.part[kept..])?;
        self.end += count as u64;
        if first && self.part.starts_with(MARK) {
            self.at = MARK.len();
            self.line_start = MARK.len() as u64;
        }
        Ok(count > 0)
    }

    /// Where in the text the next byte stands.
    fn place(&self) -> u64 {
        self.end - (self.part.len() - self.at) as u64
    }

    fn skip_blanks(&mut self) -> Result<(), FileError> {
        loop {
            while let Some(byte) = self.part.get(self.at).filter(|byte| byte.is_ascii_whitespace()) {
                self.at += 1;
                if *byte == b'\n' {
                    self.line += 1;
                    self.line_start = self.place();
                }
            }
            if self.at < self.part.len() || !self.more()? {
                return Ok(());
            }
        }
    }

    /// The next word and its column.
    fn next(&mut self) -> Result<Option<(&str, usize)>, FileError> {
        self.skip_blanks()?;
        let column = (self.place() - self.line_start) as usize + 1;
        let length = loop {
            match self.part[self.at..].iter().position(u8::is_ascii_whitespace) {
                Some(length) => break length,
                None if self.part.len() - self.at < PART && self.more()? => {}
                None => break self.part.len() - self.at,
            }
        };
        let word = &self.part[self.at..self.at + length];
        self.at += length;
        Ok((length > 0).then(|| (std::str::from_utf8(word).unwrap_or("\u{fffd}"), column)))
    }

    /// Puts the word just read back.
    fn put_back(&mut self, length: usize) {
        self.at -= length;
    }
}

/// A place in the text.
fn place(line: usize, column: usize) -> String {
    format!("line {line}, column {column}")
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
            let Some((key, column)) = words.next()? else { break };
            if number(key).is_some() {
                let length = key.len();
                words.put_back(length);
                break;
            }
            let key = key.to_string();
            let key_place = place(words.line, column);
            let (text, column) = words.next()?.unwrap_or_default();
            let value = number(text).map(|(value, _)| value);
            let found = shown(text);
            let value = value.ok_or_else(|| FileError::malformed(place(words.line, column), found, "a number"))?;
            header.set(&key, value, key_place)?;
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

    /// Columns and rows, held against the length of the file (a value takes two bytes).
    fn size(&self, bytes: u64) -> Result<(usize, usize), FileError> {
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
        let missing = || FileError::malformed("the header", "no corner", "xllcorner and yllcorner, or their centers");
        let edge = |value: (f64, bool), cell: f64| value.0 - if value.1 { cell / 2.0 } else { 0.0 };
        let west = edge(self.x.ok_or_else(missing)?, cell_x);
        let south = edge(self.y.ok_or_else(missing)?, cell_y);
        Ok((west, south + rows as f64 * cell_y))
    }
}

/// A number, and whether it was written with a decimal comma.
fn number(word: &str) -> Option<(f64, bool)> {
    if word.len() > LONGEST_NUMBER {
        return None;
    }
    if let Ok(value) = word.parse::<f64>() {
        return Some((value, false));
    }
    let comma = !word.contains('.') && word.matches(',').count() == 1;
    comma.then(|| word.replace(',', ".").parse().ok()).flatten().map(|value| (value, true))
}

/// The levels of a window, as they are read.
struct Levels {
    cols: usize,
    rows: usize,
    window: Window,
    nodata: Option<f64>,
    unit_m: f64,
}

/// What was met among the words, for a note.
#[derive(Default)]
struct Met {
    commas: bool,
    unnamed: u64,
    no_number: u64,
}

impl Levels {
    /// Reads the levels, missing ones as `NaN`. Words outside the window are passed over, those below it not read at all.
    fn read(&self, words: &mut Words, stated: &mut Stated, effort: &Effort) -> Result<(Vec<f32>, Tally), FileError> {
        let Window { col, row, cols, rows: wanted } = self.window;
        let mut levels = vec![0.0; cols * wanted];
        let (mut met, mut tally) = (Met::default(), Tally::default());
        self.pass(words, 0, row * self.cols)?;
        for (k, levels) in levels.chunks_exact_mut(cols).enumerate() {
            let first = (row + k) * self.cols;
            self.pass(words, first, col)?;
            self.read_row(words, first + col, levels, &mut met)?;
            self.pass(words, first + col + cols, self.cols - col - cols)?;
            tally += Tally::of(levels);
            effort.at((k + 1) as f64 / wanted as f64)?;
        }
        met.tell(stated);
        if row + wanted == self.rows {
            tell_rest(words, self.cols * self.rows, stated)?;
        }
        Ok((levels, tally))
    }

    fn read_row(&self, words: &mut Words, first: usize, levels: &mut [f32], met: &mut Met) -> Result<(), FileError> {
        let scaling = Scaling { scale: 1.0, offset: 0.0, nodata: None, unit_m: self.unit_m };
        let missing = self.nodata.unwrap_or(USUAL_NODATA);
        for (k, level) in levels.iter_mut().enumerate() {
            let line = words.line;
            let Some((word, column)) = words.next()? else { return Err(self.short(line, first + k)) };
            let read = number(word).ok_or_else(|| shown(word));
            let read = read.map_err(|found| FileError::malformed(place(words.line, column), found, "a number"))?;
            met.commas |= read.1;
            met.no_number += u64::from(read.0.is_nan());
            let is_missing = read.0 == missing;
            met.unnamed += u64::from(is_missing && self.nodata.is_none());
            *level = if is_missing { f32::NAN } else { scaling.level(read.0, false) };
        }
        Ok(())
    }

    /// Passes over so many words, the first of them the value number `first`.
    fn pass(&self, words: &mut Words, first: usize, count: usize) -> Result<(), FileError> {
        for k in 0..count {
            let line = words.line;
            if words.next()?.is_none() {
                return Err(self.short(line, first + k));
            }
        }
        Ok(())
    }

    fn short(&self, line: usize, read: usize) -> FileError {
        let found = format!("{read} values, then the end");
        FileError::malformed(format!("line {line}"), found, format!("{} values", self.cols * self.rows))
    }
}

fn tell_rest(words: &mut Words, cells: usize, stated: &mut Stated) -> Result<(), FileError> {
    if let Some((word, column)) = words.next()? {
        let word = shown(word);
        let place = place(words.line, column);
        stated.note(format!("{place}: {word} stands after the last of {cells} values; the rest is ignored"));
    }
    Ok(())
}

impl Met {
    fn tell(&self, stated: &mut Stated) {
        if self.commas {
            stated.note("decimal commas were read as decimal points");
        }
        if self.unnamed > 0 {
            let count = self.unnamed;
            stated.note(format!("{count} cells hold −9999, the format's usual mark, and are taken as missing"));
        }
        if self.no_number > 0 {
            stated.note(format!("{} cells hold nan and are taken as missing", self.no_number));
        }
    }
}
