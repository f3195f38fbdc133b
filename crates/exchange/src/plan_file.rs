//! The plan file: JSON with a version number, SI units, coordinate system and datum stated.
//!
//! A save never endangers what is on disk: see [`crate::replace_file`]. The old file stays as `NAME.bak`.

use std::fs;
use std::path::Path;

use plan::Plan;
use serde::Serialize;
use serde_json::Value;

use crate::json::Json;
use crate::members::{self, Part};
use crate::{FileError, unknown};

/// Version written today. Older files are brought up by [`UPGRADES`]; newer ones are refused.
pub const PLAN_VERSION: u64 = 12;

/// Extension of plan files.
pub const PLAN_EXTENSION: &str = "drain";

/// Largest plan file that is read, bytes.
const LARGEST: u64 = 200 << 20;

/// Most members of a file that are kept though they are not known.
const MOST_UNKNOWN: usize = 10_000;

const FORMAT: &str = "drainwright plan";
const UNITS: &str = "meters, grades as ratios; coordinates are those of the ground's system times its unit";

/// Steps from version n to n + 1, oldest first. Each changes the JSON of the plan in place.
const UPGRADES: [fn(&mut Value); 11] = [
    with_survey_book,
    with_roughness_by_wall,
    with_landmarks,
    with_staking,
    with_sizes_of_stretches,
    with_one_served_distance,
    with_record,
    with_soil_tested,
    with_backdrop,
    with_title_block,
    with_sizes_in_steps,
];

/// Version 2 holds what is known of the survey; programs of version 1 would drop its corrections without a word.
fn with_survey_book(plan: &mut Value) {
    if let Some(plan) = plan.as_object_mut() {
        plan.entry("survey").or_insert_with(|| Value::Object(serde_json::Map::new()));
    }
}

/// Version 3 keeps a roughness for each wall and size; the one that older plans had was that of small corrugated pipe.
fn with_roughness_by_wall(plan: &mut Value) {
    let criteria = plan.get_mut("criteria").and_then(Value::as_object_mut);
    if let Some((criteria, n)) = criteria.and_then(|criteria| criteria.remove("roughness_n").map(|n| (criteria, n))) {
        criteria.insert("roughness".into(), serde_json::json!({ "corrugated_to_8_in": n }));
    }
}

/// Version 4 holds marks on the land, prices, findings left and sheets issued; programs of version 3 would drop them
/// without a word.
fn with_landmarks(plan: &mut Value) {
    if let Some(plan) = plan.as_object_mut() {
        plan.entry("landmarks").or_insert_with(|| Value::Object(serde_json::Map::new()));
    }
}

/// Version 5 keeps the way from stake to stake, which older programs took from the unit of display; theirs are kept.
fn with_staking(plan: &mut Value) {
    let is_metric = plan.pointer("/title/units").and_then(Value::as_str) == Some("metric");
    let staking_m = if is_metric { 15.0 } else { 50.0 * measure::FOOT_M };
    if let Some(plan) = plan.as_object_mut() {
        let criteria = plan.entry("criteria").or_insert_with(|| Value::Object(serde_json::Map::new()));
        criteria.as_object_mut().into_iter().for_each(|criteria| {
            criteria.entry("staking_m").or_insert(serde_json::json!(staking_m));
        });
    }
}

/// Version 6 lets a stretch of a line have its own size and wall; programs of version 5 would dig it in the line's.
fn with_sizes_of_stretches(_: &mut Value) {}

/// Version 7 has one figure for the distance that a line drains, the brief's. Older plans had another for checks, which
/// stands where only that one was set.
fn with_one_served_distance(plan: &mut Value) {
    let criteria = plan.get_mut("criteria").and_then(Value::as_object_mut);
    let Some(of_checks) = criteria.and_then(|criteria| criteria.remove("wet_far_m")) else { return };
    let usual = serde_json::json!(plan::Brief::default().served_m);
    let brief = plan.as_object_mut().map(|plan| plan.entry("brief").or_insert_with(|| serde_json::json!({})));
    if let Some(served) =
        brief.and_then(Value::as_object_mut).map(|brief| brief.entry("served_m").or_insert(usual.clone()))
        && *served == usual
    {
        *served = of_checks;
    }
}

/// Version 8 holds the record of the digging and what tells of old tile; programs of version 7 would drop them.
fn with_record(_: &mut Value) {}

/// Version 9 holds what was tested of a soil layer: sand, organic matter and drainable porosity. Conductivity that was not
/// measured is told by Saxton and Rawls now, which nothing in the file says.
fn with_soil_tested(_: &mut Value) {}

/// Version 10 may name a picture under the plan; programs of version 9 would leave it out of the folder, and do not know
/// that a buried pipe carries irrigation or reclaimed water. What was accepted is known by the title of its finding, which
/// some findings have changed since.
fn with_backdrop(plan: &mut Value) {
    let accepted = plan.get_mut("waivers").and_then(Value::as_array_mut);
    for title in accepted.into_iter().flatten().filter_map(|one| one.get_mut("title")) {
        if let Some(told) = title.as_str().map(title_of_version_10) {
            *title = Value::String(told);
        }
    }
}

/// A finding's title as it is since version 10.
fn title_of_version_10(told: &str) -> String {
    if let Some(name) = told.strip_prefix("Old tile ").and_then(|rest| rest.strip_suffix(" is alive")) {
        return format!("Old tile {name} is running");
    }
    match told {
        "Little water is meant to leave" => "The drainage coefficient is low".into(),
        "Drains near a neighbour's boundary" => "Drains near a neighbor's boundary".into(),
        _ => told.replace("telephone or fibre", "telephone or fiber"),
    }
}

/// Version 11 holds owner, parcel, county, planner and the ticket of the site; sheets of version 10 would leave without them.
fn with_title_block(_: &mut Value) {}

/// Version 12 lets a line that is sized by its flow step up in size. Lines of older plans that are stay in one size from end to
/// end, as they were meant.
fn with_sizes_in_steps(_: &mut Value) {}

#[derive(Serialize)]
struct Written<'a> {
    format: &'static str,
    version: u64,
    units: &'static str,
    crs: &'a str,
    datum: &'a str,
    caution: &'static str,
    plan: &'a Plan,
}

/// The text of a plan file; the same plan gives the same bytes.
pub fn plan_text(plan: &Plan) -> Result<String, FileError> {
    let ground = plan.ground.as_ref();
    let written = Written {
        format: FORMAT,
        version: PLAN_VERSION,
        units: UNITS,
        crs: ground.map_or("not stated", |g| &g.crs),
        datum: ground.filter(|g| !g.datum.is_empty()).map_or("not stated", |g| &g.datum),
        caution: plan::CAUTION,
        plan,
    };
    let text = pretty(&written)?;
    if plan.unknown.is_empty() {
        return Ok(text);
    }
    let mut json: Json = serde_json::from_str(&text).map_err(json_error)?;
    unknown::put_back(&mut json, &plan.unknown);
    pretty(&json)
}

fn pretty(written: &impl Serialize) -> Result<String, FileError> {
    let mut text = serde_json::to_string_pretty(written)
        .map_err(|error| FileError::malformed("the plan", error.to_string(), "numbers that JSON can hold"))?;
    text.push('\n');
    Ok(text)
}

/// Members at the head of a plan file; those after the first two tell of the plan and are not read.
const HEAD: [&str; 7] = ["format", "version", "units", "crs", "datum", "caution", "plan"];

/// Reads the text of a plan file of any version up to [`PLAN_VERSION`]. Members that are not known are kept in
/// [`Plan::unknown`]; one that is there twice is refused.
pub fn plan_from_text(text: &str) -> Result<Plan, FileError> {
    let json: Json = serde_json::from_str(text).map_err(json_error)?;
    let Value::Object(mut head) = Value::from(json) else {
        return Err(FileError::malformed("the file", "no object with members", FORMAT));
    };
    let version = version_of(&head)?;
    let mut value = head.remove("plan").unwrap_or_default();
    for upgrade in &UPGRADES[version..] {
        upgrade(&mut value);
    }
    let (mut plan, mut strays) = members::read::<Plan>("plan", &value)
        .map_err(|wrong| FileError::malformed(unknown::place(&wrong.way), wrong.found, wrong.expected))?;
    plan.validate().map_err(|error| FileError::malformed(error.place, error.found, error.expected))?;
    strays.extend(unknown::in_signed(&value));
    let own = head.keys().filter(|name| !HEAD.contains(&name.as_str()));
    strays.extend(own.map(|name| members::Stray { way: vec![Part::Member(name.clone())], known: &HEAD }));
    if strays.len() > MOST_UNKNOWN {
        let found = format!("{} members that are not known", strays.len());
        return Err(FileError::malformed("the file", found, format!("at most {MOST_UNKNOWN}")));
    }
    if !strays.is_empty() {
        let known: Json = serde_json::from_str(&plan_text(&plan)?).map_err(json_error)?;
        head.insert("plan".into(), value);
        plan.unknown = unknown::kept(strays, &Value::Object(head), &known);
    }
    Ok(plan)
}

/// How many upgrades a file has had already, by its version.
fn version_of(head: &serde_json::Map<String, Value>) -> Result<usize, FileError> {
    let told = |name: &str| head.get(name).map_or("nothing of that name".to_string(), Value::to_string);
    if head.get("format").and_then(Value::as_str) != Some(FORMAT) {
        return Err(FileError::malformed("member 'format'", told("format"), FORMAT));
    }
    let Some(version) = head.get("version").and_then(Value::as_u64) else {
        return Err(FileError::malformed("member 'version'", told("version"), "a whole number"));
    };
    let first = PLAN_VERSION - UPGRADES.len() as u64;
    if !(first..=PLAN_VERSION).contains(&version) {
        let expected = format!("a plan of version {first} to {PLAN_VERSION}");
        return Err(FileError::Unsupported { found: format!("version {version}"), expected });
    }
    Ok((version - first) as usize)
}

fn json_error(error: serde_json::Error) -> FileError {
    let place = format!("line {}, column {}", error.line(), error.column());
    FileError::malformed(place, error.to_string(), "a plan file in JSON")
}

/// Reads a plan file.
pub fn read_plan(path: &Path) -> Result<Plan, FileError> {
    plan_from_text(&plan_file_text(path)?)
}

/// The text of a file that may be a plan.
pub(crate) fn plan_file_text(path: &Path) -> Result<String, FileError> {
    let there = fs::metadata(path).map_err(|e| cannot_read(path, e))?;
    let size = there.len();
    if let Some(what) = crate::no_file(&there) {
        return Err(FileError::malformed("the file", what, "a plan file"));
    }
    if size > LARGEST {
        return Err(FileError::TooLarge { found: format!("{size} bytes"), limit: format!("{LARGEST} bytes") });
    }
    fs::read_to_string(path).map_err(|e| cannot_read(path, e))
}

fn cannot_read(path: &Path, source: std::io::Error) -> FileError {
    FileError::Io { path: path.display().to_string(), source }
}

/// Saves a plan; the file that was there is its former state and stays as its backup.
pub fn save_plan(plan: &Plan, path: &Path) -> Result<(), FileError> {
    crate::replace_file(path, plan_text(plan)?.as_bytes(), true)
}

/// Saves a plan where another file may lie, which stays as backup and under a numbered name that no later save takes.
pub fn save_plan_over(plan: &Plan, path: &Path) -> Result<(), FileError> {
    crate::replace_anothers(path, plan_text(plan)?.as_bytes())
}

/// True for a file that is a plan, whatever its name and version, also one that is cut short; what is called like a plan
/// counts as one.
pub fn is_plan(path: &Path) -> bool {
    let Ok(there) = fs::metadata(path) else { return false };
    if !there.is_file() || there.len() > LARGEST {
        return false;
    }
    let is_called = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(PLAN_EXTENSION));
    is_called || fs::read(path).is_ok_and(|bytes| reads_as_plan(&bytes))
}

fn reads_as_plan(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let text = text.trim_start_matches('\u{feff}').trim_start();
    text.starts_with('{') && text.contains(&format!("\"{FORMAT}\""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::{Point, Units};
    use plan::{Line, LineKind};

    fn sketch() -> Plan {
        let mut plan = Plan::new("Sketch", Units::Feet);
        let line = Line::new("L1", LineKind::Lateral, vec![Point::new(0.1, 0.2), Point::new(33.3, 44.4)]);
        let (_, edit) = plan::add_line(&plan, line);
        plan.apply(&edit).unwrap();
        plan
    }

    #[test]
    fn a_plan_comes_back_as_it_was() {
        let text = plan_text(&sketch()).unwrap();
        assert_eq!(plan_from_text(&text).unwrap(), sketch());
        assert_eq!(plan_text(&plan_from_text(&text).unwrap()).unwrap(), text);
    }

    /// What pipe is made of is kept where it was entered, and is no part of a file where it was not.
    #[test]
    fn the_material_of_new_pipe_is_kept() {
        let plain = plan_text(&sketch()).unwrap();
        assert!(!plain.contains("material"));
        let mut plan = sketch();
        plan.lines.values_mut().for_each(|line| line.bed.material = plan::Material::Metal);
        let text = plan_text(&plan).unwrap();
        assert!(text.contains("\"material\": \"metal\""));
        assert_eq!(plan_from_text(&text).unwrap(), plan);
    }

    /// A file as version 1 wrote it.
    #[test]
    fn the_first_version_opens_forever() {
        let plan = plan_from_text(include_str!("../tests/plans/version-1.drain")).unwrap();
        assert_eq!((plan.title.name.as_str(), plan.lines.len(), plan.survey.is_empty()), ("Larkmoor Bench", 5, true));
        assert!(plan_text(&plan).unwrap().contains("\"version\": 12"));
    }

    /// A file as version 2 wrote it, with the one roughness it had changed by hand.
    #[test]
    fn the_second_version_opens_forever() {
        let plan = plan_from_text(include_str!("../tests/plans/version-2.drain")).unwrap();
        assert_eq!((plan.title.name.as_str(), plan.lines.len()), ("Larkmoor Bench", 5));
        assert_eq!(plan.criteria.roughness.corrugated_to_8_in, 0.016);
        assert_eq!(plan.criteria.roughness.smooth, plan::Roughness::default().smooth);
    }

    /// A file as version 3 wrote it.
    #[test]
    fn the_third_version_opens_forever() {
        let plan = plan_from_text(include_str!("../tests/plans/version-3.drain")).unwrap();
        assert_eq!((plan.title.name.as_str(), plan.lines.len(), plan.landmarks.len()), ("Larkmoor Bench", 5, 0));
        assert!(plan.outlets.values().all(|outlet| outlet.guard && outlet.rigid), "new outlets have them");
    }

    /// A file as version 4 wrote it: stakes as far apart as its unit made them then.
    #[test]
    fn the_fourth_version_opens_forever() {
        let text = include_str!("../tests/plans/version-4.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 4"));
        assert_eq!((plan.title.name.as_str(), plan.lines.len(), plan.landmarks.len()), ("Larkmoor Bench", 5, 5));
        assert_eq!(plan.criteria.staking_m, plan_from_text(&plan_text(&plan).unwrap()).unwrap().criteria.staking_m);
    }

    /// A file as version 5 wrote it: every line in one size and wall.
    #[test]
    fn the_fifth_version_opens_forever() {
        let plan = plan_from_text(include_str!("../tests/plans/version-5.drain")).unwrap();
        assert_eq!(plan.title.name, "Saltern Flat");
        assert!(plan.lines.values().flat_map(|line| &line.stretches).all(|laid| laid.size_m.is_none()));
        assert_eq!(plan_from_text(&plan_text(&plan).unwrap()).unwrap(), plan);
    }

    /// A file as version 6 wrote it: a stretch of a line has its own size.
    #[test]
    fn the_sixth_version_opens_forever() {
        let text = include_str!("../tests/plans/version-6.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 6"));
        assert_eq!(plan.title.name, "Saltern Flat");
        assert!(plan.unknown.is_empty());
        assert!(plan.lines.values().flat_map(|line| &line.stretches).any(|stretch| stretch.size_m.is_some()));
    }

    /// A plan of version 6 with a figure for sizing and one for checks; what the distance is that a line drains after it.
    fn served_of_old(brief_m: Option<f64>, checks_m: f64) -> f64 {
        let mut file: Value = serde_json::from_str(include_str!("../tests/plans/version-6.drain")).unwrap();
        let plan = file.get_mut("plan").unwrap();
        plan["criteria"]["wet_far_m"] = serde_json::json!(checks_m);
        plan["brief"] = brief_m.map_or(serde_json::json!({}), |served_m| serde_json::json!({ "served_m": served_m }));
        plan_from_text(&file.to_string()).unwrap().brief.served_m
    }

    #[test]
    fn the_distance_that_a_line_drains_is_one_figure_after_version_6() {
        let usual_m = plan::Brief::default().served_m;
        assert_eq!(served_of_old(None, usual_m), usual_m);
        assert_eq!(served_of_old(None, 12.0), 12.0);
        assert_eq!(served_of_old(Some(usual_m), 12.0), 12.0);
        assert_eq!(served_of_old(Some(9.0), usual_m), 9.0);
        assert_eq!(served_of_old(Some(9.0), 12.0), 9.0);
    }

    /// A file as version 7 wrote it: nothing was recorded yet.
    #[test]
    fn the_seventh_version_opens_forever() {
        let text = include_str!("../tests/plans/version-7.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 7"));
        assert_eq!(plan.title.name, "Larkmoor Bench");
        assert!(plan.unknown.is_empty() && plan.record.is_empty());
        assert_eq!(plan.landmarks.len(), 5);
    }

    /// A file as version 8 wrote it: of its pit's layers nothing was tested but conductivity.
    #[test]
    fn the_eighth_version_opens_forever() {
        let text = include_str!("../tests/plans/version-8.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 8"));
        assert!(plan.unknown.is_empty());
        let pit = plan.landmarks.values().find_map(|mark| mark.kind.pit()).unwrap();
        assert_eq!(pit.layers.len(), 2);
        assert!(pit.layers.iter().all(|layer| layer.conductivity_ms.is_some() && layer.sand.is_none()));
    }

    /// A file as version 9 wrote it: layers of its pit were tested, and nothing lies under the plan.
    #[test]
    fn the_ninth_version_opens_forever() {
        let text = include_str!("../tests/plans/version-9.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 9"));
        assert!(plan.unknown.is_empty() && plan.backdrop.is_none());
        let pit = plan.landmarks.values().find_map(|mark| mark.kind.pit()).unwrap();
        assert_eq!((pit.layers[0].sand, pit.layers[1].porosity), (Some(0.18), Some(0.06)));
        assert_eq!(plan_from_text(&plan_text(&plan).unwrap()).unwrap(), plan);
    }

    /// What was accepted in version 9 is found again by its title of today.
    #[test]
    fn what_was_accepted_keeps_its_finding() {
        let before = [
            "Old tile T\"1 is alive",
            "Little water is meant to leave",
            "telephone or fibre F1 has no ticket",
            "Cover",
        ];
        let mut plan = serde_json::json!({ "waivers": before.map(|title| serde_json::json!({ "title": title })) });
        with_backdrop(&mut plan);
        let after = [
            "Old tile T\"1 is running",
            "The drainage coefficient is low",
            "telephone or fiber F1 has no ticket",
            "Cover",
        ];
        assert_eq!(plan, serde_json::json!({ "waivers": after.map(|title| serde_json::json!({ "title": title })) }));
        with_backdrop(&mut serde_json::json!({ "waivers": [3, {}] }));
    }

    /// A file as version 10 wrote it: a picture lies under the plan, and nothing is told of owner and planner.
    #[test]
    fn the_tenth_version_opens_forever() {
        let text = include_str!("../tests/plans/version-10.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 10"));
        assert!(plan.unknown.is_empty() && plan.title.block.is_empty());
        assert_eq!(plan.backdrop.as_ref().map(|backdrop| backdrop.file.as_str()), Some("larkmoor-bench-air.png"));
        assert_eq!(plan_from_text(&plan_text(&plan).unwrap()).unwrap(), plan);
    }

    /// A file as version 11 wrote it: a line by its flow has one size from end to end, and keeps it.
    #[test]
    fn the_eleventh_version_opens_forever() {
        let text = include_str!("../tests/plans/version-11.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 11") && plan.unknown.is_empty());
        assert_eq!(text.matches("\"size_by\": \"flow\"").count(), 1);
        assert_eq!(plan.lines.values().filter(|line| line.size_by == plan::SizeBy::Flow).count(), 1);
        let written = plan_text(&plan).unwrap();
        assert!(written.contains("\"size_by\": \"flow\"") && !written.contains("flow-in-steps"));
    }

    /// A line that steps up in size comes back as it was.
    #[test]
    fn a_line_in_steps_is_kept() {
        let mut plan = sketch();
        plan.lines.values_mut().for_each(|line| line.size_by = plan::SizeBy::FlowInSteps);
        let text = plan_text(&plan).unwrap();
        assert!(text.contains("\"size_by\": \"flow-in-steps\""));
        assert_eq!(plan_from_text(&text).unwrap(), plan);
    }

    /// Owner, parcel and ticket are kept where they were entered, and are no part of a file where they were not.
    #[test]
    fn the_title_block_is_kept() {
        assert!(!plan_text(&sketch()).unwrap().contains("\"block\""));
        let mut plan = sketch();
        plan.title.block = plan::TitleBlock {
            owner: "Marsh Farm".into(),
            ticket: "2031-17".into(),
            ticket_until: Some("2031-04-20".into()),
            ..plan::TitleBlock::default()
        };
        let text = plan_text(&plan).unwrap();
        assert!(text.contains("\"owner\": \"Marsh Farm\"") && !text.contains("\"parcel\""));
        assert_eq!(plan_from_text(&text).unwrap(), plan);
        let wrong = text.replace("2031-04-20", "next week");
        assert_eq!(
            plan_from_text(&wrong).unwrap_err().to_string(),
            "the title block: found the date 'next week', expected a date as YYYY-MM-DD"
        );
    }

    /// The sketch with more members in its file: a newer program's, a colleague's, a slip of the pen.
    fn with_strays() -> String {
        let text = plan_text(&sketch()).unwrap();
        let text = text.replace("\"capped\": true", "\"capped\": true, \"namme\": \"L1\", \"roughnes_n\": 0.02");
        let text = text.replace("\"x\": 33.3", "\"seen_by\": [1, {\"b\": 2.50, \"a\": null}], \"x\": 33.3");
        let text = text.replace("\"crop\"", "\"surveyer\": {\"a\": 1}, \"crop\"");
        text.replace("\"next_id\": ", "\"survey\": {\"crew\": \"two\"}, \"next_id\": ")
            .replace("\"format\"", "\"remark\": 7, \"format\"")
    }

    #[test]
    fn unknown_members_are_told_by_name_and_place() {
        let plan = plan_from_text(&with_strays()).unwrap();
        let told: Vec<String> = plan.unknown.iter().map(plan::Unknown::words).collect();
        let end = "is not known and is kept as it is";
        assert_eq!(
            told,
            [
                format!("plan.brief.surveyer {end}"),
                format!("plan.lines[1].namme {end}; did you mean name?"),
                format!("plan.lines[1].roughnes_n {end}; did you mean roughness_n?"),
                format!("plan.lines[1].points[1].seen_by {end}"),
                format!("plan.survey.crew {end}"),
                format!("remark {end}"),
            ]
        );
        assert!(plan_from_text(&plan_text(&sketch()).unwrap()).unwrap().unknown.is_empty());
    }

    #[test]
    fn unknown_members_are_written_again_where_they_stood() {
        let plan = plan_from_text(&with_strays()).unwrap();
        let again = plan_text(&plan).unwrap();
        let value = |text: &str| serde_json::from_str::<Value>(text).unwrap();
        assert_eq!(value(&again), value(&with_strays()));
        assert_eq!(plan_from_text(&again).unwrap(), plan);
        assert_eq!(plan_text(&plan_from_text(&again).unwrap()).unwrap(), again);
        let rest = Plan { unknown: Vec::new(), ..plan };
        assert_eq!(plan_text(&rest).unwrap(), plan_text(&sketch()).unwrap());
    }

    /// What is unknown of a bend stays with the bend when others come and go, and goes with it.
    #[test]
    fn unknown_members_go_with_what_they_belong_to() {
        let plan = plan_from_text(&with_strays()).unwrap();
        let seen = |plan: &Plan| {
            let value: Value = serde_json::from_str(&plan_text(plan).unwrap()).unwrap();
            let points = value.pointer("/plan/lines/1/points").and_then(Value::as_array).cloned();
            points.into_iter().flatten().position(|point| point.get("seen_by").is_some())
        };
        let (id, line) = plan.lines.iter().next().map(|(id, line)| (*id, line.clone())).unwrap();
        let drawn = |points: Vec<Point>| {
            plan.with(&plan::Edit::one("", plan::Change::Line(id, Some(Line { points, ..line.clone() }))))
        };
        let (low, high) = (line.points[0], line.points[1]);
        assert_eq!(seen(&drawn(vec![low, Point::new(9.0, 9.0), high])), Some(2));
        assert_eq!(seen(&drawn(vec![low, Point::new(30.0, 40.0)])), Some(1), "it was moved");
        assert_eq!(seen(&drawn(vec![low, Point::new(1.0, 1.0), Point::new(2.0, 2.0)])), None);
        let gone = plan.with(&plan::Edit::one("", plan::Change::Line(id, None)));
        assert!(!plan_text(&gone).unwrap().contains("namme"));
        assert!(plan_text(&gone).unwrap().contains("\"remark\": 7"));
    }

    /// Readers of signed entries see none but the known members, whose names are therefore listed.
    #[test]
    fn unknown_members_beside_a_signature_are_kept() {
        let signed = plan::Signature { by: "A".into(), on: "2030-05-01".into(), because: "of it".into() };
        let subject = plan::Subject { check: 1, of: Some(1), mark: None, at: Point::new(0.0, 0.0), stretch_m: None };
        let mut plan = sketch();
        plan.acceptances = vec![plan::Acceptance {
            subject: subject.clone(),
            title: "Rise".into(),
            weight: 0,
            excess: Some(0.5),
            gathered: vec![plan::Gathered { line: None, stretch_m: (0.0, 1.0), at: Point::new(0.0, 0.0) }],
            signed: signed.clone(),
        }];
        let fact = plan::Fact { about: "a".into(), says: "b".into(), level_m: None, kind: plan::FactKind::Words };
        let open = plan::OpenFinding { subject, title: "Rise".into(), place: "L1".into(), no_dig: false };
        plan.revisions = vec![plan::Revision {
            letter: "A".into(),
            lines: Default::default(),
            facts: vec![fact],
            changed: vec!["c".into()],
            open: vec![open],
            signed: signed.clone(),
        }];
        let what = plan::Remedy::ShiftLidar { by_m: 0.1 };
        plan.survey.corrections = vec![plan::Correction { what, signed }];
        let text = plan_text(&plan).unwrap();
        assert_eq!(plan_from_text(&text).unwrap(), plan, "a name is missing from the list");
        let more = text.replace("\"because\"", "\"becuase\": 1, \"because\"");
        let read = plan_from_text(&more).unwrap();
        let places: Vec<String> = read.unknown.iter().map(plan::Unknown::place).collect();
        let expected = ["plan.waivers[0].becuase", "plan.revisions[0].becuase", "plan.survey.corrections[0].becuase"];
        assert_eq!(places, expected);
        assert_eq!(plan_text(&read).unwrap().matches("becuase").count(), 3);
    }

    #[test]
    fn what_is_there_twice_is_refused_with_its_place() {
        let told = |text: &str| plan_from_text(text).unwrap_err().to_string();
        let text = plan_text(&sketch()).unwrap();
        let twice = told(&text.replace("\"capped\"", "\"size_m\": 0.2, \"capped\""));
        assert!(twice.contains("member 'size_m' a second time") && twice.starts_with("line "), "{twice}");
        let two = told(&text.replace("\"lines\": {", "\"lines\": {\"1\": {},"));
        assert!(two.contains("member '1' a second time"), "{two}");
        let zero = told(&text.replace("\"lines\": {\n      \"1\"", "\"lines\": {\n      \"01\""));
        assert_eq!(zero, "plan.lines[01]: found the id '01', expected a whole number without sign or leading zeros");
        // Two lines of one name are told apart by their ids, as plans of before may need it.
        let mut plan = sketch();
        plan.lines.insert(plan::LineId(2), plan.lines[&plan::LineId(1)].clone());
        plan.next_id = 3;
        assert_eq!(plan_from_text(&plan_text(&plan).unwrap()).unwrap(), plan);
        let mut plan = sketch();
        plan.outlets.insert(plan::OutletId(1), plan::Outlet::new("O1", Point::new(0.0, 0.0), 1.0));
        assert_eq!(
            told(&plan_text(&plan).unwrap()),
            "line L1: found id 1, which outlet O1 has, expected an id of its own"
        );
    }

    #[test]
    fn what_is_no_plan_is_told_with_its_place() {
        let told = |from: &str, to: &str| {
            plan_from_text(&plan_text(&sketch()).unwrap().replace(from, to)).unwrap_err().to_string()
        };
        assert_eq!(
            told("\"x\": 33.3", "\"x\": \"here\""),
            "plan.lines[1].points[1].x: found string \"here\", expected a number"
        );
        assert_eq!(
            told("\"x\": 33.3,", ""),
            "plan.lines[1].points[1]: found nothing of that name, expected the member 'x'"
        );
        assert_eq!(
            told("\"kind\": \"lateral\"", "\"kind\": \"latteral\""),
            "plan.lines[1].kind: found 'latteral', expected main, submain, lateral, old-tile"
        );
    }

    #[test]
    fn foreign_future_and_broken_files_are_told_apart() {
        let text = plan_text(&sketch()).unwrap();
        let foreign = text.replace(FORMAT, "soup recipe");
        assert!(plan_from_text(&foreign).unwrap_err().to_string().contains("soup recipe"));
        let future = text.replace("\"version\": 12", "\"version\": 99");
        assert!(matches!(plan_from_text(&future), Err(FileError::Unsupported { .. })));
        let cut = &text[..text.len() / 2];
        assert!(plan_from_text(cut).unwrap_err().to_string().contains("line"));
        let nowhere = text.replace("33.3", "1e300");
        assert!(plan_from_text(&nowhere).unwrap_err().to_string().contains("line L1"));
    }

    #[test]
    fn a_folder_that_is_not_there_is_named() {
        let error = save_plan(&sketch(), Path::new("/nowhere/at/all/a.drain")).unwrap_err();
        assert!(error.to_string().contains("/nowhere/at/all/a.drain"));
    }
}
