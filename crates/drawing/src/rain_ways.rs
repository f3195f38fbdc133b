//! Ways of rain on the map of a plan: how far each drop has run, where they gather, and what lies there to take them.

use measure::{Point, part_of};

use crate::board::Board;
use crate::map::{Layer, MapOf};
use crate::role::Role;
use crate::scene::{Form, Item, Scene};

/// Layers of a map, and over them drops that have run so far down their ways, metres. Boards of one map have one frame, so
/// that they lie over each other.
pub fn rain_ways(map: &MapOf, layers: &[Layer], ways: &[Vec<Point>], ran_m: f64) -> Board<'static> {
    let (low, high) = corners(map);
    let run = ways.iter().map(|way| Item::new(Role::FlowPath, Form::Path(part_of(way, 0.0, ran_m).into())));
    let ends = ways.iter().filter_map(|way| measure::point_at(way, ran_m));
    let drops = run.chain(ends.map(|end| Item::new(Role::FlowPathFoot, Form::Sign(end, end))));
    let scene = map.scene(layers);
    // What is drawn here outlives the map it was drawn from.
    let all =
        Board { low, high, scene: Scene { time_s: None, items: scene.items.into_iter().chain(drops).collect() } };
    Board { low: Point::new(0.0, 0.0), high: Point::new(1.0, all.shape()), scene: all.on((1.0, all.shape())) }
}

/// South-west and north-east corner of field and lines, with a margin, metres.
fn corners(map: &MapOf) -> (Point, Point) {
    let field = map.plan.field.iter().flat_map(|field| field.ring.iter());
    let lines = map.plan.lines.values().flat_map(|line| line.points.iter());
    let (low, high) =
        measure::extent(field.chain(lines).copied()).unwrap_or((Point::new(0.0, 0.0), Point::new(1.0, 1.0)));
    let margin_m = (high.x - low.x).max(high.y - low.y).max(1.0) * 0.03;
    (Point::new(low.x - margin_m, low.y - margin_m), Point::new(high.x + margin_m, high.y + margin_m))
}
