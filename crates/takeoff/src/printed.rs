//! The figures of a row as they are printed. Levels are rounded once; a cut or a depth is the difference of two levels as
//! they are printed, so that who takes the pencil finds each row right to its last digit.

use measure::Units;

use crate::cut_sheet::Row;

/// The figures of a row, metres, each a whole number of the last place printed ([`Units::last_place`]).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Printed {
    /// Level of the hub, or of the ground where there is none.
    pub stake_m: Option<f64>,
    /// Invert. What lies half-way goes down, so that no cut is shallower than the one worked out by more than its rounding.
    pub invert_m: f64,
    /// Level of the stake less invert.
    pub cut_m: Option<f64>,
    /// Wall and bedding.
    pub below_m: Option<f64>,
    /// Cut, wall and bedding together.
    pub bottom_m: Option<f64>,
    /// Ground at the center line.
    pub ground_m: Option<f64>,
    /// Ground less invert.
    pub depth_m: Option<f64>,
    /// Soil over the pipe, as findings tell it.
    pub cover_m: Option<f64>,
    /// Plane of the laser less invert.
    pub rod_m: Option<f64>,
}

/// The figures of a row as they are printed in these units.
pub fn printed(row: &Row, units: Units) -> Printed {
    let round = |length_m: f64| units.as_printed(length_m);
    let invert_m = -round(-row.invert_m);
    let stake_m = row.stake.map(|stake| round(stake.level_m()));
    let ground_m = row.ground_m.map(round);
    let cut_m = stake_m.filter(|_| row.cut_m.is_some()).map(|level_m| level_m - invert_m);
    let below_m = row.to_trench_bottom_m.zip(row.cut_m).map(|(bottom_m, cut_m)| round(bottom_m - cut_m));
    Printed {
        stake_m,
        invert_m,
        cut_m,
        below_m,
        bottom_m: cut_m.zip(below_m).map(|(cut_m, below_m)| cut_m + below_m),
        ground_m,
        depth_m: ground_m.map(|level_m| level_m - invert_m),
        cover_m: row.cover_m.map(round),
        rod_m: row.rod_m.map(|rod_m| round(rod_m + row.invert_m) - invert_m),
    }
}
