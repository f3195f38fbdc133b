//! Shapes from a shapefile (ESRI Shapefile Technical Description, July 1998) with its `.dbf` and `.prj`.
//!
//! Read here and not by a library: every count in a record must be held against the record's length before anything
//! is made of it, and that is most of the reading.

use std::sync::Arc;

use serde_json::{Map, Value};

use crate::dbf::Table;
use crate::error::shown;
use crate::vector::{Geometry, Position, Shape, System, VectorFile, number_parts};
use crate::{FileError, prj};

/// Largest `.dbf` file that is read, bytes (own choice).
pub(crate) const MOST_TABLE_BYTES: u64 = 256 << 20;
/// Bytes before the first record.
const HEAD: usize = 100;
/// Values below this stand for no value (Technical Description, page 2).
const NO_DATA: f64 = -1e38;

/// Whether bytes are a `.shp` file.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0, 0, 0x27, 0x0a])
}

/// The shapes of a `.shp` file with the attributes of its table and the system of its `.prj` text.
pub(crate) fn features(bytes: &[u8], table: Option<&[u8]>, prj: Option<&str>) -> Result<VectorFile, FileError> {
    if !looks_like(bytes) || bytes.len() < HEAD {
        let found = format!("{} bytes without the mark of a shapefile", bytes.len());
        return Err(FileError::malformed("byte 0", found, "a .shp file (9994)"));
    }
    let mut notes = Vec::new();
    let table = table.map(Table::open).transpose()?;
    let (mut shapes, mut count) = (Vec::new(), 0);
    for record in (Records { bytes, at: HEAD }) {
        let record = record?;
        count += 1;
        let properties = table.as_ref().map(|table| Arc::new(table.row(count - 1))).unwrap_or_default();
        record.take(count, properties, &mut shapes, &mut notes)?;
    }
    number_parts(&mut shapes);
    if let Some(table) = table.filter(|table| table.len() != count) {
        notes.push(format!("{count} shapes, but {} rows of attributes in the .dbf file", table.len()));
    }
    let system = system(prj, &mut notes);
    Ok(VectorFile { shapes, system, format: "shapefile", notes })
}

fn system(prj: Option<&str>, notes: &mut Vec<String>) -> System {
    match prj.map(|text| (prj::crs_of(text), text)) {
        Some((Some(crs), _)) => System::Stated(crs),
        Some((None, text)) => {
            notes.push(format!("the .prj file names {}, which is not understood", prj::name_of(text)));
            System::Unknown
        }
        None => System::Unknown,
    }
}

/// The content of one record and the byte at which it starts.
struct Record<'b> {
    content: &'b [u8],
    at: usize,
}

/// Record after record.
struct Records<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl<'b> Iterator for Records<'b> {
    type Item = Result<Record<'b>, FileError>;

    fn next(&mut self) -> Option<Self::Item> {
        // Some writers fill the file up behind the last record.
        let rest = self.bytes.get(self.at..).filter(|rest| rest.iter().take(8).any(|byte| *byte != 0))?;
        let at = self.at;
        let length = rest.get(4..8).map(|b| 2 * u32::from_be_bytes([b[0], b[1], b[2], b[3]]) as usize);
        let content = length.and_then(|length| rest.get(8..8 + length));
        self.at = content.map_or(self.bytes.len(), |content| at + 8 + content.len());
        let cut = || {
            let found = format!("a record of {} bytes where {} are left", length.unwrap_or(0), rest.len());
            FileError::malformed(format!("byte {at}"), found, "a whole record")
        };
        Some(content.map(|content| Record { content, at }).ok_or_else(cut))
    }
}

impl Record<'_> {
    fn int(&self, at: usize) -> Result<usize, FileError> {
        let bytes = self.content.get(at..at + 4).ok_or_else(|| self.short())?;
        Ok(u32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]) as usize)
    }

    fn double(&self, at: usize) -> f64 {
        self.content.get(at..at + 8).and_then(|b| b.try_into().ok()).map_or(f64::NAN, f64::from_le_bytes)
    }

    fn short(&self) -> FileError {
        let found = format!("a record of {} bytes", self.content.len());
        FileError::malformed(format!("byte {}", self.at), found, "as many bytes as its shape needs")
    }

    /// Adds the shapes of a record, the parts of one as shapes of their own.
    fn take(
        &self,
        number: usize,
        properties: Arc<Map<String, Value>>,
        into: &mut Vec<Shape>,
        notes: &mut Vec<String>,
    ) -> Result<(), FileError> {
        let place = format!("shape {number}");
        let (geometries, kind) = match self.int(0)? {
            0 => return Ok(()),
            1 | 11 | 21 => {
                (vec![Geometry::Points(self.positions(1, 4, (self.int(0)? == 11).then_some(20))?)], "Point")
            }
            8 | 18 | 28 => (vec![Geometry::Points(self.many(40, self.int(36)?)?)], "MultiPoint"),
            3 | 13 | 23 => {
                (self.parts()?.into_iter().filter(|part| part.len() > 1).map(Geometry::Line).collect(), "PolyLine")
            }
            5 | 15 | 25 => (polygons(self.parts()?, &place, notes), "Polygon"),
            31 => return Err(FileError::unsupported(format!("{place}, a MultiPatch"), "points, lines and polygons")),
            other => {
                let found = format!("shape type {other}");
                return Err(FileError::malformed(
                    format!("byte {}", self.at + 8),
                    found,
                    "a shape type of the format",
                ));
            }
        };
        into.extend(geometries.into_iter().map(|geometry| Shape {
            geometry,
            kind,
            properties: properties.clone(),
            place: place.clone(),
        }));
        Ok(())
    }

    /// Points of a record of many: places from `at` on, then, in a type with heights, their range and the heights.
    fn many(&self, at: usize, count: usize) -> Result<Vec<Position>, FileError> {
        let end = count.checked_mul(16).map(|bytes| at + bytes).ok_or_else(|| self.short())?;
        let has_heights = matches!(self.int(0)?, 13 | 15 | 18);
        self.positions(count, at, has_heights.then_some(end + 16))
    }

    /// So many points at a byte of the content, with the heights at another.
    fn positions(&self, count: usize, at: usize, heights: Option<usize>) -> Result<Vec<Position>, FileError> {
        let end = count.checked_mul(16).map_or(usize::MAX, |bytes| at.saturating_add(bytes));
        let end_of_heights = heights.map_or(0, |start| start.saturating_add(count.saturating_mul(8)));
        if end.max(end_of_heights) > self.content.len() {
            return Err(self.short());
        }
        let position = |index: usize| {
            let (x, y) = (self.double(at + 16 * index), self.double(at + 16 * index + 8));
            let z = heights.map(|start| self.double(start + 8 * index)).filter(|z| *z > NO_DATA);
            Position::checked(x, y, z).ok_or_else(|| {
                let place = format!("byte {}", self.at + 8 + at + 16 * index);
                FileError::malformed(place, shown(&format!("{x}, {y}")), "two finite numbers")
            })
        };
        (0..count).map(position).collect()
    }

    /// The points of each part of a line or polygon.
    fn parts(&self) -> Result<Vec<Vec<Position>>, FileError> {
        let (parts, count) = (self.int(36)?, self.int(40)?);
        let start = parts.checked_mul(4).map(|bytes| 44 + bytes).ok_or_else(|| self.short())?;
        let all = self.many(start, count)?;
        let mut starts = (0..parts).map(|part| self.int(44 + 4 * part)).collect::<Result<Vec<_>, _>>()?;
        starts.push(count);
        let piece = |pair: &[usize]| {
            let found = || format!("a part from point {} to {} of {count}", pair[0], pair[1]);
            let wrong = || FileError::malformed(format!("byte {}", self.at + 52), found(), "parts in their order");
            all.get(pair[0]..pair[1]).map(<[Position]>::to_vec).ok_or_else(wrong)
        };
        starts.windows(2).map(piece).collect()
    }
}

/// Rings sorted into polygons: those that run clockwise are outer ones, the others are holes (Technical Description,
/// page 8). A hole belongs to the smallest outer ring around its first point, or the next of them that lies in one.
fn polygons(rings: Vec<Vec<Position>>, place: &str, notes: &mut Vec<String>) -> Vec<Geometry> {
    let (mut outer, holes): (Vec<_>, Vec<_>) = rings.into_iter().partition(|ring| area(ring) < 0.0);
    if outer.is_empty() {
        outer = holes;
        notes.extend(
            (!outer.is_empty()).then(|| format!("{place}: no ring runs clockwise; each is taken as a field")),
        );
        return outer.into_iter().map(|ring| Geometry::Polygon(vec![ring])).collect();
    }
    let mut all: Vec<Vec<Vec<Position>>> = outer.into_iter().map(|ring| vec![ring]).collect();
    for hole in holes {
        let smallest_around = |p: &Position| {
            let around = all.iter().enumerate().filter(|(_, polygon)| holds(&polygon[0], p));
            around.min_by(|(_, a), (_, b)| area(&b[0]).total_cmp(&area(&a[0]))).map(|(index, _)| index)
        };
        let smallest = hole.iter().find_map(smallest_around);
        match smallest {
            Some(index) => all[index].push(hole),
            None => notes.push(format!("{place}: a hole that lies in no ring was left aside")),
        }
    }
    all.into_iter().map(Geometry::Polygon).collect()
}

fn plane(ring: &[Position]) -> Vec<measure::Point> {
    ring.iter().map(|p| measure::Point::new(p.x, p.y)).collect()
}

fn area(ring: &[Position]) -> f64 {
    measure::ring_m2(&plane(ring))
}

fn holds(ring: &[Position], p: &Position) -> bool {
    crate::ring::contains(&plane(ring), measure::Point::new(p.x, p.y))
}
