//! Coordinate systems in well-known text: OGC 01-009 (WKT 1), its ESRI dialect, and ISO 19162 (WKT 2).

use measure::LengthUnit;

use crate::projection::{Datum, Definition, method_of, parameter_of};
use crate::{Crs, CrsError};

/// Deepest nesting and most items that are read (own choice; a compound system has five levels and some hundred items).
const DEEPEST: usize = 24;
const MOST_ITEMS: usize = 5_000;

/// A keyword with what stands in its brackets.
#[derive(Debug, Default, PartialEq)]
struct Node {
    word: String,
    items: Vec<Item>,
}

#[derive(Debug, PartialEq)]
enum Item {
    Node(Node),
    Text(String),
    /// A number, or a bare word such as an axis direction.
    Bare(String),
}

/// What a text says of a system.
#[derive(Debug, Default)]
pub(crate) struct Said {
    /// The horizontal system; `None` for one of a place of its own, an error for one that cannot be used.
    pub crs: Option<Result<Crs, CrsError>>,
    /// The unit of the coordinates.
    pub linear: Option<LengthUnit>,
    /// The unit of the levels.
    pub vertical: Option<LengthUnit>,
    /// The vertical datum or system.
    pub datum: Option<String>,
}

/// Reads a text; `None` where it is no well-known text of a system.
pub(crate) fn read(text: &str) -> Option<Said> {
    let root = parse(text)?;
    let mut said = Said::default();
    let vertical = root.find(&["VERT_CS", "VERTCS", "VERTCRS", "VERTICALCRS"]);
    said.datum = vertical.and_then(|system| system.text(0)).map(str::to_string);
    said.vertical = vertical.and_then(|system| length_unit(system.unit()?));
    if let Some(system) = root.find(&["PROJCS", "PROJCRS", "PROJECTEDCRS"]) {
        said.linear = system.unit().and_then(length_unit);
        said.crs = Some(projected(system));
    } else if let Some(system) = root.find(&["GEOGCS", "GEOGCRS", "GEODCRS", "GEOGRAPHICCRS", "GEODETICCRS"]) {
        said.crs = Some(geographic(system));
    } else {
        let local = root.find(&["LOCAL_CS", "ENGCRS", "ENGINEERINGCRS"])?;
        said.linear = local.unit().and_then(length_unit);
    }
    Some(said)
}

/// A projected system, by its code where there is one that is known, else by its parameters.
fn projected(system: &Node) -> Result<Crs, CrsError> {
    match system.code().map(Crs::from_epsg) {
        Some(Ok(crs)) => Ok(crs),
        _ => Crs::of(&definition(system)?),
    }
}

fn definition(system: &Node) -> Result<Definition, CrsError> {
    let name = || system.text(0).unwrap_or("a projected system").to_string();
    let unknown = || CrsError::Unknown { found: name() };
    let conversion = system.child(&["CONVERSION"]).unwrap_or(system);
    let method = conversion.child(&["PROJECTION", "METHOD"]).and_then(|method| method.text(0)).ok_or_else(unknown)?;
    let base = system.child(&["GEOGCS", "BASEGEOGCRS", "BASEGEODCRS"]).ok_or_else(unknown)?;
    let unit_m = system.unit().and_then(Node::factor).unwrap_or(1.0);
    let unit = system.unit().map_or(Some(LengthUnit::Metre), length_unit);
    let unit = unit.ok_or_else(|| CrsError::Unit { found: name(), unit: format!("units of {unit_m} m") })?;
    let degree = base.unit().and_then(Node::factor).map_or(1.0, f64::to_degrees);
    let mut definition =
        Definition::new(method_of(method).ok_or_else(unknown)?, datum(base).ok_or_else(unknown)?.words(), unit);
    for parameter in conversion.children().filter(|node| node.word == "PARAMETER") {
        let Some((key, value)) = parameter.text(0).and_then(parameter_of).zip(parameter.number(1)) else { continue };
        let own = parameter.unit();
        let value = match key {
            _ if key.is_angle() => value * own.and_then(Node::factor).map_or(degree, f64::to_degrees),
            _ if key.is_length() => value * own.and_then(Node::factor).unwrap_or(unit_m),
            _ => value,
        };
        definition.set(key, value);
    }
    if definition.is_bare() { Err(unknown()) } else { Ok(definition) }
}

fn geographic(system: &Node) -> Result<Crs, CrsError> {
    let unknown = || CrsError::Unknown { found: system.text(0).unwrap_or("a geographic system").into() };
    match system.code().map(Crs::from_epsg) {
        Some(Ok(crs)) => Ok(crs),
        _ => Crs::of(&Definition::geographic(datum(system).ok_or_else(unknown)?.words())),
    }
}

/// Datum, ellipsoid and prime meridian of a geographic system.
fn datum(base: &Node) -> Option<Datum> {
    let datum = base.child(&["DATUM", "GEODETICDATUM", "TRF", "ENSEMBLE"])?;
    let ellipsoid = datum.child(&["SPHEROID", "ELLIPSOID"])?;
    let unit_m = ellipsoid.unit().and_then(Node::factor).unwrap_or(1.0);
    let shift = datum.child(&["TOWGS84"]).map(|list| (0..list.items.len()).filter_map(|i| list.number(i)).collect());
    let meridian = base.child(&["PRIMEM", "PRIMEMERIDIAN"]);
    let degree = base.unit().and_then(Node::factor).map_or(1.0, f64::to_degrees);
    let own = |node: &Node| node.unit().and_then(Node::factor).map_or(degree, f64::to_degrees);
    Some(Datum {
        name: datum.text(0).unwrap_or_default().to_string(),
        major_m: ellipsoid.number(1)? * unit_m,
        inverse_flattening: ellipsoid.number(2)?,
        shift: shift.unwrap_or_default(),
        meridian_deg: meridian.and_then(|node| Some(node.number(1)? * own(node))).unwrap_or(0.0),
    })
}

/// The length unit of a `UNIT`, where it is one of those known here.
fn length_unit(unit: &Node) -> Option<LengthUnit> {
    LengthUnit::of_metres(unit.factor()?)
}

impl Node {
    fn children(&self) -> impl Iterator<Item = &Node> {
        self.items.iter().filter_map(|item| match item {
            Item::Node(node) => Some(node),
            _ => None,
        })
    }

    fn child(&self, words: &[&str]) -> Option<&Node> {
        self.children().find(|node| words.contains(&node.word.as_str()))
    }

    /// This node or the first below it with one of these words.
    fn find(&self, words: &[&str]) -> Option<&Node> {
        if words.contains(&self.word.as_str()) {
            return Some(self);
        }
        self.children().find_map(|node| node.find(words))
    }

    fn text(&self, index: usize) -> Option<&str> {
        match self.items.get(index)? {
            Item::Text(text) => Some(text),
            _ => None,
        }
    }

    fn number(&self, index: usize) -> Option<f64> {
        match self.items.get(index)? {
            Item::Bare(word) => word.parse().ok().filter(|value: &f64| value.is_finite()),
            _ => None,
        }
    }

    /// The unit of the node itself, or of its first axis that has one.
    fn unit(&self) -> Option<&Node> {
        const UNITS: [&str; 4] = ["UNIT", "LENGTHUNIT", "ANGLEUNIT", "SCALEUNIT"];
        let of_axis = || self.children().filter(|node| node.word == "AXIS").find_map(|axis| axis.child(&UNITS));
        self.child(&UNITS).or_else(of_axis)
    }

    /// Metres or radians in a `UNIT`.
    fn factor(&self) -> Option<f64> {
        self.number(1).filter(|factor| *factor > 0.0)
    }

    /// The EPSG code of this very node.
    fn code(&self) -> Option<u32> {
        let mark = self.children().find(|node| {
            matches!(node.word.as_str(), "AUTHORITY" | "ID")
                && node.text(0).is_some_and(|t| t.eq_ignore_ascii_case("EPSG"))
        })?;
        match mark.items.get(1)? {
            Item::Text(code) | Item::Bare(code) => code.trim().parse().ok(),
            Item::Node(_) => None,
        }
    }
}

/// Reads the brackets; what follows the first whole node is ignored.
fn parse(text: &str) -> Option<Node> {
    let mut open: Vec<Node> = Vec::new();
    let mut word = String::new();
    let mut count = 0;
    let mut chars = text.trim_start_matches('\u{feff}').chars().peekable();
    while let Some(c) = chars.next() {
        count += usize::from(matches!(c, ',' | '[' | '('));
        if count > MOST_ITEMS {
            return None;
        }
        match c {
            '[' | '(' if open.len() < DEEPEST => {
                open.push(Node { word: std::mem::take(&mut word).trim().to_ascii_uppercase(), items: Vec::new() });
            }
            '[' | '(' => return None,
            ']' | ')' => {
                let mut done = open.pop()?;
                done.take_bare(&mut word);
                match open.last_mut() {
                    Some(parent) => parent.items.push(Item::Node(done)),
                    None => return Some(done),
                }
            }
            ',' => open.last_mut()?.take_bare(&mut word),
            '"' => {
                let quoted = quoted(&mut chars)?;
                open.last_mut()?.items.push(Item::Text(quoted));
            }
            c => word.push(c),
        }
    }
    None
}

impl Node {
    fn take_bare(&mut self, word: &mut String) {
        let bare = std::mem::take(word);
        if !bare.trim().is_empty() {
            self.items.push(Item::Bare(bare.trim().to_string()));
        }
    }
}

/// The rest of a quoted text; a doubled quote stands for one.
fn quoted(chars: &mut std::iter::Peekable<std::str::Chars>) -> Option<String> {
    let mut text = String::new();
    loop {
        match chars.next()? {
            '"' if chars.peek() == Some(&'"') => {
                chars.next();
                text.push('"');
            }
            '"' => return Some(text),
            c => text.push(c),
        }
    }
}
