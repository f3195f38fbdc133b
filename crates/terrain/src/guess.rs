//! How well strokes tell where water gathers: a class draws them before swales are shown.

use measure::{Paths, Point, Segment, along, ring_holds, segments};

use crate::Swale;

/// Longest piece that swales and strokes are looked at by, as a share of the reach.
const PIECE: f64 = 0.25;

/// How a guess came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guessed {
    /// Share of the swales near a stroke, 0 to 1: the more land drains to a piece, the more it counts, by the square root of
    /// the area.
    pub found: f64,
    /// Share of the strokes that lie far from any swale, 0 to 1; drawing over a swale again and again makes it no less.
    pub astray: f64,
    /// How near counts as near, metres.
    pub reach_m: f64,
}

impl Guessed {
    /// Points: a hundred for all swales and no stroke astray; none for nothing drawn (own rule).
    pub fn points(&self) -> u32 {
        (100.0 * (self.found - self.astray).max(0.0)).round() as u32
    }
}

/// Holds strokes against the swales of a field: those pieces of both that lie inside its ring, or all without one. Near is what
/// lies within `reach_m`.
pub fn guessed(swales: &[Swale], strokes: &[Vec<Point>], ring: &[Point], reach_m: f64) -> Guessed {
    // A dot is no stroke.
    let inside = |piece: &Segment| piece.length_m() > 0.0 && (ring.is_empty() || ring_holds(ring, middle(piece)));
    let drawn: Vec<Segment> =
        strokes.iter().flat_map(|stroke| pieces(stroke, reach_m)).map(|(_, piece)| piece).filter(inside).collect();
    let wet: Vec<(f64, Segment)> = swales.iter().flat_map(|swale| weighed(swale, reach_m)).collect();
    let wet: Vec<(f64, Segment)> = wet.into_iter().filter(|(_, piece)| inside(piece)).collect();
    let (strokes, swales) = (Paths::new(drawn.clone()), Paths::new(wet.iter().map(|(_, piece)| *piece).collect()));
    let is_near = |paths: &Paths, piece: &Segment| !paths.paths_near(middle(piece), reach_m).is_empty();
    let counts = |(weight, piece): &(f64, Segment)| weight * piece.length_m();
    let met: Vec<&(f64, Segment)> = wet.iter().filter(|(_, piece)| is_near(&strokes, piece)).collect();
    let met_m: f64 = met.iter().map(|(_, piece)| piece.length_m()).sum();
    let astray_m: f64 = drawn.iter().filter(|piece| !is_near(&swales, piece)).map(Segment::length_m).sum();
    let share = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
    Guessed {
        found: share(met.into_iter().map(counts).sum(), wet.iter().map(counts).sum()),
        astray: share(astray_m, astray_m + met_m),
        reach_m,
    }
}

/// A path in short pieces, each with the number of the place it begins at.
fn pieces(points: &[Point], reach_m: f64) -> Vec<(usize, Segment)> {
    let whole = segments(0, points);
    let parts =
        whole.iter().enumerate().flat_map(|(k, piece)| piece.parts(PIECE * reach_m).map(move |part| (k, part)));
    parts.collect()
}

/// The pieces of a swale, and what a metre of each counts.
fn weighed(swale: &Swale, reach_m: f64) -> impl Iterator<Item = (f64, Segment)> {
    pieces(&swale.points, reach_m)
        .into_iter()
        .map(|(k, piece)| (swale.area_m2.get(k).map_or(0.0, |area_m2| area_m2.sqrt()), piece))
}

fn middle(piece: &Segment) -> Point {
    along(piece.a, piece.b, 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(from: (f64, f64), to: (f64, f64)) -> Vec<Point> {
        vec![Point::new(from.0, from.1), Point::new(to.0, to.1)]
    }

    /// A wet swale of 100 m and a dry one as long, which counts half as much.
    fn swales() -> [Swale; 2] {
        [
            Swale { points: line((0.0, 0.0), (100.0, 0.0)), area_m2: vec![40_000.0; 2], joins: None },
            Swale { points: line((0.0, 60.0), (100.0, 60.0)), area_m2: vec![10_000.0; 2], joins: None },
        ]
    }

    fn points(strokes: &[Vec<Point>]) -> u32 {
        guessed(&swales(), strokes, &[], 6.0).points()
    }

    #[test]
    fn all_found_is_a_hundred_and_nothing_drawn_is_nothing() {
        let both = [line((0.0, 1.0), (100.0, 1.0)), line((100.0, 58.0), (0.0, 58.0))];
        assert_eq!((points(&both), points(&[]), points(&[vec![Point::new(50.0, 0.0)]])), (100, 0, 0));
        assert_eq!((points(&both[..1]), points(&both[1..])), (67, 33), "the wet one counts twice as much");
    }

    #[test]
    fn what_lies_far_off_takes_points_away() {
        let off = line((0.0, 30.0), (100.0, 30.0));
        assert_eq!(points(std::slice::from_ref(&off)), 0);
        // Found 2/3; half of what counts as drawn lies astray.
        assert_eq!(points(&[line((0.0, 0.0), (100.0, 0.0)), off]), 17);
    }

    /// Lines over the whole field, and the swale drawn twenty times to make up for them.
    #[test]
    fn scribbling_everywhere_is_not_rewarded() {
        let scribble: Vec<Vec<Point>> =
            (-10..30).map(|k| line((-50.0, 4.0 * f64::from(k)), (150.0, 4.0 * f64::from(k)))).collect();
        let everywhere = guessed(&swales(), &scribble, &[], 6.0);
        assert!(everywhere.found == 1.0 && everywhere.points() < 10, "{everywhere:?}");
        let again = [scribble, vec![line((0.0, 0.0), (100.0, 0.0)); 20]].concat();
        assert_eq!(guessed(&swales(), &again, &[], 6.0), everywhere);
    }

    #[test]
    fn only_what_lies_in_the_field_counts() {
        let ring = [(-9.0, -9.0), (109.0, -9.0), (109.0, 30.0), (-9.0, 30.0)].map(|(x, y)| Point::new(x, y));
        let strokes = [line((0.0, 0.0), (100.0, 0.0)), line((0.0, 90.0), (100.0, 90.0))];
        assert_eq!(guessed(&swales(), &strokes, &ring, 6.0).points(), 100);
        assert_eq!(guessed(&[], &strokes, &ring, 6.0).points(), 0);
    }
}
