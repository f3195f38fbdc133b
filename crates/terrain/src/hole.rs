//! Where a survey leaves the ground unknown.

use measure::{Point, ring_m2};

use crate::mesh::next;
use crate::tin::Tin;

/// A part of the convex hull of a survey that is too far from any shot to count as ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Its outline, turning left, then the outlines of ground inside it, turning right; none repeats its first point.
    pub rings: Vec<Vec<Point>>,
    /// Its area, square metres.
    pub area_m2: f64,
}

impl Tin {
    /// The holes, in a fixed order. Holes that touch at a corner alone are two.
    pub fn holes(&self) -> Vec<Hole> {
        let mut hole_of = vec![None; self.faces() as usize];
        let mut holes = Vec::new();
        for face in 0..self.faces() {
            if hole_of[face as usize].is_none() && !self.is_ground(3 * face) {
                let faces = self.spread(face, holes.len(), &mut hole_of);
                holes.push(self.hole(&faces, holes.len(), &hole_of));
            }
        }
        holes
    }

    /// Part of the convex hull's area that is ground, 0 to 1.
    pub fn covered_share(&self) -> f64 {
        let area = |face: u32| self.doubled_area(face);
        let ground: f64 = (0..self.faces()).filter(|&face| self.is_ground(3 * face)).map(area).sum();
        ground / (0..self.faces()).map(area).sum::<f64>()
    }

    /// Marks a triangle and all that hang together with it as one hole.
    fn spread(&self, face: u32, number: usize, hole_of: &mut [Option<usize>]) -> Vec<u32> {
        let mut faces = vec![face];
        hole_of[face as usize] = Some(number);
        let mut seen = 0;
        while let Some(&face) = faces.get(seen) {
            seen += 1;
            for twin in (3 * face..3 * face + 3).filter_map(|side| self.mesh().twin(side)) {
                let beside = &mut hole_of[twin as usize / 3];
                if beside.is_none() && !self.is_ground(twin) {
                    *beside = Some(number);
                    faces.push(twin / 3);
                }
            }
        }
        faces
    }

    fn hole(&self, faces: &[u32], number: usize, hole_of: &[Option<usize>]) -> Hole {
        let within = |side: u32| self.mesh().twin(side).filter(|&twin| hole_of[twin as usize / 3] == Some(number));
        let sides = faces.iter().flat_map(|face| 3 * face..3 * face + 3);
        let mut rim: Vec<u32> = sides.filter(|&side| within(side).is_none()).collect();
        rim.sort_unstable();
        let mut walked = vec![false; rim.len()];
        let mut rings = Vec::new();
        for k in 0..rim.len() {
            let (mut ring, mut side) = (Vec::new(), rim[k]);
            while let Some(place) = rim.binary_search(&side).ok().filter(|&place| !walked[place]) {
                walked[place] = true;
                ring.push(self.place_of(self.mesh().start(side)));
                side = next(side);
                while let Some(twin) = within(side) {
                    side = next(twin);
                }
            }
            rings.extend(Some(ring).filter(|ring| !ring.is_empty()));
        }
        rings.sort_by(|a: &Vec<Point>, b| ring_m2(b).total_cmp(&ring_m2(a)));
        Hole { rings, area_m2: faces.iter().map(|&face| self.doubled_area(face)).sum::<f64>() / 2.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Shot;

    fn shots(places: impl Iterator<Item = (i32, i32)>) -> Vec<Shot> {
        places.map(|(x, y)| Shot { at: Point::new(x as f64, y as f64), level_m: 1.0 }).collect()
    }

    fn square(side: i32) -> impl Iterator<Item = (i32, i32)> {
        (0..side * side).map(move |k| (k % side, k / side))
    }

    #[test]
    fn the_gap_between_two_blocks_is_one_hole() {
        let two = shots(square(10).chain(square(10).map(|(x, y)| (x + 60, y))));
        let tin = Tin::of(&two).unwrap().with_longest_side(6.0);
        let [hole] = tin.holes().try_into().unwrap();
        assert_eq!((hole.rings.len(), hole.rings[0].len(), hole.area_m2), (1, 20, 51.0 * 9.0));
        assert!((tin.covered_share() - 162.0 / 621.0).abs() < 1e-12);
    }

    /// A pond with an island.
    #[test]
    fn ground_inside_a_hole_is_a_ring_of_it() {
        let far = |x: i32, y: i32| (x - 20).abs().max((y - 20).abs());
        let pond = shots(square(41).filter(|&(x, y)| !(3..13).contains(&far(x, y))));
        let tin = Tin::of(&pond).unwrap().with_longest_side(1.5);
        let [hole] = tin.holes().try_into().unwrap();
        assert_eq!(hole.rings.len(), 2);
        // Half a square metre of ground lies in each corner of the outer square.
        assert_eq!((ring_m2(&hole.rings[0]), ring_m2(&hole.rings[1])), (674.0, -16.0));
        assert_eq!(hole.area_m2, 674.0 - 16.0);
        assert!(Tin::of(&pond).unwrap().holes().is_empty());
    }
}
