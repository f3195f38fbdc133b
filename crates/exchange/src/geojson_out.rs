//! A worked-out plan as GeoJSON (RFC 7946): lines with their levels, joints, outlets, the field and the marks on it, in degrees.

use design::{Design, Joint, LaidSize, LineDesign, size_words};
use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject, Position};
use measure::Point;
use plan::{Benchmark, Line, LineId, LineKind, Material, Outlet, Outline, Plan, Reference};
use serde_json::{Value, json};
use terrain::{Contour, Swale};

use crate::marks_out::mark_properties;
use crate::stakes::{lowest_mm, sizes_json};
use crate::{Crs, FileError, StakeNotice, crs_words};

/// The whole plan as one feature collection; the same plan gives the same bytes.
///
/// Property names carry their unit. Lines run from their downstream end up. Coordinates have nine decimals (0.1 mm).
///
/// Findings are features of their own, along the stretch they are about.
pub fn plan_geojson(plan: &Plan, design: &Design, notices: &[StakeNotice], crs: &Crs) -> Result<String, FileError> {
    let out = Out { plan, design, degrees: Degrees { crs } };
    let mut features: Vec<Feature> = Vec::new();
    if let Some(field) = &plan.field {
        let rings = field.rings().enumerate();
        let rings: Vec<Vec<Position>> =
            rings.map(|(i, ring)| out.degrees.ring(ring, i == 0)).collect::<Result<_, _>>()?;
        features.push(feature(GeometryValue::new_polygon(rings), out.field_properties()));
    }
    for outlet in plan.outlets.values() {
        features.push(feature(GeometryValue::new_point(out.degrees.place(outlet.at)?), outlet_properties(outlet)));
    }
    for (id, line) in &plan.lines {
        let course = out.degrees.course(&line.points)?;
        features.push(feature(GeometryValue::new_line_string(course), out.line_properties(*id, line)));
    }
    for watercourse in plan.watercourses.values() {
        let course = out.degrees.course(&watercourse.points)?;
        let properties = object(json!({ "what": watercourse.kind.word(), "name": watercourse.name }));
        features.push(feature(GeometryValue::new_line_string(course), properties));
    }
    for joint in &design.joints {
        features.push(feature(GeometryValue::new_point(out.degrees.place(joint.at)?), out.joint_properties(joint)));
    }
    for notice in notices {
        let course = out.degrees.course(&notice.course)?;
        let geometry = match course.as_slice() {
            [only] => GeometryValue::new_point(only.clone()),
            _ => GeometryValue::new_line_string(course),
        };
        features.push(feature(geometry, object(notice.properties())));
    }
    for mark in plan.landmarks.values() {
        let properties = mark_properties(mark, plan.title.units);
        features.push(feature(out.degrees.outline(&mark.outline)?, properties));
    }
    let reference = crs_words::reference(plan);
    for mark in &plan.survey.benchmarks {
        let at = GeometryValue::new_point(out.degrees.place(mark.at)?);
        features.push(feature(at, object(benchmark_properties(mark, &reference))));
    }
    text_of(features, &head_members(&plan.title.name, crs, &reference))
}

/// A benchmark as a feature has it.
pub(crate) fn benchmark_properties(mark: &Benchmark, reference: &Reference) -> Value {
    let datum = if mark.datum.is_empty() { &reference.datum } else { &mark.datum };
    json!({
        "what": "benchmark", "name": mark.name, "level_m": milli(mark.level_m), "datum": datum,
        "words": format!("level {} {}", reference.up.figure(mark.level_m, 4), reference.up.sign()),
    })
}

/// What a file in degrees says of itself: beside the caution in what terms places and levels are.
pub(crate) fn head_members(name: &str, crs: &Crs, reference: &Reference) -> Value {
    json!({
        "name": name, "caution": plan::CAUTION,
        // RFC 7946 section 7.1 keeps "coordinates" for geometries.
        "positions": crs.degrees_words(),
        "brought_from": reference.plane(),
        "levels": format!("meters, datum: {}", reference.datum),
    })
}

/// Contours and swales as one feature collection, exact as worked out; levels and areas as properties in metres.
pub fn ground_geojson(plan: &Plan, contours: &[Contour], swales: &[Swale], crs: &Crs) -> Result<String, FileError> {
    let degrees = Degrees { crs };
    let mut features: Vec<Feature> = Vec::new();
    for contour in contours {
        let properties = json!({ "what": "contour", "level_m": milli(contour.level_m), "index": contour.index });
        features.push(feature(GeometryValue::new_line_string(degrees.course(&contour.points)?), object(properties)));
    }
    for swale in swales {
        let areas: Vec<f64> = swale.area_m2.iter().map(|area_m2| area_m2.round()).collect();
        let properties = json!({ "what": "swale", "area_m2": areas });
        features.push(feature(GeometryValue::new_line_string(degrees.course(&swale.points)?), object(properties)));
    }
    text_of(features, &head_members(&plan.title.name, crs, &crs_words::reference(plan)))
}

fn text_of(features: Vec<Feature>, head: &Value) -> Result<String, FileError> {
    let collection = FeatureCollection { bbox: None, features, foreign_members: head.as_object().cloned() };
    let mut text = serde_json::to_string_pretty(&collection)
        .map_err(|error| FileError::malformed("the plan", error.to_string(), "numbers that JSON can hold"))?;
    text.push('\n');
    Ok(text)
}

/// From the plan to degrees.
struct Degrees<'a> {
    crs: &'a Crs,
}

impl Degrees<'_> {
    fn course(&self, points: &[Point]) -> Result<Vec<Position>, FileError> {
        points.iter().map(|p| self.place(*p)).collect()
    }

    fn place(&self, at: Point) -> Result<Position, FileError> {
        Ok(Position::from(degrees(self.crs, at)?.to_vec()))
    }

    fn outline(&self, outline: &Outline) -> Result<GeometryValue, FileError> {
        Ok(match outline {
            Outline::At(at) => GeometryValue::new_point(self.place(*at)?),
            Outline::Along(course) => GeometryValue::new_line_string(self.course(course)?),
            Outline::Around(ring) => GeometryValue::new_polygon(vec![self.ring(ring, true)?]),
        })
    }

    /// A closed ring that turns as RFC 7946 section 3.1.6 asks: the outer one to the left, holes to the right.
    fn ring(&self, ring: &[Point], outer: bool) -> Result<Vec<Position>, FileError> {
        let mut ring: Vec<Point> = ring.to_vec();
        if (twice_area(&ring) > 0.0) != outer {
            ring.reverse();
        }
        ring.extend(ring.first().copied());
        ring.into_iter().map(|p| self.place(p)).collect()
    }
}

/// The geometry of a mark in degrees.
pub(crate) fn outline_geometry(outline: &Outline, crs: &Crs) -> Result<Geometry, FileError> {
    Ok(Geometry::new(Degrees { crs }.outline(outline)?))
}

struct Out<'a> {
    plan: &'a Plan,
    design: &'a Design,
    degrees: Degrees<'a>,
}

impl Out<'_> {
    fn field_properties(&self) -> JsonObject {
        object(json!({ "what": "field", "name": self.plan.title.name }))
    }

    fn line_properties(&self, id: LineId, line: &Line) -> JsonObject {
        let as_drawn = || vec![LaidSize { from_m: 0.0, to_m: line.length_m(), size_m: line.size_m }];
        let sizes = self.design.lines.get(&id).map_or_else(as_drawn, LineDesign::laid_sizes);
        let mut properties = object(json!({
            "what": "line",
            "name": line.name,
            "kind": line.kind.word(),
            "size_mm": lowest_mm(&sizes),
            "size": size_words(&sizes, self.plan.title.units),
            "sizes": sizes_json(&sizes),
            "joins": self.plan.name_of(line.joins),
            "capped": line.capped,
        }));
        if let LineKind::OldTile(old) = line.kind {
            properties.insert("old_tile".into(), json!(old));
        } else if line.bed.material != Material::Unknown {
            properties.insert("material".into(), json!(line.bed.material));
        }
        if let Some(worked) = self.design.lines.get(&id) {
            properties.insert("length_m".into(), json!(milli(worked.length_m)));
            properties.insert("stations".into(), stations(worked));
        }
        properties
    }

    fn joint_properties(&self, joint: &Joint) -> JsonObject {
        object(json!({
            "what": "joint",
            "branch": self.plan.lines[&joint.branch].name,
            "main": self.plan.lines[&joint.main].name,
            "station_m": milli(joint.station_m),
            "in_line": joint.in_line,
            "angle_deg": milli(joint.angle_deg),
            "branch_invert_m": joint.branch_invert_m.map(milli),
            "main_invert_m": joint.main_invert_m.map(milli),
        }))
    }
}

fn outlet_properties(outlet: &Outlet) -> JsonObject {
    object(json!({
        "what": "outlet",
        "name": outlet.name,
        "invert_m": milli(outlet.invert_m),
        "channel_bottom_m": outlet.channel_bottom_m.map(milli),
        "low_water_m": outlet.low_water_m.map(milli),
        "outlet_pipe_m": milli(outlet.outlet_pipe_m),
        "outlet_pipe_material": outlet.outlet_pipe_material,
    }))
}

fn stations(line: &LineDesign) -> Value {
    let row = |s: &design::Station| {
        json!({
            "station_m": milli(s.station_m),
            "ground_m": s.ground_m.map(milli),
            "invert_m": s.invert_m.map(milli),
            "depth_m": s.depth_m().map(milli),
            "cover_m": line.cover_m(s).map(milli),
        })
    };
    Value::Array(line.stations.iter().map(row).collect())
}

fn feature(value: GeometryValue, properties: JsonObject) -> Feature {
    Feature { geometry: Some(Geometry::new(value)), properties: Some(properties), ..Feature::default() }
}

fn object(value: Value) -> JsonObject {
    match value {
        Value::Object(object) => object,
        _ => JsonObject::new(),
    }
}

/// Longitude and latitude with nine decimals (0.1 mm).
pub(crate) fn degrees(crs: &Crs, at: Point) -> Result<[f64; 2], FileError> {
    let (lon, lat) = crs.to_lon_lat(at).map_err(|error| {
        FileError::unsupported(error.to_string(), "ground in a named coordinate system, which degrees need")
    })?;
    Ok([lon, lat].map(|angle| (angle * 1e9).round() / 1e9 + 0.0))
}

/// Tenths of a millimetre are enough for a level and too much for a trench.
pub(crate) fn milli(value: f64) -> f64 {
    // Nothing has no sign.
    (value * 1e4).round() / 1e4 + 0.0
}

fn twice_area(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum()
}
