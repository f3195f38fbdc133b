//! What a file holds of the ground, before anything is made of it.

use measure::Point;

use crate::{Grid, Shot};

/// One measured place.
#[derive(Debug, Clone, PartialEq)]
pub struct RawShot {
    /// Where it is, metres.
    pub at: Point,
    /// Its level, metres.
    pub level_m: f64,
    /// Point number or name.
    pub name: Option<String>,
    /// Code or description.
    pub code: Option<String>,
    /// Batch, where a column names it.
    pub batch: Option<String>,
    /// Line of the file, counted from 1.
    pub line: usize,
}

/// What a file holds of the ground.
#[derive(Debug, Clone, PartialEq)]
pub enum Surface {
    /// A regular grid.
    Grid(Grid),
    /// Single shots, in the order of the file.
    Shots(Vec<RawShot>),
    /// Contours and break lines, and the single shots beside them.
    Survey {
        /// Single shots, in the order of the file.
        shots: Vec<RawShot>,
        /// Lines along which the ground bends or keeps its level, metres.
        lines: Vec<Vec<Shot>>,
    },
}
