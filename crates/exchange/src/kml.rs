//! Shapes from KML (OGC 12-007r2): placemarks in longitude and latitude on WGS 84.

use std::sync::Arc;

use roxmltree::Node;
use serde_json::{Map, Value};

use crate::FileError;
use crate::error::shown;
use crate::vector::{Geometry, Position, Shape, System, VectorFile, number_parts};
use crate::xml::{self, child, child_text, is};

/// Whether bytes are KML.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    xml::root_is(bytes, "kml")
}

/// The shapes of all placemarks.
pub(crate) fn features(bytes: &[u8]) -> Result<VectorFile, FileError> {
    let text = xml::text(bytes)?;
    let document = xml::parse(&text, "KML")?;
    let (mut shapes, mut placemarks) = (Vec::new(), 0);
    let mut properties = Arc::default();
    for node in document.descendants() {
        if is(node, "Placemark") {
            placemarks += 1;
            properties = Arc::new(properties_of(node));
        }
        let place = format!("placemark {placemarks}");
        if let Some((geometry, kind)) = geometry(node, &place)?.filter(|_| placemarks > 0) {
            shapes.push(Shape { geometry, kind, properties: properties.clone(), place });
        }
    }
    number_parts(&mut shapes);
    Ok(VectorFile { shapes, system: System::Degrees, format: "KML", notes: Vec::new() })
}

fn geometry(node: Node, place: &str) -> Result<Option<(Geometry, &'static str)>, FileError> {
    let in_polygon =
        node.ancestors().skip(1).take(2).any(|above| is(above, "outerBoundaryIs") || is(above, "innerBoundaryIs"));
    Ok(match node.tag_name().name() {
        "Point" => Some((Geometry::Points(positions(node, place)?), "Point")),
        "LineString" => Some((Geometry::Line(positions(node, place)?), "LineString")),
        "LinearRing" if !in_polygon => Some((Geometry::Line(positions(node, place)?), "LinearRing")),
        "Polygon" => Some((Geometry::Polygon(rings(node, place)?), "Polygon")),
        _ => None,
    })
}

/// The outer ring, then the holes.
fn rings(polygon: Node, place: &str) -> Result<Vec<Vec<Position>>, FileError> {
    let of_edge = |edge: &'static str| {
        let edges = polygon.children().filter(move |node| is(*node, edge));
        edges.flat_map(|edge| edge.children()).filter(|node| is(*node, "LinearRing"))
    };
    let outer = of_edge("outerBoundaryIs").next();
    let missing =
        || FileError::malformed(place, "a Polygon without outerBoundaryIs", "a ring that encloses the field");
    let outer = positions(outer.ok_or_else(missing)?, place)?;
    let holes = of_edge("innerBoundaryIs").map(|ring| positions(ring, place));
    std::iter::once(Ok(outer)).chain(holes).collect()
}

/// The `coordinates` of a geometry: longitude, latitude and perhaps height with commas, places set apart by blanks.
fn positions(node: Node, place: &str) -> Result<Vec<Position>, FileError> {
    let text = child_text(node, "coordinates").unwrap_or_default();
    let mut all = Vec::new();
    for tuple in tuples(text) {
        let made = position(&tuple);
        all.push(made.ok_or_else(|| {
            let place = format!("{}, {place}, position {}", xml::place(node), all.len() + 1);
            FileError::malformed(place, shown(&tuple), "longitude,latitude or longitude,latitude,height")
        })?);
    }
    Ok(all)
}

/// Tuples of a list; blanks beside a comma, which KML forbids and many files have, do not part them.
fn tuples(text: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match all.last_mut().filter(|last| last.ends_with(',') || word.starts_with(',')) {
            Some(last) => last.push_str(word),
            None => all.push(word.into()),
        }
    }
    all
}

fn position(tuple: &str) -> Option<Position> {
    let numbers: Vec<f64> =
        tuple.trim_end_matches(',').split(',').map(|n| xml::number(n).ok()).collect::<Option<_>>()?;
    match numbers[..] {
        [lon, lat] => Position::checked(lon, lat, None),
        [lon, lat, height] => Position::checked(lon, lat, Some(height)),
        _ => None,
    }
}

/// Name, description and extended data of a placemark; what reads as a number is one.
fn properties_of(placemark: Node) -> Map<String, Value> {
    let plain = ["name", "description"].into_iter();
    let plain = plain.filter_map(|key| Some((key.to_string(), child_text(placemark, key)?.into())));
    let items = child(placemark, "ExtendedData").into_iter().flat_map(|data| data.children());
    let data = items.flat_map(|item| match item.tag_name().name() {
        "SchemaData" => item.children().filter_map(|simple| datum(simple, simple.text())).collect(),
        "Data" => Vec::from_iter(datum(item, child_text(item, "value"))),
        _ => Vec::new(),
    });
    plain.chain(data).collect()
}

/// The name of an item of extended data and its value.
fn datum(item: Node, text: Option<&str>) -> Option<(String, Value)> {
    let text = text.map(str::trim).filter(|text| !text.is_empty())?;
    let value = xml::number(text).map_or_else(|_| text.into(), Value::from);
    Some((item.attribute("name")?.to_string(), value))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FIELD: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder>
<Placemark><name>Home block</name><ExtendedData><SchemaData><SimpleData name="ELEV">261.5</SimpleData></SchemaData>
<Data name="by"><value>hand</value></Data></ExtendedData>
<MultiGeometry><Polygon><outerBoundaryIs><LinearRing><coordinates>
-93.6,42,0 -93.59,42,0 -93.59,42.01,0 -93.6, 42.01, 0 -93.6,42,0</coordinates></LinearRing></outerBoundaryIs>
<innerBoundaryIs><LinearRing><coordinates>-93.598,42.002 -93.597,42.002 -93.597,42.003</coordinates></LinearRing></innerBoundaryIs>
</Polygon><LineString><coordinates>-93.6,42 -93.59,42</coordinates></LineString></MultiGeometry></Placemark>
<Placemark><Point><coordinates>-93.6,42,260.1</coordinates></Point></Placemark>
</Folder></Document></kml>"#;

    #[test]
    fn placemarks_with_parts_holes_and_data() {
        let all = features(FIELD.as_bytes()).unwrap();
        let places: Vec<&str> = all.shapes.iter().map(|shape| shape.place.as_str()).collect();
        assert_eq!(places, ["placemark 1, part 1", "placemark 1, part 2", "placemark 2"]);
        let Geometry::Polygon(rings) = &all.shapes[0].geometry else { panic!("no polygon") };
        assert_eq!((rings.len(), rings[0].len(), rings[1].len()), (2, 5, 3));
        assert_eq!(rings[0][3], Position { x: -93.6, y: 42.01, z: Some(0.0) });
        assert_eq!(all.shapes[1].properties["ELEV"], 261.5);
        assert_eq!(all.shapes[1].properties["by"], "hand");
        assert_eq!(all.shapes[1].properties["name"], "Home block");
        let Geometry::Points(points) = &all.shapes[2].geometry else { panic!("no point") };
        assert_eq!(points[0].z, Some(260.1));
    }

    #[test]
    fn broken_coordinates_are_named_with_their_line() {
        let text = FIELD.replace("-93.59,42.01,0", "-93.59;42.01;0");
        let error = features(text.as_bytes()).unwrap_err().to_string();
        assert!(error.contains("line 5, placemark 1, position 3: found '-93.59;42.01;0'"), "{error}");
    }
}
