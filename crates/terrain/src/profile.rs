//! The ground along a line, exactly: not at samples but as the pieces of curve that the surface has over it.
//!
//! Between the centres of four cells the surface is bilinear, so over a straight line it is quadratic; in a triangle it
//! is a plane, so over a straight line it is straight. Nothing between two pieces is left to guess: the lowest place, the
//! stretch under a limit and the area under the curve follow from the pieces themselves.

use measure::{Point, distance};

use crate::{Grid, Ground, Tin};

/// Values this near are one, metres: which of two places comes first must not hang on the last digit.
pub(crate) const SAME_LEVEL_M: f64 = 1e-9;
/// What a line that is drawn may lie off a piece, metres.
const OFF_M: f64 = 2e-3;
/// Pieces shorter than this are rounding, metres.
const SHORTEST_M: f64 = 1e-9;

/// A piece of a curve over stations: `level_m + slope × t + bend × t²`, with `t` metres above its lower station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Value at the lower station, metres.
    pub level_m: f64,
    /// Slope there, as a ratio.
    pub slope: f64,
    /// Half of what the slope gains in a metre, 1/m; 0 for a straight piece.
    pub bend: f64,
}

impl Piece {
    /// The straight piece between two places: station and value, metres.
    pub fn straight(low: (f64, f64), high: (f64, f64)) -> Self {
        let slope = if high.0 > low.0 { (high.1 - low.1) / (high.0 - low.0) } else { 0.0 };
        Self { from_m: low.0, to_m: high.0, level_m: low.1, slope, bend: 0.0 }
    }

    /// Its length, metres.
    pub fn length_m(&self) -> f64 {
        self.to_m - self.from_m
    }

    /// Value at a station, metres.
    pub fn at(&self, station_m: f64) -> f64 {
        let t = station_m - self.from_m;
        self.level_m + (self.slope + self.bend * t) * t
    }

    /// The part of it between two stations; `None` where it has none.
    pub fn part(&self, from_m: f64, to_m: f64) -> Option<Self> {
        let (from_m, to_m) = (self.from_m.max(from_m), self.to_m.min(to_m));
        let slope = self.slope + 2.0 * self.bend * (from_m - self.from_m);
        (to_m > from_m).then(|| Self { from_m, to_m, level_m: self.at(from_m), slope, bend: self.bend })
    }

    /// The piece less a straight one over the same stations.
    pub fn less(&self, other: &Self) -> Self {
        Self { level_m: self.level_m - other.at(self.from_m), slope: self.slope - other.slope, ..*self }
    }

    /// The piece raised by so many metres.
    pub fn raised(&self, by_m: f64) -> Self {
        Self { level_m: self.level_m + by_m, ..*self }
    }

    /// The piece with its sign turned.
    pub fn turned(&self) -> Self {
        Self { level_m: -self.level_m, slope: -self.slope, bend: -self.bend, ..*self }
    }

    /// Its least value and the station of it: at an end, or where it lies level in between.
    pub fn least(&self) -> Extreme {
        let end = |station_m: f64| Extreme { station_m, value_m: self.at(station_m) };
        let low = end(self.from_m).lower_of(end(self.to_m));
        let level_at = self.from_m - self.slope / (2.0 * self.bend);
        if self.bend > 0.0 && level_at > self.from_m && level_at < self.to_m {
            low.lower_of(end(level_at))
        } else {
            low
        }
    }

    /// Its greatest value and the station of it.
    pub fn greatest(&self) -> Extreme {
        let Extreme { station_m, value_m } = self.turned().least();
        Extreme { station_m, value_m: -value_m }
    }

    /// The area under it, square metres.
    pub fn area_m2(&self) -> f64 {
        let t = self.length_m();
        (self.level_m + (self.slope / 2.0 + self.bend * t / 3.0) * t) * t
    }

    /// The parts of it that lie under a limit, by rising station; two at most.
    pub fn under(&self, limit_m: f64) -> impl Iterator<Item = Self> + use<> {
        self.cut(limit_m).filter(move |part| part.middle() < limit_m)
    }

    /// The parts of it between the places where it has a value, by rising station.
    pub fn cut(&self, value_m: f64) -> impl Iterator<Item = Self> + use<> {
        let [first, second] = self.meets(value_m);
        let mut from_m = self.from_m;
        let parts = [first, second, Some(self.to_m)].map(|end| {
            let part = self.part(from_m, end?);
            from_m = end?;
            part
        });
        parts.into_iter().flatten()
    }

    /// Value half-way along it, metres.
    pub fn middle(&self) -> f64 {
        self.at((self.from_m + self.to_m) / 2.0)
    }

    /// The stations strictly inside it at which it has a value, by rising station.
    fn meets(&self, value_m: f64) -> [Option<f64>; 2] {
        let (a, b, c) = (self.bend, self.slope, self.level_m - value_m);
        let inside = |t: f64| Some(self.from_m + t).filter(|at| *at > self.from_m && *at < self.to_m);
        if a == 0.0 {
            return [if b == 0.0 { None } else { inside(-c / b) }, None];
        }
        let under_root = b * b - 4.0 * a * c;
        if under_root <= 0.0 {
            return [None, None];
        }
        // The root that loses no digits first, the other from the product of both.
        let q = -0.5 * (b + b.signum() * under_root.sqrt());
        let (one, other) = (q / a, if q == 0.0 { 0.0 } else { c / q });
        [inside(one.min(other)), inside(one.max(other))]
    }
}

/// A value with the station at which it is least or greatest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// Where, metres.
    pub station_m: f64,
    /// The value, metres.
    pub value_m: f64,
}

impl Extreme {
    /// The lower of two; the one nearer to the start where both are as low.
    pub fn lower_of(self, other: Self) -> Self {
        let lower_m = self.value_m - other.value_m;
        let is_other = lower_m > SAME_LEVEL_M || (lower_m >= -SAME_LEVEL_M && other.station_m < self.station_m);
        if is_other { other } else { self }
    }

    /// The higher of two; the one nearer to the start where both are as high.
    pub fn higher_of(self, other: Self) -> Self {
        let turned = |extreme: Self| Self { value_m: -extreme.value_m, ..extreme };
        turned(turned(self).lower_of(turned(other)))
    }
}

/// The ground along a path, by rising station; where pieces leave a gap there is no ground.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Profile {
    pieces: Vec<Piece>,
}

impl Profile {
    /// The ground along a path, stations counted from its first point.
    ///
    /// Exact over a grid (quadratic pieces) and over triangles (straight ones). A ground whose levels between shots are
    /// found by natural neighbours is known by the grid drawn from it ([`Ground::elevation`] reads the same).
    pub fn along(ground: &Ground, path: &[Point]) -> Self {
        let mut pieces = Vec::new();
        let mut start_m = 0.0;
        for pair in path.windows(2) {
            let side = Side { a: pair[0], b: pair[1], start_m, length_m: distance(pair[0], pair[1]) };
            if side.length_m > SHORTEST_M && side.length_m.is_finite() {
                match ground.straight_tin() {
                    Some(tin) => side.over_triangles(tin, &mut pieces),
                    None => side.over_cells(ground.grid(), &mut pieces),
                }
            }
            start_m += side.length_m;
        }
        Self { pieces }
    }

    /// A profile of pieces by rising station, none over another.
    pub fn of(pieces: Vec<Piece>) -> Self {
        Self { pieces }
    }

    /// Straight between places given by rising station: station and level, metres; a place without a level leaves a gap.
    pub fn through(places: &[(f64, Option<f64>)]) -> Self {
        let pairs = places.windows(2).filter(|pair| pair[1].0 > pair[0].0);
        let piece =
            |pair: &[(f64, Option<f64>)]| Some(Piece::straight((pair[0].0, pair[0].1?), (pair[1].0, pair[1].1?)));
        Self { pieces: pairs.filter_map(piece).collect() }
    }

    /// All pieces.
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// Level at a station, metres; `None` where there is no ground. Where ground ends at a station, that of the ground.
    pub fn level(&self, station_m: f64) -> Option<f64> {
        let after = self.pieces.partition_point(|piece| piece.to_m < station_m - SHORTEST_M);
        let piece = self.pieces.get(after).filter(|piece| piece.from_m <= station_m + SHORTEST_M)?;
        Some(piece.at(station_m.clamp(piece.from_m, piece.to_m)))
    }

    /// The pieces between two stations, cut to them.
    pub fn between(&self, from_m: f64, to_m: f64) -> impl Iterator<Item = Piece> + '_ {
        let first = self.pieces.partition_point(|piece| piece.to_m <= from_m);
        let within = self.pieces[first..].iter().take_while(move |piece| piece.from_m < to_m);
        within.filter_map(move |piece| piece.part(from_m, to_m))
    }

    /// The stretches of a path of some length without ground: from and to, metres.
    pub fn gaps(&self, length_m: f64) -> Vec<(f64, f64)> {
        let mut gaps = Vec::new();
        let mut known_to_m = 0.0;
        let end = Piece { from_m: length_m, to_m: length_m, level_m: 0.0, slope: 0.0, bend: 0.0 };
        for piece in self.pieces.iter().chain([&end]) {
            if piece.from_m - known_to_m > 10.0 * SHORTEST_M {
                gaps.push((known_to_m, piece.from_m));
            }
            known_to_m = piece.to_m.max(known_to_m);
        }
        gaps
    }

    /// The curve as places to draw a line through, one list for each stretch with ground: station and level, metres; the line
    /// lies a few millimetres off the curve at most.
    pub fn drawn(&self) -> Vec<Vec<(f64, f64)>> {
        let mut stretches: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut known_to_m = f64::NEG_INFINITY;
        for piece in &self.pieces {
            if piece.from_m - known_to_m > 10.0 * SHORTEST_M {
                stretches.push(vec![(piece.from_m, piece.level_m)]);
            }
            known_to_m = piece.to_m;
            let parts = ((piece.bend.abs() / OFF_M).sqrt() * piece.length_m() / 2.0).ceil().clamp(1.0, 64.0);
            let parts = parts as usize;
            let place = |k: usize| piece.from_m + piece.length_m() * k as f64 / parts as f64;
            let places = (1..=parts).map(place).map(|station_m| (station_m, piece.at(station_m)));
            stretches.last_mut().into_iter().for_each(|stretch| stretch.extend(places.clone()));
        }
        stretches
    }
}

/// One straight side of a path.
struct Side {
    a: Point,
    b: Point,
    start_m: f64,
    length_m: f64,
}

impl Side {
    /// Adds the pieces over a grid: the side is cut where it crosses a row or column of cell centres and the rim.
    fn over_cells(&self, grid: &Grid, pieces: &mut Vec<Piece>) {
        let ((u0, v0), (u1, v1)) = (grid.cell_coordinates(self.a), grid.cell_coordinates(self.b));
        let mut cuts = vec![0.0, self.length_m];
        self.cuts((u0, u1), (grid.cols() - 1) as f64, &mut cuts);
        self.cuts((v0, v1), (grid.rows() - 1) as f64, &mut cuts);
        cuts.sort_unstable_by(f64::total_cmp);
        let (du, dv) = ((u1 - u0) / self.length_m, (v1 - v0) / self.length_m);
        for pair in cuts.windows(2).filter(|pair| pair[1] - pair[0] > SHORTEST_M) {
            let middle_m = (pair[0] + pair[1]) / 2.0;
            let at = |along_m: f64| (u0 + du * along_m, v0 + dv * along_m);
            let Some((level_m, slope, bend)) = grid.along(at(middle_m), at(pair[0]), (du, dv)) else { continue };
            pieces.push(Piece { from_m: self.start_m + pair[0], to_m: self.start_m + pair[1], level_m, slope, bend });
        }
    }

    /// Adds the distances from the start at which a coordinate passes a whole number from 0 to `last`, or the rim half a
    /// cell beyond.
    fn cuts(&self, (from, to): (f64, f64), last: f64, cuts: &mut Vec<f64>) {
        if from == to {
            return;
        }
        let (low, high) = (from.min(to), from.max(to));
        let metres = self.length_m / (to - from);
        let (first, end) = (low.ceil().max(0.0), high.floor().min(last));
        let count = if end >= first { (end - first) as usize + 1 } else { 0 };
        let whole = (0..count).map(|k| first + k as f64);
        let rim = [-0.5, last + 0.5].into_iter().filter(|rim| *rim > low && *rim < high);
        cuts.extend(whole.chain(rim).map(|at| ((at - from) * metres).clamp(0.0, self.length_m)));
    }

    /// Adds the pieces over triangles.
    fn over_triangles(&self, tin: &Tin, pieces: &mut Vec<Piece>) {
        for (low, high) in tin.along(self.a, self.b) {
            let station = |share: f64| self.start_m + share * self.length_m;
            if (high.0 - low.0) * self.length_m > SHORTEST_M {
                pieces.push(Piece::straight((station(low.0), low.1), (station(high.0), high.1)));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(level_m: f64, slope: f64, bend: f64) -> Piece {
        Piece { from_m: 10.0, to_m: 20.0, level_m, slope, bend }
    }

    /// 3 − 0.8 t + 0.1 t² over 10 m: level at t = 4, where it is 1.4; 5 at the end; under 2 for t from 1.55 to 6.45 (4 ± √6); its
    /// area is 30 − 40 + 33.33.
    #[test]
    fn a_curve_by_hand() {
        let curve = piece(3.0, -0.8, 0.1);
        assert!((curve.least().station_m - 14.0).abs() < 1e-12 && (curve.least().value_m - 1.4).abs() < 1e-12);
        assert!((curve.greatest().value_m - 5.0).abs() < 1e-12 && curve.greatest().station_m == 20.0);
        assert!((curve.area_m2() - (30.0 - 40.0 + 100.0 / 3.0)).abs() < 1e-12);
        let under: Vec<Piece> = curve.under(2.0).collect();
        assert_eq!(under.len(), 1);
        let root = 6f64.sqrt();
        assert!((under[0].from_m - (14.0 - root)).abs() < 1e-12 && (under[0].to_m - (14.0 + root)).abs() < 1e-12);
        let over: Vec<Piece> = curve.turned().under(-2.0).collect();
        assert_eq!(over.len(), 2);
        assert!((over.iter().chain(&under).map(Piece::length_m).sum::<f64>() - 10.0).abs() < 1e-12);
        let part = curve.part(12.0, 16.0).unwrap();
        assert!((part.at(13.5) - curve.at(13.5)).abs() < 1e-12 && part.least() == curve.least());
        assert_eq!(curve.part(20.0, 30.0), None);
    }

    /// Limits that are just met, flat pieces and pieces that lie wholly on one side.
    #[test]
    fn edges_of_what_lies_under() {
        assert_eq!(piece(3.0, -0.8, 0.1).under(1.4).count(), 0);
        assert_eq!(piece(3.0, 0.0, 0.0).under(3.0).count(), 0);
        assert_eq!(piece(3.0, 0.0, 0.0).under(3.1).collect::<Vec<_>>(), [piece(3.0, 0.0, 0.0)]);
        let straight: Vec<Piece> = piece(3.0, -0.1, 0.0).under(2.5).collect();
        assert_eq!((straight.len(), straight[0].from_m, straight[0].to_m), (1, 15.0, 20.0));
        let raised = piece(3.0, -0.1, 0.2).less(&Piece::straight((0.0, 1.0), (30.0, 4.0))).raised(0.5);
        assert!((raised.at(15.0) - (7.5 - 2.5 + 0.5)).abs() < 1e-12);
    }

    /// A cell with corners 0, 0, 0, 1 is u × v: over the diagonal the ground is t² / 2 for a distance t.
    #[test]
    fn a_twisted_cell() {
        let grid = Grid::new((2, 2), (0.0, 2.0), (1.0, 1.0), vec![0.0, 0.0, 0.0, 1.0]).unwrap();
        let (nw, se) = (Point::new(0.5, 1.5), Point::new(1.5, 0.5));
        let profile = Profile::along(&Ground::from_grid(grid), &[nw, se]);
        assert_eq!(profile.pieces().len(), 1);
        let piece = profile.pieces()[0];
        assert!(piece.level_m.abs() < 1e-12 && piece.slope.abs() < 1e-12 && (piece.bend - 0.5).abs() < 1e-12);
        assert!((profile.level(1.0).unwrap() - 0.5).abs() < 1e-12);
        assert!(profile.drawn()[0].len() > 5);
    }

    /// A missing cell leaves a gap from the centre before it to the centre after it.
    #[test]
    fn missing_ground_is_a_gap() {
        let levels = (0..10).map(|i| if i == 4 { f32::NAN } else { i as f32 }).chain((0..10).map(|i| i as f32));
        let ground = Ground::from_grid(Grid::new((10, 2), (0.0, 2.0), (1.0, 1.0), levels.collect()).unwrap());
        let profile = Profile::along(&ground, &[Point::new(-3.0, 1.2), Point::new(10.5, 1.2)]);
        let gaps = profile.gaps(13.5);
        let ends: Vec<[f64; 2]> = gaps.iter().map(|(a, b)| [a, b].map(|m| (m * 1e6).round() / 1e6)).collect();
        assert_eq!(ends, [[0.0, 3.0], [6.5, 8.5], [13.0, 13.5]]);
        assert_eq!((profile.level(7.0), profile.level(13.4)), (None, None));
        assert_eq!(profile.drawn().len(), 2);
        assert_eq!(profile.between(5.0, 9.0).map(|p| p.length_m()).sum::<f64>(), 2.0);
    }

    #[test]
    fn senseless_paths_do_no_harm() {
        let ground = Ground::from_grid(Grid::new((2, 2), (0.0, 2.0), (1.0, 1.0), vec![1.0; 4]).unwrap());
        let nan = Point::new(f64::NAN, 0.0);
        for path in [&[][..], &[nan][..], &[nan, nan], &[Point::new(1.0, 1.0), Point::new(1.0, 1.0)]] {
            assert_eq!(Profile::along(&ground, path).pieces(), []);
        }
        let far = Profile::along(&ground, &[Point::new(-1e9, 1.0), Point::new(1e9, 1.0)]);
        assert!(far.pieces().len() <= 3);
        assert_eq!(Profile::through(&[(0.0, Some(1.0)), (2.0, Some(3.0)), (4.0, None)]).level(1.0), Some(2.0));
    }
}
