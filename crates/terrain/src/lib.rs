//! The ground: a grid or a triangulated survey, and what water does on it.
//!
//! Everything is in metres in the plan's coordinate system. Missing ground is `NaN` inside a [`Grid`] and `None` at
//! every door that gives a single value; no ground is invented where none was measured.

mod grid;

pub use grid::{Grid, GridError, Window};
