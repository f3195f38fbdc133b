//! Sizes along the lines of a network, chosen together with its levels.
//!
//! For given sizes the cheapest levels are those of a convex problem ([`crate::Tree`]); over the sizes it is not convex. So
//! from the upper ends down the cost of all that lies upstream is kept, for each size that the pipe may have at a station, as
//! the least over the sizes upstream ([`Envelope`]). A line may change its size where water enters it at one place, crowns
//! level, and gets no smaller on its way down. With every cost kept that is somewhere the least the optimum is exact. What
//! saves next to nothing may be left out; what that can have cost at most is added up, and makes a lower bound on the optimum.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use plan::{CostWeights, Hold, Joins, Line, LineId};

use crate::course::{self, SAME_STATION_M};
use crate::line_cache::LineBlock;
use crate::network::{Network, NetworkLine, Sizes, Start, entry};
use crate::sizing::{follows_flow, may_step};
use crate::{Pipe, Step, Steps, Tie, by_piece, pipe, pipe_of};
use envelope::Envelope;

mod envelope;
mod piece;

/// Sizes that differ by less are one, as a share.
pub(crate) const SAME_SIZE: f64 = 1e-3;
/// Costs that differ by less are equal, as a share.
const ROUNDING: f64 = 1e-9;

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

/// A line in pipe of one size.
struct Lane {
    size_m: f64,
    block: Arc<LineBlock>,
    /// True for intervals between stations that may have this size; the last one also stands for the upper end.
    is_open: Vec<bool>,
}

/// A line that is done: the cost for each size that it may have at its downstream end.
type Done = Vec<(f64, Envelope)>;

/// A line that joins another at a station, counted from the other's first.
struct Joined {
    at: usize,
    id: LineId,
    ways: Done,
}

/// The search over the network of given sizes, from which those that are not tried are taken.
pub(crate) struct Search<'a, 'n> {
    pub network: &'a Network<'n>,
    /// What choices may be too dear at one station, in the unit of the cost weights.
    pub allowance: f64,
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
                    let whole = Envelope::least_of(ways.into_iter().map(|(_, cost)| cost), 0.0);
                    let (own, links) = whole.least().unwrap_or((f64::INFINITY, None));
                    cost += own;
                    least += own - whole.slack;
                    chosen.push(links);
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

    /// Passes from the upper end of a line down to its first station; the cost there, for each size.
    fn down_the_line(&self, run: &NetworkLine, lanes: &[Lane], joined: &[Joined]) -> Done {
        let mut above: Vec<Option<Envelope>> = vec![None; lanes.len()];
        // Cost of stations that depend on the first rather than on the one just below them.
        let mut at_first: Option<Envelope> = None;
        for i in (0..run.count).rev() {
            let mut here: Vec<Option<Envelope>> = Vec::new();
            for (w, lane) in lanes.iter().enumerate() {
                let is_open = lane.is_open[i.saturating_sub(1).min(lane.is_open.len() - 1)];
                let cost = match i + 1 == run.count {
                    _ if !is_open => None,
                    true => Some(Envelope::flat()),
                    false => self.carried_down(run, lanes, (w, i), &above),
                };
                let cost = cost.map(|cost| match &at_first {
                    Some(at_first) if i == 0 => cost.and(at_first, self.allowance),
                    _ => cost,
                });
                here.push(cost.and_then(|cost| self.stand(run, lane, i, self.met(run, lane, joined, i, cost))));
            }
            if i == 0 {
                return self.done(run, lanes, here);
            }
            let carried = lanes.iter().zip(here).map(|(lane, cost)| Some(self.carried(run, lane, i, cost?)));
            above = carried.collect();
            if lanes[0].block.tree.nodes[i].down != Some(i - 1)
                && let Some(own) = above[0].replace(Envelope::flat())
            {
                at_first = Some(match at_first {
                    Some(other) => other.and(&own, self.allowance),
                    None => own,
                });
            }
        }
        Done::new()
    }

    /// The cost of what lies above a station for a size below it: carried on in that size, or from a smaller one by a reducer
    /// with level crowns.
    fn carried_down(
        &self,
        run: &NetworkLine,
        lanes: &[Lane],
        (w, i): (usize, usize),
        above: &[Option<Envelope>],
    ) -> Option<Envelope> {
        let lane = &lanes[w];
        let mut costs: Vec<Envelope> = above[w].iter().cloned().collect();
        let smaller = if self.is_cut(run, i) { &lanes[..w] } else { &[] };
        for (smaller, from) in smaller.iter().zip(above) {
            let Some(from) = from else { continue };
            let step = Step { from_m: self.station_m(run, i), size_m: smaller.size_m };
            let is_given = smaller.block.levels[i].is_some();
            let bounds = smaller.block.tree.nodes[i].bounds;
            let mut cost = if is_given { from.clone() } else { from.within(bounds) };
            cost = cost.noted(|link| Some(Rc::new(Chosen::Size(run.id, step, link))));
            cost.shift(smaller.size_m - lane.size_m);
            cost.add(by_piece::reducer_cost(self.network.inputs.plan, lane.size_m, smaller.size_m));
            costs.push(cost);
        }
        match costs.len() {
            0 | 1 => costs.pop(),
            _ => Some(Envelope::least_of(costs, self.allowance)),
        }
    }

    /// The cost with that of all that joins at a station.
    fn met(&self, run: &NetworkLine, lane: &Lane, joined: &[Joined], i: usize, cost: Envelope) -> Envelope {
        let here = joined.iter().filter(|branch| branch.at == i);
        here.fold(cost, |cost, branch| cost.and(&self.entering(run, lane, branch), self.allowance))
    }

    /// The cost of a branch as a function of the level of the line it joins, over the sizes that fit into that line's pipe.
    fn entering(&self, run: &NetworkLine, lane: &Lane, branch: &Joined) -> Envelope {
        let (line, joining) = (self.line(run), &self.network.inputs.plan.lines[&branch.id]);
        let main = pipe::at(&lane.block.pipe, self.station_m(run, branch.at));
        let tie = |size_m: f64| match joining.joins {
            Joins::Line(_) => entry(joining, size_m, main, branch.at + 1 == run.count),
            _ => Tie::Rise { least_m: 0.0, most_m: 0.0 },
        };
        let fits = |size_m: f64| !follows_flow(line) || size_m <= main.size_m * (1.0 + SAME_SIZE);
        let none_fits = !branch.ways.iter().any(|(size_m, _)| fits(*size_m));
        let ways = branch.ways.iter().filter(|(size_m, _)| none_fits || fits(*size_m));
        let carried = ways.map(|(size_m, cost)| cost.downstream(tie(*size_m), &[], self.allowance));
        Envelope::least_of(carried, self.allowance)
    }

    /// The cost with what a station itself costs; `None` if no level is left.
    fn stand(&self, run: &NetworkLine, lane: &Lane, i: usize, cost: Envelope) -> Option<Envelope> {
        let given = lane.block.tree.nodes[i].bounds;
        let mut cost = cost.within(match run.start {
            Start::AtLeast(level_m) if i == 0 && lane.block.levels[0].is_none() => (level_m, f64::INFINITY),
            _ => given,
        });
        cost.add_hinges(lane.block.tree.hinges(i));
        cost.add(lane.block.base[i]);
        (!cost.is_empty()).then_some(cost)
    }

    /// The cost of station `i` as a function of the level of the one it depends on, with the pipe between it and the next.
    fn carried(&self, run: &NetworkLine, lane: &Lane, i: usize, cost: Envelope) -> Envelope {
        let tree = &lane.block.tree;
        let mut cost = cost.downstream(tree.nodes[i].tie, tree.wanted_rises(i), self.allowance);
        cost.add((self.station_m(run, i) - self.station_m(run, i - 1)) * self.weights().pipe_per_m(lane.size_m));
        cost
    }

    /// The cost of a whole line.
    fn done(&self, run: &NetworkLine, lanes: &[Lane], here: Vec<Option<Envelope>>) -> Done {
        let is_chosen = lanes.len() > 1;
        let length_m = self.station_m(run, run.count - 1) - self.station_m(run, 0);
        let done = lanes.iter().zip(here).filter_map(|(lane, cost)| {
            let mut cost = cost?;
            // Pieces of the lowest size; without a choice the line may lie in several sizes all the same.
            let price = by_piece::pipe_cost(self.network.inputs.plan, &lane.block.pipe);
            cost.add(price - length_m * self.weights().pipe_per_m(lane.size_m));
            if is_chosen {
                let step = Step { from_m: 0.0, size_m: lane.size_m };
                cost = cost.noted(|link| Some(Rc::new(Chosen::Size(run.id, step, link))));
            }
            Some((lane.block.pipe[0].size_m, cost))
        });
        done.collect()
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
                let size = |(size_m, _): &(f64, Envelope)| index(*size_m);
                let (least, most) = (branch.ways.iter().map(size).min(), branch.ways.iter().map(size).max());
                span = (span.0.max(least.unwrap_or(0)), span.1.max(most.unwrap_or(0)));
            }
            for (_, size_m) in old.iter().filter(|(at, _)| is_here(*at)) {
                span = (span.0.max(index(*size_m)), span.1.max(index(*size_m)));
            }
            spans[i] = span;
        }
        for i in 1..spans.len() {
            if !self.is_cut(run, i) {
                spans[i] = spans[i - 1];
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
