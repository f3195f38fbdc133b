//! A drop that is followed: its way down from the place that was clicked, and the land that drains to there.

use std::sync::Arc;

use measure::Point;
use terrain::Catchment;

use super::Pen;
use crate::land::Land;
use crate::runoff::Runoff;

/// The way and the land of one place, worked out when the place or the runoff changes.
#[derive(Default)]
pub struct DropCache {
    made: Option<Made>,
}

struct Made {
    at: Point,
    runoff: Arc<Runoff>,
    way: Vec<Point>,
    catchment: Option<Catchment>,
}

impl DropCache {
    /// The drop that is followed, with its way and land.
    pub fn of(&mut self, pen: &Pen) -> Option<drawing::Drop<'_>> {
        let (Some(at), Some(land), Some(runoff)) = (pen.view.drop, pen.session.land(), pen.session.runoff()) else {
            self.made = None;
            return None;
        };
        if self.made.as_ref().is_none_or(|made| made.at != at || !Arc::ptr_eq(&made.runoff, runoff)) {
            self.made = Some(follow(at, land, runoff));
        }
        let made = self.made.as_ref()?;
        let land = made.catchment.as_ref().map(|catchment| (catchment.cells.as_slice(), catchment.area_m2));
        Some(drawing::Drop { at, way: &made.way, land })
    }
}

fn follow(at: Point, land: &Land, runoff: &Arc<Runoff>) -> Made {
    let grid = land.ground.grid();
    let way = runoff.water.path_from(grid, at);
    Made { at, runoff: runoff.clone(), way, catchment: runoff.water.catchment(grid, &[at]) }
}
