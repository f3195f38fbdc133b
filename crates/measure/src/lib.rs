//! Measurements: what a level book, a tape and a map deal in.
//!
//! Inside the program every length is in metres, every area in square metres and every grade is a plain ratio
//! (rise over run); names carry the unit as a suffix (`length_m`). Feet, inches, acres and percent exist only where a
//! person reads or types, and this crate is that edge.

mod bearing;
mod bucket;
mod extent;
mod parse;
mod path;
mod paths;
mod place;
mod plain;
mod ring;
mod said;
mod segment;
mod show;
mod station;
mod typed;
mod unit;
mod water;
mod words;

pub use bearing::{parse_bearing, quadrant};
pub use bucket::parse_bucket;
pub use extent::extent;
pub use parse::{MeasureError, parse_length, parse_pipe_size};
pub use path::{crossing, crossings, nearest_on, part_of, path_length, point_at};
pub use paths::Paths;
pub use place::{Point, along, apart_deg, bearing, distance, toward};
pub use plain::{is_hidden, plain, plain_lines};
pub use ring::{closed, ray_meets, ring_holds, ring_m2};
pub use said::Said;
pub use segment::{Segment, segments};
pub use show::{
    Units, estimated, feet_and_eighths, fixed, grade_places, grid_step, how_many, round_half_up, signed, thousands,
    told_apart, trimmed, true_minus, unit_once,
};
pub(crate) use station::station_to;
pub use station::{parse_station, station};
pub use typed::{Typed, parse_place};
pub use unit::{FOOT_M, INCH_M, LengthUnit, SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE, SURVEY_FOOT_M};
pub use water::{
    CFS_M3S, DAY_S, GALLON_M3, INCH_PER_DAY_MS, parse_area, parse_coefficient, parse_conductivity, parse_flow,
    parse_grade, parse_rain,
};
pub use words::{capital, listed, uncapped};
