//! The content of one stored piece of a TIFF, row by row: unpacked as a stream, predictor undone.
//!
//! Nothing here grows with the piece: stored bytes are read in parts of at most [`PART`] bytes, and the content is
//! handed on in parts of as many rows as fit in [`PART`] bytes, at least one.

use flate2::{Decompress, FlushDecompress, Status};
use weezl::decode::{Configuration, Decoder};
use weezl::{BitOrder, LzwStatus};

use crate::FileError;
use crate::source::Source;
use crate::tiff_layout::{Codec, Layout, Predictor, Stored};

/// Bytes read and unpacked at a time (own choice: what stays in a processor's cache).
pub(crate) const PART: usize = 256 << 10;

/// What one thread holds while it unpacks pieces of one page.
pub(crate) struct Unpacker<'a> {
    layout: &'a Layout,
    big_endian: bool,
    stream: Stream<'a>,
    content: Vec<u8>,
    spare: Vec<u8>,
}

impl<'a> Unpacker<'a> {
    /// Room and codec for the pieces of a page.
    pub fn new(source: &'a dyn Source, layout: &'a Layout, big_endian: bool) -> Self {
        let row = layout.row_bytes();
        let content = vec![0; row * (PART / row).clamp(1, layout.piece.1)];
        Self { layout, big_endian, stream: Stream::new(source, layout), content, spare: Vec::new() }
    }

    /// Calls `put(row, bytes)` for every row of a piece from its first, samples in the file's byte order, and `go_on` with
    /// the number of rows after every part.
    pub fn rows(
        &mut self,
        piece: Stored,
        rows: usize,
        mut put: impl FnMut(usize, &[u8]),
        mut go_on: impl FnMut(usize) -> Result<(), FileError>,
    ) -> Result<(), FileError> {
        self.stream.begin(piece);
        let row_bytes = self.layout.row_bytes();
        let at_once = self.content.len() / row_bytes;
        for first in (0..rows).step_by(at_once) {
            let part = &mut self.content[..at_once.min(rows - first) * row_bytes];
            if self.stream.fill(part)? < part.len() {
                return Err(FileError::malformed("the cells", "too few values", "a full piece"));
            }
            for (k, row) in part.chunks_exact_mut(row_bytes).enumerate() {
                undo(row, self.layout, self.big_endian, &mut self.spare);
                put(first + k, row);
            }
            go_on(at_once.min(rows - first))?;
        }
        // A last strip may be filled up to its full height.
        self.stream.check_end(&mut self.content, (self.layout.piece.1 - rows) * row_bytes)
    }
}

/// The stored bytes of a piece on their way through the codec.
struct Stream<'a> {
    source: &'a dyn Source,
    reversed: bool,
    /// The bytes not yet read.
    left: Stored,
    /// The part in hand, and how much of it the codec has taken.
    part: Vec<u8>,
    taken: usize,
    state: State,
    codec: Machine,
}

#[derive(PartialEq)]
enum State {
    Running,
    /// The codec met its own end mark.
    Ended,
    /// The codec wants bytes that are not there.
    Dry,
}

impl<'a> Stream<'a> {
    fn new(source: &'a dyn Source, layout: &Layout) -> Self {
        let (left, reversed) = (Stored { at: 0, length: 0 }, layout.reversed);
        let codec = Machine::new(layout.codec);
        Self { source, reversed, left, part: Vec::new(), taken: 0, state: State::Dry, codec }
    }

    fn begin(&mut self, piece: Stored) {
        self.left = piece;
        self.part.clear();
        self.taken = 0;
        self.state = State::Running;
        self.codec.reset();
    }

    /// Fills `out` as far as the piece goes; how far.
    fn fill(&mut self, out: &mut [u8]) -> Result<usize, FileError> {
        let mut made = 0;
        while made < out.len() && self.state == State::Running {
            if self.taken == self.part.len() && self.left.length > 0 {
                self.next_part()?;
            }
            let step = self.codec.step(&self.part[self.taken..], &mut out[made..])?;
            self.taken += step.used;
            made += step.made;
            if step.ended {
                self.state = State::Ended;
            } else if step.used == 0 && step.made == 0 {
                self.state = State::Dry;
            }
        }
        Ok(made)
    }

    fn next_part(&mut self) -> Result<(), FileError> {
        self.part.resize(self.left.length.min(PART as u64) as usize, 0);
        self.source.read_at(self.left.at, &mut self.part)?;
        if self.reversed {
            self.part.iter_mut().for_each(|byte| *byte = byte.reverse_bits());
        }
        self.left.at += self.part.len() as u64;
        self.left.length -= self.part.len() as u64;
        self.taken = 0;
        Ok(())
    }

    /// Deflate ends with a checksum of the content; without a look at it a damaged piece would come out as ground. At
    /// most `most` bytes beyond the content are passed over.
    fn check_end(&mut self, spare: &mut [u8], most: usize) -> Result<(), FileError> {
        if !matches!(self.codec, Machine::Deflate(_)) {
            return Ok(());
        }
        let mut beyond = 0;
        while self.state == State::Running {
            beyond += self.fill(spare)?;
            if beyond > most {
                return Err(damaged("more content than a piece holds"));
            }
        }
        if self.state == State::Ended { Ok(()) } else { Err(damaged("a stream without an end")) }
    }
}

/// A codec at work.
enum Machine {
    Plain,
    Deflate(Decompress),
    Lzw(Box<Decoder>),
    PackBits(Run),
}

/// Where a PackBits stream stands (TIFF 6.0, section 9).
#[derive(Clone, Copy)]
enum Run {
    Head,
    Literal(usize),
    RepeatOfNext(usize),
    Repeat(usize, u8),
}

/// What a codec did with a part of its input.
struct Step {
    used: usize,
    made: usize,
    ended: bool,
}

impl Machine {
    fn new(codec: Codec) -> Self {
        match codec {
            Codec::Plain => Self::Plain,
            Codec::Deflate => Self::Deflate(Decompress::new(true)),
            Codec::Lzw => {
                let lzw = Configuration::with_tiff_size_switch(BitOrder::Msb, 8).with_yield_on_full_buffer(true);
                Self::Lzw(Box::new(lzw.build()))
            }
            Codec::PackBits => Self::PackBits(Run::Head),
        }
    }

    fn reset(&mut self) {
        match self {
            Self::Plain => {}
            Self::Deflate(inflater) => inflater.reset(true),
            Self::Lzw(decoder) => decoder.reset(),
            Self::PackBits(run) => *run = Run::Head,
        }
    }

    fn step(&mut self, input: &[u8], out: &mut [u8]) -> Result<Step, FileError> {
        match self {
            Self::Plain => {
                let count = input.len().min(out.len());
                out[..count].copy_from_slice(&input[..count]);
                Ok(Step { used: count, made: count, ended: false })
            }
            Self::Deflate(inflater) => inflate(inflater, input, out),
            Self::Lzw(decoder) => {
                let result = decoder.decode_bytes(input, out);
                let ended = matches!(result.status.map_err(damaged)?, LzwStatus::Done);
                Ok(Step { used: result.consumed_in, made: result.consumed_out, ended })
            }
            Self::PackBits(run) => Ok(unpack_bits(run, input, out)),
        }
    }
}

fn inflate(inflater: &mut Decompress, input: &[u8], out: &mut [u8]) -> Result<Step, FileError> {
    let before = (inflater.total_in(), inflater.total_out());
    let status = inflater.decompress(input, out, FlushDecompress::None).map_err(damaged)?;
    let (used, made) = (inflater.total_in() - before.0, inflater.total_out() - before.1);
    Ok(Step { used: used as usize, made: made as usize, ended: status == Status::StreamEnd })
}

fn unpack_bits(run: &mut Run, input: &[u8], out: &mut [u8]) -> Step {
    let (mut used, mut made) = (0, 0);
    while made < out.len() {
        match *run {
            Run::Repeat(count, byte) => {
                let now = count.min(out.len() - made);
                out[made..made + now].fill(byte);
                made += now;
                *run = if now == count { Run::Head } else { Run::Repeat(count - now, byte) };
            }
            _ if used == input.len() => break,
            Run::Literal(count) => {
                let now = count.min(out.len() - made).min(input.len() - used);
                out[made..made + now].copy_from_slice(&input[used..used + now]);
                (used, made) = (used + now, made + now);
                *run = if now == count { Run::Head } else { Run::Literal(count - now) };
            }
            Run::RepeatOfNext(count) => {
                *run = Run::Repeat(count, input[used]);
                used += 1;
            }
            Run::Head => {
                *run = match input[used] {
                    128 => Run::Head,
                    count @ 0..128 => Run::Literal(usize::from(count) + 1),
                    count => Run::RepeatOfNext(257 - usize::from(count)),
                };
                used += 1;
            }
        }
    }
    Step { used, made, ended: false }
}

fn damaged(what: impl std::fmt::Display) -> FileError {
    FileError::malformed("the cells", format!("damaged data ({what})"), "sound image data")
}

/// Undoes the predictor in a row.
fn undo(row: &mut [u8], layout: &Layout, big_endian: bool, spare: &mut Vec<u8>) {
    match layout.predictor {
        Predictor::None => {}
        Predictor::Horizontal => undo_horizontal(row, layout, big_endian),
        Predictor::Floating => {
            sum_up(row, layout.step);
            spare.clear();
            spare.extend_from_slice(row);
            match layout.bits {
                16 => join_planes::<2>(spare, row, big_endian),
                32 => join_planes::<4>(spare, row, big_endian),
                _ => join_planes::<8>(spare, row, big_endian),
            }
        }
    }
}

/// Each sample was stored less the one before it in the same band.
fn undo_horizontal(row: &mut [u8], layout: &Layout, big_endian: bool) {
    macro_rules! sums {
        ($number:ty, $size:literal) => {
            for band in 0..layout.step {
                let mut sum: $number = 0;
                for sample in row.as_chunks_mut::<$size>().0.iter_mut().skip(band).step_by(layout.step) {
                    let step = if big_endian {
                        <$number>::from_be_bytes(*sample)
                    } else {
                        <$number>::from_le_bytes(*sample)
                    };
                    sum = sum.wrapping_add(step);
                    *sample = if big_endian { sum.to_be_bytes() } else { sum.to_le_bytes() };
                }
            }
        };
    }
    match layout.bits {
        8 => sum_up(row, layout.step),
        16 => sums!(u16, 2),
        32 => sums!(u32, 4),
        _ => sums!(u64, 8),
    }
}

/// Every byte becomes the sum of itself and those before it, `step` bytes apart.
fn sum_up(row: &mut [u8], step: usize) {
    if step > 1 {
        for at in step..row.len() {
            row[at] = row[at].wrapping_add(row[at - step]);
        }
        return;
    }
    let (eights, rest) = row.as_chunks_mut::<8>();
    let mut sum = 0;
    for eight in eights {
        let sums = sums_of_eight(u64::from_le_bytes(*eight), sum);
        *eight = sums.to_le_bytes();
        sum = eight[7];
    }
    for byte in rest {
        sum = sum.wrapping_add(*byte);
        *byte = sum;
    }
}

/// The running sums of eight bytes, the lowest first, on top of `before`; each wraps by itself.
///
/// Even and odd bytes stand apart in fields of 16 bits, where a product with ones adds up each field and those below it.
fn sums_of_eight(bytes: u64, before: u8) -> u64 {
    const LOW: u64 = 0x00ff_00ff_00ff_00ff;
    const ONES: u64 = 0x0001_0001_0001_0001;
    let even = (bytes & LOW).wrapping_mul(ONES);
    let odd = (bytes >> 8 & LOW).wrapping_mul(ONES);
    let before = u64::from(before) * ONES;
    let at_even = even.wrapping_add(odd << 16).wrapping_add(before) & LOW;
    let at_odd = even.wrapping_add(odd).wrapping_add(before) & LOW;
    at_even | at_odd << 8
}

/// Numbers whose bytes were sorted by place, largest first, are put together in the file's byte order.
fn join_planes<const SIZE: usize>(planes: &[u8], row: &mut [u8], big_endian: bool) {
    let count = row.len() / SIZE;
    let planes: [&[u8]; SIZE] = std::array::from_fn(|byte| {
        let place = if big_endian { byte } else { SIZE - 1 - byte };
        &planes[place * count..][..count]
    });
    for (k, number) in row.as_chunks_mut::<SIZE>().0.iter_mut().enumerate() {
        *number = std::array::from_fn(|byte| planes[byte][k]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_in_eights_are_sums_one_by_one() {
        let bytes: Vec<u8> = (0..1_003u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
        for step in [1, 3] {
            let mut fast = bytes.clone();
            sum_up(&mut fast, step);
            let mut slow = bytes.clone();
            (step..slow.len()).for_each(|at| slow[at] = slow[at].wrapping_add(slow[at - step]));
            assert_eq!(fast, slow);
        }
    }
}
