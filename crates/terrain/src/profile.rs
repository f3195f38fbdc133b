//! The ground along a line.

use measure::{Point, along, distance};

use crate::Ground;

/// Samples a profile holds at most; a finer step is widened.
const MOST_SAMPLES: f64 = 1e6;

/// Ground along a path: station from its start in metres, place, level where there is ground.
///
/// One sample every `step_m` and one at every corner of the path. A step that is not above 0 leaves the corners alone.
pub fn profile(ground: &Ground, path: &[Point], step_m: f64) -> Vec<(f64, Point, Option<f64>)> {
    let length_m = measure::path_length(path);
    let step_m = if step_m > 0.0 { step_m.max(length_m / MOST_SAMPLES) } else { f64::INFINITY };
    let mut places: Vec<(f64, Point)> = path.first().map(|&start| (0.0, start)).into_iter().collect();
    if length_m.is_finite() {
        let mut start_m = 0.0;
        for pair in path.windows(2) {
            start_m = sample(pair[0], pair[1], start_m, step_m, &mut places);
        }
    }
    places.into_iter().map(|(station_m, at)| (station_m, at, ground.elevation(at))).collect()
}

/// Adds the full steps strictly inside one side of the path, then its end. Returns the station of the end.
fn sample(a: Point, b: Point, start_m: f64, step_m: f64, places: &mut Vec<(f64, Point)>) -> f64 {
    let length_m = distance(a, b);
    let end_m = start_m + length_m;
    if length_m == 0.0 {
        return end_m;
    }
    let close = 1e-9 * step_m.min(1e3);
    let mut count = (start_m / step_m).floor() + 1.0;
    while count * step_m < end_m - close {
        let station_m = count * step_m;
        if station_m > start_m + close {
            places.push((station_m, along(a, b, (station_m - start_m) / length_m)));
        }
        count += 1.0;
    }
    places.push((end_m, b));
    end_m
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Grid;

    fn ground() -> Ground {
        let levels = (0..400).map(|i| (i % 20) as f32).collect();
        Ground::from_grid(Grid::new((20, 20), (0.0, 20.0), (1.0, 1.0), levels).unwrap())
    }

    #[test]
    fn steps_corners_and_the_end_each_appear_once() {
        let path = [Point::new(1.0, 1.0), Point::new(7.0, 1.0), Point::new(7.0, 4.5), Point::new(27.0, 4.5)];
        let samples = profile(&ground(), &path, 3.0);
        let stations: Vec<f64> = samples.iter().map(|s| s.0).collect();
        assert_eq!(stations, [0.0, 3.0, 6.0, 9.0, 9.5, 12.0, 15.0, 18.0, 21.0, 24.0, 27.0, 29.5]);
        assert_eq!(samples[1], (3.0, Point::new(4.0, 1.0), Some(3.5)));
        assert_eq!(samples[11].2, None);
    }

    #[test]
    fn senseless_steps_and_paths_do_no_harm() {
        let path = [Point::new(1.0, 1.0), Point::new(7.0, 1.0)];
        for step_m in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(profile(&ground(), &path, step_m).len(), 2);
        }
        assert!(profile(&ground(), &path, 1e-300).len() <= 1_000_002);
        assert!(profile(&ground(), &[], 1.0).is_empty());
        assert_eq!(profile(&ground(), &[path[0], Point::new(f64::NAN, 0.0)], 1.0).len(), 1);
    }
}
