//! The pipe of a line: parts of one size, wall and kind, from the downstream end up.

use hydraulics::Body;
use plan::{Line, Plan, Stretch, Wall};

use crate::course::{SAME_STATION_M, outlet_pipe_m};

/// Kind of pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PipeKind {
    /// With openings.
    Perforated,
    /// Without openings.
    Solid,
    /// With a heavy wall.
    Heavy,
    /// The rigid last pipe at an open outlet.
    OutletStick,
}

/// A part of a line in pipe of one size, wall and kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pipe {
    /// Lower station, metres from the downstream end.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Its wall.
    pub wall: Wall,
    /// Manning roughness.
    pub n: f64,
    /// Its kind.
    pub kind: PipeKind,
    /// How far its invert lies over the line's guide, metres. The guide is the invert as it would be if the pipe had one size from
    /// end to end; at a reducer with level crowns the invert of the smaller pipe lies higher by the difference of the sizes.
    pub over_guide_m: f64,
}

impl Pipe {
    /// Its body.
    pub const fn body(&self) -> Body {
        match self.wall {
            Wall::Corrugated | Wall::Smooth => Body::CORRUGATED,
            Wall::Rigid => Body::RIGID,
        }
    }

    /// Thickness of its wall, metres.
    pub fn wall_m(&self) -> f64 {
        self.body().wall_m(self.size_m)
    }

    /// Height of its outside top above its invert, metres.
    pub fn top_above_invert_m(&self) -> f64 {
        self.body().top_above_invert_m(self.size_m)
    }

    /// Outside diameter, metres.
    pub fn outside_m(&self) -> f64 {
        self.body().outside_m(self.size_m)
    }

    /// Discharge when full at a grade, m³/s.
    pub fn full_capacity_m3s(&self, grade: f64) -> f64 {
        hydraulics::full_capacity_m3s(self.n, self.size_m, grade)
    }

    /// Velocity when full at a grade, m/s.
    pub fn full_velocity_ms(&self, grade: f64) -> f64 {
        hydraulics::full_velocity_ms(self.n, self.size_m, grade)
    }

    /// The grade at which it runs so fast when full.
    pub fn grade_for_velocity(&self, velocity_ms: f64) -> f64 {
        hydraulics::grade_for_velocity(self.n, self.size_m, velocity_ms)
    }

    /// True for pipe of the same size and wall.
    pub fn is_same_body(&self, other: &Self) -> bool {
        self.size_m == other.size_m && self.wall == other.wall
    }
}

/// Sizes of a line where no stretch has its own, from its downstream end up.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps(Vec<Step>);

/// A size and where it begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Lower station, metres; the size is that up to the next step, or to the upper end.
    pub from_m: f64,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
}

impl Steps {
    /// One size from end to end, metres.
    pub fn one(size_m: f64) -> Self {
        Self(vec![Step { from_m: 0.0, size_m }])
    }

    /// Steps in any order, one of them at the downstream end.
    pub(crate) fn of(mut steps: Vec<Step>) -> Self {
        steps.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        let mut all = Self::one(steps.first().map_or(0.0, |step| step.size_m));
        steps.iter().for_each(|step| all.set_above(step.from_m, step.size_m));
        all
    }

    /// The steps from the downstream end up; at least one.
    pub fn all(&self) -> &[Step] {
        &self.0
    }

    /// Size at the downstream end, metres.
    pub fn lowest_m(&self) -> f64 {
        self.0[0].size_m
    }

    /// Size above a station, metres.
    pub fn above_m(&self, station_m: f64) -> f64 {
        let next = self.0.partition_point(|step| step.from_m <= station_m + SAME_STATION_M);
        self.0[next.max(1) - 1].size_m
    }

    /// Another size from a station up, metres; what lies below it stays.
    pub(crate) fn set_above(&mut self, from_m: f64, size_m: f64) {
        self.0.retain(|step| step.from_m < from_m - SAME_STATION_M || step.from_m <= 0.0);
        match self.0.last_mut() {
            Some(last) if from_m <= SAME_STATION_M || last.size_m == size_m => last.size_m = size_m,
            _ => self.0.push(Step { from_m, size_m }),
        }
    }

    /// No smaller than a size below a station, metres.
    pub(crate) fn widen_below(&mut self, to_m: f64, size_m: f64) {
        if self.0.iter().all(|step| step.from_m >= to_m - SAME_STATION_M || step.size_m >= size_m) {
            return;
        }
        let above_m = self.above_m(to_m);
        let mut wider = Self::one(self.lowest_m().max(size_m));
        let below = self.0.iter().filter(|step| step.from_m < to_m - SAME_STATION_M);
        below.for_each(|step| wider.set_above(step.from_m, step.size_m.max(size_m)));
        if to_m.is_finite() {
            wider.set_above(to_m, above_m);
        }
        let above = self.0.iter().filter(|step| step.from_m > to_m + SAME_STATION_M);
        above.for_each(|step| wider.set_above(step.from_m, step.size_m));
        *self = wider;
    }
}

/// The pipe of a line whose stretches without a size of their own are laid in `steps`; at least one part, the parts one
/// after the other over its whole length.
pub fn pipe_of(plan: &Plan, line: &Line, steps: &Steps, length_m: f64) -> Vec<Pipe> {
    let outlet_m = outlet_pipe_m(plan, line).min(length_m);
    let mut cuts = vec![0.0, outlet_m, length_m];
    cuts.extend(line.stretches.iter().flat_map(|stretch| [stretch.from_m, stretch.to_m]));
    cuts.extend(steps.all().iter().map(|step| step.from_m));
    cuts.retain(|cut_m| (0.0..=length_m).contains(cut_m));
    cuts.sort_by(f64::total_cmp);
    let mut found: Vec<Pipe> = Vec::new();
    let mut inverts_level = false;
    for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0] + SAME_STATION_M || length_m <= SAME_STATION_M) {
        let middle_m = (pair[0] + pair[1]) / 2.0;
        let laid = stretch_at(line, middle_m);
        let part = part_of(plan, line, laid, steps.above_m(middle_m), (pair[0], pair[1]), outlet_m);
        let was_level = std::mem::replace(&mut inverts_level, laid.is_some_and(|laid| laid.inverts_level));
        match found.last_mut() {
            Some(last) if last.is_same_body(&part) && last.kind == part.kind => last.to_m = part.to_m,
            Some(last) => {
                let step_m = if was_level || inverts_level { 0.0 } else { last.size_m - part.size_m };
                let over_guide_m = last.over_guide_m + step_m;
                found.push(Pipe { over_guide_m, ..part });
            }
            None => found.push(part),
        }
    }
    if found.is_empty() {
        found.push(part_of(plan, line, None, steps.lowest_m(), (0.0, length_m), outlet_m));
    }
    // What is too short to be a part belongs to its neighbour.
    let ends: Vec<f64> = found.iter().skip(1).map(|part| part.from_m).chain([length_m]).collect();
    found.iter_mut().zip(ends).for_each(|(part, to_m)| part.to_m = to_m);
    found
}

fn part_of(
    plan: &Plan,
    line: &Line,
    laid: Option<&Stretch>,
    size_m: f64,
    (from_m, to_m): (f64, f64),
    outlet_m: f64,
) -> Pipe {
    let size_m = laid.and_then(|laid| laid.size_m).unwrap_or(size_m);
    let wall = laid.and_then(|laid| laid.wall).unwrap_or(line.wall);
    let kind = match laid {
        _ if (from_m + to_m) / 2.0 < outlet_m => PipeKind::OutletStick,
        Some(laid) if laid.heavy => PipeKind::Heavy,
        Some(laid) if laid.solid => PipeKind::Solid,
        _ => PipeKind::Perforated,
    };
    let n = plan.criteria.roughness_n(line, size_m, wall);
    Pipe { from_m, to_m, size_m, wall, n, kind, over_guide_m: 0.0 }
}

fn stretch_at(line: &Line, station_m: f64) -> Option<&Stretch> {
    line.stretches.iter().find(|stretch| stretch.from_m <= station_m && station_m <= stretch.to_m)
}

/// Parts of pipe of one size and wall, whatever their kind.
pub fn bodies(pipe: &[Pipe]) -> impl Iterator<Item = Pipe> + '_ {
    let alike = pipe.chunk_by(Pipe::is_same_body);
    alike.filter_map(|parts| Some(Pipe { to_m: parts.last()?.to_m, ..*parts.first()? }))
}

/// The part that a station lies in; of two that meet there the lower one.
pub(crate) fn at(pipe: &[Pipe], station_m: f64) -> &Pipe {
    let at = pipe.partition_point(|part| part.to_m < station_m - SAME_STATION_M);
    &pipe[at.min(pipe.len() - 1)]
}

/// The part above a station; at the upper end the last.
pub(crate) fn above(pipe: &[Pipe], station_m: f64) -> &Pipe {
    let at = pipe.partition_point(|part| part.to_m <= station_m + SAME_STATION_M);
    &pipe[at.min(pipe.len() - 1)]
}

/// Stations at which size or wall of a line may change: those of stretches with their own, metres.
pub(crate) fn changes_m(line: &Line) -> impl Iterator<Item = f64> + '_ {
    let own = line.stretches.iter().filter(|laid| laid.size_m.is_some() || laid.wall.is_some());
    own.flat_map(|laid| [laid.from_m, laid.to_m])
}
