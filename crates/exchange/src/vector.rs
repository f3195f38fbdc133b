//! Shapes from vector files of any kind, brought to the ground's plane as boundaries and lines.

use std::path::Path;
use std::sync::Arc;

use measure::{Point, extent};
use serde_json::{Map, Value};

use crate::odd_shots::{SWAPPED, swapped};
use crate::points::FAR_M;
use crate::ring::{mend, sound};
use crate::{Crs, FileError, GroundFile, ReadOptions, geojson_in, kml, landmarks_in, level_lines, shapefile};
use plan::{Landmark, Outline};

/// Smallest and largest field, square metres (own choice: a cell or two; 100,000 ha).
const FIELD_M2: std::ops::RangeInclusive<f64> = 10.0..=1e9;
/// Shapes told of one by one as left aside.
const MOST_TOLD: usize = 12;

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
    /// The properties of its feature, shared by its parts.
    pub properties: Arc<Map<String, Value>>,
    /// Where in the file it stands: `feature 3`, `feature 3, part 2`.
    pub place: String,
}

/// Reads the one polygon of a GeoJSON, KML or shapefile. More than one is refused with their number. `ground_crs` is the
/// plane of the ground, a local one too: in its unit are numbers that are the ground's own.
pub fn read_boundary_file(
    path: &Path,
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<Boundary, FileError> {
    the_one(VectorFile::open(path)?.polygons(ground_crs, numbers_are_ground)?)
}

/// Reads every line of a GeoJSON, KML or shapefile, the parts of one feature as lines of their own, and tells what was
/// left aside.
pub fn read_lines_file(
    path: &Path,
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<(Vec<LineIn>, Vec<String>), FileError> {
    VectorFile::open(path)?.lines(ground_crs, numbers_are_ground)
}

/// Reads every feature of a GeoJSON, KML or shapefile as a mark on the land, and tells what was left aside.
pub fn read_landmarks_file(
    path: &Path,
    ground_crs: Option<&Crs>,
    numbers_are_ground: bool,
) -> Result<(Vec<Landmark>, Vec<String>), FileError> {
    VectorFile::open(path)?.landmarks(ground_crs, numbers_are_ground)
}

/// The one polygon that is the field.
pub(crate) fn the_one(mut all: Vec<Boundary>) -> Result<Boundary, FileError> {
    match (all.len(), all.pop()) {
        (1, Some(one)) => Ok(one),
        (count, _) => Err(FileError::unclear(format!("{count} polygons"), "a file with one polygon, the field")),
    }
}

/// A place with its height where the file gives one, in the numbers of the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Position {
    pub x: f64,
    pub y: f64,
    pub z: Option<f64>,
}

impl Position {
    /// A position that can be one: finite numbers of a size that places have.
    pub fn checked(x: f64, y: f64, z: Option<f64>) -> Option<Self> {
        let usable = |v: f64| v.abs() < 1e9;
        (usable(x) && usable(y)).then_some(Self { x, y, z: z.filter(|z| usable(*z)) })
    }
}

/// What a shape is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Geometry {
    /// One or more single places.
    Points(Vec<Position>),
    /// One line.
    Line(Vec<Position>),
    /// Outer ring, then holes.
    Polygon(Vec<Vec<Position>>),
}

/// One geometry with its place in the file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Shape {
    pub geometry: Geometry,
    /// The file's own word for its kind.
    pub kind: &'static str,
    pub properties: Arc<Map<String, Value>>,
    /// `feature 3`, `feature 3, part 2`.
    pub place: String,
}

/// Numbers the shapes of one feature, which stand one after the other, as its parts.
pub(crate) fn number_parts(shapes: &mut [Shape]) {
    for parts in shapes.chunk_by_mut(|a, b| a.place == b.place).filter(|parts| parts.len() > 1) {
        for (index, shape) in parts.iter_mut().enumerate() {
            shape.place = format!("{}, part {}", shape.place, index + 1);
        }
    }
}

/// What the numbers of a file are, as far as the file says.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum System {
    /// Longitude and latitude on WGS 84.
    Degrees,
    /// A stated system.
    Stated(Crs),
    /// The file does not say.
    Unknown,
}

/// All shapes of a vector file.
#[derive(Debug, Clone, PartialEq)]
pub struct VectorFile {
    pub(crate) shapes: Vec<Shape>,
    pub(crate) system: System,
    /// The kind of file, as in `GeoJSON`.
    pub(crate) format: &'static str,
    pub(crate) notes: Vec<String>,
}

/// How the numbers of a file become metres of the ground.
enum Numbers<'a> {
    /// Coordinates of the ground itself, times its unit.
    Ground(f64),
    /// Degrees, brought to the ground's system.
    Degrees(&'a Crs),
    /// Another plane, by way of degrees.
    Other(&'a Crs, &'a Crs),
}

impl VectorFile {
    /// Opens a GeoJSON, KML or shapefile, the last with its `.dbf` and `.prj`; told apart by content.
    pub fn open(path: &Path) -> Result<Self, FileError> {
        let bytes = crate::ground::read_bytes(path)?;
        if bytes.starts_with(b"PK\x03\x04") {
            return Err(FileError::unsupported("a ZIP archive, as a KMZ is", "the KML or shapefile in it"));
        }
        if shapefile::looks_like(&bytes) {
            let table = crate::ground::bytes_beside(path, &["dbf"], shapefile::MOST_TABLE_BYTES);
            let prj = crate::ground::beside(path, &["prj"]);
            shapefile::features(&bytes, table.as_deref(), prj.as_deref())
        } else if kml::looks_like(&bytes) {
            kml::features(&bytes)
        } else {
            geojson_in::features(&bytes)
        }
    }

    /// The shapes of a GeoJSON text.
    pub fn from_geojson(bytes: &[u8]) -> Result<Self, FileError> {
        geojson_in::features(bytes)
    }

    /// The shapes of a KML text.
    pub fn from_kml(bytes: &[u8]) -> Result<Self, FileError> {
        kml::features(bytes)
    }

    /// The shapes of a `.shp` file with the attributes of its `.dbf` and the system of its `.prj` text.
    pub fn from_shapefile(shp: &[u8], dbf: Option<&[u8]>, prj: Option<&str>) -> Result<Self, FileError> {
        shapefile::features(shp, dbf, prj)
    }

    /// The ground that its lines and points with levels make.
    pub fn ground(&self, options: &ReadOptions) -> Result<GroundFile, FileError> {
        level_lines::ground(self, options)
    }

    /// Every polygon, checked and mended; at least one.
    pub fn polygons(&self, ground: Option<&Crs>, numbers_are_ground: bool) -> Result<Vec<Boundary>, FileError> {
        let mut notes = self.notes.clone();
        let numbers = self.numbers(ground, numbers_are_ground, &mut notes)?;
        let (mut all, mut others) = (Vec::new(), Vec::new());
        for shape in &self.shapes {
            match &shape.geometry {
                Geometry::Polygon(rings) => all.push(numbers.polygon(rings, &shape.place, &notes)?),
                _ => others.push(format!("{} is a {}", shape.place, shape.kind)),
            }
        }
        let Some(first) = all.first_mut() else {
            let found = others.first().map_or("no feature".to_string(), |text| format!("no polygon: {text}"));
            return Err(FileError::malformed("the boundary", found, "a Polygon that encloses the field"));
        };
        if !others.is_empty() {
            first.notes.push(format!("left aside: {}", first_few(others).join(", ")));
        }
        Ok(all)
    }

    /// Every line, and what was left aside.
    pub fn lines(
        &self,
        ground: Option<&Crs>,
        numbers_are_ground: bool,
    ) -> Result<(Vec<LineIn>, Vec<String>), FileError> {
        let mut notes = self.notes.clone();
        let numbers = self.numbers(ground, numbers_are_ground, &mut notes)?;
        let (mut lines, mut aside, mut high) = (Vec::new(), Vec::new(), Vec::new());
        for Shape { geometry, kind, properties, place } in &self.shapes {
            let Geometry::Line(positions) = geometry else {
                aside.push(format!("{place} is a {kind} and was left aside"));
                continue;
            };
            let mut points = numbers.positions(positions, place)?;
            points.dedup();
            if points.len() < 2 {
                aside.push(format!("{place} has fewer than two different points and was left aside"));
                continue;
            }
            high.extend(has_heights(positions).then_some(place.as_str()));
            lines.push(LineIn { points, properties: properties.clone(), place: place.clone() });
        }
        check_together(&lines.iter().map(|line| (line.points[0], line.place.as_str())).collect::<Vec<_>>())?;
        notes.extend(first_few(aside));
        notes.extend(heights_note(&high));
        Ok((lines, notes))
    }

    /// Every feature as a mark on the land, and what was left aside.
    pub fn landmarks(
        &self,
        ground: Option<&Crs>,
        numbers_are_ground: bool,
    ) -> Result<(Vec<Landmark>, Vec<String>), FileError> {
        let mut notes = self.notes.clone();
        let numbers = self.numbers(ground, numbers_are_ground, &mut notes)?;
        let (mut marks, mut aside, mut firsts) = (Vec::new(), Vec::new(), Vec::new());
        for Shape { geometry, properties, place, .. } in &self.shapes {
            let outlines: Vec<Outline> = match geometry {
                Geometry::Points(points) => numbers.positions(points, place)?.into_iter().map(Outline::At).collect(),
                Geometry::Line(points) => vec![Outline::Along(numbers.positions(points, place)?)],
                Geometry::Polygon(rings) => {
                    if rings.len() > 1 {
                        aside.push(format!("{place}: its holes were left aside"));
                    }
                    let mut ring = numbers.positions(rings.first().map_or(&[][..], Vec::as_slice), place)?;
                    if ring.len() > 1 && ring.first() == ring.last() {
                        ring.pop();
                    }
                    vec![Outline::Around(ring)]
                }
            };
            for outline in outlines {
                firsts.extend(outline.points().first().map(|at| (*at, place.as_str())));
                marks.push(landmarks_in::landmark(place, properties, outline)?);
            }
        }
        check_together(&firsts)?;
        notes.extend(first_few(aside));
        Ok((marks, notes))
    }

    /// Settles what the numbers are.
    fn numbers<'a>(
        &'a self,
        ground: Option<&'a Crs>,
        numbers_are_ground: bool,
        notes: &mut Vec<String>,
    ) -> Result<Numbers<'a>, FileError> {
        let unit_m = ground.map_or(1.0, |crs| crs.unit().metres());
        if numbers_are_ground {
            return Ok(Numbers::Ground(unit_m));
        }
        let plane = match &self.system {
            System::Stated(stated) if Some(stated) == ground => return Ok(Numbers::Ground(unit_m)),
            System::Stated(stated) => Some(stated).filter(|stated| !stated.is_degrees()),
            System::Degrees => None,
            System::Unknown => return Err(self.unknown()),
        };
        match (plane, ground.filter(|crs| !crs.is_local())) {
            (Some(stated), Some(ground)) => {
                notes.push(format!("coordinates were brought from {} to {}", stated.name(), ground.name()));
                notes.extend(stated.note());
                Ok(Numbers::Other(stated, ground))
            }
            (Some(stated), None) => {
                notes.push(format!(
                    "the ground names no coordinate system; the numbers of {} are used as they are",
                    stated.name()
                ));
                Ok(Numbers::Ground(stated.unit().metres()))
            }
            (None, Some(ground)) => {
                notes.extend(ground.note());
                Ok(Numbers::Degrees(ground))
            }
            (None, None) if self.shapes.is_empty() => Ok(Numbers::Ground(1.0)),
            (None, None) => Err(FileError::unclear(
                format!("{} in degrees and ground without a coordinate system", self.format),
                "a coordinate system for the ground, or --crs ground where the numbers are those of the ground",
            )),
        }
    }

    fn unknown(&self) -> FileError {
        FileError::unclear(
            format!("a {} that does not state its coordinate system", self.format),
            "a .prj file of the same name beside it, or --crs ground where the numbers are those of the ground",
        )
    }
}

impl Numbers<'_> {
    /// Positions in metres.
    fn positions(&self, positions: &[Position], place: &str) -> Result<Vec<Point>, FileError> {
        let points = positions.iter().enumerate().map(|(index, p)| self.point(p, place, index));
        let points = points.collect::<Result<Vec<Point>, _>>()?;
        if let Some((index, away_m)) = far_off(&points) {
            let found = format!("a place {:.0} km away from the others of its feature", away_m / 1000.0);
            let place = format!("{place}, position {}", index + 1);
            return Err(FileError::malformed(place, found, "places of one field; are its two numbers swapped?"));
        }
        Ok(points)
    }

    fn point(&self, p: &Position, place: &str, index: usize) -> Result<Point, FileError> {
        let place = || format!("{place}, position {}", index + 1);
        let (x, y) = (p.x, p.y);
        let outside =
            |error: crate::CrsError| FileError::malformed(place(), error.to_string(), "a place near the ground");
        match self {
            Self::Ground(unit_m) => Ok(Point::new(x * unit_m, y * unit_m)),
            Self::Degrees(to) if x.abs() <= 180.0 && y.abs() <= 90.0 => {
                let fits = |lon: f64, lat: f64| to.from_lon_lat(lon, lat).is_ok_and(|at| to.fits(at));
                if !fits(x, y) && y.abs() <= 180.0 && x.abs() <= 90.0 && fits(y, x) {
                    let found =
                        format!("longitude {x} and latitude {y}, far outside the area of {}{SWAPPED}", to.name());
                    return Err(FileError::malformed(place(), found, "longitude first, then latitude"));
                }
                to.from_lon_lat(x, y).map_err(outside)
            }
            Self::Degrees(_) if swapped(Point::new(x, y)) => {
                let found = format!("longitude {x} and latitude {y}{SWAPPED}");
                Err(FileError::malformed(place(), found, "longitude first, then latitude"))
            }
            Self::Degrees(_) => Err(FileError::unclear(
                format!("{} at {x}, {y}, which cannot be degrees, and no crs member", place()),
                "longitude and latitude, or --crs ground where the numbers are those of the ground, or a crs member",
            )),
            Self::Other(from, to) => {
                let unit_m = from.unit().metres();
                let (lon, lat) = from.to_lon_lat(Point::new(x * unit_m, y * unit_m)).map_err(outside)?;
                to.from_lon_lat(lon, lat).map_err(outside)
            }
        }
    }

    /// One polygon, checked and mended.
    fn polygon(&self, rings: &[Vec<Position>], place: &str, notes: &[String]) -> Result<Boundary, FileError> {
        let mut notes = notes.to_vec();
        if matches!(self, Self::Degrees(_)) {
            check_degrees(rings.first().map(Vec::as_slice).unwrap_or_default(), place)?;
        }
        let mut done = Vec::new();
        for (index, ring) in rings.iter().enumerate() {
            let at = if index == 0 { place.to_string() } else { format!("{place}, hole {index}") };
            let points = self.positions(ring, &at)?;
            done.push(mend(points, &at, index == 0, &mut notes)?);
        }
        let done = sound(done, place, &mut notes)?;
        let high = rings.iter().any(|ring| has_heights(ring)).then_some(place);
        notes.extend(heights_note(high.as_slice()));
        check_area(&done, place)?;
        self.check_overlap(&done, place, &mut notes);
        Ok(Boundary { rings: done, notes })
    }

    fn check_overlap(&self, rings: &[Vec<Point>], place: &str, notes: &mut Vec<String>) {
        let (Self::Degrees(to) | Self::Other(_, to)) = self else { return };
        if rings[0].iter().any(|p| !to.fits(*p)) {
            let name = to.name();
            notes.push(format!(
                "{place} lies far outside the area of {name}: it cannot overlap ground in that system"
            ));
        }
    }
}

/// The place that lies farthest from the middle of all, where it and no more than half of them lie farther than a field
/// reaches, and how far, metres.
fn far_off(points: &[Point]) -> Option<(usize, f64)> {
    let middle = |of: fn(&Point) -> f64| {
        let mut values: Vec<f64> = points.iter().map(of).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or_default()
    };
    let centre = Point::new(middle(|p| p.x), middle(|p| p.y));
    let far = |(index, p): (usize, &Point)| Some((index, measure::distance(centre, *p))).filter(|(_, m)| *m > FAR_M);
    let far: Vec<(usize, f64)> = points.iter().enumerate().filter_map(far).collect();
    let few = far.len() * 2 <= points.len();
    far.into_iter().max_by(|(_, a), (_, b)| a.total_cmp(b)).filter(|_| few)
}

/// Refuses a feature that lies far from the others of its file.
fn check_together(firsts: &[(Point, &str)]) -> Result<(), FileError> {
    let points: Vec<Point> = firsts.iter().map(|(at, _)| *at).collect();
    let Some((index, away_m)) = far_off(&points) else { return Ok(()) };
    let found = format!("a place {:.0} km away from the other features", away_m / 1000.0);
    Err(FileError::malformed(
        firsts[index].1,
        found,
        "features of one job; are the two numbers of each place swapped?",
    ))
}

fn has_heights(positions: &[Position]) -> bool {
    positions.iter().any(|p| p.z.is_some_and(|z| z != 0.0))
}

/// Tells of heights, which boundaries and lines on the map do not use.
fn heights_note(places: &[&str]) -> Option<String> {
    let first = places.first()?;
    let more = if places.len() > 1 { format!(" and {} more", places.len() - 1) } else { String::new() };
    Some(format!("{first}{more}: the heights of its positions are not used"))
}

/// The first few sentences, and how many more there were.
fn first_few(mut all: Vec<String>) -> Vec<String> {
    let more = all.len().saturating_sub(MOST_TOLD);
    all.truncate(MOST_TOLD);
    all.extend((more > 0).then(|| format!("{more} more were left aside")));
    all
}

/// Refuses rings in degrees that run round the world or over a pole.
fn check_degrees(ring: &[Position], place: &str) -> Result<(), FileError> {
    let corners = extent(ring.iter().map(|p| Point::new(p.x, p.y)));
    let wide_deg = corners.map_or(0.0, |(low, high)| high.x - low.x);
    if ring.iter().any(|p| (88.0..=90.0).contains(&p.y.abs())) {
        return Err(FileError::malformed(place, "a boundary at a pole", "a field"));
    }
    if ring.iter().all(|p| p.x.abs() <= 180.0) && wide_deg > 180.0 {
        let found = format!("a boundary {wide_deg:.0} degrees wide");
        return Err(FileError::malformed(
            place,
            found,
            "a field; where it crosses 180 degrees, cut there (RFC 7946)",
        ));
    }
    Ok(())
}

fn check_area(rings: &[Vec<Point>], place: &str) -> Result<(), FileError> {
    if rings.is_empty() {
        return Err(FileError::malformed(place, "an empty polygon: no boundary", "a ring that encloses the field"));
    }
    let left = design::counted_m2(rings);
    if FIELD_M2.contains(&left) {
        return Ok(());
    }
    let found = if rings.len() > 1 && left < *FIELD_M2.start() {
        "holes as large as the field: no area left".to_string()
    } else {
        format!("an area of {left:.6} m²")
    };
    Err(FileError::malformed(place, found, "a field between 10 m² and 100,000 ha"))
}
