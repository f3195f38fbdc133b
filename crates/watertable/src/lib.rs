//! How land dries: the water table in time, between two drains and over a field.
//!
//! Only the water above what the soil holds by itself moves here: what a drained soil keeps, its field capacity, stays.
//! Whatever comes out is an estimate: no formula of drainage is better than about 25 % in the field.

mod assemble;
mod board;
mod conveyance;
mod drain;
mod drying;
mod field;
mod multigrid;
mod ponds;
mod season;
mod section;
mod strip;
mod system;

pub use assemble::{End, FieldError, SoilCase};
pub use drain::{Drain, Entry};
pub use drying::{Drying, Question, dry};
pub use field::{Field, Hollow, OverLand};
pub use season::{Balance, STEP_OFF_M, Season};
pub use section::{PLACES, Section, Weather, between_drains};
pub use strip::Strip;
pub use system::{Equations, System};
