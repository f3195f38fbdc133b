//! Grade lines a person would dig, on the demo fields and on plans made on real ground: one grade where that costs little, nothing
//! flatter than need be, the same levels whatever the unit, and the extremes along every line.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests may stop the test, figures are shown")]

use std::path::Path;

use crate::common::real::{land, plan_on};
use design::{Design, LineDesign, Trial, even_edit};
use job::Worked;
use job::files::demo_session;
use measure::Units;
use plan::{LineId, Plan};
use serde_json::json;

/// A plan on its land.
struct Job {
    name: String,
    /// The file of the grid under it.
    grid: String,
    derived: Worked,
}

fn jobs() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (name, plan) in [
        ("larkmoor-bench", job::demo::first_plan()),
        ("saltern-flat", job::demo::second_plan()),
        ("fernholt-piece", job::demo::ten_mistakes()),
    ] {
        let session = demo_session(plan).unwrap();
        let derived = Worked::of(session.plan().clone(), session.land());
        let grid = session.plan().ground.as_ref().unwrap().file.clone();
        jobs.push(Job { name: name.into(), grid, derived });
    }
    for name in ["ia_slope_s_3m", "ia_patches_h_3m", "slo_hills_1m", "at_hoal_10m"] {
        let Some(land) = land(name) else { continue };
        let mut derived = Worked::of(plan_on(&land), &land);
        // As drawn some plans hold no limits: what is printed as a way out is taken, and clears it.
        while let Some(way) = derived.ways().first().map(|ways| ways[0]) {
            let (mut plan, before) = (derived.plan.clone(), derived.design.clashes.len());
            println!("{name}: {}", job::grading::way(&plan, &way));
            plan.apply(&way.edit(&plan).unwrap()).unwrap();
            derived = Worked::of(plan, &land);
            assert!(derived.design.clashes.len() < before);
        }
        jobs.push(Job { name: name.into(), grid: format!("{name}.tif"), derived });
    }
    jobs
}

impl Job {
    fn trial<'a>(&'a self, plan: &'a Plan, design: &'a Design) -> Trial<'a> {
        Trial { plan, land: &self.derived.land, design }
    }

    fn work_out(&self, plan: &Plan) -> Design {
        design::work_out_again(plan, &self.derived.land, &mut design::Memory::default())
    }
}

/// Deepest trench of a line, metres.
fn trench_m(plan: &Plan, worked: &LineDesign) -> f64 {
    worked.deepest_trench(plan.criteria.bedding_m).map_or(0.0, |deepest| deepest.value_m)
}

/// The least that digging and missing depth cost with one grade for a line of a plan, over the range that holds every limit, as a
/// share more of what the network costs; `None` where no one grade holds. Grades whose trench needs protection that the line
/// does without now are left out.
fn one_grade_costs(job: &Job, plan: &Plan, id: LineId) -> Option<f64> {
    let design = job.work_out(plan);
    let range = job.trial(plan, &design).even_grades(id).ok()?;
    let limit_m = plan.criteria.protected_trench_m - design::ON_LIMIT_M;
    let is_protected = |worked: &LineDesign| trench_m(plan, worked) >= limit_m;
    let steps = 24;
    let costs = (0..=steps).filter_map(|k| {
        let grade = range.from + (range.to - range.from) * f64::from(k) / f64::from(steps);
        let mut changed = plan.clone();
        changed.apply(&even_edit(plan, id, (grade / 1e-4).round() * 1e-4)?).ok()?;
        let tried = job.work_out(&changed);
        let needs = !is_protected(&design.lines[&id]) && is_protected(&tried.lines[&id]);
        (tried.clashes.is_empty() && !needs).then_some(tried.cost.digging)
    });
    costs.reduce(f64::min).map(|least| (least - design.cost.digging) / job.derived.design.cost.digging)
}

/// The plan with every level and size locked as dug, but for those of one line.
fn others_as_dug(job: &Job, id: LineId) -> Plan {
    let mut plan = job::grading::fixed(&job.derived.plan, &job.derived.design);
    let own = job.derived.plan.lines[&id].clone();
    plan.apply(&plan::set_line("Free", id, own)).unwrap();
    plan
}

/// A line for which one grade holds every limit has one grade, unless that costs more than 3 % of the network's digging: what is
/// allowed is taken in steps of 2 % of itself, so that a little less may decide. Lines are made diggable from the outlet up,
/// each from where the one it joins lies by then; what one grade would cost if that moved as well is shown beside it.
#[test]
fn one_grade_where_it_costs_little() {
    for job in jobs().iter().filter(|job| job.derived.design.clashes.is_empty()) {
        for (id, worked) in &job.derived.design.lines {
            let grades = worked.reaches.len();
            let flattest = worked.reaches.iter().map(|reach| reach.grade).fold(f64::INFINITY, f64::min);
            let line = &job.derived.plan.lines[id];
            if line.kind.is_old() || !line.reaches.is_empty() || line.pins.len() > 1 {
                continue;
            }
            let more = |plan: &Plan| (grades > 1).then(|| one_grade_costs(job, plan, *id)).flatten();
            let told = |more: Option<f64>| match more {
                _ if grades == 1 => "one grade".into(),
                Some(more) => format!("{:.1} % more", more * 100.0),
                None => "none holds".to_string(),
            };
            let (as_dug, free) = (more(&others_as_dug(job, *id)), more(&job.derived.plan));
            let (name, told, if_free) = (&line.name, told(as_dug), told(free));
            println!(
                "{:16} {name:4} {grades:2} grades, flattest {:.3} %, {told}; {if_free}",
                job.name,
                flattest * 100.0
            );
            assert!(as_dug.is_none_or(|more| more > 0.029), "{} {name}: {as_dug:?}", job.name);
        }
    }
}

/// Nothing is flatter than 0.1 % where that can be held for the margin; else the plan says which lines, and what it would cost.
#[test]
fn nothing_is_flatter_than_need_be() {
    for job in jobs() {
        let (plan, design) = (&job.derived.plan, &job.derived.design);
        let told: Vec<LineId> = design.flat.iter().flat_map(|flat| flat.lines.iter().copied()).collect();
        for (id, worked) in
            design.lines.iter().filter(|(_, worked)| design.clashes.is_empty() && !worked.reaches.is_empty())
        {
            let line = &plan.lines[id];
            let chosen = worked.reaches.iter().filter(|reach| !reach.is_exact);
            let flattest = chosen.map(|reach| reach.grade).fold(f64::INFINITY, f64::min);
            let is_held = !line.pins.is_empty() || !line.reaches.is_empty();
            assert!(
                flattest >= 1e-3 - 1e-9 || told.contains(id) || is_held,
                "{} {}: {flattest}",
                job.name,
                line.name
            );
        }
        for text in job::grading::flat(plan, design) {
            println!("{}: {text}", job.name);
        }
    }
}

/// The same lines give the same levels in feet and in metres, to the last bit: the unit of display touches nothing.
#[test]
fn the_unit_changes_no_level() {
    for job in jobs() {
        let mut other = job.derived.plan.clone();
        other.title.units = if other.title.units == Units::Feet { Units::Metric } else { Units::Feet };
        let (now, then) = (&job.derived.design, job.work_out(&other));
        for (id, worked) in &now.lines {
            assert_eq!(worked.stations, then.lines[id].stations, "{}", job.name);
            assert_eq!(worked.reaches, then.lines[id].reaches, "{}", job.name);
        }
        let keys = |derived: &Worked| -> Vec<(u16, Option<LineId>)> {
            derived.findings.iter().map(|finding| (finding.check, finding.line)).collect()
        };
        assert_eq!(keys(&job.derived), keys(&Worked::of(other, &job.derived.land)), "{}", job.name);
    }
}

/// Lines, pipe and extremes of every plan as JSON, for `tests/reference/dense_profiles.py`, which looks at the ground by itself.
#[test]
fn extremes_are_written_for_the_judge() {
    let cases = jobs().into_iter().map(|job| {
        let plan = &job.derived.plan;
        let lines = job.derived.design.lines.iter().map(|(id, worked)| {
            let (cover, trench) = (worked.least_cover(), worked.deepest_trench(plan.criteria.bedding_m));
            json!({
                "name": plan.lines[id].name,
                "points": plan.lines[id].points.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>(),
                "inverts": worked.stations.iter().map(|s| (s.station_m, s.invert_m)).collect::<Vec<_>>(),
                "cover_from_m": worked.outlet_pipe_m,
                "top_m": hydraulics::Body::CORRUGATED.top_above_invert_m(worked.size_m),
                "below_m": worked.below_invert_m(0.0, plan.criteria.bedding_m),
                "least_cover_m": cover.map(|least| (least.station_m, least.value_m)),
                "deepest_trench_m": trench.map(|deepest| (deepest.station_m, deepest.value_m)),
            })
        });
        json!({ "ground": job.grid, "lines": lines.collect::<Vec<_>>() })
    });
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("dense_profiles.json");
    std::fs::write(&path, serde_json::to_string_pretty(&cases.collect::<Vec<_>>()).unwrap()).unwrap();
    println!("written {}", path.display());
}
