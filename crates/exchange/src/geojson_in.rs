//! Boundaries and lines from GeoJSON.

use measure::Point;
use serde_json::{Map, Value};

use crate::error::shown;
use crate::ring::{area, crossing, mend};
use crate::{Crs, FileError};

/// Largest GeoJSON text that is read, bytes (own choice: parsed it takes several times as much).
pub const MOST_GEOJSON_BYTES: usize = 64 << 20;
/// Smallest and largest field, square metres (own choice: a cell or two; 100,000 ha).
const FIELD_M2: std::ops::RangeInclusive<f64> = 10.0..=1e9;

/// The edge of a field.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundary {
    /// The outer ring, counter-clockwise, then the holes, clockwise; metres; the first point is not repeated.
    pub rings: Vec<Vec<Point>>,
    /// What was mended, left out or looks wrong, in plain sentences.
    pub notes: Vec<String>,
}

/// A line as it stands in a file.
#[derive(Debug, Clone, PartialEq)]
pub struct LineIn {
    /// Its points, metres.
    pub points: Vec<Point>,
    /// The properties of its feature.
    pub properties: Map<String, Value>,
    /// Where in the file it stands: `feature 3`, `feature 3, part 2`.
    pub place: String,
}

/// Reads the one polygon of a file. More than one is refused with their number.
pub fn read_boundary(
    bytes: &[u8],
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<Boundary, FileError> {
    let mut all = read_polygons(bytes, ground_crs, numbers_are_ground)?;
    match (all.len(), all.pop()) {
        (1, Some(one)) => Ok(one),
        (count, _) => Err(FileError::unclear(format!("{count} polygons"), "a file with one polygon, the field")),
    }
}

/// Reads every polygon of a file; at least one.
pub fn read_polygons(
    bytes: &[u8],
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<Vec<Boundary>, FileError> {
    let file = GeoJson::open(bytes, ground_crs, numbers_are_ground)?;
    let mut all = Vec::new();
    let mut others: Vec<String> = Vec::new();
    for shape in &file.shapes {
        match shape.kind.as_str() {
            "Polygon" => all.push(file.polygon(&shape.coordinates, &shape.place)?),
            "MultiPolygon" => {
                for part in list(&shape.coordinates, &shape.place)? {
                    all.push(file.polygon(part, &shape.place)?);
                }
            }
            other => others.push(format!("{} is a {other}", shape.place)),
        }
    }
    if all.is_empty() {
        let found = others.first().map_or("no feature".to_string(), |text| format!("no polygon: {text}"));
        return Err(FileError::malformed("the boundary", found, "a Polygon that encloses the field"));
    }
    if !others.is_empty() {
        all[0].notes.push(format!("left aside: {}", others.join(", ")));
    }
    Ok(all)
}

/// Reads every line of a file, the parts of a MultiLineString as lines of their own, and tells what was left aside.
pub fn read_lines(
    bytes: &[u8],
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<(Vec<LineIn>, Vec<String>), FileError> {
    let file = GeoJson::open(bytes, ground_crs, numbers_are_ground)?;
    let (mut lines, mut notes) = (Vec::new(), file.notes.clone());
    for shape in &file.shapes {
        let parts = match shape.kind.as_str() {
            "LineString" => vec![(&shape.coordinates, shape.place.clone())],
            "MultiLineString" => {
                let parts = list(&shape.coordinates, &shape.place)?.iter().enumerate();
                parts.map(|(i, part)| (part, format!("{}, part {}", shape.place, i + 1))).collect()
            }
            other => {
                notes.push(format!("{} is a {other} and was left aside", shape.place));
                continue;
            }
        };
        for (part, place) in parts {
            let mut points = file.positions(part, &place, &mut notes)?;
            points.dedup();
            if points.len() < 2 {
                notes.push(format!("{place} has fewer than two different points and was left aside"));
                continue;
            }
            lines.push(LineIn { points, properties: shape.properties.clone(), place });
        }
    }
    Ok((lines, notes))
}

/// How the numbers of a file become metres of the ground.
enum Numbers<'a> {
    /// Coordinates of the ground itself, times its unit.
    Ground(f64),
    /// Degrees, brought to the ground's system.
    Degrees(&'a Crs),
    /// Another plane, by way of degrees.
    Other(Crs, &'a Crs),
}

/// One geometry with its place in the file.
struct Shape {
    kind: String,
    coordinates: Value,
    properties: Map<String, Value>,
    place: String,
}

struct GeoJson<'a> {
    shapes: Vec<Shape>,
    numbers: Numbers<'a>,
    notes: Vec<String>,
}

impl<'a> GeoJson<'a> {
    fn open(bytes: &[u8], ground: Option<&'a Crs>, numbers_are_ground: bool) -> Result<Self, FileError> {
        let mut root = parse(bytes)?;
        let mut notes = Vec::new();
        let stated = if numbers_are_ground { None } else { stated_crs(&root)? };
        let mut shapes = Vec::new();
        take_shapes(&mut root, "the text", &mut shapes)?;
        let numbers = numbers_of(stated, ground, numbers_are_ground, &shapes, &mut notes)?;
        Ok(Self { shapes, numbers, notes })
    }

    /// The points of a list of positions, in metres.
    fn positions(&self, value: &Value, place: &str, notes: &mut Vec<String>) -> Result<Vec<Point>, FileError> {
        let mut heights = false;
        let mut points = Vec::new();
        for (index, item) in list(value, place)?.iter().enumerate() {
            let at = format!("{place}, position {}", index + 1);
            heights |= item.as_array().is_some_and(|numbers| numbers.len() > 2);
            points.push(self.point(pair(item, &at)?, &at)?);
        }
        let text = format!("{place}: the heights of its positions are not used");
        if heights && !notes.contains(&text) {
            notes.push(text);
        }
        Ok(points)
    }

    fn point(&self, (x, y): (f64, f64), place: &str) -> Result<Point, FileError> {
        let degrees = |x: f64, y: f64| x.abs() <= 180.0 && y.abs() <= 90.0;
        let outside =
            |error: crate::CrsError| FileError::malformed(place, error.to_string(), "a place near the ground");
        match &self.numbers {
            Numbers::Ground(unit_m) => Ok(Point::new(x * unit_m, y * unit_m)),
            Numbers::Degrees(to) if degrees(x, y) => to.from_lon_lat(x, y).map_err(outside),
            Numbers::Degrees(_) => Err(FileError::unclear(
                format!("{place} at {x}, {y}, which cannot be degrees, and no crs member"),
                "longitude and latitude, or --crs ground where the numbers are those of the ground, or a crs member",
            )),
            Numbers::Other(from, to) => {
                let unit_m = from.unit().metres();
                let (lon, lat) = from.to_lon_lat(Point::new(x * unit_m, y * unit_m)).map_err(outside)?;
                to.from_lon_lat(lon, lat).map_err(outside)
            }
        }
    }

    /// One polygon, checked and mended.
    fn polygon(&self, coordinates: &Value, place: &str) -> Result<Boundary, FileError> {
        let mut notes = self.notes.clone();
        let rings = list(coordinates, place)?;
        if matches!(self.numbers, Numbers::Degrees(_)) {
            check_degrees(rings.first(), place)?;
        }
        let mut done = Vec::new();
        for (index, ring) in rings.iter().enumerate() {
            let at = if index == 0 { place.to_string() } else { format!("{place}, hole {index}") };
            let points = self.positions(ring, &at, &mut notes)?;
            let ring = mend(points, &at, index == 0, &mut notes)?;
            if let Some(p) = crossing(&ring) {
                let found = format!("a ring that crosses itself near ({:.1}, {:.1})", p.x, p.y);
                return Err(FileError::malformed(at, found, "a ring that does not cross itself"));
            }
            done.push(ring);
        }
        check_area(&done, place)?;
        check_holes(&done, place, &mut notes);
        self.check_overlap(&done, place, &mut notes);
        Ok(Boundary { rings: done, notes })
    }

    fn check_overlap(&self, rings: &[Vec<Point>], place: &str, notes: &mut Vec<String>) {
        let (Numbers::Degrees(to) | Numbers::Other(_, to)) = &self.numbers else { return };
        if rings[0].iter().any(|p| !to.fits(*p)) {
            let name = to.name();
            notes.push(format!(
                "{place} lies far outside the area of {name}: it cannot overlap ground in that system"
            ));
        }
    }
}

/// Parses JSON text; the depth of nesting is held by the parser.
fn parse(bytes: &[u8]) -> Result<Value, FileError> {
    if bytes.len() > MOST_GEOJSON_BYTES {
        return Err(FileError::too_large(format!("{} bytes", bytes.len()), format!("{MOST_GEOJSON_BYTES} bytes")));
    }
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    serde_json::from_slice(text).map_err(|error| {
        let place = format!("line {}, column {}", error.line(), error.column());
        FileError::malformed(place, error.to_string(), "GeoJSON text")
    })
}

/// The system of the `crs` member of the GeoJSON of 2008; `None` where there is none.
fn stated_crs(root: &Value) -> Result<Option<Crs>, FileError> {
    let Some(member) = root.get("crs").filter(|member| !member.is_null()) else { return Ok(None) };
    let name = member.pointer("/properties/name").and_then(Value::as_str);
    let name = name.ok_or_else(|| FileError::unsupported("a crs member without a name", "a named system"))?;
    let refused = |error: crate::CrsError| FileError::malformed("the crs member", error.to_string(), "a known code");
    Crs::parse(name).map(Some).map_err(refused)
}

/// Settles what the numbers are.
fn numbers_of<'a>(
    stated: Option<Crs>,
    ground: Option<&'a Crs>,
    numbers_are_ground: bool,
    shapes: &[Shape],
    notes: &mut Vec<String>,
) -> Result<Numbers<'a>, FileError> {
    let unit_m = ground.map_or(1.0, |crs| crs.unit().metres());
    if numbers_are_ground {
        return Ok(Numbers::Ground(unit_m));
    }
    let named = ground.filter(|crs| !crs.is_local());
    match (stated, named) {
        (Some(stated), Some(ground)) if stated == *ground => Ok(Numbers::Ground(unit_m)),
        (Some(stated), Some(ground)) if !stated.is_degrees() => {
            notes.push(format!("coordinates were brought from {} to {}", stated.name(), ground.name()));
            Ok(Numbers::Other(stated, ground))
        }
        (Some(stated), None) if !stated.is_degrees() => {
            notes.push(format!(
                "the ground names no coordinate system; the numbers of {} are used as they are",
                stated.name()
            ));
            Ok(Numbers::Ground(stated.unit().metres()))
        }
        (_, Some(ground)) => {
            notes.extend(ground.note());
            Ok(Numbers::Degrees(ground))
        }
        (_, None) if shapes.is_empty() => Ok(Numbers::Ground(1.0)),
        (_, None) => Err(FileError::unclear(
            "GeoJSON in degrees and ground without a coordinate system",
            "a coordinate system for the ground, or --crs ground where the numbers are those of the ground",
        )),
    }
}

/// Collects every geometry of a text: a collection, a feature or a bare geometry.
fn take_shapes(value: &mut Value, place: &str, into: &mut Vec<Shape>) -> Result<(), FileError> {
    let kind = value.get("type").and_then(Value::as_str).unwrap_or_default().to_string();
    match kind.as_str() {
        "FeatureCollection" => {
            let features = value.get_mut("features").and_then(Value::as_array_mut);
            let missing = || FileError::malformed(place, "no list of features", "a features member");
            for (index, feature) in features.ok_or_else(missing)?.iter_mut().enumerate() {
                take_shapes(feature, &format!("feature {}", index + 1), into)?;
            }
            Ok(())
        }
        "Feature" => {
            let properties = value.get_mut("properties").and_then(Value::as_object_mut).map(std::mem::take);
            let Some(geometry) = value.get_mut("geometry").filter(|geometry| !geometry.is_null()) else {
                return Ok(());
            };
            let place = if place == "the text" { "feature 1" } else { place };
            let first = into.len();
            take_shapes(geometry, place, into)?;
            let properties = properties.unwrap_or_default();
            into[first..].iter_mut().for_each(|shape| shape.properties = properties.clone());
            Ok(())
        }
        "GeometryCollection" => {
            let parts = value.get_mut("geometries").and_then(Value::as_array_mut);
            parts.into_iter().flatten().try_for_each(|part| take_shapes(part, place, into))
        }
        "Point" | "MultiPoint" | "LineString" | "MultiLineString" | "Polygon" | "MultiPolygon" => {
            let coordinates = value.get_mut("coordinates").map(Value::take).unwrap_or_default();
            into.push(Shape { kind, coordinates, properties: Map::new(), place: place.into() });
            Ok(())
        }
        "Topology" => Err(FileError::unsupported("TopoJSON", "GeoJSON")),
        "" => Err(FileError::malformed(place, "no type member", "a GeoJSON type such as Feature")),
        other => Err(FileError::malformed(place, format!("type {}", shown(other)), "a GeoJSON type such as Polygon")),
    }
}

fn list<'v>(value: &'v Value, place: &str) -> Result<&'v Vec<Value>, FileError> {
    value.as_array().ok_or_else(|| FileError::malformed(place, shown(&short(value)), "a list of coordinates"))
}

/// A value as a short text, without writing out what is long.
fn short(value: &Value) -> String {
    match value {
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::Object(_) => "an object".into(),
        other => other.to_string(),
    }
}

/// The first two numbers of a position.
fn pair(value: &Value, place: &str) -> Result<(f64, f64), FileError> {
    let number = |index: usize| value.get(index).and_then(Value::as_f64).filter(|v| v.abs() < 1e9);
    let wrong = || FileError::malformed(place, shown(&short(value)), "a position of at least two numbers");
    number(0).zip(number(1)).ok_or_else(wrong)
}

/// Refuses rings in degrees that run round the world or over a pole.
fn check_degrees(ring: Option<&Value>, place: &str) -> Result<(), FileError> {
    let positions = ring.and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
    let all: Vec<(f64, f64)> = positions.iter().filter_map(|p| pair(p, place).ok()).collect();
    let (low, high) = all.iter().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p.0), high.max(p.0)));
    if all.iter().any(|p| (88.0..=90.0).contains(&p.1.abs())) {
        return Err(FileError::malformed(place, "a boundary at a pole", "a field"));
    }
    if all.iter().all(|p| p.0.abs() <= 180.0) && high - low > 180.0 {
        let found = format!("a boundary {:.0} degrees wide", high - low);
        return Err(FileError::malformed(
            place,
            found,
            "a field; where it crosses 180 degrees, cut there (RFC 7946)",
        ));
    }
    Ok(())
}

fn check_area(rings: &[Vec<Point>], place: &str) -> Result<(), FileError> {
    let Some(outer) = rings.first() else {
        return Err(FileError::malformed(place, "an empty polygon: no boundary", "a ring that encloses the field"));
    };
    let holes: f64 = rings[1..].iter().map(|ring| area(ring).abs()).sum();
    let left = area(outer).abs() - holes;
    if FIELD_M2.contains(&left) {
        return Ok(());
    }
    let found = if holes > 0.0 && left < *FIELD_M2.start() {
        "holes as large as the field: no area left".to_string()
    } else {
        format!("an area of {left:.6} m²")
    };
    Err(FileError::malformed(place, found, "a field between 10 m² and 100,000 ha"))
}

/// Tells of holes that reach outside the field.
fn check_holes(rings: &[Vec<Point>], place: &str, notes: &mut Vec<String>) {
    for (index, hole) in rings.iter().enumerate().skip(1) {
        let outside = hole.iter().filter(|p| !crate::ring::contains(&rings[0], **p)).count();
        if outside > 0 {
            notes.push(format!("{place}, hole {index}: {outside} of its points lie outside the boundary"));
        }
    }
}
