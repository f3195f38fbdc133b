//! Holding break lines in a triangle mesh.
//!
//! A segment is forced in by flipping the sides it crosses (Sloan 1993, A fast algorithm for generating constrained
//! Delaunay triangulations, Computers & Structures 47); the sides made on the way are then settled again, so that the
//! mesh is as near Delaunay as the lines allow.

use std::collections::VecDeque;

use robust::Coord;

use crate::mesh::{Mesh, next, prev, rounded};

/// Pieces into which one segment may fall before it is given up.
const MOST_PIECES: usize = 100_000;
/// Distance within which a place lies on a line, metres: far below any survey's precision and far above that of the
/// arithmetic (own choice).
const ON_LINE_M: f64 = 1e-6;

/// A place where two break lines crossed between their points.
pub(crate) struct Met {
    /// The place put in.
    pub place: u32,
    /// Level of the line held first and of the one that crossed it, metres.
    pub levels_m: [f64; 2],
}

/// A mesh with the level of each place, into which lines are put.
pub(crate) struct Holder<'a> {
    /// The mesh, opened for changes.
    pub mesh: &'a mut Mesh,
    /// Level of each place, metres.
    pub levels: &'a mut Vec<f64>,
    /// Where lines crossed.
    pub met: Vec<Met>,
}

/// What lies between two places.
enum Way {
    /// This half-edge joins them.
    Edge(u32),
    /// A place lies straight between them.
    Through(u32),
    /// A held edge is the first thing in the way that cannot be flipped.
    Across(u32),
    /// Only sides that may be flipped, as pairs of places.
    Free(VecDeque<(u32, u32)>),
    /// Nothing: they are one.
    Here,
    /// The way leaves the mesh.
    Lost,
}

impl Holder<'_> {
    /// Makes a segment an edge, or a chain of edges over places on it, and holds it. False where that failed.
    pub fn hold(&mut self, from: u32, to: u32) -> bool {
        let mut pieces = vec![(from, to)];
        for _ in 0..MOST_PIECES {
            let Some((from, to)) = pieces.pop() else { return true };
            let by = match self.way(from, to) {
                Way::Edge(edge) => {
                    self.mesh.fix(edge);
                    continue;
                }
                Way::Free(crossed) => {
                    if !self.clear(from, to, crossed) {
                        return false;
                    }
                    continue;
                }
                Way::Through(place) => place,
                Way::Across(edge) => self.cross(edge, from, to),
                Way::Here => continue,
                Way::Lost => return false,
            };
            pieces.extend([(by, to), (from, by)]);
        }
        false
    }

    fn way(&self, from: u32, to: u32) -> Way {
        let mesh = &*self.mesh;
        if from == to {
            return Way::Here;
        }
        for edge in mesh.spokes(from) {
            let back = prev(edge);
            let (right, left) = (mesh.end(edge), mesh.start(back));
            let turns = [mesh.turn(from, to, right), mesh.turn(from, to, left)];
            for (place, edge) in [(right, edge), (left, back)] {
                if place == to {
                    return Way::Edge(edge);
                }
                if self.is_on(from, to, place) {
                    return Way::Through(place);
                }
            }
            if turns[0] < 0.0 && turns[1] > 0.0 {
                return self.walk(from, to, next(edge));
            }
        }
        Way::Lost
    }

    /// Whether a place lies on a segment between its ends.
    fn is_on(&self, from: u32, to: u32, place: u32) -> bool {
        let [from, to, place] = [from, to, place].map(|p| self.mesh.points[p as usize]);
        let (way, arm) = ((to.x - from.x, to.y - from.y), (place.x - from.x, place.y - from.y));
        let (length_m, along) = (way.0.hypot(way.1), way.0 * arm.0 + way.1 * arm.1);
        let off_m = (way.0 * arm.1 - way.1 * arm.0).abs() / length_m;
        off_m < ON_LINE_M && 0.0 < along && along < length_m * length_m
    }

    /// Follows the straight way over the sides it crosses; each runs from the right of the way to its left.
    fn walk(&self, from: u32, to: u32, mut edge: u32) -> Way {
        let mut crossed = VecDeque::new();
        while !self.mesh.is_fixed(edge) {
            crossed.push_back((self.mesh.start(edge), self.mesh.end(edge)));
            let Some(twin) = self.mesh.twin(edge) else { return Way::Lost };
            let far = self.mesh.across(twin);
            if far == to {
                return Way::Free(crossed);
            }
            if self.is_on(from, to, far) {
                return Way::Through(far);
            }
            edge = if self.mesh.turn(from, to, far) > 0.0 { next(twin) } else { prev(twin) };
        }
        Way::Across(edge)
    }

    /// Flips sides until none lies across the way, and holds the edge that is there then.
    fn clear(&mut self, from: u32, to: u32, mut crossed: VecDeque<(u32, u32)>) -> bool {
        let patience = 100 + 10 * crossed.len() * crossed.len();
        let mut made = Vec::new();
        for _ in 0..patience {
            let Some((a, b)) = crossed.pop_front() else { break };
            match self.flip_if_convex(a, b) {
                None => crossed.push_back((a, b)),
                Some((c, d)) if self.is_across(from, to, c, d) => crossed.push_back((c, d)),
                Some(side) => made.push(side),
            }
        }
        let edge = self.mesh.between(from, to);
        if let Some(edge) = edge {
            self.mesh.fix(edge);
        }
        for (a, b) in made.into_iter().chain(crossed) {
            let side = self.mesh.between(a, b);
            self.mesh.settle(side.into_iter().collect());
        }
        edge.is_some()
    }

    fn flip_if_convex(&mut self, a: u32, b: u32) -> Option<(u32, u32)> {
        let edge = self.mesh.between(a, b)?;
        let (left, right) = (self.mesh.across(edge), self.mesh.across(self.mesh.twin(edge)?));
        let apart = self.mesh.turn(left, right, a) * self.mesh.turn(left, right, b) < 0.0;
        if apart {
            self.mesh.flip(edge)?;
        }
        apart.then_some((left, right))
    }

    fn is_across(&self, from: u32, to: u32, a: u32, b: u32) -> bool {
        let joined = [a, b].iter().any(|place| [from, to].contains(place));
        !joined && (self.mesh.turn(from, to, a) > 0.0) != (self.mesh.turn(from, to, b) > 0.0)
    }

    /// The place where a held edge is crossed, put in with the mean of both lines' levels; an end of the edge where
    /// the crossing cannot be told from it.
    fn cross(&mut self, edge: u32, from: u32, to: u32) -> u32 {
        let (a, b) = (self.mesh.start(edge), self.mesh.end(edge));
        let (before, after) = (self.mesh.turn(a, b, from), self.mesh.turn(a, b, to));
        let share = before / (before - after);
        let at = self.between(from, to, share);
        let share_ab = self.share(a, b, at);
        let Some(place) = self.mesh.split_at(edge, at) else { return if share_ab < 0.5 { a } else { b } };
        let levels_m = [self.level_between(a, b, share_ab), self.level_between(from, to, share)];
        self.levels.push((levels_m[0] + levels_m[1]) / 2.0);
        self.met.push(Met { place, levels_m });
        place
    }

    fn between(&self, a: u32, b: u32, share: f64) -> Coord<f64> {
        let (a, b) = (self.mesh.points[a as usize], self.mesh.points[b as usize]);
        rounded(Coord { x: a.x + (b.x - a.x) * share, y: a.y + (b.y - a.y) * share })
    }

    fn share(&self, a: u32, b: u32, at: Coord<f64>) -> f64 {
        self.mesh.distance_m(a, at) / self.mesh.distance_m(a, self.mesh.points[b as usize])
    }

    fn level_between(&self, a: u32, b: u32, share: f64) -> f64 {
        let (a, b) = (self.levels[a as usize], self.levels[b as usize]);
        a + (b - a) * share
    }

    /// Puts places on held edges so that none is longer than `longest_m`, with levels straight along the edge.
    pub fn divide(&mut self, longest_m: f64) {
        let held = self.mesh.sides().filter(|&edge| self.mesh.is_fixed(edge));
        let ends: Vec<(u32, u32)> = held.map(|edge| (self.mesh.start(edge), self.mesh.end(edge))).collect();
        for (a, b) in ends {
            self.divide_edge(a, b, longest_m);
        }
    }

    fn divide_edge(&mut self, a: u32, b: u32, longest_m: f64) {
        let count = (self.mesh.distance_m(a, self.mesh.points[b as usize]) / longest_m).ceil() as usize;
        let mut from = a;
        for k in 1..count {
            let share = k as f64 / count as f64;
            let Some(edge) = self.mesh.between(from, b) else { return };
            let Some(place) = self.mesh.split_at(edge, self.between(a, b, share)) else { return };
            self.levels.push(self.level_between(a, b, share));
            from = place;
        }
    }
}
