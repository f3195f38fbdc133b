//! Formulas of pipe flow and the body of a pipe. No plan and no map: numbers in, numbers out, SI throughout.

mod pipe;

pub use pipe::{
    CORRUGATED_N, full_capacity_m3s, full_velocity_ms, grade_for_velocity, next_size_up, outside_m, stocked_sizes_m,
    top_above_invert_m, wall_m,
};
