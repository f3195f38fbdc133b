//! What is really down there: what was shot and found, held against the plan.
//!
//! [`place_of`] tells where an entry of the record lies on the plan, [`station_of`] at which station of which line.

mod spot;

pub use spot::{OnLine, place_of, station_of};
