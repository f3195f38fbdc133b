//! Pipe sizes of lines sized by flow, chosen together with their grade.
//!
//! A steeper line may need smaller pipe, at the price of more digging; and a main that takes in one branch after another needs
//! its full size only at its lower end. First the lines are graded for the smallest pipe and sized, from joint to joint, for
//! the grades found, until nothing changes. From there sizes and levels are searched together ([`crate::stepping`]); what that
//! finds is taken if pipe, reducers and trench together cost less.

use plan::{Joins, Line, LineId, Plan, SizeBy};

use crate::course::SAME_STATION_M;
use crate::levels::{self, Solved};
use crate::line_cache::{AtHand, Reused};
use crate::network::{Inputs, Sizes};
use crate::stepping::Search;
use crate::{Design, Layout, Steps, by_piece, course, pipe};

/// At most so many rounds of sizing and grading.
const ROUNDS: usize = 8;
/// What a choice at one station may be too dear, as a share of the whole cost (own choice: what it adds up to is told as
/// [`SizeGap`]).
const ALLOWANCE: f64 = 1e-5;

/// Sizes and the levels found for them.
pub(crate) struct Sized<'a> {
    pub sizes: Sizes,
    pub solved: Solved<'a>,
}

impl Sized<'_> {
    /// Cost of digging, pipe and what is bought by the piece for it, at the plan's cost weights.
    pub fn cost(&self) -> f64 {
        let network = &self.solved.network;
        let pipe = network.runs.iter().map(|run| by_piece::pipe_cost(network.inputs.plan, &run.block.pipe));
        self.solved.cost() + pipe.sum::<f64>()
    }
}

/// How near the sizes chosen are to the best there are, at the plan's cost weights and without what is settled afterwards:
/// utilities, crossings, even grades.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeGap {
    /// Cost of pipe, reducers, outlet pipe and digging as chosen.
    pub cost: f64,
    /// No sizes cost less.
    pub least: f64,
    /// The cost with one size from end to end of each line that is sized by its flow.
    pub one_size: f64,
}

impl SizeGap {
    /// What better sizes could save at most, as a share of the cost.
    pub fn share(&self) -> f64 {
        ((self.cost - self.least) / self.cost.max(f64::MIN_POSITIVE)).max(0.0)
    }
}

/// The gap between the sizes chosen and a lower bound; `None` if no levels satisfy every limit.
pub fn size_gap(plan: &Plan, layout: &Layout) -> Option<SizeGap> {
    let known = AtHand::of(Reused::default(), plan, layout);
    let inputs = Inputs { is_tight: false, ..Inputs::of(plan, layout, &known) };
    let chosen = choose(inputs);
    if !chosen.solved.is_held {
        return None;
    }
    let allowance = ALLOWANCE * chosen.cost();
    let least = Search { network: &chosen.solved.network, allowance }.run().least;
    let (cost, one_size) = (chosen.cost(), one_size(inputs).cost());
    Some(SizeGap { cost, least: least.min(cost), one_size })
}

/// The cheapest sizes and levels found; never dearer than one size a line. Span constraints are left out: they matter less than
/// a pipe size.
pub(crate) fn choose<'a>(inputs: Inputs<'a>) -> Sized<'a> {
    let stepping = chosen(inputs);
    let has_steps = stepping.sizes.values().any(|steps| steps.all().len() > 1);
    if !has_steps || !stepping.solved.is_held {
        return stepping;
    }
    let one_size = one_size(inputs);
    if one_size.solved.is_held && one_size.cost() < stepping.cost() { one_size } else { stepping }
}

/// The levels for the sizes of another design; `None` if they do not carry the flow or no levels hold every limit, and where the
/// flow asks for the least sizes only, which costs nothing to find.
pub(crate) fn holding<'a>(inputs: Inputs<'a>, other: &Design) -> Option<Sized<'a>> {
    let inputs = Inputs { must_carry: true, is_tight: false, ..inputs };
    if !has_to_size(inputs) {
        return None;
    }
    let mut sizes = least_sizes(inputs);
    for (id, steps) in sizes.iter_mut().filter(|(id, _)| follows_flow(&inputs.plan.lines[id])) {
        if let Some(worked) = other.lines.get(id) {
            *steps = moved(inputs, *id, &worked.steps);
        }
    }
    never_smaller_downstream(inputs, &mut sizes);
    let solved = levels::held(inputs, &sizes)?;
    (needed_sizes(&solved, &sizes) == sizes).then_some(Sized { sizes, solved })
}

/// Steps moved to the nearest stations at which a line may change its size.
fn moved(inputs: Inputs, id: LineId, steps: &Steps) -> Steps {
    let stations = inputs.layout.courses[&id].stations.iter().enumerate();
    let cuts: Vec<f64> = stations.filter(|(i, _)| may_step(inputs, id, *i)).map(|(_, at)| at.station_m).collect();
    let mut moved = Steps::one(steps.lowest_m());
    for step in steps.all().iter().skip(1) {
        let near = cuts.iter().min_by(|a, b| (*a - step.from_m).abs().total_cmp(&(*b - step.from_m).abs()));
        near.into_iter().for_each(|from_m| moved.set_above(*from_m, step.size_m));
    }
    moved
}

/// The cheapest sizes and levels found where no line changes its size.
fn one_size<'a>(inputs: Inputs<'a>) -> Sized<'a> {
    chosen(Inputs { may_step: false, ..inputs })
}

/// The cheapest sizes and levels found; never dearer than [`grade_first`].
fn chosen<'a>(inputs: Inputs<'a>) -> Sized<'a> {
    let inputs = Inputs { must_carry: true, is_tight: false, ..inputs };
    let first = grade_first(inputs);
    if !first.solved.is_held {
        return first;
    }
    match together(inputs, &first) {
        Some(better) if better.cost() < first.cost() => better,
        _ => first,
    }
}

/// Sizes and levels searched together, from sizes that carry the flow.
fn together<'a>(inputs: Inputs<'a>, first: &Sized) -> Option<Sized<'a>> {
    if !has_to_size(inputs) {
        return None;
    }
    let sizes = Search { network: &first.solved.network, allowance: ALLOWANCE * first.cost() }.run().sizes?;
    let solved = levels::held(inputs, &sizes)?;
    // With given levels no grade may carry the flow.
    (needed_sizes(&solved, &sizes) == sizes).then_some(Sized { sizes, solved })
}

/// True if the flow of some line asks for more than its least size.
fn has_to_size(inputs: Inputs) -> bool {
    inputs.lines.iter().any(|id| {
        let line = &inputs.plan.lines[id];
        let least_m = inputs.plan.starts().least_size_m(line.kind);
        let n = inputs.plan.criteria.roughness_n(line, least_m, line.wall);
        let flattest = hydraulics::grade_for_velocity(n, least_m, inputs.plan.criteria.clean_velocity_ms);
        let flow = &inputs.layout.flows[id];
        follows_flow(line) && !carries(n, least_m, flattest, flow.required_m3s() / flow.even_factor)
    })
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

/// True for new lines whose size is chosen by their flow.
pub(crate) fn follows_flow(line: &Line) -> bool {
    !line.kind.is_old() && line.size_by.is_flow()
}

/// True if a line may change its size at a station: where water enters at one place, above the rigid outlet pipe.
pub(crate) fn may_step(inputs: Inputs, id: LineId, i: usize) -> bool {
    let line = &inputs.plan.lines[&id];
    let stations = &inputs.layout.courses[&id].stations;
    let is_inside = inputs.may_step && line.size_by == SizeBy::FlowInSteps && i > 0 && i + 1 < stations.len();
    let enters = inputs.layout.flows[&id].entering_m3s[i] > 0.0;
    let stick_m = course::outlet_pipe_m(inputs.plan, line);
    is_inside && enters && stations[i].station_m >= stick_m - SAME_STATION_M
}

/// Sizes given by hand, and the least size for all others.
fn least_sizes(inputs: Inputs) -> Sizes {
    let new = inputs.plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    let least =
        |line: &Line| if follows_flow(line) { inputs.plan.starts().least_size_m(line.kind) } else { line.size_m };
    let mut sizes: Sizes = new.map(|(id, line)| (*id, Steps::one(least(line)))).collect();
    never_smaller_downstream(inputs, &mut sizes);
    sizes
}

/// Enlarges lines sized by flow, below each joint, to the pipe that drains into them; branches come before the line they join.
fn never_smaller_downstream(inputs: Inputs, sizes: &mut Sizes) {
    for id in inputs.lines.iter().rev() {
        let line = &inputs.plan.lines[id];
        if follows_flow(line) {
            for (from_m, size_m) in line.stretches.iter().filter_map(|laid| Some((laid.from_m, laid.size_m?))) {
                widen(sizes, id, from_m, size_m);
            }
        }
        let (Joins::Line(main), Some(joint)) = (line.joins, inputs.layout.joint(*id)) else { continue };
        if !follows_flow(&inputs.plan.lines[&main]) {
            continue;
        }
        // Old tile counts like new pipe.
        let size_m = sizes.get(id).map_or(line.size_m, |steps| steps.lowest_m());
        let at = course::nearest_station(&inputs.layout.courses[&main].stations, joint.station_m);
        let to_m = step_above_m(inputs, main, at);
        widen(sizes, &main, to_m, size_m);
    }
}

/// Makes a line no smaller than a size below a station, metres.
fn widen(sizes: &mut Sizes, id: &LineId, to_m: f64, size_m: f64) {
    if let Some(steps) = sizes.get_mut(id) {
        steps.widen_below(to_m, size_m);
    }
}

/// The lowest station from station `i` up at which a line may change its size, metres; infinite if there is none.
fn step_above_m(inputs: Inputs, id: LineId, i: usize) -> f64 {
    let stations = &inputs.layout.courses[&id].stations;
    let above = (i.max(1)..stations.len()).find(|i| may_step(inputs, id, *i));
    above.map_or(f64::INFINITY, |i| stations[i].station_m)
}

/// The sizes needed at the grades found; none smaller than now.
pub(crate) fn needed_sizes(solved: &Solved, sizes: &Sizes) -> Sizes {
    let inputs = solved.network.inputs;
    let mut needed = sizes.clone();
    for run in solved.network.runs.iter().filter(|run| follows_flow(&inputs.plan.lines[&run.id])) {
        let line = &inputs.plan.lines[&run.id];
        let (flow, stations) = (&inputs.layout.flows[&run.id], &inputs.layout.courses[&run.id].stations);
        let levels = &solved.levels[run.first..run.first + run.count];
        let mut steps = run.steps.clone();
        for i in (0..run.count.saturating_sub(1)).filter(|i| !has_own_size(line, stations[*i].station_m)) {
            let grade = (levels[i + 1] - levels[i]) / (stations[i + 1].station_m - stations[i].station_m);
            let wall = pipe::above(&run.block.pipe, stations[i].station_m).wall;
            let now_m = steps.above_m(stations[i].station_m);
            let mut size_m = now_m;
            let n = |size_m: f64| inputs.plan.criteria.roughness_n(line, size_m, wall);
            while !carries(n(size_m), size_m, grade, flow.through_m3s[i] / flow.even_factor) {
                let Some(larger) = inputs.plan.cost_weights.next_larger(size_m) else { break };
                size_m = larger;
            }
            if size_m > now_m {
                steps.widen_below(step_above_m(inputs, run.id, i + 1), size_m);
            }
        }
        needed.insert(run.id, steps);
    }
    never_smaller_downstream(inputs, &mut needed);
    needed
}

fn carries(n: f64, size_m: f64, grade: f64, flow_m3s: f64) -> bool {
    hydraulics::full_capacity_m3s(n, size_m, grade) >= flow_m3s * (1.0 - 1e-9)
}

/// True where the pipe above a station is of a stretch that has its own size.
fn has_own_size(line: &Line, station_m: f64) -> bool {
    let is_here =
        |laid: &plan::Stretch| laid.from_m <= station_m + SAME_STATION_M && station_m + SAME_STATION_M < laid.to_m;
    line.stretches.iter().any(|laid| laid.size_m.is_some() && is_here(laid))
}

#[cfg(test)]
mod tests {
    use measure::{Point, Units};
    use plan::{LineKind, Outlet};
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
        (joint.cost(), first.cost(), joint.sizes.values().next().map_or(0.0, Steps::lowest_m))
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
