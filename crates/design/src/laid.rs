//! Lines as they were laid before: where neither a line nor its ground, its water and the plan's limits have changed, its
//! part of the network is the same.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use plan::{Brief, Criteria, Hold, Line, LineId, Plan, Prices};

use crate::clash::Flattest;
use crate::course::{self, Course};
use crate::known::KnownLines;
use crate::laying::Laying;
use crate::network::{Basis, Clear, Start};
use crate::passing::Passed;
use crate::water::LineFlow;
use crate::{Layout, Missing, Pipe, Tree};

/// Ways of laying kept of each line: one plan asks for some, by sizes and limits.
const KEPT: usize = 12;

/// A line by itself, as the network takes it.
#[derive(Debug)]
pub(crate) struct Laid {
    /// Shared with other ways of laying the line that have the same ties, costs and wishes.
    pub number: u64,
    /// Its stations; the first hangs on nothing here.
    pub tree: Tree,
    /// What each station costs at its wanted depth; the tree's costs count from there.
    pub base: Vec<f64>,
    /// Its pipe. The levels are those of its guide ([`Pipe::over_guide_m`]).
    pub pipe: Vec<Pipe>,
    /// Flattest grade at which the full pipe keeps itself clean, as a ratio.
    pub clean_grade: f64,
    /// Levels that are given, by station.
    pub levels: Vec<Option<f64>>,
    /// Stations at which a person fixed the level.
    pub pinned: Vec<bool>,
    /// Least and greatest rise above each station but the last, metres.
    rises: Vec<(f64, f64)>,
    /// Rise wished for above each station but the last so that it carries its water or its silt.
    pub wishes: Vec<Option<Missing>>,
    /// What sets the flattest grade above each station but the last.
    pub least_by: Vec<Flattest>,
    /// True for a line that is fixed at the joint itself, and misses it.
    pub misses_joint: bool,
    is_loose: bool,
}

/// How a line is laid, beside what it is.
#[derive(Debug, Clone, PartialEq)]
struct Manner {
    size_m: f64,
    start_m: Option<f64>,
    is_loose: bool,
    must_carry: bool,
    least_even: f64,
    clear: Vec<Clear>,
    passed: Vec<Passed>,
}

impl Manner {
    fn of(basis: &Basis, id: LineId, size_m: f64, start: &Start, is_loose: bool) -> Self {
        Self {
            size_m,
            start_m: if let Start::Level(level_m) = start { Some(*level_m) } else { None },
            is_loose,
            must_carry: basis.must_carry,
            least_even: if basis.flat.contains(&id) { 0.0 } else { basis.least_even },
            clear: basis.clear.iter().filter(|clear| clear.line == id).copied().collect(),
            passed: basis.passed.iter().filter(|passed| passed.line == id).copied().collect(),
        }
    }

    /// True where what is laid differs by rises and levels at most.
    fn meets_the_same(&self, other: &Self) -> bool {
        self.size_m == other.size_m && self.clear == other.clear && self.passed == other.passed
    }
}

/// All that a line is, apart from what holds for the whole plan.
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

    /// True for the same line but for the water it carries.
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
struct LaidLine {
    content: Content,
    /// The way asked for last is the first.
    ways: Vec<Way>,
}

/// A way in which a line was laid.
#[derive(Debug, Clone)]
struct Way {
    manner: Manner,
    laid: Arc<Laid>,
    /// True once the line carries other water: what is laid is the same only where the water turns out not to matter.
    is_stale: bool,
}

/// Lines as they were laid.
#[derive(Debug, Clone, Default)]
pub(crate) struct LaidLines {
    whole: Option<(Criteria, Brief, Prices)>,
    lines: BTreeMap<LineId, LaidLine>,
    next: u64,
}

impl LaidLines {
    /// Forgets what is no longer as it was, before the lines of a plan are laid.
    fn hold(&mut self, plan: &Plan, layout: &Layout) {
        let is_whole = |(criteria, brief, prices): &(Criteria, Brief, Prices)| {
            *criteria == plan.criteria && *brief == plan.brief && *prices == plan.prices
        };
        if !self.whole.as_ref().is_some_and(is_whole) {
            self.lines.clear();
            self.whole = Some((plan.criteria.clone(), plan.brief.clone(), plan.prices.clone()));
        }
        self.lines.retain(|id, known| {
            let now = plan.lines.get(id).filter(|line| !line.kind.is_old());
            now.is_some_and(|line| known.content.lies_as(plan, layout, *id, line))
        });
        for (id, known) in &mut self.lines {
            let flow = &layout.flows[id];
            if known.content.flow != *flow {
                known.content.flow.clone_from(flow);
                known.ways.iter_mut().for_each(|way| way.is_stale = true);
            }
        }
        for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
            let new = || LaidLine { content: Content::of(plan, layout, *id, line), ways: Vec::new() };
            self.lines.entry(*id).or_insert_with(new);
        }
    }

    /// A line of a plan, laid so.
    pub fn of(&mut self, basis: Basis, id: LineId, size_m: f64, start: &Start, is_loose: bool) -> Arc<Laid> {
        let manner = Manner::of(&basis, id, size_m, start, is_loose);
        let known = self.lines.get_mut(&id).map(|line| &mut line.ways);
        if let Some(ways) = known
            && let Some(at) = ways.iter().position(|way| !way.is_stale && way.manner == manner)
        {
            ways[..=at].rotate_right(1);
            return ways[0].laid.clone();
        }
        let laying = Laying::of(basis, id, &basis.plan.lines[&id], size_m, start, is_loose);
        let ways = self.lines.get(&id).map_or(&[][..], |line| &line.ways);
        let same = ways.iter().find(|way| way.manner.meets_the_same(&manner) && way.laid.is(&laying));
        let laid = match same {
            Some(way) => way.laid.clone(),
            None => {
                let mut laid = Laid::of(&laying, self.next, is_loose);
                match ways.iter().find(|way| way.laid.tree.costs_as(&laid.tree)) {
                    Some(way) => laid.number = way.laid.number,
                    None => self.next += 1,
                }
                Arc::new(laid)
            }
        };
        if let Some(line) = self.lines.get_mut(&id) {
            line.ways.retain(|way| way.manner != manner);
            line.ways.truncate(KEPT - 1);
            line.ways.insert(0, Way { manner, laid: laid.clone(), is_stale: false });
        }
        laid
    }
}

impl Laid {
    fn of(laying: &Laying, number: u64, is_loose: bool) -> Self {
        let (mut tree, mut base) = (Tree::default(), Vec::with_capacity(laying.levels.len()));
        let (mut slopes, mut wishes, mut between) = (Vec::new(), Vec::new(), Vec::new());
        for i in 0..laying.levels.len() {
            base.push(laying.costs(i, &mut slopes));
            tree.push((i > 0).then(|| laying.tie(i, 0)), laying.bounds(i), &slopes);
            if i > 0 && laying.straight_to.is_none_or(|(to, _)| i > to) && !laying.open[i - 1] {
                laying.wishes(i - 1, &mut wishes);
                tree.wish(wishes.iter().copied());
            }
            if i > 0 {
                laying.between(i - 1, &mut between);
                tree.limit(between.iter().copied());
            }
        }
        Self {
            number,
            tree,
            base,
            pipe: laying.pipe.clone(),
            clean_grade: laying.clean_grade,
            levels: laying.levels.clone(),
            pinned: laying.pinned.clone(),
            rises: laying.rises.clone(),
            wishes: laying.wishes.clone(),
            least_by: laying.least_by.clone(),
            misses_joint: laying.misses_joint,
            is_loose,
        }
    }

    /// True for the same rises and levels; the rest follows from these.
    fn is(&self, laying: &Laying) -> bool {
        self.is_loose == laying.is_loose
            && self.rises == laying.rises
            && self.levels == laying.levels
            && self.wishes == laying.wishes
            && self.least_by == laying.least_by
            && self.pinned == laying.pinned
    }
}

/// What one working-out leaves to the next; it changes nothing but the time that takes.
#[derive(Debug, Clone, Default)]
pub(crate) struct Reused {
    laid: LaidLines,
    costs: KnownLines,
    trees: Trees,
}

/// Trees that are no longer needed: their room is. A copy has none.
#[derive(Debug, Default)]
struct Trees(Vec<Tree>);

impl Clone for Trees {
    fn clone(&self) -> Self {
        Self::default()
    }
}

/// The same at hand while a plan is graded.
#[derive(Debug, Default)]
pub(crate) struct AtHand {
    pub laid: RefCell<LaidLines>,
    pub costs: RefCell<KnownLines>,
    /// Trees that are no longer needed.
    pub trees: RefCell<Vec<Tree>>,
}

impl AtHand {
    /// What still holds for a plan.
    pub fn of(mut reused: Reused, plan: &Plan, layout: &Layout) -> Self {
        reused.laid.hold(plan, layout);
        Self { laid: reused.laid.into(), costs: reused.costs.into(), trees: reused.trees.0.into() }
    }

    /// What is left to the next time: what was asked for.
    pub fn leave(self) -> Reused {
        let mut costs = self.costs.into_inner();
        costs.forget_unused();
        Reused { laid: self.laid.into_inner(), costs, trees: Trees(self.trees.into_inner()) }
    }
}
