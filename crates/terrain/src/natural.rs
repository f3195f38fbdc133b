//! Natural neighbour interpolation.
//!
//! The level at a place is the mean of its natural neighbours' levels, each weighted by the area that the place, were
//! it a shot, would take from the neighbour's Voronoi cell (Sibson 1981, A brief description of natural neighbour
//! interpolation, in Barnett (ed.), Interpreting Multivariate Data). Break lines and the rim are barriers: no shot
//! beyond one counts, and on it the level is straight between its ends, as it is in linear interpolation.

use robust::Coord;

use crate::mesh::{Mesh, next, prev};
use crate::tin::Tin;

/// The natural neighbours of a place; kept between places to spare the memory's allocation.
#[derive(Default)]
pub(crate) struct Neighbours {
    /// First half-edges of the triangles whose circles hold the place.
    faces: Vec<u32>,
    /// Half-edges round these triangles.
    round: Vec<u32>,
}

impl Neighbours {
    /// Level at a place in the triangle of a half-edge, metres. `None` where linear interpolation serves as well: at
    /// shots, on barriers, and where the arithmetic cannot tell the place from them.
    pub fn level(&mut self, tin: &Tin, edge: u32, at: Coord<f64>) -> Option<f64> {
        let mesh = tin.mesh();
        let barrier = |side: u32| mesh.is_fixed(side) || mesh.twin(side).is_none();
        if [edge, next(edge), prev(edge)].into_iter().any(|e| barrier(e) && mesh.side_of(e, at) <= 0.0) {
            return None;
        }
        self.gather(mesh, edge, at);
        let (mut sum, mut weights) = (0.0, 0.0);
        let (mut least_m, mut most_m) = (f64::INFINITY, f64::NEG_INFINITY);
        for &into in &self.round {
            let (weight, level_m) = (self.area_taken(mesh, into, at), tin.level_of(mesh.end(into)));
            weights += weight;
            sum += weight * level_m;
            (least_m, most_m) = (least_m.min(level_m), most_m.max(level_m));
        }
        // A mean lies between what it is of, whatever becomes of areas a millionth of a millimetre wide.
        Some(sum / weights).filter(|level_m| level_m.is_finite()).map(|level_m| level_m.max(least_m).min(most_m))
    }

    /// Finds the triangles that would go if the place were put in (Watson 1981, Computing the n-dimensional Delaunay
    /// tessellation, The Computer Journal 24).
    fn gather(&mut self, mesh: &Mesh, edge: u32, at: Coord<f64>) {
        let face = |edge: u32| edge - edge % 3;
        self.faces.clear();
        self.round.clear();
        self.faces.push(face(edge));
        let mut seen = 0;
        while let Some(&first) = self.faces.get(seen) {
            seen += 1;
            for side in [first, first + 1, first + 2] {
                let open = mesh.twin(side).filter(|_| !mesh.is_fixed(side));
                match open {
                    Some(twin) if self.faces.contains(&face(twin)) => {}
                    Some(twin) if mesh.circle_holds(twin, at) => self.faces.push(face(twin)),
                    _ => self.round.push(side),
                }
            }
        }
    }

    /// Doubled area that a place would take from the Voronoi cell of the neighbour where a half-edge of the round ends.
    fn area_taken(&self, mesh: &Mesh, into: u32, at: Coord<f64>) -> f64 {
        let from_place = |e: u32| {
            let Coord { x, y } = mesh.points[mesh.start(e) as usize];
            Coord { x: x - at.x, y: y - at.y }
        };
        let origin = Coord { x: 0.0, y: 0.0 };
        let start = circumcentre(origin, from_place(into), from_place(next(into)));
        let (mut last, mut area, mut side) = (start, 0.0, next(into));
        loop {
            let centre = circumcentre(from_place(side), from_place(next(side)), from_place(prev(side)));
            area += cross(last, centre);
            last = centre;
            match mesh.twin(side).filter(|_| !self.round.contains(&side)) {
                Some(twin) => side = next(twin),
                None => break,
            }
        }
        let end = circumcentre(origin, from_place(side), from_place(next(side)));
        area + cross(last, end) + cross(end, start)
    }
}

fn cross(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Centre of the circle through three places.
fn circumcentre(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>) -> Coord<f64> {
    let (b, c) = (Coord { x: b.x - a.x, y: b.y - a.y }, Coord { x: c.x - a.x, y: c.y - a.y });
    let (bb, cc, doubled) = (b.x * b.x + b.y * b.y, c.x * c.x + c.y * c.y, 2.0 * cross(b, c));
    Coord { x: a.x + (c.y * bb - b.y * cc) / doubled, y: a.y + (b.x * cc - c.x * bb) / doubled }
}
