//! The ground: a grid or a triangulated survey, and what water does on it.
//!
//! Everything is in metres in the plan's coordinate system. Missing ground is `NaN` inside a [`Grid`] and `None` at
//! every door that gives a single value; no ground is invented where none was measured.

mod accumulate;
mod agreement;
mod bed;
mod breach;
mod breakline;
mod catchment;
mod cells;
mod chain;
mod contour;
mod crossed;
mod curvature;
mod depression;
mod field_book;
mod fill;
mod flow;
mod grid;
mod ground;
mod hole;
mod local;
mod march;
mod mesh;
mod natural;
mod near;
mod parallel;
mod profile;
mod raster;
mod raw;
mod relief;
mod reroute;
mod smooth;
mod spread;
mod stretch;
mod swale;
mod thin;
mod thread;
mod tin;
mod water;
mod way;

pub use accumulate::flow_accumulation;
pub use agreement::Agreement;
pub use breach::BreachLimits;
pub use catchment::Catchment;
pub use contour::{Contour, contours, interval_for};
pub use curvature::{plan_curvature, profile_curvature};
pub use depression::Depression;
pub use field_book::{Batch, FieldBook, SurveyShot};
pub use fill::fill;
pub use flow::flow_directions;
pub use grid::{Grid, GridError, Window};
pub use ground::{Ground, SurfaceOptions, Survey, cell_for_shots};
pub use hole::Hole;
pub use local::{LocalSurface, NEIGHBOURS, Outlier, ShotIndex, disagreeing_pairs, median, outliers};
pub use profile::{Extreme, Piece, Profile};
pub use raw::{RawShot, Surface};
pub use relief::{Slope, aspect_deg, hillshade, slope_ratio, slope_ratio_into};
pub use smooth::smoothed;
pub use spread::wetness_index;
pub use stretch::{Stretch, join, over, under};
pub use swale::{Swale, swales};
pub use thin::simplify;
pub use tin::{Crossing, Interpolation, Shot, Tin, TinError};
pub use water::Water;
pub use way::{WaterWay, WayKind};
