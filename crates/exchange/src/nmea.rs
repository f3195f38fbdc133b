//! Sentences of a satellite receiver, NMEA 0183: its position (GGA). A stream is taken as it comes, in pieces of any size; what
//! is no whole sentence with a sound checksum is counted and left out.

use plan::FixQuality;

/// Longest sentence that is held, bytes: 82 by the standard; receivers that write more figures need some more (own choice).
const LONGEST: usize = 160;

/// A position as a receiver tells it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// Time of the day, seconds, universal time.
    pub time_s: f64,
    /// Longitude, degrees.
    pub lon: f64,
    /// Latitude, degrees.
    pub lat: f64,
    /// What kind of fix it has; `None` while it has none, or only guesses.
    pub quality: Option<FixQuality>,
    /// Satellites in use.
    pub satellites: u32,
    /// Height of the antenna over the geoid, metres.
    pub height_m: f64,
    /// Height of the geoid over the ellipsoid that it used, metres; `None` where it tells none.
    pub geoid_m: Option<f64>,
    /// Age of the corrections, seconds; `None` where it tells none.
    pub age_s: Option<f64>,
}

/// What came of a stream so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Heard {
    /// Positions.
    pub positions: u64,
    /// Sound sentences that tell no position.
    pub others: u64,
    /// Sentences whose checksum is wrong or not there.
    pub unsound: u64,
    /// Bytes, and parts of sentences, that belong to no whole one.
    pub cut: u64,
}

/// Takes a stream apart; holds no more than one sentence.
#[derive(Debug, Default)]
pub struct NmeaReader {
    line: Vec<u8>,
    /// What came of it so far.
    pub heard: Heard,
}

impl NmeaReader {
    /// Takes what came; hears of every position in it.
    pub fn take(&mut self, bytes: &[u8], mut told: impl FnMut(Position)) {
        for byte in bytes {
            match byte {
                b'$' => {
                    self.heard.cut += u64::from(!self.line.is_empty());
                    self.line.clear();
                    self.line.push(b'$');
                }
                b'\r' | b'\n' => self.end(&mut told),
                // What stands between sentences, or goes on for ever, is none.
                _ if self.line.is_empty() => {}
                _ if self.line.len() >= LONGEST => {
                    self.heard.cut += 1;
                    self.line.clear();
                }
                byte => self.line.push(*byte),
            }
        }
    }

    fn end(&mut self, told: &mut impl FnMut(Position)) {
        if self.line.is_empty() {
            return;
        }
        match sound(&self.line) {
            None => self.heard.unsound += 1,
            Some(body) => match position(body) {
                Some(position) => {
                    self.heard.positions += 1;
                    told(position);
                }
                None => self.heard.others += 1,
            },
        }
        self.line.clear();
    }
}

/// What stands between `$` and `*` of a sentence; `None` unless its checksum, the exclusive or of that, is right.
fn sound(line: &[u8]) -> Option<&str> {
    let text = std::str::from_utf8(line.get(1..)?).ok()?;
    let (body, sum) = text.split_once('*')?;
    let is_hex = sum.len() == 2 && sum.bytes().all(|b| b.is_ascii_hexdigit());
    let stated = u8::from_str_radix(sum, 16).ok().filter(|_| is_hex)?;
    (body.bytes().fold(0, |sum, byte| sum ^ byte) == stated).then_some(body)
}

/// The position of a GGA sentence; `None` for any other, and for one without a place.
fn position(body: &str) -> Option<Position> {
    let fields: Vec<&str> = body.split(',').collect();
    if !fields.first()?.ends_with("GGA") || fields.len() < 14 {
        return None;
    }
    let number = |i: usize| fields[i].parse::<f64>().ok().filter(|value| value.is_finite());
    Some(Position {
        time_s: seconds(fields[1])?,
        lat: degrees(fields[2], 2, 90.0)? * sign(fields[3], "N", "S")?,
        lon: degrees(fields[4], 3, 180.0)? * sign(fields[5], "E", "W")?,
        quality: quality(fields[6]),
        satellites: fields[7].parse().unwrap_or(0),
        height_m: number(9).filter(|_| fields[10] == "M").filter(|m| m.abs() < 1e5)?,
        geoid_m: number(11).filter(|_| fields[12] == "M").filter(|m| m.abs() < 1e3),
        age_s: number(13).filter(|age_s| (0.0..1e4).contains(age_s)),
    })
}

/// The quality indicator of GGA: 0 none, 1 alone, 2 differential, 4 fixed, 5 float; 3 is a service of old for the few, 6 to 8 are
/// guesses, typed or simulated (NMEA 0183, [memory]).
fn quality(field: &str) -> Option<FixQuality> {
    match field {
        "1" => Some(FixQuality::Single),
        "2" => Some(FixQuality::Differential),
        "4" => Some(FixQuality::Fixed),
        "5" => Some(FixQuality::Float),
        _ => None,
    }
}

/// `hhmmss.ss` as seconds of the day.
fn seconds(field: &str) -> Option<f64> {
    let two = |at: usize| field.get(at..at + 2)?.parse::<u32>().ok();
    let (hour, minute) = (two(0)?, two(2)?);
    let second = field.get(4..)?.parse::<f64>().ok().filter(|second| (0.0..61.0).contains(second))?;
    (hour < 24 && minute < 60).then(|| f64::from(hour * 3600 + minute * 60) + second)
}

/// `ddmm.mmmm` as degrees, with so many figures of whole degrees.
fn degrees(field: &str, whole: usize, most: f64) -> Option<f64> {
    let degrees = field.get(..whole)?.parse::<u32>().ok()?;
    let minutes = field.get(whole..)?.parse::<f64>().ok().filter(|minutes| (0.0..60.0).contains(minutes))?;
    Some(f64::from(degrees) + minutes / 60.0).filter(|degrees| *degrees <= most)
}

fn sign(field: &str, plus: &str, minus: &str) -> Option<f64> {
    match field {
        letter if letter == plus => Some(1.0),
        letter if letter == minus => Some(-1.0),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The sentence that manuals of receivers print as the example of a GGA, with its checksum.
    const EXAMPLE: &str = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n";

    fn read(bytes: &[u8]) -> (Vec<Position>, Heard) {
        let (mut reader, mut found) = (NmeaReader::default(), Vec::new());
        reader.take(bytes, |position| found.push(position));
        (found, reader.heard)
    }

    #[test]
    fn the_printed_example_is_read() {
        let (found, heard) = read(EXAMPLE.as_bytes());
        let position = found[0];
        assert!(
            (position.lat - 48.1173).abs() < 1e-9 && (position.lon - 11.516_666_666).abs() < 1e-8,
            "{position:?}"
        );
        assert_eq!((position.time_s, position.satellites), (45_319.0, 8));
        assert_eq!((position.height_m, position.geoid_m, position.age_s), (545.4, Some(46.9), None));
        assert_eq!(position.quality, Some(FixQuality::Single));
        assert_eq!(heard, Heard { positions: 1, ..Heard::default() });
    }

    #[test]
    fn what_is_not_whole_and_sound_is_left_out() {
        for (text, heard) in [
            (EXAMPLE.replace("*47", "*48"), Heard { unsound: 1, ..Heard::default() }),
            (EXAMPLE.replace("*47", ""), Heard { unsound: 1, ..Heard::default() }),
            (EXAMPLE.replace("545.4", "545.5"), Heard { unsound: 1, ..Heard::default() }),
            (format!("{}{EXAMPLE}", &EXAMPLE[..30]), Heard { positions: 1, cut: 1, ..Heard::default() }),
            (format!("{}{EXAMPLE}", &EXAMPLE[30..]), Heard { positions: 1, ..Heard::default() }),
            (format!("$GPGSV,{}\r\n", "9".repeat(1000)), Heard { cut: 1, ..Heard::default() }),
            ("$GPRMC,,V,,,,,,,,,,N*53\r\n".into(), Heard { others: 1, ..Heard::default() }),
            ("$GPGGA,,,,,,0,,,,,,,,*66\r\n".into(), Heard { others: 1, ..Heard::default() }),
        ] {
            assert_eq!(read(text.as_bytes()).1, heard, "{text}");
        }
    }

    proptest! {
        /// However a stream is cut into pieces, and whatever stands between, the same positions are heard.
        #[test]
        fn pieces_of_any_size_make_the_same(cut in 1usize..40, noise in proptest::collection::vec(any::<u8>(), 0..60)) {
            let mut noise = noise;
            noise.retain(|byte| *byte != b'$');
            let stream = [&noise, EXAMPLE.as_bytes(), &noise, b"\n", EXAMPLE.as_bytes()].concat();
            let (mut reader, mut count) = (NmeaReader::default(), 0);
            stream.chunks(cut).for_each(|piece| reader.take(piece, |_| count += 1));
            prop_assert_eq!(count, 2);
            prop_assert!(reader.line.len() <= LONGEST);
        }
    }
}
