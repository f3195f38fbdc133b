//! Soil, spacing and groups of laterals; what the checks of soil share.

use design::LineDesign;
use measure::{Point, apart_deg, bearing, nearest_on};
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
    first.joins == line.joins && apart_deg(way(first), way(line)) <= PARALLEL_DEG
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

/// How far a place lies off a path, metres.
pub(crate) fn off_m(path: &[Point], at: Point) -> f64 {
    nearest_on(path, at).map_or(f64::INFINITY, |(_, _, off_m)| off_m)
}
