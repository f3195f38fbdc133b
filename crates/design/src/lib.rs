//! The worked-out plan: what follows from [`plan::Plan`] and [`land::Land`], never stored and never edited.
//!
//! Two halves. [`lay_out`] reads the ground, the water on it and the geometry of the plan, and gives a [`Layout`]: where the
//! lines run and join, the ground along each, the water each must carry. [`grade`] reads no more than that and the plan's
//! limits and prices, and gives one [`Design`] that every surface a person sees reads: map, profile, punch list, totals,
//! files. The levels are the cheapest that hold every limit ([`Tree`]), made into reaches that can be dug.

mod anchored;
mod apart;
mod clash;
mod corridor;
mod course;
mod dig;
mod digging;
mod enclosed;
mod even;
mod flat;
mod grade;
mod known;
mod laid;
mod laying;
mod layout;
mod leeway;
mod levels;
mod line;
mod network;
mod passing;
mod pipe;
mod pressure;
mod sizing;
mod tangle;
mod tight;
mod tree;
mod valley;
mod water;
mod ways;

use std::collections::BTreeMap;

use land::Land;
use plan::{LineId, OutletId, Plan};

pub use apart::CROSSING_CLEAR_M;
pub use clash::{Bound, Breach, Broken, Cause, Clash, Flattest};
pub use corridor::Corridor;
pub use course::{Course, Part, Span};
pub use dig::DugReach;
pub use digging::Memory;
pub use enclosed::{Flaw, counted_m2, flaws, is_caught, pieces, side_crossings};
pub use flat::Flat;
pub use grade::grade;
pub use layout::{Layout, lay_out};
pub use leeway::{End, Leeway, even_edit};
pub use line::{Break, Fullest, Graded, LineDesign, Mark, ON_LIMIT_M, SAME_GRADE, Station};
pub use passing::{Passed, Untried, UtilityCrossing};
pub use pipe::{Pipe, PipeKind, bodies, pipe_of};
pub use tangle::{Crossing, Joint};
pub use tree::{Between, Missing, NoLevel, Node, Slope, Tie, Tree};
pub use water::{Inflow, LineFlow, Origin};
pub use ways::{Printed, Trial, Way};

/// Everything that follows from a plan and its ground.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Design {
    /// Lines by id.
    pub lines: BTreeMap<LineId, LineDesign>,
    /// Joints in order of branch.
    pub joints: Vec<Joint>,
    /// Places where two lines cross, in order of the two ids.
    pub crossings: Vec<Crossing>,
    /// Rings of lines that drain into each other, each from its lowest id.
    pub loops: Vec<Vec<LineId>>,
    /// Inverts of the outlets that new lines reach, metres: as given, or as found where that was left free.
    pub outlet_inverts_m: BTreeMap<OutletId, f64>,
    /// Limits that no grade line holds at once.
    pub clashes: Vec<Clash>,
    /// Utilities whose level was exposed, as the lines pass them.
    pub passed: Vec<Passed>,
    /// Networks with so many of them that not all sides were tried.
    pub untried: Vec<Untried>,
    /// Networks with lines flatter than the job's even grade, and what it would cost to have none.
    pub flat: Vec<Flat>,
    /// What the grade lines cost.
    pub cost: GradeCost,
}

impl Design {
    /// Invert of an outlet, metres: as found, else as given.
    pub fn outlet_invert_m(&self, id: OutletId, outlet: &plan::Outlet) -> f64 {
        self.outlet_inverts_m.get(&id).copied().unwrap_or(outlet.invert_m)
    }
}

/// What the grade lines cost at the plan's prices, digging and missed wishes together.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GradeCost {
    /// What no levels that hold every limit can cost less than.
    pub least: f64,
    /// The cheapest levels found that hold every limit, between the stations too.
    pub cheapest: f64,
    /// Of the cheapest, digging and what is missing to the wanted depth alone.
    pub digging: f64,
    /// The levels as they are to be dug.
    pub dug: f64,
    /// Pipe.
    pub pipe: f64,
}

/// Works a plan out on its land.
pub fn work_out(plan: &Plan, land: &Land) -> Design {
    work_out_again(plan, land, &mut Memory::default())
}

/// Works a plan out on its land with what is remembered of the last time; what is remembered changes nothing but the time
/// it takes. Without ground the lines still have lengths, joints and fixed levels.
pub fn work_out_again(plan: &Plan, land: &Land, memory: &mut Memory) -> Design {
    let layout = lay_out(plan, land, memory);
    grade(plan, &layout, memory)
}
