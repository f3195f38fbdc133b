//! Limits between stations: a pipe that keeps its bounds at two stations may still break a limit half-way.
//!
//! Between two neighbouring stations `d` and `u` the pipe is straight, and a limit at a share `t` of the way is
//! `low ≤ (1 − t) z_d + t z_u ≤ high`. Such limits couple two levels, which the solver cannot take ([`crate::Tree`]). So they
//! are turned into bounds at both stations: for some rise `r` let `h` be the least of `high − t r` over the limits. Then
//! `z_d ≤ h` and `z_u ≤ h + r` keep every one of them, whatever the pipe's own rise:
//! `(1 − t) z_d + t z_u ≤ (1 − t) h + t (h + r) = h + t r ≤ high`; the same with signs turned for `low`.
//!
//! The bounds are tightest to the purpose where `r` is the rise that the pipe takes. So the problem is first solved without
//! them, which tells what it costs at least; where a limit is broken then, the bounds are set for the rises found, and it is
//! solved again. A line that keeps every limit keeps the bounds set for its own rises (its limits are at least as far off
//! as it lies), so that setting them anew never costs more. Where no level keeps the bounds, it is worked out exactly
//! whether any keeps the limits themselves, and one that does is where the search goes on from.

use crate::known::KnownLines;
use crate::{Between, NoLevel, Tie, Tree};

/// Times the bounds are set anew from the rises found.
const ROUNDS: usize = 3;
/// Cost over the least that is near enough, as a share of it.
const NEAR: f64 = 5e-4;
/// Levels that miss each other by less are one, metres.
const ROUNDING_M: f64 = 1e-10;

impl Tree {
    /// The cheapest levels that keep the limits between stations as well, and what it costs at least to keep the bounds;
    /// `base` is what costs count from, which says how much more is little.
    pub(crate) fn solve_tight(&self, base: f64, known: &mut KnownLines) -> Result<(Vec<f64>, f64), NoLevel> {
        let places = self.gather(&self.bounds(), known, None)?;
        let levels = self.settle(&places);
        let least = self.cost(&levels);
        Ok((self.kept(levels, base, known)?, least))
    }

    /// The cheapest levels that keep the limits between stations as well, from the cheapest that keep the bounds.
    pub(crate) fn kept(&self, cheapest: Vec<f64>, base: f64, known: &mut KnownLines) -> Result<Vec<f64>, NoLevel> {
        if !self.breaks_between(&cheapest) {
            return Ok(cheapest);
        }
        let kept = match self.under(&self.rises(&cheapest), known) {
            Some(kept) => kept,
            None => self.some_levels()?,
        };
        let least = self.cost(&cheapest);
        Ok(self.improved(kept, (least, NEAR * (base + least).abs()), known))
    }

    /// The cheapest levels under the bounds for given rises.
    fn under(&self, rises: &[f64], known: &mut KnownLines) -> Option<Vec<f64>> {
        let places = self.gather(&self.tightened(rises), known, None).ok()?;
        Some(self.settle(&places))
    }

    /// Sets the bounds anew from the rises found, as long as that saves and the least cost is not so near.
    fn improved(&self, mut levels: Vec<f64>, (least, near): (f64, f64), known: &mut KnownLines) -> Vec<f64> {
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

    /// True where the pipe breaks a limit between two stations.
    pub(crate) fn breaks_between(&self, levels: &[f64]) -> bool {
        self.nodes.iter().enumerate().any(|(i, node)| {
            let limits = self.between(i).iter();
            node.down.is_some_and(|down| limits.clone().any(|l| l.breach(levels[down], levels[i]) > ROUNDING_M))
        })
    }

    /// Rise to each station from the one downstream, metres; 0 at an outlet.
    pub(crate) fn rises(&self, levels: &[f64]) -> Vec<f64> {
        let rise = |(i, node): (usize, &crate::Node)| node.down.map_or(0.0, |down| levels[i] - levels[down]);
        self.nodes.iter().enumerate().map(rise).collect()
    }

    /// Bounds at the stations that keep every limit between them, for pipes of about these rises.
    pub(crate) fn tightened(&self, rises: &[f64]) -> Vec<(f64, f64)> {
        let mut bounds = self.bounds();
        (0..bounds.len()).for_each(|i| self.tighten(i, rises[i], &mut bounds));
        bounds
    }

    /// Narrows the bounds of a station and of the one downstream so that they keep the limits between the two.
    fn tighten(&self, i: usize, rise_m: f64, bounds: &mut [(f64, f64)]) {
        let node = &self.nodes[i];
        let (Some(down), limits) = (node.down, self.between(i)) else { return };
        if limits.is_empty() {
            return;
        }
        let given = |k: usize| Some(self.nodes[k].bounds.0).filter(|low| *low == self.nodes[k].bounds.1);
        const ALL: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
        // Beside a given level all that a limit asks is asked of the other.
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

    /// Levels that keep every bound, rise and limit, if there are any: cost does not count.
    pub(crate) fn some_levels(&self) -> Result<Vec<f64>, NoLevel> {
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

    /// Lowest and highest level of each station at which everything above it keeps its limits, and what sets them: exact. The
    /// error names the first station, from the upper ends down, at which there is none.
    pub(crate) fn ranges(&self) -> Result<Vec<Room>, NoLevel> {
        let (ranges, clash) = self.ranges_down();
        clash.map_or(Ok(ranges), |node| Err(NoLevel { node }))
    }

    /// The first station, from the upper ends down, at which nothing above it leaves a level, with what it leaves.
    pub(crate) fn clash(&self) -> Option<(usize, Room)> {
        let (ranges, clash) = self.ranges_down();
        clash.map(|node| (node, ranges[node]))
    }

    /// The way down, as far as there are levels.
    ///
    /// The levels of two neighbours that keep all limits between them form a convex figure, and so its shadow on the lower
    /// one's levels is a range. A limit on the upper one's level from above and one from below leave room between them on
    /// one side of a level of the lower one; the range is what all pairs leave.
    fn ranges_down(&self) -> (Vec<Room>, Option<usize>) {
        let own = |(i, node): (usize, &crate::Node)| {
            let by = Source { node: i, between: None };
            Room { low: node.bounds.0, high: node.bounds.1, low_by: by, high_by: by }
        };
        let mut ranges: Vec<Room> = self.nodes.iter().enumerate().map(own).collect();
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

    /// Levels of the station downstream of one for which it has a level in its own range.
    fn shadow(&self, i: usize, range: &Room) -> Room {
        let (below, above) = self.edges(i, range);
        let mut seen = Room { low: f64::NEG_INFINITY, high: f64::INFINITY, ..*range };
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
                    return Room { low: f64::INFINITY, high: f64::NEG_INFINITY, low_by, high_by };
                }
            }
        }
        seen
    }

    /// Lowest and highest level of a station over a given level of the one downstream.
    fn room(&self, i: usize, down_m: f64, range: &Room) -> (f64, f64) {
        let (below, above) = self.edges(i, range);
        let at = |edge: &Edge| edge.slope * down_m + edge.level_m;
        let low = below.iter().map(at).fold(f64::NEG_INFINITY, f64::max);
        let high = above.iter().map(at).fold(f64::INFINITY, f64::min);
        (low.min(high), high)
    }

    /// What bounds a station's level from below and from above, as functions of the level downstream.
    fn edges(&self, i: usize, range: &Room) -> (Vec<Edge>, Vec<Edge>) {
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
        for (k, limit) in self.between(i).iter().enumerate().filter(|(_, limit)| limit.share > 0.0) {
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

/// What sets a range of levels: the bound of a station, or a limit on the way to it from the one downstream, by its number
/// among those.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Source {
    pub node: usize,
    pub between: Option<usize>,
}

/// Levels a station may have, and what sets them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Room {
    pub low: f64,
    pub high: f64,
    pub low_by: Source,
    pub high_by: Source,
}

impl Room {
    fn narrow(&mut self, other: &Self) {
        if other.low > self.low {
            (self.low, self.low_by) = (other.low, other.low_by);
        }
        if other.high < self.high {
            (self.high, self.high_by) = (other.high, other.high_by);
        }
    }
}

/// A bound on a station's level: `slope` times the level downstream, and `level_m`; what sets it, unless it is the rise.
#[derive(Debug, Clone, Copy)]
struct Edge {
    slope: f64,
    level_m: f64,
    by: Option<Source>,
}

/// The highest low and the lowest high of some limits, each turned into a bound of a station.
fn reach(limits: &[Between], bound: impl Fn(&Between, f64) -> f64) -> (f64, f64) {
    let low = limits.iter().map(|limit| bound(limit, limit.low)).fold(f64::NEG_INFINITY, f64::max);
    let high = limits.iter().map(|limit| bound(limit, limit.high)).fold(f64::INFINITY, f64::min);
    (low, high)
}
