//! Levels and sizes for a layout: the optimum under every limit, simplified to few reaches of constant grade.

use plan::{Condition, Joins, Line, LineKind, Material, Plan};

use crate::course::{self, Course};
use crate::levels::Solved;
use crate::line_cache::AtHand;
use crate::network::{Inputs, Network, Sizes};
use crate::simplify::Simplified;
use crate::sizing::{self, Sized};
use crate::water::LineFlow;
use crate::{Design, GradeCost, Layout, LineDesign, Memory, Steps, pipe_of};
use crate::{anchored, clash, clearance, flat, levels, passing, pipe, pressure, profiles, topology};

/// Computes levels and sizes for a layout of a plan. `memory` holds what the last call left; it changes nothing but the time
/// taken.
pub fn grade(plan: &Plan, layout: &Layout, memory: &mut Memory) -> Design {
    grade_holding(plan, layout, memory, None)
}

/// The same with the sizes of another design where they do.
pub(crate) fn grade_holding(plan: &Plan, layout: &Layout, memory: &mut Memory, other: Option<&Design>) -> Design {
    let known = AtHand::of(std::mem::take(&mut memory.reused), plan, layout);
    // Declared first so that they outlive the networks that borrow them.
    let (passed, untried, clear, may_be_flat);
    let inputs = Inputs::of(plan, layout, &known);
    let holding = other.and_then(|other| sizing::holding(inputs, other));
    let holds_sizes = holding.is_some();
    let mut sized = holding.unwrap_or_else(|| sizing::choose(inputs));
    (passed, untried) = passing::sides(inputs, &mut sized);
    let inputs = Inputs { passed: &passed, ..inputs };
    if !passed.is_empty() {
        sized.solved = levels::solve(inputs, &sized.sizes);
    }
    clear = clearance::keep_apart(inputs, &sized.sizes, &sized.solved, &layout.crossings);
    let inputs = Inputs { clear: &clear, ..inputs };
    sized.solved = match clear.is_empty() {
        true => levels::kept(inputs, &sized.sizes, sized.solved),
        false => levels::solve(inputs, &sized.sizes),
    };
    let even = Inputs { least_even: plan.criteria.even_grade, ..inputs };
    let (flat, steeper) = flat::flat(inputs, even, &sized.sizes, &sized.solved);
    may_be_flat = flat.iter().flat_map(|flat| flat.lines.iter().copied()).collect();
    let even = Inputs { flat: &may_be_flat, ..even };
    sized.solved = as_even(steeper, even, &sized.sizes, sized.solved);
    let simplified = profiles::simplify_all(&sized.solved, memory);
    let levels = simplified_levels(&sized.solved.network, &simplified);
    let mut design = Design { cost: cost(&sized, &levels), flat, untried, holds_sizes, ..Design::default() };
    design.clashes = clash::clashes(&sized.solved, &levels);
    passing::other_sides(inputs, &sized.sizes, &sized.solved, &mut design.clashes);
    add_new_lines(&sized.solved.network, simplified, &mut design);
    drop(sized);
    design.passed = passed;
    memory.reused = known.leave();
    finish(plan, layout, &mut design);
    design
}

/// The levels under the even grade: those found if every line can keep it, else those with the lines that cannot exempted.
fn as_even<'a>(steeper: Option<Solved<'a>>, even: Inputs<'a>, sizes: &Sizes, found: Solved<'a>) -> Solved<'a> {
    match steeper {
        Some(steeper) => steeper,
        None if found.is_held => levels::under(even, sizes, found),
        None => found,
    }
}

/// Levels of all new lines after simplification, metres.
fn simplified_levels(network: &Network, simplified: &[Simplified]) -> Vec<f64> {
    let mut levels = vec![0.0; network.tree.nodes.len()];
    for (run, simplified) in network.runs.iter().zip(simplified) {
        levels[run.first..run.first + run.count].copy_from_slice(&simplified.levels_m);
    }
    levels
}

fn cost(sized: &Sized, levels: &[f64]) -> GradeCost {
    let (solved, network) = (&sized.solved, &sized.solved.network);
    let cheapest = solved.cost();
    GradeCost {
        least: solved.least,
        cheapest,
        digging: network.digging_cost(&solved.levels),
        dug: network.cost(levels),
        pipe: sized.cost() - cheapest,
    }
}

/// Adds the new lines with their simplified profiles, and the inverts of their outlets.
fn add_new_lines(network: &Network, simplified: Vec<Simplified>, design: &mut Design) {
    let (plan, layout) = (network.inputs.plan, network.inputs.layout);
    for (run, simplified) in network.runs.iter().zip(simplified) {
        let line = &plan.lines[&run.id];
        if let (Joins::Outlet(outlet), Some(level_m)) = (line.joins, simplified.levels_m.first()) {
            design.outlet_inverts_m.insert(outlet, *level_m);
        }
        let mut worked = bare(plan, line, &layout.courses[&run.id], &layout.flows[&run.id], &run.steps);
        worked.lay_to(&simplified.levels_m);
        (worked.reaches, worked.least_grade) = (simplified.reaches, run.block.clean_grade);
        worked.fathom();
        design.lines.insert(run.id, worked);
    }
}

/// Completes a design: old tile, unsupported levels, joints, crossings, and the hydraulic grade line.
fn finish(plan: &Plan, layout: &Layout, design: &mut Design) {
    for id in &layout.order {
        let line = &plan.lines[id];
        if let LineKind::OldTile(old) = line.kind {
            design.lines.insert(*id, old_tile(plan, line, old, &layout.courses[id], &layout.flows[id]));
        }
        let reaches = topology::reaches_outlet(plan, *id, design);
        if let Some(line) = design.lines.get_mut(id) {
            line.reaches_outlet = reaches;
        }
    }
    anchored::drop_unknown(plan, layout, design);
    design.loops.clone_from(&layout.loops);
    design.joints = layout.joints.iter().map(|joint| joint.with_levels(design)).collect();
    design.crossings = layout.crossings.iter().map(|crossing| crossing.with_levels(design)).collect();
    pressure::fill_heads(plan, &layout.order, design);
}

/// Old tile keeps the levels that were measured, straight between them, and none beyond.
fn old_tile(plan: &Plan, line: &Line, old: plan::OldTile, course: &Course, flow: &LineFlow) -> LineDesign {
    let mut worked = bare(plan, line, course, flow, &Steps::one(line.size_m));
    for station in &mut worked.stations {
        station.invert_m = course::known_level(&line.pins, station.station_m);
    }
    worked.fathom();
    let n = old_roughness(old.material);
    let own_n = line.roughness_n.unwrap_or((n.0 + n.1) / 2.0);
    worked.pipe.iter_mut().for_each(|pipe| pipe.n = own_n);
    let n = line.roughness_n.map_or(n, |n| (n, n));
    let silt = silt_share(old.condition);
    let ends = line.pins.first().zip(line.pins.last()).filter(|(low, high)| high.station_m > low.station_m);
    worked.old_capacity = ends.map(|(low, high)| {
        let grade = (high.invert_m - low.invert_m) / (high.station_m - low.station_m);
        hydraulics::old_capacity(line.size_m, grade, n, silt)
    });
    worked
}

/// Roughness that an old pipe may have, at its best and at its worst.
pub fn old_roughness(material: Material) -> (f64, f64) {
    match material {
        Material::Plastic => hydraulics::OLD_PLASTIC_N,
        _ => hydraulics::TILE_N,
    }
}

/// Share of its height that silt may fill, the least and the most, by condition ([judgement]: a fair line holds a third at
/// most).
pub fn silt_share(condition: Condition) -> (f64, f64) {
    match condition {
        Condition::Good => (0.0, 0.05),
        Condition::Fair => (0.05, 1.0 / 3.0),
        Condition::Poor => (1.0 / 3.0, 0.9),
        Condition::Unknown => (0.0, 0.5),
    }
}

fn bare(plan: &Plan, line: &Line, course: &Course, flow: &LineFlow, steps: &Steps) -> LineDesign {
    LineDesign {
        length_m: course.length_m,
        size_m: steps.lowest_m(),
        pipe: pipe_of(plan, line, steps, course.length_m),
        steps: steps.clone(),
        stations: course.stations.clone(),
        ground: course.ground.clone(),
        depth: Vec::new(),
        reaches: Vec::new(),
        inflows: flow.inflows.clone(),
        through_m3s: flow.through_m3s.clone(),
        entering_m3s: flow.entering_m3s.clone(),
        area_m2: flow.area_m2,
        even_factor: flow.even_factor,
        old_capacity: None,
        least_grade: 0.0,
        reaches_outlet: false,
        outlet_pipe_m: course::outlet_pipe_m(plan, line),
    }
}

impl LineDesign {
    /// Lays its pipe to the levels of its guide at the stations, metres.
    fn lay_to(&mut self, guide_m: &[f64]) {
        let Self { stations, pipe, .. } = self;
        for (station, guide_m) in stations.iter_mut().zip(guide_m) {
            let (below_m, above_m) =
                (pipe::at(pipe, station.station_m).over_guide_m, pipe::above(pipe, station.station_m).over_guide_m);
            (station.invert_m, station.step_m) = (Some(guide_m + below_m), above_m - below_m);
        }
    }
}
