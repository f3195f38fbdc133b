//! The worked-out plan: what follows from [`plan::Plan`] and [`land::Land`], never stored and never edited.
//!
//! Two halves. [`lay_out`] reads the ground, the water on it and the geometry of the plan, and gives a [`Layout`]: where the
//! lines run and join, the ground along each, the water each must carry. [`grade`] reads no more than that and the plan's
//! limits and prices, and gives one [`Design`] that every surface a person sees reads: map, profile, punch list, totals,
//! files. The levels are the cheapest that hold every limit ([`Tree`]), made into reaches that can be dug.

mod anchored;
mod between_stations;
mod by_piece;
mod clash;
mod clearance;
mod convex_cost;
mod corridor;
mod cost_cache;
mod course;
mod enclosed;
mod even;
mod flat;
mod grade;
mod layout;
mod leeway;
mod levels;
mod line;
mod line_cache;
mod line_problem;
mod memory;
mod network;
mod passing;
mod pipe;
mod pressure;
mod profiles;
mod simplify;
mod sizing;
mod stepping;
mod topology;
mod tree;
mod water;
mod ways;

use std::collections::BTreeMap;

use land::Land;
use plan::{LineId, OutletId, Plan};

pub use by_piece::{SLOPE_M, least_outlet_pipe_cost};
pub use clash::{Bound, Breach, Broken, Cause, Clash, Flattest};
pub use clearance::CROSSING_CLEAR_M;
pub use corridor::Corridor;
pub use course::{Course, Part, Span, floor, roof};
pub use enclosed::{Flaw, counted_m2, flaws, is_caught, pieces, side_crossings};
pub use flat::Flat;
pub use grade::{grade, old_roughness, silt_share};
pub use layout::{Layout, lay_out};
pub use leeway::{End, Leeway, even_edit};
pub use line::{Break, Fullest, Graded, LaidSize, LineDesign, Mark, ON_LIMIT_M, SAME_GRADE, Station, size_words};
pub use memory::Memory;
pub use passing::{Passed, Untried, UtilityCrossing};
pub use pipe::{Pipe, PipeKind, Step, Steps, bodies, pipe_of};
pub use simplify::DugReach;
pub use sizing::{SizeGap, size_gap};
pub use topology::{Crossing, Joint};
pub use tree::{Hinge, NoLevel, Node, SpanConstraint, Tie, Tree, WantedRise};
pub use water::{Inflow, LineFlow, Origin};
pub use ways::{Printed, Trial, Way};

/// The design of a plan on its ground.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Design {
    /// Lines by id.
    pub lines: BTreeMap<LineId, LineDesign>,
    /// Joints in order of branch.
    pub joints: Vec<Joint>,
    /// Places where two lines cross, in order of the two ids.
    pub crossings: Vec<Crossing>,
    /// Loops of lines that drain into each other, each from its lowest id.
    pub loops: Vec<Vec<LineId>>,
    /// Inverts of the outlets that new lines reach, metres: as given, or as chosen if free.
    pub outlet_inverts_m: BTreeMap<OutletId, f64>,
    /// Networks for which no levels satisfy every limit.
    pub clashes: Vec<Clash>,
    /// Exposed utilities, and the side on which each is passed.
    pub passed: Vec<Passed>,
    /// Networks with too many of these to try all sides.
    pub untried: Vec<Untried>,
    /// Networks with lines flatter than the job's even grade, and the cost of having none.
    pub flat: Vec<Flat>,
    /// What the levels cost.
    pub cost: GradeCost,
    /// True if sizes that follow the flow are those of another design ([`work_out_holding`]).
    pub holds_sizes: bool,
}

impl Design {
    /// Invert of an outlet, metres: as chosen, else as given.
    pub fn outlet_invert_m(&self, id: OutletId, outlet: &plan::Outlet) -> f64 {
        self.outlet_inverts_m.get(&id).copied().unwrap_or(outlet.invert_m)
    }
}

/// Cost of the levels at the plan's cost weights: digging and penalties.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GradeCost {
    /// A lower bound for any levels that satisfy every limit.
    pub least: f64,
    /// The cheapest levels found that satisfy every limit, span constraints included.
    pub cheapest: f64,
    /// Of that, digging and missing depth.
    pub digging: f64,
    /// The simplified profiles, as they are to be dug.
    pub dug: f64,
    /// Pipe, with reducers and outlet pipe.
    pub pipe: f64,
}

/// Computes the design of a plan on its land.
pub fn work_out(plan: &Plan, land: &Land) -> Design {
    work_out_again(plan, land, &mut Memory::default())
}

/// Computes the design of a plan on its land: [`lay_out`] and [`grade`] one after the other. `memory` holds what the last
/// call left; it changes nothing but the time taken. Without ground lines still have lengths, joints and given levels.
pub fn work_out_again(plan: &Plan, land: &Land, memory: &mut Memory) -> Design {
    let layout = lay_out(plan, land, memory);
    grade(plan, &layout, memory)
}

/// The same with the sizes that another design of nearly the same plan has where they carry the flow and let every limit hold: a
/// choice of sizes costs more than a frame of a drag.
pub fn work_out_holding(plan: &Plan, land: &Land, memory: &mut Memory, other: &Design) -> Design {
    let layout = lay_out(plan, land, memory);
    grade::grade_holding(plan, &layout, memory, Some(other))
}
