//! The strip of soil from a drain to halfway to the next, in one dimension: `S ∂h/∂t = ∂/∂x (K h ∂h/∂x) + R − E`.
//!
//! Steps in time are Rosenbrock's of third order, L-stable, with a second-order answer beside it for the error (RODAS3, after
//! Sandu and others 1997, from memory; its order is a test). The volumes are those between the middles of the nodes: what
//! one loses the next gains.

use hydraulics::equivalent_depth_m;

use crate::section::DRY_FROM_M;
use measure::DAY_S;

use crate::{Section, Weather};

/// Least thickness of wet soil that is reckoned with, metres.
const THINNEST_M: f64 = 1e-3;

/// A step so short is taken whatever its error, seconds.
const SHORTEST_S: f64 = 0.01;

/// The method's share of the step that a stage is implicit over.
const GAMMA: f64 = 0.5;

/// How much better than a spacing of soil the last way into the drain conducts: as good as open.
const OPEN: f64 = 1e5;

/// Half the soil between two drains; the other half is its mirror.
#[derive(Debug, Clone)]
pub struct Strip {
    /// Height of the water table over the base, metres, from the drain to the middle.
    pub heads_m: Vec<f64>,
    cell_m: f64,
    drain_m: f64,
    surface_m: f64,
    dry_from_m: f64,
    conductivity_ms: f64,
    /// What the last way into the drain conducts, m/s.
    opening_ms: f64,
    porosity: f64,
    step_s: f64,
    work: Work,
}

/// What a step needs, kept from one to the next.
#[derive(Debug, Clone, Default)]
struct Work {
    /// One over the conveyance from a node to the next.
    ease: Vec<f64>,
    storage: Vec<f64>,
    pivots: Vec<f64>,
    at: Vec<f64>,
    flux: Vec<f64>,
    stages: [Vec<f64>; 4],
}

impl Strip {
    /// The half of a section in so many pieces, or one more where they are odd; its table level at a depth, metres.
    pub fn of(section: &Section, pieces: usize, start_depth_m: f64) -> Self {
        let below_m = (section.tight_depth_m - section.drain_depth_m).max(THINNEST_M);
        let drain_m = equivalent_depth_m(below_m, section.spacing_m, section.radius_m).max(THINNEST_M);
        Self::over(section, pieces, drain_m, start_depth_m)
    }

    /// The same with its base so far below the drains, metres, instead of the equivalent depth.
    pub fn over(section: &Section, pieces: usize, drain_m: f64, start_depth_m: f64) -> Self {
        let surface_m = drain_m + section.drain_depth_m;
        let pieces = pieces.next_multiple_of(2).max(2);
        let nodes = pieces + 1;
        let zeros = || vec![0.0; nodes];
        let conductivity_ms = section.conductivity_ms;
        Self {
            heads_m: vec![(surface_m - start_depth_m).clamp(THINNEST_M, surface_m); nodes],
            cell_m: section.spacing_m / 2.0 / pieces as f64,
            drain_m,
            surface_m,
            dry_from_m: DRY_FROM_M.min(surface_m),
            conductivity_ms,
            opening_ms: OPEN * conductivity_ms * drain_m / section.spacing_m,
            porosity: section.porosity,
            step_s: 0.01 * DAY_S,
            work: Work {
                ease: zeros(),
                storage: zeros(),
                pivots: zeros(),
                at: zeros(),
                flux: zeros(),
                stages: [zeros(), zeros(), zeros(), zeros()],
            },
        }
    }

    /// Depth of the water table from drain to drain, metres.
    pub fn depths_m(&self) -> Vec<f64> {
        let half = self.heads_m.iter().map(|head| self.surface_m - head);
        half.clone().chain(half.rev().skip(1)).collect()
    }

    /// Goes through a day in steps that are off by no more than `off_m` each, metres. Answers how many it took.
    pub fn pass_day(&mut self, weather: Weather, off_m: f64) -> usize {
        let (mut left_s, mut steps) = (DAY_S, 0);
        while left_s > 0.0 {
            let pieces = (left_s / self.step_s).ceil().max(1.0);
            let step_s = left_s / pieces;
            let error = self.try_step(weather, step_s) / off_m;
            steps += 1;
            // What is no number, or no time, is not tried for ever.
            if error <= 1.0 || error.is_nan() || step_s < SHORTEST_S {
                self.take_step();
                left_s = if pieces == 1.0 { 0.0 } else { left_s - step_s };
            }
            // Third order: an error eight times too large asks for half the step.
            self.step_s = step_s * (0.9 / error.max(1e-9).cbrt()).clamp(0.2, 4.0);
        }
        steps
    }

    /// Works the four stages of a step out; answers how far it may be off, metres.
    fn try_step(&mut self, weather: Weather, step_s: f64) -> f64 {
        self.factorise(weather, step_s);
        self.flows(weather, &[]);
        self.stage(0, &[]);
        self.stage(1, &[(0, 4.0)]);
        self.flows(weather, &[(0, 2.0)]);
        self.stage(2, &[(0, 1.0), (1, -1.0)]);
        self.flows(weather, &[(0, 2.0), (2, 1.0)]);
        self.stage(3, &[(0, 1.0), (1, -1.0), (2, -8.0 / 3.0)]);
        self.work.stages[3].iter().fold(0.0, |most, off| off.abs().max(most))
    }

    /// The table after the step that was tried; what rose above the surface has run off.
    fn take_step(&mut self) {
        let [first, _, third, fourth] = &self.work.stages;
        for (node, head) in self.heads_m.iter_mut().enumerate() {
            let risen = *head + 2.0 * first[node] + third[node] + fourth[node];
            *head = risen.clamp(THINNEST_M, self.surface_m);
        }
    }

    /// Length of strip that a node stands for, metres.
    fn width_m(&self, node: usize) -> f64 {
        let is_end = node == 0 || node + 1 == self.heads_m.len();
        if is_end { self.cell_m / 2.0 } else { self.cell_m }
    }

    /// What a node loses beside its neighbours for each metre that its table is higher, m/s times metres of strip.
    fn loss_ms(&self, node: usize, air_ms: f64) -> f64 {
        let head = self.heads_m[node];
        let is_drying = head < self.surface_m && head > self.surface_m - self.dry_from_m;
        let drying = if is_drying { air_ms / self.dry_from_m * self.width_m(node) } else { 0.0 };
        if node == 0 && head >= self.drain_m { drying + self.opening_ms } else { drying }
    }

    /// The pivots of `storage / (γ step) − J`, in unknowns multiplied by the conveyance of their node: every entry beside the
    /// diagonal is then −1.
    fn factorise(&mut self, weather: Weather, step_s: f64) {
        let last = self.heads_m.len() - 1;
        for node in 0..=last {
            let ease = self.cell_m / (self.conductivity_ms * self.heads_m[node].max(THINNEST_M));
            let storage = self.porosity * self.width_m(node) / step_s;
            let sides = if node == 0 || node == last { 1.0 } else { 2.0 };
            let loss = self.loss_ms(node, weather.evaporation_m / DAY_S);
            self.work.pivots[node] = sides + (storage / GAMMA + loss) * ease;
            self.work.ease[node] = ease;
            self.work.storage[node] = storage;
        }
        let (west, middle, east) = halves(&mut self.work.pivots);
        let (mut from_west, mut from_east) = (0.0, 0.0);
        for (west, east) in west.iter_mut().zip(east.iter_mut().rev()) {
            from_west = 1.0 / (*west - from_west);
            from_east = 1.0 / (*east - from_east);
            (*west, *east) = (from_west, from_east);
        }
        middle[0] = 1.0 / (middle[0] - from_west - from_east);
    }

    /// What each node gains, m²/s, at the table of now and a sum of stages on top.
    fn flows(&mut self, weather: Weather, on_top: &[(usize, f64)]) {
        let Work { at, flux, stages, .. } = &mut self.work;
        at.copy_from_slice(&self.heads_m);
        for (stage, weight) in on_top {
            at.iter_mut().zip(&stages[*stage]).for_each(|(at, gain)| *at += weight * gain);
        }
        // K (h₁ + h₂) / 2 · (h₂ − h₁) / Δx = K (h₂² − h₁²) / 2 Δx
        let conveys = self.conductivity_ms / (2.0 * self.cell_m);
        let (rain_ms, air_ms) = (weather.rain_m / DAY_S, weather.evaporation_m / DAY_S);
        let (cell_m, last) = (self.cell_m, at.len() - 1);
        let share = |head: f64| (1.0 - (self.surface_m - head) / self.dry_from_m).clamp(0.0, 1.0);
        let gain = |head: f64| cell_m * (rain_ms - air_ms * share(head));
        for node in 1..last {
            let (west, here, east) = (at[node - 1], at[node], at[node + 1]);
            flux[node] = conveys * (west * west - 2.0 * here * here + east * east) + gain(here);
        }
        let end = |here: f64, inner: f64| conveys * (inner * inner - here * here) + gain(here) / 2.0;
        flux[0] = end(at[0], at[1]) - self.opening_ms * (at[0] - self.drain_m).max(0.0);
        flux[last] = end(at[last], at[last - 1]);
    }

    /// Solves for one stage: from both ends to the middle, then back.
    fn stage(&mut self, stage: usize, before: &[(usize, f64)]) {
        let Work { ease, storage, pivots, flux, stages, .. } = &mut self.work;
        let (done, rest) = stages.split_at_mut(stage);
        let found = &mut rest[0];
        found.copy_from_slice(flux);
        for (earlier, weight) in before {
            let sums = found.iter_mut().zip(storage.iter()).zip(&done[*earlier]);
            sums.for_each(|((sum, storage), gain)| *sum += weight * storage * gain);
        }
        let (west, middle, east) = halves(found);
        let (west_pivots, middle_pivot, east_pivots) = halves(pivots);
        let pivots = || west_pivots.iter().zip(east_pivots.iter().rev());
        let (mut from_west, mut from_east) = (0.0, 0.0);
        for ((west, east), (west_pivot, east_pivot)) in west.iter_mut().zip(east.iter_mut().rev()).zip(pivots()) {
            from_west = (*west + from_west) * west_pivot;
            from_east = (*east + from_east) * east_pivot;
            (*west, *east) = (from_west, from_east);
        }
        middle[0] = (middle[0] + from_west + from_east) * middle_pivot[0];
        (from_west, from_east) = (middle[0], middle[0]);
        for ((west, east), (west_pivot, east_pivot)) in west.iter_mut().rev().zip(east).zip(pivots().rev()) {
            from_west = *west + west_pivot * from_west;
            from_east = *east + east_pivot * from_east;
            (*west, *east) = (from_west, from_east);
        }
        found.iter_mut().zip(ease.iter()).for_each(|(found, ease)| *found *= ease);
    }
}

/// The figures before the middle one, that, and as many behind it: they are worked through from both ends at once, which
/// takes half the time, for each end waits on its own last figure alone.
fn halves(figures: &mut [f64]) -> (&mut [f64], &mut [f64], &mut [f64]) {
    let (west, rest) = figures.split_at_mut(figures.len() / 2);
    let (middle, east) = rest.split_at_mut(1);
    (west, middle, east)
}

#[cfg(test)]
mod tests;
