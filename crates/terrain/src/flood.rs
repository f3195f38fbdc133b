//! A rain as it runs off: what has come where at each moment.
//!
//! Time and area: what arrives at a place is the water of the land that has had time to arrive. Each hollow takes what comes
//! until it is full and lets the rest go on. All is kept by steps of equal length, in whole steps, so that no water is lost
//! between them.

use std::collections::BTreeMap;

use measure::Point;

use crate::cells::neighbours;
use crate::hollow::Pool;
use crate::runoff::{Runoff, Stop};
use crate::{Grid, Water};

/// Steps of the longest course, rain and way together.
const STEPS: usize = 480;

/// Rain that runs off: how much by the end of each step.
#[derive(Debug, Clone, PartialEq)]
pub struct Storm {
    /// Length of a step, seconds.
    pub step_s: f64,
    /// Depth that has run off the land by the end of each step, metres; the first is 0, and none is less than the one before.
    pub excess_m: Vec<f64>,
}

impl Storm {
    /// A rain of which `excess_m` has run off by a time in seconds, until it ends; in steps that suit the ground.
    pub fn over(runoff: &Runoff, lasts_s: f64, excess_m: impl Fn(f64) -> f64) -> Self {
        let step_s = (lasts_s + runoff.longest_s()).max(1.0) / STEPS as f64;
        let steps = (lasts_s / step_s).ceil() as usize;
        Self { step_s, excess_m: (0..=steps).map(|k| excess_m((k as f64 * step_s).min(lasts_s))).collect() }
    }

    /// Depth that has run off by a step, metres.
    fn by(&self, step: usize) -> f64 {
        self.excess_m.get(step).or(self.excess_m.last()).copied().unwrap_or(0.0)
    }
}

/// What a storm does on a ground, from its beginning until all water is where it stays.
#[derive(Debug, Clone)]
pub struct Flood {
    storm: Storm,
    /// What has come to each sink by each step, cubic metres; the last sink is the edge of the ground.
    arrived: Vec<Vec<f64>>,
    ground_m2: f64,
    /// When each hollow is full, seconds.
    full_s: Vec<Option<f64>>,
}

impl Runoff {
    /// What a storm does on the ground.
    pub fn under(&self, storm: Storm) -> Flood {
        let last = self.step(self.longest_s() as f32, storm.step_s) + storm.excess_m.len().max(1);
        let (lags, cells) = self.lags(storm.step_s);
        let mut arrived: Vec<Vec<f64>> = lags
            .iter()
            .map(|lags| (0..=last).map(|step| self.cell_area_m2 * come(lags, &storm, step)).collect())
            .collect();
        for stop in &self.stops {
            let lag = self.step(stop.to_edge_s, storm.step_s) - self.step(self.sink_s[stop.next], storm.step_s);
            for step in lag..=last {
                let over_m3 = over(stop, &arrived, step - lag);
                arrived[stop.next][step] += over_m3;
            }
        }
        let full_s = self.hollows().iter().zip(&self.firsts).map(|(hollow, &first)| {
            let come_m3 = |step: &usize| (first..first + hollow.ends()).map(|sink| arrived[sink][*step]).sum::<f64>();
            (0..=last).find(|step| come_m3(step) >= hollow.holds_m3()).map(|step| step as f64 * storm.step_s)
        });
        Flood { full_s: full_s.collect(), ground_m2: cells as f64 * self.cell_area_m2, storm, arrived }
    }

    /// Whole steps of a time to the edge.
    fn step(&self, to_edge_s: f32, step_s: f64) -> usize {
        (f64::from(to_edge_s) / step_s).round() as usize
    }

    /// For each sink how many cells are so many steps away from it, and how many cells there are in all.
    fn lags(&self, step_s: f64) -> (Vec<Vec<u32>>, usize) {
        let mut lags: Vec<Vec<u32>> = vec![Vec::new(); self.sink_s.len()];
        let mut cells = 0;
        let sink_steps: Vec<usize> = self.sink_s.iter().map(|time| self.step(*time, step_s)).collect();
        for (to_edge_s, sink) in self.to_edge_s.iter().zip(&self.sink_of).filter(|(time, _)| !time.is_nan()) {
            let sink = (*sink as usize).min(lags.len() - 1);
            let lag = self.step(*to_edge_s, step_s) - sink_steps[sink];
            count(&mut lags[sink], lag);
            cells += 1;
        }
        (lags, cells)
    }
}

/// Counts one more cell so many steps away.
fn count(lags: &mut Vec<u32>, lag: usize) {
    lags.resize(lags.len().max(lag + 1), 0);
    lags[lag] += 1;
}

/// Depth times cells that has come by a step from land so many steps away.
fn come(lags: &[u32], storm: &Storm, step: usize) -> f64 {
    let near = lags.iter().enumerate().take(step + 1).filter(|(_, cells)| **cells > 0);
    near.map(|(lag, cells)| f64::from(*cells) * storm.by(step - lag)).sum()
}

/// What has gone on from a stop by a step, cubic metres.
fn over(stop: &Stop, arrived: &[Vec<f64>], step: usize) -> f64 {
    (stop.sinks.clone().map(|sink| arrived[sink][step]).sum::<f64>() - stop.holds_m3).max(0.0)
}

impl Flood {
    /// When all water is where it stays, seconds.
    pub fn lasts_s(&self) -> f64 {
        self.arrived.last().map_or(0.0, |edge| (edge.len() - 1) as f64 * self.storm.step_s)
    }

    /// Length of a step, seconds.
    pub fn step_s(&self) -> f64 {
        self.storm.step_s
    }

    /// A value by steps at a time: it changes evenly within a step.
    fn at(&self, time_s: f64, value: impl Fn(usize) -> f64) -> f64 {
        let last = self.arrived.last().map_or(0, |edge| edge.len() - 1);
        let place = (time_s / self.storm.step_s).clamp(0.0, last as f64);
        let (step, part) = (place as usize, place.fract());
        if part == 0.0 { value(step) } else { value(step) * (1.0 - part) + value(step + 1) * part }
    }

    /// Water that has run off the land at a time, cubic metres.
    pub fn shed_m3(&self, time_s: f64) -> f64 {
        self.ground_m2 * self.at(time_s, |step| self.storm.by(step))
    }

    /// Water that has left the ground at a time, cubic metres.
    pub fn left_m3(&self, time_s: f64) -> f64 {
        self.arrived.last().map_or(0.0, |edge| self.at(time_s, |step| edge[step]))
    }

    /// Water that stands in all hollows at a time, cubic metres.
    pub fn stands_m3(&self, runoff: &Runoff, time_s: f64) -> f64 {
        let pooled = |stop: &Stop| {
            let come_m3: f64 = stop.sinks.clone().map(|sink| self.at(time_s, |step| self.arrived[sink][step])).sum();
            come_m3.min(stop.holds_m3)
        };
        runoff.stops.iter().filter(|stop| stop.holds_m3 > 0.0).map(pooled).sum()
    }

    /// The water that stands in a hollow at a time, by the part that it fills.
    pub fn pools(&self, runoff: &Runoff, hollow: usize, time_s: f64) -> Vec<Pool> {
        let (Some(it), Some(&first)) = (runoff.hollows().get(hollow), runoff.firsts.get(hollow)) else {
            return Vec::new();
        };
        let sinks = first..first + it.ends();
        it.pools(&sinks.map(|sink| self.at(time_s, |step| self.arrived[sink][step])).collect::<Vec<f64>>())
    }

    /// When a hollow is full and spills, seconds; `None` if it never is.
    pub fn full_s(&self, hollow: usize) -> Option<f64> {
        self.full_s.get(hollow).copied().flatten()
    }

    /// Flow at a watched place at a time, m³/s: what comes within the two steps round it.
    pub fn flow_m3s(&self, runoff: &Runoff, watched: usize, time_s: f64) -> f64 {
        let Some(&Some(sink)) = runoff.watched.get(watched) else { return 0.0 };
        let step_s = self.storm.step_s;
        let come = |time_s: f64| self.at(time_s, |step| self.arrived[sink][step]);
        (come(time_s + step_s) - come(time_s - step_s)) / (2.0 * step_s)
    }

    /// What has come to any place by each step, cubic metres; empty where no ground is, and under water that stands.
    pub fn arrived_m3(&self, runoff: &Runoff, (grid, water): (&Grid, &Water), at: Point) -> Vec<f64> {
        let cell = grid.cell_at(at).filter(|_| water.fits(grid)).map(|(col, row)| row * grid.cols() + col);
        let Some(start) = cell.filter(|&cell| runoff.to_edge_s(cell).is_some() && runoff.hollow_at(cell).is_none())
        else {
            return Vec::new();
        };
        let held: BTreeMap<usize, &Stop> = runoff
            .stops
            .iter()
            .filter(|stop| stop.holds_m3 > 0.0)
            .filter_map(|stop| Some((stop.at?, stop)))
            .collect();
        let step_of = |cell: usize| runoff.step(runoff.to_edge_s[cell], self.storm.step_s);
        let steps = self.arrived.last().map_or(0, Vec::len);
        let (mut lags, mut spilt) = (Vec::new(), vec![0.0; steps]);
        let mut open = vec![start];
        while let Some(cell) = open.pop() {
            let lag = step_of(cell) - step_of(start);
            count(&mut lags, lag);
            if let Some(stop) = held.get(&cell) {
                (lag..steps).for_each(|step| spilt[step] += over(stop, &self.arrived, step - lag));
            }
            let above = neighbours(water.size(), cell).map(|(_, other)| other);
            open.extend(above.filter(|&other| water.next(other) == Some(cell) && runoff.hollow_at(other).is_none()));
        }
        let own = (0..steps).map(|step| runoff.cell_area_m2 * come(&lags, &self.storm, step));
        own.zip(spilt).map(|(own_m3, spilt_m3)| own_m3 + spilt_m3).collect()
    }
}
