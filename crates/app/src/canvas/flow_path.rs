//! A flow path: the way down from the place that was clicked, and the land that drains to there.

use std::sync::Arc;

use measure::Point;
use terrain::{Catchment, Grid, Water};

use super::Pen;

/// The way and the land of one place, worked out when the place or the way of water changes.
#[derive(Default)]
pub struct FlowPathCache {
    made: Option<Made>,
}

struct Made {
    at: Point,
    water: Arc<Water>,
    way: Vec<Point>,
    catchment: Option<Catchment>,
}

impl FlowPathCache {
    /// The flow path that is asked for, with its land.
    pub fn of(&mut self, pen: &Pen) -> Option<drawing::FlowPath<'_>> {
        let land = pen.session.land();
        let (Some(at), Some(grid), Some(water)) = (pen.view.flow_path, land.grid(), &land.water) else {
            self.made = None;
            return None;
        };
        if self.made.as_ref().is_none_or(|made| made.at != at || !Arc::ptr_eq(&made.water, water)) {
            self.made = Some(flow_path(at, grid, water));
        }
        let made = self.made.as_ref()?;
        let land = made.catchment.as_ref().map(|catchment| (catchment.cells.as_slice(), catchment.area_m2));
        Some(drawing::FlowPath { at, way: &made.way, land })
    }
}

fn flow_path(at: Point, grid: &Grid, water: &Arc<Water>) -> Made {
    let way = water.path_from(grid, at);
    Made { at, water: water.clone(), way, catchment: water.catchment(grid, &[at]) }
}
