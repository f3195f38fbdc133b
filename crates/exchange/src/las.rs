//! Ground points from LAS and LAZ (ASPRS LAS Specification 1.4-R15, and 1.0 to 1.3; point formats 0 to 10).
//!
//! Header and records are read here, so that every count and place is held against the bytes that are there before it
//! is used; what is compressed goes through the `laz` library, chunk by chunk (see `laz_chunks`).

use measure::Point;

use crate::error::shown;
use crate::ground::{Beside, Stated};
use crate::laz_chunks::Compressed;
use crate::spread_out::{Kept, Thinner};
use crate::{FileError, GroundFile, ReadOptions, geokeys, points, prj};
use terrain::RawShot;

/// Most shots that are made of a point cloud; more are thinned (own choice: what can be triangulated at once).
pub const MOST_CLOUD_SHOTS: u64 = 1_000_000;
/// Points nearer to each other than this are one, in the unit of the file and in degrees (own choice: 1 cm or less).
const SAME: (f64, f64) = (0.01, 1e-7);
/// Bytes of a record of each point format (LAS 1.4, section 2.6).
const RECORD_BYTES: [u16; 11] = [20, 28, 26, 34, 57, 63, 30, 36, 38, 59, 67];
/// Class of ground (LAS 1.4, tables 9 and 17).
const GROUND: u8 = 2;

/// Whether bytes are LAS or LAZ.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    bytes.starts_with(b"LASF")
}

/// Reads the ground points of a LAS or LAZ file: those of class 2 where there are any, else all; withheld and
/// synthetic ones are left out. More than [`MOST_CLOUD_SHOTS`] (or [`ReadOptions::most_cells`]) are thinned to one in
/// each square.
pub fn read_las(bytes: &[u8], options: &ReadOptions) -> Result<GroundFile, FileError> {
    read(bytes, &Beside::default(), options)
}

pub(crate) fn read(bytes: &[u8], beside: &Beside, options: &ReadOptions) -> Result<GroundFile, FileError> {
    let header = Header::read(bytes)?;
    let mut stated = Stated::default();
    let records = header.records(bytes)?;
    header.state(&records, &mut stated);
    stated.take_prj(beside);
    let degrees = stated.crs.as_ref().or(options.crs.as_ref()).is_some_and(crate::Crs::is_degrees);
    let most = options.most_cells.clamp(3, MOST_CLOUD_SHOTS) as usize;
    let mut cloud = Cloud::new(&header, most, if degrees { SAME.1 } else { SAME.0 });
    match records.iter().find(|record| record.is(b"laszip encoded", 22204)) {
        Some(vlr) if header.compressed => {
            let all = Compressed::open(bytes, &header, vlr.data)?;
            all.each(&mut |record| cloud.take(record))?;
        }
        None if header.compressed => {
            return Err(FileError::malformed("the records", "no laszip record", "one, as the points are compressed"));
        }
        _ => header.plain_points(bytes)?.try_for_each(|record| cloud.take(record))?,
    }
    let shots = cloud.finish(&mut stated)?;
    points::settle(shots, false, stated, options)
}

/// The parts of the header that are needed.
pub(crate) struct Header {
    /// Bytes before the first record.
    size: usize,
    /// Byte at which the points begin.
    pub start: usize,
    records: u32,
    later: (u64, u32),
    /// Point format, 0 to 10.
    format: u8,
    /// Whether the points are compressed.
    pub compressed: bool,
    /// Bytes of one point.
    pub length: usize,
    /// Number of points.
    pub count: u64,
    scale: [f64; 3],
    offset: [f64; 3],
    wkt: bool,
}

/// Little-endian numbers at places that are known to be there.
struct Bytes<'b>(&'b [u8]);

impl Bytes<'_> {
    fn take<const N: usize>(&self, at: usize) -> [u8; N] {
        self.0.get(at..at + N).and_then(|bytes| bytes.try_into().ok()).unwrap_or([0; N])
    }

    fn u16(&self, at: usize) -> u16 {
        u16::from_le_bytes(self.take(at))
    }

    fn u32(&self, at: usize) -> u32 {
        u32::from_le_bytes(self.take(at))
    }

    fn u64(&self, at: usize) -> u64 {
        u64::from_le_bytes(self.take(at))
    }

    fn f64(&self, at: usize) -> f64 {
        f64::from_le_bytes(self.take(at))
    }
}

impl Header {
    fn read(bytes: &[u8]) -> Result<Self, FileError> {
        let head = Bytes(bytes);
        let version = (head.take::<1>(24)[0], head.take::<1>(25)[0]);
        let size = usize::from(head.u16(94));
        let least = if version.1 >= 4 { 375 } else { 227 };
        if !looks_like(bytes) || version.0 != 1 || version.1 > 4 {
            let found = format!(
                "{} of version {}.{}",
                shown(&String::from_utf8_lossy(&head.take::<4>(0))),
                version.0,
                version.1
            );
            return Err(FileError::malformed("byte 0", found, "LASF of version 1.0 to 1.4"));
        }
        if size < least || bytes.len() < size {
            let found = format!("a header of {size} bytes in a file of {}", bytes.len());
            return Err(FileError::malformed("byte 94", found, format!("a header of at least {least} bytes")));
        }
        let stored = head.take::<1>(104)[0];
        let new = version.1 >= 4;
        let old_count = u64::from(head.u32(107));
        let header = Self {
            size,
            start: head.u32(96) as usize,
            records: head.u32(100),
            later: if new { (head.u64(235), head.u32(243)) } else { (0, 0) },
            format: stored & 0x3f,
            compressed: stored & 0x80 != 0,
            length: usize::from(head.u16(105)),
            count: if new && head.u64(247) > 0 { head.u64(247) } else { old_count },
            scale: [131, 139, 147].map(|at| head.f64(at)),
            offset: [155, 163, 171].map(|at| head.f64(at)),
            wkt: head.u16(6) & 0x10 != 0,
        };
        header.check(bytes.len())?;
        Ok(header)
    }

    fn check(&self, file: usize) -> Result<(), FileError> {
        let Some(least) = RECORD_BYTES.get(usize::from(self.format)) else {
            return Err(FileError::unsupported(format!("point format {}", self.format), "point formats 0 to 10"));
        };
        if self.length < usize::from(*least) {
            let found = format!("points of {} bytes in format {}", self.length, self.format);
            return Err(FileError::malformed("byte 105", found, format!("at least {least} bytes")));
        }
        if self.start < self.size || self.start > file {
            let found = format!("points at byte {} in a file of {file}", self.start);
            return Err(FileError::malformed("byte 96", found, "a place behind the header, in the file"));
        }
        let sound =
            self.scale.iter().all(|s| s.is_finite() && *s != 0.0) && self.offset.iter().all(|o| o.is_finite());
        if !sound {
            let found = format!("scales {:?} and offsets {:?}", self.scale, self.offset);
            return Err(FileError::malformed("byte 131", found, "finite numbers and scales other than 0"));
        }
        if self.count == 0 {
            return Err(FileError::malformed("byte 107", "no points", "at least three points"));
        }
        Ok(())
    }

    /// The records between header and points, and those behind the points.
    fn records<'b>(&self, bytes: &'b [u8]) -> Result<Vec<Record<'b>>, FileError> {
        let mut all = Vec::new();
        let mut at = self.size;
        for _ in 0..self.records {
            // Some writers count records that they did not write.
            if at + 54 > self.start {
                break;
            }
            at = take_record(bytes, at, false, &mut all)?;
        }
        let mut at = usize::try_from(self.later.0).unwrap_or(usize::MAX);
        for _ in 0..self.later.1 {
            at = take_record(bytes, at, true, &mut all)?;
        }
        Ok(all)
    }

    /// Takes coordinate system and units from the records.
    fn state(&self, records: &[Record], stated: &mut Stated) {
        let projection = |number| records.iter().find(|r| r.is(b"LASF_Projection", number)).map(|r| r.data);
        let keys = projection(34735);
        if let Some(text) = projection(2112).filter(|_| self.wkt || keys.is_none()) {
            return prj::state(&String::from_utf8_lossy(text), "the file", stated);
        }
        let Some(keys) = keys else { return };
        let list: Vec<u64> = keys.chunks_exact(2).map(|b| u64::from(u16::from_le_bytes([b[0], b[1]]))).collect();
        let doubles = projection(34736).unwrap_or_default().chunks_exact(8);
        let doubles: Vec<f64> = doubles.filter_map(|b| b.try_into().ok().map(f64::from_le_bytes)).collect();
        let text = String::from_utf8_lossy(projection(34737).unwrap_or_default());
        geokeys::state(&list, &doubles, &text, stated);
    }

    /// The points of a file that is not compressed.
    fn plain_points<'b>(&self, bytes: &'b [u8]) -> Result<impl Iterator<Item = &'b [u8]>, FileError> {
        let there = (bytes.len() - self.start) / self.length;
        if (there as u64) < self.count {
            return Err(FileError::malformed(
                format!("point {}", there + 1),
                "the end of the file",
                format!("{} points of {} bytes", self.count, self.length),
            ));
        }
        Ok(bytes[self.start..].chunks_exact(self.length).take(self.count as usize))
    }
}

/// A record of variable length.
struct Record<'b> {
    user: &'b [u8],
    number: u16,
    data: &'b [u8],
}

impl Record<'_> {
    fn is(&self, user: &[u8], number: u16) -> bool {
        self.number == number && self.user.split(|byte| *byte == 0).next() == Some(user)
    }
}

/// Takes the record at a byte, the later ones with their longer head; answers the byte behind it.
fn take_record<'b>(bytes: &'b [u8], at: usize, later: bool, into: &mut Vec<Record<'b>>) -> Result<usize, FileError> {
    let head_bytes = if later { 60 } else { 54 };
    let rest = bytes.get(at..).unwrap_or_default();
    let head = Bytes(rest);
    let length = if later { head.u64(20) } else { u64::from(head.u16(20)) };
    let end = usize::try_from(length).ok().and_then(|length| length.checked_add(head_bytes));
    let Some(end) = end.filter(|end| *end <= rest.len()) else {
        let found = format!("a record of {length} bytes where {} are left", rest.len());
        return Err(FileError::malformed(format!("byte {at}"), found, "a whole record"));
    };
    into.push(Record { user: &rest[2..18], number: head.u16(18), data: &rest[head_bytes..end] });
    Ok(at + end)
}

/// What is needed of one point.
struct CloudPoint {
    at: [f64; 3],
    class: u8,
    dropped: bool,
}

/// The points that become shots, and how many were left out.
struct Cloud<'h> {
    header: &'h Header,
    ground: Thinner,
    /// Every point, until the first ground point shows that the file is classified.
    any: Thinner,
    all: u64,
    dropped: u64,
    of_ground: u64,
}

impl<'h> Cloud<'h> {
    fn new(header: &'h Header, most: usize, same: f64) -> Self {
        Self {
            header,
            ground: Thinner::new(most, same),
            any: Thinner::new(most, same),
            all: 0,
            dropped: 0,
            of_ground: 0,
        }
    }

    fn take(&mut self, record: &[u8]) -> Result<(), FileError> {
        self.all += 1;
        let point = self.header.point(record);
        if point.at.iter().any(|v| v.is_nan() || v.abs() >= 1e9) {
            let found = format!("{:?}", point.at);
            return Err(FileError::malformed(format!("point {}", self.all), found, "coordinates below 1e9"));
        }
        if point.dropped {
            self.dropped += 1;
            return Ok(());
        }
        let kept = Kept { at: point.at, number: self.all };
        if point.class == GROUND {
            self.of_ground += 1;
            self.any.clear();
            self.ground.put(kept);
        } else if self.of_ground == 0 {
            self.any.put(kept);
        }
        Ok(())
    }

    fn finish(self, stated: &mut Stated) -> Result<Vec<RawShot>, FileError> {
        if self.dropped > 0 {
            stated.note(format!("{} withheld or synthetic points were left out", self.dropped));
        }
        let (taken, chosen) = if self.of_ground > 0 {
            stated.note(format!("{} of {} points are ground (class 2) and were taken", self.of_ground, self.all));
            (self.of_ground, self.ground)
        } else {
            let text =
                "no point is classified as ground (class 2); all were taken, with trees and roofs if there are any";
            stated.note(text);
            (self.all - self.dropped, self.any)
        };
        let cell = chosen.cell();
        let shots = chosen.finish();
        if (shots.len() as u64) < taken {
            let left = shots.len();
            stated.note(format!("{taken} points were thinned to {left}: one in each square of {cell:.4} units, that nearest its middle"));
        }
        let shot = |kept: Kept| RawShot {
            at: Point::new(kept.at[0], kept.at[1]),
            level_m: kept.at[2],
            name: None,
            code: None,
            batch: None,
            line: kept.number as usize,
        };
        Ok(shots.into_iter().map(shot).collect())
    }
}

impl Header {
    /// Place, class and flags of a point record (LAS 1.4, tables 7 and 13).
    fn point(&self, record: &[u8]) -> CloudPoint {
        let head = Bytes(record);
        let coordinate = |axis: usize| f64::from(head.u32(4 * axis) as i32) * self.scale[axis] + self.offset[axis];
        let at = [coordinate(0), coordinate(1), coordinate(2)];
        let [flags, class] = head.take::<2>(15);
        if self.format >= 6 {
            return CloudPoint { at, class, dropped: flags & 0b101 != 0 };
        }
        CloudPoint { at, class: flags & 0x1f, dropped: flags & 0xa0 != 0 }
    }
}
