//! Lines of pipe, each with what lies on it: solid pipe, the direction of flow, its upper end.

use plan::{Line, LineId};

use super::{Chosen, Layer, MapOf};
use crate::role::{Pipe, Role};
use crate::scene::{Form, Item};

/// Every line; of solid stretches and ends what is asked for.
pub fn items<'a>(map: &MapOf<'a>, layers: &[Layer]) -> Vec<Item<'a>> {
    map.plan.lines.iter().flat_map(|(id, line)| line_items(map, *id, line, layers)).collect()
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
    items.extend(reducers(map, id, line, pipe));
    if layers.contains(&Layer::Ends) && !pipe.is_old() {
        items.extend(end(pipe, line));
    }
    items
}

/// Where the pipe changes its size or wall; each looks down the line.
fn reducers<'a>(map: &MapOf<'a>, id: LineId, line: &Line, pipe: Pipe) -> Vec<Item<'a>> {
    let bodies = map.design.lines.get(&id).into_iter().flat_map(|worked| worked.bodies().skip(1));
    let sign = |body: design::Pipe| {
        let at = |station_m: f64| measure::point_at(&line.points, station_m);
        Some(Item::new(Role::Reducer(pipe), Form::Sign(at(body.from_m)?, at((body.from_m - 1.0).max(0.0))?)))
    };
    bodies.filter_map(sign).collect()
}

/// The upper end, which looks toward the point before it.
fn end<'a>(pipe: Pipe, line: &Line) -> Option<Item<'a>> {
    let role = if line.capped { Role::CappedEnd(pipe) } else { Role::OpenEnd(pipe) };
    let [.., before, end] = line.points.as_slice() else { return None };
    Some(Item::new(role, Form::Sign(*end, *before)))
}
