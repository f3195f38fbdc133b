//! The optimisation problem of one new line: its limits as bounds and rises, and its costs.

use plan::{CostWeights, Hold, Line, LineId, Plan, SelfCleaning};

use crate::clash::{Cause, Flattest};
use crate::course::{self, Course, nearest_station};
use crate::even::Even;
use crate::network::{Clear, Inputs, Start};
use crate::passing::{Passed, side_bounds};
use crate::water::LineFlow;
use crate::{Hinge, Pipe, SpanConstraint, Station, Steps, Tie, WantedRise, pipe, pipe_of};

/// Penalty for straying from a depth the line is told to follow, for each metre of depth and metre of line: so high that only
/// a limit makes it stray (judgement).
const STRAYING_PER_M2: f64 = 1e3;
/// Factor by which rise missing to carry the flow of a line of fixed size is penalised more than rise missing to carry silt
/// (judgement).
const CARRYING: f64 = 10.0;
/// A tie without limits.
const OPEN: Tie = Tie::Rise { least_m: f64::NEG_INFINITY, most_m: f64::INFINITY };

/// A limit on the invert at a station.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Constraint {
    pub station_m: f64,
    /// Lowest invert, metres; may be infinite.
    pub low_m: f64,
    /// Highest invert, metres; may be infinite.
    pub high_m: f64,
    pub cause: Cause,
}

/// The least cost of a metre of line, and the hinges from the depth where it is least: depth, price per metre, true for deeper.
type DepthCosts = (f64, Vec<(f64, f64, bool)>);

/// The problem of one line.
pub(crate) struct LineProblem<'a> {
    plan: &'a Plan,
    id: LineId,
    line: &'a Line,
    clear: &'a [Clear],
    passed: &'a [Passed],
    even: Even,
    course: &'a Course,
    stations: &'a [Station],
    /// Its pipe. Every level here is one of the guide, which has no steps ([`Pipe::over_guide_m`]).
    pub pipe: Vec<Pipe>,
    /// Flattest grade at which all of it keeps itself clean, as a ratio.
    pub clean_grade: f64,
    /// Of each part of the pipe: cost of a metre of line at its cheapest depth, and the hinges that other depths add.
    depth_costs: Vec<DepthCosts>,
    /// Given levels (control points), and those on a straight pipe between two of them.
    pub levels: Vec<Option<f64>>,
    /// Stations whose level a person locked.
    pub pinned: Vec<bool>,
    /// Least and greatest rise of each interval between neighbouring stations, metres.
    pub rises: Vec<(f64, f64)>,
    /// Rise wanted in each interval so that the pipe carries its flow or its silt.
    pub wanted: Vec<Option<WantedRise>>,
    /// What determines the least grade of each interval.
    pub least_by: Vec<Flattest>,
    /// True for intervals whose grade follows from given levels at both ends.
    pub open: Vec<bool>,
    /// The first given level above a free start to which the pipe runs straight: station index and level.
    pub straight_to: Option<(usize, f64)>,
    /// True if no allowed grade leads to that level, or to the joint.
    pub is_loose: bool,
    /// True for such a line whose level is given at the joint itself.
    pub misses_joint: bool,
}

impl<'a> LineProblem<'a> {
    /// Sets up the problem of a line.
    pub fn of(inputs: Inputs<'a>, id: LineId, line: &'a Line, steps: &Steps, start: &Start, is_loose: bool) -> Self {
        let course = &inputs.layout.courses[&id];
        let stations = &course.stations;
        let reaches = stations.len().saturating_sub(1);
        let criteria = &inputs.plan.criteria;
        let prices = &inputs.plan.cost_weights;
        let pipe = pipe_of(inputs.plan, line, steps, course.length_m);
        let depth_cost = |pipe: &Pipe| {
            let least_m = criteria.least_cover_m + pipe.top_above_invert_m();
            depth_hinges(prices, criteria.target_depth_m.max(least_m), prices.missing_depth_per_m2)
        };
        let clean = |pipe: &Pipe| pipe.grade_for_velocity(criteria.clean_velocity_ms);
        let mut laying = Self {
            depth_costs: pipe.iter().map(depth_cost).collect(),
            clean_grade: pipe.iter().map(clean).fold(0.0, f64::max),
            pipe,
            plan: inputs.plan,
            id,
            line,
            clear: inputs.clear,
            passed: inputs.passed,
            even: Even::of(prices),
            course,
            stations,
            levels: vec![None; stations.len()],
            pinned: vec![false; stations.len()],
            rises: vec![(0.0, 0.0); reaches],
            wanted: vec![None; reaches],
            least_by: vec![Flattest::Clean; reaches],
            open: vec![false; reaches],
            straight_to: None,
            is_loose,
            misses_joint: false,
        };
        laying.limit_grades(&inputs.layout.flows[&id], inputs);
        laying.fix_levels(start);
        laying
    }

    /// Sets least, greatest and wanted rise of every interval.
    fn limit_grades(&mut self, flow: &LineFlow, Inputs { must_carry, least_even, flat, .. }: Inputs) {
        let least_even = if flat.contains(&self.id) { 0.0 } else { least_even };
        let (criteria, brief, prices) = (&self.plan.criteria, &self.plan.brief, &self.plan.cost_weights);
        let fastest = brief.texture.map_or(f64::INFINITY, |texture| texture.greatest_velocity_ms());
        let wants_silt =
            brief.self_cleaning == SelfCleaning::Prefer && brief.texture.is_some_and(|t| t.enters_pipe());
        for i in 0..self.rises.len() {
            let pipe = *self.above(i);
            let silt_grade = pipe.grade_for_velocity(criteria.silt_velocity_ms);
            let clean_grade = pipe.grade_for_velocity(criteria.clean_velocity_ms);
            let at_one_m3s = pipe.full_capacity_m3s(1.0) * flow.even_factor;
            let steepest = criteria.steepest_grade.min(pipe.grade_for_velocity(fastest));
            let is_chosen = self.line.size_by.is_flow() && !self.has_own_size(i);
            // The largest pipe in stock may not do whatever its grade: then it carries as much as it can.
            let is_largest = prices.pipe.last().is_none_or(|stocked| stocked.size_m <= pipe.size_m * 1.001);
            let length_m = self.stations[i + 1].station_m - self.stations[i].station_m;
            let carrying = (flow.through_m3s[i] / at_one_m3s).powi(2);
            let asked = [
                (brief.self_cleaning == SelfCleaning::Require).then_some((silt_grade, Flattest::Silt)),
                (is_chosen && must_carry && !is_largest).then_some((carrying.min(steepest), Flattest::Flow)),
                Some((least_even.min(steepest), Flattest::Even)),
            ];
            let mut least = clean_grade;
            for (grade, by) in asked.into_iter().flatten().filter(|(grade, _)| *grade > clean_grade) {
                if grade > least {
                    (least, self.least_by[i]) = (grade, by);
                }
            }
            let most = steepest.max(least);
            let held = self.line.reaches.iter().find_map(|reach| match reach.hold {
                Hold::Grade(grade) if self.lies_in(i, reach.from_m, reach.to_m) => Some(grade),
                _ => None,
            });
            self.rises[i] = held.map_or((least, most), |grade| (grade, grade));
            if held.is_some() {
                self.least_by[i] = Flattest::Held;
            }
            self.rises[i] = (self.rises[i].0 * length_m, self.rises[i].1 * length_m);
            if held.is_none() && (!is_chosen || (must_carry && is_largest)) && carrying.min(steepest) > least {
                let price = CARRYING * prices.missing_rise_per_m;
                self.wanted[i] = Some(WantedRise { wanted_m: carrying.min(steepest) * length_m, price });
            } else if held.is_none() && wants_silt && silt_grade > least {
                let price = prices.missing_rise_per_m;
                self.wanted[i] = Some(WantedRise { wanted_m: silt_grade * length_m, price });
            }
        }
    }

    /// The part of the pipe that station `i` lies in, of two the lower one.
    fn at(&self, i: usize) -> &Pipe {
        pipe::at(&self.pipe, self.stations[i].station_m)
    }

    /// The same with its number.
    fn part(&self, i: usize) -> (usize, &Pipe) {
        let pipe = self.at(i);
        (self.pipe.iter().position(|part| std::ptr::eq(part, pipe)).unwrap_or(0), pipe)
    }

    /// The part of the pipe above station `i`.
    fn above(&self, i: usize) -> &Pipe {
        pipe::above(&self.pipe, self.stations[i].station_m)
    }

    /// True where a person gave the pipe above station `i` a size of its own.
    fn has_own_size(&self, i: usize) -> bool {
        let own = self.line.stretches.iter().filter(|laid| laid.size_m.is_some());
        own.into_iter().any(|laid| self.lies_in(i, laid.from_m, laid.to_m))
    }

    /// True if the interval above station `i` lies between two stations.
    fn lies_in(&self, i: usize, from_m: f64, to_m: f64) -> bool {
        let tolerance_m = course::SAME_STATION_M;
        self.stations[i].station_m >= from_m - tolerance_m && self.stations[i + 1].station_m <= to_m + tolerance_m
    }

    /// Sets the given levels, and those between two of them where the pipe runs straight: on request, or because no allowed
    /// grade leads from one to the other.
    fn fix_levels(&mut self, start: &Start) {
        let mut straight = vec![false; self.stations.len()];
        for pin in &self.line.pins {
            let i = nearest_station(self.stations, pin.station_m);
            let guide_m = pin.invert_m - self.at(i).over_guide_m;
            (self.levels[i], straight[i], self.pinned[i]) = (Some(guide_m), pin.straight, true);
        }
        if let (Start::Level(level_m), Some(first)) = (start, self.levels.first_mut()) {
            *first = first.or(Some(*level_m));
        }
        let fixed: Vec<(usize, f64)> =
            self.levels.iter().enumerate().filter_map(|(i, level)| Some((i, (*level)?))).collect();
        for pair in fixed.windows(2) {
            let ((low, low_m), (high, high_m)) = (pair[0], pair[1]);
            let (least_m, most_m) = self.rises[low..high].iter().fold((0.0, 0.0), |t, r| (t.0 + r.0, t.1 + r.1));
            let rounding_m = 5e-11;
            if straight[high] || !(least_m - rounding_m..=most_m + rounding_m).contains(&(high_m - low_m)) {
                self.run_straight(low, high);
            }
        }
        let lowest = fixed.first().copied();
        self.straight_to = lowest.filter(|(i, _)| *i > 0 && (straight[*i] || self.is_loose));
        self.misses_joint = self.is_loose && lowest.is_some_and(|(i, _)| i == 0);
    }

    fn run_straight(&mut self, low: usize, high: usize) {
        let (Some(low_m), Some(high_m)) = (self.levels[low], self.levels[high]) else { return };
        for i in low + 1..high {
            self.levels[i] = Some(low_m + (high_m - low_m) * self.share(low, high, i));
        }
        self.open[low..high].fill(true);
    }

    fn share(&self, low: usize, high: usize, i: usize) -> f64 {
        let at = |i: usize| self.stations[i].station_m;
        (at(i) - at(low)) / (at(high) - at(low))
    }

    /// The tie of station `i`, not the first, and the node it depends on; `first` is the line's first node.
    pub fn tie(&self, i: usize, first: usize) -> (usize, Tie) {
        match self.straight_to {
            Some((to, to_m)) if i < to => (first, Tie::Straight { share: self.share(0, to, i), to_m }),
            Some((to, _)) if i == to && self.is_loose => (first, OPEN),
            Some((to, _)) if i == to => {
                let (least_m, most_m) = self.rises[..to].iter().fold((0.0, 0.0), |t, r| (t.0 + r.0, t.1 + r.1));
                (first, Tie::Rise { least_m, most_m })
            }
            _ if self.open[i - 1] => (first + i - 1, OPEN),
            _ => {
                let (least_m, most_m) = self.rises[i - 1];
                (first + i - 1, Tie::Rise { least_m, most_m })
            }
        }
    }

    /// Rises wanted in the interval above station `i`: none if a person holds its grade, and none that its least rise grants
    /// anyway.
    pub fn wanted_rises(&self, i: usize, wanted: &mut Vec<WantedRise>) {
        wanted.clear();
        let length_m = self.stations[i + 1].station_m - self.stations[i].station_m;
        let (least_m, most_m) = self.rises[i];
        for (grade, price) in self.even.breakpoints() {
            let wanted_m = grade * length_m;
            if least_m < most_m && wanted_m > least_m {
                wanted.push(WantedRise { wanted_m, price });
            }
        }
        wanted.extend(self.wanted[i]);
    }

    /// Lowest and highest invert at a station.
    pub fn bounds(&self, i: usize) -> (f64, f64) {
        if let Some(level_m) = self.levels[i] {
            return (level_m, level_m);
        }
        let mut bounds = (f64::NEG_INFINITY, f64::INFINITY);
        self.limits_at(i, |limit| bounds = (bounds.0.max(limit.low_m), bounds.1.min(limit.high_m)));
        bounds
    }

    /// Every limit on the invert at a station: machine reach, least cover, clearances.
    pub fn limits_at(&self, i: usize, mut show: impl FnMut(Constraint)) {
        let station = &self.stations[i];
        if let Some(ground_m) = station.ground_m {
            let (below, above) = (*self.at(i), *self.above(i));
            // Where the pipe changes both parts hold their limits.
            for pipe in std::iter::once(below).chain((above != below).then_some(above)) {
                show(self.over(&pipe, station.station_m, ground_m));
                if self.needs_cover(station.station_m) {
                    show(self.under(&pipe, station.station_m, ground_m));
                }
            }
        }
        let is_here = |limit: &Constraint| (limit.station_m - station.station_m).abs() < course::SAME_STATION_M;
        self.met().filter(is_here).for_each(show);
    }

    /// Span constraints between station `i` and the next; none if both levels are given.
    pub fn between(&self, i: usize, between: &mut Vec<SpanConstraint>) {
        between.clear();
        let (from_m, to_m) = (self.stations[i].station_m, self.stations[i + 1].station_m);
        if self.levels[i].is_none() || self.levels[i + 1].is_none() {
            self.limits_between(i, |limit| {
                let share = (limit.station_m - from_m) / (to_m - from_m);
                between.push(SpanConstraint { share, low: limit.low_m, high: limit.high_m });
            });
        }
    }

    /// Every limit on the invert between station `i` and the next.
    pub fn limits_between(&self, i: usize, mut show: impl FnMut(Constraint)) {
        let (from_m, to_m) = (self.stations[i].station_m, self.stations[i + 1].station_m);
        let apart_m = course::SAME_STATION_M;
        let is_inside = |m: f64| m >= from_m + apart_m && m <= to_m - apart_m;
        let (span, pipe) = (&self.course.spans[i], *self.above(i));
        span.roof.iter().filter(|(m, _)| is_inside(*m)).for_each(|(m, level_m)| show(self.over(&pipe, *m, *level_m)));
        for (bare_from_m, bare_to_m) in self.bare(from_m, to_m) {
            let is_whole = (bare_from_m, bare_to_m) == (from_m, to_m);
            let part = if is_whole { None } else { Some(course::floor(&self.course.ground, bare_from_m, bare_to_m)) };
            let floor = part.as_ref().unwrap_or(&span.floor).iter();
            floor.filter(|(m, _)| is_inside(*m)).for_each(|(m, level_m)| show(self.under(&pipe, *m, *level_m)));
        }
        self.met().filter(|limit| is_inside(limit.station_m)).for_each(show);
    }

    /// The parts between two stations in which cover is required: above the solid outlet pipe, and not along solid heavy
    /// pipe.
    fn bare(&self, from_m: f64, to_m: f64) -> Vec<(f64, f64)> {
        let mut parts = vec![(from_m.max(self.solid_m()), to_m)];
        for pipe in self.line.stretches.iter().filter(|pipe| pipe.solid && pipe.heavy) {
            let outside =
                |(from_m, to_m): (f64, f64)| [(from_m, to_m.min(pipe.from_m)), (from_m.max(pipe.to_m), to_m)];
            parts = parts.into_iter().flat_map(outside).collect();
        }
        parts.retain(|(from_m, to_m)| to_m > from_m);
        parts
    }

    /// True if cover is required at a station.
    fn needs_cover(&self, station_m: f64) -> bool {
        let is_laid =
            |pipe: &plan::Stretch| pipe.solid && pipe.heavy && (pipe.from_m..=pipe.to_m).contains(&station_m);
        station_m >= self.solid_m() && !self.line.stretches.iter().any(is_laid)
    }

    fn over(&self, pipe: &Pipe, station_m: f64, ground_m: f64) -> Constraint {
        let low_m = ground_m - self.deepest_m(pipe) - pipe.over_guide_m;
        Constraint { station_m, low_m, high_m: f64::INFINITY, cause: Cause::Machine }
    }

    fn under(&self, pipe: &Pipe, station_m: f64, ground_m: f64) -> Constraint {
        let high_m = ground_m - self.shallowest_m(pipe) - pipe.over_guide_m;
        Constraint { station_m, low_m: f64::NEG_INFINITY, high_m, cause: Cause::Cover }
    }

    /// Depth of the invert, metres, at which the machine digs as deep as it can.
    fn deepest_m(&self, pipe: &Pipe) -> f64 {
        self.plan.criteria.machine_reach_m - pipe.wall_m() - self.plan.criteria.bedding_m
    }

    /// Depth of the invert, metres, at which the pipe has its least cover.
    fn shallowest_m(&self, pipe: &Pipe) -> f64 {
        self.plan.criteria.least_cover_m + pipe.top_above_invert_m()
    }

    /// Station from which cover is required, metres: the end of the solid outlet pipe.
    fn solid_m(&self) -> f64 {
        course::outlet_pipe_m(self.plan, self.line)
    }

    /// Clearances to keep: from lines crossed without a joint, exposed utilities, and what a person entered.
    fn met(&self) -> impl Iterator<Item = Constraint> + '_ {
        let limit = |station_m, side, (level_m, clear_m), cause| {
            let pipe = pipe::at(&self.pipe, station_m);
            let (low_m, high_m) = side_bounds(side, (level_m, clear_m), pipe);
            Constraint { station_m, low_m: low_m - pipe.over_guide_m, high_m: high_m - pipe.over_guide_m, cause }
        };
        let passes = self
            .line
            .passes
            .iter()
            .enumerate()
            .map(move |(k, pass)| limit(pass.station_m, pass.side, (pass.level_m, pass.clear_m), Cause::Pass(k)));
        let exposed = self.passed.iter().filter(|passed| passed.line == self.id).map(move |passed| {
            let level = (passed.level_m, passed.clear_m);
            limit(passed.station_m, passed.side, level, Cause::Utility(passed.utility))
        });
        let own = self.clear.iter().filter(|clear| clear.line == self.id);
        let cleared = own.map(|clear| {
            let over_m = pipe::at(&self.pipe, clear.station_m).over_guide_m;
            let (low_m, high_m) = (clear.bounds_m.0 - over_m, clear.bounds_m.1 - over_m);
            Constraint { station_m: clear.station_m, low_m, high_m, cause: clear.cause }
        });
        cleared.chain(passes).chain(exposed)
    }

    /// Cost of a level at station `i` over the ground that the station represents: digging by depth and missing depth.
    /// Returns the cost at the cheapest depth, and fills in the hinges from there.
    pub fn costs(&self, i: usize, hinges: &mut Vec<Hinge>) -> f64 {
        hinges.clear();
        let below = i.checked_sub(1).and_then(|below| self.course.spans.get(below)).map(|span| span.part[1]);
        let parts = [below, self.course.spans.get(i).map(|span| span.part[0])];
        let sum = |of: fn(&course::Part) -> f64| parts.iter().flatten().map(of).sum::<f64>();
        let length_m = sum(|part| part.length_m);
        let Some(ground_m) = self.stations[i].ground_m.filter(|_| length_m > 0.0) else { return 0.0 };
        let (k, pipe) = self.part(i);
        let ground_m = ground_m + sum(|part| part.over_m2) / length_m - pipe.over_guide_m;
        let followed = self.line.reaches.iter().filter(|reach| self.is_at(i, reach.from_m, reach.to_m));
        let followed = followed.into_iter().find_map(|reach| match reach.hold {
            Hold::Grade(_) => None,
            Hold::Depth(depth_m) => Some(depth_m),
            Hold::IntoLayer(into_m) => Some(self.plan.pit_near(self.stations[i].at)?.tight_m? + into_m),
        });
        let at_depth = |(depth_m, price, below): &(f64, f64, bool)| Hinge {
            from_m: ground_m - depth_m,
            price: length_m * price,
            below: *below,
        };
        if let Some(depth_m) = followed {
            let (base, straying) = depth_hinges(&self.plan.cost_weights, depth_m, STRAYING_PER_M2);
            hinges.extend(straying.iter().chain([&(depth_m, STRAYING_PER_M2, true)]).map(at_depth));
            return length_m * base;
        }
        let (base_per_m, depth_hinges) = &self.depth_costs[k];
        hinges.extend(depth_hinges.iter().map(at_depth));
        length_m * base_per_m
    }

    fn is_at(&self, i: usize, from_m: f64, to_m: f64) -> bool {
        let tolerance_m = course::SAME_STATION_M;
        (from_m - tolerance_m..=to_m + tolerance_m).contains(&self.stations[i].station_m)
    }
}

/// Cost of a metre of line by depth: the least cost, and hinges from the depth where it is least (depth, price per metre,
/// true for deeper). Digging costs more with every metre down; each metre short of the wanted depth costs `missing` and saves
/// what digging it would cost.
fn depth_hinges(prices: &CostWeights, wanted_m: f64, missing: f64) -> DepthCosts {
    let digging = &prices.digging;
    let price_at = |depth_m: f64| digging.iter().rev().find(|band| band.from_m <= depth_m).map_or(0.0, |b| b.per_m2);
    let rate = |depth_m: f64| price_at(depth_m) - if depth_m < wanted_m { missing } else { 0.0 };
    let mut breakpoints: Vec<f64> = digging.iter().map(|band| band.from_m).filter(|from_m| *from_m > 0.0).collect();
    breakpoints.push(wanted_m);
    breakpoints.sort_by(f64::total_cmp);
    let mut hinges = Vec::with_capacity(breakpoints.len() + 1);
    let (mut before, mut cheapest_m) = (rate(0.0), None);
    if before > 0.0 {
        // Missing depth costs less than digging it: the cheapest depth is zero.
        hinges.push((0.0, before, true));
        cheapest_m = Some(0.0);
    }
    for depth_m in breakpoints {
        let after = rate(depth_m);
        if after >= 0.0 {
            cheapest_m = cheapest_m.or(Some(depth_m));
        }
        // Below the cheapest depth a breakpoint adds to the price of deeper, above it to that of shallower.
        let (up, down) = ((-before).max(0.0) - (-after).max(0.0), after.max(0.0) - before.max(0.0));
        hinges.extend([(depth_m, up, false), (depth_m, down, true)].into_iter().filter(|(_, price, _)| *price > 0.0));
        before = after;
    }
    let least_m = cheapest_m.unwrap_or(wanted_m);
    (prices.digging_per_m(least_m) + missing * (wanted_m - least_m).max(0.0), hinges)
}
