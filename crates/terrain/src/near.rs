//! Finding the place of a mesh that lies nearest.

use measure::{Point, extent};
use robust::Coord;

use crate::mesh::Mesh;

/// Places to a bucket on average.
const PLACES_A_BUCKET: f64 = 2.0;

/// Places of a mesh sorted into square buckets.
#[derive(Debug, Clone)]
pub(crate) struct Buckets {
    low: Point,
    high: Point,
    size_m: f64,
    cols: usize,
    rows: usize,
    /// Where each bucket's part of `spokes` starts; one more than buckets.
    starts: Vec<u32>,
    /// One half-edge that starts at each place, bucket by bucket.
    spokes: Vec<u32>,
}

impl Buckets {
    /// Sorts the places of a mesh.
    pub fn of(mesh: &Mesh) -> Self {
        let mut one = vec![None; mesh.points.len()];
        for edge in 0..mesh.len() {
            one[mesh.start(edge) as usize] = Some(edge);
        }
        let mut buckets = Self::empty(&mesh.points);
        let bucket_of = |edge: &u32| buckets.bucket(mesh.points[mesh.start(*edge) as usize]);
        let mut spokes: Vec<(usize, u32)> = one.into_iter().flatten().map(|edge| (bucket_of(&edge), edge)).collect();
        spokes.sort_unstable();
        let mut starts = vec![0; buckets.cols * buckets.rows + 1];
        spokes.iter().for_each(|(bucket, _)| starts[bucket + 1] += 1);
        (1..starts.len()).for_each(|k| starts[k] += starts[k - 1]);
        buckets.starts = starts;
        buckets.spokes = spokes.into_iter().map(|(_, edge)| edge).collect();
        buckets
    }

    fn empty(points: &[Coord<f64>]) -> Self {
        let corners = extent(points.iter().map(|p| Point::new(p.x, p.y)));
        let (low, high) = corners.unwrap_or((Point::new(0.0, 0.0), Point::new(0.0, 0.0)));
        let (width_m, height_m) = (high.x - low.x, high.y - low.y);
        let wanted = (points.len() as f64 / PLACES_A_BUCKET).max(1.0);
        // Very narrow ground: no more buckets along it than wanted in all.
        let size_m = (width_m * height_m / wanted).sqrt().max(width_m.max(height_m) / wanted).max(f64::MIN_POSITIVE);
        let count = |length_m: f64| (length_m / size_m) as usize + 1;
        Self {
            low,
            high,
            size_m,
            cols: count(width_m),
            rows: count(height_m),
            starts: Vec::new(),
            spokes: Vec::new(),
        }
    }

    fn bucket(&self, at: Coord<f64>) -> usize {
        let index = |from_m: f64, count: usize| ((from_m / self.size_m) as usize).min(count - 1);
        index(at.y - self.low.y, self.rows) * self.cols + index(at.x - self.low.x, self.cols)
    }

    /// A half-edge that starts at the place nearest to another, and the distance, metres.
    pub fn nearest(&self, mesh: &Mesh, at: Coord<f64>) -> Option<(u32, f64)> {
        let inside = Coord { x: at.x.clamp(self.low.x, self.high.x), y: at.y.clamp(self.low.y, self.high.y) };
        let outside_m = (at.x - inside.x).hypot(at.y - inside.y);
        let bucket = self.bucket(inside);
        let (col, row) = (bucket % self.cols, bucket / self.cols);
        let mut best: Option<(u32, f64)> = None;
        for ring in 0..self.cols.max(self.rows) {
            // Every place of this ring is at least so far away.
            let ring_m = outside_m.hypot(ring.saturating_sub(1) as f64 * self.size_m);
            if best.is_some_and(|(_, best_m)| best_m < ring_m) {
                break;
            }
            for edge in self.ring(col, row, ring) {
                let away_m = mesh.distance_m(mesh.start(edge), at);
                if best.is_none_or(|(_, best_m)| away_m < best_m) {
                    best = Some((edge, away_m));
                }
            }
        }
        best
    }

    /// Half-edges in the buckets so many steps away.
    fn ring(&self, col: usize, row: usize, ring: usize) -> impl Iterator<Item = u32> {
        let rows = row.saturating_sub(ring)..(row + ring + 1).min(self.rows);
        let buckets = rows.flat_map(move |r| {
            let whole = r.abs_diff(row) == ring;
            let all = whole.then(|| col.saturating_sub(ring)..(col + ring + 1).min(self.cols));
            let ends = (!whole).then(|| [col.checked_sub(ring), Some(col + ring)]);
            let ends = ends.into_iter().flatten().flatten().filter(|&c| c < self.cols);
            all.into_iter().flatten().chain(ends).map(move |c| r * self.cols + c)
        });
        let spokes = |bucket: usize| &self.spokes[self.starts[bucket] as usize..self.starts[bucket + 1] as usize];
        buckets.flat_map(spokes).copied()
    }
}
