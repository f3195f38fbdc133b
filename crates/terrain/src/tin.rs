//! A triangulated surface over survey shots and break lines.

use std::sync::OnceLock;

use measure::{Point, extent};
use robust::Coord;

use crate::GridError;
use crate::breakline::Holder;
use crate::mesh::{Mesh, next, prev, rounded};
use crate::natural::Neighbours;
use crate::near::Buckets;

/// A surveyed place with its ground level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shot {
    /// Where it was taken.
    pub at: Point,
    /// Level of the ground there, metres.
    pub level_m: f64,
}

/// How levels between shots are found.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Interpolation {
    /// Straight in each triangle.
    #[default]
    Linear,
    /// Weighted by the area a place would take from its natural neighbours (Sibson 1981): smooth but at the shots. Break
    /// lines and the rim are barriers, on which the level is straight.
    NaturalNeighbour,
}

/// A place where two break lines cross between their points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Where they cross; the surface has the mean of both levels there.
    pub at: Point,
    /// Level of each line there, metres.
    pub levels_m: [f64; 2],
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
        /// Place in the list, counted from 1; the points of break lines are counted on after the shots.
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
/// Places of a mesh from which on not every side is looked at for the median (own choice).
const SIDES_SAMPLED: usize = 100_000;
/// Sides of triangles among which the long ones of a survey's own spacing are looked for: nine in ten, which dense rows
/// along a ditch do not spoil, nor the few sides that span what was not surveyed (own choice).
const OWN_SIDES: f64 = 0.9;
/// Longest side of a triangle that counts as ground, in long sides of the survey's own spacing (own choice).
const SIDES_SPANNED: f64 = 4.0;

/// Delaunay triangles over shots, constrained by break lines; the level is linear in each triangle.
///
/// A triangle with a side longer than [`Self::longest_side_m`] is a hole: nobody was near enough to know the ground.
#[derive(Debug, Clone)]
pub struct Tin {
    /// What the mesh's coordinates are counted from.
    origin: Point,
    mesh: Mesh,
    /// Level of each of the mesh's places, metres.
    levels: Vec<f64>,
    crossings: Vec<Crossing>,
    lost_segments: usize,
    spacing: Spacing,
    longest_side_m: f64,
    buckets: OnceLock<Buckets>,
    rim: OnceLock<Vec<u32>>,
}

impl Tin {
    /// Triangulates shots, ground up to their convex hull. Of shots at one place the mean level is kept.
    pub fn of(shots: &[Shot]) -> Result<Self, TinError> {
        Self::with_breaks(shots, &[])
    }

    /// Triangulates shots and break lines: lines of shots along which the ground bends, such as the edge of a ditch.
    ///
    /// Every segment of a line becomes an edge of triangles, or a chain of edges: over shots that lie on it, over
    /// crossings with other lines (see [`Crossing`]), and over places put in, with levels straight between its ends,
    /// so that no edge is longer than the median side. A line of one point is a shot.
    pub fn with_breaks(shots: &[Shot], break_lines: &[Vec<Shot>]) -> Result<Self, TinError> {
        let all: Vec<Shot> = shots.iter().chain(break_lines.iter().flatten()).copied().collect();
        refuse_bad_numbers(&all)?;
        let origin = origin(&all);
        let places = Places::of(&all, origin);
        refuse_flat(&places.points, all.len())?;
        let mesh = Mesh::of(places.points);
        let mut tin = Self {
            origin,
            levels: places.levels,
            crossings: Vec::new(),
            lost_segments: 0,
            spacing: Spacing::of(&mesh),
            longest_side_m: f64::INFINITY,
            mesh,
            buckets: OnceLock::new(),
            rim: OnceLock::new(),
        };
        let mut numbers = places.number_of[shots.len()..].iter();
        let lines: Vec<Vec<u32>> =
            break_lines.iter().map(|line| numbers.by_ref().take(line.len()).copied().collect()).collect();
        tin.hold(&lines);
        Ok(tin)
    }

    fn hold(&mut self, lines: &[Vec<u32>]) {
        let segments: Vec<(u32, u32)> = lines.iter().flat_map(|l| l.windows(2)).map(|w| (w[0], w[1])).collect();
        if segments.is_empty() {
            return;
        }
        self.mesh.open();
        let length_m = |&(a, b): &(u32, u32)| self.mesh.distance_m(a, self.mesh.points[b as usize]);
        // However long the lines, they never outnumber the shots by much.
        let least_m = segments.iter().map(length_m).sum::<f64>() / (1000 + self.levels.len()) as f64;
        let spacing_m = self.spacing.median_m.max(least_m);
        let mut holder = Holder { mesh: &mut self.mesh, levels: &mut self.levels, met: Vec::new() };
        self.lost_segments = segments.iter().filter(|(a, b)| !holder.hold(*a, *b)).count();
        holder.divide(spacing_m);
        let met = holder.met;
        self.crossings =
            met.into_iter().map(|met| Crossing { at: self.shot(met.place).at, levels_m: met.levels_m }).collect();
    }

    /// The same triangles, those with a side longer than so many metres being holes.
    pub fn with_longest_side(self, longest_side_m: f64) -> Self {
        Self { longest_side_m, ..self }
    }

    /// Longest side of a triangle that still counts as ground, metres; infinite until set.
    pub fn longest_side_m(&self) -> f64 {
        self.longest_side_m
    }

    /// A longest side that suits the spacing of the shots: four times the side than which
    /// nine in ten are shorter (own choice).
    pub fn suitable_longest_side_m(&self) -> f64 {
        SIDES_SPANNED * self.spacing.long_m
    }

    /// Level of the surface at a place, metres, linear in each triangle; exact at the shots. `None` in holes and outside
    /// the shots' convex hull.
    pub fn level(&self, at: Point) -> Option<f64> {
        self.level_by(at, Interpolation::Linear)
    }

    /// Level of the surface at a place, metres, by a method of choice; exact at the shots. `None` as for
    /// [`Self::level`].
    pub fn level_by(&self, at: Point, how: Interpolation) -> Option<f64> {
        let at = self.local(at)?;
        let edge = self.find(at)?;
        let sides = [edge, next(edge), prev(edge)];
        if let Some(corner) = sides.into_iter().find(|&side| self.point(side) == at) {
            return Some(self.level_of(self.mesh.start(corner)));
        }
        // A place on the rim of a hole belongs to the ground beside it.
        let beside = |&side: &u32| self.mesh.twin(side).filter(|_| self.mesh.side_of(side, at) == 0.0);
        let mut faces = std::iter::once(edge).chain(sides.iter().filter_map(beside));
        let face = faces.find(|&face| self.is_ground(face))?;
        let natural_m = match how {
            Interpolation::Linear => None,
            Interpolation::NaturalNeighbour => Neighbours::default().level(self, face, at),
        };
        Some(natural_m.unwrap_or_else(|| self.level_in(face, at)))
    }

    /// Distance to the nearest shot, point of a break line or place put in along one, metres.
    pub fn distance_to_data_m(&self, at: Point) -> f64 {
        let nearest = self.local(at).and_then(|at| self.buckets().nearest(&self.mesh, at));
        nearest.map_or(f64::INFINITY, |(_, away_m)| away_m)
    }

    /// South-west and north-east corner of the box round all places.
    pub fn bounds(&self) -> (Point, Point) {
        let corners = extent(self.mesh.points.iter().map(|p| Point::new(p.x, p.y)));
        let (low, high) = corners.unwrap_or((Point::new(0.0, 0.0), Point::new(0.0, 0.0)));
        let placed = |p: Point| Point::new(self.origin.x + p.x, self.origin.y + p.y);
        (placed(low), placed(high))
    }

    /// Corners of every triangle that is ground, in a fixed order.
    pub fn triangles(&self) -> impl Iterator<Item = [Shot; 3]> {
        let faces = (0..self.faces()).filter(|&face| self.is_ground(3 * face));
        faces.map(|face| [0, 1, 2].map(|k| self.shot(self.mesh.start(3 * face + k))))
    }

    /// Triangles in all, ground or not.
    pub(crate) fn faces(&self) -> u32 {
        self.mesh.len() / 3
    }

    /// The triangles.
    pub(crate) fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// Level of a place of the mesh, metres.
    pub(crate) fn level_of(&self, place: u32) -> f64 {
        self.levels[place as usize]
    }

    /// Where a place of the mesh lies.
    pub(crate) fn place_of(&self, place: u32) -> Point {
        self.shot(place).at
    }

    /// Corners of a triangle, with their levels.
    pub(crate) fn corners(&self, face: u32) -> [(Coord<f64>, f64); 3] {
        let corner = |edge: u32| (self.point(edge), self.level_of(self.mesh.start(edge)));
        [corner(3 * face), corner(3 * face + 1), corner(3 * face + 2)]
    }

    /// Twice the area of a triangle, square metres.
    pub(crate) fn doubled_area(&self, face: u32) -> f64 {
        let [a, b, c] = self.corners(face).map(|(at, _)| at);
        doubled_area(a, b, c)
    }

    /// Whether the triangle of a half-edge is no hole.
    pub(crate) fn is_ground(&self, edge: u32) -> bool {
        let [a, b, c] = self.corners(edge / 3).map(|(at, _)| at);
        let longest = squared(a, b).max(squared(b, c)).max(squared(c, a));
        longest <= self.longest_side_m * self.longest_side_m
    }

    /// A place counted from the mesh's origin.
    pub(crate) fn relative(&self, at: Point) -> Coord<f64> {
        Coord { x: at.x - self.origin.x, y: at.y - self.origin.y }
    }

    /// Ends of every edge that a break line holds in place.
    pub fn break_edges(&self) -> impl Iterator<Item = [Shot; 2]> {
        let held = self.mesh.sides().filter(|&edge| self.mesh.is_fixed(edge));
        held.map(|edge| [self.shot(self.mesh.start(edge)), self.shot(self.mesh.end(edge))])
    }

    /// Where break lines cross between their points.
    pub fn crossings(&self) -> &[Crossing] {
        &self.crossings
    }

    /// Segments of break lines that could not be held for want of precision: 0 for any real survey.
    pub fn lost_segments(&self) -> usize {
        self.lost_segments
    }

    /// Median length of the sides of the triangles over shots and points of break lines, metres.
    pub fn median_side_m(&self) -> f64 {
        self.spacing.median_m
    }

    fn buckets(&self) -> &Buckets {
        self.buckets.get_or_init(|| Buckets::of(&self.mesh))
    }

    /// Half-edges with nothing on the other side.
    pub(crate) fn rim(&self) -> &[u32] {
        self.rim.get_or_init(|| (0..self.mesh.len()).filter(|&edge| self.mesh.twin(edge).is_none()).collect())
    }

    /// A half-edge of the triangle that holds a place.
    pub(crate) fn find(&self, at: Coord<f64>) -> Option<u32> {
        let (near, _) = self.buckets().nearest(&self.mesh, at)?;
        self.mesh.walk(near, at)
    }

    /// A place in the mesh's coordinates; `None` where there can be nothing.
    pub(crate) fn local(&self, at: Point) -> Option<Coord<f64>> {
        (at.x.abs() < 1e10 && at.y.abs() < 1e10).then(|| local(self.origin, at))
    }

    fn shot(&self, place: u32) -> Shot {
        let Coord { x, y } = self.mesh.points[place as usize];
        Shot { at: Point::new(self.origin.x + x, self.origin.y + y), level_m: self.levels[place as usize] }
    }

    /// Where a half-edge starts.
    fn point(&self, edge: u32) -> Coord<f64> {
        self.mesh.points[self.mesh.start(edge) as usize]
    }

    /// Linear interpolation in the triangle of a half-edge; never beyond its corners' levels, however thin it is.
    pub(crate) fn level_in(&self, edge: u32, at: Coord<f64>) -> f64 {
        let [(a, za), (b, zb), (c, zc)] = self.corners(edge / 3);
        let whole = doubled_area(a, b, c);
        let (of_b, of_c) = (doubled_area(a, at, c) / whole, doubled_area(a, b, at) / whole);
        let level_m = za + (zb - za) * of_b + (zc - za) * of_c;
        level_m.max(za.min(zb).min(zc)).min(za.max(zb).max(zc))
    }
}

/// Different places of shots, in a fixed order.
struct Places {
    points: Vec<Coord<f64>>,
    /// Mean level of the shots at each place, metres.
    levels: Vec<f64>,
    /// The place of each shot.
    number_of: Vec<u32>,
}

impl Places {
    fn of(shots: &[Shot], origin: Point) -> Self {
        let points: Vec<Coord<f64>> = shots.iter().map(|s| local(origin, s.at)).collect();
        let mut places = Self { points: Vec::new(), levels: Vec::new(), number_of: vec![0; shots.len()] };
        let mut order = along_curve(&points);
        let one = |a: &(u32, u32), b: &(u32, u32)| a.0 == b.0;
        for block in order.chunk_by_mut(one) {
            let by_place = |&(_, k): &(u32, u32)| (points[k as usize], shots[k as usize].level_m);
            block.sort_unstable_by(|a, b| {
                let ((a, za), (b, zb)) = (by_place(a), by_place(b));
                a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)).then(za.total_cmp(&zb))
            });
            for group in block.chunk_by(|a, b| points[a.1 as usize] == points[b.1 as usize]) {
                group.iter().for_each(|shot| places.number_of[shot.1 as usize] = places.points.len() as u32);
                let sum: f64 = group.iter().map(|shot| shots[shot.1 as usize].level_m).sum();
                places.points.push(points[group[0].1 as usize]);
                places.levels.push(sum / group.len() as f64);
            }
        }
        places
    }
}

/// Points in the order in which a curve that fills the plane meets the squares they lie in: neighbours on the ground
/// lie near one another in memory. Pairs of the square's place on the curve and the point's number.
fn along_curve(points: &[Coord<f64>]) -> Vec<(u32, u32)> {
    let length_m = points.iter().map(|p| p.x.max(p.y)).fold(f64::MIN_POSITIVE, f64::max);
    let square = |at_m: f64| (at_m / length_m * 4095.0) as u32;
    let key = |(k, p): (usize, &Coord<f64>)| (hilbert(square(p.x), square(p.y)), k as u32);
    let mut keys: Vec<(u32, u32)> = points.iter().enumerate().map(key).collect();
    keys.sort_unstable();
    keys
}

/// Place of a square on Hilbert's curve (1891, Über die stetige Abbildung einer Linie auf ein Flächenstück,
/// Mathematische Annalen 38) through 4096 × 4096 of them.
fn hilbert(mut x: u32, mut y: u32) -> u32 {
    let mut along = 0u32;
    for bit in (0..12).rev() {
        let (right, up) = (x >> bit & 1, y >> bit & 1);
        along = along << 2 | (3 * right) ^ up;
        if up == 0 {
            if right == 1 {
                (x, y) = (4095 - x, 4095 - y);
            }
            (x, y) = (y, x);
        }
    }
    along
}

/// The south-west corner of shots in whole metres.
fn origin(shots: &[Shot]) -> Point {
    let least = |pick: fn(&Shot) -> f64| shots.iter().map(pick).reduce(f64::min).unwrap_or(0.0).floor();
    Point::new(least(|s| s.at.x), least(|s| s.at.y))
}

fn local(origin: Point, at: Point) -> Coord<f64> {
    rounded(Coord { x: at.x - origin.x, y: at.y - origin.y })
}

/// How far apart shots lie.
#[derive(Debug, Clone, Copy)]
struct Spacing {
    /// Median length of the triangles' sides, metres.
    median_m: f64,
    /// Length that [`OWN_SIDES`] of the sides do not pass, metres.
    long_m: f64,
}

impl Spacing {
    fn of(mesh: &Mesh) -> Self {
        let length_m = |edge: u32| mesh.distance_m(mesh.start(edge), mesh.points[mesh.end(edge) as usize]);
        let mut sides: Vec<f64> = mesh.sides().step_by(1 + mesh.points.len() / SIDES_SAMPLED).map(length_m).collect();
        let mut shorter = |share: f64| {
            let place = (sides.len() as f64 * share) as usize;
            if sides.is_empty() { 0.0 } else { *sides.select_nth_unstable_by(place, f64::total_cmp).1 }
        };
        Self { median_m: shorter(0.5), long_m: shorter(OWN_SIDES) }
    }
}

/// Squared distance.
fn squared(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (b.x - a.x).powi(2) + (b.y - a.y).powi(2)
}

fn refuse_bad_numbers(shots: &[Shot]) -> Result<(), TinError> {
    let usable = |value: f64| value.abs() < 1e9;
    let bad = shots.iter().position(|s| !(usable(s.at.x) && usable(s.at.y) && usable(s.level_m)));
    bad.map_or(Ok(()), |index| {
        let Shot { at, level_m } = shots[index];
        Err(TinError::Number { number: index + 1, x: at.x, y: at.y, level_m })
    })
}

/// Refuses places that make no triangles worth the name.
fn refuse_flat(places: &[Coord<f64>], shots: usize) -> Result<(), TinError> {
    if places.len() < 3 {
        return Err(TinError::TooFew { shots, places: places.len() });
    }
    let (length_m, width_m) = spread(places);
    if width_m <= LINE_WIDTH * length_m { Err(TinError::OneLine { shots, width_m }) } else { Ok(()) }
}

/// Length of the places' longest reach from the first and their greatest distance from that line, metres.
fn spread(places: &[Coord<f64>]) -> (f64, f64) {
    let start = places[0];
    let away = |p: &Coord<f64>| (p.x - start.x).hypot(p.y - start.y);
    let length_m = places.iter().map(away).fold(0.0, f64::max);
    let end = places.iter().find(|p| away(p) == length_m).copied().unwrap_or(start);
    let off = |p: &Coord<f64>| doubled_area(start, end, *p).abs() / length_m;
    (length_m, places.iter().map(off).fold(0.0, f64::max))
}

/// Twice the area of a triangle, positive when its corners turn left.
fn doubled_area(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
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

    /// A dyke across a flat field: its crest stands although the shots beside it lie nearer to one another.
    #[test]
    fn a_break_line_is_a_crease() {
        let flat: Vec<Shot> = (0..100).map(|i| shot((i % 10) as f64, (i / 10) as f64, 5.0)).collect();
        let crest = vec![shot(0.2, 4.4, 7.0), shot(8.8, 4.6, 8.0)];
        let tin = Tin::with_breaks(&flat, &[crest]).unwrap();
        for share in [0.0, 0.1, 0.37, 0.5, 0.93, 1.0] {
            let at = Point::new(0.2 + 8.6 * share, 4.4 + 0.2 * share);
            assert!((tin.level(at).unwrap() - (7.0 + share)).abs() < 1e-6, "{share}");
        }
        assert_eq!(tin.level(Point::new(4.0, 2.5)), Some(5.0));
        assert!(tin.break_edges().count() >= 8, "long edges are divided");
    }

    #[test]
    fn crossing_lines_meet_at_their_mean() {
        let corners = [shot(-9.0, -9.0, 1.0), shot(9.0, -9.0, 1.0), shot(-9.0, 9.0, 1.0), shot(9.0, 9.0, 1.0)];
        let lines =
            [vec![shot(-4.0, 0.0, 2.0), shot(4.0, 0.0, 4.0)], vec![shot(0.0, -4.0, 6.0), shot(0.0, 4.0, 6.0)]];
        let tin = Tin::with_breaks(&corners, &lines).unwrap();
        assert_eq!(tin.crossings(), [Crossing { at: Point::new(0.0, 0.0), levels_m: [3.0, 6.0] }]);
        assert_eq!(tin.level(Point::new(0.0, 0.0)), Some(4.5));
        assert_eq!(tin.level(Point::new(2.0, 0.0)), Some(4.25));
    }

    /// A dense row along a ditch and a wide net over the field beside it are one survey.
    #[test]
    fn sparse_ground_beside_dense_rows_is_no_hole() {
        let row = (0..600).map(|i| shot((i / 2) as f64 * 0.9, (i % 2) as f64, 3.0));
        let net = (0..100).map(|i| shot((i % 10) as f64 * 30.0, 30.0 + (i / 10) as f64 * 30.0, 5.0));
        let tin = Tin::of(&row.chain(net).collect::<Vec<_>>()).unwrap();
        let limit_m = tin.suitable_longest_side_m();
        assert!(tin.with_longest_side(limit_m).level(Point::new(135.0, 140.0)).is_some(), "{limit_m}");
    }

    #[test]
    fn far_stretched_triangles_are_holes() {
        let two: Vec<Shot> =
            (0..200).map(|i| shot((i % 10 + i / 100 * 60) as f64, (i / 10 % 10) as f64, 5.0)).collect();
        let tin = Tin::of(&two).unwrap();
        let limit_m = tin.suitable_longest_side_m();
        let tin = tin.with_longest_side(limit_m);
        assert_eq!(tin.level(Point::new(30.0, 4.5)), None);
        assert_eq!([4.5, 9.0, 60.0].map(|x| tin.level(Point::new(x, 4.5))), [Some(5.0); 3]);
        assert_eq!(tin.distance_to_data_m(Point::new(30.0, 4.0)), 21.0);
    }
}
