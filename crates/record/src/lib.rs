//! What is really down there: what was shot and found, held against the plan.
//!
//! [`place_of`] tells where an entry of the record lies on the plan, [`station_of`] at which station of which line.
//! [`Trench`] holds old tile found in the trench against the plan, [`made`] is the edit of each choice.

mod asked;
mod choose;
mod found;
//! [`as_dug`] holds the shots against the design: how far each is off, where water will stand, what is within limits.

mod dips;
mod dug;
mod spot;
mod verdict;

pub use asked::{asked, lacks};
pub use choose::{larger_below, made};
pub use found::{Brings, Choice, Entry, Fit, Room, Spared, Trench, line_deg, trench_of};
pub use dips::Dip;
pub use dug::{AsDug, Dug, DugLine, as_dug};
pub use spot::{OnLine, place_of, station_of};
pub use verdict::{NOT_THE_INSPECTOR, Trouble, Verdict};
