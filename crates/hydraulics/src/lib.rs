//! Formulas of pipe flow, of water in soil and of drain spacing. No plan and no map: numbers in, numbers out, SI throughout.

mod estimate;
mod falling;
mod flow;
mod hooghoudt;
mod interceptor;
mod old_tile;
mod pipe;
mod runoff;
mod soil_group;
mod soil_water;
mod steady;

pub use estimate::Estimate;
pub use falling::{ARCHED, FLAT, Fall, MeanDepth, rise_m};
pub use flow::{
    EVEN_INFLOW_ROUGH, EVEN_INFLOW_SMOOTH, diameter_for, drainage_m3s, friction_grade, normal_depth, part_full,
    velocity_ms,
};
pub use hooghoudt::{
    EFFECTIVE_RADIUS_M, FORMULA_OFF, Soil, WIDEST_M, arch_m, discharge_ms, equivalent_depth_m, moody_depth_m,
    moody_spacing_m, spacing_m,
};
pub use interceptor::{Seeping, darcy_inflow_m2s, handbook_inflow_m2s};
pub use old_tile::{CapacityRange, OLD_PLASTIC_N, TILE_N, old_capacity};
pub use pipe::{Body, full_capacity_m3s, full_velocity_ms, grade_for_velocity, next_size_up, stocked_sizes_m};
pub use runoff::{CURVE_NUMBERS, bare_runoff_m, runoff_m};
pub use soil_group::{Group, SoilGroup, conductivity_class, soil_group};
pub use soil_water::{MM_PER_HOUR_MS, Mix, SoilWater, USUAL_ORGANIC, drainable_porosity};
pub use steady::{
    Ernst, ellipse_spacing_m, ernst_geometry, kirkham_arch_m, kirkham_factor, kirkham_spacing_m, ponded_factor,
    ponded_ms,
};
