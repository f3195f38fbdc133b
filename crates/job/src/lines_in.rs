//! Lines of a file as lines of a plan.

use exchange::{FileError, LineIn};
use plan::{Condition, Evidence, Joins, Line, LineKind, Material, OldTile, Pin, Plan, SizeBy};
use serde::de::DeserializeOwned;
use serde_json::Value;
use terrain::{Ground, Profile};

use crate::joining::{self, Reach};

/// Adds lines to a plan: first those that end at an outlet, then, round by round, those that join a line already
/// there, at last those that join nothing. Answers what was found for each.
pub fn add_lines(
    plan: &mut Plan,
    ground: Option<&Ground>,
    lines: Vec<LineIn>,
    reach: Reach,
) -> Result<Vec<String>, FileError> {
    let mut told = Vec::new();
    let mut waiting: Vec<Line> = Vec::new();
    for read in lines {
        waiting.push(line(plan, &waiting, read, &mut told)?);
    }
    while !waiting.is_empty() {
        let best = (0..waiting.len()).min_by_key(|i| order(plan, ground, &waiting[*i], reach)).unwrap_or(0);
        let next = waiting.remove(best);
        let off = off_ground(plan, ground, &next);
        let placed = joining::place(plan, ground, next, reach);
        told.extend(placed.told);
        told.extend(off);
        plan.apply(&placed.edit).map_err(|error| malformed(error.place, error.found, error.expected))?;
    }
    Ok(told)
}

/// Where a new line lies over no ground, in words; nothing where no ground is at hand, which is told by itself.
fn off_ground(plan: &Plan, ground: Option<&Ground>, line: &Line) -> Option<String> {
    let gaps = Profile::along(ground?, &line.points).gaps(line.length_m());
    let units = plan.title.units;
    let length_m: f64 = gaps.iter().map(|gap| gap.1 - gap.0).sum();
    let station = |station_m: f64| measure::station(station_m, units);
    let parts: Vec<String> =
        gaps.iter().map(|gap| format!("from {} to {}", station(gap.0), station(gap.1))).collect();
    let words = || format!("{}: no ground along {}, {}", line.name, units.length(length_m), parts.join(", "));
    (!parts.is_empty() && !line.kind.is_old()).then(words)
}

/// Outlets first, then joints, then old tile (which others may end at), then the rest.
fn order(plan: &Plan, ground: Option<&Ground>, line: &Line, reach: Reach) -> u8 {
    match joining::place(plan, ground, line.clone(), reach).joins {
        Joins::Outlet(_) => 0,
        _ if line.kind.is_old() => 1,
        Joins::Line(_) => 2,
        Joins::Nothing => 3,
    }
}

fn malformed(place: impl Into<String>, found: impl Into<String>, expected: impl Into<String>) -> FileError {
    FileError::Malformed { place: place.into(), found: found.into(), expected: expected.into() }
}

fn line(plan: &Plan, before: &[Line], read: LineIn, told: &mut Vec<String>) -> Result<Line, FileError> {
    let property = |name: &str| read.properties.get(name).filter(|value| !value.is_null());
    let kind = match property("kind") {
        Some(value) => kind(value, &read)?,
        None => LineKind::Lateral,
    };
    let taken = |name: &str| plan.line_named(name).is_some() || before.iter().any(|line| line.name == name);
    let wanted = property("name").map(text).unwrap_or_else(|| first_free(kind.stem().into(), "", &taken));
    let name = if taken(&wanted) { first_free(format!("{wanted} ("), ")", &taken) } else { wanted.clone() };
    if name != wanted {
        told.push(format!("{}: the name {wanted} is taken, called {name}", read.place));
    }
    if property("kind").is_none() {
        told.push(format!("{name}: no kind given, taken as a lateral"));
    }
    let mut line = plan.new_line(&name, kind, read.points.clone());
    if let Some(value) = property("size") {
        let size = text(value);
        // Of sizes one after the other the one at the downstream end is read.
        let lowest = size.split_once(" to ").map_or(size.as_str(), |(lowest, _)| lowest);
        line.size_m = measure::parse_pipe_size(lowest)
            .map_err(|error| malformed(format!("{}, property size", read.place), error.found, error.expected))?;
        told.push(format!("{name}: size {size} read as {}", plan.title.units.pipe(line.size_m)));
    }
    if property("size").is_none() {
        line.size_by = SizeBy::usual(kind);
    }
    if let Some(value) = property("material").filter(|_| !kind.is_old()) {
        line.bed.material = one(value, "material", MATERIALS, &read)?;
    }
    if let Some(value) = property("pattern") {
        line.pattern = one(value, "pattern", PATTERNS, &read)?;
    }
    if let Some(value) = property("pins") {
        line.pins = pins(value, &read)?;
    }
    Ok(line)
}

fn text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), |text| measure::plain(text).into_owned())
}

/// The first name made of a stem, a number and an ending that no line has yet.
fn first_free(stem: String, ending: &str, taken: &impl Fn(&str) -> bool) -> String {
    (1..).map(|n| format!("{stem}{n}{ending}")).find(|name| !taken(name)).unwrap_or_default()
}

fn kind(value: &Value, read: &LineIn) -> Result<LineKind, FileError> {
    let words = text(value).to_lowercase().replace(['_', '-'], " ");
    match words.trim() {
        "main" => Ok(LineKind::Main),
        "submain" | "sub main" => Ok(LineKind::Submain),
        "lateral" => Ok(LineKind::Lateral),
        "old tile" | "oldtile" | "old" => Ok(LineKind::OldTile(old_tile(read)?)),
        _ => Err(malformed(
            format!("{}, property kind", read.place),
            text(value),
            "main, submain, lateral or old tile",
        )),
    }
}

const PATTERNS: &str = "targeted, parallel or interceptor";
const MATERIALS: &str = "clay, concrete, plastic, metal or unknown";

fn old_tile(read: &LineIn) -> Result<OldTile, FileError> {
    // Files written by this program keep the three together under one name.
    if let Some(whole) = read.properties.get("old_tile").filter(|value| value.is_object()) {
        return one(whole, "old_tile", "evidence, material and condition", read);
    }
    let word = |name: &str| read.properties.get(name).filter(|value| !value.is_null()).cloned();
    Ok(OldTile {
        evidence: word("evidence")
            .map_or(Ok(Evidence::default()), |v| one(&v, "evidence", "suspected, seen or proved", read))?,
        material: word("material").map_or(Ok(Material::default()), |v| one(&v, "material", MATERIALS, read))?,
        condition: word("condition")
            .map_or(Ok(Condition::default()), |v| one(&v, "condition", "good, fair, poor or unknown", read))?,
        upstream_m2: word("upstream_m2")
            .map(|v| one(&v, "upstream_m2", "the area above it in square meters", read))
            .transpose()?,
        ..OldTile::default()
    })
}

fn one<T: DeserializeOwned>(value: &Value, name: &str, expected: &str, read: &LineIn) -> Result<T, FileError> {
    serde_json::from_value(value.clone())
        .map_err(|_| malformed(format!("{}, property {name}", read.place), text(value), expected))
}

fn pins(value: &Value, read: &LineIn) -> Result<Vec<Pin>, FileError> {
    let mut pairs: Vec<(f64, f64)> = one(value, "pins", "a list of [station, invert] in meters", read)?;
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    Ok(pairs.into_iter().map(|(station_m, invert_m)| Pin { station_m, invert_m, straight: true }).collect())
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use measure::{Point, Units};

    use super::*;

    fn read(properties: Value) -> LineIn {
        let points = vec![Point::new(0.0, 0.0), Point::new(90.0, 0.0)];
        let properties = properties.as_object().cloned().unwrap_or_default();
        LineIn { points, properties: Arc::new(properties), place: "feature 1".into() }
    }

    /// How a line is laid out is read, and no other word than the three.
    #[test]
    fn the_pattern_of_a_line_is_read() {
        let mut plan = Plan::new("Lines", Units::Feet);
        let lines = vec![read(serde_json::json!({ "name": "I1", "kind": "lateral", "pattern": "interceptor" }))];
        add_lines(&mut plan, None, lines, Reach::FROM_FILE).unwrap();
        assert_eq!(plan.lines[&plan.line_named("I1").unwrap()].pattern, plan::Pattern::Interceptor);
        let star = vec![read(serde_json::json!({ "kind": "lateral", "pattern": "star" }))];
        let error = add_lines(&mut plan, None, star, Reach::FROM_FILE).unwrap_err().to_string();
        assert!(error.contains("property pattern") && error.contains("targeted, parallel or interceptor"), "{error}");
    }

    /// New pipe may say what it is made of, old tile says it for itself.
    #[test]
    fn the_material_of_a_line_is_read() {
        let mut plan = Plan::new("Lines", Units::Feet);
        let lines = vec![
            read(serde_json::json!({ "name": "M1", "kind": "main", "material": "concrete" })),
            read(serde_json::json!({ "name": "T1", "kind": "old tile", "material": "metal" })),
        ];
        add_lines(&mut plan, None, lines, Reach::FROM_FILE).unwrap();
        let line = |name: &str| &plan.lines[&plan.line_named(name).unwrap()];
        assert_eq!(line("M1").bed.material, Material::Concrete);
        assert!(matches!(line("T1").kind, LineKind::OldTile(old) if old.material == Material::Metal));
        let wood = vec![read(serde_json::json!({ "kind": "main", "material": "wood" }))];
        let error = add_lines(&mut plan, None, wood, Reach::FROM_FILE).unwrap_err().to_string();
        assert!(error.contains("property material") && error.contains("wood"), "{error}");
    }
}
