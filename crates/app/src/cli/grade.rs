//! `drainwright grade`: grade lines, sizes and water of every line.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use design::LineDesign;
use plan::{Line, LineId};
use serde_json::{Value, json};

use super::{CliError, say};
use crate::grading;
use crate::land::Land;
use crate::session::Derived;

const EXAMPLE: &str = "With -o the levels of all grade breaks and the sizes are fixed as they were found and the plan is \
saved there.\n\nExample:\n  drainwright grade block.drain -o block-graded.drain";

/// Arguments of `grade`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Grade {
    /// Plan file.
    plan: PathBuf,
    /// Save the plan with its grade lines fixed.
    #[arg(short = 'o', long, value_name = "PLAN")]
    output: Option<PathBuf>,
    /// For machines: metric, the unit in each key.
    #[arg(long)]
    json: bool,
}

/// Prints the grade lines, and saves them fixed where that is asked.
pub fn run(grade: &Grade) -> Result<ExitCode, CliError> {
    let open = super::open(&grade.plan)?;
    let derived = super::work_out(&open);
    if grade.json {
        let text = serde_json::to_string_pretty(&as_json(&derived, open.land.as_ref()));
        say(text.map_err(|error| CliError::Argument(error.to_string()))?);
    } else {
        print(&derived, open.land.as_ref());
    }
    if let Some(output) = &grade.output {
        let mut fixed = grading::fixed(&derived.plan, &derived.design);
        crate::files::name_whole(&mut fixed, &grade.plan);
        fixed.validate()?;
        crate::files::save(&fixed, output).map_err(|error| CliError::file(output, error))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn print(derived: &Derived, land: Option<&Land>) {
    let (plan, design, units) = (&derived.plan, &derived.design, derived.plan.title.units);
    say(&plan.title.name);
    for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
        let Some(worked) = design.lines.get(id) else { continue };
        say("");
        let sized = if line.size_by == plan::SizeBy::Flow { ", size by its flow" } else { "" };
        say(format_args!("{}  {}, {}{sized}", line.name, line.kind.word(), units.pipe(worked.size_m)));
        grading::reaches(worked, units).iter().for_each(|text| say(format_args!("  {text}")));
        grading::water(plan, worked).iter().for_each(|text| say(format_args!("  {text}")));
        grading::fullness(worked, units).iter().for_each(|text| say(format_args!("  {text}")));
    }
    say("");
    say(grading::breaks(design));
    grading::flat(plan, design).iter().for_each(say);
    for (clash, ways) in design.clashes.iter().zip(derived.ways(land)) {
        say(grading::clash(plan, clash));
        say(grading::way_out(plan, ways));
    }
    say("");
    say(plan::CAUTION);
}

fn as_json(derived: &Derived, land: Option<&Land>) -> Value {
    let (plan, design) = (&derived.plan, &derived.design);
    let lines = plan.lines.iter().filter_map(|(id, line)| Some(line_json(*id, line, design.lines.get(id)?)));
    let cost = design.cost;
    json!({
        "name": plan.title.name,
        "caution": plan::CAUTION,
        "lines": lines.collect::<Vec<_>>(),
        "cost": { "least": cost.least, "cheapest": cost.cheapest, "dug": cost.dug, "pipe": cost.pipe },
        "flat": grading::flat(plan, design),
        "clashes": design.clashes.iter().zip(derived.ways(land)).map(|(clash, ways)| json!({
            "line": plan.lines.get(&clash.line).map(|line| &line.name),
            "station_m": clash.station_m,
            "by_m": clash.by_m(),
            "text": grading::clash(plan, clash),
            "ways": ways.iter().map(|way| grading::way(plan, way)).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}

fn line_json(id: LineId, line: &Line, worked: &LineDesign) -> Value {
    let at = |i: usize| worked.stations[i].station_m;
    let mut value = json!({
        "id": id.0,
        "name": line.name,
        "size_mm": worked.size_m * 1000.0,
        "reaches": worked.reaches.iter().map(|reach| json!({
            "from_m": at(reach.from),
            "to_m": at(reach.to),
            "grade_percent": reach.grade * 100.0,
            "exact": reach.is_exact,
        })).collect::<Vec<_>>(),
        "stations": worked.stations.iter().map(|s| json!({
            "station_m": s.station_m,
            "ground_m": s.ground_m,
            "invert_m": s.invert_m,
            "cover_m": s.cover_m(worked.size_m),
            "water_m": s.head_m,
        })).collect::<Vec<_>>(),
    });
    if let (Some(line), Value::Object(water)) = (value.as_object_mut(), water_json(worked)) {
        line.extend(water);
    }
    value
}

/// What a line must carry and can carry, for machines: both at its fullest reach, with the full pipe's speed there, and
/// what leaves it at its downstream end.
pub fn water_json(worked: &LineDesign) -> Value {
    let full = worked.fullest();
    let velocity = |grade: f64| hydraulics::full_velocity_ms(worked.n, worked.size_m, grade);
    let flowing = |full: &design::Fullest| {
        hydraulics::velocity_ms(worked.n, worked.size_m, full.grade, full.required_m3s / worked.even_factor)
    };
    json!({
        "area_m2": worked.area_m2,
        "roughness_n": worked.n,
        "outflow_m3s": worked.required_m3s(),
        "fullest_at_m": full.map(|full| worked.stations[full.index].station_m),
        "required_m3s": full.map_or(worked.required_m3s(), |full| full.required_m3s),
        "capacity_m3s": full.map(|full| full.capacity_m3s),
        "velocity_ms": full.map(|full| velocity(full.grade)),
        "flow_velocity_ms": full.as_ref().map(flowing),
        "percent_full": full.map(|full| full.share() * 100.0).filter(|percent| percent.is_finite()),
        "backed_up_m": worked.backed_up_m(),
        "old_capacity_m3s": worked.old_capacity.map(|range| [range.least_m3s, range.most_m3s]),
    })
}
