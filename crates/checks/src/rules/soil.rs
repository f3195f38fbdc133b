//! Soil, spacing and groups of laterals; what the checks of soil share.

use design::LineDesign;
use measure::{Point, bearing, nearest_on};
use plan::{Joins, Line, LineId, Pattern, SoilLayer, Texture};
use terrain::Piece;

use crate::Site;

/// A part of a line in one layer of soil.
pub(crate) struct InLayer<'a> {
    /// Depth of the invert over it.
    pub depth: Piece,
    /// The layer at the pipe, from the pit nearest to its middle; `None` where no pit tells.
    pub layer: Option<&'a SoilLayer>,
}

/// A line above its outlet pipe, part by part as it passes from one layer into the next.
pub(crate) fn in_layers<'a>(site: &Site<'a>, id: LineId, worked: &LineDesign) -> Vec<InLayer<'a>> {
    let mut found = Vec::new();
    for depth in worked.depth_from(worked.outlet_pipe_m) {
        let pit = site.soils.pit_near(site.point(id, (depth.from_m + depth.to_m) / 2.0));
        let mut parts = vec![depth];
        for layer in pit.into_iter().flat_map(|pit| &pit.layers) {
            parts = parts.iter().flat_map(|part| part.cut(layer.to_m)).collect();
        }
        let layer = |part: &Piece| pit.and_then(|pit| pit.layer_at(part.middle()));
        found.extend(parts.into_iter().map(|depth| InLayer { layer: layer(&depth), depth }));
    }
    found
}

/// How far the invert lies over the tight layer's top all along a line, from the pits nearest to it.
pub(crate) fn over_tight(site: &Site, id: LineId, worked: &LineDesign) -> Vec<Piece> {
    let over = |depth: &Piece| {
        let tight_m = site.soils.pit_near(site.point(id, (depth.from_m + depth.to_m) / 2.0))?.tight_m?;
        Some(depth.turned().raised(tight_m))
    };
    worked.depth.iter().filter_map(over).collect()
}

/// Texture at the pipe half-way up a line: that of the nearest pit, else the brief's.
pub(crate) fn texture(site: &Site, worked: &LineDesign) -> Option<Texture> {
    let middle = worked.at(worked.length_m / 2.0)?;
    site.soils.texture_at(middle.at, middle.depth_m().unwrap_or(site.plan.criteria.target_depth_m))
}

/// How far to either side a line drains, metres.
pub(crate) fn served_m(site: &Site, worked: &LineDesign) -> f64 {
    let middle = worked.at(worked.length_m / 2.0).and_then(|station| Some((station.at, station.depth_m()?)));
    middle.map_or(site.plan.brief.served_m, |(at, depth_m)| site.soils.served_m(at, depth_m))
}

/// Laterals of a grid: parallel lines that join one line.
pub(crate) struct Group {
    /// Its lines from one side to the other.
    pub lines: Vec<LineId>,
    /// From line to line, metres: the middle one of all.
    pub spacing_m: f64,
    /// Depth of the invert half-way up the middle line, metres, where ground is known.
    pub depth_m: Option<f64>,
    /// A place in its middle.
    pub at: Point,
}

/// Bearings this near are parallel, degrees.
const PARALLEL_DEG: f64 = 3.0;

/// The groups of parallel laterals, by the name of their first line.
pub(crate) fn groups(site: &Site) -> Vec<Group> {
    let mut left: Vec<(LineId, &Line)> = site
        .new_lines()
        .filter(|(_, line, _)| line.pattern == Pattern::Parallel && line.joins != Joins::Nothing)
        .map(|(id, line, _)| (id, line))
        .collect();
    let mut found = Vec::new();
    while let Some((_, first)) = left.first().copied() {
        let (own, rest): (Vec<_>, Vec<_>) = left.into_iter().partition(|(_, line)| belongs(first, line));
        left = rest;
        found.extend(group(site, first, &own));
    }
    found
}

fn belongs(first: &Line, line: &Line) -> bool {
    let way = |line: &Line| line.downstream_end().zip(line.upper_end()).map_or(0.0, |(a, b)| bearing(a, b));
    let turn = (way(first) - way(line)).rem_euclid(360.0);
    first.joins == line.joins && turn.min(360.0 - turn) <= PARALLEL_DEG
}

fn group(site: &Site, first: &Line, lines: &[(LineId, &Line)]) -> Option<Group> {
    let (start, end) = first.downstream_end().zip(first.upper_end())?;
    let length_m = measure::distance(start, end);
    let aside = |p: Point| ((p.x - start.x) * (end.y - start.y) - (p.y - start.y) * (end.x - start.x)) / length_m;
    let mut by_side: Vec<(f64, LineId)> =
        lines.iter().filter_map(|(id, line)| Some((aside(line.downstream_end()?), *id))).collect();
    by_side.sort_by(|x, y| x.0.total_cmp(&y.0).then(site.rank(x.1).cmp(&site.rank(y.1))));
    let mut gaps: Vec<f64> = by_side.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
    gaps.sort_by(f64::total_cmp);
    let spacing_m = *gaps.get(gaps.len() / 2)?;
    let lines: Vec<LineId> = by_side.into_iter().map(|(_, id)| id).collect();
    let (_, worked) = site.line(lines[lines.len() / 2])?;
    let middle = worked.at(worked.length_m / 2.0)?;
    Some(Group { lines, spacing_m, depth_m: middle.depth_m(), at: middle.at })
}

/// The rows of a block of vines or trees: each from edge to edge.
pub(crate) fn rows(ring: &[Point], rows: &plan::Rows) -> Vec<(Point, Point)> {
    let Some(first) = ring.first() else { return Vec::new() };
    let (sin, cos) = rows.bearing_deg.to_radians().sin_cos();
    // Along the rows and to the right of them, counted from the first corner.
    let turned = |p: &Point| {
        let (dx, dy) = (p.x - first.x, p.y - first.y);
        (dx * sin + dy * cos, dx * cos - dy * sin)
    };
    let back = |u: f64, v: f64| Point::new(first.x + u * sin + v * cos, first.y + u * cos - v * sin);
    let corners: Vec<(f64, f64)> = ring.iter().map(turned).collect();
    let (low, high) = corners.iter().fold((0.0f64, 0.0f64), |(low, high), (_, v)| (low.min(*v), high.max(*v)));
    let (from, to) = ((low / rows.spacing_m).ceil() as i64, (high / rows.spacing_m).floor() as i64);
    let mut found = Vec::new();
    for k in from..=to.min(from + MOST_ROWS) {
        let v = k as f64 * rows.spacing_m;
        // A row on the outermost edge is cut just inside it, where the ring has two sides.
        let cut_v = v.clamp(low + 1e-6, high - 1e-6);
        let next = corners.iter().cycle().skip(1);
        let mut ends: Vec<f64> = (corners.iter().zip(next))
            .filter(|(a, b)| (a.1 > cut_v) != (b.1 > cut_v))
            .map(|(a, b)| a.0 + (cut_v - a.1) / (b.1 - a.1) * (b.0 - a.0))
            .collect();
        ends.sort_by(f64::total_cmp);
        found.extend(ends.chunks_exact(2).map(|pair| (back(pair[0], v), back(pair[1], v))));
    }
    found
}

/// Rows that are looked at of one block (a square kilometre of narrow rows has some 700).
const MOST_ROWS: i64 = 5_000;

/// How far a place lies off a path, metres.
pub(crate) fn off_m(path: &[Point], at: Point) -> f64 {
    nearest_on(path, at).map_or(f64::INFINITY, |(_, _, off_m)| off_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::ft;
    use measure::FOOT_M;

    /// A block of 95 by 40 ft with rows 9 ft apart that run north: rows at 0, 9 … 90 ft, the first on the edge.
    #[test]
    fn rows_from_edge_to_edge() {
        let ring = [ft(0.0, 0.0), ft(0.0, 40.0), ft(95.0, 40.0), ft(95.0, 0.0)];
        let found = rows(&ring, &plan::Rows { spacing_m: 9.0 * FOOT_M, ..plan::Rows::default() });
        let inner: Vec<f64> = found.iter().map(|(a, _)| (a.x / FOOT_M).round()).collect();
        assert!(inner.len() >= 10 && inner.contains(&9.0) && inner.contains(&90.0), "{inner:?}");
        assert!(found.iter().all(|(a, b)| (measure::distance(*a, *b) / FOOT_M - 40.0).abs() < 1e-6));
    }
}
