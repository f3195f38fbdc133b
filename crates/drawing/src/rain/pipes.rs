//! Water in the pipes, once it has soaked in: it goes the way and at the speed of the design.

use design::{Design, LineDesign};
use hydraulics::velocity_ms;
use measure::{Point, point_at};

use super::drops::fraction;
use super::{Rainfall, is_seen};
use crate::role::Role;
use crate::scene::{Form, Item, Scene};

/// Drops along a pipe that carries as much as any, one every so many metres.
const APART_M: f64 = 6.0;
/// Drops in all pipes at most.
const MOST: usize = 1500;
/// Water in a pipe without a fall is taken to creep so fast, m/s (own choice).
const CREEPS_MS: f64 = 0.02;
/// How long after the rain began soaked water is shown in the pipes, seconds. In the ground that takes hours to days: whoever
/// shows it says so.
const SOAKS_S: f64 = 900.0;

/// The pipes of a design that lead water to an outlet.
#[derive(Debug, Clone, Default)]
pub struct Pipes {
    pipes: Vec<Pipe>,
    /// The number of drops on all of them, before any is left out.
    count: usize,
    most_m3s: f64,
}

/// One pipe.
#[derive(Debug, Clone)]
struct Pipe {
    points: Vec<Point>,
    /// Stations from the upper end down, metres.
    stations_m: Vec<f64>,
    /// When water from the upper end passes each of them, seconds.
    after_s: Vec<f64>,
    /// What flows there, m³/s.
    flow_m3s: Vec<f64>,
}

impl Pipe {
    fn of(points: &[Point], line: &LineDesign) -> Self {
        let mut pipe =
            Self { points: points.to_vec(), stations_m: Vec::new(), after_s: Vec::new(), flow_m3s: Vec::new() };
        let mut after_s = 0.0;
        for i in (0..line.stations.len()).rev() {
            if let Some(above) = line.stations.get(i + 1) {
                let way_m = above.station_m - line.stations[i].station_m;
                after_s += way_m / speed_ms(line, i).max(CREEPS_MS);
            }
            pipe.stations_m.push(line.stations[i].station_m);
            pipe.after_s.push(after_s);
            pipe.flow_m3s.push(line.through_m3s.get(i).copied().unwrap_or(0.0));
        }
        pipe
    }

    fn takes_s(&self) -> f64 {
        self.after_s.last().copied().unwrap_or(0.0)
    }

    /// The place that water has come to after a time, a place a little downstream, and what flows there.
    fn at(&self, after_s: f64) -> Option<(Point, Point, f64)> {
        let next = self.after_s.partition_point(|after| *after <= after_s);
        let last = next.checked_sub(1).filter(|_| next < self.after_s.len())?;
        let part = (after_s - self.after_s[last]) / (self.after_s[next] - self.after_s[last]);
        let station_m = self.stations_m[last] + (self.stations_m[next] - self.stations_m[last]) * part;
        let at = point_at(&self.points, station_m)?;
        Some((at, point_at(&self.points, (station_m - 1.0).max(0.0))?, self.flow_m3s[next]))
    }
}

/// Mean velocity of the design discharge between a station and the next one up, m/s; 0 where the pipe does not fall.
fn speed_ms(line: &LineDesign, index: usize) -> f64 {
    let (pipe, flow_m3s) = (line.above(index), line.through_m3s.get(index).copied().unwrap_or(0.0));
    let grade = line.grade(index).unwrap_or(0.0);
    if grade > 0.0 { velocity_ms(pipe.n, pipe.size_m, grade, flow_m3s) } else { 0.0 }
}

impl Pipes {
    /// The lines of a design whose water comes out.
    pub fn of(plan: &plan::Plan, design: &Design) -> Self {
        let open = design.lines.iter().filter(|(_, line)| line.reaches_outlet && line.stations.len() > 1);
        let pipes: Vec<Pipe> =
            open.filter_map(|(id, line)| Some(Pipe::of(&plan.lines.get(id)?.points, line))).collect();
        let count = pipes.iter().map(|pipe| (pipe.stations_m[0] / APART_M).ceil() as usize).sum();
        let most_m3s = pipes.iter().flat_map(|pipe| &pipe.flow_m3s).copied().fold(0.0, f64::max);
        Self { pipes, count, most_m3s }
    }

    /// The water in them at a moment of a rain, denser where more flows; `seen` are two corners of what is in sight.
    pub fn scene(&self, rainfall: &Rainfall, time_s: f64, seen: (Point, Point)) -> Scene<'static> {
        let mut items = Vec::new();
        let since_s = time_s - SOAKS_S;
        if since_s > 0.0 && rainfall.fallen_m(time_s) > rainfall.ran_off_m(time_s) {
            let shown = MOST as f64 / self.count.max(MOST) as f64 / APART_M;
            self.pipes
                .iter()
                .enumerate()
                .for_each(|(p, pipe)| self.beads(p, pipe, (since_s, shown), seen, &mut items));
        }
        Scene { time_s: Some(time_s), items }
    }

    /// The drops in one pipe, so many a metre, since water came into it.
    fn beads(
        &self,
        p: usize,
        pipe: &Pipe,
        (since_s, shown): (f64, f64),
        seen: (Point, Point),
        items: &mut Vec<Item>,
    ) {
        let takes_s = pipe.takes_s();
        let drops = (pipe.stations_m[0] * shown).ceil() as usize;
        for k in 0..drops {
            let on_way_s = (since_s / takes_s - k as f64 / drops as f64).rem_euclid(1.0) * takes_s;
            let Some((at, toward, flow_m3s)) = pipe.at(on_way_s) else { continue };
            // A third is always shown, or a small pipe would seem dry.
            let dense = (flow_m3s / self.most_m3s).sqrt().max(0.33);
            if on_way_s <= since_s && fraction((p * MOST + k) as u64, 5) < dense && is_seen(at, seen) {
                items.push(Item::new(Role::PipeWater, Form::Sign(at, toward)));
            }
        }
    }
}
