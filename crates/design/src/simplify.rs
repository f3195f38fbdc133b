//! Profile simplification: from the cheapest levels, which may change grade at every station, to few reaches of constant
//! grade.
//!
//! An operator sets a grade on the laser and digs until it changes, so every change of grade costs time and invites mistakes.
//! The simplified profile may cost a margin more than the cheapest one. Changes of grade are removed one after the other, the
//! cheapest first; then the fewest reaches through a corridor around the cheapest profile are tried
//! ([`fewest_reaches`](crate::Corridor::fewest_reaches)); on short lines every choice of breaks is tried. So short lines get
//! the minimum number of reaches (tested against brute force); long ones get few, without a proof of minimality.

use std::ops::Range;
use std::sync::Arc;

use crate::convex_cost::CostTable;
use crate::corridor::Corridor;
use crate::even::Even;
use crate::{Hinge, WantedRise, tree};

/// Step in which the grade of a laser is set: 0.01 %.
pub(crate) const LASER_STEP: f64 = 1e-4;

/// Width of the corridor as a multiple of the margin spread evenly over the stations: few stations use all of their share.
const SPREAD: f64 = 4.0;
/// Share of the margin that removing breaks may use; rounding the grades has the rest.
const SPARING: f64 = 0.95;
/// Lines of up to so many stations have every choice of breaks tried.
const SHORT: usize = 9;
/// Lines of up to so many stations have the corridor tried: on longer ones it takes too long while something is dragged, and
/// has not been seen to find fewer reaches than removing breaks does.
const MIDDLING: usize = 24;
/// Combinations of laser grades tried on one line before its grades are left unrounded.
const MOST_TRIES: usize = 400;
/// Violations of a level limit, metres, and of a grade limit below these are rounding.
const LIMIT_M: f64 = 5e-10;
const LIMIT_GRADE: f64 = 1e-12;

/// Upper ends of the reaches of a line: station index and level, metres.
pub(crate) type Ends = Vec<(usize, f64)>;

/// A reach dug at one grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DugReach {
    /// Index of its lower station.
    pub from: usize,
    /// Index of its upper station.
    pub to: usize,
    /// Grade, as a ratio.
    pub grade: f64,
    /// True if the grade is not a multiple of the laser's step, because both ends are given.
    pub is_exact: bool,
}

/// One line with its cheapest levels and all that its simplification depends on: the unsimplified profile.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Unsimplified {
    /// Distance of each station from the downstream end, metres.
    pub stations_m: Vec<f64>,
    /// Lowest and highest level at each station, metres.
    pub bounds_m: Vec<(f64, f64)>,
    /// Least and greatest grade between neighbouring stations, as ratios; wanted rises that the cheapest levels grant count
    /// as required.
    pub grades: Vec<(f64, f64)>,
    /// The same without the wanted rises that may be given up for a single grade from end to end.
    pub firm: Vec<(f64, f64)>,
    /// Hinge functions of each station's own cost.
    pub hinges: Vec<Vec<Hinge>>,
    /// Costs of the branches that join at each station.
    pub branches: Vec<Vec<Arc<CostTable>>>,
    /// The cheapest levels from the start on, metres.
    pub cheapest_m: Vec<f64>,
    /// Stations whose level is given (control points).
    pub fixed: Vec<bool>,
    /// Those of them whose level a person locked.
    pub pinned: Vec<bool>,
    /// Limits between each station and the next: station, lowest and highest level, metres.
    pub between: Vec<(f64, f64, f64)>,
    /// Index of the first of these above each station, and their number.
    pub between_from: Vec<usize>,
    /// Rise wanted between each station and the next so that the pipe carries its flow or its silt.
    pub wanted: Vec<Option<WantedRise>>,
    /// Penalty on flat grades.
    pub even: Even,
    /// Lowest and highest level of the first station, metres.
    pub start: (f64, f64),
    /// Levels above which the trench needs no protection, by station, metres; empty unless the cheapest profile stays above
    /// all of them.
    pub unprotected: Vec<(f64, f64)>,
    /// What simplification may add to the cost of the cheapest levels.
    pub margin: f64,
    /// What a single grade from end to end may add to the cost of digging.
    pub even_margin: f64,
}

/// A simplified profile.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Simplified {
    pub levels_m: Vec<f64>,
    pub reaches: Vec<DugReach>,
}

impl Unsimplified {
    /// A single grade if that is possible, else few reaches. Part of the margin is kept back for rounding the grades; on a
    /// short line only if the rounding needs it.
    pub fn simplified(&self) -> Simplified {
        self.one_grade().unwrap_or_else(|| self.few_reaches())
    }

    fn few_reaches(&self) -> Simplified {
        if self.stations_m.len() > SHORT || self.margin <= 0.0 {
            return self.within(SPARING);
        }
        let found = self.within(1.0);
        let is_off_step =
            |found: &Simplified| found.reaches.iter().any(|reach| reach.is_exact && !self.fixed[reach.to]);
        if !is_off_step(&found) {
            return found;
        }
        let sparing = self.within(SPARING);
        if is_off_step(&sparing) { found } else { sparing }
    }

    /// As few reaches as a share of the margin allows.
    fn within(&self, share: f64) -> Simplified {
        let cheapest = self.total(&self.cheapest_m);
        let budget = cheapest + share * self.margin;
        let mut ends = self.breakpoints();
        if self.margin <= 0.0 {
            return self.as_it_is(&ends);
        }
        self.merge(&mut ends, budget);
        self.drop_breaks(&mut ends, budget);
        // If two reaches could be one, that has been found by now.
        if ends.len() > 2
            && self.stations_m.len() <= MIDDLING
            && let Some(found) = self.through_corridor(ends.len() - 1, budget)
        {
            ends = found;
            self.drop_breaks(&mut ends, budget);
        }
        if self.stations_m.len() <= SHORT {
            self.try_every_choice(&mut ends, budget);
        }
        self.ease(&mut ends, budget);
        self.drop_breaks(&mut ends, budget);
        self.round(&ends, cheapest + self.margin)
    }

    /// Removes breaks, the cheapest first, while the cost stays within the budget; the levels at the other breaks stay.
    fn merge(&self, ends: &mut Vec<(usize, f64)>, budget: f64) {
        let mut total = self.total_of(ends);
        let mut without: Vec<f64> = (0..ends.len()).map(|k| self.cost_without(ends, k)).collect();
        loop {
            let cheapest = (0..ends.len()).min_by(|a, b| without[*a].total_cmp(&without[*b]));
            let Some(k) = cheapest.filter(|k| total + without[*k] <= budget) else { return };
            total += without[k];
            ends.remove(k);
            without.remove(k);
            for near in [k.wrapping_sub(1), k] {
                if near < ends.len() {
                    without[near] = self.cost_without(ends, near);
                }
            }
        }
    }

    /// The extra cost of removing break `k`; infinite if that violates a limit, and for the upper end.
    fn cost_without(&self, ends: &[(usize, f64)], k: usize) -> f64 {
        let Some(after) = ends.get(k + 1) else { return f64::INFINITY };
        let before = self.before(ends, k);
        if !self.reach_holds(before, *after) {
            return f64::INFINITY;
        }
        let bent = self.cost_of_reach(before, ends[k]) + self.cost_of_reach(ends[k], *after);
        self.cost_of_reach(before, *after) - bent
    }

    /// Lower end of the reach that ends at break `k`.
    pub(crate) fn before(&self, ends: &[(usize, f64)], k: usize) -> (usize, f64) {
        if k == 0 { (0, self.cheapest_m[0]) } else { ends[k - 1] }
    }

    /// The fewest reaches through a corridor in which each station may cost [`SPREAD`] times its share of the margin.
    fn through_corridor(&self, most: usize, budget: f64) -> Option<Vec<(usize, f64)>> {
        let length_m = self.stations_m.last()?.max(1e-3);
        let levels_m: Vec<(f64, f64)> = (0..self.stations_m.len())
            .map(|i| self.corridor_at(i, SPREAD * self.margin * self.part(i) / length_m))
            .collect();
        let corridor = Corridor {
            stations_m: &self.stations_m,
            levels_m: &levels_m,
            grades: &self.grades,
            wanted_m: &self.cheapest_m,
        };
        let mut ends = corridor.fewest_reaches(most)?;
        let all = 0..ends.len();
        self.polish(&mut ends, all, 2);
        (self.holds(&ends) && self.total_of(&ends) <= budget).then_some(ends)
    }

    /// Length of line that a station represents, metres.
    fn part(&self, i: usize) -> f64 {
        let at = &self.stations_m;
        (at[(i + 1).min(at.len() - 1)] - at[i.saturating_sub(1)]) / 2.0
    }

    /// The levels of a station that cost at most `more` above its cheapest.
    fn corridor_at(&self, i: usize, more: f64) -> (f64, f64) {
        let level_m = self.cheapest_m[i];
        if i == 0 || self.fixed[i] {
            return (level_m, level_m);
        }
        let most = self.cost(i, level_m) + more;
        let (low, high) = self.bounds_m[i];
        // Where levels cost nothing the corridor would be unbounded.
        let far_m = 100.0;
        let inward = |from_m: f64| -> f64 {
            let mut at_m = from_m;
            for _ in 0..60 {
                let over = self.cost(i, at_m) - most;
                let steep = self.steepness(i, at_m, level_m > from_m);
                if over <= 1e-12 || steep == 0.0 || (at_m - level_m) * (from_m - level_m) <= 0.0 {
                    break;
                }
                at_m -= over / steep;
            }
            at_m
        };
        let (low, high) = (low.max(level_m - far_m), high.min(level_m + far_m));
        (inward(low).min(level_m).max(low.min(level_m)), inward(high).max(level_m).min(high.max(level_m)))
    }

    /// Cost of a station, including the branches that join there.
    pub(crate) fn cost(&self, i: usize, level_m: f64) -> f64 {
        let own: f64 = self.hinges[i].iter().map(|slope| slope.at(level_m)).sum();
        own + self.branches[i].iter().map(|parts| parts.at(level_m)).sum::<f64>()
    }

    /// Distance from the station below to station `i`, metres.
    fn step_m(&self, i: usize) -> f64 {
        self.stations_m[i] - self.stations_m[i - 1]
    }

    /// Penalty for the rise wanted to station `i`.
    fn missed(&self, i: usize, rise_m: f64) -> f64 {
        self.wanted[i - 1].map_or(0.0, |wanted_rise| wanted_rise.at(rise_m))
    }

    /// Slope of that cost just above a level (`upward`), or just below it.
    pub(crate) fn steepness(&self, i: usize, level_m: f64, upward: bool) -> f64 {
        let own: f64 = self.hinges[i].iter().map(|slope| slope.steepness(level_m, upward)).sum();
        own + self.branches[i].iter().map(|parts| parts.steepness(level_m, upward)).sum::<f64>()
    }

    fn total(&self, levels_m: &[f64]) -> f64 {
        let of_step = |i: usize| {
            let (rise_m, step_m) = (levels_m[i] - levels_m[i - 1], self.step_m(i));
            self.cost(i, levels_m[i]) + self.missed(i, rise_m) + step_m * self.even.cost_per_m(rise_m / step_m)
        };
        (1..levels_m.len()).map(of_step).sum()
    }

    /// The same for reaches with given upper ends.
    pub(crate) fn total_of(&self, ends: &[(usize, f64)]) -> f64 {
        self.total(&self.levels(ends))
    }

    /// Cost of digging and of missing depth at all stations but the first, branches included.
    pub(crate) fn digging(&self, levels_m: &[f64]) -> f64 {
        (1..levels_m.len()).map(|i| self.cost(i, levels_m[i])).sum()
    }

    /// The reaches of the unsimplified profile.
    pub(crate) fn breakpoints(&self) -> Vec<(usize, f64)> {
        let grade =
            |i: usize| (self.cheapest_m[i + 1] - self.cheapest_m[i]) / (self.stations_m[i + 1] - self.stations_m[i]);
        let last = self.stations_m.len() - 1;
        let is_end = |i: &usize| *i == last || self.pinned[*i] || (grade(*i) - grade(*i - 1)).abs() > 1e-9;
        (1..=last).filter(is_end).map(|i| (i, self.cheapest_m[i])).collect()
    }

    /// Levels of all stations for reaches with given upper ends.
    pub(crate) fn levels(&self, ends: &[(usize, f64)]) -> Vec<f64> {
        let mut levels_m = self.cheapest_m.clone();
        let mut from = (0, self.cheapest_m[0]);
        for end in ends {
            let reach = levels_m.iter_mut().enumerate().take(end.0 + 1).skip(from.0 + 1);
            reach.for_each(|(i, level_m)| *level_m = self.level_on(from, *end, i));
            from = *end;
        }
        levels_m
    }

    pub(crate) fn level_on(&self, from: (usize, f64), to: (usize, f64), i: usize) -> f64 {
        if i == to.0 {
            return to.1;
        }
        let at = &self.stations_m;
        from.1 + (to.1 - from.1) * (at[i] - at[from.0]) / (at[to.0] - at[from.0])
    }

    /// Moves the levels of some breaks, one at a time and several times over, to where they cost least while the others stay.
    fn polish(&self, ends: &mut [(usize, f64)], which: Range<usize>, rounds: usize) {
        for _ in 0..rounds {
            for k in which.clone() {
                if !self.fixed[ends[k].0] {
                    ends[k].1 = self.best_level(ends, k);
                }
            }
        }
    }

    /// The level of break `k` at which its two reaches cost least within their limits; the lowest of equally cheap ones.
    pub(crate) fn best_level(&self, ends: &[(usize, f64)], k: usize) -> f64 {
        self.best_within(ends, k, self.range_at(ends, k))
    }

    /// The range of levels of break `k` for which its two reaches keep their limits, metres.
    pub(crate) fn range_at(&self, ends: &[(usize, f64)], k: usize) -> (f64, f64) {
        let here = ends[k].0;
        let (mut low, mut high) = self.bounds_m[here];
        self.limit(self.before(ends, k), here, (&mut low, &mut high));
        if let Some(after) = ends.get(k + 1) {
            self.limit(*after, here, (&mut low, &mut high));
        }
        (low, high)
    }

    /// The level of break `k` at which its two reaches cost least within a range; the lowest of equally cheap ones.
    pub(crate) fn best_within(&self, ends: &[(usize, f64)], k: usize, (low, high): (f64, f64)) -> f64 {
        let (before, here, after) = (self.before(ends, k), ends[k], ends.get(k + 1).copied());
        if low >= high || !low.is_finite() || !high.is_finite() {
            return here.1;
        }
        let mut turns = Turns { steep: 0.0, range: (low, high), breakpoints: Vec::with_capacity(256) };
        for (other, is_before) in [(Some(before), true), (after, false)] {
            let Some(other) = other else { continue };
            for i in if is_before { other.0 + 1..here.0 + 1 } else { here.0 + 1..other.0 } {
                let share = (self.stations_m[i] - self.stations_m[other.0]) / self.length_m(other, here);
                self.turn(i, (other.1, share), &mut turns);
            }
            for (grade, price) in self.even.breakpoints() {
                turns.add(other.1 + grade * self.length_m(other, here), price, is_before);
            }
        }
        turns.lowest()
    }

    /// Adds the cost of a station on a reach that pivots about its other end; `share` is how far along the way to the break
    /// the station lies.
    fn turn(&self, i: usize, (about_m, share): (f64, f64), turns: &mut Turns) {
        let (to_break, inverse) = (about_m * (1.0 - 1.0 / share), 1.0 / share);
        for slope in &self.hinges[i] {
            turns.add(to_break + slope.from_m * inverse, share * slope.price, slope.below);
        }
        let at = |break_m: f64| about_m + (break_m - about_m) * share;
        for parts in &self.branches[i] {
            let (low, high) = (at(turns.range.0), at(turns.range.1));
            turns.steep += share * parts.steepness(low, true);
            parts.turns((low, high), |level_m, price| {
                turns.breakpoints.push((to_break + level_m * inverse, share * price));
            });
        }
    }

    /// Length of a reach, metres.
    pub(crate) fn length_m(&self, from: (usize, f64), to: (usize, f64)) -> f64 {
        self.stations_m[to.0] - self.stations_m[from.0]
    }

    /// Limits between two stations.
    fn met(&self, from: usize, to: usize) -> &[(f64, f64, f64)] {
        &self.between[self.between_from[from]..self.between_from[to]]
    }

    /// Narrows the range of levels of a break so that the reach to a neighbouring break keeps its limits.
    fn limit(&self, other: (usize, f64), here: usize, (low, high): (&mut f64, &mut f64)) {
        let at = &self.stations_m;
        let (from, to) = (other.0.min(here), other.0.max(here));
        let away_m = at[here] - at[other.0];
        let mut keep = |station_m: f64, least_m: f64, most_m: f64| {
            let inverse = away_m / (station_m - at[other.0]);
            *low = low.max(other.1 + (least_m - other.1) * inverse);
            *high = high.min(other.1 + (most_m - other.1) * inverse);
        };
        self.met(from, to).iter().for_each(|(station_m, least_m, most_m)| keep(*station_m, *least_m, *most_m));
        (from + 1..to).for_each(|i| keep(at[i], self.bounds_m[i].0, self.bounds_m[i].1));
        for (least, most) in &self.grades[from..to] {
            let (one, two) = (other.1 + least * away_m, other.1 + most * away_m);
            *low = low.max(one.min(two));
            *high = high.min(one.max(two));
        }
    }

    /// Removes breaks while the cost stays within the budget after the neighbouring breaks have been moved.
    fn drop_breaks(&self, ends: &mut Vec<(usize, f64)>, budget: f64) {
        let all = 0..ends.len();
        self.polish(ends, all, 1);
        let mut total = self.total_of(ends);
        while ends.len() > 1 {
            let found = (0..ends.len() - 1).filter_map(|k| self.without(ends, k, budget - total));
            let Some((_, k, beside)) = found.min_by(|a, b| a.0.total_cmp(&b.0)) else { return };
            ends.splice(k.saturating_sub(1)..(k + 2).min(ends.len()), beside);
            let all = 0..ends.len();
            self.polish(ends, all, 1);
            total = self.total_of(ends);
        }
    }

    /// Tries every choice of one break fewer, as long as one fits the budget.
    fn try_every_choice(&self, ends: &mut Vec<(usize, f64)>, budget: f64) {
        let last = self.stations_m.len() - 1;
        while ends.len() > 1 {
            let wanted = ends.len() - 2;
            let choices = (0..1u32 << (last - 1)).filter(|mask| mask.count_ones() as usize == wanted);
            let lines = choices.filter_map(|mask| {
                let broken = (1..last).filter(|i| mask >> (i - 1) & 1 == 1).chain([last]);
                let mut line: Vec<(usize, f64)> = broken.map(|i| (i, self.cheapest_m[i])).collect();
                let all = 0..line.len();
                self.polish(&mut line, all, 8);
                let cost = self.total_of(&line);
                (cost <= budget && self.holds(&line)).then_some((cost, line))
            });
            let Some((_, fewer)) = lines.min_by(|a, b| a.0.total_cmp(&b.0)) else { return };
            *ends = fewer;
        }
    }

    /// The neighbours of break `k` after its removal, moved to where they cost least, with the extra cost; `None` if that
    /// exceeds `spare` or a limit is violated.
    fn without(&self, ends: &[(usize, f64)], k: usize, spare: f64) -> Option<(f64, usize, Ends)> {
        let first = k.saturating_sub(2);
        let span = &ends[first..(k + 3).min(ends.len())];
        let start = self.before(ends, first);
        let mut fewer = ends[..(k + 3).min(ends.len())].to_vec();
        fewer.remove(k);
        let beside = k.saturating_sub(1)..(k + 1).min(fewer.len());
        self.polish(&mut fewer, beside.clone(), if self.stations_m.len() > SHORT { 1 } else { 4 });
        let cost = |ends: &[(usize, f64)]| {
            let mut from = start;
            ends.iter().map(|end| self.cost_of_reach(std::mem::replace(&mut from, *end), *end)).sum::<f64>()
        };
        let more = cost(&fewer[first..]) - cost(span);
        (more <= spare && self.hold(start, &fewer[first..])).then(|| (more, k, fewer[beside].to_vec()))
    }

    /// True if all reaches keep every limit on level and grade.
    fn holds(&self, ends: &[(usize, f64)]) -> bool {
        self.hold((0, self.cheapest_m[0]), ends)
    }

    /// The same for reaches from a given place on.
    fn hold(&self, mut from: (usize, f64), ends: &[(usize, f64)]) -> bool {
        ends.iter().all(|end| self.reach_holds(std::mem::replace(&mut from, *end), *end))
    }

    /// Rounds grades to the laser's step wherever the ends of a reach are not both given, each as near as limits and budget
    /// allow; if no such choice is found the grades stay as they are.
    fn round(&self, ends: &[(usize, f64)], budget: f64) -> Simplified {
        let start = (0, self.cheapest_m[0]);
        let stepped = [false, true].into_iter().find_map(|may_stay| {
            let mut tries = MOST_TRIES;
            self.step_from(start, ends, budget, may_stay, &mut tries)
        });
        self.as_it_is(&stepped.unwrap_or_else(|| ends.to_vec()))
    }

    /// The unsimplified profile as reaches.
    pub fn keep(&self) -> Simplified {
        self.as_it_is(&self.breakpoints())
    }

    /// The profile with given reaches, unchanged.
    pub(crate) fn as_it_is(&self, ends: &[(usize, f64)]) -> Simplified {
        let mut from = (0, self.cheapest_m[0]);
        let reach = |end: &(usize, f64)| {
            let grade = (end.1 - from.1) / (self.stations_m[end.0] - self.stations_m[from.0]);
            let reach = DugReach { from: from.0, to: end.0, grade, is_exact: !is_on_step(grade) };
            from = *end;
            reach
        };
        Simplified { levels_m: self.levels(ends), reaches: ends.iter().map(reach).collect() }
    }

    /// Upper ends of reaches from a given place on with rounded grades: a depth-first search, nearest grades first. With
    /// `may_stay` a reach keeps its grade if no rounded one will do.
    fn step_from(
        &self,
        from: (usize, f64),
        ends: &[(usize, f64)],
        left: f64,
        may_stay: bool,
        tries: &mut usize,
    ) -> Option<Vec<(usize, f64)>> {
        let Some((end, rest)) = ends.split_first() else { return Some(Vec::new()) };
        let length_m = self.stations_m[end.0] - self.stations_m[from.0];
        let near = ((end.1 - from.1) / length_m / LASER_STEP).round();
        let step = |off: f64| from.1 + (near + off) * LASER_STEP * length_m;
        let choices = [step(0.0), step(-1.0), step(1.0), step(-2.0), step(2.0), end.1];
        let tried = match (self.fixed[end.0], may_stay) {
            (true, _) => &choices[5..],
            (false, true) => &choices[..],
            (false, false) => &choices[..5],
        };
        for level_m in tried {
            *tries = tries.checked_sub(1)?;
            let to = (end.0, *level_m);
            let cost = self.cost_of_reach(from, to);
            if cost > left || !self.reach_holds(from, to) {
                continue;
            }
            if let Some(mut found) = self.step_from(to, rest, left - cost, may_stay, tries) {
                found.insert(0, to);
                return Some(found);
            }
        }
        None
    }

    pub(crate) fn cost_of_reach(&self, from: (usize, f64), to: (usize, f64)) -> f64 {
        let grade = (to.1 - from.1) / self.length_m(from, to);
        let of_step = |i: usize| self.cost(i, self.level_on(from, to, i)) + self.missed(i, grade * self.step_m(i));
        let even = self.length_m(from, to) * self.even.cost_per_m(grade);
        (from.0 + 1..=to.0).map(of_step).sum::<f64>() + even
    }

    /// True if a reach keeps every limit on level and grade.
    pub(crate) fn reach_holds(&self, from: (usize, f64), to: (usize, f64)) -> bool {
        let grade = (to.1 - from.1) / self.length_m(from, to);
        let within = |level_m: f64, low: f64, high: f64| level_m >= low - LIMIT_M && level_m <= high + LIMIT_M;
        let at = |station_m: f64| from.1 + grade * (station_m - self.stations_m[from.0]);
        (from.0 + 1..=to.0).all(|i| {
            let ((low, high), (least, most)) = (self.bounds_m[i], self.grades[i - 1]);
            within(self.level_on(from, to, i), low, high)
                && grade >= least - LIMIT_GRADE
                && grade <= most + LIMIT_GRADE
                && self.met(i - 1, i).iter().all(|(station_m, low, high)| within(at(*station_m), *low, *high))
        })
    }
}

/// The slope of a convex cost within a range of levels: at its lower end, and the changes from there.
struct Turns {
    /// Slope just above the range's lower end.
    steep: f64,
    range: (f64, f64),
    /// Level and change of slope.
    breakpoints: Vec<(f64, f64)>,
}

impl Turns {
    /// Adds a hinge: growing by `price` for each metre below a level, or above it.
    fn add(&mut self, level_m: f64, price: f64, below: bool) {
        let (low, high) = self.range;
        match (below, level_m > low) {
            (true, true) => self.steep -= price,
            (false, false) => self.steep += price,
            _ => (),
        }
        if level_m > low && level_m < high {
            self.breakpoints.push((level_m, price));
        }
    }

    /// The lowest level from which the cost no longer falls, found by repeated selection of the median breakpoint.
    fn lowest(self) -> f64 {
        let (mut breakpoints, mut steep, mut lowest) = (self.breakpoints, self.steep, self.range.1);
        let mut rest = breakpoints.as_mut_slice();
        if steep >= 0.0 {
            return self.range.0;
        }
        while !rest.is_empty() {
            let (below, (level_m, price), above) =
                rest.select_nth_unstable_by(rest.len() / 2, |a, b| a.0.total_cmp(&b.0));
            let through = steep + below.iter().map(|(_, price)| price).sum::<f64>() + *price;
            if through >= 0.0 {
                (lowest, rest) = (*level_m, below);
            } else {
                (steep, rest) = (through, above);
            }
        }
        lowest
    }
}

/// True if a grade is a multiple of the laser's step.
pub(crate) fn is_on_step(grade: f64) -> bool {
    let steps = grade / LASER_STEP;
    (steps - steps.round()).abs() < 1e-6
}

impl tree::Hinge {
    /// Slope just above a level (`upward`), or just below it.
    pub(crate) fn steepness(&self, level_m: f64, upward: bool) -> f64 {
        let counts = match (self.below, upward) {
            (true, true) => level_m < self.from_m,
            (true, false) => level_m <= self.from_m,
            (false, true) => level_m >= self.from_m,
            (false, false) => level_m > self.from_m,
        };
        match (counts, self.below) {
            (false, _) => 0.0,
            (true, true) => -self.price,
            (true, false) => self.price,
        }
    }
}

#[cfg(test)]
mod tests {
    use good_lp::{Expression, ProblemVariables, Solution, SolverModel, microlp, variable};

    use super::*;
    use crate::{Tie, Tree};

    /// Numbers without a pattern, the same every time.
    struct Lots(u64);

    impl Lots {
        fn next(&mut self, low: f64, high: f64) -> f64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            low + (high - low) * ((self.0 >> 33) as f64 / f64::from(1u32 << 31))
        }
    }

    /// A single line of a few stations over rough ground, at its cheapest.
    fn line(lots: &mut Lots) -> Option<Unsimplified> {
        let count = 4 + lots.next(0.0, 4.99) as usize;
        let mut stations_m = vec![0.0];
        let mut ground_m = vec![101.0];
        for i in 1..count {
            stations_m.push(stations_m[i - 1] + lots.next(5.0, 10.0));
            ground_m.push(ground_m[i - 1] + lots.next(-0.1, 0.35));
        }
        let (mut tree, mut hinges, mut bounds_m) = (Tree::default(), Vec::new(), Vec::new());
        for (i, ground) in ground_m.iter().enumerate() {
            let length_m = 7.5;
            let own = vec![
                Hinge { from_m: ground - 0.9, price: 4.0 * length_m, below: true },
                Hinge { from_m: ground - 0.9, price: 2.0 * length_m, below: false },
                Hinge { from_m: ground - 1.5, price: 6.0 * length_m, below: true },
            ];
            let bounds = if i == 0 { (100.0, 100.0) } else { (ground - 2.1, ground - 0.7) };
            let tie = |i: usize| {
                let length_m = stations_m[i] - stations_m[i - 1];
                (i - 1, Tie::Rise { least_m: 0.001 * length_m, most_m: 0.06 * length_m })
            };
            tree.push((i > 0).then(|| tie(i)), bounds, &own);
            hinges.push(own);
            bounds_m.push(bounds);
        }
        let cheapest_m = tree.solve().ok()?;
        Some(Unsimplified {
            grades: vec![(0.001, 0.06); count - 1],
            firm: vec![(0.001, 0.06); count - 1],
            between: Vec::new(),
            between_from: vec![0; count],
            even: Even::of(&plan::CostWeights { missing_rise_per_m: 0.0, ..plan::CostWeights::default() }),
            start: (cheapest_m[0], cheapest_m[0]),
            even_margin: 0.0,
            unprotected: Vec::new(),
            branches: vec![Vec::new(); count],
            fixed: (0..count).map(|i| i == 0).collect(),
            pinned: vec![false; count],
            wanted: vec![None; count - 1],
            margin: 0.03 * 4.0 * 0.9 * 7.5 * count as f64,
            stations_m,
            bounds_m,
            hinges,
            cheapest_m,
        })
    }

    /// The least cost of a line whose reaches end at given stations; infinite where none holds the limits.
    fn least_cost(line: &Unsimplified, ends: &[usize]) -> f64 {
        let mut variables = ProblemVariables::new();
        let levels: Vec<_> =
            (line.bounds_m.iter()).map(|(low, high)| variables.add(variable().min(*low).max(*high))).collect();
        let (mut cost, mut constraints, mut from) = (Expression::from(0.0), Vec::new(), 0);
        for &to in ends {
            for i in from + 1..to {
                let share =
                    (line.stations_m[i] - line.stations_m[from]) / (line.stations_m[to] - line.stations_m[from]);
                constraints.push((levels[i] - (1.0 - share) * levels[from] - share * levels[to]).eq(0.0));
            }
            from = to;
        }
        for i in 1..line.stations_m.len() {
            let length_m = line.stations_m[i] - line.stations_m[i - 1];
            constraints.push((levels[i] - levels[i - 1]).geq(line.grades[i - 1].0 * length_m));
            constraints.push((levels[i] - levels[i - 1]).leq(line.grades[i - 1].1 * length_m));
            for slope in &line.hinges[i] {
                let metres = variables.add(variable().min(0.0));
                cost += slope.price * metres;
                let over = if slope.below { slope.from_m - levels[i] } else { levels[i] - slope.from_m };
                constraints.push((metres - over).geq(0.0));
            }
        }
        let problem = variables.minimise(cost.clone()).using(microlp);
        let solved = constraints.into_iter().fold(problem, |problem, constraint| problem.with(constraint)).solve();
        solved.map_or(f64::INFINITY, |solution| solution.eval(cost))
    }

    /// The fewest reaches within the margin by brute force: every choice of breaks, a linear program for each.
    fn fewest(line: &Unsimplified) -> usize {
        let (last, budget) = (line.stations_m.len() - 1, line.total(&line.cheapest_m) + line.margin);
        (0..1u32 << (last - 1))
            .map(|mask| (1..last).filter(|i| mask >> (i - 1) & 1 == 1).chain([last]).collect::<Vec<_>>())
            .filter(|ends| least_cost(line, ends) <= budget)
            .map(|ends| ends.len())
            .min()
            .unwrap_or(usize::MAX)
    }

    #[test]
    fn few_reaches_are_the_fewest() {
        let mut lots = Lots(7);
        let (mut lines, mut more) = (0, 0);
        while lines < 150 {
            let Some(line) = line(&mut lots) else { continue };
            lines += 1;
            let (found, fewest) = (line.within(1.0).reaches.len(), fewest(&line));
            assert!(found >= fewest);
            more += found - fewest;
        }
        assert_eq!(more, 0, "reaches more than the fewest on {lines} lines");
    }
}
