//! Ground from contours and break lines: lines of a vector file with levels.

use std::collections::BTreeMap;

use measure::{LengthUnit, Point};
use serde_json::{Map, Value};
use terrain::Shot;

use crate::error::shown;
use crate::ground::{Ask, Stated};
use crate::plane::{Plane, like_degrees};
use crate::points::split_unit;
use crate::table::{Delimiter, number};
use crate::vector::{Geometry, Position, Shape, System, VectorFile};
use crate::{FileError, GroundFile, ReadOptions};
use terrain::RawShot;
use terrain::Surface;

/// Names of attributes that hold a level, the likeliest first (common practice, no source).
const LEVEL_NAMES: [&str; 19] = [
    "elevation",
    "elev",
    "level",
    "contour",
    "contourlevel",
    "contourelev",
    "z",
    "zvalue",
    "height",
    "alt",
    "altitude",
    "rl",
    "ele",
    "hoehe",
    "höhe",
    "cota",
    "cote",
    "quota",
    "name",
];
/// Shapes looked at to find the attribute that holds the level.
const SAMPLE: usize = 2_000;
/// Attributes named when none holds the level.
const MOST_NAMED: usize = 12;

/// Where the levels of a file stand.
enum Levels {
    /// In the positions.
    Heights,
    /// In an attribute of this name.
    Attribute(String),
}

/// The ground that the lines and points of a file make.
pub(crate) fn ground(features: &VectorFile, options: &ReadOptions) -> Result<GroundFile, FileError> {
    let mut stated = Stated { notes: features.notes.clone(), ..Stated::default() };
    let first = first_position(features).ok_or_else(|| nothing(features))?;
    let levels = find_levels(features, options, &mut stated)?;
    let first = Point::new(first.x, first.y);
    let degrees = match features.system {
        System::Degrees => true,
        System::Stated(ref crs) => {
            stated.crs = Some(crs.clone());
            crs.is_degrees() && like_degrees(first)
        }
        System::Unknown => options.crs.as_ref().is_some_and(crate::Crs::is_degrees) && like_degrees(first),
    };
    let plane = Plane::settle(&mut stated, degrees, first, options);
    let vertical_m = stated.settle_vertical(plane.unit(), options).metres();
    let made = collect(features, &levels, &plane, vertical_m, options)?;
    made.tell(&mut stated);
    let all =
        || made.shots.iter().map(|shot| shot.level_m).chain(made.lines.iter().flatten().map(|shot| shot.level_m));
    if all().next().is_none() {
        return Err(nothing(features));
    }
    stated.check_levels(all());
    stated.check_place(plane.place(first)?);
    Ok(stated.finish(Surface::Survey { shots: made.shots, lines: made.lines }, plane.unit()))
}

fn nothing(features: &VectorFile) -> FileError {
    let found = format!("a {} without lines or points that have levels", features.format);
    FileError::malformed("the file", found, "contours, break lines or points with levels")
}

fn positions(shape: &Shape) -> &[Position] {
    match &shape.geometry {
        Geometry::Points(all) | Geometry::Line(all) => all,
        Geometry::Polygon(_) => &[],
    }
}

fn first_position(features: &VectorFile) -> Option<Position> {
    features.shapes.iter().flat_map(positions).next().copied()
}

/// Finds where the levels stand. Heights that are all 0 are those of a writer that had none.
fn find_levels(features: &VectorFile, options: &ReadOptions, stated: &mut Stated) -> Result<Levels, FileError> {
    let heights = || features.shapes.iter().flat_map(positions).filter_map(|p| p.z);
    if options.level_attribute.is_none() && heights().any(|z| z != 0.0) {
        stated.vertical = matches!(features.system, System::Degrees).then_some(LengthUnit::Metre);
        return Ok(Levels::Heights);
    }
    let sample = || features.shapes.iter().filter(|shape| !positions(shape).is_empty()).take(SAMPLE);
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for (name, value) in sample().flat_map(|shape| shape.properties.iter()) {
        *counts.entry(name).or_default() += usize::from(level_of(value).is_some());
    }
    let chosen = match &options.level_attribute {
        Some(asked) => counts.iter().find(|(name, count)| name.eq_ignore_ascii_case(asked) && **count > 0),
        None => guess(&counts, sample().count()),
    };
    let Some((name, _)) = chosen else { return Err(no_levels(&counts, options)) };
    let unit = split_unit(name).1;
    stated.vertical = unit;
    let text = format!("levels are taken from the attribute {}", shown(name));
    if options.level_attribute.is_some() {
        stated.note(text)
    } else {
        stated.ask(Ask::LevelAttribute, text)
    }
    Ok(Levels::Attribute((*name).to_string()))
}

/// The likeliest attribute that is a number for most features.
fn guess<'c, 'n>(counts: &'c BTreeMap<&'n str, usize>, features: usize) -> Option<(&'c &'n str, &'c usize)> {
    LEVEL_NAMES
        .iter()
        .find_map(|known| counts.iter().find(|(name, count)| **count * 2 > features && split_unit(name).0 == *known))
}

fn no_levels(counts: &BTreeMap<&str, usize>, options: &ReadOptions) -> FileError {
    let names: Vec<String> =
        counts.iter().filter(|(_, count)| **count > 0).take(MOST_NAMED).map(|(name, _)| shown(name)).collect();
    let names = if names.is_empty() { "none".into() } else { names.join(", ") };
    let asked = options.level_attribute.as_deref().map_or(String::new(), |asked| format!(" in {}", shown(asked)));
    FileError::unclear(
        format!("lines without levels{asked}; attributes that hold numbers: {names}"),
        "positions with heights, or the attribute that holds the level (--level-attribute NAME)",
    )
}

fn level_of(value: &Value) -> Option<f64> {
    let level = value.as_f64().or_else(|| number(value.as_str()?.trim(), Delimiter::Semicolon))?;
    Some(level).filter(|level| level.abs() < 1e6)
}

/// What was made of the shapes.
#[derive(Default)]
struct Made {
    shots: Vec<RawShot>,
    lines: Vec<Vec<Shot>>,
    without: u64,
    polygons: u64,
}

impl Made {
    fn tell(&self, stated: &mut Stated) {
        if self.without > 0 {
            stated.note(format!("{} lines or points without a level were left out", self.without));
        }
        if self.polygons > 0 {
            stated.note(format!("{} polygons were left aside: ground is made of lines and points", self.polygons));
        }
    }
}

fn collect(
    features: &VectorFile,
    levels: &Levels,
    plane: &Plane,
    vertical_m: f64,
    options: &ReadOptions,
) -> Result<Made, FileError> {
    let count = features.shapes.iter().map(|shape| positions(shape).len() as u64).sum::<u64>();
    if count > options.most_cells {
        return Err(FileError::too_large(format!("{count} points"), format!("{} points", options.most_cells)));
    }
    let mut made = Made::default();
    for (index, shape) in features.shapes.iter().enumerate() {
        let of_shape = match levels {
            Levels::Heights => None,
            Levels::Attribute(name) => Some(shape.properties.get(name).and_then(level_of)),
        };
        let shots = positions(shape).iter().filter_map(|p| Some((p, of_shape.unwrap_or(p.z)?)));
        let shots =
            shots.map(|(p, level)| Ok(Shot { at: plane.place(Point::new(p.x, p.y))?, level_m: level * vertical_m }));
        let shots = shots.collect::<Result<Vec<Shot>, FileError>>()?;
        match &shape.geometry {
            Geometry::Polygon(_) => made.polygons += 1,
            _ if shots.is_empty() => made.without += 1,
            Geometry::Line(_) => made.lines.push(shots),
            Geometry::Points(_) => {
                made.shots.extend(shots.iter().map(|shot| raw(shot, &shape.properties, index + 1)))
            }
        }
    }
    Ok(made)
}

fn raw(shot: &Shot, properties: &Map<String, Value>, line: usize) -> RawShot {
    let word = |names: &[&str]| {
        let found = properties.iter().find(|(name, _)| names.contains(&name.to_lowercase().as_str()));
        found.and_then(|(_, value)| value.as_str()).map(str::to_string)
    };
    let (name, code) = (word(&["name", "point", "id"]), word(&["code", "desc", "description"]));
    RawShot { batch: None, at: shot.at, level_m: shot.level_m, name, code, line }
}
