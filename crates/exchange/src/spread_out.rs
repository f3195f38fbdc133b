//! Thinning of point clouds while they are read.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// A point with its number in the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Kept {
    pub at: [f64; 3],
    pub number: u64,
}

/// Keeps at most so many points: one in each square, the one nearest its middle. The squares double in width whenever
/// there would be more, so memory is bounded and the order of the file decides nothing but ties (own method).
pub(crate) struct Thinner {
    most: usize,
    cell: f64,
    squares: HashMap<(i64, i64), Kept>,
}

impl Thinner {
    /// At most `most` points, those nearer than `cell` always one.
    pub fn new(most: usize, cell: f64) -> Self {
        Self { most, cell, squares: HashMap::new() }
    }

    /// Width of a square.
    pub fn cell(&self) -> f64 {
        self.cell
    }

    /// Forgets all points.
    pub fn clear(&mut self) {
        if !self.squares.is_empty() {
            self.squares = HashMap::new();
        }
    }

    /// Takes a point.
    pub fn put(&mut self, kept: Kept) {
        self.settle(kept);
        while self.squares.len() > self.most {
            self.cell *= 2.0;
            let before = std::mem::take(&mut self.squares);
            before.into_values().for_each(|kept| self.settle(kept));
        }
    }

    fn settle(&mut self, kept: Kept) {
        let (square, away) = self.square(&kept);
        match self.squares.entry(square) {
            Entry::Vacant(free) => {
                free.insert(kept);
            }
            Entry::Occupied(mut taken) => {
                let cell = self.cell;
                let other = off_middle(cell, taken.get());
                if (away, kept.number) < (other, taken.get().number) {
                    taken.insert(kept);
                }
            }
        }
    }

    fn square(&self, kept: &Kept) -> ((i64, i64), f64) {
        let index = |v: f64| (v / self.cell).floor() as i64;
        ((index(kept.at[0]), index(kept.at[1])), off_middle(self.cell, kept))
    }

    /// The points that are left, in the order of the file.
    pub fn finish(self) -> Vec<Kept> {
        let mut all: Vec<Kept> = self.squares.into_values().collect();
        all.sort_by_key(|kept| kept.number);
        all
    }
}

/// Squared distance of a point from the middle of its square.
fn off_middle(cell: f64, kept: &Kept) -> f64 {
    let off = |v: f64| v - ((v / cell).floor() + 0.5) * cell;
    off(kept.at[0]).powi(2) + off(kept.at[1]).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn put_all(most: usize, places: impl Iterator<Item = (f64, f64)>) -> Thinner {
        let mut thinner = Thinner::new(most, 0.01);
        for (index, (x, y)) in places.enumerate() {
            thinner.put(Kept { at: [x, y, x + y], number: index as u64 });
        }
        thinner
    }

    #[test]
    fn few_points_stay_and_many_are_one_to_a_square() {
        let field = || (0..10_000).map(|i| ((i % 100) as f64, (i / 100) as f64));
        assert_eq!(put_all(10_000, field()).finish().len(), 10_000);
        let thinned = put_all(3_000, field());
        let cell = thinned.cell();
        let left = thinned.finish();
        assert!(left.len() <= 3_000 && left.len() > 700, "{}", left.len());
        let squares: std::collections::BTreeSet<_> =
            left.iter().map(|k| ((k.at[0] / cell).floor() as i64, (k.at[1] / cell).floor() as i64)).collect();
        assert_eq!(squares.len(), left.len());
    }
}
