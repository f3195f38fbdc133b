//! Files in and out: elevation grids, survey points, contours, boundaries and lines.
//!
//! This crate fences the format libraries. Whatever comes in leaves it in metres, finite and in range; what was
//! assumed, left out or looks wrong is told in plain sentences beside it.

mod ascii_grid;
mod brought;
mod crs;
mod crs_words;
mod csv_out;
mod dbf;
mod decimals;
mod degrees;
mod dxf;
mod dxf_layers;
mod error;
mod field_in;
mod folder;
mod frame;
mod geojson_in;
mod geojson_out;
mod geokeys;
mod geokeys_own;
mod geotiff;
mod gpx;
mod gpx_out;
mod ground;
mod head;
mod json;
mod kml;
mod kml_out;
mod landmarks_in;
mod landxml;
mod landxml_net;
mod las;
mod laz_chunks;
mod laz_time;
mod level_lines;
mod lock;
mod marks_out;
mod members;
mod network;
mod nmea;
mod odd_shots;
mod on_land;
mod picture_in;
mod plain;
mod plan_file;
mod plane;
mod point_file;
mod points;
mod prj;
mod projection;
mod replace;
mod reproject;
mod ring;
mod samples;
mod seen;
mod shapefile;
mod source;
mod spread_out;
mod stakes;
mod table;
mod tables_in;
mod tiff_file;
mod tiff_layout;
mod tiff_piece;
mod tiff_window;
mod unknown;
mod vector;
mod watch;
mod weather_in;
mod wkt;
mod world_file;
mod xml;

pub use ascii_grid::read_ascii_grid;
pub use crs::{Crs, CrsError};
pub use crs_words::reference;
pub use csv_out::{BYTE_ORDER_MARK, Csv, csv_text};
pub use error::FileError;
pub use field_in::{Entry, Handed, HandedBack, MOST_FIELD_BYTES, is_handed_back, read_handed_back};
pub use folder::{replace_folder, tidy_folder};
pub use geojson_in::{MOST_GEOJSON_BYTES, read_boundary, read_lines, read_polygons};
pub use geojson_out::{ground_geojson, plan_geojson};
pub use geotiff::read_geotiff;
pub use gpx::read_gpx;
pub use ground::{
    Ask, GroundFile, MOST_CELLS, MOST_FILE_BYTES, ReadOptions, read_bytes, read_ground, read_ground_with,
};
pub use head::{GridHead, look_at_grid};
pub use las::{MOST_CLOUD_SHOTS, read_las};
pub use lock::{Grip, PATIENCE, PlanLock, Taken};
pub use network::{NetPipe, Network, Node, NodeKind};
pub use nmea::{Heard, NmeaReader, Position};
pub use on_land::{OnLand, Placed};
pub use picture_in::{
    PictureHead, Pixels, WORLD_ENDINGS, is_picture, look_at_picture, read_picture, read_picture_bytes,
};
pub use plain::plain_plan;
pub use plan_file::{
    PLAN_EXTENSION, PLAN_VERSION, is_plan, plan_from_text, plan_text, read_plan, save_plan, save_plan_over,
};
pub use points::{ColumnGuess, Columns, MOST_TABLE_BYTES, guess_columns, read_points};
pub use replace::{autosave_path, backup_path, no_file, real_path, replace_anothers, replace_file};
pub use seen::{Seen, read_plan_seen};
pub use stakes::{StakeLine, StakeNotice, StakePoint, Stakes, SurfaceOut};
pub use table::Delimiter;
pub use tables_in::{
    PricesIn, RuleSet, StationShot, limit_value, price_rows_csv, read_hubs, read_price_rows, read_rule_set,
    read_station_shots, short,
};
pub use vector::{Boundary, LineIn, VectorFile, read_boundary_file, read_landmarks_file, read_lines_file};
pub use watch::Effort;
pub use weather_in::{MOST_WATER_M, WeatherDay, read_weather};
pub use world_file::world_file;
