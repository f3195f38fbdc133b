//! Where the lines of a plan lie on their ground: everything that reads the ground, the way of water on it or the geometry
//! of the plan. What follows from a layout ([`crate::grade`]) touches none of these.

use std::collections::BTreeMap;

use land::Land;
use measure::Point;
use plan::{LineId, Plan};

use crate::Memory;
use crate::course::{self, Course};
use crate::passing::{self, UtilityCrossing};
use crate::tangle::{self, Crossing, Joint};
use crate::water::{self, LineFlow};

/// A plan laid out on its ground: no levels of pipe and no sizes yet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// The lines, each after the one it joins.
    pub order: Vec<LineId>,
    /// Rings of lines that drain into each other, each from its lowest id.
    pub loops: Vec<Vec<LineId>>,
    /// Where branches enter the lines they join, in order of branch; levels not yet known.
    pub joints: Vec<Joint>,
    /// Places where two lines cross, in order of the two ids; levels not yet known.
    pub crossings: Vec<Crossing>,
    /// Places where new lines cross utilities whose level was exposed.
    pub utilities: Vec<UtilityCrossing>,
    /// Stations of each line and the ground all along it.
    pub courses: BTreeMap<LineId, Course>,
    /// The water that each line must carry, with the land it comes from.
    pub flows: BTreeMap<LineId, LineFlow>,
    /// True where there is ground, though perhaps not under every line.
    pub has_ground: bool,
}

/// Lays a plan out on its land; what is remembered of the last time changes nothing but the time it takes.
pub fn lay_out(plan: &Plan, land: &Land, memory: &mut Memory) -> Layout {
    let ground = land.ground.as_deref();
    let (order, loops) = tangle::order(plan);
    let joints = tangle::joints(plan);
    let courses = course::courses(plan, ground, &mut memory.courses);
    let water = land.grid().zip(land.water.as_deref());
    let flows = water::flows(plan, &courses, &order, &joints, water, &mut memory.strips);
    Layout {
        crossings: tangle::crossings(plan),
        utilities: passing::utility_crossings(plan),
        has_ground: ground.is_some(),
        order,
        loops,
        joints,
        courses,
        flows,
    }
}

impl Layout {
    /// The place where a line enters the one it joins.
    pub fn joint(&self, branch: LineId) -> Option<&Joint> {
        let at = self.joints.binary_search_by_key(&branch, |joint| joint.branch).ok()?;
        self.joints.get(at)
    }

    /// The same layout over other ground, without reading any ground again: `level` gives the level anew from line, station,
    /// place and the level that was there, all metres.
    ///
    /// It is asked at both ends of every piece of each course's ground and every 5 m along it; in between, what it changes runs
    /// straight, and a curve keeps its bend. What the lines carry stays as it is.
    pub fn with_ground(&self, level: impl Fn(LineId, f64, Point, f64) -> f64) -> Self {
        let over = |(id, course): (&LineId, &Course)| {
            (*id, course.with_ground(|station_m, at, level_m| level(*id, station_m, at, level_m)))
        };
        Self { courses: self.courses.iter().map(over).collect(), ..self.clone() }
    }
}
