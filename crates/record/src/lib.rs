//! What is really down there: what was shot and found, held against the plan.
//!
//! [`place_of`] tells where an entry of the record lies on the plan, [`station_of`] at which station of which line.
//! [`Trench`] holds old tile found in the trench against the plan, [`made`] is the edit of each choice. [`likely`] proposes where an old
//! line runs that was only seen at one place, [`to_probe`] where to look for it.

mod asked;
mod choose;
mod found;
mod likely;
mod spot;

pub use asked::{asked, lacks};
pub use choose::{larger_below, made};
pub use found::{Brings, Choice, Entry, Fit, Room, Spared, Trench, line_deg, trench_of};
pub use likely::{LEAST_LAND_M2, Likely, Shown, ToProbe, Why, WhyThere, draw_likely, likely, to_probe};
pub use spot::{OnLine, place_of, station_of};
