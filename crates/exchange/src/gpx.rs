//! Shots from GPX (version 1.0 and 1.1): waypoints, routes and tracks with elevation.

use measure::{LengthUnit, Point};
use roxmltree::Node;

use crate::error::shown;
use crate::ground::Stated;
use crate::xml::{self, child_text};
use crate::{FileError, GroundFile, ReadOptions, points};
use terrain::RawShot;

/// Whether bytes are GPX.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    xml::root_is(bytes, "gpx")
}

/// Reads every fix with an elevation as a shot, on the plane asked for or the UTM zone of the first.
pub fn read_gpx(bytes: &[u8], options: &ReadOptions) -> Result<GroundFile, FileError> {
    let text = xml::text(bytes)?;
    let document = xml::parse(&text, "GPX")?;
    if !xml::is(document.root_element(), "gpx") {
        let found = format!("<{}>", document.root_element().tag_name().name());
        return Err(FileError::malformed("line 1", found, "<gpx>"));
    }
    let mut stated = Stated { vertical: Some(LengthUnit::Metre), ..Stated::default() };
    let (mut shots, mut without) = (Vec::new(), 0u64);
    let mut lines = Lines { text: &text, line: 1, at: 0 };
    for node in document.descendants().filter(|node| matches!(node.tag_name().name(), "wpt" | "rtept" | "trkpt")) {
        match shot(node, lines.of(node.range().start))? {
            Some(shot) => shots.push(shot),
            None => without += 1,
        }
    }
    if shots.len() as u64 > options.most_cells {
        return Err(FileError::too_large(format!("{} fixes", shots.len()), format!("{} fixes", options.most_cells)));
    }
    if without > 0 {
        stated.note(format!("{without} fixes without an elevation were left out"));
    }
    stated.note(
        "elevations of satellite receivers are commonly meters off, and some are counted from the ellipsoid, not from the sea: check them against a benchmark",
    );
    points::settle(shots, true, stated, options)
}

/// Counts the lines of a text up to places that come one after the other.
struct Lines<'t> {
    text: &'t str,
    line: usize,
    at: usize,
}

impl Lines<'_> {
    fn of(&mut self, place: usize) -> usize {
        self.line += self.text[self.at..place].matches('\n').count();
        self.at = place;
        self.line
    }
}

/// A fix with its elevation; `None` where it has none.
fn shot(node: Node, line: usize) -> Result<Option<RawShot>, FileError> {
    let degrees = |name: &str, most: f64| {
        let text = node.attribute(name).unwrap_or_default();
        let number = xml::number(text).ok().filter(|value| value.abs() <= most);
        let wrong = || FileError::malformed(xml::place(node), format!("{name} {}", shown(text)), "degrees");
        number.ok_or_else(wrong)
    };
    let at = Point::new(degrees("lon", 180.0)?, degrees("lat", 90.0)?);
    let Some(text) = child_text(node, "ele") else { return Ok(None) };
    let level = xml::number(text).and_then(|level| if level.abs() < 1e6 { Ok(level) } else { Err(shown(text)) });
    let level_m =
        level.map_err(|found| FileError::malformed(xml::place(node), format!("elevation {found}"), "meters"))?;
    let word = |name| child_text(node, name).map(str::to_string);
    Ok(Some(RawShot {
        batch: None,
        at,
        level_m,
        name: word("name"),
        code: word("desc").or_else(|| word("sym")),
        line,
    }))
}
