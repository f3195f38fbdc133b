//! Utilities whose level was exposed: each is passed over or under at its clear distance, whichever is cheaper for the whole
//! network.
//!
//! The choice of sides makes the problem non-convex; it is solved by branch and bound. The optimum without any utility is a
//! lower bound on the cost with some of them on chosen sides, and each chosen side only adds a limit. The branch with the
//! lowest bound is explored first. If its pipe clears every utility it is a solution, otherwise the worst miss is split into
//! over and under. Once no open branch has a lower bound below the best solution, that is the optimum.

use std::collections::BTreeMap;

use plan::{Exposed, LandmarkId, LineId, Plan, Side};

use crate::Pipe;
use crate::clash::{self, Bound, Cause, Clash};
use crate::levels::{self, Solved};
use crate::network::{Inputs, Sizes};
use crate::sizing::{self, Sized};

/// A line that passes a utility whose level was exposed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passed {
    /// The line.
    pub line: LineId,
    /// Where, metres from its downstream end.
    pub station_m: f64,
    /// The utility.
    pub utility: LandmarkId,
    /// On which side.
    pub side: Side,
    /// Level of its top where the line passes over, of its underside where it passes under, metres.
    pub level_m: f64,
    /// Clear distance to keep, metres.
    pub clear_m: f64,
}

/// A network with too many utility crossings to try all sides, and how much the best sides could save, as a share of the
/// digging cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Untried {
    /// The line at its outlet.
    pub line: LineId,
    /// Number of crossings.
    pub crossings: usize,
    /// What the best sides may save at most.
    pub saves_at_most: f64,
}

/// Lowest and highest invert of a pipe that passes something on a side, metres; the pair is its level there and the clear
/// distance.
pub(crate) fn side_bounds(side: Side, (level_m, clear_m): (f64, f64), pipe: &Pipe) -> (f64, f64) {
    match side {
        Side::Over => (level_m + clear_m + pipe.wall_m(), f64::INFINITY),
        Side::Under => (f64::NEG_INFINITY, level_m - clear_m - pipe.top_above_invert_m()),
    }
}

/// Up to so many crossings all sides are tried, however long it takes.
const ALL_TRIED: usize = 10;
/// With more crossings the search ends after so many solutions (own choice).
const MOST_SOLVED: usize = 400;
/// A search without any solution ends after so many, and one for a part of many crossings after so few.
const GIVEN_UP: usize = 4 * MOST_SOLVED;
const MOST_FOR_PART: usize = 20;
/// With more crossings in a network sides are not searched: each is passed on the side nearest to the pipe as it lies without
/// utilities, and the whole cost is stated as what might be saved (own choice).
const MOST_MET: usize = 40;
/// Tolerance on the clear distance, metres.
const ROUNDING_M: f64 = 1e-9;
/// The same if limits have penalties and not all are satisfied, metres.
const CLEAR_M: f64 = 1e-6;

/// A utility that a line crosses, with its levels.
#[derive(Debug, Clone, Copy)]
struct Meeting {
    line: LineId,
    station_m: f64,
    utility: LandmarkId,
    top_m: f64,
    bottom_m: f64,
    clear_m: f64,
}

impl Meeting {
    fn passed(&self, side: Side) -> Passed {
        let Self { line, station_m, utility, clear_m, .. } = *self;
        let level_m = if side == Side::Over { self.top_m } else { self.bottom_m };
        Passed { line, station_m, utility, side, level_m, clear_m }
    }

    /// The same of the pipe as it lies.
    fn nearest_in(&self, solved: &Solved) -> Option<(Side, f64)> {
        let invert_m = solved.network.level_at(self.line, self.station_m, &solved.levels)?;
        Some(self.nearest(invert_m, solved.network.pipe_at(self.line, self.station_m)?))
    }

    /// The side that a pipe is on or nearest to, and by how much it misses the clear distance there, metres.
    fn nearest(&self, invert_m: f64, pipe: &Pipe) -> (Side, f64) {
        let over_m = side_bounds(Side::Over, (self.top_m, self.clear_m), pipe).0 - invert_m;
        let under_m = invert_m - side_bounds(Side::Under, (self.bottom_m, self.clear_m), pipe).1;
        if over_m <= under_m { (Side::Over, over_m) } else { (Side::Under, under_m) }
    }
}

/// A place where a new line crosses a utility whose level was exposed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UtilityCrossing {
    /// The line.
    pub line: LineId,
    /// Where, metres from its downstream end.
    pub station_m: f64,
    /// The utility.
    pub utility: LandmarkId,
}

/// All crossings of new lines with exposed utilities, in order of the ids of utility and line.
pub(crate) fn utility_crossings(plan: &Plan) -> Vec<UtilityCrossing> {
    let mut crossings = Vec::new();
    for (utility, mark) in &plan.landmarks {
        if exposed(plan, *utility).is_none() {
            continue;
        }
        let path = mark.outline.path();
        for (line, new) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
            let crossing = |(station_m, _)| UtilityCrossing { line: *line, station_m, utility: *utility };
            crossings.extend(measure::crossings(&new.points, &path).into_iter().map(crossing));
        }
    }
    crossings
}

/// Levels of an exposed utility, and the clear distance to keep from it, metres.
fn exposed(plan: &Plan, id: LandmarkId) -> Option<(&Exposed, f64)> {
    let utility = plan.landmarks.get(&id)?.kind.utility()?;
    Some((utility.exposed.as_ref()?, utility.clear_m.unwrap_or(plan.criteria.utility_clear_m)))
}

/// All crossings with their levels.
fn meetings(inputs: Inputs) -> Vec<Meeting> {
    let meeting = |crossing: &UtilityCrossing| {
        let UtilityCrossing { line, station_m, utility } = *crossing;
        let (exposed, clear_m) = exposed(inputs.plan, utility)?;
        Some(Meeting { line, station_m, utility, top_m: exposed.top_m, bottom_m: exposed.bottom_m, clear_m })
    };
    inputs.layout.utilities.iter().filter_map(meeting).collect()
}

/// The sides on which lines pass utilities; sizes grow if a side needs a flatter pipe than the flow allows.
pub(crate) fn sides(inputs: Inputs, sized: &mut Sized) -> (Vec<Passed>, Vec<Untried>) {
    let (mut passed, mut untried) = (Vec::new(), Vec::new());
    for (root, met) in by_network(&sized.solved, meetings(inputs)) {
        let lines = lines_of(&sized.solved, root);
        let inputs = Inputs { lines: &lines, passed: &[], ..inputs };
        if met.len() > MOST_MET {
            untried.push(Untried { line: root, crossings: met.len(), saves_at_most: 1.0 });
            passed.extend(met.iter().filter_map(|meeting| nearest_side(sized, meeting)));
            continue;
        }
        let found = Search::of(inputs, &sized.sizes, &met).run().or_else(|| {
            let free = Inputs { must_carry: false, ..inputs };
            let found = Search::of(free, &sized.sizes, &met).run()?;
            let fixed = Inputs { passed: &found.passed, ..free };
            let wider = sizing::needed_sizes(&levels::held(fixed, &sized.sizes)?, &sized.sizes);
            let found = Search::of(inputs, &wider, &met).run()?;
            sized.sizes.extend(wider.into_iter().filter(|(id, _)| lines.contains(id)));
            Some(found)
        });
        let found = found.unwrap_or_else(|| partly(inputs, sized, &met));
        if found.saves_at_most > 0.0 {
            let saves_at_most = found.saves_at_most;
            untried.push(Untried { line: root, crossings: met.len(), saves_at_most });
        }
        passed.extend(found.passed);
    }
    (passed, untried)
}

/// The crossings of each network, by the line at its outlet.
fn by_network(solved: &Solved, met: Vec<Meeting>) -> BTreeMap<LineId, Vec<Meeting>> {
    let network = &solved.network;
    let mut by_root: BTreeMap<LineId, Vec<Meeting>> = BTreeMap::new();
    for meeting in met {
        let Some(node) = network.node_at(meeting.line, meeting.station_m) else { continue };
        by_root.entry(network.run_of(network.root_of(node)).id).or_default().push(meeting);
    }
    by_root
}

/// The lines of a network, downstream first.
fn lines_of(solved: &Solved, root: LineId) -> Vec<LineId> {
    let network = &solved.network;
    let is_own = |first: usize| network.run_of(network.root_of(first)).id == root;
    network.runs.iter().filter(|run| is_own(run.first)).map(|run| run.id).collect()
}

/// If no choice of sides satisfies every limit: as many as do together, taken one after the other, and the nearest side for
/// the rest.
fn partly(inputs: Inputs, sized: &Sized, met: &[Meeting]) -> Found {
    let (mut kept, mut found): (Vec<Meeting>, Option<Found>) = (Vec::new(), None);
    let mut rest = Vec::new();
    for meeting in met {
        kept.push(*meeting);
        let search = Search::of(inputs, &sized.sizes, &kept);
        let most = if met.len() > 2 * ALL_TRIED { MOST_FOR_PART } else { usize::MAX };
        let (most_solved, given_up) = (search.most_solved.min(most), search.given_up.min(most));
        match (Search { most_solved, given_up, ..search }).run() {
            Some(more) => found = Some(more),
            None => {
                kept.pop();
                rest.extend(nearest_side(sized, meeting));
            }
        }
    }
    let mut found = found.unwrap_or(Found { passed: Vec::new(), saves_at_most: 0.0 });
    found.passed.extend(rest);
    found
}

/// The side nearest to the pipe as it lies.
fn nearest_side(sized: &Sized, meeting: &Meeting) -> Option<Passed> {
    Some(meeting.passed(meeting.nearest_in(&sized.solved)?.0))
}

/// The search for the best sides of a network.
struct Search<'a> {
    inputs: Inputs<'a>,
    sizes: &'a Sizes,
    met: &'a [Meeting],
    /// Number of solutions after which the best so far is taken.
    most_solved: usize,
    /// Number of solutions after which it gives up with none.
    given_up: usize,
}

/// A branch: some sides chosen, and the optimum with these.
struct Branch {
    sides: Vec<Option<Side>>,
    /// Lower bound on the cost, and the cost of the levels found.
    least: f64,
    cost: f64,
    /// The side that the pipe is on or nearest to at each crossing, and by how much it misses its clear distance there, metres.
    nearest: Vec<(Side, f64)>,
}

struct Found {
    passed: Vec<Passed>,
    saves_at_most: f64,
}

impl<'a> Search<'a> {
    fn of(inputs: Inputs<'a>, sizes: &'a Sizes, met: &'a [Meeting]) -> Self {
        let (most_solved, given_up) =
            if met.len() > ALL_TRIED { (MOST_SOLVED, GIVEN_UP) } else { (usize::MAX, usize::MAX) };
        Self { inputs, sizes, met, most_solved, given_up }
    }

    fn run(&self) -> Option<Found> {
        let mut open: Vec<Branch> = self.branch(vec![None; self.met.len()]).into_iter().collect();
        let (mut best, mut solved): (Option<Branch>, usize) = (None, 1);
        while let Some(k) = (0..open.len()).min_by(|a, b| open[*a].least.total_cmp(&open[*b].least)) {
            let is_proven = best.as_ref().is_some_and(|best| best.cost <= open[k].least);
            if is_proven || (solved > self.most_solved && best.is_some()) || solved > self.given_up {
                break;
            }
            let branch = open.swap_remove(k);
            match self.worst(&branch) {
                Some(split) => {
                    for side in [Side::Over, Side::Under] {
                        let mut sides = branch.sides.clone();
                        sides[split] = Some(side);
                        open.extend(self.branch(sides));
                        solved += 1;
                    }
                }
                None if best.as_ref().is_none_or(|best| branch.cost < best.cost) => best = Some(branch),
                None => (),
            }
        }
        let best = best?;
        let least = open.iter().map(|branch| branch.least).fold(best.cost, f64::min);
        let sides = (0..self.met.len()).map(|k| self.met[k].passed(self.side(&best, k).0));
        Some(Found {
            saves_at_most: (best.cost - least) / best.cost.abs().max(f64::MIN_POSITIVE),
            passed: sides.collect(),
        })
    }

    /// The optimum for some chosen sides; `None` if that is not feasible.
    fn branch(&self, sides: Vec<Option<Side>>) -> Option<Branch> {
        let passed: Vec<Passed> =
            sides.iter().zip(self.met).filter_map(|(side, meeting)| Some(meeting.passed((*side)?))).collect();
        let solved = levels::held(Inputs { passed: &passed, ..self.inputs }, self.sizes)?;
        let nearest = self.met.iter().map(|met| met.nearest_in(&solved).unwrap_or((Side::Under, f64::NAN))).collect();
        Some(Branch { sides, least: solved.least, cost: solved.cost(), nearest })
    }

    /// The side of a crossing in a branch, and by how much the pipe misses its clear distance there, metres.
    fn side(&self, branch: &Branch, k: usize) -> (Side, f64) {
        branch.sides[k].map_or(branch.nearest[k], |side| (side, 0.0))
    }

    /// The crossing without a chosen side that misses its clear distance by most.
    fn worst(&self, branch: &Branch) -> Option<usize> {
        let miss = |k: usize| self.side(branch, k).1;
        (0..self.met.len()).filter(|k| miss(*k) > ROUNDING_M).max_by(|a, b| miss(*a).total_cmp(&miss(*b)))
    }
}

/// For each clash that involves a utility: what would clash on its other side.
pub(crate) fn other_sides(inputs: Inputs, sizes: &Sizes, solved: &Solved, clashes: &mut [Clash]) {
    for clash in clashes {
        let Some((low, high)) = clash.bounds else { continue };
        let utility = [low, high].into_iter().find(|bound| matches!(bound.cause, Cause::Utility(_)));
        clash.other_side = utility.and_then(|bound| other_side(inputs, sizes, solved, &bound));
    }
}

/// The two limits that clash if the utility of a limit is passed on its other side.
fn other_side(inputs: Inputs, sizes: &Sizes, solved: &Solved, bound: &Bound) -> Option<(Bound, Bound)> {
    let is_own =
        |line: LineId, station_m: f64| line == bound.line && (station_m - bound.station_m).abs() < ROUNDING_M;
    let own = inputs.passed.iter().find(|passed| is_own(passed.line, passed.station_m))?;
    let met = meetings(inputs).into_iter().find(|met| is_own(met.line, met.station_m))?;
    let is_clear = |passed: &&Passed| {
        let network = &solved.network;
        let invert_m = network.level_at(passed.line, passed.station_m, &solved.levels);
        let pipe = network.pipe_at(passed.line, passed.station_m);
        invert_m.zip(pipe).is_some_and(|(invert_m, pipe)| {
            let (low_m, high_m) = side_bounds(passed.side, (passed.level_m, passed.clear_m), pipe);
            (low_m - CLEAR_M..=high_m + CLEAR_M).contains(&invert_m)
        })
    };
    let flipped = met.passed(if own.side == Side::Over { Side::Under } else { Side::Over });
    let others = || inputs.passed.iter().filter(|passed| !is_own(passed.line, passed.station_m));
    let clash = |others: Vec<Passed>| {
        let passed: Vec<Passed> = others.into_iter().chain([flipped]).collect();
        let solved = levels::solve(Inputs { passed: &passed, ..inputs }, sizes);
        let end = |line: LineId| solved.network.node_at(line, 0.0).map(|node| solved.network.root_of(node));
        let clashes = clash::clashes(&solved, &solved.levels);
        clashes.into_iter().find(|found| end(found.line) == end(bound.line))?.bounds
    };
    // All others together may be infeasible whatever this side; those that the pipe clears are tried alone first.
    clash(others().filter(is_clear).copied().collect()).or_else(|| clash(others().copied().collect()))
}

#[cfg(test)]
mod tests {
    use measure::{Point, Units};
    use plan::{Joins, Landmark, LandmarkKind, Line, LineKind, Outlet, Outline, Utility};
    use terrain::{Grid, Ground};

    use super::*;

    /// A main on rising ground with six cables across it at the depth of the pipe, so that every side costs something.
    fn plan(ground: &Ground) -> Plan {
        let mut plan = Plan::new("Sides", Units::Metric);
        let at = Point::new(4.0, 20.0);
        let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 97.6));
        plan.apply(&edit).unwrap();
        let line = Line::new("M1", LineKind::Main, vec![at, Point::new(304.0, 20.0)]);
        plan.apply(&plan::add_line(&plan, Line { joins: Joins::Outlet(outlet), ..line }).1).unwrap();
        plan.criteria.machine_reach_m = 4.0;
        for k in 0..6 {
            let x = 60.0 + 40.0 * f64::from(k);
            let top_m = ground.elevation(Point::new(x, 20.0)).unwrap() - 1.2 - 0.2 * f64::from(k % 3);
            let exposed = Some(Exposed { by: "R".into(), on: "2031-04-02".into(), top_m, bottom_m: top_m - 0.1 });
            let kind = LandmarkKind::Utility(Utility { exposed, ..Utility::default() });
            let outline = Outline::Along(vec![Point::new(x, 5.0), Point::new(x, 35.0)]);
            let mark = Landmark { name: format!("C{k}"), kind, outline, note: String::new() };
            plan.apply(&plan::add_landmark(&plan, mark).1).unwrap();
        }
        plan
    }

    /// Ended early the search has sides that hold, and the best of all save no more than it says.
    #[test]
    fn the_gap_that_is_told_is_true() {
        let level = |cell: usize| (100.0 + 0.004 * (cell % 160) as f64 * 2.0) as f32;
        let grid = Grid::new((160, 20), (0.0, 40.0), (2.0, 2.0), (0..160 * 20).map(level).collect()).unwrap();
        let ground = Ground::from_grid(grid);
        let plan = plan(&ground);
        let layout = crate::lay_out(&plan, &land::Land::from(&ground), &mut crate::Memory::default());
        let known = Default::default();
        let inputs = Inputs::of(&plan, &layout, &known);
        let (sizes, met) = (sizing::choose(inputs).sizes, meetings(inputs));
        let cost = |found: &Found| levels::held(Inputs { passed: &found.passed, ..inputs }, &sizes).unwrap().cost();
        let best = Search::of(inputs, &sizes, &met).run().unwrap();
        assert_eq!(best.saves_at_most, 0.0);
        let mut early = 0;
        for most_solved in 1..40 {
            let found = Search { most_solved, ..Search::of(inputs, &sizes, &met) }.run().unwrap();
            let saves = 1.0 - cost(&best) / cost(&found);
            assert!(saves <= found.saves_at_most + 1e-9, "{saves} of {}", found.saves_at_most);
            early += usize::from(found.saves_at_most > 0.0);
        }
        assert!(early > 0, "no search ended early");
    }
}
