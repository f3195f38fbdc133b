//! Levels and sizes of the lines of a layout: the cheapest that hold every limit, made into reaches that can be dug.

use plan::{Condition, Joins, Line, LineKind, Material, Plan};

use crate::course::{self, Course};
use crate::dig::Dug;
use crate::laid::AtHand;
use crate::levels::Solved;
use crate::network::{Basis, Network, Sizes};
use crate::sizing::{self, Sized};
use crate::water::LineFlow;
use crate::{Design, GradeCost, Layout, LineDesign, Memory, pipe_of};
use crate::{anchored, apart, clash, digging, flat, levels, passing, pipe, pressure, tangle};

/// Works out levels and sizes for a layout of a plan, with what is remembered of the last time; what is remembered changes
/// nothing but the time it takes.
pub fn grade(plan: &Plan, layout: &Layout, memory: &mut Memory) -> Design {
    let known = AtHand::of(std::mem::take(&mut memory.reused), plan, layout);
    // They outlive the networks that look at them.
    let (passed, untried, clear, may_be_flat);
    let basis = Basis::of(plan, layout, &known);
    let mut sized = sizing::choose(basis);
    (passed, untried) = passing::sides(basis, &mut sized);
    let basis = Basis { passed: &passed, ..basis };
    if !passed.is_empty() {
        sized.solved = levels::solve(basis, &sized.sizes);
    }
    clear = apart::clear(basis, &sized.sizes, &sized.solved, &layout.crossings);
    let basis = Basis { clear: &clear, ..basis };
    sized.solved = match clear.is_empty() {
        true => levels::kept(basis, &sized.sizes, sized.solved),
        false => levels::solve(basis, &sized.sizes),
    };
    let even = Basis { least_even: plan.criteria.even_grade, ..basis };
    let (flat, steeper) = flat::flat(basis, even, &sized.sizes, &sized.solved);
    may_be_flat = flat.iter().flat_map(|flat| flat.lines.iter().copied()).collect();
    let even = Basis { flat: &may_be_flat, ..even };
    sized.solved = as_even(steeper, even, &sized.sizes, sized.solved);
    let dug = digging::dig(&sized.solved, memory);
    let levels = dug_levels(&sized.solved.network, &dug);
    let mut design = Design { cost: cost(&sized, &levels), flat, untried, ..Design::default() };
    design.clashes = clash::clashes(&sized.solved, &levels);
    passing::other_sides(basis, &sized.sizes, &sized.solved, &mut design.clashes);
    add_new_lines(&sized.solved.network, dug, &mut design);
    drop(sized);
    design.passed = passed;
    memory.reused = known.leave();
    finish(plan, layout, &mut design);
    design
}

/// The levels with no line flatter than need be: those found where none had to be, else those under that limit.
fn as_even<'a>(steeper: Option<Solved<'a>>, even: Basis<'a>, sizes: &Sizes, found: Solved<'a>) -> Solved<'a> {
    match steeper {
        Some(steeper) => steeper,
        None if found.is_held => levels::under(even, sizes, found),
        None => found,
    }
}

/// The levels of all new lines as they are to be dug, metres.
fn dug_levels(network: &Network, dug: &[Dug]) -> Vec<f64> {
    let mut levels = vec![0.0; network.tree.nodes.len()];
    for (run, dug) in network.runs.iter().zip(dug) {
        levels[run.first..run.first + run.count].copy_from_slice(&dug.levels_m);
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

/// The new lines with the levels to which they are dug, and the inverts of the outlets they reach.
fn add_new_lines(network: &Network, dug: Vec<Dug>, design: &mut Design) {
    let (plan, layout) = (network.basis.plan, network.basis.layout);
    for (run, dug) in network.runs.iter().zip(dug) {
        let line = &plan.lines[&run.id];
        if let (Joins::Outlet(outlet), Some(level_m)) = (line.joins, dug.levels_m.first()) {
            design.outlet_inverts_m.insert(outlet, *level_m);
        }
        let mut worked = bare(plan, line, &layout.courses[&run.id], &layout.flows[&run.id], run.size_m);
        worked.lay_to(&dug.levels_m);
        (worked.reaches, worked.least_grade) = (dug.reaches, run.laid.clean_grade);
        worked.fathom();
        design.lines.insert(run.id, worked);
    }
}

/// What follows from the new lines: old tile, which levels are known at all, joints, crossings and the water in the pipe.
fn finish(plan: &Plan, layout: &Layout, design: &mut Design) {
    for id in &layout.order {
        let line = &plan.lines[id];
        if let LineKind::OldTile(old) = line.kind {
            design.lines.insert(*id, old_tile(plan, line, old, &layout.courses[id], &layout.flows[id]));
        }
        let reaches = tangle::reaches_outlet(plan, *id, design);
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
    let mut worked = bare(plan, line, course, flow, line.size_m);
    for station in &mut worked.stations {
        station.invert_m = course::known_level(&line.pins, station.station_m);
    }
    worked.fathom();
    let n = match old.material {
        Material::Plastic => hydraulics::OLD_PLASTIC_N,
        _ => hydraulics::TILE_N,
    };
    let own_n = line.roughness_n.unwrap_or((n.0 + n.1) / 2.0);
    worked.pipe.iter_mut().for_each(|pipe| pipe.n = own_n);
    let n = line.roughness_n.map_or(n, |n| (n, n));
    // Share of the height that silt may fill, by condition ([judgement]: a fair line holds a third at most).
    let silt = match old.condition {
        Condition::Good => (0.0, 0.05),
        Condition::Fair => (0.05, 1.0 / 3.0),
        Condition::Poor => (1.0 / 3.0, 0.9),
        Condition::Unknown => (0.0, 0.5),
    };
    let ends = line.pins.first().zip(line.pins.last()).filter(|(low, high)| high.station_m > low.station_m);
    worked.old_capacity = ends.map(|(low, high)| {
        let grade = (high.invert_m - low.invert_m) / (high.station_m - low.station_m);
        hydraulics::old_capacity(line.size_m, grade, n, silt)
    });
    worked
}

fn bare(plan: &Plan, line: &Line, course: &Course, flow: &LineFlow, size_m: f64) -> LineDesign {
    LineDesign {
        length_m: course.length_m,
        size_m,
        pipe: pipe_of(plan, line, size_m, course.length_m),
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
