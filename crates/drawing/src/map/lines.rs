//! Lines of pipe, each with what lies on it: solid pipe, the direction of flow, its upper end.

use measure::{Point, bearing};
use plan::{Evidence, Line, LineId, LineKind};

use super::{Chosen, Layer, MapOf};
use crate::role::{Pipe, Role};
use crate::scene::{Form, Item};

/// Every line; of solid stretches and ends what is asked for.
pub fn items<'a>(map: &MapOf<'a>, layers: &[Layer]) -> Vec<Item<'a>> {
    // Bands of doubt lie under every line.
    let doubts = map.plan.lines.values().filter_map(doubt);
    let lines = || map.plan.lines.iter();
    // A pipe often changes where branches join it: that is seen over them.
    let reducers = lines().flat_map(|(id, line)| reducers(map, *id, line));
    doubts.chain(lines().flat_map(|(id, line)| line_items(map, *id, line, layers))).chain(reducers).collect()
}

/// Where an old line may lie that is not proved, as far aside as was said.
fn doubt<'a>(line: &Line) -> Option<Item<'a>> {
    let LineKind::OldTile(old) = line.kind else { return None };
    let aside_m = old.aside_m.filter(|aside_m| *aside_m > 0.0 && old.evidence != Evidence::Proved)?;
    let [left, right] = band(&line.points, aside_m);
    Some(Item::new(Role::Doubt, Form::Strip(left, right)))
}

/// The edges of a band round a path, each place over the other.
fn band(points: &[Point], aside_m: f64) -> [Vec<Point>; 2] {
    let side = |side_deg: f64| {
        let at = move |i: usize| {
            let way = |from: usize, to: usize| bearing(points[from], points[to]).to_radians();
            let (before, after) = (i.saturating_sub(1), (i + 1).min(points.len() - 1));
            let (one, other) = (way(before, before + 1), way(after - 1, after));
            // Square to the mean of the two pieces that meet there.
            let along = (one.sin() + other.sin()).atan2(one.cos() + other.cos());
            let (east, north) = (along + side_deg.to_radians()).sin_cos();
            Point::new(points[i].x + east * aside_m, points[i].y + north * aside_m)
        };
        (0..points.len()).filter(|_| points.len() > 1).map(at).collect()
    };
    [side(-90.0), side(90.0)]
}

fn line_items<'a>(map: &MapOf<'a>, id: LineId, line: &'a Line, layers: &[Layer]) -> Vec<Item<'a>> {
    let pipe = Pipe::of(line.kind);
    let (path, stretch) = (
        || Form::Path(line.points.as_slice().into()),
        |from_m, to_m| Form::Stretch(line.points.as_slice().into(), from_m, to_m),
    );
    let mut items = vec![Item { emphasis: map.emphasis(Chosen::of(id)), ..Item::new(Role::Line(pipe), path()) }];
    if layers.contains(&Layer::Solid) {
        let solid = line.stretches.iter().filter(|stretch| stretch.solid || stretch.heavy);
        items.extend(solid.map(|part| Item::new(Role::Solid(pipe), stretch(part.from_m, part.to_m))));
    }
    let outlet_pipe_m = map.design.lines.get(&id).map_or(0.0, |worked| worked.outlet_pipe_m);
    if outlet_pipe_m > 0.0 {
        items.push(Item::new(Role::OutletPipe(pipe), stretch(0.0, outlet_pipe_m)));
    }
    items.push(Item::new(Role::Flow(pipe), path()));
    if layers.contains(&Layer::Ends) && !pipe.is_old() {
        items.extend(end(pipe, line));
    }
    items
}

/// Where the pipe changes its size or wall; each looks down the line.
fn reducers<'a>(map: &MapOf<'a>, id: LineId, line: &Line) -> Vec<Item<'a>> {
    let role = Role::Reducer(Pipe::of(line.kind));
    let changes = map.design.lines.get(&id).into_iter().flat_map(design::LineDesign::changes);
    let sign = |[_, above]: [design::Pipe; 2]| {
        let at = |station_m: f64| measure::point_at(&line.points, station_m);
        Some(Item::new(role, Form::Sign(at(above.from_m)?, at((above.from_m - 1.0).max(0.0))?)))
    };
    changes.filter_map(sign).collect()
}

/// The upper end, which looks toward the point before it.
fn end<'a>(pipe: Pipe, line: &Line) -> Option<Item<'a>> {
    let role = if line.capped { Role::CappedEnd(pipe) } else { Role::OpenEnd(pipe) };
    let [.., before, end] = line.points.as_slice() else { return None };
    Some(Item::new(role, Form::Sign(*end, *before)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line to the north, then to the east: 2 m to each side, at the bend along its bisector.
    #[test]
    fn a_band_lies_to_both_sides() {
        let points = [Point::new(0.0, 0.0), Point::new(0.0, 10.0), Point::new(10.0, 10.0)];
        let slant = 2.0 / 2f64.sqrt();
        let wanted =
            [[(-2.0, 0.0), (-slant, 10.0 + slant), (10.0, 12.0)], [(2.0, 0.0), (slant, 10.0 - slant), (10.0, 8.0)]];
        for (edge, wanted) in band(&points, 2.0).iter().zip(wanted) {
            assert_eq!(edge.len(), wanted.len());
            let off = |(at, (x, y)): (&Point, (f64, f64))| (at.x - x).abs().max((at.y - y).abs());
            assert!(edge.iter().zip(wanted).all(|pair| off(pair) < 1e-9), "{edge:?}");
        }
    }
}
