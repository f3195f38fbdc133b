//! The ground along a line is the surface over it, wherever it is asked for, on grids and on triangles, with holes.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use measure::{Point, path_length, point_at};
use proptest::prelude::*;
use terrain::{Grid, Ground, Interpolation, Profile, Shot, SurfaceOptions, Survey};

fn path() -> impl Strategy<Value = Vec<Point>> {
    // Whole and half numbers lie on cells' edges and on shots; the rest anywhere, also off the ground.
    let at = prop_oneof![(-4..48i32).prop_map(|n| f64::from(n) / 2.0), -4.0..24.0f64];
    prop::collection::vec((at.clone(), at).prop_map(|(x, y)| Point::new(x, y)), 2..6)
}

fn grid() -> impl Strategy<Value = Ground> {
    let levels = prop::collection::vec(prop::option::weighted(0.93, -3.0..3.0f32), 20 * 20);
    levels.prop_filter_map("no level at all", |levels| {
        let levels = levels.into_iter().map(|level| level.unwrap_or(f32::NAN)).collect();
        Grid::new((20, 20), (0.0, 20.0), (1.0, 1.0), levels).ok().map(Ground::from_grid)
    })
}

fn survey() -> impl Strategy<Value = Ground> {
    let shot = (0..40i32, 0..40i32, -3.0..3.0f64)
        .prop_map(|(x, y, level_m)| Shot { at: Point::new(f64::from(x) / 2.0, f64::from(y) / 2.0), level_m });
    let lines = prop::collection::vec(prop::collection::vec(shot.clone(), 2..4), 0..3);
    (prop::collection::vec(shot, 4..80), lines, any::<bool>(), prop::option::of(3.0..9.0f64)).prop_filter_map(
        "no surface",
        |(shots, break_lines, natural, longest_side_m)| {
            let interpolation = if natural { Interpolation::NaturalNeighbour } else { Interpolation::Linear };
            let options = SurfaceOptions { cell_m: Some(0.7), longest_side_m, interpolation, threads: 1 };
            Ground::from_survey(Survey { shots, break_lines }, &options).ok()
        },
    )
}

/// Everywhere along the path the profile has the level that the ground has, and its least, greatest and area are those of
/// close samples.
fn check(ground: &Ground, path: &[Point]) -> Result<(), TestCaseError> {
    let profile = Profile::along(ground, path);
    let length_m = path_length(path);
    let gaps = profile.gaps(length_m);
    let mut last_m = 0.0;
    for piece in profile.pieces() {
        prop_assert!(piece.from_m >= last_m - 1e-9 && piece.to_m > piece.from_m && piece.to_m <= length_m + 1e-9);
        last_m = piece.to_m;
        let (low, high) = (piece.least(), piece.greatest());
        let mut area_m2 = 0.0;
        for k in 0..40 {
            let station_m = piece.from_m + piece.length_m() * (f64::from(k) + 0.5) / 40.0;
            let level_m = piece.at(station_m);
            prop_assert!(level_m >= low.value_m - 1e-9 && level_m <= high.value_m + 1e-9);
            area_m2 += level_m * piece.length_m() / 40.0;
            // A way along the very edge of the ground has it on one side, whichever rounding takes.
            let at = point_at(path, station_m).unwrap();
            let beside = [(0.0, 0.0), (1e-8, 0.0), (-1e-8, 0.0), (0.0, 1e-8), (0.0, -1e-8)];
            let mut on_ground = beside.iter().filter_map(|(x, y)| ground.elevation(Point::new(at.x + x, at.y + y)));
            prop_assert!(on_ground.any(|z| (z - level_m).abs() < 1e-6), "{level_m} at {station_m}, {at:?}");
        }
        prop_assert!((area_m2 - piece.area_m2()).abs() < 2e-3 * (1.0 + piece.length_m()));
    }
    for (from_m, to_m) in gaps.into_iter().filter(|(from_m, to_m)| to_m - from_m > 1e-6) {
        for k in 0..20 {
            // Not the middle: a way may touch known ground at one place, between two squares without.
            let station_m = from_m + (to_m - from_m) * (f64::from(k) + 0.437_281) / 20.0;
            let at = point_at(path, station_m).unwrap();
            prop_assert!(ground.elevation(at).is_none(), "ground in the gap at {station_m}, {at:?}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn over_cells(ground in grid(), path in path()) {
        check(&ground, &path)?;
    }

    #[test]
    fn over_triangles(ground in survey(), path in path()) {
        check(&ground, &path)?;
    }
}
