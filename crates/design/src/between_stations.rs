//! Limits between stations: a straight pipe that keeps its bounds at two stations may still break a limit half-way.
//!
//! Between two neighbouring stations `d` (downstream) and `u` the pipe is straight, and a limit at a share `t` of the way
//! reads `low ≤ (1 − t) z_d + t z_u ≤ high`. Such a constraint couples two levels, which the solver ([`crate::Tree`]) cannot
//! handle. So it is replaced by bounds at both stations that imply it. For some rise `r` let `h` be the least of `high − t r`
//! over the limits. Then `z_d ≤ h` and `z_u ≤ h + r` imply every one of them, whatever the pipe's actual rise: `(1 − t) z_d +
//! t z_u ≤ (1 − t) h + t (h + r) = h + t r ≤ high`; likewise for `low` with signs reversed.
//!
//! The bounds cost least if `r` is the rise the pipe will have. So the problem is first solved without span constraints,
//! which also gives a lower bound on the cost. If one is violated, bounds are derived from the rises just found, and the
//! problem is solved again. A solution that keeps all constraints also keeps the bounds derived from its own rises, so
//! deriving them anew never makes the cost worse. If no levels satisfy the bounds, it is decided exactly whether any satisfy
//! the constraints themselves, and iteration continues from such levels.

use crate::cost_cache::CostCache;
use crate::{NoLevel, SpanConstraint, Tie, Tree};

/// How many times the bounds are derived anew.
const ROUNDS: usize = 3;
/// Excess over the lower bound that is good enough, as a share of the cost.
const NEAR: f64 = 5e-4;
/// Levels that differ by less count as equal, metres.
const ROUNDING_M: f64 = 1e-10;

impl Tree {
    /// Levels of least cost that keep the span constraints too, and a lower bound on the cost. `base` is the constant left
    /// out of the tree's costs; it decides which excess is small.
    pub(crate) fn solve_tight(&self, base: f64, known: &mut CostCache) -> Result<(Vec<f64>, f64), NoLevel> {
        let places = self.gather(&self.bounds(), known, None)?;
        let levels = self.settle(&places);
        let least = self.cost(&levels);
        Ok((self.kept(levels, base, known)?, least))
    }

    /// The same, starting from the optimum without span constraints.
    pub(crate) fn kept(&self, cheapest: Vec<f64>, base: f64, known: &mut CostCache) -> Result<Vec<f64>, NoLevel> {
        if !self.breaks_between(&cheapest) {
            return Ok(cheapest);
        }
        let kept = match self.under(&self.rises(&cheapest), known) {
            Some(kept) => kept,
            None => self.feasible_levels()?,
        };
        let least = self.cost(&cheapest);
        Ok(self.improved(kept, (least, NEAR * (base + least).abs()), known))
    }

    /// The optimum under the bounds derived from given rises.
    fn under(&self, rises: &[f64], known: &mut CostCache) -> Option<Vec<f64>> {
        let places = self.gather(&self.tightened(rises), known, None).ok()?;
        Some(self.settle(&places))
    }

    /// Derives the bounds from the rises just found and solves again, as long as that helps and the lower bound is not near.
    fn improved(&self, mut levels: Vec<f64>, (least, near): (f64, f64), known: &mut CostCache) -> Vec<f64> {
        let mut cost = self.cost(&levels);
        for _ in 0..ROUNDS {
            if cost - least <= near {
                break;
            }
            let Some(better) = self.under(&self.rises(&levels), known) else { break };
            let cost_now = self.cost(&better);
            if cost_now >= cost {
                break;
            }
            (levels, cost) = (better, cost_now);
        }
        levels
    }

    /// True if a span constraint is violated.
    pub(crate) fn breaks_between(&self, levels: &[f64]) -> bool {
        self.nodes.iter().enumerate().any(|(i, node)| {
            let limits = self.span_constraints(i).iter();
            node.down.is_some_and(|down| limits.clone().any(|l| l.breach(levels[down], levels[i]) > ROUNDING_M))
        })
    }

    /// Rise to each station from the one downstream, metres; 0 at an outlet.
    pub(crate) fn rises(&self, levels: &[f64]) -> Vec<f64> {
        let rise = |(i, node): (usize, &crate::Node)| node.down.map_or(0.0, |down| levels[i] - levels[down]);
        self.nodes.iter().enumerate().map(rise).collect()
    }

    /// Bounds at the stations that imply every span constraint, best for pipes of about these rises.
    pub(crate) fn tightened(&self, rises: &[f64]) -> Vec<(f64, f64)> {
        let mut bounds = self.bounds();
        (0..bounds.len()).for_each(|i| self.tighten(i, rises[i], &mut bounds));
        bounds
    }

    /// Narrows the bounds of a station and the one downstream so that they imply the constraints between the two.
    fn tighten(&self, i: usize, rise_m: f64, bounds: &mut [(f64, f64)]) {
        let node = &self.nodes[i];
        let (Some(down), limits) = (node.down, self.span_constraints(i)) else { return };
        if limits.is_empty() {
            return;
        }
        let given = |k: usize| Some(self.nodes[k].bounds.0).filter(|low| *low == self.nodes[k].bounds.1);
        const ALL: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
        // Next to a given level the whole constraint falls on the other station.
        let (low, high) = match (given(down), given(i)) {
            (Some(_), Some(_)) => return,
            (Some(down_m), None) => {
                (ALL, reach(limits, |limit, level| (level - (1.0 - limit.share) * down_m) / limit.share))
            }
            (None, Some(up_m)) => {
                (reach(limits, |limit, level| (level - limit.share * up_m) / (1.0 - limit.share)), ALL)
            }
            (None, None) => {
                let low = reach(limits, |limit, level| level - limit.share * rise_m);
                (low, (low.0 + rise_m, low.1 + rise_m))
            }
        };
        for (k, narrow) in [(down, low), (i, high)] {
            bounds[k] = (bounds[k].0.max(narrow.0), bounds[k].1.min(narrow.1));
        }
    }

    /// Any levels that keep every bound, rise and span constraint, regardless of cost.
    pub(crate) fn feasible_levels(&self) -> Result<Vec<f64>, NoLevel> {
        let ranges = self.ranges()?;
        let mut levels: Vec<f64> = Vec::with_capacity(self.nodes.len());
        for (i, node) in self.nodes.iter().enumerate() {
            let (low, high) = match node.down {
                Some(down) => self.room(i, levels[down], &ranges[i]),
                None => (ranges[i].low, ranges[i].high),
            };
            let middle = match (low.is_finite(), high.is_finite()) {
                (true, true) => (low + high) / 2.0,
                (true, false) => low,
                (false, true) => high,
                (false, false) => 0.0,
            };
            levels.push(middle);
        }
        Ok(levels)
    }

    /// For each station the exact range of levels for which everything upstream is feasible, and what limits it. The error
    /// names the first station, from the upper ends down, with an empty range.
    pub(crate) fn ranges(&self) -> Result<Vec<FeasibleRange>, NoLevel> {
        let (ranges, clash) = self.ranges_down();
        clash.map_or(Ok(ranges), |node| Err(NoLevel { node }))
    }

    /// The first station, from the upper ends down, at which the range is empty, with the two limits that contradict each
    /// other.
    pub(crate) fn clash(&self) -> Option<(usize, FeasibleRange)> {
        let (ranges, clash) = self.ranges_down();
        clash.map(|node| (node, ranges[node]))
    }

    /// Feasible ranges from the upper ends down, as far as they are not empty.
    ///
    /// The pairs of neighbouring levels that keep all constraints between them form a convex polygon; its projection onto the
    /// lower station's level is an interval. Each pair of an upper and a lower limit on the upper station's level bounds that
    /// interval on one side at most; the interval is what all pairs leave.
    fn ranges_down(&self) -> (Vec<FeasibleRange>, Option<usize>) {
        let own = |(i, node): (usize, &crate::Node)| {
            let by = Source { node: i, between: None };
            FeasibleRange { low: node.bounds.0, high: node.bounds.1, low_by: by, high_by: by }
        };
        let mut ranges: Vec<FeasibleRange> = self.nodes.iter().enumerate().map(own).collect();
        for i in (0..self.nodes.len()).rev() {
            if ranges[i].low > ranges[i].high + ROUNDING_M {
                return (ranges, Some(i));
            }
            ranges[i].low = ranges[i].low.min(ranges[i].high);
            if let Some(down) = self.nodes[i].down {
                let seen = self.shadow(i, &ranges[i]);
                ranges[down].narrow(&seen);
            }
        }
        (ranges, None)
    }

    /// The levels of the downstream station for which this one has a feasible level.
    fn shadow(&self, i: usize, range: &FeasibleRange) -> FeasibleRange {
        let (below, above) = self.edges(i, range);
        let mut seen = FeasibleRange { low: f64::NEG_INFINITY, high: f64::INFINITY, ..*range };
        for lower in &below {
            for upper in &above {
                // upper.at(z) ≥ lower.at(z)
                let (slope, room) = (upper.slope - lower.slope, upper.level_m - lower.level_m);
                let by = [lower.by, upper.by];
                if slope > 0.0 && -room / slope > seen.low {
                    (seen.low, seen.low_by) = (-room / slope, by[0].or(by[1]).unwrap_or(range.low_by));
                } else if slope < 0.0 && -room / slope < seen.high {
                    (seen.high, seen.high_by) = (-room / slope, by[1].or(by[0]).unwrap_or(range.high_by));
                } else if slope == 0.0 && room < -ROUNDING_M {
                    let (low_by, high_by) = (by[0].unwrap_or(range.low_by), by[1].unwrap_or(range.high_by));
                    return FeasibleRange { low: f64::INFINITY, high: f64::NEG_INFINITY, low_by, high_by };
                }
            }
        }
        seen
    }

    /// Lowest and highest feasible level of a station for a given level downstream.
    fn room(&self, i: usize, down_m: f64, range: &FeasibleRange) -> (f64, f64) {
        let (below, above) = self.edges(i, range);
        let at = |edge: &Edge| edge.slope * down_m + edge.level_m;
        let low = below.iter().map(at).fold(f64::NEG_INFINITY, f64::max);
        let high = above.iter().map(at).fold(f64::INFINITY, f64::min);
        (low.min(high), high)
    }

    /// Lower and upper limits on a station's level as linear functions of the level downstream.
    fn edges(&self, i: usize, range: &FeasibleRange) -> (Vec<Edge>, Vec<Edge>) {
        let node = &self.nodes[i];
        let mut below = vec![Edge { slope: 0.0, level_m: range.low, by: Some(range.low_by) }];
        let mut above = vec![Edge { slope: 0.0, level_m: range.high, by: Some(range.high_by) }];
        match node.tie {
            Tie::Rise { least_m, most_m } => {
                below.push(Edge { slope: 1.0, level_m: least_m, by: None });
                above.push(Edge { slope: 1.0, level_m: most_m, by: None });
            }
            Tie::Straight { share, to_m } => {
                let edge = Edge { slope: 1.0 - share, level_m: share * to_m, by: None };
                below.push(edge);
                above.push(edge);
            }
        }
        for (k, limit) in self.span_constraints(i).iter().enumerate().filter(|(_, limit)| limit.share > 0.0) {
            let by = Some(Source { node: i, between: Some(k) });
            let edge = |level_m: f64| Edge { slope: 1.0 - 1.0 / limit.share, level_m: level_m / limit.share, by };
            below.push(edge(limit.low));
            above.push(edge(limit.high));
        }
        below.retain(|edge| edge.level_m > f64::NEG_INFINITY);
        above.retain(|edge| edge.level_m < f64::INFINITY);
        (below, above)
    }
}

/// What sets an end of a range: a station's bound, or a span constraint between it and the one downstream, by index.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Source {
    pub node: usize,
    pub between: Option<usize>,
}

/// The feasible levels of a station, and what limits them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FeasibleRange {
    pub low: f64,
    pub high: f64,
    pub low_by: Source,
    pub high_by: Source,
}

impl FeasibleRange {
    fn narrow(&mut self, other: &Self) {
        if other.low > self.low {
            (self.low, self.low_by) = (other.low, other.low_by);
        }
        if other.high < self.high {
            (self.high, self.high_by) = (other.high, other.high_by);
        }
    }
}

/// A limit on a station's level: `slope` times the level downstream plus `level_m`; and what sets it, unless that is the
/// rise.
#[derive(Debug, Clone, Copy)]
struct Edge {
    slope: f64,
    level_m: f64,
    by: Option<Source>,
}

/// The highest lower and the lowest upper bound that some limits imply.
fn reach(limits: &[SpanConstraint], bound: impl Fn(&SpanConstraint, f64) -> f64) -> (f64, f64) {
    let low = limits.iter().map(|limit| bound(limit, limit.low)).fold(f64::NEG_INFINITY, f64::max);
    let high = limits.iter().map(|limit| bound(limit, limit.high)).fold(f64::INFINITY, f64::min);
    (low, high)
}
