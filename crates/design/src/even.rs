//! Even grades: the penalty on flat pipe, a single grade from end to end, and changes of grade no sharper than necessary.

use plan::CostWeights;

use crate::corridor::{Polygon, cut};
use crate::simplify::{DugReach, Ends, LASER_STEP, Simplified, Unsimplified, is_on_step};

/// Grades at which the penalty for missing rise steps up, as ratios; neighbours differ by at most a factor of two. Between
/// two of them all grades are penalised alike, which leaves room for few reaches.
const BREAKPOINTS: [f64; 7] = [0.016, 0.008, 0.004, 0.002, 0.001, 0.0005, 0.0003];
/// Grade below which a metre of missing rise costs the plan's full price (judgement): little compared with the digging of a
/// long line at 0.4 %, much at 0.05 %.
const WHOLE_PRICE: f64 = 0.002;

/// Penalty on flat grades, in addition to digging; the same for every metre of every line.
///
/// A metre of missing rise at grade `g` costs the plan's price × (0.2 % ÷ g)², so the penalty is a convex function of the
/// grade. For a given fall a convex penalty is least if the grade is the same all along (Jensen 1906, Sur les fonctions
/// convexes et les inégalités entre les valeurs moyennes, Acta Mathematica 30): neither flat pipe nor steep above flat comes
/// cheap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Even {
    /// Breakpoints: grade, and the additional cost of each metre of rise missing to it; the steepest first.
    breakpoints: [(f64, f64); BREAKPOINTS.len()],
}

impl Even {
    /// At the prices of a plan.
    pub fn of(prices: &CostWeights) -> Self {
        let at = |grade: f64| prices.missing_rise_per_m * (WHOLE_PRICE / grade).powi(2);
        let steeper = |k: usize| if k == 0 { 0.0 } else { at(BREAKPOINTS[k - 1]) };
        Self { breakpoints: std::array::from_fn(|k| (BREAKPOINTS[k], at(BREAKPOINTS[k]) - steeper(k))) }
    }

    /// Breakpoints: grade, and the additional cost of each metre of rise missing to it; the steepest first.
    pub fn breakpoints(self) -> impl Iterator<Item = (f64, f64)> {
        self.breakpoints.into_iter()
    }

    /// Penalty for a metre of line at a grade.
    pub fn cost_per_m(&self, grade: f64) -> f64 {
        self.breakpoints
            .iter()
            .take_while(|(breakpoint, _)| grade < *breakpoint)
            .map(|(breakpoint, price)| price * (breakpoint - grade))
            .sum()
    }
}

/// Bounds far beyond any drain's level, metres, and grade: they close a polygon that no limit closes.
const FAR_M: f64 = 1e5;
const STEEP: f64 = 10.0;
/// Bisection steps for the starting level of a straight line, for a grade off the laser's step, and for how far a break is
/// moved.
const HALVINGS: usize = 14;
const GRADE_HALVINGS: usize = 40;
const SHARES: usize = 10;
/// At most so many stations, evenly spread, are tried for a break.
const MOST_PLACES: usize = 8;
/// Costs that differ by less are equal.
const ROUNDING: f64 = 1e-9;
/// Safety factor on a bound that is computed by other arithmetic than what it is compared with.
const MORE: f64 = 1.0 + 1e-6;
/// A break is moved only if the sharpest change of grade falls below this share of what it was.
const LESS: f64 = 0.98;

impl Unsimplified {
    /// The line at a single grade, if its limits and branches allow that and it adds no more than the even margin to the cost
    /// of digging: the grade and starting level of least cost, on the laser's step if possible. A trench that would need
    /// protection is not dug for the sake of a single grade.
    pub fn one_grade(&self) -> Option<Simplified> {
        if self.even_margin < 0.0 || self.stations_m.len() < 2 {
            return None;
        }
        let figure = self.straight_lines();
        let most = self.cost(0, self.cheapest_m[0]) + self.digging(&self.cheapest_m) + self.even_margin + ROUNDING;
        let whole = |line: Straight| self.digging_of(line) + self.penalties(line.grade);
        let cheapest = self.cheapest_of(&figure, whole)?;
        let fits = |line: &Straight| self.digging_of(*line) <= most;
        let line = Some(cheapest).filter(fits).or_else(|| {
            let digging = |line: Straight| self.digging_of(line);
            self.cheapest_of(&figure, digging).filter(fits)
        })?;
        let last = self.stations_m.len() - 1;
        let levels_m: Vec<f64> = self.stations_m.iter().map(|at| line.start_m + line.grade * at).collect();
        let holds = self.reach_holds((0, levels_m[0]), (last, levels_m[last]));
        let reach = DugReach { from: 0, to: last, grade: line.grade, is_exact: !is_on_step(line.grade) };
        holds.then(|| Simplified { levels_m, reaches: vec![reach] })
    }

    /// All straight lines that keep the limits, as a polygon in (starting level, grade).
    fn straight_lines(&self) -> Polygon {
        let (low, high) = (self.start.0.max(-FAR_M), self.start.1.min(FAR_M));
        let least = self.firm.iter().fold(-STEEP, |least, grades| least.max(grades.0));
        let most = self.firm.iter().fold(STEEP, |most, grades| most.min(grades.1));
        if low > high || least > most {
            return Polygon::new();
        }
        let mut figure = vec![(low, least), (high, least), (high, most), (low, most)];
        let stations =
            (0..self.stations_m.len()).map(|i| (self.stations_m[i], self.bounds_m[i].0, self.bounds_m[i].1));
        let met = self.between.iter().copied();
        let unprotected = self.unprotected.iter().map(|(at, low)| (*at, *low, f64::INFINITY));
        for (at, low, high) in stations.chain(met).chain(unprotected) {
            if low.is_finite() {
                cut(&mut figure, |start_m, grade| start_m + grade * at - low);
            }
            if high.is_finite() {
                cut(&mut figure, |start_m, grade| high - start_m - grade * at);
            }
        }
        figure
    }

    /// The line of a polygon with the least value of a convex cost, on the laser's step if the polygon holds such a line.
    fn cheapest_of(&self, figure: &Polygon, cost: impl Fn(Straight) -> f64) -> Option<Straight> {
        let (least, most) = grades(figure)?;
        let at = |grade: f64| self.cheapest_start(figure, grade.clamp(least, most));
        let rounding = 1e-9;
        let (first, last) = ((least / LASER_STEP - rounding).ceil(), (most / LASER_STEP + rounding).floor());
        if first <= last {
            let of = |step: f64| at(step * LASER_STEP).map_or(f64::INFINITY, &cost);
            let (mut low, mut high) = (first, last);
            while low < high {
                let middle = ((low + high) / 2.0).floor();
                if of(middle) <= of(middle + 1.0) { high = middle } else { low = middle + 1.0 }
            }
            return at(low * LASER_STEP);
        }
        let of = |grade: f64| at(grade).map_or(f64::INFINITY, &cost);
        let (mut low, mut high) = (least, most);
        for _ in 0..GRADE_HALVINGS {
            let (one, two) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
            if of(one) <= of(two) { high = two } else { low = one }
        }
        at((low + high) / 2.0)
    }

    /// The line of a given grade with the starting level of least digging; of equally cheap ones the nearest to the cheapest
    /// levels.
    fn cheapest_start(&self, figure: &Polygon, grade: f64) -> Option<Straight> {
        let (mut low, mut high) = starts(figure, grade)?;
        let steep = |start_m: f64, upward: bool| -> f64 {
            let stations = self.stations_m.iter().enumerate();
            stations.map(|(i, at)| self.steepness(i, start_m + grade * at, upward)).sum()
        };
        let ends = [0, self.stations_m.len() - 1];
        let near_m = ends.iter().map(|i| self.cheapest_m[*i] - grade * self.stations_m[*i]).sum::<f64>() / 2.0;
        let near_m = near_m.max(low).min(high);
        if steep(near_m, true) < 0.0 {
            low = near_m;
        } else if steep(near_m, false) > 0.0 {
            high = near_m;
        } else {
            return Some(Straight { start_m: near_m, grade });
        }
        if high - low > 1e-9 {
            for _ in 0..HALVINGS {
                let middle = (low + high) / 2.0;
                if steep(middle, true) < 0.0 { low = middle } else { high = middle }
            }
        }
        Some(Straight { start_m: (low + high) / 2.0, grade })
    }

    /// Cost of digging a straight line, branches included.
    fn digging_of(&self, line: Straight) -> f64 {
        let stations = self.stations_m.iter().enumerate();
        stations.map(|(i, at)| self.cost(i, line.start_m + line.grade * at)).sum()
    }

    /// Penalties of a straight line for missing rise.
    fn penalties(&self, grade: f64) -> f64 {
        let steps = self.stations_m.windows(2).zip(&self.wanted);
        let missed: f64 = steps
            .map(|(pair, wanted_rise)| {
                wanted_rise.map_or(0.0, |wanted_rise| wanted_rise.at(grade * (pair[1] - pair[0])))
            })
            .sum();
        missed + self.stations_m.last().copied().unwrap_or(0.0) * self.even.cost_per_m(grade)
    }

    /// Moves breaks to where the sharpest change of grade nearby becomes smaller, while the cost stays within the budget: of
    /// profiles that cost nearly the same the more even one is easier to dig.
    pub(crate) fn ease(&self, ends: &mut Ends, budget: f64) {
        for _ in 0..2 {
            let mut has_moved = false;
            for k in 0..ends.len().saturating_sub(1) {
                has_moved |= !self.fixed[ends[k].0] && self.ease_break(ends, k, budget);
            }
            if !has_moved {
                return;
            }
        }
    }

    /// True if the break was moved.
    fn ease_break(&self, ends: &mut Ends, k: usize, budget: f64) -> bool {
        let (before, after) = (self.before(ends, k), ends[k + 1]);
        let spare = budget - self.total_of(ends);
        let most = self.cost_of_reach(before, ends[k]) + self.cost_of_reach(ends[k], after) + spare;
        let mut sharpest = self.sharpest(ends, k);
        let (mut tried, mut has_moved) = (ends.clone(), false);
        let inside = before.0 + 1..after.0;
        let step = inside.len().div_ceil(MOST_PLACES).max(1);
        for station in inside.step_by(step).chain([ends[k].0]).collect::<Vec<_>>() {
            tried[k] = (station, self.level_on(before, after, station));
            let Some(level_m) = self.straightest(&tried, k, most, sharpest * LESS) else { continue };
            tried[k].1 = level_m;
            let sharp = self.sharpest(&tried, k);
            if sharp < sharpest * LESS {
                sharpest = sharp;
                ends[k] = tried[k];
                has_moved = true;
            }
        }
        has_moved
    }

    /// The level of break `k`, given on the straight line between its neighbours, that is nearest to that line while both
    /// reaches keep their limits and cost no more than `most`; `None` also if the change of grade there would not be below
    /// `sharpest`.
    fn straightest(&self, ends: &Ends, k: usize, most: f64, sharpest: f64) -> Option<f64> {
        let (before, here, after) = (self.before(ends, k), ends[k], ends[k + 1]);
        let (low, high) = self.range_at(ends, k);
        let fits = |level_m: f64| {
            let moved = (here.0, level_m);
            self.cost_of_reach(before, moved) + self.cost_of_reach(moved, after) <= most
                && self.reach_holds(before, moved)
                && self.reach_holds(moved, after)
        };
        let nearest = here.1.max(low).min(high);
        let off_m = sharpest * MORE / (1.0 / self.length_m(before, here) + 1.0 / self.length_m(here, after));
        if low > high || (nearest - here.1).abs() >= off_m {
            return None;
        }
        if fits(nearest) {
            return Some(nearest);
        }
        let mut moved = ends.clone();
        moved[k].1 = nearest;
        let cheapest = self.best_within(&moved, k, (low, high));
        let (mut far, mut near) = (cheapest, nearest);
        if !fits(far) {
            return None;
        }
        // The levels that fit form an interval around the cheapest one: if it ends before `edge`, the change of grade is too
        // sharp.
        let edge = here.1 + off_m.copysign(cheapest - here.1);
        if (cheapest - here.1).abs() > off_m && !fits(edge) {
            return None;
        }
        for _ in 0..SHARES {
            let middle = (far + near) / 2.0;
            if fits(middle) { far = middle } else { near = middle }
        }
        Some(far)
    }

    /// The sharpest change of grade at a break and its neighbours.
    fn sharpest(&self, ends: &Ends, k: usize) -> f64 {
        let grade = |k: usize| {
            let (from, to) = (self.before(ends, k), ends[k]);
            (to.1 - from.1) / self.length_m(from, to)
        };
        let breaks = k.saturating_sub(1)..(k + 2).min(ends.len() - 1);
        breaks.map(|k| (grade(k + 1) - grade(k)).abs()).fold(0.0, f64::max)
    }
}

/// A straight line: starting level, metres, and grade.
#[derive(Debug, Clone, Copy)]
struct Straight {
    start_m: f64,
    grade: f64,
}

/// Least and greatest grade of the lines in a polygon.
fn grades(figure: &Polygon) -> Option<(f64, f64)> {
    let grades = || figure.iter().map(|corner| corner.1);
    Some((grades().reduce(f64::min)?, grades().reduce(f64::max)?))
}

/// Lowest and highest starting level of the lines in a polygon that have a given grade.
fn starts(figure: &Polygon, grade: f64) -> Option<(f64, f64)> {
    let mut starts: Vec<f64> = Vec::new();
    for (i, one) in figure.iter().enumerate() {
        let other = figure[(i + 1) % figure.len()];
        if one.1 == grade {
            starts.push(one.0);
        }
        if (one.1 - grade) * (other.1 - grade) < 0.0 {
            starts.push(one.0 + (other.0 - one.0) * (grade - one.1) / (other.1 - one.1));
        }
    }
    Some((starts.iter().copied().reduce(f64::min)?, starts.iter().copied().reduce(f64::max)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At the plan's first cost weights a metre of missing rise costs 50 below 0.2 %, 200 below 0.1 %, 800 below 0.05 %, and nothing
    /// above 1.6 %.
    #[test]
    fn flat_pipe_is_dear() {
        let even = Even::of(&CostWeights::default());
        for (grade, price) in [(0.0019, 50.0), (0.0009, 200.0), (0.000_49, 800.0), (0.016, 0.0)] {
            let spared = even.cost_per_m(grade) - even.cost_per_m(grade + 1e-6);
            assert!((spared - price * 1e-6).abs() < 1e-12, "{grade}");
        }
        let spared = even.cost_per_m(0.0005) - even.cost_per_m(0.001);
        assert!((spared - 200.0 * 0.0005).abs() < 1e-12);
    }

    /// For a given fall the even line is the cheapest: of two reaches, whatever the two grades.
    #[test]
    fn the_even_line_costs_least() {
        let even = Even::of(&CostWeights::default());
        for mean in [0.0006, 0.003, 0.009] {
            for off in [0.1, 0.4, 0.8] {
                let uneven = even.cost_per_m(mean * (1.0 - off)) + even.cost_per_m(mean * (1.0 + off));
                assert!(2.0 * even.cost_per_m(mean) <= uneven + 1e-12);
            }
        }
    }
}
