//! Cache of the problems of single lines: if neither a line nor its ground, its flow and the plan's limits have changed, its
//! part of the network's problem is reused.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use plan::{Brief, CostWeights, Criteria, Hold, Line, LineId, Plan};

use crate::clash::Flattest;
use crate::cost_cache::CostCache;
use crate::course::{self, Course};
use crate::line_problem::LineProblem;
use crate::network::{Clear, Inputs, Start};
use crate::passing::Passed;
use crate::water::LineFlow;
use crate::{Layout, Pipe, Steps, Tree, WantedRise};

/// Variants kept for each line: one plan asks for several, by size and limits.
const KEPT: usize = 24;

/// The problem of one line by itself, ready to be added to a network.
#[derive(Debug)]
pub(crate) struct LineBlock {
    /// Equal for variants of the line with equal ties, costs and wanted rises.
    pub number: u64,
    /// Its stations; the first depends on nothing here.
    pub tree: Tree,
    /// Cost of each station at its wanted depth; the tree's costs are relative to that.
    pub base: Vec<f64>,
    /// Its pipe. The levels are those of its guide ([`Pipe::over_guide_m`]).
    pub pipe: Vec<Pipe>,
    /// Flattest grade at which the full pipe keeps itself clean, as a ratio.
    pub clean_grade: f64,
    /// Given levels, by station.
    pub levels: Vec<Option<f64>>,
    /// Stations at which a person locked the level.
    pub pinned: Vec<bool>,
    /// Least and greatest rise above each station but the last, metres.
    rises: Vec<(f64, f64)>,
    /// Rise wanted above each station but the last so that the pipe carries its flow or its silt.
    pub wanted: Vec<Option<WantedRise>>,
    /// What determines the least grade above each station but the last.
    pub least_by: Vec<Flattest>,
    /// True for a line whose given level at the joint does not fit it.
    pub misses_joint: bool,
    is_loose: bool,
}

/// What a line's problem depends on besides the line itself.
#[derive(Debug, Clone, PartialEq)]
struct Variant {
    steps: Steps,
    start_m: Option<f64>,
    is_loose: bool,
    must_carry: bool,
    least_even: f64,
    clear: Vec<Clear>,
    passed: Vec<Passed>,
}

impl Variant {
    fn of(inputs: &Inputs, id: LineId, steps: &Steps, start: &Start, is_loose: bool) -> Self {
        Self {
            steps: steps.clone(),
            start_m: if let Start::Level(level_m) = start { Some(*level_m) } else { None },
            is_loose,
            must_carry: inputs.must_carry,
            least_even: if inputs.flat.contains(&id) { 0.0 } else { inputs.least_even },
            clear: inputs.clear.iter().filter(|clear| clear.line == id).copied().collect(),
            passed: inputs.passed.iter().filter(|passed| passed.line == id).copied().collect(),
        }
    }

    /// True if two variants differ in rises and given levels at most.
    fn has_the_same_limits(&self, other: &Self) -> bool {
        self.steps == other.steps && self.clear == other.clear && self.passed == other.passed
    }
}

/// Everything about a line that its problem depends on.
#[derive(Debug, Clone)]
struct Content {
    line: Line,
    course: Course,
    flow: LineFlow,
    outlet_pipe_m: f64,
    tight_m: Vec<Option<f64>>,
}

impl Content {
    fn of(plan: &Plan, layout: &Layout, id: LineId, line: &Line) -> Self {
        let (course, flow) = (layout.courses[&id].clone(), layout.flows[&id].clone());
        let tight_m = tight_m(plan, line, &course);
        Self { line: line.clone(), outlet_pipe_m: course::outlet_pipe_m(plan, line), tight_m, course, flow }
    }

    /// True for the same line on the same ground; its flow may differ.
    fn lies_as(&self, plan: &Plan, layout: &Layout, id: LineId, line: &Line) -> bool {
        let course = &layout.courses[&id];
        Arc::ptr_eq(&self.course.ground, &course.ground)
            && Arc::ptr_eq(&self.course.spans, &course.spans)
            && self.course.stations == course.stations
            && self.line == *line
            && self.outlet_pipe_m == course::outlet_pipe_m(plan, line)
            && self.tight_m == tight_m(plan, line, course)
    }
}

/// Depth of the tight layer at each station of a line that follows it somewhere, metres.
fn tight_m(plan: &Plan, line: &Line, course: &Course) -> Vec<Option<f64>> {
    let follows = line.reaches.iter().any(|reach| matches!(reach.hold, Hold::IntoLayer(_)));
    let stations = if follows { &course.stations[..] } else { &[] };
    stations.iter().map(|station| plan.pit_near(station.at)?.tight_m).collect()
}

#[derive(Debug, Clone)]
struct CachedLine {
    content: Content,
    /// The block asked for last comes first.
    blocks: Vec<KnownBlock>,
}

/// A variant and its problem.
#[derive(Debug, Clone)]
struct KnownBlock {
    variant: Variant,
    block: Arc<LineBlock>,
    /// True once the flow has changed: the block is reused only if its rises come out the same.
    is_stale: bool,
}

/// Blocks of all lines.
#[derive(Debug, Clone, Default)]
pub(crate) struct LineBlocks {
    whole: Option<(Criteria, Brief, CostWeights)>,
    lines: BTreeMap<LineId, CachedLine>,
    next: u64,
}

impl LineBlocks {
    /// Drops what no longer applies to a plan.
    fn hold(&mut self, plan: &Plan, layout: &Layout) {
        let is_whole = |(criteria, brief, prices): &(Criteria, Brief, CostWeights)| {
            *criteria == plan.criteria && *brief == plan.brief && *prices == plan.cost_weights
        };
        if !self.whole.as_ref().is_some_and(is_whole) {
            self.lines.clear();
            self.whole = Some((plan.criteria.clone(), plan.brief.clone(), plan.cost_weights.clone()));
        }
        self.lines.retain(|id, known| {
            let now = plan.lines.get(id).filter(|line| !line.kind.is_old());
            now.is_some_and(|line| known.content.lies_as(plan, layout, *id, line))
        });
        for (id, known) in &mut self.lines {
            let flow = &layout.flows[id];
            if known.content.flow != *flow {
                known.content.flow.clone_from(flow);
                known.blocks.iter_mut().for_each(|known| known.is_stale = true);
            }
        }
        for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
            let new = || CachedLine { content: Content::of(plan, layout, *id, line), blocks: Vec::new() };
            self.lines.entry(*id).or_insert_with(new);
        }
    }

    /// The block of a line for given size, start and limits.
    pub fn of(&mut self, inputs: Inputs, id: LineId, steps: &Steps, start: &Start, is_loose: bool) -> Arc<LineBlock> {
        let variant = Variant::of(&inputs, id, steps, start, is_loose);
        let known = self.lines.get_mut(&id).map(|line| &mut line.blocks);
        if let Some(blocks) = known
            && let Some(at) = blocks.iter().position(|known| !known.is_stale && known.variant == variant)
        {
            blocks[..=at].rotate_right(1);
            return blocks[0].block.clone();
        }
        let problem = LineProblem::of(inputs, id, &inputs.plan.lines[&id], steps, start, is_loose);
        let blocks = self.lines.get(&id).map_or(&[][..], |line| &line.blocks);
        let same =
            blocks.iter().find(|known| known.variant.has_the_same_limits(&variant) && known.block.is(&problem));
        let block = match same {
            Some(known) => known.block.clone(),
            None => {
                let mut block = LineBlock::of(&problem, self.next, is_loose);
                match blocks.iter().find(|known| known.block.tree.costs_as(&block.tree)) {
                    Some(known) => block.number = known.block.number,
                    None => self.next += 1,
                }
                Arc::new(block)
            }
        };
        if let Some(line) = self.lines.get_mut(&id) {
            line.blocks.retain(|known| known.variant != variant);
            line.blocks.truncate(KEPT - 1);
            line.blocks.insert(0, KnownBlock { variant, block: block.clone(), is_stale: false });
        }
        block
    }
}

impl LineBlock {
    fn of(problem: &LineProblem, number: u64, is_loose: bool) -> Self {
        let (mut tree, mut base) = (Tree::default(), Vec::with_capacity(problem.levels.len()));
        let (mut hinges, mut wanted, mut between) = (Vec::new(), Vec::new(), Vec::new());
        for i in 0..problem.levels.len() {
            base.push(problem.costs(i, &mut hinges));
            tree.push((i > 0).then(|| problem.tie(i, 0)), problem.bounds(i), &hinges);
            if i > 0 && problem.straight_to.is_none_or(|(to, _)| i > to) && !problem.open[i - 1] {
                problem.wanted_rises(i - 1, &mut wanted);
                tree.want(wanted.iter().copied());
            }
            if i > 0 {
                problem.between(i - 1, &mut between);
                tree.constrain(between.iter().copied());
            }
        }
        Self {
            number,
            tree,
            base,
            pipe: problem.pipe.clone(),
            clean_grade: problem.clean_grade,
            levels: problem.levels.clone(),
            pinned: problem.pinned.clone(),
            rises: problem.rises.clone(),
            wanted: problem.wanted.clone(),
            least_by: problem.least_by.clone(),
            misses_joint: problem.misses_joint,
            is_loose,
        }
    }

    /// True for equal rises and levels; everything else follows from these.
    fn is(&self, problem: &LineProblem) -> bool {
        self.is_loose == problem.is_loose
            && self.rises == problem.rises
            && self.levels == problem.levels
            && self.wanted == problem.wanted
            && self.least_by == problem.least_by
            && self.pinned == problem.pinned
    }
}

/// What one call of [`crate::grade`] leaves to the next; it changes nothing but the time taken.
#[derive(Debug, Clone, Default)]
pub(crate) struct Reused {
    blocks: LineBlocks,
    costs: CostCache,
    trees: Trees,
}

/// Trees kept for their allocated memory; a copy has none.
#[derive(Debug, Default)]
struct Trees(Vec<Tree>);

impl Clone for Trees {
    fn clone(&self) -> Self {
        Self::default()
    }
}

/// The same while a plan is graded.
#[derive(Debug, Default)]
pub(crate) struct AtHand {
    pub blocks: RefCell<LineBlocks>,
    pub costs: RefCell<CostCache>,
    /// Trees kept for their allocated memory.
    pub trees: RefCell<Vec<Tree>>,
}

impl AtHand {
    /// What still applies to a plan.
    pub fn of(mut reused: Reused, plan: &Plan, layout: &Layout) -> Self {
        reused.blocks.hold(plan, layout);
        Self { blocks: reused.blocks.into(), costs: reused.costs.into(), trees: reused.trees.0.into() }
    }

    /// What is left to the next call.
    pub fn leave(self) -> Reused {
        let mut costs = self.costs.into_inner();
        costs.forget_unused();
        Reused { blocks: self.blocks.into_inner(), costs, trees: Trees(self.trees.into_inner()) }
    }
}
