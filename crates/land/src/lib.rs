//! The land under a plan: the ground with the plan's corrections, where water goes on it, how the survey stands, and the
//! soil at a place.
//!
//! [`Land`] is laid once from what was measured ([`Sources`]) and from the plan's corrections; [`Land::under`] then
//! follows a plan's ditches, culverts and corrections. Nothing here touches a file.

mod batches;
mod corrections;
mod flow;
mod laid;
mod relief;
mod soil;
mod sources;
mod surveyed;

pub use batches::{BatchRow, batch_rows, error_words, hold, offset_words};
pub use corrections::{corrected, lidar_shift_m, shot_name};
pub use flow::SWALE_AREA_M2;
pub use laid::{Base, Land, LandError, Laying, LeftOut};
pub use relief::Contours;
pub use soil::{Around, MEASURED_FACTOR, POROSITY_FACTOR, SoilAt, SoilFrom, Soils};
pub use sources::Sources;
pub use surveyed::{Against, GAP_M, Offset, SHIFT_M, SurfaceError, Surveyed, UNVERIFIED_M, UnitMix, gaps};
