//! What computation adds to a plan: a first layout, and how sure the plan is.
//!
//! [`layouts`] gathers what could be dug (channel links, ways over open ground), chooses among it by a [`network`] that weighs
//! digging against wet land, draws lines and works each layout out by the same `design`, `checks` and `takeoff` as any other plan.
//! [`certainty`] draws what the ground may be and tells what is broken when a plan is dug as staked.

pub mod certainty;
mod layouts;
pub mod network;
mod threads;

pub use layouts::{Kind, LeftOut, NoLayout, Proposal, Told, Wet, WetLand, propose, usual_grid};
