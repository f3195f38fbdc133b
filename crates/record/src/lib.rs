//! What is really down there: what was shot and found, held against the plan.
//!
//! [`place_of`] tells where an entry of the record lies on the plan, [`station_of`] at which station of which line.
//! [`as_dug`] holds the shots against the design: how far each is off, where water will stand, what is within limits.

mod dips;
mod dug;
mod spot;
mod verdict;

pub use dips::Dip;
pub use dug::{AsDug, Dug, DugLine, as_dug};
pub use spot::{OnLine, place_of, station_of};
pub use verdict::{NOT_THE_INSPECTOR, NotYet, Verdict};
