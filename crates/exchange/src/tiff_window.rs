//! A rectangle of cells out of a TIFF page: only the pieces that meet it are read, by several threads.

use std::ops::Range;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

use terrain::Window;

use crate::FileError;
use crate::samples::{Samples, Tally};
use crate::tiff_file::TiffFile;
use crate::tiff_layout::{Layout, Stored};
use crate::tiff_piece::Unpacker;
use crate::watch::Effort;

/// The pieces of a page that meet a window.
pub(crate) struct Pieces<'a> {
    file: &'a TiffFile<'a>,
    layout: &'a Layout,
    window: Window,
    across: Range<usize>,
    down: Range<usize>,
    stored: Vec<Stored>,
}

/// Levels of the window beside one row of pieces.
struct Band<'a> {
    down: usize,
    levels: &'a mut [f32],
}

impl<'a> Pieces<'a> {
    /// Finds the pieces; the window lies inside the page.
    pub fn find(file: &'a TiffFile<'a>, layout: &'a Layout, window: Window) -> Result<Self, FileError> {
        let met = |first: usize, count: usize, size: usize| first / size..(first + count).div_ceil(size);
        let across = met(window.col, window.cols, layout.piece.0);
        let down = met(window.row, window.rows, layout.piece.1);
        let stored = layout.stored(file, across.clone(), down.clone())?;
        Ok(Self { file, layout, window, across, down, stored })
    }

    /// Whether none of them was ever written.
    pub fn are_empty(&self) -> bool {
        self.stored.iter().all(|piece| piece.length == 0)
    }

    /// Unpacks every piece and hands each of its rows to `take`, with the levels of the window beside it; those of a piece
    /// that was never written go to `none`. The sum of the answers. Which thread does what changes nothing.
    pub fn read(
        &self,
        levels: &mut [f32],
        effort: &Effort,
        take: impl Fn(Samples, &mut [f32]) -> Tally + Sync,
        none: impl Fn(&mut [f32]) -> Tally + Sync,
    ) -> Result<Tally, FileError> {
        let bands = Mutex::new(self.bands(levels).into_iter());
        let next = || bands.lock().unwrap_or_else(PoisonError::into_inner).next();
        let (done, failed) = (AtomicU64::new(0), AtomicBool::new(false));
        let work = || {
            let mut sum = Tally::default();
            let mut unpacker = Unpacker::new(self.file.source(), self.layout, self.file.big_endian);
            // Bands are taken in order, so that of several damaged ones the first is always the one that is told.
            while let Some(band) = next().filter(|_| !failed.load(Ordering::Relaxed)) {
                let down = band.down;
                match self.read_band(band, &mut unpacker, &done, effort, (&take, &none)) {
                    Ok(tally) => sum += tally,
                    Err(error) => {
                        failed.store(true, Ordering::Relaxed);
                        return Err((down, error));
                    }
                }
            }
            Ok(sum)
        };
        let results = effort.spread(self.down.len(), work);
        let mut sum = Tally::default();
        let mut first: Option<(usize, FileError)> = None;
        for result in results {
            match result {
                Ok(tally) => sum += tally,
                Err(error) if first.as_ref().is_none_or(|(down, _)| error.0 < *down) => first = Some(error),
                Err(_) => {}
            }
        }
        first.map_or(Ok(sum), |(_, error)| Err(error))
    }

    /// The window cut into the rows of pieces.
    fn bands<'l>(&self, mut levels: &'l mut [f32]) -> Vec<Band<'l>> {
        let mut bands = Vec::with_capacity(self.down.len());
        for down in self.down.clone() {
            let (band, rest) = levels.split_at_mut(self.rows(down).len() * self.window.cols);
            bands.push(Band { down, levels: band });
            levels = rest;
        }
        bands
    }

    /// Rows of the page, inside the window, that a row of pieces holds.
    fn rows(&self, down: usize) -> Range<usize> {
        let Window { row, rows, .. } = self.window;
        (down * self.layout.piece.1).max(row)..((down + 1) * self.layout.piece.1).min(row + rows)
    }

    fn samples<'r>(&'r self, row: &'r [u8], first: usize) -> Samples<'r> {
        Samples { row, layout: self.layout, big_endian: self.file.big_endian, first }
    }

    fn read_band(
        &self,
        band: Band,
        unpacker: &mut Unpacker,
        done: &AtomicU64,
        effort: &Effort,
        (take, none): (&impl Fn(Samples, &mut [f32]) -> Tally, &impl Fn(&mut [f32]) -> Tally),
    ) -> Result<Tally, FileError> {
        let rows = self.rows(band.down);
        let top = band.down * self.layout.piece.1;
        let content_rows = self.layout.content_rows(band.down);
        let all = (content_rows * self.across.len() * self.down.len()) as f64;
        let mut sum = Tally::default();
        for (k, across) in self.across.clone().enumerate() {
            let left = across * self.layout.piece.0;
            let first = left.max(self.window.col);
            let cols = first - self.window.col
                ..(left + self.layout.piece.0).min(self.window.col + self.window.cols) - self.window.col;
            let place = |row: usize| {
                let start = (row - rows.start) * self.window.cols;
                start + cols.start..start + cols.end
            };
            let piece = self.stored[(band.down - self.down.start) * self.across.len() + k];
            if piece.length == 0 {
                rows.clone().for_each(|row| sum += none(&mut band.levels[place(row)]));
                continue;
            }
            let put = |row: usize, bytes: &[u8]| {
                if rows.contains(&(top + row)) {
                    let samples = self.samples(bytes, first - left);
                    sum += take(samples, &mut band.levels[place(top + row)]);
                }
            };
            let go_on = |count: usize| {
                let before = done.fetch_add(count as u64, Ordering::Relaxed) as f64;
                effort.at((before + count as f64) / all)
            };
            unpacker.rows(piece, content_rows, put, go_on)?;
        }
        Ok(sum)
    }
}
