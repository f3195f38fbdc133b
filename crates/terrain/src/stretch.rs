//! Stretches of a profile over which something holds, from exactly where it begins to exactly where it ends.

use crate::Piece;
use crate::profile::SAME_LEVEL_M;

/// A stretch of a line on one side of a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Station at which the value lies farthest beyond the limit, metres.
    pub worst_m: f64,
    /// The value there.
    pub worst: f64,
}

impl Stretch {
    /// Its length, metres.
    pub fn length_m(&self) -> f64 {
        self.to_m - self.from_m
    }

    /// The stretch with another value at its worst place.
    pub fn with_worst(self, worst: f64) -> Self {
        Self { worst, ..self }
    }
}

/// Two ends this near are one, metres.
const SAME_M: f64 = 1e-6;

/// The stretches where a value lies under a limit; silent where it is not known.
pub fn under(pieces: impl IntoIterator<Item = Piece>, limit: f64) -> Vec<Stretch> {
    let parts = pieces.into_iter().flat_map(|piece| piece.under(limit)).map(|part| {
        let least = part.least();
        Stretch { from_m: part.from_m, to_m: part.to_m, worst_m: least.station_m, worst: least.value_m }
    });
    join(parts, SAME_M)
}

/// The stretches where a value lies over a limit.
pub fn over(pieces: impl IntoIterator<Item = Piece>, limit: f64) -> Vec<Stretch> {
    let turned = under(pieces.into_iter().map(|piece| piece.turned()), -limit);
    turned.into_iter().map(|part| part.with_worst(-part.worst)).collect()
}

/// Makes one of neighbours that touch or leave less than `gap_m` between them; the least value is the worst.
pub fn join(parts: impl IntoIterator<Item = Stretch>, gap_m: f64) -> Vec<Stretch> {
    let mut joined: Vec<Stretch> = Vec::new();
    for part in parts {
        match joined.last_mut().filter(|last| part.from_m <= last.to_m + gap_m) {
            Some(last) => {
                last.to_m = last.to_m.max(part.to_m);
                if part.worst < last.worst - SAME_LEVEL_M {
                    (last.worst_m, last.worst) = (part.worst_m, part.worst);
                }
            }
            None => joined.push(part),
        }
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Profile;

    fn dip() -> Profile {
        Profile::through(&[(0.0, Some(3.0)), (10.0, Some(1.0)), (20.0, Some(3.0))])
    }

    /// A value that dips from 3 to 1 and back over 20 m lies under 2 from 5 to 15.
    #[test]
    fn ends_are_where_the_limit_is_crossed() {
        let pieces = || dip().pieces().to_vec();
        assert_eq!(under(pieces(), 2.0), [Stretch { from_m: 5.0, to_m: 15.0, worst_m: 10.0, worst: 1.0 }]);
        assert!(under(pieces(), 1.0).is_empty());
        let over: Vec<(f64, f64, f64)> = over(pieces(), 2.0).iter().map(|s| (s.from_m, s.to_m, s.worst)).collect();
        assert_eq!(over, [(0.0, 5.0, 3.0), (15.0, 20.0, 3.0)]);
    }

    /// Nothing is said where the value is not known.
    #[test]
    fn unknown_places_part_a_stretch() {
        let gap = [(0.0, Some(1.0)), (1.0, Some(1.0)), (2.0, None), (3.0, Some(1.0)), (4.0, Some(1.0))];
        let ends = under(Profile::through(&gap).pieces().to_vec(), 2.0);
        assert_eq!(ends.iter().map(|s| (s.from_m, s.to_m)).collect::<Vec<_>>(), [(0.0, 1.0), (3.0, 4.0)]);
    }
}
