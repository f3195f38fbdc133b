//! The lines as staked on ground that is not as planned: levels stay, the ground differs.

use std::sync::Arc;

use design::{Design, LineDesign};
use measure::Point;
use plan::{LineId, Plan};
use terrain::{Extreme, Piece, Profile};

use super::limits::{Covered, Limit, kept};

/// Longest distance between places at which the error of the ground is drawn, metres: errors are alike over more (own choice).
const NODE_M: f64 = 5.0;
/// What the ground along a line may be straightened by, metres: small against what is known of any ground (own choice).
const STRAIGHT_M: f64 = 0.01;

/// Place on the ground of a line: station and level, metres, the node of the field below it and the share of the way to the
/// next.
#[derive(Debug, Clone, Copy)]
struct Vertex {
    station_m: f64,
    level_m: f64,
    node: usize,
    share: f64,
}

/// A line as staked.
#[derive(Debug)]
pub(crate) struct Staked<'a> {
    pub id: LineId,
    pub worked: &'a LineDesign,
    covered: Covered,
    /// The ground, one list for each stretch that has any.
    ground: Vec<Vec<Vertex>>,
    /// Its nodes: place and station, metres.
    pub nodes: Vec<(Point, f64)>,
    /// Number of its first node among those of all lines.
    pub first: usize,
}

/// The new lines whose ground and levels are known.
pub(crate) fn staked<'a>(plan: &Plan, design: &'a Design) -> Vec<Staked<'a>> {
    let mut found: Vec<Staked> = Vec::new();
    for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
        let Some(worked) = design.lines.get(id).filter(|worked| !worked.depth.is_empty()) else { continue };
        let first = found.last().map_or(0, |last| last.first + last.nodes.len());
        let covered = Covered::of(line, worked, &plan.criteria);
        let parts = (worked.length_m / NODE_M).ceil().clamp(1.0, 1e5) as usize;
        let step_m = worked.length_m / parts as f64;
        let node = |i: usize| {
            let station_m = i as f64 * step_m;
            Some((worked.at(station_m)?.at, station_m))
        };
        let nodes: Vec<(Point, f64)> = (0..=parts).filter_map(node).collect();
        let vertex = |(station_m, level_m): (f64, f64)| {
            let node = ((station_m / step_m) as usize).min(parts - 1);
            Vertex { station_m, level_m, node, share: station_m / step_m - node as f64 }
        };
        let drawn = worked.ground.drawn();
        let ground = drawn.iter().map(|part| straightened(part, step_m).into_iter().map(vertex).collect()).collect();
        found.push(Staked { id: *id, worked, covered, ground, nodes, first });
    }
    found
}

impl Staked<'_> {
    /// Lays the line on ground that differs by so much at the nodes of all lines, metres.
    pub fn lay(&self, line: &mut LineDesign, error_m: &[f64]) {
        let own = &error_m[self.first..];
        let raised = |vertex: &Vertex| {
            let (low_m, high_m) = (own[vertex.node], own[vertex.node + 1]);
            (vertex.station_m, vertex.level_m + low_m + (high_m - low_m) * vertex.share)
        };
        let piece = |pair: &[Vertex]| Piece::straight(raised(&pair[0]), raised(&pair[1]));
        let pieces = self.ground.iter().flat_map(|part| part.windows(2).map(piece)).collect();
        line.lay_on(Arc::new(Profile::of(pieces)));
    }

    /// By how much a limit is kept, metres, and where least.
    pub fn kept(&self, limit: Limit, plan: &Plan, line: &LineDesign) -> Option<Extreme> {
        kept(limit, line, &self.covered, &plan.criteria)
    }
}

/// The fewest places of a drawn line, taken one after the other, that leave it straight within a tolerance, and those over every
/// node: between two of them ground and error are straight.
fn straightened(drawn: &[(f64, f64)], step_m: f64) -> Vec<(f64, f64)> {
    let mut from = 0;
    let mut found = vec![drawn[0]];
    for to in 2..drawn.len() {
        if !is_straight(&drawn[from..=to]) {
            from = to - 1;
            found.push(drawn[from]);
        }
    }
    found.extend(drawn.last());
    let with_nodes = |pair: &[(f64, f64)]| {
        let piece = Piece::straight(pair[0], pair[1]);
        let nodes = (piece.from_m / step_m) as usize + 1..=(piece.to_m / step_m) as usize;
        let over = nodes
            .map(move |node| node as f64 * step_m)
            .filter(move |at_m| piece.from_m < *at_m && *at_m < piece.to_m);
        std::iter::once(pair[0]).chain(over.map(move |at_m| (at_m, piece.at(at_m)))).collect::<Vec<_>>()
    };
    let mut places: Vec<(f64, f64)> = found.windows(2).flat_map(with_nodes).collect();
    places.extend(found.last());
    places
}

fn is_straight(part: &[(f64, f64)]) -> bool {
    let chord = Piece::straight(part[0], part[part.len() - 1]);
    part.iter().all(|(station_m, level_m)| (chord.at(*station_m) - level_m).abs() <= STRAIGHT_M)
}
