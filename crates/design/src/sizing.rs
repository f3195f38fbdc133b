//! Pipe sizes of lines sized by flow, chosen together with their grade.
//!
//! A steeper line may need smaller pipe, at the price of more digging. First the lines are graded for the smallest pipe and
//! sized for the grades found, until nothing changes. Then each line is tried one size smaller, with the grade that this
//! needs as a limit; the smaller size is kept if pipe and trench together cost less.

use plan::{Joins, Line, LineId, SizeBy};

use crate::course::SAME_STATION_M;
use crate::levels::{self, Solved};
use crate::network::{Inputs, Sizes};

/// At most so many rounds of sizing and grading.
const ROUNDS: usize = 8;

/// Sizes and the levels found for them.
pub(crate) struct Sized<'a> {
    pub sizes: Sizes,
    pub solved: Solved<'a>,
}

impl Sized<'_> {
    /// Cost of digging and pipe at the plan's cost weights.
    pub fn cost(&self) -> f64 {
        let inputs = self.solved.network.inputs;
        let pipe = self
            .sizes
            .iter()
            .map(|(id, size_m)| inputs.plan.cost_weights.pipe_per_m(*size_m) * own_length_m(inputs, *id));
        self.solved.cost() + pipe.sum::<f64>()
    }
}

/// The cheapest sizes and levels found; never dearer than [`grade_first`]. Span constraints are left out: they matter less
/// than a pipe size.
pub(crate) fn choose<'a>(inputs: Inputs<'a>) -> Sized<'a> {
    let inputs = Inputs { must_carry: true, is_tight: false, ..inputs };
    let mut best = grade_first(inputs);
    if !best.solved.is_held {
        return best;
    }
    let mut cost = best.cost();
    for id in inputs.lines.iter().filter(|id| follows_flow(&inputs.plan.lines[id])) {
        while let Some(smaller) = smaller(inputs, &best.sizes, *id) {
            let Some(solved) = levels::held(inputs, &smaller) else { break };
            if needed_sizes(&solved, &smaller) != smaller {
                // With the given levels no grade would carry the flow.
                break;
            }
            let tried = Sized { sizes: smaller, solved };
            let tried_cost = tried.cost();
            if tried_cost >= cost {
                break;
            }
            (best, cost) = (tried, tried_cost);
        }
    }
    best
}

/// Grades first, then sizes for those grades, until both agree.
pub(crate) fn grade_first<'a>(inputs: Inputs<'a>) -> Sized<'a> {
    let free = Inputs { must_carry: false, ..inputs };
    let mut sizes = least_sizes(inputs);
    for _ in 0..ROUNDS {
        let solved = levels::solve(free, &sizes);
        let needed = needed_sizes(&solved, &sizes);
        if needed == sizes {
            let solved = levels::under(inputs, &sizes, solved);
            return Sized { sizes, solved };
        }
        sizes = needed;
    }
    let solved = levels::solve(inputs, &sizes);
    Sized { sizes, solved }
}

fn follows_flow(line: &Line) -> bool {
    !line.kind.is_old() && line.size_by == SizeBy::Flow
}

/// Sizes given by hand, and the least size for all others.
fn least_sizes(inputs: Inputs) -> Sizes {
    let new = inputs.plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    let least =
        |line: &Line| if follows_flow(line) { inputs.plan.starts().least_size_m(line.kind) } else { line.size_m };
    let mut sizes: Sizes = new.map(|(id, line)| (*id, least(line))).collect();
    never_smaller_downstream(inputs, &mut sizes);
    sizes
}

/// Enlarges lines sized by flow to the largest pipe that drains into them; branches come before the line they join.
fn never_smaller_downstream(inputs: Inputs, sizes: &mut Sizes) {
    for id in inputs.lines.iter().rev() {
        let Joins::Line(main) = inputs.plan.lines[id].joins else { continue };
        if !follows_flow(&inputs.plan.lines[&main]) {
            continue;
        }
        // Old tile counts like new pipe.
        let size_m = sizes.get(id).copied().unwrap_or(inputs.plan.lines[id].size_m);
        if let Some(main_m) = sizes.get_mut(&main) {
            *main_m = main_m.max(size_m);
        }
    }
}

/// The sizes needed at the grades found; none smaller than now.
pub(crate) fn needed_sizes(solved: &Solved, sizes: &Sizes) -> Sizes {
    let inputs = solved.network.inputs;
    let mut needed = sizes.clone();
    for run in &solved.network.runs {
        let line = &inputs.plan.lines[&run.id];
        if !follows_flow(line) {
            continue;
        }
        let (flow, stations) = (&inputs.layout.flows[&run.id], &inputs.layout.courses[&run.id].stations);
        let levels = &solved.levels[run.first..run.first + run.count];
        let mut size_m = run.size_m;
        for i in (0..run.count.saturating_sub(1)).filter(|i| !has_own_size(line, stations[*i].station_m)) {
            let grade = (levels[i + 1] - levels[i]) / (stations[i + 1].station_m - stations[i].station_m);
            while !carries(inputs, line, size_m, grade, flow.through_m3s[i] / flow.even_factor) {
                let Some(larger) = next_stocked(inputs, size_m) else { break };
                size_m = larger;
            }
        }
        needed.insert(run.id, size_m);
    }
    never_smaller_downstream(inputs, &mut needed);
    needed
}

fn carries(inputs: Inputs, line: &Line, size_m: f64, grade: f64, flow_m3s: f64) -> bool {
    let n = inputs.plan.criteria.roughness_n(line, size_m, line.wall);
    hydraulics::full_capacity_m3s(n, size_m, grade) >= flow_m3s * (1.0 - 1e-9)
}

/// True where the pipe above a station is of a stretch that has its own size.
fn has_own_size(line: &Line, station_m: f64) -> bool {
    let is_here =
        |laid: &plan::Stretch| laid.from_m <= station_m + SAME_STATION_M && station_m + SAME_STATION_M < laid.to_m;
    line.stretches.iter().any(|laid| laid.size_m.is_some() && is_here(laid))
}

/// Length of a line without the stretches that have their own size, metres: the price of these no choice of size changes.
fn own_length_m(inputs: Inputs, id: plan::LineId) -> f64 {
    let own = inputs.plan.lines[&id].stretches.iter().filter(|laid| laid.size_m.is_some());
    inputs.layout.courses[&id].length_m - own.map(|laid| laid.to_m - laid.from_m).sum::<f64>()
}

fn next_stocked(inputs: Inputs, size_m: f64) -> Option<f64> {
    inputs.plan.cost_weights.pipe.iter().map(|pipe| pipe.size_m).find(|stocked| *stocked > size_m * 1.001)
}

/// The same sizes with one line one size smaller; `None` if it has the least size, if a larger pipe drains into it, or if it
/// would need more than the steepest grade.
fn smaller(inputs: Inputs, sizes: &Sizes, id: LineId) -> Option<Sizes> {
    let line = &inputs.plan.lines[&id];
    let stocked = inputs.plan.cost_weights.pipe.iter().rev().map(|pipe| pipe.size_m);
    let size_m = stocked.into_iter().find(|stocked| *stocked < sizes[&id] * 0.999)?;
    let size_of = |branch: LineId, line: &Line| sizes.get(&branch).copied().unwrap_or(line.size_m);
    let widest = inputs.plan.branches(id).map(|(branch, line)| size_of(branch, line)).fold(0.0, f64::max);
    let flow = &inputs.layout.flows[&id];
    let carried = flow.required_m3s() / flow.even_factor;
    let can = size_m >= inputs.plan.starts().least_size_m(line.kind) * 0.999
        && size_m >= widest * 0.999
        && carries(inputs, line, size_m, inputs.plan.criteria.steepest_grade, carried);
    let mut smaller = sizes.clone();
    smaller.insert(id, size_m);
    can.then_some(smaller)
}

#[cfg(test)]
mod tests {
    use measure::{Point, Units};
    use plan::{LineKind, Outlet, Plan};
    use terrain::{Grid, Ground};

    use super::*;

    /// A slope of some grade across 300 m, and one main down it that brings `area_m2` from its upper end.
    fn costs(slope: f64, area_m2: f64, pipe_dear: f64) -> (f64, f64, f64) {
        let level = |cell: usize| (100.0 + slope * (cell % 160) as f64 * 2.0) as f32;
        let grid = Grid::new((160, 20), (0.0, 40.0), (2.0, 2.0), (0..160 * 20).map(level).collect()).unwrap();
        let ground = Ground::from_grid(grid);
        let mut plan = Plan::new("Main", Units::Metric);
        plan.cost_weights.pipe.iter_mut().for_each(|pipe| pipe.per_m *= pipe_dear);
        let at = Point::new(4.0, 20.0);
        let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 98.9 + slope * 4.0));
        plan.apply(&edit).unwrap();
        let line = Line::new("M1", LineKind::Main, vec![at, Point::new(304.0, 20.0)]);
        let served = plan::Served::Area(area_m2);
        let line = Line { joins: Joins::Outlet(outlet), size_by: SizeBy::Flow, served, ..line };
        plan.apply(&plan::add_line(&plan, line).1).unwrap();
        let layout = crate::lay_out(&plan, &land::Land::from(&ground), &mut crate::Memory::default());
        let known = Default::default();
        let inputs = Inputs { is_tight: false, ..Inputs::of(&plan, &layout, &known) };
        let (joint, first) = (choose(inputs), grade_first(inputs));
        assert!(joint.solved.is_held && first.solved.is_held);
        assert!(joint.solved.network.tree.worst_violation(&joint.solved.levels) < 1e-9);
        (joint.cost(), first.cost(), joint.sizes.values().next().copied().unwrap_or(0.0))
    }

    /// On every network the choice of both together costs no more, and somewhere a steeper main saves a size.
    #[test]
    fn size_and_grade_together_cost_no_more() {
        let mut saved = 0;
        for slope in [0.0008, 0.0012, 0.002, 0.004, 0.01] {
            for hectares in [2.0, 4.0, 7.0, 11.0, 16.0] {
                for dear in [1.0, 10.0, 40.0] {
                    let (joint, first, size_m) = costs(slope, hectares * 1e4, dear);
                    assert!(joint <= first, "{slope} {hectares} ha: {joint}, grade first {first}");
                    assert!(size_m >= 0.12);
                    saved += usize::from(joint < first - 1e-6);
                }
            }
        }
        assert!(saved >= 5, "{saved} of 75");
    }
}
