//! The field boundary as a limit of strips: which parts of a ray lie inside the field and outside its holes.

use measure::{Point, ray_meets};
use plan::Field;

/// Rings that contain a place, as bits: first the field, then its holes.
pub(super) type Rings = u64;
/// In the field and in no hole.
const INSIDE: Rings = 1;
/// Holes from this one on share a bit: they may be apart or touch, but not overlap.
const LAST_BIT: usize = 63;

/// A side of the field or of a hole in it; `ring` is a bit.
pub(super) struct Side {
    pub ring: Rings,
    pub a: Point,
    pub b: Point,
}

impl Side {
    fn south(&self) -> f64 {
        self.a.y.min(self.b.y)
    }

    fn north(&self) -> f64 {
        self.a.y.max(self.b.y)
    }
}

/// The field and its holes, sides sorted into bands from south to north; without a field all land counts.
pub(super) struct Fence {
    sides: Vec<Side>,
    south: f64,
    band_m: f64,
    bands: Vec<Vec<usize>>,
}

/// Most bands.
const BANDS: usize = 128;

impl Fence {
    pub fn of(field: Option<&Field>) -> Self {
        let rings = field.into_iter().flat_map(Field::rings).enumerate();
        let side = |(i, ring): (usize, &Vec<Point>)| {
            let next = ring.iter().cycle().skip(1);
            let side = |(a, b): (&Point, &Point)| Side { ring: 1 << i.min(LAST_BIT), a: *a, b: *b };
            ring.iter().zip(next).map(side).collect::<Vec<_>>()
        };
        let sides: Vec<Side> = rings.flat_map(side).collect();
        let south = sides.iter().map(Side::south).fold(f64::INFINITY, f64::min);
        let north = sides.iter().map(Side::north).fold(f64::NEG_INFINITY, f64::max);
        let count = sides.len().clamp(1, BANDS);
        let band_m = ((north - south) / count as f64).max(1e-3);
        let mut fence = Self { sides, south, band_m, bands: vec![Vec::new(); count] };
        for i in 0..fence.sides.len() {
            for band in fence.band(fence.sides[i].south())..=fence.band(fence.sides[i].north()) {
                fence.bands[band].push(i);
            }
        }
        fence
    }

    /// Number of the band of a northing.
    fn band(&self, y: f64) -> usize {
        (((y - self.south) / self.band_m).max(0.0) as usize).min(self.bands.len() - 1)
    }

    /// Sides whose bounding box meets a box.
    pub fn near(&self, (low, high): (Point, Point)) -> Vec<&Side> {
        let first = self.band(low.y);
        let mut near = Vec::new();
        for band in first..=self.band(high.y) {
            near.extend(self.bands[band].iter().map(|i| &self.sides[*i]).filter(|side| {
                // A side stands in several bands.
                band == self.band(side.south()).max(first)
                    && side.south() <= high.y
                    && side.north() >= low.y
                    && side.a.x.min(side.b.x) <= high.x
                    && side.a.x.max(side.b.x) >= low.x
            }));
        }
        near
    }

    /// Rings that contain a place (even-odd rule along a ray to the east).
    pub fn rings_at(&self, at: Point) -> Rings {
        if self.sides.is_empty() {
            return INSIDE;
        }
        let sides = self.bands[self.band(at.y)].iter().map(|i| &self.sides[*i]);
        let crossed = sides.filter(|side| ray_meets((side.a, side.b), at));
        crossed.fold(0, |rings, side| rings ^ side.ring)
    }
}

/// Integral over the parts inside the field of a ray of `reach_m` that starts in `rings` and crosses sides of rings at given
/// distances; `measure` is the integral up to a distance.
pub(super) fn inside(
    mut rings: Rings,
    met: impl Iterator<Item = (f64, Rings)>,
    reach_m: f64,
    measure: fn(f64) -> f64,
) -> f64 {
    let mut met: Vec<(f64, Rings)> = met.filter(|(away_m, _)| *away_m < reach_m).collect();
    met.sort_by(|x, y| x.0.total_cmp(&y.0));
    let (mut from_m, mut inside) = (0.0, 0.0);
    for (to_m, ring) in met.into_iter().chain([(reach_m, 0)]) {
        inside += if rings == INSIDE { measure(to_m) - measure(from_m) } else { 0.0 };
        (from_m, rings) = (to_m, rings ^ ring);
    }
    inside
}
