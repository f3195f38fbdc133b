//! The strip on one side of a straight piece of line: its exact width at every place of the piece.

use plan::LineId;

use super::fence::{Rings, inside};
use super::panels::{Care, Panel, follow};
use super::piece::{HAIR_M, Pair, Piece, SAME_M, View, cross, dot, way};

/// Relative accuracy of the width along each panel; over a line most of the remaining error cancels.
pub(super) const SHARE: f64 = 0.02;
/// The same for narrow strips, as a share of the drained distance.
pub(super) const LEAST: f64 = 2e-3;
/// Longest panel taken for straight, and shortest panel, as shares of the drained distance.
const STRAIGHT: f64 = 4.0;
const SHORTEST: f64 = 0.05;

/// Between two places of the piece the width is at most `c0 + c1 u + c2 u²`: at that distance a point, or the segment between
/// two, is as near as the place `u` of the piece.
struct Cap {
    from: f64,
    to: f64,
    c: [f64; 3],
}

impl Cap {
    fn at(&self, u: f64) -> f64 {
        self.c[0] + (self.c[1] + self.c[2] * u) * u
    }

    fn meets(&self, (from, to): Pair) -> bool {
        self.from < to && from < self.to
    }

    /// Given by a point: at the distance `t` the vector `p` to it from the place satisfies `p² = 2 t v`.
    fn of_point((pu, pv): Pair, reach_m: f64) -> Option<Self> {
        let half_m = (pv * (2.0 * reach_m - pv)).max(0.0).sqrt();
        let c = [(pu * pu + pv * pv) / (2.0 * pv), -pu / pv, 0.5 / pv];
        (pv > SAME_M && half_m > 0.0).then_some(Self { from: pu - half_m, to: pu + half_m, c })
    }

    /// Given by the segment between two points, with the place on its left (`side` 1) or right (-1): at the distance `t` the
    /// segment is `t` away too, and its nearest place lies between the points.
    fn of_line(a: Pair, along: Pair, length_m: f64, side: f64, reach_m: f64) -> Option<Self> {
        let closing = 1.0 - side * along.0;
        let (t0, t1) = (-side * cross(along, a) / closing, -side * along.1 / closing);
        let foot = (t0 * along.1 - dot(along, a), t1 * along.1 + along.0);
        let near = between((t0, t1), (0.0, reach_m))?;
        let (from, to) = between(foot, (0.0, length_m))?;
        let (from, to) = (from.max(near.0), to.min(near.1));
        (closing > 1e-9 && from < to).then_some(Self { from, to, c: [t0, t1, 0.0] })
    }
}

/// Where `start + slope × u` lies between two bounds.
fn between((start, slope): Pair, (low, high): Pair) -> Option<Pair> {
    if slope.abs() < 1e-12 {
        return (low..=high).contains(&start).then_some((f64::NEG_INFINITY, f64::INFINITY));
    }
    let (one, other) = ((low - start) / slope, (high - start) / slope);
    Some((one.min(other), one.max(other)))
}

/// A side of the field in the frame of the piece.
struct Wall {
    ring: Rings,
    a: Pair,
    b: Pair,
}

impl Wall {
    fn meets(&self, (from, to): Pair) -> bool {
        self.a.0.min(self.b.0) < to && from < self.a.0.max(self.b.0)
    }

    /// Distance from the place `u` of the piece at which it is met.
    fn met(&self, u: f64) -> Option<f64> {
        ((self.a.0 > u) != (self.b.0 > u))
            .then(|| self.a.1 + (self.b.1 - self.a.1) * (u - self.a.0) / (self.b.0 - self.a.0))
    }
}

/// One side of a piece.
pub(super) struct Beside {
    length_m: f64,
    reach_m: f64,
    caps: Vec<Cap>,
    /// Where another line coincides with the piece: the land is divided evenly.
    shared: Vec<(LineId, Pair)>,
    walls: Vec<Wall>,
    /// Rings that contain the land just beside the lower end, and where along the piece that changes.
    start: Rings,
    steps: Vec<(f64, Rings)>,
}

impl Beside {
    /// To the left of the piece (`sign` 1) or to the right (-1).
    pub fn of(view: &View, sign: f64) -> Self {
        let (own, reach_m) = (view.own, view.reach_m);
        let away = (-sign * own.along.1, sign * own.along.0);
        let seen = |p| (dot(way(own.a, p), own.along), dot(way(own.a, p), away));
        let mut beside = Self {
            length_m: own.length_m,
            reach_m,
            caps: Vec::with_capacity(3 * view.rivals.len()),
            shared: Vec::new(),
            walls: Vec::new(),
            start: view.rings_beside(own.a, away),
            steps: Vec::new(),
        };
        for rival in &view.rivals {
            beside.add_rival(
                rival,
                (seen(rival.a), seen(rival.b)),
                (dot(rival.along, own.along), dot(rival.along, away)),
            );
        }
        for side in &view.walls {
            let (a, b) = (seen(side.a), seen(side.b));
            if (a.1 > HAIR_M) != (b.1 > HAIR_M) {
                let u = a.0 + (b.0 - a.0) * (HAIR_M - a.1) / (b.1 - a.1);
                beside.steps.extend((u > 0.0).then_some((u, side.ring)));
            }
            beside.walls.extend((a.1.max(b.1) > HAIR_M).then_some(Wall { ring: side.ring, a, b }));
        }
        beside
    }

    fn add_rival(&mut self, rival: &Piece, (a, b): (Pair, Pair), along: Pair) {
        if a.1.max(b.1) > SAME_M {
            let of_line = |side| Cap::of_line(a, along, rival.length_m, side, self.reach_m);
            let caps = [Cap::of_point(a, self.reach_m), Cap::of_point(b, self.reach_m), of_line(1.0), of_line(-1.0)];
            let on_piece = |cap: &Cap| cap.meets((0.0, self.length_m));
            self.caps.extend(caps.into_iter().flatten().filter(on_piece));
        } else if a.1.min(b.1) > -SAME_M {
            self.shared.push((rival.line, (a.0.min(b.0), a.0.max(b.0))));
        }
    }

    /// Passes the width along the piece on in panels; returns the uncertainty of their area.
    pub fn follow(&self, take: &mut impl FnMut(Panel)) -> f64 {
        let care = Care { share: SHARE, least: LEAST * self.reach_m, straight: STRAIGHT * self.reach_m };
        // On a bound itself the width may leap, where a side of the field lies across.
        let hair_m = if self.walls.is_empty() { 0.0 } else { 1e-4 * self.reach_m.min(self.length_m) };
        let (mut caps, mut walls) = (Vec::new(), Vec::new());
        let mut uncertain_m2 = 0.0;
        for pair in self.bounds().windows(2) {
            let stretch = (pair[0], pair[1]);
            caps.clear();
            caps.extend(self.caps.iter().filter(|cap| cap.meets(stretch)));
            walls.clear();
            walls.extend(self.walls.iter().filter(|wall| wall.meets(stretch)));
            let mut width = |u: f64| self.width(&caps, &walls, u);
            let ends = [pair[0] + hair_m, pair[1] - hair_m].map(|u| (u, width(u)));
            uncertain_m2 += follow(&mut width, ends, care, take);
        }
        uncertain_m2
    }

    fn width(&self, caps: &[&Cap], walls: &[&Wall], u: f64) -> f64 {
        let set = caps.iter().filter(|cap| cap.from - SAME_M <= u && u <= cap.to + SAME_M).map(|cap| cap.at(u));
        let own_m = set.fold(self.reach_m, f64::min).max(0.0);
        let rings = self.steps.iter().filter(|(at, _)| *at <= u).fold(self.start, |rings, (_, ring)| rings ^ ring);
        let met = walls.iter().filter_map(|wall| Some((wall.met(u)?, wall.ring)));
        inside(rings, met.filter(|(away_m, _)| *away_m > HAIR_M), own_m, |v| v) * self.part(u)
    }

    /// The share of the land that does not belong to another line in the same place.
    fn part(&self, u: f64) -> f64 {
        if self.shared.is_empty() {
            return 1.0;
        }
        let mut others: Vec<LineId> =
            self.shared.iter().filter(|(_, (from, to))| (*from..=*to).contains(&u)).map(|(line, _)| *line).collect();
        others.sort_unstable();
        others.dedup();
        1.0 / (1.0 + others.len() as f64)
    }

    /// Places along the piece between which the width is roughly smooth.
    fn bounds(&self) -> Vec<f64> {
        let of_caps = self.caps.iter().flat_map(|cap| [cap.from, (cap.from + cap.to) / 2.0, cap.to]);
        let of_shared = self.shared.iter().flat_map(|(_, (from, to))| [*from, *to]);
        let corners = self.walls.iter().map(|wall| wall.a.0);
        let places = of_caps.chain(of_shared).chain(corners).chain(self.steps.iter().map(|(at, _)| *at));
        let apart_m = (SHORTEST * self.reach_m).min(self.length_m / 2.0);
        let mut bounds: Vec<f64> = places.filter(|u| (apart_m..self.length_m - apart_m).contains(u)).collect();
        bounds.extend([0.0, self.length_m]);
        bounds.sort_by(f64::total_cmp);
        bounds.dedup_by(|later, earlier| *later - *earlier < apart_m);
        bounds
    }
}
