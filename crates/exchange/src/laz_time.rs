//! The times of compressed points of formats 1 to 5, decoded and dropped.
//!
//! The times of several flight lines take turns in one stream of code, and a symbol switches between them. The library
//! follows such symbols by calling itself, so that damaged data exhausts its stack; here they are followed in a loop
//! and held to a number. The way of coding is that of LASzip (Isenburg 2013, LASzip: lossless compression of LiDAR data,
//! Photogrammetric Engineering & Remote Sensing 79).

use std::io::{Error, ErrorKind, Read, Result};

use laz::decoders::ArithmeticDecoder;
use laz::decompressors::{IntegerDecompressor, IntegerDecompressorBuilder};
use laz::models::{ArithmeticModel, ArithmeticModelBuilder};
use laz::record::FieldDecompressor;

/// Largest multiple of the last difference that has a symbol, and the lowest, below 0.
const MOST: i32 = 500;
const LEAST: i32 = -10;
/// The symbol of an unchanged time, and that of one written in full; those above switch to another line.
const UNCHANGED: i32 = MOST - LEAST + 1;
const FULL: i32 = UNCHANGED + 1;
/// Symbols of both kinds.
const SYMBOLS: u32 = (MOST - LEAST + 6) as u32;
const SYMBOLS_OF_ZERO: u32 = 6;
/// Extreme multiples after which the difference itself is learnt anew.
const PATIENCE: u32 = 3;
/// Switches for one time: a writer needs one (own choice).
const MOST_SWITCHES: usize = 8;

/// One flight line.
#[derive(Clone, Copy, Default)]
struct Line {
    time: i64,
    difference: i32,
    extremes: u32,
}

/// Decodes times as far as the code demands it.
pub(crate) struct Times {
    multiple: ArithmeticModel,
    after_zero: ArithmeticModel,
    numbers: IntegerDecompressor,
    lines: [Line; 4],
    last: usize,
    next: usize,
}

impl Times {
    /// Nothing decoded yet.
    pub fn new() -> Self {
        Self {
            multiple: ArithmeticModelBuilder::new(SYMBOLS).build(),
            after_zero: ArithmeticModelBuilder::new(SYMBOLS_OF_ZERO).build(),
            numbers: IntegerDecompressorBuilder::new().bits(32).contexts(9).build_initialized(),
            lines: [Line::default(); 4],
            last: 0,
            next: 0,
        }
    }

    fn line(&mut self) -> &mut Line {
        &mut self.lines[self.last]
    }

    /// One symbol and what belongs to it; true where it switches to another line.
    fn step<R: Read>(&mut self, decoder: &mut ArithmeticDecoder<R>) -> Result<bool> {
        let after_zero = self.line().difference == 0;
        let symbol =
            decoder.decode_symbol(if after_zero { &mut self.after_zero } else { &mut self.multiple })? as i32;
        // Both alphabets end with the time in full and the three switches.
        let (full, plain) = if after_zero { (2, 0) } else { (FULL, UNCHANGED) };
        match symbol {
            _ if symbol > full => {
                self.last = (self.last + (symbol - full) as usize) & 3;
                return Ok(true);
            }
            _ if symbol == full => self.whole(decoder)?,
            _ if symbol == plain => {}
            1 => {
                let (guess, context) = if after_zero { (0, 0) } else { (self.line().difference, 1) };
                let difference = self.numbers.decompress(decoder, guess, context)?;
                let line = self.line();
                line.difference = if after_zero { difference } else { line.difference };
                *line = Line { time: line.time.wrapping_add(difference.into()), extremes: 0, ..*line };
            }
            _ => self.multiplied(symbol, decoder)?,
        }
        Ok(false)
    }

    /// A time written in full begins another line.
    fn whole<R: Read>(&mut self, decoder: &mut ArithmeticDecoder<R>) -> Result<()> {
        let guess = (self.line().time >> 32) as i32;
        let high = i64::from(self.numbers.decompress(decoder, guess, 8)?);
        let time = (high << 32) | i64::from(decoder.read_int()?);
        self.next = (self.next + 1) & 3;
        self.last = self.next;
        *self.line() = Line { time, difference: 0, extremes: 0 };
        Ok(())
    }

    /// A difference near a multiple of the last one.
    fn multiplied<R: Read>(&mut self, symbol: i32, decoder: &mut ArithmeticDecoder<R>) -> Result<()> {
        let (multiple, context) = match symbol {
            0 => (0, 7),
            2..=9 => (symbol, 2),
            10..MOST => (symbol, 3),
            MOST => (MOST, 4),
            _ => ((MOST - symbol).max(LEAST), if MOST - symbol > LEAST { 5 } else { 6 }),
        };
        let guess = multiple.wrapping_mul(self.line().difference);
        let difference = self.numbers.decompress(decoder, guess, context)?;
        let line = self.line();
        line.extremes += u32::from(matches!(context, 4 | 6 | 7));
        if line.extremes > PATIENCE {
            (line.difference, line.extremes) = (difference, 0);
        }
        line.time = line.time.wrapping_add(difference.into());
        Ok(())
    }
}

impl<R: Read> FieldDecompressor<R> for Times {
    fn size_of_field(&self) -> usize {
        8
    }

    fn decompress_first(&mut self, source: &mut R, first: &mut [u8]) -> Result<()> {
        let mut time = [0; 8];
        source.read_exact(&mut time)?;
        first.copy_from_slice(&time);
        self.lines[0].time = i64::from_le_bytes(time);
        Ok(())
    }

    fn decompress_with(&mut self, decoder: &mut ArithmeticDecoder<R>, time: &mut [u8]) -> Result<()> {
        for _ in 0..MOST_SWITCHES {
            if !self.step(decoder)? {
                time.copy_from_slice(&self.line().time.to_le_bytes());
                return Ok(());
            }
        }
        Err(Error::new(ErrorKind::InvalidData, "times that switch between flight lines without end"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Code of one byte over and over decodes to the same symbol for ever; the highest ones switch lines.
    #[test]
    fn switches_without_end_are_refused() {
        let mut refused = 0;
        for byte in 0..=254u8 {
            let code = vec![byte; 20_000];
            let mut decoder = ArithmeticDecoder::new(&code[..]);
            decoder.read_init_bytes().unwrap();
            let mut times = Times::new();
            let mut time = [0; 8];
            let error = (0..200_000).find_map(|_| times.decompress_with(&mut decoder, &mut time).err());
            refused += usize::from(error.is_some_and(|error| error.kind() == ErrorKind::InvalidData));
        }
        assert!(refused > 0);
    }
}
