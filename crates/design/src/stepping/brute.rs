//! Sizes and levels together against every choice of sizes, each with its cheapest levels.

use fastrand::Rng;
use measure::{Point, Units};
use plan::{Goods, Joins, Line, LineKind, Outlet, Plan, PriceList, PriceRow, Served, SizeBy, Texture};
use terrain::{Grid, Ground};

use super::*;
use crate::network::Inputs;
use crate::sizing::{self, Sized, needed_sizes};
use crate::{Layout, levels};

fn between(lot: &mut Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * lot.f64()
}

/// Prices by lot: of pipe, of reducers of each pair of sizes, up to what 60 m of pipe cost, and of sticks for the outlet.
fn priced(lot: &mut Rng, plan: &Plan) -> PriceList {
    let price_of = |goods: Goods, size_m: f64, branch_m: Option<f64>, price: f64, pack_m: Option<f64>| PriceRow {
        goods,
        size_m: Some(size_m),
        branch_m,
        price,
        pack_m,
    };
    let currency = between(lot, 0.5, 20.0);
    let sizes: Vec<f64> = plan.cost_weights.sizes_m().collect();
    let mut rows = Vec::new();
    for (k, size_m) in sizes.iter().enumerate() {
        let per_m = currency * between(lot, 0.8, 1.2) * plan.cost_weights.pipe_per_m(*size_m);
        rows.push(price_of(Goods::Perforated, *size_m, None, per_m, None));
        let pack_m = (lot.f64() < 0.7).then_some(3.0);
        rows.push(price_of(Goods::OutletStick, *size_m, None, per_m * between(lot, 1.0, 30.0), pack_m));
        for smaller_m in &sizes[..k] {
            rows.push(price_of(Goods::Reducer, *size_m, Some(*smaller_m), per_m * between(lot, 0.0, 60.0), None));
        }
    }
    PriceList { rows, waste: between(lot, 0.0, 0.1), ..PriceList::default() }
}

/// A main of some 240 m with up to `most` branches, one of them with a branch of its own, on ground with waves.
fn network(lot: &mut Rng, most: usize) -> (Plan, Layout) {
    let (slope, wave_m, phase) = (between(lot, 0.0005, 0.012), between(lot, 0.0, 0.25), between(lot, 0.0, 6.0));
    let level = |cell: usize| {
        let (x, y) = ((cell % 130) as f64 * 2.0, (cell / 130) as f64 * 2.0);
        (100.0 + slope * x + 0.004 * (y - 60.0).abs() + wave_m * (x / 21.0 + phase).sin()) as f32
    };
    let grid = Grid::new((130, 60), (0.0, 120.0), (2.0, 2.0), (0..130 * 60).map(level).collect()).unwrap();
    let units = if lot.f64() < 0.5 { Units::Feet } else { Units::Metric };
    let mut plan = Plan::new("By lot", units);
    plan.criteria.staking_m = 40.0;
    plan.brief.texture =
        (lot.f64() < 0.3).then_some(Texture::ALL[(lot.f64() * Texture::ALL.len() as f64) as usize].0);
    let (pipe, digging) = (between(lot, 0.3, 8.0), between(lot, 0.4, 2.0));
    plan.cost_weights.pipe.iter_mut().for_each(|weight| weight.per_m *= pipe);
    plan.cost_weights.digging.iter_mut().for_each(|weight| weight.per_m2 *= digging);
    if lot.f64() < 0.6 {
        plan.price_list = priced(lot, &plan);
    }
    let at = Point::new(4.0, 60.0);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 100.0 - between(lot, 1.0, 1.7)));
    plan.apply(&edit).unwrap();
    let area = |lot: &mut Rng, hectares: f64| Served::Area(between(lot, 0.05, hectares) * 1e4);
    let main = Line::new("M1", LineKind::Main, vec![at, Point::new(between(lot, 180.0, 250.0), 60.0)]);
    let served = area(lot, 2.0);
    let main = Line { joins: Joins::Outlet(outlet), size_by: SizeBy::FlowInSteps, served, ..main };
    let (main, edit) = plan::add_line(&plan, main);
    plan.apply(&edit).unwrap();
    let mut joined = main;
    for k in 0..1 + (lot.f64() * most as f64) as usize {
        let carries_on = k == 2 && lot.f64() < 0.4;
        let (foot, to_y) = match carries_on {
            true => (Point::new(plan.lines[&joined].points[1].x - 1.0, 84.0), 84.0),
            false => (Point::new(between(lot, 12.0, 175.0), 60.0), if lot.f64() < 0.5 { 100.0 } else { 20.0 }),
        };
        let (id, to) = if carries_on {
            (joined, Point::new(foot.x + 40.0, to_y))
        } else {
            (main, Point::new(foot.x + between(lot, -5.0, 5.0), to_y))
        };
        let foot = measure::nearest_on(&plan.lines[&id].points, foot).unwrap().1;
        let line = Line::new(&format!("L{k}"), LineKind::Lateral, vec![foot, to]);
        let served = area(lot, 5.0);
        let by_hand = lot.f64() < 0.15;
        let size_by = if by_hand { SizeBy::Hand } else { SizeBy::FlowInSteps };
        let line = Line { joins: Joins::Line(id), size_by, served, ..line };
        let (id, edit) = plan::add_line(&plan, line);
        plan.apply(&edit).unwrap();
        joined = id;
    }
    let layout = crate::lay_out(&plan, &land::Land::from(&Ground::from_grid(grid)), &mut crate::Memory::default());
    (plan, layout)
}

/// Every run of sizes along a line that gets no smaller on its way down.
fn all_steps(inputs: Inputs, id: LineId) -> Vec<Steps> {
    let line = &inputs.plan.lines[&id];
    if !follows_flow(line) {
        return vec![Steps::one(line.size_m)];
    }
    let stations = &inputs.layout.courses[&id].stations;
    let cuts: Vec<f64> =
        (0..stations.len()).filter(|i| may_step(inputs, id, *i)).map(|i| stations[i].station_m).collect();
    let least_m = inputs.plan.starts().least_size_m(line.kind);
    let sizes: Vec<f64> = inputs.plan.cost_weights.sizes_m().filter(|m| *m >= least_m * 0.999).collect();
    let mut all: Vec<Vec<Step>> = sizes.iter().map(|size_m| vec![Step { from_m: 0.0, size_m: *size_m }]).collect();
    for from_m in cuts {
        let longer = |steps: &Vec<Step>| {
            let largest_m = steps[steps.len() - 1].size_m;
            let next = sizes.iter().filter(move |size_m| **size_m <= largest_m);
            let with = |size_m: &f64| [&steps[..], &[Step { from_m, size_m: *size_m }]].concat();
            next.map(with).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(longer).collect();
    }
    all.into_iter().map(Steps::of).collect()
}

/// The least cost over every choice of sizes that carries the flow; nothing is told of it by the search.
fn by_force(inputs: Inputs, most: usize) -> Option<f64> {
    let mut all: Vec<Sizes> = vec![Sizes::new()];
    for id in inputs.lines {
        let steps = all_steps(inputs, *id);
        let with = |sizes: &Sizes| {
            let longer = |steps: &Steps| sizes.iter().map(|(k, v)| (*k, v.clone())).chain([(*id, steps.clone())]);
            steps.iter().map(|steps| longer(steps).collect::<Sizes>()).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(with).filter(|sizes| no_smaller(inputs, sizes)).collect();
        if all.len() > most {
            return None;
        }
    }
    let cost = |sizes: &Sizes| {
        let solved = levels::held(inputs, sizes)?;
        (needed_sizes(&solved, sizes) == *sizes).then(|| Sized { sizes: sizes.clone(), solved }.cost())
    };
    Some(all.iter().filter_map(cost).fold(f64::INFINITY, f64::min))
}

/// True if no line brings wider pipe than there is below its joint, as far as sizes are chosen there.
fn no_smaller(inputs: Inputs, sizes: &Sizes) -> bool {
    let is_chosen = |joint: &&crate::Joint| follows_flow(&inputs.plan.lines[&joint.main]);
    inputs.layout.joints.iter().filter(is_chosen).all(|joint| {
        let (Some(main), Some(branch)) = (sizes.get(&joint.main), sizes.get(&joint.branch)) else { return true };
        let below_m = (joint.station_m - 2.0 * SAME_STATION_M).max(0.0);
        branch.lowest_m() <= main.above_m(below_m) * 1.0001
    })
}

/// On small networks sizes and levels are the best of all, in feet and in metres, with prices of reducers and sticks and without.
#[test]
fn small_networks_are_exact() {
    let (mut lot, mut compared, mut stepped, mut priced) = (Rng::with_seed(20_311), 0, 0, 0);
    for _ in 0..120 {
        let (plan, layout) = network(&mut lot, 3);
        let known = Default::default();
        let inputs = Inputs { is_tight: false, ..Inputs::of(&plan, &layout, &known) };
        let found = sizing::choose(inputs);
        if !found.solved.is_held {
            continue;
        }
        let Some(best) = by_force(inputs, 3000) else { continue };
        let gap = found.cost() / best - 1.0;
        assert!(gap.abs() < 1e-9, "{} against {best} by force, {gap}: {:?}", found.cost(), found.sizes);
        let proof = sizing::size_gap(&plan, &layout).unwrap();
        assert!(proof.share() < 1e-9 && proof.least <= best * (1.0 + 1e-9), "{proof:?} against {best} by force");
        compared += 1;
        stepped += usize::from(found.sizes.values().any(|steps| steps.all().len() > 1));
        priced += usize::from(!plan.price_list.rows.is_empty());
    }
    assert!(compared >= 40 && stepped >= 15, "{compared} compared, {stepped} with steps");
    assert!((15..compared).contains(&priced), "{priced} with prices");
}
