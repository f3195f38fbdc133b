//! What is really down there: what was shot and found, held against the plan.
//!
//! [`place_of`] tells where an entry of the record lies on the plan, [`station_of`] at which station of which line. [`places`] are
//! all places of the lines that a later digger looks for, each with its [`Tie`] to two corners of the field; [`care_list`] what is
//! looked at every year, [`entries`] the record as one list, [`meetings`] where rows and posts meet a pipe, [`trouble`] what a wet spot tells.

mod care;
mod entries;
mod places;
mod spot;
mod ties;
mod trellis;
mod trouble;

pub use care::{Care, care_list, drained_m2, flow_words};
pub use entries::{Entry, entries, find_words};
pub use places::{Place, places};
pub use spot::{OnLine, place_of, station_of};
pub use ties::{Corner, Tie, corners, tie};
pub use trellis::{Meeting, Meets, Reach, meetings};
pub use trouble::{Reason, Suspect, Trouble, trouble};
