//! Sizes along the lines of a network, chosen together with its levels.
//!
//! For given sizes the cheapest levels are those of a convex problem ([`crate::Tree`]); over the sizes it is not convex. So
//! from the upper ends down the cost of all that lies upstream is kept as a list of convex costs for each size that the pipe
//! may have at a station: what is least over sizes is the lower envelope of such a list. A line may change its size where
//! water enters it at one place, crowns level, and gets no smaller on its way down. With every cost kept that is somewhere
//! the least the optimum is exact. Where there are too many, some are dropped, or, for a lower bound on the optimum, replaced
//! by the convex envelope of all that would be dropped.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use plan::{CostWeights, Hold, Joins, Line, LineId};

use crate::convex_cost::{ConvexCost, CostTable};
use crate::course::{self, SAME_STATION_M};
use crate::line_cache::LineBlock;
use crate::network::{Network, NetworkLine, Sizes, Start, entry};
use crate::sizing::{follows_flow, may_step};
use crate::{Pipe, Step, Steps, Tie, bodies, pipe, pipe_of};

/// Length of the larger pipe that costs as much as a reducer with the work of fitting it, metres: 10 ft (judgement: a
/// reducer at $15 beside 6-in pipe at $1.60 a foot).
const REDUCER_M: f64 = 10.0 * measure::FOOT_M;
/// Sizes that differ by less are one, as a share.
const SAME_SIZE: f64 = 1e-3;
/// Costs that differ by less are equal, as a share.
const ROUNDING: f64 = 1e-9;

/// Price of the pipe of a line with its reducers, at the plan's cost weights.
pub(crate) fn pipe_cost(weights: &CostWeights, pipe: &[Pipe]) -> f64 {
    let laid = pipe.iter().map(|part| weights.pipe_per_m(part.size_m) * (part.to_m - part.from_m));
    let bodies: Vec<Pipe> = bodies(pipe).collect();
    let reducers = bodies.windows(2).map(|pair| reducer_cost(weights, pair[0].size_m, pair[1].size_m));
    laid.sum::<f64>() + reducers.sum::<f64>()
}

/// Price of a reducer between two sizes; 0 if they are one.
fn reducer_cost(weights: &CostWeights, one_m: f64, other_m: f64) -> f64 {
    if one_m == other_m { 0.0 } else { REDUCER_M * weights.pipe_per_m(one_m.max(other_m)) }
}

/// How wide the search is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Breadth {
    /// True if only the sizes next to those of the network are tried: the next smaller, and the next larger where that lies
    /// below.
    pub is_near: bool,
    /// How many costs are kept at a station for each size.
    pub most: usize,
    /// True if the rest is replaced by its convex envelope, false if it is dropped.
    pub is_bound: bool,
}

/// What a search finds.
pub(crate) struct Found {
    /// The cheapest sizes it found; `None` if it lost all that can be laid.
    pub sizes: Option<Sizes>,
    /// No sizes among those tried cost less; true of a search that drops nothing or is for a bound.
    pub least: f64,
}

/// The sizes chosen upstream.
type Link = Option<Rc<Chosen>>;

#[derive(Debug)]
enum Chosen {
    Size(LineId, Step, Link),
    Both(Rc<Chosen>, Rc<Chosen>),
}

fn both(one: &Link, other: &Link) -> Link {
    match (one, other) {
        (Some(one), Some(other)) => Some(Rc::new(Chosen::Both(one.clone(), other.clone()))),
        (one, None) => one.clone(),
        (None, other) => other.clone(),
    }
}

/// The cost of everything upstream for some sizes chosen there, as a function of a level.
#[derive(Clone)]
struct Curve {
    cost: ConvexCost,
    chosen: Link,
    /// False for an envelope of several.
    is_whole: bool,
}

impl Curve {
    fn flat() -> Self {
        Self { cost: ConvexCost::flat(), chosen: None, is_whole: true }
    }

    fn and(self, other: &Self) -> Option<Self> {
        let cost = self.cost.and(other.cost.clone())?;
        Some(Self { cost, chosen: both(&self.chosen, &other.chosen), is_whole: self.is_whole && other.is_whole })
    }

    /// The same with a size noted for the line above a station.
    fn noted(mut self, id: LineId, step: Step) -> Self {
        self.chosen = Some(Rc::new(Chosen::Size(id, step, self.chosen.take())));
        self
    }
}

/// A line in pipe of one size.
struct Lane {
    size_m: f64,
    block: Arc<LineBlock>,
    /// True for intervals between stations that may have this size; the last one also stands for the upper end.
    is_open: Vec<bool>,
}

/// A line that is done: the costs for each size that it may have at its downstream end.
type Done = Vec<(f64, Vec<Curve>)>;

/// A line that joins another at a station, counted from the other's first.
struct Joined {
    at: usize,
    id: LineId,
    ways: Done,
}

/// The search over the network of given sizes, from which those that are not tried are taken.
pub(crate) struct Search<'a, 'n> {
    pub network: &'a Network<'n>,
    pub breadth: Breadth,
}

impl Search<'_, '_> {
    pub fn run(&self) -> Found {
        let mut sizes: Sizes = self.network.runs.iter().map(|run| (run.id, run.steps.clone())).collect();
        let mut waiting: BTreeMap<LineId, Vec<Joined>> = BTreeMap::new();
        let (mut chosen, mut cost, mut least): (Vec<Link>, f64, f64) = (Vec::new(), 0.0, 0.0);
        for run in self.network.runs.iter().rev() {
            let joined = waiting.remove(&run.id).unwrap_or_default();
            let lanes = self.lanes(run, &joined);
            if let [lane] = &lanes[..]
                && !Arc::ptr_eq(&lane.block, &run.block)
            {
                sizes.insert(run.id, Steps::one(lane.size_m));
            }
            let ways = self.down_the_line(run, &lanes, &joined);
            match run.start {
                Start::Joint(node, _) if !run.block.misses_joint => {
                    let main = self.network.run_of(node);
                    waiting.entry(main.id).or_default().push(Joined { at: node - main.first, id: run.id, ways });
                }
                _ => {
                    let all = || ways.iter().flat_map(|(_, curves)| curves);
                    least += all().map(|curve| curve.cost.least).fold(f64::INFINITY, f64::min);
                    let whole = all().filter(|curve| curve.is_whole);
                    let best = whole.min_by(|a, b| a.cost.least.total_cmp(&b.cost.least));
                    cost += best.map_or(f64::INFINITY, |curve| curve.cost.least);
                    chosen.extend(best.map(|curve| curve.chosen.clone()));
                }
            }
        }
        for (id, steps) in stepped(chosen) {
            sizes.insert(id, steps);
        }
        Found { sizes: cost.is_finite().then_some(sizes), least }
    }

    fn line(&self, run: &NetworkLine) -> &Line {
        &self.network.inputs.plan.lines[&run.id]
    }

    fn weights(&self) -> &CostWeights {
        &self.network.inputs.plan.cost_weights
    }

    /// Passes from the upper end of a line down to its first station; the costs there, for each size.
    fn down_the_line(&self, run: &NetworkLine, lanes: &[Lane], joined: &[Joined]) -> Done {
        let stations = &self.network.inputs.layout.courses[&run.id].stations;
        if let Some(known) = self.known(run, lanes, joined) {
            return known;
        }
        let mut above: Vec<Vec<Curve>> = Vec::new();
        // Costs of stations that depend on the first rather than on the one just below them.
        let mut at_first: Option<Vec<Curve>> = None;
        for i in (0..run.count).rev() {
            let mut here: Vec<Vec<Curve>> = vec![Vec::new(); lanes.len()];
            // The largest first, for a size draws on those that are no larger.
            for (w, lane) in lanes.iter().enumerate().rev() {
                if !lane.is_open[i.saturating_sub(1).min(lane.is_open.len() - 1)] {
                    continue;
                }
                let mut curves = match i + 1 == run.count {
                    true => vec![Curve::flat()],
                    false => self.from_above(run, lanes, (w, i), &mut above),
                };
                if let (0, Some(at_first)) = (i, &at_first) {
                    curves = products(curves, at_first);
                }
                for branch in joined.iter().filter(|branch| branch.at == i) {
                    curves = products(curves, &self.entering(run, lane, branch));
                }
                curves.retain_mut(|curve| self.stand(run, lane, i, &mut curve.cost));
                here[w] = self.kept(curves);
            }
            if i == 0 {
                return self.done(run, lanes, here);
            }
            let length_m = stations[i].station_m - stations[i - 1].station_m;
            for (lane, curves) in lanes.iter().zip(&mut here) {
                for curve in curves.iter_mut() {
                    lane.block.tree.carried(i, &mut curve.cost);
                    if lanes.len() > 1 {
                        curve.cost.least += length_m * self.weights().pipe_per_m(lane.size_m);
                    }
                }
            }
            if lanes[0].block.tree.nodes[i].down != Some(i - 1) {
                let own = std::mem::replace(&mut here, vec![vec![Curve::flat()]]).swap_remove(0);
                at_first = Some(match at_first {
                    Some(other) => products(other, &own),
                    None => own,
                });
            }
            above = here;
        }
        Done::new()
    }

    /// The cost of a line without branches or choice that the solver remembers.
    fn known(&self, run: &NetworkLine, lanes: &[Lane], joined: &[Joined]) -> Option<Done> {
        let ([lane], [], Start::Joint(..)) = (lanes, joined, &run.start) else { return None };
        let mut cost =
            self.network.inputs.known.costs.borrow().alone(lane.block.number, &lane.block.tree.bounds())?;
        cost.least += lane.block.base.iter().sum::<f64>() + pipe_cost(self.weights(), &lane.block.pipe);
        Some(vec![(lane.size_m, vec![Curve { cost, chosen: None, is_whole: true }])])
    }

    /// The costs of what lies above a station for a size below it: carried on in that size, or from a smaller one by a
    /// reducer with level crowns.
    fn from_above(
        &self,
        run: &NetworkLine,
        lanes: &[Lane],
        (w, i): (usize, usize),
        above: &mut [Vec<Curve>],
    ) -> Vec<Curve> {
        let mut curves = std::mem::take(&mut above[w]);
        if w == 0 || !self.is_cut(run, i) {
            return curves;
        }
        let lane = &lanes[w];
        for (smaller, from) in lanes[..w].iter().zip(&*above) {
            let step = Step { from_m: self.station_m(run, i), size_m: smaller.size_m };
            let is_given = smaller.block.levels[i].is_some();
            let bounds = smaller.block.tree.nodes[i].bounds;
            curves.extend(from.iter().filter_map(|curve| {
                let mut curve = curve.clone().noted(run.id, step);
                if !is_given && !curve.cost.bound(bounds) {
                    return None;
                }
                curve.cost.shift(smaller.size_m - lane.size_m);
                curve.cost.least += reducer_cost(self.weights(), lane.size_m, smaller.size_m);
                Some(curve)
            }));
        }
        curves
    }

    /// The costs of a branch as functions of the level of the line it joins, for the sizes that fit into that line's pipe.
    fn entering(&self, run: &NetworkLine, lane: &Lane, branch: &Joined) -> Vec<Curve> {
        let (line, joining) = (self.line(run), &self.network.inputs.plan.lines[&branch.id]);
        let main = pipe::at(&lane.block.pipe, self.station_m(run, branch.at));
        let tie = |size_m: f64| match joining.joins {
            Joins::Line(_) => entry(joining, size_m, main, branch.at + 1 == run.count),
            _ => Tie::Rise { least_m: 0.0, most_m: 0.0 },
        };
        let fits = |size_m: f64| !follows_flow(line) || size_m <= main.size_m * (1.0 + SAME_SIZE);
        let none_fits = !branch.ways.iter().any(|(size_m, _)| fits(*size_m));
        let ways = branch.ways.iter().filter(|(size_m, _)| none_fits || fits(*size_m));
        let carried = ways.flat_map(|(size_m, curves)| {
            let Tie::Rise { least_m, most_m } = tie(*size_m) else { return Vec::new() };
            let mut curves = curves.clone();
            curves.iter_mut().for_each(|curve| curve.cost.downstream((least_m, most_m)));
            curves
        });
        carried.collect()
    }

    /// Adds what a station itself costs; false if no level is left.
    fn stand(&self, run: &NetworkLine, lane: &Lane, i: usize, cost: &mut ConvexCost) -> bool {
        let given = lane.block.tree.nodes[i].bounds;
        let bounds = match run.start {
            Start::AtLeast(level_m) if i == 0 && lane.block.levels[0].is_none() => (level_m, f64::INFINITY),
            _ => given,
        };
        if !cost.bound(bounds) {
            return false;
        }
        lane.block.tree.hinges(i).iter().for_each(|hinge| hinge.add_to(cost));
        cost.least += lane.block.base[i];
        true
    }

    /// The costs of a whole line.
    fn done(&self, run: &NetworkLine, lanes: &[Lane], here: Vec<Vec<Curve>>) -> Done {
        let several = lanes.len() > 1;
        let done = lanes.iter().zip(here).map(|(lane, mut curves)| {
            if several {
                let step = Step { from_m: 0.0, size_m: lane.size_m };
                curves = curves.into_iter().map(|curve| curve.noted(run.id, step)).collect();
            } else {
                let price = pipe_cost(self.weights(), &lane.block.pipe);
                curves.iter_mut().for_each(|curve| curve.cost.least += price);
            }
            (lane.block.pipe[0].size_m, curves)
        });
        done.filter(|(_, curves)| !curves.is_empty()).collect()
    }

    /// The costs that are kept of some for one size at one station.
    fn kept(&self, mut curves: Vec<Curve>) -> Vec<Curve> {
        if curves.len() < 2 {
            return curves;
        }
        curves.sort_by(|a, b| a.cost.least.total_cmp(&b.cost.least));
        let Breadth { most, is_bound, .. } = self.breadth;
        if most < usize::MAX && !is_bound {
            curves.truncate(most);
            return curves;
        }
        let mut kept: Vec<(Curve, CostTable)> = Vec::new();
        for curve in curves {
            let table = curve.cost.parts();
            let is_under = |(under, its): &(Curve, CostTable)| {
                its.is_under(&table, curve.cost.least - under.cost.least, 1e-3 * ROUNDING * curve.cost.least.abs())
            };
            if !kept.iter().any(is_under) {
                kept.push((curve, table));
            }
        }
        let rest: Vec<ConvexCost> =
            if kept.len() > most { kept.drain(most..).map(|(curve, _)| curve.cost).collect() } else { Vec::new() };
        let envelope = ConvexCost::envelope(&rest).map(|cost| Curve { cost, chosen: None, is_whole: false });
        kept.into_iter().map(|(curve, _)| curve).chain(envelope).collect()
    }

    fn station_m(&self, run: &NetworkLine, i: usize) -> f64 {
        self.network.inputs.layout.courses[&run.id].stations[i].station_m
    }

    fn is_cut(&self, run: &NetworkLine, i: usize) -> bool {
        may_step(self.network.inputs, run.id, i)
    }

    /// The sizes that a line may be laid in, the smallest first; as it lies in the network where there is nothing to choose.
    fn lanes(&self, run: &NetworkLine, joined: &[Joined]) -> Vec<Lane> {
        let intervals = (run.count - 1).max(1);
        let as_it_lies = || {
            let size_m = run.block.pipe[0].size_m;
            vec![Lane { size_m, block: run.block.clone(), is_open: vec![true; intervals] }]
        };
        let line = self.line(run);
        if !follows_flow(line) || line.stretches.iter().any(|laid| laid.size_m.is_some()) || run.is_loose {
            return as_it_lies();
        }
        if joined.is_empty() && self.is_least(run) {
            return as_it_lies();
        }
        let (sizes, spans) = self.spans(run, joined);
        let (Some(first), Some(last)) =
            (spans.iter().map(|span| span.0).min(), spans.iter().map(|span| span.1).max())
        else {
            return as_it_lies();
        };
        let lane = |k: usize| {
            let steps = Steps::one(sizes[k]);
            let inputs = self.network.inputs;
            let block = inputs.known.blocks.borrow_mut().of(inputs, run.id, &steps, &run.start, false);
            let is_open = spans.iter().map(|(least, most)| (*least..=*most).contains(&k)).collect();
            Lane { size_m: sizes[k], block, is_open }
        };
        let lanes: Vec<Lane> = (first..=last).map(lane).collect();
        if lanes.iter().all(|lane| is_chain(&lane.block)) { lanes } else { as_it_lies() }
    }

    /// True for a line that lies in its least size, which carries all its flow at any grade that it may have.
    fn is_least(&self, run: &NetworkLine) -> bool {
        let (inputs, line, [pipe]) = (self.network.inputs, self.line(run), &run.block.pipe[..]) else { return false };
        let least_m = inputs.plan.starts().least_size_m(line.kind);
        let flow = &inputs.layout.flows[&run.id];
        let flattest = pipe.grade_for_velocity(inputs.plan.criteria.clean_velocity_ms);
        pipe.size_m <= least_m * (1.0 + SAME_SIZE)
            && line.reaches.is_empty()
            && pipe.full_capacity_m3s(flattest) * flow.even_factor >= flow.required_m3s()
    }

    /// The sizes in question, and the least and the largest of them that each interval between stations may have: the least
    /// carries the flow at the steepest grade allowed, the largest at the flattest, and neither is smaller than what drains
    /// into it.
    fn spans(&self, run: &NetworkLine, joined: &[Joined]) -> (Vec<f64>, Vec<(usize, usize)>) {
        let (inputs, line) = (self.network.inputs, self.line(run));
        let (plan, course) = (inputs.plan, &inputs.layout.courses[&run.id]);
        let least_m = plan.starts().least_size_m(line.kind);
        let entering = joined.iter().flat_map(|branch| branch.ways.iter().map(|(size_m, _)| *size_m));
        let old = old_branches(self.network, run.id);
        let stocked = self.weights().sizes_m().filter(|size_m| *size_m >= least_m * (1.0 - SAME_SIZE));
        let mut sizes: Vec<f64> = stocked.chain(entering).chain(old.iter().map(|(_, size_m)| *size_m)).collect();
        sizes.retain(|size_m| *size_m >= least_m * (1.0 - SAME_SIZE));
        sizes.sort_by(f64::total_cmp);
        sizes.dedup_by(|a, b| *a <= *b * (1.0 + SAME_SIZE));
        let widths = Widths {
            pipes: sizes.iter().map(|size_m| pipe_of(plan, line, &Steps::one(*size_m), course.length_m)).collect(),
            search: self,
            run,
        };
        let Some(top) = sizes.len().checked_sub(1) else { return (sizes, Vec::new()) };
        let index = |size_m: f64| sizes.iter().position(|own_m| *own_m >= size_m * (1.0 - SAME_SIZE)).unwrap_or(top);
        let (mut spans, mut span) = (vec![(0, 0); run.count - 1], (0, 0));
        for i in (0..run.count - 1).rev() {
            let own = widths.span(i, top);
            span = (span.0.max(own.0), span.1.max(own.1));
            let is_here = |at: usize| at == i + 1 || (i == 0 && at == 0);
            for branch in joined.iter().filter(|branch| is_here(branch.at)) {
                let size = |(size_m, _): &(f64, Vec<Curve>)| index(*size_m);
                let (least, most) = (branch.ways.iter().map(size).min(), branch.ways.iter().map(size).max());
                span = (span.0.max(least.unwrap_or(0)), span.1.max(most.unwrap_or(0)));
            }
            for (_, size_m) in old.iter().filter(|(at, _)| is_here(*at)) {
                span = (span.0.max(index(*size_m)), span.1.max(index(*size_m)));
            }
            spans[i] = span;
        }
        for i in 0..spans.len() {
            if i > 0 && !self.is_cut(run, i) {
                spans[i] = spans[i - 1];
                continue;
            }
            if self.breadth.is_near {
                let now = index(run.steps.above_m(course.stations[i].station_m)).clamp(spans[i].0, spans[i].1);
                let below = if i == 0 { now } else { now.max(spans[i - 1].1.min(now + 1)) };
                spans[i] = (spans[i].0.max(now.saturating_sub(1)), spans[i].1.min(below));
            }
        }
        (sizes, spans)
    }
}

/// What the sizes in question carry along a line.
struct Widths<'a, 'n> {
    pipes: Vec<Vec<Pipe>>,
    search: &'a Search<'a, 'n>,
    run: &'a NetworkLine,
}

impl Widths<'_, '_> {
    /// The least and the largest size above station `i`, by index; `top` is the last.
    fn span(&self, i: usize, top: usize) -> (usize, usize) {
        let inputs = self.search.network.inputs;
        let (flow, stations) = (&inputs.layout.flows[&self.run.id], &inputs.layout.courses[&self.run.id].stations);
        let criteria = &inputs.plan.criteria;
        let fastest = inputs.plan.brief.texture.map_or(f64::INFINITY, |texture| texture.greatest_velocity_ms());
        let part = |k: usize| pipe::above(&self.pipes[k], stations[i].station_m);
        let carries = |k: usize, grade: f64| {
            part(k).full_capacity_m3s(grade) * flow.even_factor >= flow.through_m3s[i] * (1.0 - ROUNDING)
        };
        let steepest = |k: usize| criteria.steepest_grade.min(part(k).grade_for_velocity(fastest));
        let flattest = |k: usize| part(k).grade_for_velocity(criteria.clean_velocity_ms);
        let ends_m = (stations[i].station_m + SAME_STATION_M, stations[i + 1].station_m - SAME_STATION_M);
        let held = self.search.line(self.run).reaches.iter().find_map(|reach| match reach.hold {
            Hold::Grade(grade) if reach.from_m <= ends_m.0 && reach.to_m >= ends_m.1 => Some(grade),
            _ => None,
        });
        let least = (0..top).find(|k| carries(*k, held.unwrap_or_else(|| steepest(*k)))).unwrap_or(top);
        let most = (least..top).find(|k| carries(*k, held.unwrap_or_else(|| flattest(*k)))).unwrap_or(top);
        (least, most)
    }
}

/// Stations of a line at which old tile drains into it, counted from the first, and the sizes of that, metres.
fn old_branches(network: &Network, id: LineId) -> Vec<(usize, f64)> {
    let (plan, layout) = (network.inputs.plan, network.inputs.layout);
    let old = plan.branches(id).filter(|(_, line)| line.kind.is_old());
    let at = |station_m| course::nearest_station(&layout.courses[&id].stations, station_m);
    old.filter_map(|(branch, line)| Some((at(layout.joint(branch)?.station_m), line.size_m))).collect()
}

/// True if each station depends on the one just below it, with limits on the rise.
fn is_chain(block: &LineBlock) -> bool {
    let is_next = |(i, node): (usize, &crate::Node)| {
        node.down == Some(i) && matches!(node.tie, Tie::Rise { least_m, .. } if least_m.is_finite())
    };
    block.tree.nodes.iter().skip(1).enumerate().all(is_next)
}

/// The sum of each cost of one list with each of another, where they have a level in common.
fn products(one: Vec<Curve>, other: &[Curve]) -> Vec<Curve> {
    let Some((last, others)) = other.split_last() else { return Vec::new() };
    let of = |curve: Curve| {
        let mut sums: Vec<Curve> = others.iter().filter_map(|other| curve.clone().and(other)).collect();
        sums.extend(curve.and(last));
        sums
    };
    one.into_iter().flat_map(of).collect()
}

/// The sizes noted along some choices.
fn stepped(mut open: Vec<Link>) -> BTreeMap<LineId, Steps> {
    let mut found: BTreeMap<LineId, Vec<Step>> = BTreeMap::new();
    while let Some(link) = open.pop() {
        match link.as_deref() {
            Some(Chosen::Size(id, step, next)) => {
                found.entry(*id).or_default().push(*step);
                open.push(next.clone());
            }
            Some(Chosen::Both(one, other)) => open.extend([Some(one.clone()), Some(other.clone())]),
            None => (),
        }
    }
    found.into_iter().map(|(id, steps)| (id, Steps::of(steps))).collect()
}

#[cfg(test)]
mod brute;
