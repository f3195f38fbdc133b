//! Formulas of pipe flow and the body of a pipe. No plan and no map: numbers in, numbers out, SI throughout.

mod flow;
mod old_tile;
mod pipe;
mod spacing;

pub use flow::{
    EVEN_INFLOW_ROUGH, EVEN_INFLOW_SMOOTH, diameter_for, drainage_m3s, friction_grade, normal_depth, part_full,
    velocity_ms,
};
pub use old_tile::{CapacityRange, OLD_PLASTIC_N, TILE_N, old_capacity};
pub use pipe::{Body, full_capacity_m3s, full_velocity_ms, grade_for_velocity, next_size_up, stocked_sizes_m};
pub use spacing::{EFFECTIVE_RADIUS_M, Soil, arch_m, equivalent_depth_m, spacing_m};
