//! Shapes from GeoJSON.

use std::sync::Arc;

use serde_json::Value;

use crate::error::shown;
use crate::vector::{Geometry, Position, Shape, System, VectorFile, the_one};
use crate::{Boundary, Crs, FileError, LineIn};

/// Largest GeoJSON text that is read, bytes (own choice: parsed it takes several times as much).
pub const MOST_GEOJSON_BYTES: usize = 64 << 20;

/// Reads the one polygon of a GeoJSON text. More than one is refused with their number.
pub fn read_boundary(
    bytes: &[u8],
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<Boundary, FileError> {
    the_one(read_polygons(bytes, ground_crs, numbers_are_ground)?)
}

/// Reads every polygon of a GeoJSON text; at least one.
pub fn read_polygons(
    bytes: &[u8],
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<Vec<Boundary>, FileError> {
    opened(bytes, numbers_are_ground)?.polygons(ground_crs, numbers_are_ground)
}

/// Reads every line of a GeoJSON text, the parts of a MultiLineString as lines of their own, and tells what was left
/// aside.
pub fn read_lines(
    bytes: &[u8],
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<(Vec<LineIn>, Vec<String>), FileError> {
    opened(bytes, numbers_are_ground)?.lines(ground_crs, numbers_are_ground)
}

/// The shapes of a text; what it says of its coordinate system counts.
pub(crate) fn features(bytes: &[u8]) -> Result<VectorFile, FileError> {
    opened(bytes, false)
}

/// The shapes of a text; a `crs` member that is not asked for need not make sense.
fn opened(bytes: &[u8], ignore_crs: bool) -> Result<VectorFile, FileError> {
    let mut root = parse(bytes)?;
    let stated = if ignore_crs { None } else { stated_crs(&root)? };
    let mut shapes = Vec::new();
    take_shapes(&mut root, "the text", &mut shapes)?;
    let system = stated.map_or(System::Degrees, System::Stated);
    Ok(VectorFile { shapes, system, format: "GeoJSON", notes: Vec::new() })
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
        "Feature" => take_feature(value, if place == "the text" { "feature 1" } else { place }, into),
        "GeometryCollection" => {
            let parts = value.get_mut("geometries").and_then(Value::as_array_mut);
            parts.into_iter().flatten().try_for_each(|part| take_shapes(part, place, into))
        }
        "Topology" => Err(FileError::unsupported("TopoJSON", "GeoJSON")),
        "" => Err(FileError::malformed(place, "no type member", "a GeoJSON type such as Feature")),
        other => take_geometry(value, other, place, into),
    }
}

fn take_feature(value: &mut Value, place: &str, into: &mut Vec<Shape>) -> Result<(), FileError> {
    let properties = value.get_mut("properties").and_then(Value::as_object_mut).map(std::mem::take);
    let Some(geometry) = value.get_mut("geometry").filter(|geometry| !geometry.is_null()) else { return Ok(()) };
    let first = into.len();
    take_shapes(geometry, place, into)?;
    let properties = Arc::new(properties.unwrap_or_default());
    into[first..].iter_mut().for_each(|shape| shape.properties = properties.clone());
    Ok(())
}

/// One geometry; the parts of a line or polygon of many parts become shapes of their own.
fn take_geometry(value: &Value, kind: &str, place: &str, into: &mut Vec<Shape>) -> Result<(), FileError> {
    let coordinates = value.get("coordinates").unwrap_or(&Value::Null);
    let mut push = |geometry, kind, place: String| {
        into.push(Shape { geometry, kind, properties: Arc::default(), place });
    };
    match kind {
        "Point" => push(Geometry::Points(vec![position(coordinates, place)?]), "Point", place.into()),
        "MultiPoint" => push(Geometry::Points(positions(coordinates, place)?), "MultiPoint", place.into()),
        "LineString" => push(Geometry::Line(positions(coordinates, place)?), "LineString", place.into()),
        "MultiLineString" => {
            for (index, part) in list(coordinates, place)?.iter().enumerate() {
                let place = format!("{place}, part {}", index + 1);
                push(Geometry::Line(positions(part, &place)?), "MultiLineString", place);
            }
        }
        "Polygon" => push(Geometry::Polygon(rings(coordinates, place)?), "Polygon", place.into()),
        "MultiPolygon" => {
            for part in list(coordinates, place)? {
                push(Geometry::Polygon(rings(part, place)?), "MultiPolygon", place.into());
            }
        }
        other => {
            let found = format!("type {}", shown(other));
            return Err(FileError::malformed(place, found, "a GeoJSON type such as Polygon"));
        }
    }
    Ok(())
}

fn rings(value: &Value, place: &str) -> Result<Vec<Vec<Position>>, FileError> {
    let of_ring = |(index, ring)| match index {
        0 => positions(ring, place),
        hole => positions(ring, &format!("{place}, hole {hole}")),
    };
    list(value, place)?.iter().enumerate().map(of_ring).collect()
}

fn positions(value: &Value, place: &str) -> Result<Vec<Position>, FileError> {
    let numbered = list(value, place)?.iter().enumerate();
    numbered.map(|(index, item)| position(item, &format!("{place}, position {}", index + 1))).collect()
}

/// Two numbers and a height where there is one.
fn position(value: &Value, place: &str) -> Result<Position, FileError> {
    let number = |index: usize| value.get(index).and_then(Value::as_f64);
    let made = number(0).zip(number(1)).and_then(|(x, y)| Position::checked(x, y, number(2)));
    made.ok_or_else(|| FileError::malformed(place, shown(&short(value)), "a position of at least two numbers"))
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
