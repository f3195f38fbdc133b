//! `drainwright check`: the punch list, for people or for machines.

use std::path::PathBuf;
use std::process::ExitCode;

use checks::Finding;
use clap::Args;
use design::LineDesign;
use plan::{Joins, Line, LineId, Plan};
use serde_json::{Value, json};
use terrain::Extreme;

use super::{CliError, OpenPlan, say, say_json};
use job::Worked;

const EXAMPLE: &str = "Exit status: 0 nothing blocks digging, 1 something does, 2 the plan cannot be read.\n\n\
Example:\n  drainwright check block.drain --json > block-check.json";

/// Arguments of `check`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Check {
    /// Plan file.
    plan: PathBuf,
    /// Print JSON instead of text: metric, the unit in each key.
    #[arg(long)]
    json: bool,
    /// Date against which tickets and accepted findings are held, YYYY-MM-DD; the plan's own without it.
    #[arg(long, value_name = "DATE", value_parser = date)]
    as_of: Option<String>,
}

/// Reads a date in the form YYYY-MM-DD.
pub fn date(text: &str) -> Result<String, String> {
    if plan::is_date(text) { Ok(text.to_string()) } else { Err(format!("'{text}' is no date; expected YYYY-MM-DD")) }
}

/// Prints the list; 1 when something blocks digging.
pub fn run(check: &Check) -> Result<ExitCode, CliError> {
    let mut open = super::open(&check.plan)?;
    if let Some(as_of) = &check.as_of {
        open.plan.title.as_of = Some(as_of.clone());
    }
    let derived = super::work_out(&open);
    if check.json {
        say_json(&as_json(&open, &derived))?;
    } else {
        print(&derived);
    }
    let blocks = derived.findings.iter().any(Finding::blocks);
    Ok(ExitCode::from(u8::from(blocks)))
}

/// Prints the check of the demo field.
pub fn demo() -> Result<(), CliError> {
    let session = job::files::demo_session(job::demo::first_plan()).map_err(CliError::demo)?;
    print(session.worked());
    Ok(())
}

fn print(derived: &Worked) {
    let plan = &derived.plan;
    say(format_args!("{}", plan.title.name));
    say("");
    super::say_notes(&derived.land);
    for line in text_lines(derived) {
        say(line);
    }
    say("");
    say(plan::CAUTION);
}

/// The check as lines of text: lines, findings, totals.
pub fn text_lines(derived: &Worked) -> Vec<String> {
    let mut text: Vec<String> = Vec::new();
    if let Some(survey) = &derived.land.survey {
        text.extend(super::survey::standing(&derived.plan, survey));
        text.push(String::new());
    }
    let size = |(id, line): (&LineId, &Line)| size_words(derived, *id, line);
    let wide = derived.plan.lines.iter().map(|one| size(one).chars().count()).fold(6, usize::max);
    for (id, line) in &derived.plan.lines {
        text.push(line_text(derived, *id, line, wide));
    }
    text.push(String::new());
    text.push(format!("Punch list: {}", job::words::counted(&derived.findings)));
    for (i, finding) in derived.tried().iter().enumerate() {
        text.push(format!("{:>3}. [{}] {}   {}", i + 1, finding.severity.word(), finding.title, finding.key));
        text.push(format!("     {}", finding.message));
        let way_out = finding.way_out();
        if !way_out.is_empty() {
            text.push(format!("     {way_out}"));
        }
        text.push(format!("     check {} {}: {}", finding.check, finding.slug, plan::in_words(finding.source)));
        if let Some(signed) = finding.accepted.as_ref().map(|acceptance| &acceptance.signed) {
            text.push(format!("     accepted: {}. {}, {}", signed.because, signed.by, signed.on));
        }
    }
    text.push(String::new());
    text.extend(totals_text(derived));
    text
}

fn size_words(derived: &Worked, id: LineId, line: &Line) -> String {
    let units = derived.plan.title.units;
    derived.design.lines.get(&id).map_or_else(|| units.pipe(line.size_m), |worked| worked.size_words(units))
}

/// A line in one row; its sizes take as much room as the longest of the plan.
fn line_text(derived: &Worked, id: LineId, line: &Line, wide: usize) -> String {
    let units = derived.plan.title.units;
    let joins = derived.plan.name_of(line.joins).map_or("joins nothing".to_string(), |name| format!("joins {name}"));
    let mut text = format!(
        "{:<6} {:<9} {:>wide$} {:>10}  {joins}",
        line.name,
        line.kind.word(),
        size_words(derived, id, line),
        units.length(line.length_m())
    );
    let Some(worked) = derived.design.lines.get(&id) else { return text };
    text.push_str(&unknown_words(line, worked, units));
    if let Some(grade) = worked.mean_grade() {
        text.push_str(&format!(", {} on average", units.grade(grade)));
    }
    if let Some((least, most)) = worked.least_cover().zip(worked.deepest()) {
        text.push_str(&format!(
            ", least cover {} at {}, deepest invert {} at {}",
            units.depth(least.value_m),
            measure::station(least.station_m, units),
            units.depth(most.value_m),
            measure::station(most.station_m, units)
        ));
    }
    text
}

/// That a new line has no level, or no ground along a part of it; nothing where it has both.
fn unknown_words(line: &Line, worked: &LineDesign, units: measure::Units) -> String {
    if line.kind.is_old() {
        return String::new();
    }
    let mut text = job::grading::no_ground(worked, units);
    if worked.stations.iter().all(|station| station.invert_m.is_none()) {
        text.push_str(", no level");
    }
    text
}

fn totals_text(derived: &Worked) -> Vec<String> {
    let units = derived.plan.title.units;
    let totals = &derived.totals;
    let mut text = vec![format!("Pipe: {} (estimate)", units.length(totals.pipe_m))];
    text.extend(totals.by_role.iter().map(|(role, length_m)| format!("  {role}: {}", units.length(*length_m))));
    text.extend(
        totals
            .by_size
            .iter()
            .map(|(size_m, length_m)| format!("  {}: {}", units.pipe(*size_m), units.length(*length_m))),
    );
    text.push(format!(
        "Joints: {}, reducers: {}, caps: {}, outlets: {}",
        totals.joints, totals.reducers, totals.caps, totals.outlets
    ));
    text.push(format!("Trench: {} (estimate)", units.volume(totals.trench_m3)));
    text.extend((totals.unknown_m > 0.0).then(|| format!("  {}", takeoff::unfathomed(totals.unknown_m, units))));
    text
}

fn as_json(open: &OpenPlan, derived: &Worked) -> Value {
    let plan = &derived.plan;
    json!({
        "name": plan.title.name,
        "crs": plan.ground.as_ref().map(|ground| ground.crs.as_str()),
        "vertical_unit_of_the_ground": plan.ground.as_ref().map(|ground| ground.vertical_unit.sign()),
        "datum": plan.ground.as_ref().map(|ground| ground.datum.as_str()).filter(|datum| !datum.is_empty()),
        "as_of": plan.title.as_of,
        "notes": open.land.notes(),
        "survey": super::survey::as_json(derived),
        "lines": plan.lines.iter().map(|(id, line)| line_json(plan, *id, line, derived)).collect::<Vec<_>>(),
        "findings": derived.tried().iter().map(|finding| finding_json(plan, finding)).collect::<Vec<_>>(),
        "totals": totals_json(derived),
        "caution": plan::CAUTION,
    })
}

fn line_json(plan: &Plan, id: LineId, line: &Line, derived: &Worked) -> Value {
    let worked = derived.design.lines.get(&id);
    let joint = derived.design.joints.iter().find(|joint| joint.branch == id);
    let mut value = json!({
        "id": id.0,
        "name": line.name,
        "kind": line.kind.word(),
        "joins": plan.name_of(line.joins),
        "joins_id": match line.joins {
            Joins::Nothing => None,
            Joins::Outlet(id) => Some(id.0),
            Joins::Line(id) => Some(id.0),
        },
        "joins_at_m": joint.map(|joint| joint.station_m),
        "length_m": worked.map_or_else(|| line.length_m(), |worked| worked.length_m),
        "size_mm": worked.map_or(line.size_m, |worked| worked.size_m) * 1000.0,
        "sizes": worked.map(|worked| super::grade::sizes_json(&worked.laid_sizes())),
        "least_grade_percent": worked.map(|worked| worked.least_grade * 100.0),
        "least_cover": worked.and_then(LineDesign::least_cover).map(extreme_json),
        "deepest_trench": worked.and_then(|worked| worked.deepest_trench(plan.criteria.bedding_m)).map(extreme_json),
        "stations": worked.map(stations_json).unwrap_or_default(),
    });
    if let (Some(line), Some(Value::Object(water))) = (value.as_object_mut(), worked.map(super::grade::water_json)) {
        line.extend(water);
    }
    value
}

fn extreme_json(extreme: Extreme) -> Value {
    json!({ "m": extreme.value_m, "station_m": extreme.station_m })
}

fn stations_json(line: &LineDesign) -> Vec<Value> {
    let last = line.stations.len().saturating_sub(1);
    let row = |(i, s): (usize, &design::Station)| {
        // The upper end has no pipe above it; it repeats the grade of the reach below.
        let grade = line.grade(i.min(last.saturating_sub(1)));
        json!({
            "station_m": s.station_m,
            "x_m": s.at.x,
            "y_m": s.at.y,
            "ground_m": s.ground_m,
            "invert_m": s.invert_m,
            "water_m": s.head_m,
            "depth_m": s.depth_m(),
            "cover_m": line.cover_m(s),
            "grade_percent": grade.map(|grade| grade * 100.0),
        })
    };
    line.stations.iter().enumerate().map(row).collect()
}

fn finding_json(plan: &Plan, finding: &Finding) -> Value {
    let name = |id: LineId| plan.lines.get(&id).map(|line| line.name.as_str());
    json!({
        "key": finding.key,
        "check": finding.check,
        "slug": finding.slug,
        "severity": finding.severity.name(),
        "severity_words": finding.severity.word(),
        "title": finding.title,
        "line": finding.line.and_then(name),
        "line_id": finding.line.map(|id| id.0),
        "outlet": finding.outlet.and_then(|id| plan.outlets.get(&id)).map(|outlet| outlet.name.as_str()),
        "from_m": finding.from_m,
        "to_m": finding.to_m,
        "x_m": finding.at.x,
        "y_m": finding.at.y,
        "message": finding.message,
        "advice": Some(&finding.advice).filter(|advice| !advice.is_empty()),
        "remedies": finding.tried.iter().flat_map(|tried| &tried.remedies).map(|edit| &edit.label).collect::<Vec<_>>(),
        "hindrance": finding.tried.as_ref().and_then(|tried| tried.hindrance.as_ref()),
        "untried": finding.tried.as_ref().and_then(|tried| tried.untried),
        "source": plan::in_words(finding.source),
        "landmark": finding.landmark.and_then(|id| plan.landmarks.get(&id)).map(|mark| mark.name.as_str()),
        "accepted": finding.accepted.as_ref().map(|acceptance| &acceptance.signed),
        "also": finding.also.iter().map(|(check, slug)| json!({ "check": check, "slug": slug })).collect::<Vec<_>>(),
        "places": finding.places.iter().map(|place| json!({
            "line": place.line.and_then(name), "from_m": place.from_m, "to_m": place.to_m, "x_m": place.at.x, "y_m": place.at.y,
        })).collect::<Vec<_>>(),
    })
}

fn totals_json(derived: &Worked) -> Value {
    let totals = &derived.totals;
    json!({
        "estimate": true,
        "pipe_m": totals.pipe_m,
        "by_role_m": totals.by_role,
        "by_size": totals.by_size.iter().map(|(size_m, length_m)| json!({ "size_mm": size_m * 1000.0, "length_m": length_m })).collect::<Vec<_>>(),
        "by_line": totals.lines.iter().map(|line| json!({
            "id": line.id.0, "name": line.name, "kind": line.kind.word(), "size_mm": line.sizes.first().map(|laid| laid.size_m * 1000.0),
            "sizes": super::grade::sizes_json(&line.sizes), "length_m": line.length_m, "solid_m": line.solid_m, "trench_m3": line.trench_m3, "unknown_depth_m": line.unknown_m,
        })).collect::<Vec<_>>(),
        "joints": totals.joints,
        "reducers": totals.reducers,
        "caps": totals.caps,
        "outlets": totals.outlets,
        "trench_m3": totals.trench_m3,
        "unknown_depth_m": totals.unknown_m,
        "deepest_trench_m": totals.deepest_trench_m,
        "field_area_m2": totals.field_area_m2,
    })
}
