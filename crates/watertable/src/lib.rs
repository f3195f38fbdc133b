//! How land dries: the water table in time, between two drains and over a field.
//!
//! Only the water above what the soil holds by itself moves here: what a drained soil keeps, its field capacity, stays.
//! Whatever comes out is an estimate: no formula of drainage is better than about 25 % in the field.

mod section;
mod strip;

pub use section::{PLACES, Section, Weather, between_drains};
pub use strip::Strip;
