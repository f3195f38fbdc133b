//! Soil out of the trench.

use design::LineDesign;
use plan::Criteria;

/// Soil out of a line's trench with upright walls, cubic metres: width × mean trench depth of two neighbouring
/// stations × distance between them (average end areas, common practice in earthwork). Nothing is counted where ground
/// or invert is not known, nor for a pipe above ground.
pub fn trench_m3(line: &LineDesign, criteria: &Criteria) -> f64 {
    let depth_m = |station| line.trench_depth_m(station, criteria.bedding_m).map(|depth_m| depth_m.max(0.0));
    let between = line.stations.windows(2).filter_map(|pair| {
        let mean_m = (depth_m(&pair[0])? + depth_m(&pair[1])?) / 2.0;
        Some(mean_m * (pair[1].station_m - pair[0].station_m))
    });
    criteria.trench_width_m * between.sum::<f64>()
}
