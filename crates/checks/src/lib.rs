//! What is wrong with a plan: the punch list.
//!
//! Each check is one file in `rules`, holding its manual entry, its [`Rule`] and its tests. [`punch_list`] runs them all
//! over one [`Site`], shows one finding per place, and sorts what is left: what must be fixed before digging first. A rule
//! says what is wrong and offers what may clear it; [`Trial`] tells of the offers only those that do.

mod finding;
mod key;
mod list;
mod no_dig;
mod offer;
mod rules;
mod site;
mod stretch;
mod trial;

#[cfg(test)]
mod job;

pub use finding::{Finding, Place, Rule, Severity};
pub use key::by_key;
pub use list::{punch_list, punch_list_of};
pub use rules::RULES;
pub use site::{JOINT_TOLERANCE_M, Site};
pub use trial::{Trial, Tried, comes};
