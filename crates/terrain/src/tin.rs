//! A triangulated surface over survey shots.

use measure::{Point, distance};
use spade::{
    DelaunayTriangulation, HasPosition, HierarchyHintGenerator, Point2, PositionInTriangulation, Triangulation,
    mitigate_underflow,
};

use crate::GridError;

/// A surveyed place with its ground level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shot {
    /// Where it was taken.
    pub at: Point,
    /// Level of the ground there, metres.
    pub level_m: f64,
}

impl HasPosition for Shot {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        mitigate_underflow(Point2::new(self.at.x, self.at.y))
    }
}

/// Why no surface can be made from shots.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TinError {
    /// Fewer than three places; shots at one place count once.
    #[error("found {places} different places in {shots} shots; expected at least 3")]
    TooFew {
        /// Shots given.
        shots: usize,
        /// Different places among them.
        places: usize,
    },
    /// All shots lie on one line.
    #[error("all {shots} shots lie within {width_m:.3} m of one line; expected shots spread over the field")]
    OneLine {
        /// Shots given.
        shots: usize,
        /// Greatest distance from the line, metres.
        width_m: f64,
    },
    /// A shot holds something that is not a usable number.
    #[error("shot {number} is at ({x}, {y}) with level {level_m}; expected finite numbers below a thousand million")]
    Number {
        /// Place in the list, counted from 1.
        number: usize,
        /// Easting, metres.
        x: f64,
        /// Northing, metres.
        y: f64,
        /// Level, metres.
        level_m: f64,
    },
    /// No grid can be laid over the shots.
    #[error("the grid over the shots: {0}")]
    Grid(#[from] GridError),
}

/// Share of their length within which shots count as one line (common practice, no source).
const LINE_WIDTH: f64 = 1e-4;

type Triangles = DelaunayTriangulation<Shot, (), (), (), HierarchyHintGenerator<f64>>;

/// Delaunay triangles over shots; the level is linear in each triangle.
#[derive(Debug, Clone)]
pub struct Tin {
    triangles: Triangles,
}

impl Tin {
    /// Triangulates shots. Of shots at one place the mean level is kept.
    pub fn of(shots: &[Shot]) -> Result<Self, TinError> {
        refuse_bad_numbers(shots)?;
        let places = one_per_place(shots);
        if places.len() < 3 {
            return Err(TinError::TooFew { shots: shots.len(), places: places.len() });
        }
        let (length_m, width_m) = spread(&places);
        let one_line = TinError::OneLine { shots: shots.len(), width_m };
        if width_m <= LINE_WIDTH * length_m {
            return Err(one_line);
        }
        let triangles = Triangles::bulk_load(places).map_err(|_| one_line)?;
        Ok(Self { triangles })
    }

    /// Level of the surface at a place, metres; exact at the shots. `None` outside the shots' convex hull.
    pub fn level(&self, at: Point) -> Option<f64> {
        // Nothing is out there, and the exact arithmetic of the search has its limits too.
        if !(at.x.abs() < 1e10 && at.y.abs() < 1e10) {
            return None;
        }
        match self.triangles.locate(mitigate_underflow(Point2::new(at.x, at.y))) {
            PositionInTriangulation::OnVertex(vertex) => Some(self.triangles.vertex(vertex).data().level_m),
            PositionInTriangulation::OnEdge(edge) => {
                let mut ends = self.triangles.directed_edge(edge).vertices();
                ends.sort_by_key(|vertex| vertex.index());
                Some(on_edge(ends.map(|vertex| *vertex.data()), at))
            }
            PositionInTriangulation::OnFace(face) => {
                Some(on_triangle(self.triangles.face(face).vertices().map(|vertex| *vertex.data()), at))
            }
            _ => None,
        }
    }

    /// Corners of every triangle, in a fixed order.
    pub fn triangles(&self) -> impl Iterator<Item = [Shot; 3]> {
        self.triangles.inner_faces().map(|face| face.vertices().map(|vertex| *vertex.data()))
    }

    /// Median length of the triangles' sides, metres.
    pub fn median_side_m(&self) -> f64 {
        let sides = self.triangles.undirected_edges().map(|edge| edge.vertices().map(|vertex| vertex.data().at));
        let mut lengths: Vec<f64> = sides.map(|[a, b]| distance(a, b)).collect();
        lengths.sort_by(f64::total_cmp);
        lengths.get(lengths.len() / 2).copied().unwrap_or(0.0)
    }
}

fn refuse_bad_numbers(shots: &[Shot]) -> Result<(), TinError> {
    let usable = |value: f64| value.abs() < 1e9;
    let bad = shots.iter().position(|s| !(usable(s.at.x) && usable(s.at.y) && usable(s.level_m)));
    bad.map_or(Ok(()), |index| {
        let Shot { at, level_m } = shots[index];
        Err(TinError::Number { number: index + 1, x: at.x, y: at.y, level_m })
    })
}

/// Shots sorted by place, those at one place made one with their mean level.
fn one_per_place(shots: &[Shot]) -> Vec<Shot> {
    // Adding 0.0 turns a negative zero into a plain one, which is the same place.
    let mut sorted: Vec<Shot> =
        shots.iter().map(|s| Shot { at: Point::new(s.at.x + 0.0, s.at.y + 0.0), ..*s }).collect();
    sorted.sort_by(|a, b| {
        a.at.x.total_cmp(&b.at.x).then(a.at.y.total_cmp(&b.at.y)).then(a.level_m.total_cmp(&b.level_m))
    });
    let mean = |group: &[Shot]| group.iter().map(|s| s.level_m).sum::<f64>() / group.len() as f64;
    sorted.chunk_by(|a, b| a.at == b.at).map(|group| Shot { at: group[0].at, level_m: mean(group) }).collect()
}

/// Length of the shots' longest reach from the first and their greatest distance from that line, metres.
fn spread(places: &[Shot]) -> (f64, f64) {
    let start = places[0].at;
    let away = |s: &Shot| distance(start, s.at);
    let length_m = places.iter().map(away).fold(0.0, f64::max);
    let end = places.iter().find(|s| away(s) == length_m).map_or(start, |s| s.at);
    let off = |s: &Shot| doubled_area(start, end, s.at).abs() / length_m;
    (length_m, places.iter().map(off).fold(0.0, f64::max))
}

/// Twice the area of a triangle, positive when its corners turn left.
fn doubled_area(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

fn on_edge([a, b]: [Shot; 2], at: Point) -> f64 {
    let share = distance(a.at, at) / distance(a.at, b.at);
    a.level_m + (b.level_m - a.level_m) * share.clamp(0.0, 1.0)
}

/// Linear interpolation in a triangle.
pub(crate) fn on_triangle([a, b, c]: [Shot; 3], at: Point) -> f64 {
    let whole = doubled_area(a.at, b.at, c.at);
    let (of_b, of_c) = (doubled_area(a.at, at, c.at) / whole, doubled_area(a.at, b.at, at) / whole);
    a.level_m + (b.level_m - a.level_m) * of_b + (c.level_m - a.level_m) * of_c
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shot(x: f64, y: f64, level_m: f64) -> Shot {
        Shot { at: Point::new(x, y), level_m }
    }

    #[test]
    fn too_little_is_refused_in_plain_words() {
        let said = |shots: &[Shot]| Tin::of(shots).unwrap_err().to_string();
        assert!(said(&[]).contains("expected at least 3"));
        assert!(said(&[shot(1.0, 1.0, 5.0); 9]).contains("found 1 different places in 9 shots"));
        let line: Vec<Shot> = (0..50).map(|i| shot(533_800.1 + 0.3 * i as f64, 5e6 + 0.7 * i as f64, 1.0)).collect();
        assert!(said(&line).contains("one line"));
        assert!(said(&[shot(0.0, f64::NAN, 1.0)]).contains("shot 1 is at (0, NaN)"));
    }

    #[test]
    fn exact_at_shots_linear_between_none_outside() {
        let corners = [shot(0.0, 0.0, 10.1), shot(100.0, 0.0, 11.3), shot(0.0, 100.0, 12.7), shot(100.0, 100.0, 9.9)];
        let tin = Tin::of(&corners).unwrap();
        for corner in corners {
            assert_eq!(tin.level(corner.at), Some(corner.level_m));
        }
        assert!((tin.level(Point::new(25.0, 0.0)).unwrap() - 10.4).abs() < 1e-12);
        for outside in [Point::new(-0.001, 50.0), Point::new(f64::NAN, 0.0), Point::new(1e300, 0.0)] {
            assert_eq!(tin.level(outside), None);
        }
    }

    #[test]
    fn shots_at_one_place_are_averaged() {
        let shots = [shot(0.0, 0.0, 1.0), shot(-0.0, 0.0, 2.0), shot(9.0, 0.0, 1.0), shot(0.0, 9.0, 1.0)];
        assert_eq!(Tin::of(&shots).unwrap().level(Point::new(0.0, 0.0)), Some(1.5));
    }

    #[test]
    fn answers_do_not_depend_on_earlier_questions() {
        let shots: Vec<Shot> =
            (0..400).map(|i| shot((i % 20) as f64, (i / 20) as f64, (i * 7919 % 101) as f64 / 10.0)).collect();
        let places: Vec<Point> = (0..300).map(|i| Point::new((i % 19) as f64 + 0.5, (i % 17) as f64 + 0.5)).collect();
        let tin = Tin::of(&shots).unwrap();
        let forward: Vec<_> = places.iter().map(|&at| tin.level(at)).collect();
        let mut backward: Vec<_> = places.iter().rev().map(|&at| tin.level(at)).collect();
        backward.reverse();
        assert_eq!(forward, backward);
    }
}
