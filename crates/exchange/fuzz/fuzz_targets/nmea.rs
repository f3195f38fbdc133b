#![no_main]
//! Any bytes as a stream, in pieces of any size: no panic, and the same positions as in one piece.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let size = 1 + bytes.first().map_or(0, |byte| usize::from(*byte));
    let (mut whole, mut pieces) = (exchange::NmeaReader::default(), exchange::NmeaReader::default());
    let (mut once, mut again) = (0, 0);
    whole.take(bytes, |position| once += usize::from(position.lat.is_finite()));
    bytes.chunks(size).for_each(|piece| pieces.take(piece, |_| again += 1));
    assert_eq!(once, again);
});
