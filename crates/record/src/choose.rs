//! What each choice does to the plan, as one edit with what was decided.

use design::Design;
use measure::{FOOT_M, nearest_on, part_of, path_length, toward};
use plan::{
    Change, Clues, Confidence, Decided, Decision, Edit, Evidence, Joins, Line, LineId, LineKind, Material, OldTile,
    Pin, Plan, PlanError, Running, Served, Signature, SizeBy,
};

use crate::Trench;
use crate::found::way_down;

/// How much of an old line is drawn that was seen in one cut, metres: 50 ft to each side (judgement; looking into its ends
/// tells no more).
const SEEN_M: f64 = 50.0 * FOOT_M;
/// How far a line seen in one cut may lie aside at the end of what is drawn, as a share of its length (judgement: six degrees).
const ASIDE: f64 = 0.1;

/// A plan to which one edit after another is made, and all of them as one.
struct Making {
    plan: Plan,
    changes: Vec<Change>,
}

impl Making {
    fn make(&mut self, edit: Option<Edit>) -> Result<(), PlanError> {
        if let Some(edit) = edit {
            self.plan.apply(&edit)?;
            self.changes.extend(edit.changes);
        }
        Ok(())
    }

    fn set(&mut self, id: LineId, line: Line) -> Result<(), PlanError> {
        self.make(Some(plan::set_line("", id, line)))
    }
}

/// The edit of a choice: the old line as it then stands, what else it changes in the plan, and the decision in the record.
/// The find must be in the record of the plan. `signed` is who decided, when and why.
pub fn made(trench: &Trench, what: Decision, signed: &Signature) -> Result<Edit, PlanError> {
    let plan = trench.plan;
    let mut making = Making { plan: plan.clone(), changes: Vec::new() };
    let old = trench.known.unwrap_or(LineId(plan.next_id));
    // The line that ends at the find does so before the old one is joined to its end.
    if let Some(spared) = trench.spared.filter(|_| what.brings_water()) {
        making.make(match spared.from_m > 0.0 {
            true => plan::end_at(plan, spared.line, spared.from_m),
            false => plan::remove_line(plan, spared.line),
        })?;
    }
    making.set(old, old_line(trench, what))?;
    match what {
        Decision::Replace => {
            let (_, edit) = plan::add_line(&making.plan, replacement(trench, &making.plan, old));
            making.make(Some(edit))?;
        }
        Decision::Bridge => {
            if let Some(line) = making.plan.lines.get(&trench.on.line).filter(|l| !l.crosses_apart.contains(&old)) {
                let crosses_apart = [&line.crosses_apart[..], &[old]].concat();
                let line = Line { crosses_apart, ..line.clone() };
                making.set(trench.on.line, line)?;
            }
        }
        Decision::Join | Decision::Bypass | Decision::Plug => {}
    }
    let decided = Decided { what, line: Some(old), signed: signed.clone() };
    let edit = plan::decide(&making.plan, &trench.find.key, decided);
    making.make(edit)?;
    let (name, station) = (&plan.lines[&trench.on.line].name, trench.on.station_m);
    let label = format!("Old tile at {} of {name}: {}", measure::station(station, plan.title.units), what.word());
    Ok(Edit { label, changes: making.changes })
}

/// The old line as a choice leaves it.
fn old_line(trench: &Trench, what: Decision) -> Line {
    let plan = trench.plan;
    let known = trench.known.and_then(|id| plan.lines.get(&id));
    let (points, met_m) = course(trench, known, what.brings_water());
    let name = known.map_or_else(|| plan.free_name("T"), |line| line.name.clone());
    let line = known.cloned().unwrap_or_else(|| plan.new_line(&name, trench_kind(trench, None, what), Vec::new()));
    let mut pins = kept_pins(trench, known, met_m);
    pins.extend(trench.find.invert_m.map(|invert_m| Pin { station_m: met_m, invert_m, straight: false }));
    pins.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    let joins = match (what, line.joins) {
        (Decision::Join, _) => Joins::Line(trench.on.line),
        (Decision::Replace, _) => Joins::Nothing,
        (_, Joins::Line(id)) if id == trench.on.line => Joins::Nothing,
        (_, joins) => joins,
    };
    let size_m = trench.find.size_m.unwrap_or(line.size_m);
    Line { kind: trench_kind(trench, known, what), points, pins, joins, size_m, size_by: SizeBy::Hand, ..line }
}

/// What is known of it now.
fn trench_kind(trench: &Trench, known: Option<&Line>, what: Decision) -> LineKind {
    let before = match known.map(|line| line.kind) {
        Some(LineKind::OldTile(old)) => old,
        _ => OldTile::default(),
    };
    let find = trench.find;
    let told = |material: Material| if material == Material::Unknown { before.material } else { material };
    LineKind::OldTile(OldTile {
        evidence: if known.is_some() { Evidence::Proved } else { Evidence::Seen },
        material: told(find.material),
        condition: find.condition,
        upstream_m2: find.upstream_m2.or(before.upstream_m2),
        decision: Some(what),
        runs: match find.running {
            Running::Unknown => before.runs,
            Running::Dry => Some(false),
            Running::Runs | Running::Flow(_) => Some(true),
        },
        from_beyond: find.from_beyond || before.from_beyond,
        clues: Clues { trench: true, ..before.clues },
        aside_m: before.aside_m.or(Some(seen_m(trench) * ASIDE)),
        confidence: Some(Confidence::High),
    })
}

/// How much of a line that nobody knew is drawn above the find, metres: as much as the planned lateral that it stands for.
fn seen_m(trench: &Trench) -> f64 {
    trench.spared.map_or(SEEN_M, |spared| spared.length_m)
}

/// Its course from the downstream end up, and the station at which the trench meets it, metres. Where its water comes into
/// the new line it begins there; else it runs on below.
fn course(trench: &Trench, known: Option<&Line>, begins_here: bool) -> (Vec<measure::Point>, f64) {
    let at = trench.on.at;
    let Some(line) = known else {
        let upper = toward(at, trench.up_deg, if begins_here { seen_m(trench) } else { SEEN_M });
        let lower = toward(at, trench.up_deg + 180.0, SEEN_M);
        return if begins_here { (vec![at, upper], 0.0) } else { (vec![lower, at, upper], SEEN_M) };
    };
    let cut_m = nearest_on(&line.points, at).map_or(0.0, |(station_m, _, _)| station_m);
    let length_m = line.length_m();
    let above = part_of(&line.points, cut_m, length_m);
    if !begins_here || path_length(&above) < FOOT_M {
        return (line.points.clone(), cut_m);
    }
    let mut points = above;
    points[0] = at;
    (points, 0.0)
}

/// Levels that were measured on a known line, where they then stand.
fn kept_pins(trench: &Trench, known: Option<&Line>, met_m: f64) -> Vec<Pin> {
    let Some(line) = known else { return Vec::new() };
    let cut_m = nearest_on(&line.points, trench.on.at).map_or(0.0, |(station_m, _, _)| station_m);
    let moved = line.pins.iter().map(|pin| Pin { station_m: pin.station_m - cut_m + met_m, ..*pin });
    moved.filter(|pin| pin.station_m >= 0.0 && (pin.station_m - met_m).abs() > FOOT_M).collect()
}

/// New pipe along the old course: as large, or one size up where corrugated pipe takes the place of clay or concrete
/// ([OH-9]).
fn replacement(trench: &Trench, plan: &Plan, old: LineId) -> Line {
    let points = plan.lines.get(&old).map_or_else(Vec::new, |line| line.points.clone());
    let fired = matches!(trench.find.material, Material::Clay | Material::Concrete);
    let size_m = trench.size_m();
    let larger_m = if fired { plan.cost_weights.next_larger(size_m) } else { Some(size_m) };
    let served = trench.find.upstream_m2.map_or(Served::Strip, Served::Area);
    let name = plan.free_name(LineKind::Lateral.stem());
    let size_m = larger_m.unwrap_or(size_m).max(plan.starts().least_size_m(LineKind::Lateral));
    Line { size_m, served, joins: Joins::Line(trench.on.line), ..plan.new_line(&name, LineKind::Lateral, points) }
}

/// Larger pipe on the way down from the find, wherever a design is over its capacity there: the smallest stocked size that
/// carries the water, from the downstream end up to the find. `None` where there is room, or no stocked size is enough.
pub fn larger_below(trench: &Trench, plan: &Plan, design: &Design) -> Option<(Edit, f64)> {
    let mut making = Making { plan: plan.clone(), changes: Vec::new() };
    let mut largest_m: f64 = 0.0;
    for (id, to_m) in way_down(plan, design, (trench.on.line, trench.on.station_m)) {
        let line = plan.lines.get(&id).filter(|line| !line.kind.is_old() && line.size_by == SizeBy::Hand);
        let Some((line, worked)) = line.zip(design.lines.get(&id)) else { continue };
        let reaches = worked.stations.iter().enumerate().take_while(|(_, s)| s.station_m < to_m);
        let reaches: Vec<(f64, f64, f64)> = reaches
            .filter_map(|(i, _)| {
                let (grade, flow_m3s) = (worked.grade(i)?, worked.through_m3s.get(i)? / worked.even_factor);
                (grade > 0.0).then(|| (worked.above(i).size_m, grade, flow_m3s))
            })
            .collect();
        let carries = |size_m: f64| {
            let n = plan.criteria.roughness_n(line, size_m, line.wall);
            let most = plan.criteria.over_capacity;
            reaches.iter().all(|(own_m, grade, flow_m3s)| {
                hydraulics::full_capacity_m3s(n, size_m.max(*own_m), *grade) * most >= *flow_m3s
            })
        };
        if carries(0.0) {
            continue;
        }
        let size_m = plan.cost_weights.sizes_m().find(|size_m| carries(*size_m))?;
        // The joint itself lies in the larger pipe.
        let to_m = (to_m + FOOT_M).min(line.length_m());
        making.make(plan::set_size(&making.plan, id, (0.0, to_m), size_m)).ok()?;
        largest_m = largest_m.max(size_m);
    }
    (largest_m > 0.0).then(|| (Edit { label: String::new(), changes: making.changes }, largest_m))
}
