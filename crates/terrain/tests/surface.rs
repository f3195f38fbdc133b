//! What must hold for triangles over any shots and break lines.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::{BTreeMap, BTreeSet};

use measure::{Point, distance};
use proptest::prelude::*;
use robust::{Coord, incircle, orient2d};
use terrain::{Interpolation, Shot, Tin};

fn coord(at: Point) -> Coord<f64> {
    Coord { x: at.x, y: at.y }
}

fn turn(a: Point, b: Point, c: Point) -> f64 {
    orient2d(coord(a), coord(b), coord(c))
}

fn shot((x, y, level_m): (f64, f64, f64)) -> Shot {
    Shot { at: Point::new(x, y), level_m }
}

fn doubled_area([a, b, c]: [Point; 3]) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Convex hull by Andrew's monotone chain, doubled area.
fn hull_area(places: impl Iterator<Item = Point>) -> f64 {
    let mut sorted: Vec<Point> = places.collect();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = &Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for &p in points {
            while chain.len() > 1 && turn(chain[chain.len() - 2], chain[chain.len() - 1], p) <= 0.0 {
                chain.pop();
            }
            chain.push(p);
        }
        chain
    };
    let (mut lower, upper) = (half(&mut sorted.iter()), half(&mut sorted.iter().rev()));
    lower.extend(upper);
    (1..lower.len() - 1).map(|k| doubled_area([lower[0], lower[k], lower[k + 1]])).sum()
}

type Key = (u64, u64);

fn key(at: Point) -> Key {
    (at.x.to_bits(), at.y.to_bits())
}

/// Every triangle turns left, no side is used twice, together they fill the hull, and no corner lies inside the circle
/// of a neighbour across a side that no line holds.
fn sound(tin: &Tin) -> Result<(), TestCaseError> {
    let held: BTreeSet<(Key, Key)> =
        tin.break_edges().flat_map(|[a, b]| [(key(a.at), key(b.at)), (key(b.at), key(a.at))]).collect();
    let mut sides = BTreeMap::new();
    let mut area = 0.0;
    for corners in tin.triangles().map(|triangle| triangle.map(|s| s.at)) {
        let [a, b, c] = corners;
        prop_assert!(turn(a, b, c) > 0.0);
        area += doubled_area(corners);
        for [a, b, c] in [[a, b, c], [b, c, a], [c, a, b]] {
            prop_assert!(sides.insert((key(a), key(b)), [a, b, c]).is_none(), "a side used twice");
        }
    }
    let whole = hull_area(tin.triangles().flatten().map(|s| s.at));
    prop_assert!((area - whole).abs() <= 1e-8 * (1.0 + whole), "{area} of {whole}");
    for (&(a, b), &[pa, pb, pc]) in &sides {
        let Some(&[_, _, far]) = sides.get(&(b, a)) else { continue };
        let inside = incircle(coord(pa), coord(pb), coord(pc), coord(far));
        let size = distance(pa, pb).max(distance(pa, pc)).max(distance(pa, far));
        prop_assert!(inside <= 1e-12 * size.powi(4) || held.contains(&(a, b)), "{inside} at {pa:?} {pb:?}");
    }
    Ok(())
}

/// Each segment is covered by held edges lying on it.
fn lines_are_held(tin: &Tin, lines: &[Vec<Shot>]) -> Result<(), TestCaseError> {
    let edges: Vec<[Point; 2]> = tin.break_edges().map(|edge| edge.map(|s| s.at)).collect();
    for ends in lines.iter().flat_map(|line| line.windows(2)) {
        let (from, to) = (ends[0].at, ends[1].at);
        let on = |p: &Point| measure::nearest_on(&[from, to], *p).is_some_and(|(_, _, away_m)| away_m < 1e-6);
        let covered: f64 = edges.iter().filter(|e| e.iter().all(on)).map(|[a, b]| distance(*a, *b)).sum();
        prop_assert!((covered - distance(from, to)).abs() < 1e-5, "{covered} of {}", distance(from, to));
    }
    Ok(())
}

/// Places on a small lattice (many on one line, one circle or one place) or anywhere.
fn places() -> impl Strategy<Value = Vec<Shot>> {
    let lattice = (-6..6i32, -6..6i32, 0.0..5.0f64).prop_map(|(x, y, z)| shot((x as f64, y as f64, z)));
    let anywhere = (-6.0..6.0f64, -6.0..6.0f64, 0.0..5.0f64).prop_map(shot);
    let huge = (0..60i32, 0..60i32, 0.0..5.0f64)
        .prop_map(|(x, y, z)| shot((533_826.1 + 0.1 * x as f64, 5_304_536.3 + 0.1 * y as f64, z)));
    prop_oneof![
        prop::collection::vec(lattice.clone(), 3..60),
        prop::collection::vec(anywhere.clone(), 3..60),
        prop::collection::vec(prop_oneof![lattice, anywhere], 3..60),
        prop::collection::vec(huge, 3..60),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn triangles_are_sound(shots in places()) {
        let Ok(tin) = Tin::of(&shots) else { return Ok(()) };
        sound(&tin)?;
        for s in &shots {
            prop_assert!(tin.level(s.at).is_some());
            prop_assert_eq!(tin.distance_to_data_m(s.at), 0.0);
        }
    }

    #[test]
    fn break_lines_are_edges(shots in places(), cuts in prop::collection::vec(1..6usize, 1..12)) {
        // The lines take their points from the shots, so that they cross, overlap, touch and double back.
        let mut rest = shots.as_slice();
        let mut lines = Vec::new();
        for cut in cuts {
            let (line, left) = rest.split_at(cut.min(rest.len()));
            lines.push(line.to_vec());
            rest = left;
        }
        let Ok(tin) = Tin::with_breaks(rest, &lines) else { return Ok(()) };
        prop_assert_eq!(tin.lost_segments(), 0);
        sound(&tin)?;
        lines_are_held(&tin, &lines)?;
    }
}

fn tilted(at: Point) -> f64 {
    100.0 + 0.7 * at.x - 0.4 * at.y
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    /// Sibson's identity: a plane is given back as it is, with and without lines in the way.
    #[test]
    fn natural_neighbours_give_a_plane_back(shots in places(), cut in 0..20usize, at in (0.0..1.0f64, 0.0..1.0f64)) {
        let origin = shots[0].at;
        let flat: Vec<Shot> = shots
            .iter()
            .map(|s| Point::new(s.at.x - origin.x, s.at.y - origin.y))
            .map(|at| Shot { at, level_m: tilted(at) })
            .collect();
        let (line, rest) = flat.split_at(cut.min(flat.len()));
        let Ok(tin) = Tin::with_breaks(rest, &[line.to_vec()]) else { return Ok(()) };
        let (low, high) = tin.bounds();
        let at = Point::new(low.x + (high.x - low.x) * at.0, low.y + (high.y - low.y) * at.1);
        let level_m = tin.level_by(at, Interpolation::NaturalNeighbour);
        prop_assert_eq!(level_m.is_some(), tin.level(at).is_some());
        if let Some(level_m) = level_m {
            prop_assert!((level_m - tilted(at)).abs() < 1e-6, "{level_m} not {}", tilted(at));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    /// Places closer than any tape can tell, and half the world apart, in one survey: a surface or a plain refusal.
    #[test]
    fn rough_numbers_do_no_harm(raw in prop::collection::vec((0..8usize, 0..8usize, -9.0..9.0f64), 3..40), cut in 0..30usize) {
        let numbers = [0.0, 1e-12, 2e-9, 1e-7, 0.3, 1.0 / 3.0, 5e4, -9e8];
        let shots: Vec<Shot> = raw.iter().map(|&(x, y, z)| shot((numbers[x], numbers[y], z))).collect();
        let (line, rest) = shots.split_at(cut.min(shots.len()));
        let Ok(tin) = Tin::with_breaks(rest, &[line.to_vec()]) else { return Ok(()) };
        for s in &shots {
            prop_assert!(tin.level(s.at).is_some_and(f64::is_finite));
            prop_assert!(tin.level_by(s.at, Interpolation::NaturalNeighbour).is_some_and(f64::is_finite));
        }
        for at in [Point::new(0.1, 0.2), Point::new(-4e8, -1.0), Point::new(1e-9, 1e-9)] {
            for how in [Interpolation::Linear, Interpolation::NaturalNeighbour] {
                prop_assert!(tin.level_by(at, how).is_none_or(|level_m| level_m.abs() <= 9.0));
            }
        }
        prop_assert!(tin.triangles().all(|[a, b, c]| doubled_area([a.at, b.at, c.at]).is_finite()));
        let _ = tin.with_longest_side(1.0).holes();
    }
}
