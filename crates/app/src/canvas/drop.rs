//! A drop that is followed: its way down from the place that was clicked, and the land that drains to there.

use std::sync::Arc;

use drawing::{Layer, MapOf};
use egui::{Align2, vec2};
use measure::Point;
use terrain::Catchment;

use super::{LabelBook, Pen};
use crate::land::Land;
use crate::runoff::Runoff;
use crate::theme::bold;

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
    /// Paints way and land under the lines.
    pub fn paint(&mut self, pen: &Pen, labels: &mut LabelBook) {
        let (Some(at), Some(land), Some(runoff)) = (pen.view.drop, pen.session.land(), pen.session.runoff()) else {
            return self.made = None;
        };
        if self.made.as_ref().is_none_or(|made| made.at != at || !Arc::ptr_eq(&made.runoff, runoff)) {
            self.made = Some(follow(at, land, runoff));
        }
        if let Some(made) = &self.made {
            made.paint(pen, labels);
        }
    }
}

fn follow(at: Point, land: &Land, runoff: &Arc<Runoff>) -> Made {
    let grid = land.ground.grid();
    let way = runoff.water.path_from(grid, at);
    Made { at, runoff: runoff.clone(), way, catchment: runoff.water.catchment(grid, &[at]) }
}

impl Made {
    fn paint(&self, pen: &Pen, labels: &mut LabelBook) {
        let land = self.catchment.as_ref().map(|catchment| (catchment.cells.as_slice(), catchment.area_m2));
        let drop = drawing::Drop { at: self.at, way: &self.way, land };
        let map = MapOf { drop: Some(drop), ..pen.map() };
        pen.draw_items(&map.scene(&[Layer::Drop]).items);
        let foot = pen.lens.to_screen(self.at);
        let places = [
            (foot + vec2(12.0, -10.0), Align2::LEFT_BOTTOM),
            (foot + vec2(-12.0, -10.0), Align2::RIGHT_BOTTOM),
            (foot + vec2(12.0, 10.0), Align2::LEFT_TOP),
        ];
        labels.write(pen, &places, &self.words(pen), bold(13.0), pen.palette.ink);
    }

    fn words(&self, pen: &Pen) -> String {
        let units = pen.session.derived().plan.title.units;
        match &self.catchment {
            None => "no ground here".into(),
            Some(catchment) => {
                let length = units.length(measure::path_length(&self.way));
                format!("{} drain to here\na drop runs {length} on", units.area(catchment.area_m2))
            }
        }
    }
}
