//! What is really down there: what was shot and found, held against the plan.
//!
//! [`place_of`] tells where an entry of the record lies on the plan, [`station_of`] at which station of which line. [`Trench`]
//! holds old tile found in the trench against the plan, [`made`] is the edit of each choice; [`likely`] proposes where an old
//! line runs that was only seen at one place, [`to_probe`] where to look for it. [`as_dug`] holds the shots against the design:
//! how far each is off, where water will stand, what is within limits. [`places`] are all places of the lines that a later
//! digger looks for, each with its [`Tie`] to two corners of the field; [`care_list`] what is looked at every year,
//! [`entries`] the record as one list, [`meetings`] where rows and posts meet a pipe, [`trouble`] what a wet spot tells.

mod asked;
mod care;
mod choose;
mod dips;
mod dug;
mod entries;
mod found;
mod likely;
mod places;
mod spot;
mod ties;
mod trellis;
mod trouble;
mod verdict;

pub use asked::{asked, lacks};
pub use care::{Care, care_list, drained_m2, flow_words};
pub use choose::{larger_below, made};
pub use dips::Dip;
pub use dug::{AsDug, Dug, DugLine, as_dug};
pub use entries::{Entry, entries, find_words};
pub use found::{Brings, Choice, Enters, Fit, Room, Spared, Trench, line_deg, trench_of};
pub use likely::{LEAST_LAND_M2, Likely, Shown, ToProbe, Why, WhyThere, draw_likely, likely, to_probe};
pub use places::{Place, places};
pub use spot::{OnLine, place_of, station_of};
pub use ties::{Corner, Tie, corners, tie};
pub use trellis::{Meeting, Meets, Reach, meetings};
pub use trouble::{Reason, Suspect, Trouble, trouble};
pub use verdict::{NOT_THE_INSPECTOR, NotYet, Verdict};
