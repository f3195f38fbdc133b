//! Delaunay triangles as half-edges, and what changes them: flips, places put in, edges held in place.
//!
//! Half-edge `3t + k` starts at corner `k` of triangle `t` and turns left to the next; its twin is the same side seen
//! from the neighbour (Guibas and Stolfi 1985, Primitives for the manipulation of general subdivisions and the
//! computation of Voronoi diagrams, ACM Transactions on Graphics 4). Signs are exact (Shewchuk 1997, Adaptive precision
//! floating-point arithmetic and fast robust geometric predicates, Discrete & Computational Geometry 18).

use robust::{Coord, incircle, orient2d};

/// No triangle on the other side: the outer rim.
pub(crate) const NONE: u32 = u32::MAX;

/// Steps to a metre to which places are rounded: about a nanometre, so that differences and products keep clear of
/// the limits of double precision (own choice).
const STEPS_A_METRE: f64 = (1u64 << 30) as f64;

/// A triangle mesh over places.
#[derive(Debug, Clone)]
pub(crate) struct Mesh {
    /// The places.
    pub points: Vec<Coord<f64>>,
    /// The place at which each half-edge starts; three half-edges a triangle.
    pub corners: Vec<u32>,
    /// The half-edge on the other side, [`NONE`] on the rim.
    twins: Vec<u32>,
    /// Whether a half-edge is held in place; empty while none is.
    fixed: Vec<bool>,
    /// A half-edge that starts at each place, [`NONE`] for a place in no triangle; empty until edges are to be held.
    spoke: Vec<u32>,
}

/// The half-edge after this one in its triangle.
pub(crate) fn next(edge: u32) -> u32 {
    if edge % 3 == 2 { edge - 2 } else { edge + 1 }
}

/// The half-edge before this one in its triangle.
pub(crate) fn prev(edge: u32) -> u32 {
    if edge.is_multiple_of(3) { edge + 2 } else { edge - 1 }
}

/// A place on the lattice on which all places of a mesh lie.
pub(crate) fn rounded(at: Coord<f64>) -> Coord<f64> {
    // Adding 0.0 turns a negative zero into a plain one, which is the same place.
    let steps = |length_m: f64| (length_m * STEPS_A_METRE).round() / STEPS_A_METRE + 0.0;
    Coord { x: steps(at.x), y: steps(at.y) }
}

impl Mesh {
    /// Delaunay triangles over different places; no triangle at all where they lie on one line.
    ///
    /// The radial sweep is the library's; it settles four places on one circle by rounded arithmetic.
    pub fn of(points: Vec<Coord<f64>>) -> Self {
        // Its triangles turn right, so it is shown the mirror image.
        let mirrored: Vec<delaunator::Point> = points.iter().map(|p| delaunator::Point { x: p.y, y: p.x }).collect();
        let made = delaunator::triangulate(&mirrored);
        let narrow = |wide: Vec<usize>| wide.into_iter().map(|index| index as u32).collect();
        let (corners, twins) = (narrow(made.triangles), narrow(made.halfedges));
        let mut mesh = Self { points, corners, twins, fixed: Vec::new(), spoke: Vec::new() };
        mesh.put_in_missing();
        mesh
    }

    /// Puts in the places that the sweep left out, being misled by rounded distances.
    fn put_in_missing(&mut self) {
        let mut seen = vec![false; self.points.len()];
        self.corners.iter().for_each(|&place| seen[place as usize] = true);
        for place in (0..seen.len()).filter(|&place| !seen[place]) {
            self.open();
            let at = self.points[place];
            let Some(edge) = (self.len() > 0).then(|| self.walk(0, at)).flatten() else { continue };
            match [edge, next(edge), prev(edge)].into_iter().find(|&side| self.side_of(side, at) == 0.0) {
                Some(side) => self.split(side, place as u32),
                None => self.put_inside(edge, place as u32),
            }
        }
    }

    /// Half-edges in all.
    pub fn len(&self) -> u32 {
        self.corners.len() as u32
    }

    /// The half-edge on the other side.
    pub fn twin(&self, edge: u32) -> Option<u32> {
        Some(self.twins[edge as usize]).filter(|&twin| twin != NONE)
    }

    /// Where a half-edge starts.
    pub fn start(&self, edge: u32) -> u32 {
        self.corners[edge as usize]
    }

    /// Where a half-edge ends.
    pub fn end(&self, edge: u32) -> u32 {
        self.start(next(edge))
    }

    /// The corner across from a half-edge in its triangle.
    pub fn across(&self, edge: u32) -> u32 {
        self.start(prev(edge))
    }

    /// Whether a half-edge is held in place.
    pub fn is_fixed(&self, edge: u32) -> bool {
        self.fixed.get(edge as usize) == Some(&true)
    }

    /// Each side once, as the half-edge with the smaller number.
    pub fn sides(&self) -> impl Iterator<Item = u32> {
        (0..self.len()).filter(|&edge| self.twins[edge as usize] > edge)
    }

    /// Above 0 where three places turn left, below 0 where they turn right, 0 on one line: exact.
    pub fn turn(&self, a: u32, b: u32, c: u32) -> f64 {
        orient2d(self.points[a as usize], self.points[b as usize], self.points[c as usize])
    }

    /// Above 0 where a place lies left of a half-edge: exact.
    pub fn side_of(&self, edge: u32, at: Coord<f64>) -> f64 {
        orient2d(self.points[self.start(edge) as usize], self.points[self.end(edge) as usize], at)
    }

    /// Distance from a place of the mesh to another, metres.
    pub fn distance_m(&self, place: u32, at: Coord<f64>) -> f64 {
        let Coord { x, y } = self.points[place as usize];
        ((at.x - x).powi(2) + (at.y - y).powi(2)).sqrt()
    }

    /// Whether a place lies inside the circle through the corners of an edge's triangle: exact.
    pub fn circle_holds(&self, edge: u32, at: Coord<f64>) -> bool {
        let [a, b, c] = [edge, next(edge), prev(edge)].map(|e| self.points[self.start(e) as usize]);
        incircle(a, b, c, at) > 0.0
    }

    /// A half-edge of the triangle that holds a place, found by walking from another; `None` outside.
    ///
    /// The sides are tried in an order that changes from step to step, without which a walk may go round for ever
    /// where edges are held (Devillers, Pion and Teillaud 2002, Walking in a triangulation, International Journal of
    /// Foundations of Computer Science 13).
    pub fn walk(&self, from: u32, at: Coord<f64>) -> Option<u32> {
        let mut edge = from;
        for step in 0..self.len() {
            let mut sides = [edge, next(edge), prev(edge)];
            sides.rotate_left((step.wrapping_mul(0x9E37_79B9) >> 16) as usize % 3);
            match sides.into_iter().find(|&side| self.side_of(side, at) < 0.0) {
                None => return Some(edge),
                Some(side) => edge = self.twin(side)?,
            }
        }
        None
    }

    /// Half-edges that start at a place, all of them whether or not the place is on the rim; needs [`Self::open`].
    pub fn spokes(&self, place: u32) -> Vec<u32> {
        let first = self.spoke[place as usize];
        let mut found = Vec::new();
        let mut onward = Some(first).filter(|&edge| edge != NONE);
        while let Some(edge) = onward {
            found.push(edge);
            onward = self.twin(prev(edge)).filter(|&edge| edge != first);
        }
        if found.last().is_some_and(|&last| self.twin(prev(last)).is_none()) {
            let mut back = self.twin(first).map(next);
            while let Some(edge) = back {
                found.push(edge);
                back = self.twin(edge).map(next);
            }
        }
        found
    }

    /// The half-edge from one place to another, or the one back where that way is outside.
    pub fn between(&self, from: u32, to: u32) -> Option<u32> {
        self.spokes(from).into_iter().find_map(|edge| {
            let back = prev(edge);
            if self.end(edge) == to { Some(edge) } else { (self.start(back) == to).then_some(back) }
        })
    }

    /// Makes ready for changes: marks for held edges, a half-edge at every place, and every place in the mesh.
    pub fn open(&mut self) {
        if self.spoke.is_empty() {
            self.fixed = vec![false; self.corners.len()];
            self.spoke = vec![NONE; self.points.len()];
            for edge in 0..self.len() {
                self.spoke[self.corners[edge as usize] as usize] = edge;
            }
        }
    }

    /// Holds an edge in place.
    pub fn fix(&mut self, edge: u32) {
        self.fixed[edge as usize] = true;
        if let Some(twin) = self.twin(edge) {
            self.fixed[twin as usize] = true;
        }
    }

    fn link(&mut self, edge: u32, twin: u32, fixed: bool) {
        for (one, other) in [(edge, twin), (twin, edge)].into_iter().filter(|(one, _)| *one != NONE) {
            self.twins[one as usize] = other;
            self.fixed[one as usize] = fixed;
        }
    }

    /// Turns the side between two triangles so that it joins their far corners. It is half-edge `prev(edge)` then.
    ///
    /// Both triangles must lie in a four-sided shape whose corners all turn left.
    pub fn flip(&mut self, edge: u32) -> Option<u32> {
        let twin = self.twin(edge)?;
        let (left, right) = (prev(edge), prev(twin));
        let (far_left, far_right) = (self.start(left), self.start(right));
        let (from, to) = (self.start(edge), self.start(twin));
        let outer = |mesh: &Self, e: u32| (mesh.twins[e as usize], mesh.is_fixed(e));
        let (beyond_right, beyond_left) = (outer(self, right), outer(self, left));
        self.corners[edge as usize] = far_right;
        self.corners[twin as usize] = far_left;
        self.link(edge, beyond_right.0, beyond_right.1);
        self.link(twin, beyond_left.0, beyond_left.1);
        self.link(left, right, false);
        self.spoke[from as usize] = next(twin);
        self.spoke[to as usize] = next(edge);
        Some(left)
    }

    /// Flips sides until none of those given, nor any that a flip puts in doubt, has a place in its circle; held edges
    /// stay (Lawson 1977, Software for C¹ surface interpolation, Mathematical Software III).
    pub fn settle(&mut self, mut doubtful: Vec<u32>) {
        while let Some(edge) = doubtful.pop() {
            let Some(twin) = self.twin(edge).filter(|_| !self.is_fixed(edge)) else { continue };
            if self.circle_holds(edge, self.points[self.across(twin) as usize]) {
                self.flip(edge);
                doubtful.extend([edge, next(edge), twin, next(twin)]);
            }
        }
    }

    /// Puts a new place on a side; `None`, and nothing changed, where a triangle would turn over.
    pub fn split_at(&mut self, edge: u32, at: Coord<f64>) -> Option<u32> {
        let sound = |e: u32| self.side_of(next(e), at) > 0.0 && self.side_of(prev(e), at) > 0.0;
        if !(sound(edge) && self.twin(edge).is_none_or(sound)) {
            return None;
        }
        let place = self.points.len() as u32;
        self.points.push(at);
        self.spoke.push(NONE);
        self.split(edge, place);
        Some(place)
    }

    /// Puts a place on a side; the side's halves stay held if it was.
    fn split(&mut self, edge: u32, place: u32) {
        let twin = self.twin(edge);
        let (from, to) = (self.start(edge), self.end(edge));
        let held = self.is_fixed(edge);
        let first = self.halve(edge, place, to);
        let second = twin.map(|twin| self.halve(twin, place, from));
        let doubtful = [Some(edge), Some(first), twin, second].into_iter().flatten();
        let rims: Vec<u32> = doubtful.flat_map(|e| [next(e), prev(e)]).collect();
        self.link(first, twin.unwrap_or(NONE), held);
        if let Some(second) = second {
            self.link(edge, second, held);
        }
        self.settle(rims);
    }

    /// Puts a place into the triangle of a half-edge.
    fn put_inside(&mut self, edge: u32, place: u32) {
        let (onward, back) = (next(edge), prev(edge));
        let [a, b, c] = [edge, onward, back].map(|e| self.start(e));
        let outer = |mesh: &Self, e: u32| (mesh.twins[e as usize], mesh.is_fixed(e));
        let (beyond_b, beyond_c) = (outer(self, onward), outer(self, back));
        let (second, third) = (self.len(), self.len() + 3);
        self.corners[back as usize] = place;
        self.add_triangle([b, c, place]);
        self.add_triangle([c, a, place]);
        self.link(second, beyond_b.0, beyond_b.1);
        self.link(third, beyond_c.0, beyond_c.1);
        self.link(onward, second + 2, false);
        self.link(second + 1, third + 2, false);
        self.link(third + 1, back, false);
        for (place, edge) in [(place, back), (a, edge), (b, second), (c, third)] {
            self.spoke[place as usize] = edge;
        }
        self.settle(vec![edge, second, third]);
    }

    /// Cuts the triangle of a half-edge in two at a place on it; returns the half-edge from there to the old end.
    fn halve(&mut self, edge: u32, place: u32, end: u32) -> u32 {
        let (onward, added) = (next(edge), self.len());
        let (beyond, held) = (self.twins[onward as usize], self.is_fixed(onward));
        self.add_triangle([place, end, self.across(edge)]);
        self.corners[onward as usize] = place;
        self.link(added + 1, beyond, held);
        self.link(onward, added + 2, false);
        self.spoke[place as usize] = added;
        self.spoke[end as usize] = added + 1;
        added
    }

    fn add_triangle(&mut self, corners: [u32; 3]) {
        self.corners.extend(corners);
        self.twins.extend([NONE; 3]);
        self.fixed.extend([false; 3]);
    }
}
