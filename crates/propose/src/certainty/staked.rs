//! The lines as staked on ground that is not as planned: levels stay, the ground differs.

use std::sync::Arc;

use design::{Design, LineDesign, ON_LIMIT_M, floor, roof};
use measure::Point;
use plan::{Line, LineId, Plan};
use terrain::{Extreme, Profile};

use super::limits::{Limit, covered_m};

/// Longest distance between places at which the error of the ground is drawn, metres, and between which it is straight
/// (own choice: errors are alike over more).
const NODE_M: f64 = 5.0;

/// A place at which a limit may be kept least, however the ground differs: a corner of the hull of the depths between two nodes,
/// for there both pipe and error are straight.
#[derive(Debug, Clone, Copy)]
struct Corner {
    station_m: f64,
    /// By how much the limit is kept there as planned, metres.
    kept_m: f64,
    /// The node below it, and the share of the way to the next.
    node: usize,
    share: f64,
}

/// A line as staked.
#[derive(Debug)]
pub(crate) struct Staked<'a> {
    pub id: LineId,
    pub worked: &'a LineDesign,
    /// Its nodes: place and station, metres.
    pub nodes: Vec<(Point, f64)>,
    /// Number of its first node among those of all lines.
    pub first: usize,
    /// Ground level at each node as planned, metres.
    ground_m: Vec<Option<f64>>,
    cover: Vec<Corner>,
    depth: Vec<Corner>,
    /// Depth of the trench, with its sign turned.
    trench: Vec<Corner>,
    reach_m: f64,
    protected_m: f64,
}

/// The new lines whose ground and levels are known.
pub(crate) fn staked<'a>(plan: &Plan, design: &'a Design) -> Vec<Staked<'a>> {
    let mut found: Vec<Staked> = Vec::new();
    for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
        let Some(worked) = design.lines.get(id).filter(|worked| !worked.depth.is_empty()) else { continue };
        let first = found.last().map_or(0, |last| last.first + last.nodes.len());
        found.push(Staked::of(plan, (*id, line), worked, first));
    }
    found
}

impl<'a> Staked<'a> {
    fn of(plan: &Plan, (id, line): (LineId, &Line), worked: &'a LineDesign, first: usize) -> Self {
        let parts = (worked.length_m / NODE_M).ceil().clamp(1.0, 1e5) as usize;
        let stations_m: Vec<f64> = (0..=parts).map(|i| worked.length_m * i as f64 / parts as f64).collect();
        let hulls = Hulls::of(worked, &stations_m, &covered_m(line, worked));
        let asked_m = |limit: Limit| limit.asked_m(plan, id);
        let (wanted_m, target_m) = (asked_m(Limit::Cover), asked_m(Limit::Depth));
        let bedding_m = plan.criteria.bedding_m;
        Self {
            id,
            worked,
            first,
            ground_m: stations_m.iter().map(|station_m| worked.ground.level(*station_m)).collect(),
            nodes: stations_m.iter().filter_map(|station_m| Some((worked.at(*station_m)?.at, *station_m))).collect(),
            cover: hulls
                .corners(floor, |part| part.is_covered.then_some((1.0, -part.body.top_above_invert_m() - wanted_m))),
            depth: hulls.corners(floor, |part| (part.from_m >= worked.outlet_pipe_m).then_some((1.0, -target_m))),
            trench: hulls.corners(roof, |part| Some((-1.0, -part.body.wall_m() - bedding_m))),
            reach_m: asked_m(Limit::Reach),
            // What is as deep as the limit to a thousandth of a foot asks for it.
            protected_m: asked_m(Limit::Protection) - 2.0 * ON_LIMIT_M,
        }
    }

    /// By how much a limit is kept, metres, below 0 where it is broken, and where least; `error_m` is that of the ground at the
    /// nodes of all lines. `None` for a limit that hangs on no ground.
    pub fn kept(&self, limit: Limit, error_m: &[f64]) -> Option<Extreme> {
        match limit {
            Limit::Cover => self.least(&self.cover, 1.0, error_m),
            Limit::Depth => self.least(&self.depth, 1.0, error_m),
            Limit::Reach => self.least(&self.trench, -1.0, error_m).map(|least| raised(least, self.reach_m)),
            Limit::Protection => self.least(&self.trench, -1.0, error_m).map(|least| raised(least, self.protected_m)),
            Limit::Freeboard | Limit::OldTile => None,
        }
    }

    fn least(&self, corners: &[Corner], sign: f64, error_m: &[f64]) -> Option<Extreme> {
        let own = &error_m[self.first..];
        let kept = |corner: &Corner| {
            let (low_m, high_m) = (own[corner.node], own[corner.node + 1]);
            corner.kept_m + sign * (low_m + (high_m - low_m) * corner.share)
        };
        let at = |corner: &Corner| Extreme { station_m: corner.station_m, value_m: kept(corner) };
        corners.iter().map(at).reduce(|a, b| if b.value_m < a.value_m { b } else { a })
    }

    /// Lays the line on ground that is straight from node to node and differs there by so much, metres.
    pub fn lay(&self, line: &mut LineDesign, error_m: &[f64]) {
        let own = &error_m[self.first..];
        let node = |(i, level_m): (usize, &Option<f64>)| (self.nodes[i].1, level_m.map(|level_m| level_m + own[i]));
        let places: Vec<(f64, Option<f64>)> = self.ground_m.iter().enumerate().map(node).collect();
        line.lay_on(Arc::new(Profile::through(&places)));
    }
}

fn raised(extreme: Extreme, by_m: f64) -> Extreme {
    Extreme { value_m: extreme.value_m + by_m, ..extreme }
}

/// A part of a line between two nodes in one pipe, wholly covered or exempt.
struct Part {
    from_m: f64,
    to_m: f64,
    body: design::Pipe,
    is_covered: bool,
    node: usize,
}

/// The depths of a line, part by part.
struct Hulls {
    depth: Profile,
    parts: Vec<Part>,
    step_m: f64,
}

impl Hulls {
    fn of(worked: &LineDesign, nodes_m: &[f64], covered_m: &[(f64, f64)]) -> Self {
        let bodies: Vec<design::Pipe> = worked.bodies().collect();
        let mut cuts_m = nodes_m.to_vec();
        cuts_m.extend(bodies.iter().map(|body| body.from_m));
        cuts_m.extend(covered_m.iter().flat_map(|(from_m, to_m)| [*from_m, *to_m]));
        cuts_m.push(worked.outlet_pipe_m.min(worked.length_m));
        cuts_m.sort_by(f64::total_cmp);
        let step_m = worked.length_m / (nodes_m.len() - 1) as f64;
        let part = |pair: &[f64]| {
            let (from_m, to_m) = (pair[0], pair[1]);
            let middle_m = (from_m + to_m) / 2.0;
            let body = bodies.iter().rfind(|body| body.from_m <= middle_m).or(bodies.first())?;
            let is_covered = covered_m.iter().any(|(low_m, high_m)| (*low_m..*high_m).contains(&middle_m));
            let node = ((middle_m / step_m) as usize).min(nodes_m.len() - 2);
            (to_m > from_m).then_some(Part { from_m, to_m, body: *body, is_covered, node })
        };
        Self { depth: Profile::of(worked.depth.clone()), parts: cuts_m.windows(2).filter_map(part).collect(), step_m }
    }

    /// The corners of a hull of the depth in each part that counts, each value times a sign and raised by so much.
    fn corners(
        &self,
        hull: impl Fn(&Profile, f64, f64) -> Vec<(f64, f64)>,
        counts: impl Fn(&Part) -> Option<(f64, f64)>,
    ) -> Vec<Corner> {
        let of_part = |part: &Part| {
            let (sign, by_m) = counts(part)?;
            let (node, step_m) = (part.node, self.step_m);
            let corner = move |(station_m, depth_m): (f64, f64)| {
                let share = station_m / step_m - node as f64;
                Corner { station_m, kept_m: sign * depth_m + by_m, node, share }
            };
            Some(hull(&self.depth, part.from_m, part.to_m).into_iter().map(corner))
        };
        self.parts.iter().filter_map(of_part).flatten().collect()
    }
}
