//! A rain on the map: what is poured, its clock, and what was worked out of it. Nothing of it is in the plan.

use std::sync::Arc;

use drawing::rain::{Pipes, Rain, Rainfall};
use hydraulics::Group;
use measure::{INCH_M, Point};

/// How much faster than real the clock may run.
pub const SPEEDS: [f64; 6] = [10.0, 30.0, 60.0, 120.0, 300.0, 600.0];
/// By how much a step moves the clock, seconds.
pub const STEP_S: f64 = 300.0;
/// The longest that one picture lasts as far as the clock is concerned, seconds: a window that slept does not skip the rain.
const LONGEST_FRAME_S: f64 = 0.1;

/// The clock of a rain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clock {
    /// Since it began, seconds.
    pub time_s: f64,
    /// True while it runs.
    pub runs: bool,
}

/// A rain on the map.
#[derive(Debug, Clone)]
pub struct Shower {
    /// What is poured.
    pub rainfall: Rainfall,
    /// Its clock; `None` where nothing is poured.
    pub clock: Option<Clock>,
    /// How much faster than real it runs.
    pub speed: f64,
    /// What was worked out of it.
    pub rain: Option<Arc<Rain>>,
    /// The pipes it comes to, and the state of the plan they are of.
    pub pipes: Option<(u64, Arc<Pipes>)>,
    /// The most that flows through a place that was clicked, m³/s, and when, seconds: of that place and that rain.
    pub passing: Option<Passing>,
    /// The rain and the state of the plan that something was begun for, or given up.
    pub begun: Option<(Rainfall, u64)>,
}

/// What flows through a place at the most.
#[derive(Debug, Clone)]
pub struct Passing {
    at: Point,
    rain: Arc<Rain>,
    /// Flow, m³/s, and when, seconds; `None` where water stands.
    pub most: Option<(f64, f64)>,
}

/// What was worked out is the same where it is one.
impl PartialEq for Shower {
    fn eq(&self, other: &Self) -> bool {
        let asked = |shower: &Self| (shower.rainfall, shower.clock, shower.speed, shower.begun);
        let rain = |shower: &Self| shower.rain.as_ref().map(Arc::as_ptr);
        let pipes = |shower: &Self| shower.pipes.as_ref().map(|(stamp, pipes)| (*stamp, Arc::as_ptr(pipes)));
        let passing = |shower: &Self| shower.passing.as_ref().map(|passing| (passing.at, passing.most));
        asked(self) == asked(other)
            && (rain(self), pipes(self), passing(self)) == (rain(other), pipes(other), passing(other))
    }
}

impl Default for Shower {
    /// A thunder shower on bare soil that takes water in slowly.
    fn default() -> Self {
        let rainfall = Rainfall { depth_m: 1.2 * INCH_M, lasts_s: 3600.0, cover: 0, group: Group::C };
        Self { rainfall, clock: None, speed: 60.0, rain: None, pipes: None, passing: None, begun: None }
    }
}

impl Shower {
    /// Lets it rain from the beginning.
    pub fn pour(&mut self) {
        self.clock = Some(Clock { time_s: 0.0, runs: true });
        self.begun = None;
    }

    /// Lets it rain, holds it, or lets it go on; over, it begins anew.
    pub fn play(&mut self) {
        let lasts_s = self.lasts_s();
        match &mut self.clock {
            Some(clock) if clock.time_s < lasts_s => clock.runs = !clock.runs,
            _ => self.pour(),
        }
    }

    /// Moves the clock by a step and holds it there.
    pub fn step(&mut self) {
        let time_s = self.clock.map_or(0.0, |clock| clock.time_s) + STEP_S;
        self.clock = Some(Clock { time_s: time_s.min(self.lasts_s()), runs: false });
    }

    /// Lets the clock run for so long as a picture was seen, seconds; true while it runs on.
    pub fn run(&mut self, frame_s: f64) -> bool {
        let (lasts_s, speed) = (self.lasts_s(), self.speed);
        let ready = self.rain.is_some();
        let Some(clock) = self.clock.as_mut().filter(|clock| clock.runs && ready) else { return false };
        clock.time_s = (clock.time_s + frame_s.min(LONGEST_FRAME_S) * speed).min(lasts_s);
        clock.runs = clock.time_s < lasts_s;
        clock.runs
    }

    /// Takes the rain off the map.
    pub fn end(&mut self) {
        self.clock = None;
    }

    /// The rain on the map and its time, once it is worked out.
    pub fn falling(&self) -> Option<(&Arc<Rain>, f64)> {
        self.rain.as_ref().zip(self.clock.map(|clock| clock.time_s))
    }

    /// Looks what flows through a place at the most, once a place and a rain.
    pub fn look_at(&mut self, place: Option<Point>) {
        let of = place.zip(self.rain.as_ref());
        let same =
            |passing: &Passing| of.is_some_and(|(at, rain)| passing.at == at && Arc::ptr_eq(&passing.rain, rain));
        if !self.passing.as_ref().is_some_and(same) {
            self.passing = of.map(|(at, rain)| Passing { at, rain: rain.clone(), most: rain.most_at(at) });
        }
    }

    /// How long the rain is looked at: until all water over the ground is where it stays, and some while in the pipes.
    pub fn lasts_s(&self) -> f64 {
        let flood_s = self.rain.as_ref().map_or(0.0, |rain| rain.lasts_s());
        flood_s.max(2.0 * self.rainfall.lasts_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_runs_only_once_there_is_something_to_see() {
        let mut shower = Shower::default();
        shower.play();
        assert!(!shower.run(0.1), "nothing is worked out yet");
        shower.step();
        assert_eq!(shower.clock, Some(Clock { time_s: STEP_S, runs: false }));
        shower.play();
        assert_eq!(shower.clock, Some(Clock { time_s: STEP_S, runs: true }), "it goes on");
        shower.end();
        assert!(shower.falling().is_none() && shower.clock.is_none());
    }
}
