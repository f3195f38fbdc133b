//! The layout of a plan on its ground: everything that reads the ground, the flow of water over it, or the geometry of the
//! plan. [`crate::grade`] works from a layout and reads none of these.

use std::collections::BTreeMap;

use land::Land;
use measure::Point;
use plan::{LineId, Plan};

use crate::Memory;
use crate::course::{self, Course};
use crate::passing::{self, UtilityCrossing};
use crate::topology::{self, Crossing, Joint};
use crate::water::{self, LineFlow};

/// A plan laid out on its ground, before levels and sizes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// The lines, each after the one it joins.
    pub order: Vec<LineId>,
    /// Loops of lines that drain into each other, each from its lowest id.
    pub loops: Vec<Vec<LineId>>,
    /// Joints in order of branch, without levels.
    pub joints: Vec<Joint>,
    /// Crossings of lines without a joint, in order of the two ids, without levels.
    pub crossings: Vec<Crossing>,
    /// Crossings of new lines with utilities whose level was exposed.
    pub utilities: Vec<UtilityCrossing>,
    /// Stations and ground profile of each line.
    pub courses: BTreeMap<LineId, Course>,
    /// The flow each line must carry, with its contributing areas.
    pub flows: BTreeMap<LineId, LineFlow>,
    /// True if there is ground, though perhaps not under every line.
    pub has_ground: bool,
}

/// Lays a plan out on its land. `memory` holds what the last call left; it changes nothing but the time taken.
pub fn lay_out(plan: &Plan, land: &Land, memory: &mut Memory) -> Layout {
    let ground = land.ground.as_deref();
    let (order, loops) = topology::order(plan);
    let joints = topology::joints(plan);
    let courses = course::courses(plan, ground, &mut memory.courses);
    let water = land.grid().zip(land.water.as_deref());
    let flows = water::flows(plan, &courses, &order, &joints, water, &mut memory.strips);
    Layout {
        crossings: topology::crossings(plan),
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
    /// The joint of a branch.
    pub fn joint(&self, branch: LineId) -> Option<&Joint> {
        let at = self.joints.binary_search_by_key(&branch, |joint| joint.branch).ok()?;
        self.joints.get(at)
    }

    /// The same layout over other ground, without reading any grid: `level` returns the new ground level for a line, a
    /// station on it, its place and the former level, all in metres.
    ///
    /// It is evaluated at both ends of every piece of each profile and at least every 5 m along it. Between these places the
    /// change of level is interpolated linearly, and the curvature of a piece stays. Flows stay as they are.
    pub fn with_ground(&self, level: impl Fn(LineId, f64, Point, f64) -> f64) -> Self {
        let over = |(id, course): (&LineId, &Course)| {
            (*id, course.with_ground(|station_m, at, level_m| level(*id, station_m, at, level_m)))
        };
        Self { courses: self.courses.iter().map(over).collect(), ..self.clone() }
    }
}
