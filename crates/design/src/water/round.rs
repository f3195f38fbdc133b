//! The strip around a place where two pieces of a line meet, or around an end.

use std::f64::consts::PI;

use measure::Point;
use plan::LineId;

use super::beside::{LEAST, SHARE};
use super::fence::{Rings, inside};
use super::panels::{Care, follow};
use super::piece::{HAIR_M, Pair, Piece, SAME_M, View, cross, dot, less, way};

/// Arcs are divided into parts no wider than this, radians.
const PART: f64 = PI / 4.0;

/// Directions for which a place of a line is its nearest one: the first, and the angle to the last, counter-clockwise;
/// radians.
#[derive(Clone, Copy)]
pub(super) struct Arc {
    first: f64,
    turn: f64,
}

impl Arc {
    /// The arc between two consecutive pieces, or at an end.
    pub fn between(below: Option<&Piece>, above: Option<&Piece>) -> Option<Self> {
        let direction = |piece: &Piece| piece.along.1.atan2(piece.along.0);
        match (below, above) {
            (None, None) => None,
            (None, Some(above)) => Some(Self { first: direction(above) + PI / 2.0, turn: PI }),
            (Some(below), None) => Some(Self { first: direction(below) - PI / 2.0, turn: PI }),
            (Some(below), Some(above)) => {
                let (one, other) = (direction(below), direction(above));
                let turn = (other - one + PI).rem_euclid(2.0 * PI) - PI;
                // To the right of a left turn, to the left of a right turn.
                let first = if turn > 0.0 { one - PI / 2.0 } else { other + PI / 2.0 };
                (turn.abs() > 1e-6).then_some(Self { first, turn: turn.abs() })
            }
        }
    }
}

/// Another piece, seen from the place.
struct Rival {
    line: LineId,
    a: Pair,
    b: Pair,
    along: Pair,
    length_m: f64,
}

impl Rival {
    /// Vector from the place to the nearest place of the rival.
    fn nearest(&self) -> Pair {
        let foot_m = (-dot(self.along, self.a)).clamp(0.0, self.length_m);
        (self.a.0 + foot_m * self.along.0, self.a.1 + foot_m * self.along.1)
    }

    /// True if the place lies on it between its ends: no land is nearer to the place.
    fn passes(&self) -> bool {
        let foot_m = -dot(self.along, self.a);
        cross(self.along, self.a).abs() <= SAME_M && SAME_M < foot_m && foot_m < self.length_m - SAME_M
    }

    /// Distance in a direction at which the rival is equally near; `None` if it lies behind. A point is equally near at the
    /// distance `t` for which the vector `p` to it satisfies `p² = 2 t (p · away)`; a segment where its distance is `t`.
    fn takes_from(&self, away: Pair) -> Option<f64> {
        let (far_a, far_b) = (dot(self.a, away), dot(self.b, away));
        if far_a <= SAME_M && far_b <= SAME_M {
            return None;
        }
        let point = |p: Pair, far: f64| if far > SAME_M { dot(p, p) / (2.0 * far) } else { f64::INFINITY };
        let (off, slope) = (-cross(self.along, self.a), cross(self.along, away));
        let closing = if off >= 0.0 { 1.0 - slope } else { 1.0 + slope };
        let t = if closing > 1e-12 { off.abs() / closing } else { f64::INFINITY };
        let foot = t * dot(self.along, away) - dot(self.along, self.a);
        let line = if (-SAME_M..=self.length_m + SAME_M).contains(&foot) { t } else { f64::INFINITY };
        Some(point(self.a, far_a).min(point(self.b, far_b)).min(line))
    }
}

/// A side of the field, seen from the place.
struct Wall {
    ring: Rings,
    a: Pair,
    b: Pair,
}

impl Wall {
    /// Distance at which it is met in a direction.
    fn met(&self, away: Pair) -> Option<f64> {
        let (left_a, left_b) = (cross(away, self.a), cross(away, self.b));
        let (far_a, far_b) = (dot(away, self.a), dot(away, self.b));
        ((left_a > 0.0) != (left_b > 0.0)).then(|| far_a + (far_b - far_a) * left_a / (left_a - left_b))
    }

    /// True if the place lies on it.
    fn is_here(&self) -> bool {
        let side = less(self.b, self.a);
        let square = dot(side, side);
        let t = if square > 0.0 { (-dot(self.a, side) / square).clamp(0.0, 1.0) } else { 0.0 };
        let off = (self.a.0 + t * side.0, self.a.1 + t * side.1);
        dot(off, off) <= 4.0 * HAIR_M * HAIR_M
    }
}

/// Land around a place in the directions of an arc, as sectors: area and its uncertainty.
pub(super) fn round(view: &View, place: Point, arc: Arc) -> (f64, f64) {
    let reach_m = view.reach_m;
    let seen = |rival: &&Piece| Rival {
        line: rival.line,
        a: way(place, rival.a),
        b: way(place, rival.b),
        along: rival.along,
        length_m: rival.length_m,
    };
    let near = |rival: &Rival| dot(rival.nearest(), rival.nearest()) < 4.0 * reach_m * reach_m;
    let rivals: Vec<Rival> = view.rivals.iter().map(seen).filter(near).collect();
    if rivals.iter().any(Rival::passes) {
        return (0.0, 0.0);
    }
    let walls = view.walls.iter().map(|side| Wall { ring: side.ring, a: way(place, side.a), b: way(place, side.b) });
    let walls: Vec<Wall> = walls.collect();
    let on_boundary = walls.iter().any(Wall::is_here);
    let rings = view.rings_beside(place, (arc.first.cos(), arc.first.sin()));
    let mut sector = |angle: f64| {
        let away = (angle.cos(), angle.sin());
        let own_m = rivals.iter().filter_map(|rival| rival.takes_from(away)).fold(reach_m, f64::min);
        let rings = if on_boundary { view.rings_beside(place, away) } else { rings };
        let met = walls.iter().filter_map(|wall| Some((wall.met(away)?, wall.ring)));
        let met = met.filter(|(away_m, _)| *away_m > HAIR_M);
        inside(rings, met, own_m, |v| v * v / 2.0) * part(view.own.line, &rivals, away)
    };
    let care = Care { share: SHARE, least: LEAST * reach_m * reach_m, straight: PART };
    let (mut area_m2, mut uncertain_m2) = (0.0, 0.0);
    let parts = (arc.turn / PART).ceil();
    for k in 0..parts as usize {
        let ends = [1e-9, arc.turn / parts - 1e-9].map(|beyond| arc.first + arc.turn * k as f64 / parts + beyond);
        let ends = ends.map(|angle| (angle, sector(angle)));
        uncertain_m2 += follow(&mut sector, ends, care, &mut |panel| area_m2 += panel.area());
    }
    (area_m2, uncertain_m2)
}

/// The share of the land in a direction that does not belong to another line that ends or bends in the same place.
fn part(own: LineId, rivals: &[Rival], away: Pair) -> f64 {
    let here = |rival: &&Rival| dot(rival.nearest(), rival.nearest()) <= SAME_M * SAME_M;
    let sharing = rivals.iter().filter(|rival| rival.line != own).filter(here);
    let mut others: Vec<LineId> =
        sharing.filter(|rival| rival.takes_from(away).is_none()).map(|rival| rival.line).collect();
    others.sort_unstable();
    others.dedup();
    1.0 / (1.0 + others.len() as f64)
}
