//! How uneven the land is here and there: a bank and a bottom are not off by the same.
//!
//! A shot that is left out is missed by more where the land is uneven. The mean square of what the nearest shots are missed by, in units
//! of what the field as a whole makes likely, scales the field there; few of them hardly move it (a mean drawn toward one, as in
//! Gelman and others 2013, Bayesian data analysis, section 2.6 [memory]).

use measure::Point;
use terrain::{Shot, ShotIndex};

use super::fit::{Trend, missed};
use super::kriging::Covariance;

/// Shots round a place that tell how uneven the land is there (own choice: two rings of a grid of shots).
const ROUND: usize = 16;
/// Shots for which the field as a whole counts beside them (own choice).
const WHOLE: f64 = 4.0;

/// How uneven the land is from place to place, as a share of the whole.
#[derive(Debug, Default)]
pub struct Uneven {
    /// The shots, and the square of what each is missed by, in units of its variance.
    missed: Option<(ShotIndex, Vec<f64>)>,
}

impl Uneven {
    /// As the shots of a survey tell it, held against the field of the land between them.
    pub(super) fn of(shots: &[Shot], field: &Covariance) -> Self {
        Self { missed: Some((ShotIndex::of(shots, |_| true), missed(shots, Trend::Plane, field))) }
    }

    /// By how much an error at a place is larger than on the whole: 1 where nothing is known of that.
    pub(super) fn at(&self, at: Point) -> f64 {
        let Some((index, missed)) = &self.missed else { return 1.0 };
        let (count, sum) = index.nearest(at).take(ROUND).fold((0.0, 0.0), |(n, sum), i| (n + 1.0, sum + missed[i]));
        ((WHOLE + sum) / (WHOLE + count)).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Levels 20 m apart; east of 200 m the land is ten times as uneven as west of it.
    fn shots() -> Vec<Shot> {
        let shot = |i: usize| {
            let at = Point::new((i % 20) as f64 * 20.0, (i / 20) as f64 * 20.0);
            let wave_m = (0.11 * at.x).sin() * (0.13 * at.y).cos() + 0.5 * (0.29 * at.x + 0.23 * at.y).sin();
            Shot { at, level_m: 0.01 * at.x + if at.x > 200.0 { 0.5 * wave_m } else { 0.05 * wave_m } }
        };
        (0..400).map(shot).collect()
    }

    #[test]
    fn land_is_as_uneven_as_its_shots_are_missed() {
        let field = Covariance { sill_m2: 0.1, range_m: 60.0, power: 1.5, nugget_m2: 0.0, shift_m2: 0.0 };
        let uneven = Uneven::of(&shots(), &field);
        let (west, east) = (uneven.at(Point::new(80.0, 200.0)), uneven.at(Point::new(320.0, 200.0)));
        assert!(west > 0.4 && east > 2.0 * west, "{west} {east}: drawn toward the whole, and apart");
        assert!((Uneven::default().at(Point::new(0.0, 0.0)) - 1.0).abs() < 1e-12);
    }
}
