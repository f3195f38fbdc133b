//! The water table of a field in time: `S ∂h/∂t = ∇·(K H ∇h) + R − E − drains`, with `H` the wet thickness over the tight layer.
//!
//! A step is Rosenbrock's of second order, which keeps its order with any matrix (ROS2, after Verwer and others 1999, from
//! memory; its order is a test): two systems with one symmetric matrix, no iteration. What is counted is water, not level:
//! what the solver leaves of a system goes into its cell, so that nothing is lost or made.

use std::ops::ControlFlow;

use crate::conveyance::Conveyance;
use crate::ponds::Ponds;
use crate::system::System;
use measure::DAY_S;

use crate::{Field, Weather};

/// The method's share of a step that a stage is implicit over: 1 − 1/√2.
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// How far a step may be off, metres: a step of first order is held to it, the one of second order that is taken is nearer.
pub const STEP_OFF_M: f64 = 0.02;

/// How nearly a system is solved, as a share of its right side; what is left is kept.
const SOLVED: f64 = 1e-3;

/// A step so short is taken whatever its error, seconds.
const SHORTEST_S: f64 = 1.0;

/// What came and where it went, cubic metres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Rain.
    pub rain_m3: f64,
    /// What the drains took.
    pub drained_m3: f64,
    /// What the air took.
    pub evaporated_m3: f64,
    /// What left over the surface.
    pub ran_off_m3: f64,
    /// What soil and hollows hold more than at the start.
    pub stored_m3: f64,
}

impl Balance {
    /// What is not accounted for, as a share of all that came.
    pub fn off(&self) -> f64 {
        let gone = self.drained_m3 + self.evaporated_m3 + self.ran_off_m3;
        let came = self.rain_m3.max(gone).max(f64::MIN_POSITIVE);
        (self.rain_m3 - gone - self.stored_m3).abs() / came
    }
}

/// A field on its way through a season.
#[derive(Debug, Clone)]
pub struct Season<'a> {
    field: &'a Field,
    /// Level of the water table in each cell, metres; above the surface where water stands.
    pub heads_m: Vec<f64>,
    went: Balance,
    /// Water in soil and hollows at the start, cubic metres.
    start_m3: f64,
    /// Steps tried so far.
    pub steps: usize,
    /// Cycles of the solver so far.
    pub cycles: usize,
    /// How far a step may be off, metres.
    off_m: f64,
    step_s: f64,
    system: System,
    ponds: Ponds,
    between: Conveyance,
    sky: Sky,
    work: Work,
}

/// What a step needs, kept from one to the next.
#[derive(Debug, Clone, Default)]
struct Work {
    /// What each cell gains from its neighbours, the sky and the drains, m³/s.
    gains: Vec<f64>,
    /// Water that a cell takes up for a metre of rise, m².
    takes: Vec<f64>,
    /// What a cell adds to the diagonal, m²/s.
    own: Vec<f64>,
    /// The stages: change of level, metres, and what is left unsolved, m³/s.
    first: Vec<f64>,
    first_left: Vec<f64>,
    second: Vec<f64>,
    second_left: Vec<f64>,
    /// Levels after the step by its first stage alone, and by both.
    ahead: Vec<f64>,
    reached: Vec<f64>,
    /// Cells whose table passes the surface, and drains that it passes, in this step.
    passes: Vec<bool>,
    draws: Vec<bool>,
}

/// What comes down and goes up.
#[derive(Debug, Clone, Default)]
struct Sky {
    /// Rain, m/s.
    rain_ms: f64,
    /// What the air would take, m/s.
    air_ms: f64,
    /// Land in each cell, square metres.
    land_m2: Vec<f64>,
}

impl<'a> Season<'a> {
    /// A field whose water table stands at a level in each cell, metres.
    pub fn new(field: &'a Field, heads_m: Vec<f64>, off_m: f64) -> Self {
        let cells = field.len();
        let zeros = || vec![0.0; cells];
        Self {
            field,
            start_m3: field.holds_m3(&heads_m),
            heads_m,
            went: Balance::default(),
            steps: 0,
            cycles: 0,
            off_m,
            step_s: 0.01 * DAY_S,
            system: System::new(field.cols, field.rows),
            ponds: Ponds::new(field),
            between: Conveyance::new(field),
            sky: Sky {
                land_m2: field.is_land.iter().map(|is| if *is { field.cell_m2() } else { 0.0 }).collect(),
                ..Sky::default()
            },
            work: Work {
                gains: zeros(),
                takes: zeros(),
                own: zeros(),
                first: zeros(),
                first_left: zeros(),
                second: zeros(),
                second_left: zeros(),
                ahead: zeros(),
                reached: zeros(),
                passes: vec![false; cells],
                draws: vec![false; field.drains.len()],
            },
        }
    }

    /// The same with its table level at a depth below the surface everywhere, metres, but not below the tight layer.
    pub fn at_depth(field: &'a Field, depth_m: f64, off_m: f64) -> Self {
        let levels = field.surface_m.iter().zip(&field.base_m).map(|(surface, base)| (surface - depth_m).max(*base));
        Self::new(field, levels.collect(), off_m)
    }

    /// Depth of the water table below the surface in a cell, metres; below 0 where water stands.
    pub fn depth_m(&self, cell: usize) -> f64 {
        self.field.surface_m[cell] - self.heads_m[cell]
    }

    /// The field.
    pub fn field(&self) -> &Field {
        self.field
    }

    /// What came and went so far.
    pub fn balance(&self) -> Balance {
        Balance { stored_m3: self.field.holds_m3(&self.heads_m) - self.start_m3, ..self.went }
    }

    /// Level of the water table in each cell before the last step, metres.
    pub fn before_m(&self) -> &[f64] {
        &self.work.reached
    }

    /// Goes through a day. `step` hears of each step that was taken: how long it was, seconds, and the season after it;
    /// its `Break` stops the day.
    pub fn pass_day(
        &mut self,
        weather: Weather,
        step: &mut impl FnMut(f64, &Self) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let mut left_s = DAY_S;
        (self.sky.rain_ms, self.sky.air_ms) = (weather.rain_m / DAY_S, weather.evaporation_m / DAY_S);
        while left_s > 0.0 {
            let pieces = (left_s / self.step_s).ceil().max(1.0);
            let step_s = left_s / pieces;
            let error = self.try_step(step_s) / self.off_m;
            self.steps += 1;
            if error <= 1.0 || error.is_nan() || step_s < SHORTEST_S {
                self.take_step(step_s);
                left_s = if pieces == 1.0 { 0.0 } else { left_s - step_s };
                step(step_s, self)?;
            }
            // The error grows with the square of the step.
            self.step_s = step_s * (0.9 / error.max(1e-9).sqrt()).clamp(0.2, 4.0);
        }
        ControlFlow::Continue(())
    }

    /// Works the two stages out; answers how far the step may be off, metres.
    fn try_step(&mut self, step_s: f64) -> f64 {
        self.work.passes.fill(false);
        for (draws, drain) in self.work.draws.iter_mut().zip(&self.field.drains) {
            *draws = self.heads_m[drain.cell] > drain.level_m;
        }
        self.first_stage(step_s);
        if self.passes_something() {
            self.first_stage(step_s);
        }
        self.second_stage(step_s);
        self.reach(step_s);
        let off_m = |cell: usize| {
            if self.ponds.fed[cell] { 0.0 } else { (self.work.reached[cell] - self.work.ahead[cell]).abs() }
        };
        self.field.land().map(off_m).fold(0.0, f64::max)
    }

    /// The levels that the step leads to.
    fn reach(&mut self, step_s: f64) {
        let (field, work) = (self.field, &mut self.work);
        for cell in 0..field.len() {
            let level = work.takes[cell] * (1.5 * work.first[cell] + 0.5 * work.second[cell]) / GAMMA;
            let left = step_s * (1.5 * work.first_left[cell] + 0.5 * work.second_left[cell]);
            work.reached[cell] = field.risen_m(cell, self.heads_m[cell], (level + left) / field.cell_m2());
        }
    }

    /// The change of level over the method's share of the step, and the level that it leads to over all of it.
    fn first_stage(&mut self, step_s: f64) {
        let Work { gains, draws, .. } = &mut self.work;
        gain(self.field, &mut self.between, &self.heads_m, &self.sky, draws, gains);
        self.assemble(step_s);
        let Work { gains, takes, first, first_left, ahead, .. } = &mut self.work;
        self.system.board.gather(gains, &mut self.system.right);
        self.system.board.gather(first, &mut self.system.found);
        self.cycles += self.system.solve(SOLVED);
        self.system.board.spread(&self.system.found, first);
        self.system.board.spread(&self.system.left, first_left);
        for cell in 0..self.field.len() {
            let water_m3 = takes[cell] * first[cell] / GAMMA + step_s * first_left[cell];
            let water_m = water_m3 / self.field.cell_m2();
            // What a fed cell loses comes again: for its neighbours it stays full.
            ahead[cell] = match self.ponds.fed[cell] {
                true => self.heads_m[cell] + water_m,
                false => self.field.risen_m(cell, self.heads_m[cell], water_m),
            };
        }
    }

    /// The second change of level, in the same matrix.
    fn second_stage(&mut self, step_s: f64) {
        let Work { gains, takes, first, first_left, second, second_left, ahead, draws, .. } = &mut self.work;
        gain(self.field, &mut self.between, ahead, &self.sky, draws, gains);
        for (cell, gain) in gains.iter_mut().enumerate() {
            *gain -= 2.0 * (takes[cell] * first[cell] / (GAMMA * step_s) + first_left[cell]);
        }
        self.system.board.gather(gains, &mut self.system.right);
        second.iter_mut().zip(&*first).for_each(|(second, first)| *second = -first);
        self.system.board.gather(second, &mut self.system.found);
        self.cycles += self.system.solve(SOLVED);
        self.system.board.spread(&self.system.found, second);
        self.system.board.spread(&self.system.left, second_left);
    }

    /// Marks the ponds that would run dry in the step and the drains that the table would reach; true if there are any.
    fn passes_something(&mut self) -> bool {
        let (field, work) = (self.field, &mut self.work);
        let mut any = false;
        for cell in 0..field.len() {
            let surface_m = field.surface_m[cell];
            let stands = self.heads_m[cell] > surface_m && !self.ponds.fed[cell];
            work.passes[cell] = stands && work.ahead[cell] < surface_m;
            any |= work.passes[cell];
        }
        for (draws, drain) in work.draws.iter_mut().zip(&field.drains) {
            let reached = !*draws && work.ahead[drain.cell] > drain.level_m;
            *draws |= reached;
            any |= reached;
        }
        any
    }

    /// The matrix: what each cell takes up in the step, what its neighbours and drains pull.
    fn assemble(&mut self, step_s: f64) {
        let (field, work, system) = (self.field, &mut self.work, &mut self.system);
        for cell in 0..field.len() {
            let (head_m, land_m2) = (self.heads_m[cell], self.sky.land_m2[cell]);
            let is_soil = (head_m < field.surface_m[cell] || work.passes[cell]) && !self.ponds.fed[cell];
            work.takes[cell] = land_m2 * if is_soil { field.porosity[cell] } else { 1.0 };
            let dries_ms = self.sky.air_ms * field.evaporates(cell, head_m).1;
            work.own[cell] = work.takes[cell] / (GAMMA * step_s) + land_m2 * dries_ms;
        }
        for (drain, _) in field.drains.iter().zip(&work.draws).filter(|(_, draws)| **draws) {
            work.own[drain.cell] += drain.takes(self.heads_m[drain.cell]).1;
        }
        system.board.gather(&work.own, &mut system.own);
        system.faces.gather(system.board, &self.between.m2s);
        system.settle();
    }

    /// Takes the step that was tried, and lets what stands on the surface run on.
    fn take_step(&mut self, step_s: f64) {
        let field = self.field;
        self.count(step_s);
        std::mem::swap(&mut self.heads_m, &mut self.work.reached);
        self.went.ran_off_m3 += self.ponds.run_on(field, &mut self.heads_m) * field.cell_m2();
    }

    /// Counts what came and went in the step: the mean of both stages, each as its system has it.
    fn count(&mut self, step_s: f64) {
        let (field, work) = (self.field, &self.work);
        let (mut drained, mut evaporated) = (0.0, 0.0);
        for cell in 0..field.len() {
            let (now, grows) = field.evaporates(cell, self.heads_m[cell]);
            let ahead = field.evaporates(cell, work.ahead[cell]).0;
            evaporated += self.sky.land_m2[cell] * (now + ahead + grows * (work.first[cell] + work.second[cell]));
        }
        for (drain, _) in field.drains.iter().zip(&work.draws).filter(|(_, draws)| **draws) {
            let (now, grows) = drain.takes(self.heads_m[drain.cell]);
            let ahead = drain.takes(work.ahead[drain.cell]).0;
            drained += now + ahead + grows * (work.first[drain.cell] + work.second[drain.cell]);
        }
        self.went.rain_m3 += step_s * self.sky.rain_ms * self.sky.land_m2.iter().sum::<f64>();
        self.went.evaporated_m3 += step_s / 2.0 * self.sky.air_ms * evaporated;
        self.went.drained_m3 += step_s / 2.0 * drained;
    }
}

/// What each cell gains from its neighbours, the sky and the drains at given levels, m³/s; the conveyances are those of the
/// levels then.
fn gain(field: &Field, between: &mut Conveyance, heads_m: &[f64], sky: &Sky, draws: &[bool], gains: &mut [f64]) {
    for (cell, gain) in gains.iter_mut().enumerate() {
        *gain = sky.land_m2[cell] * (sky.rain_ms - sky.air_ms * field.evaporates(cell, heads_m[cell]).0);
    }
    between.look(field, heads_m);
    between.add_flows(field.cols, heads_m, gains);
    for (drain, _) in field.drains.iter().zip(draws).filter(|(_, draws)| **draws) {
        gains[drain.cell] -= drain.takes(heads_m[drain.cell]).0;
    }
}
