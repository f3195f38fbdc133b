//! A first layout found by computation: which swales, wet places and slopes to drain, by what lines, and what that costs.
//!
//! [`layouts`] gathers what could be dug (channel links, ways over open ground), chooses among it by a [`network`] that weighs
//! digging against wet land, draws lines and works each layout out by the same `design`, `checks` and `takeoff` as any other plan.

pub mod layouts;
pub mod network;

pub use layouts::{Kind, NoLayout, Proposal, Told, propose};
