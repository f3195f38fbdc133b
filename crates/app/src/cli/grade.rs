//! `drainwright grade`: grade lines, sizes and water of every line.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use design::{LaidSize, LineDesign};
use plan::{Line, LineId, Plan, SizeBy};
use serde_json::{Value, json};

use super::open::Source;
use super::{CliError, OpenPlan, Over, say, say_json};
use job::Worked;
use job::{grading, leeway};

const EXAMPLE: &str =
    "With -o the levels of all grade breaks and the sizes are locked as they were found and the plan is \
saved there.\n\nExamples:\n  drainwright grade block.drain -o block-graded.drain
  drainwright grade block.drain --even L3
  drainwright grade block.drain --even L3 --at flattest -o block-even.drain
  drainwright grade block.drain --inverts O1";

/// Arguments of `grade`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Grade {
    /// Plan file.
    plan: PathBuf,
    /// Save the plan with its grade lines locked.
    #[arg(short = 'o', long, value_name = "PLAN")]
    output: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    /// Tell what grades this line may have from end to end while every limit holds.
    #[arg(long, value_name = "LINE")]
    even: Option<String>,
    /// Give it that grade and save with -o: steepest, flattest, or a grade such as 0.4%.
    #[arg(long, value_name = "GRADE", requires = "even", requires = "output")]
    at: Option<String>,
    /// Tell what inverts this outlet may have while every limit holds.
    #[arg(long, value_name = "OUTLET", conflicts_with_all = ["even", "output"])]
    inverts: Option<String>,
    /// Print JSON instead of text: metric, the unit in each key.
    #[arg(long)]
    json: bool,
}

/// Prints the grade lines, and saves them locked where that is asked.
pub fn run(grade: &Grade) -> Result<ExitCode, CliError> {
    let open = super::open_to(
        &grade.plan,
        grade.output.as_ref().is_some_and(|to| job::sparing::is_itself(&grade.plan, to)),
    )?;
    let spared = grade.output.iter().try_for_each(|to| grade.over.spare_plan((&open.plan, &grade.plan), to));
    spared?;
    let derived = super::work_out(&open);
    if let Some(why) = derived.not_to_be_kept().filter(|_| grade.output.is_some()) {
        return Err(CliError::Argument(why));
    }
    if let Some(name) = &grade.even {
        return even(grade, name, (&derived, &open));
    }
    if let Some(name) = &grade.inverts {
        return inverts(grade, name, &derived);
    }
    match grade.json {
        true => say_json(&as_json(&derived))?,
        false => print(&derived),
    }
    if let Some(output) = &grade.output {
        save(grading::fixed(&derived.plan, &derived.design), (&open.source, output))?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Tells what grades a line may have from end to end, or gives it one.
fn even(grade: &Grade, name: &str, (derived, open): (&Worked, &OpenPlan)) -> Result<ExitCode, CliError> {
    let plan = &derived.plan;
    let drawn =
        || plan.lines.iter().filter(|(_, line)| !line.kind.is_old()).map(|(id, line)| (*id, line.name.as_str()));
    let id = named("line", name, drawn)?;
    if grade.output.is_some() && grade.at.is_none() {
        return Err(CliError::Argument("--even with -o: expected --at with the grade to keep".into()));
    }
    let worked = derived.design.lines.get(&id).ok_or_else(|| CliError::Argument(format!("{name} has no levels")))?;
    let tried = derived.even_grades(id);
    match grade.json {
        true => say_json(&leeway::even_json(name, &tried))?,
        false => leeway::even(plan, id, worked, &tried).iter().for_each(say),
    }
    let (Some(at), Some(output)) = (&grade.at, &grade.output) else {
        return Ok(ExitCode::SUCCESS);
    };
    let (kept, edit) = leeway::chosen(plan, id, &tried, at).map_err(CliError::Argument)?;
    let mut changed = plan.clone();
    changed.apply(&edit)?;
    save(changed, (&open.source, output))?;
    if !grade.json {
        say(format_args!("{name} is kept at {} from end to end.", plan.title.units.grade(kept)));
    }
    Ok(ExitCode::SUCCESS)
}

/// Tells what inverts an outlet may have.
fn inverts(grade: &Grade, name: &str, derived: &Worked) -> Result<ExitCode, CliError> {
    let plan = &derived.plan;
    let id = named("outlet", name, || plan.outlets.iter().map(|(id, outlet)| (*id, outlet.name.as_str())))?;
    let tried = derived.outlet_inverts(id);
    match grade.json {
        true => say_json(&leeway::inverts_json(name, &tried))?,
        false => leeway::inverts(plan, id, &tried).iter().for_each(say),
    }
    Ok(ExitCode::SUCCESS)
}

/// What bears a name.
fn named<'a, T, I: Iterator<Item = (T, &'a str)>>(
    what: &str,
    name: &str,
    all: impl Fn() -> I,
) -> Result<T, CliError> {
    let unknown = || {
        let names: Vec<&str> = all().map(|(_, name)| name).collect();
        let names = if names.is_empty() { "none".into() } else { names.join(", ") };
        CliError::Argument(format!("no {what} is named '{name}'; expected one of: {names}"))
    };
    all().find(|(_, other)| *other == name).map(|(id, _)| id).ok_or_else(unknown)
}

fn save(plan: Plan, (source, output): (&Source, &Path)) -> Result<(), CliError> {
    plan.validate()?;
    super::save_to(source, &plan, output)
}

fn print(derived: &Worked) {
    let (plan, design, units) = (&derived.plan, &derived.design, derived.plan.title.units);
    say(&plan.title.name);
    for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
        let Some(worked) = design.lines.get(id) else { continue };
        say("");
        let sized = match line.size_by {
            SizeBy::Hand => "",
            SizeBy::Flow => ", size by its flow",
            SizeBy::FlowInSteps => ", stepping up with its flow",
        };
        say(format_args!("{}  {}, {}{sized}", line.name, line.kind.word(), worked.size_words(units)));
        grading::changes(worked, units).iter().for_each(|text| say(format_args!("  {text}")));
        grading::reaches(worked, units).iter().for_each(|text| say(format_args!("  {text}")));
        grading::water(plan, worked).iter().for_each(|text| say(format_args!("  {text}")));
        grading::fullness(plan, worked).iter().for_each(|text| say(format_args!("  {text}")));
    }
    say("");
    say(grading::breaks(design));
    grading::flat(plan, design).iter().for_each(say);
    grading::untried(plan, design).iter().for_each(say);
    for (clash, ways) in design.clashes.iter().zip(derived.ways()) {
        say(grading::clash(plan, clash));
        say(grading::way_out(plan, ways));
    }
    say("");
    say(plan::CAUTION);
}

fn as_json(derived: &Worked) -> Value {
    let (plan, design) = (&derived.plan, &derived.design);
    let lines = plan.lines.iter().filter_map(|(id, line)| Some(line_json(*id, line, design.lines.get(id)?)));
    let cost = design.cost;
    json!({
        "name": plan.title.name,
        "caution": plan::CAUTION,
        "lines": lines.collect::<Vec<_>>(),
        "cost": { "least": cost.least, "cheapest": cost.cheapest, "dug": cost.dug, "pipe": cost.pipe },
        "flat": grading::flat(plan, design),
        "untried": grading::untried(plan, design),
        "passed": design.passed.iter().map(|passed| json!({
            "line": plan.lines.get(&passed.line).map(|line| &line.name),
            "station_m": passed.station_m,
            "utility": plan.landmarks.get(&passed.utility).map(|mark| &mark.name),
            "side": passed.side,
        })).collect::<Vec<_>>(),
        "clashes": design.clashes.iter().zip(derived.ways()).map(|(clash, ways)| json!({
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
        "sizes": sizes_json(&worked.laid_sizes()),
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
            "cover_m": worked.cover_m(s),
            "water_m": s.head_m,
        })).collect::<Vec<_>>(),
    });
    if let (Some(line), Value::Object(water)) = (value.as_object_mut(), water_json(worked)) {
        line.extend(water);
    }
    value
}

/// Sizes from the downstream end up with their stretches, for machines.
pub fn sizes_json(sizes: &[LaidSize]) -> Value {
    let laid = |laid: &LaidSize| json!({ "from_m": laid.from_m, "to_m": laid.to_m, "size_mm": laid.size_m * 1000.0 });
    sizes.iter().map(laid).collect()
}

/// What a line must carry and can carry, for machines: both at its fullest reach, with the full pipe's speed there, and
/// what leaves it at its downstream end.
pub fn water_json(worked: &LineDesign) -> Value {
    let full = worked.fullest();
    let velocity = |full: &design::Fullest| worked.above(full.index).full_velocity_ms(full.grade);
    let flowing = |full: &design::Fullest| {
        let pipe = worked.above(full.index);
        hydraulics::velocity_ms(pipe.n, pipe.size_m, full.grade, full.required_m3s / worked.even_factor)
    };
    json!({
        "area_m2": worked.area_m2,
        "roughness_n": worked.pipe_at(0.0).n,
        "outflow_m3s": worked.required_m3s(),
        "fullest_at_m": full.map(|full| worked.stations[full.index].station_m),
        "required_m3s": full.map_or(worked.required_m3s(), |full| full.required_m3s),
        "capacity_m3s": full.map(|full| full.capacity_m3s),
        "velocity_ms": full.as_ref().map(velocity),
        "flow_velocity_ms": full.as_ref().map(flowing),
        "percent_full": full.map(|full| full.share() * 100.0).filter(|percent| percent.is_finite()),
        "backed_up_m": worked.backed_up_m(),
        "old_capacity_m3s": worked.old_capacity.map(|range| [range.least_m3s, range.most_m3s]),
    })
}
