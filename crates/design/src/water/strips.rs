//! The contributing area of each line by nearness: its strip.
//!
//! A strip is the part of the field, without its holes, that is nearer to the line than to any other line that collects
//! water, and no farther from it than its water comes ([`Soils::gathered_m`]). Beyond an end of the line its nearest place is the end. All land drains
//! to the nearest place of the nearest line; land equally near to several lines (around a shared end, or where a line was
//! drawn twice) is divided evenly.
//!
//! Seen from any place of a line its land extends perpendicular to it on either side, and in a fan around bends and ends:
//! along each such ray the place is the nearest one. The length of each ray is exact ([`super::beside`], [`super::round`]);
//! the area is the integral over the rays ([`super::panels`]).

use std::collections::BTreeMap;

use land::Soils;
use measure::{Point, point_at};
use plan::{Field, Line, LineId, Plan, Served};
use rstar::{AABB, RTree};

use super::beside::Beside;
use super::fence::{Fence, Rings};
use super::panels::Panel;
use super::piece::{HAIR_M, Pair, Piece, View};
use super::round::{Arc, round};
use crate::Station;
use crate::course::SAME_STATION_M;

/// The strip of one line.
#[derive(Debug, Clone)]
pub(super) struct Strip {
    /// Contributing area above each station, all of it at the lowest, square metres.
    pub above_m2: Vec<f64>,
    /// Relative uncertainty of its area.
    pub off: f64,
    /// How far to either side it extends at most, metres.
    pub reach_m: f64,
}

/// Strips from the last time, by line, and the field they lie in.
#[derive(Debug, Clone, Default)]
pub(crate) struct KnownStrips {
    field: Option<Field>,
    lines: BTreeMap<LineId, (Content, Strip)>,
}

/// Everything a strip depends on, besides the field.
#[derive(Debug, Clone, PartialEq)]
struct Content {
    reach_m: f64,
    points: Vec<Point>,
    stations_m: Vec<f64>,
    /// Pieces of other lines that may bound the strip, in the order they are processed: line, index and ends.
    rivals: Vec<(LineId, usize, Point, Point)>,
}

/// All lines that collect, and the field.
pub(super) struct Strips {
    /// How far to either side each line drains, metres.
    reaches_m: BTreeMap<LineId, f64>,
    pieces: RTree<Piece>,
    fence: Fence,
}

impl Strips {
    /// The strip of a line that collects water; reused if nothing it depends on has changed.
    pub fn again(&self, id: LineId, line: &Line, stations: &[Station], known: &mut KnownStrips) -> Strip {
        let reach_m = self.reaches_m[&id];
        let (own, _) = Piece::all_of(id, line, reach_m);
        let rivals = own.iter().flat_map(|piece| self.rivals(piece, reach_m));
        let content = Content {
            reach_m,
            points: line.points.clone(),
            stations_m: stations.iter().map(|station| station.station_m).collect(),
            rivals: rivals.map(|rival| (rival.line, rival.index, rival.a, rival.b)).collect(),
        };
        if let Some((_, strip)) = known.lines.get(&id).filter(|(known, _)| *known == content) {
            return strip.clone();
        }
        let strip = self.of_line(id, line, stations);
        known.lines.insert(id, (content, strip.clone()));
        strip
    }

    pub fn of(plan: &Plan, known: &mut KnownStrips) -> Self {
        if known.field != plan.field {
            *known = KnownStrips { field: plan.field.clone(), lines: BTreeMap::new() };
        }
        known.lines.retain(|id, _| plan.lines.contains_key(id));
        let (mut pieces, mut reaches_m, soils) = (Vec::new(), BTreeMap::new(), Soils::of(plan));
        let collects = |line: &Line| !line.kind.is_old() && line.own_land() != Served::Carrier;
        for (id, line) in plan.lines.iter().filter(|(_, line)| collects(line)) {
            // Its levels hang on its flow: the depth is the one that is aimed at.
            let middle = point_at(&line.points, line.length_m() / 2.0);
            let reach_m = middle.map_or(plan.brief.served_m, |at| soils.gathered_m(at, plan.criteria.target_depth_m));
            pieces.extend(Piece::all_of(*id, line, reach_m).0);
            reaches_m.insert(*id, reach_m);
        }
        Self { reaches_m, pieces: RTree::bulk_load(pieces), fence: Fence::of(plan.field.as_ref()) }
    }

    /// Computes the strip of a line that collects water.
    pub fn of_line(&self, id: LineId, line: &Line, stations: &[Station]) -> Strip {
        let mut land =
            Land { above_m2: vec![0.0; stations.len()], below_m2: vec![0.0; stations.len()], stations, next: 0 };
        let reach_m = self.reaches_m[&id];
        let (own, off_m) = Piece::all_of(id, line, reach_m);
        let mut uncertain_m2 = off_m * own.iter().map(|piece| piece.length_m).sum::<f64>();
        for (k, piece) in own.iter().enumerate() {
            let below = k.checked_sub(1).map(|k| &own[k]);
            let mut view = self.view(piece, reach_m);
            for sign in [1.0, -1.0] {
                uncertain_m2 += Beside::of(&view, sign).follow(&mut |panel| land.add(&panel, piece));
            }
            if k + 1 == own.len() {
                uncertain_m2 += land.add_round(&view, piece.b, piece.stations_m.1, Arc::between(Some(piece), None));
            }
            view.rivals.retain(|rival| below.is_none_or(|below| !rival.is(below)));
            uncertain_m2 += land.add_round(&view, piece.a, piece.stations_m.0, Arc::between(below, Some(piece)));
        }
        let above_m2 = land.above_each();
        let off = uncertain_m2 / above_m2.first().copied().unwrap_or(0.0).max(1.0);
        Strip { above_m2, off, reach_m }
    }

    /// Pieces that may bound the land of a given one.
    fn rivals<'a>(&'a self, own: &'a Piece, reach_m: f64) -> impl Iterator<Item = &'a Piece> {
        let (low, high) = own.around(2.0 * reach_m);
        let near = self.pieces.locate_in_envelope_intersecting(&AABB::from_corners([low.x, low.y], [high.x, high.y]));
        near.filter(|other| !other.is(own))
    }

    /// A piece with everything that may bound its land.
    fn view<'a>(&'a self, own: &'a Piece, reach_m: f64) -> View<'a> {
        let rivals = self.rivals(own, reach_m).collect();
        let walls = self.fence.near(own.around(reach_m));
        View { own, rivals, walls, fence: &self.fence, reach_m }
    }
}

impl View<'_> {
    /// Rings that contain a place, moved by a hair in a direction.
    pub fn rings_beside(&self, at: Point, away: Pair) -> Rings {
        self.fence.rings_at(Point::new(at.x + HAIR_M * away.0, at.y + HAIR_M * away.1))
    }
}

/// Land summed along a line.
struct Land<'a> {
    stations: &'a [Station],
    /// Land above a station that extends below the next one.
    above_m2: Vec<f64>,
    /// Land entirely above a station, at the highest such station.
    below_m2: Vec<f64>,
    /// Where land was added last: most of it is added in order.
    next: usize,
}

impl Land<'_> {
    /// Adds land along a piece.
    fn add(&mut self, panel: &Panel, piece: &Piece) {
        let (from_m, to_m) = piece.stations_m;
        // With bends left out a piece is a little shorter than its stretch of the line.
        let stretched = (to_m - from_m) / piece.length_m;
        let (low_m, high_m) = (from_m + panel.from() * stretched, from_m + panel.to() * stretched);
        let mut i = self.add_above(low_m, panel.area());
        while let Some(station) = self.stations.get(i).filter(|station| station.station_m < high_m) {
            self.above_m2[i] += panel.area_from((station.station_m - from_m) / stretched);
            i += 1;
        }
    }

    /// Adds land around one place of the line; returns its uncertainty.
    fn add_round(&mut self, view: &View, at: Point, station_m: f64, arc: Option<Arc>) -> f64 {
        let (area_m2, uncertain_m2) = arc.map_or((0.0, 0.0), |arc| round(view, at, arc));
        self.add_above(station_m - SAME_STATION_M, area_m2);
        uncertain_m2
    }

    /// Adds land to every station up to a place, in any case to the lowest; returns the index of the next station.
    fn add_above(&mut self, place_m: f64, area_m2: f64) -> usize {
        while self.next > 1 && self.stations[self.next - 1].station_m > place_m {
            self.next -= 1;
        }
        while self.stations.get(self.next).is_some_and(|station| self.next == 0 || station.station_m <= place_m) {
            self.next += 1;
        }
        if let Some(below_m2) = self.next.checked_sub(1).and_then(|i| self.below_m2.get_mut(i)) {
            *below_m2 += area_m2;
        }
        self.next
    }

    /// Land above each station, all of it at the lowest, square metres.
    fn above_each(mut self) -> Vec<f64> {
        let mut whole_m2 = 0.0;
        for (above_m2, below_m2) in self.above_m2.iter_mut().zip(&self.below_m2).rev() {
            whole_m2 += below_m2;
            *above_m2 += whole_m2;
        }
        self.above_m2
    }
}

#[cfg(test)]
mod tests {
    use measure::Units;
    use plan::LineKind;

    use super::*;

    /// A line with 20,000 bends, up and down by 6 m on its way of 2 km: its area is found roughly, soon, and said to be
    /// rough.
    #[test]
    fn what_is_known_roughly_is_said_to_be() {
        let mut plan = Plan::new("Bends", Units::Feet);
        let bend = |i: i32| Point::new(0.1 * f64::from(i), if i % 2 == 0 { 0.0 } else { 6.0 });
        let line = Line::new("L1", LineKind::Lateral, (0..20_000).map(bend).collect());
        // It is 120 km long in all, more than an edit takes.
        let id = plan::LineId(1);
        plan.lines.insert(id, line.clone());
        let station = Station {
            station_m: 0.0,
            at: bend(0),
            ground_m: None,
            invert_m: None,
            step_m: 0.0,
            head_m: None,
            mark: crate::Mark::default(),
        };
        let strip = Strips::of(&plan, &mut KnownStrips::default()).of_line(id, &line, &[station]);
        let reach_m = plan.brief.served_m;
        let wanted_m2 = 2_000.0 * (2.0 * reach_m + 6.0) + std::f64::consts::PI * reach_m * reach_m;
        let area_m2 = strip.above_m2[0];
        assert!(strip.off > 0.03 && (area_m2 / wanted_m2 - 1.0).abs() < strip.off, "{area_m2} m², {wanted_m2}");
    }
}
