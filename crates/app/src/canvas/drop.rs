//! A drop that is followed: its way down from the place that was clicked, and the land that drains to there.

use std::sync::Arc;

use egui::epaint::{Mesh, Shape};
use egui::{Align2, Stroke, vec2};
use measure::Point;
use terrain::{Catchment, Grid, Water};

use super::{LabelBook, Pen, depth};
use crate::theme::bold;

/// The way and the land of one place, worked out when the place or the way of water changes.
#[derive(Default)]
pub struct DropCache {
    made: Option<Made>,
}

struct Made {
    at: Point,
    water: Arc<Water>,
    way: Vec<Point>,
    catchment: Option<Catchment>,
}

impl DropCache {
    /// Paints way and land under the lines.
    pub fn paint(&mut self, pen: &Pen, labels: &mut LabelBook) {
        let land = pen.session.land();
        let (Some(at), Some(grid), Some(water)) = (pen.view.drop, land.grid(), &land.water) else {
            return self.made = None;
        };
        if self.made.as_ref().is_none_or(|made| made.at != at || !Arc::ptr_eq(&made.water, water)) {
            self.made = Some(follow(at, grid, water));
        }
        if let Some(made) = &self.made {
            made.paint(pen, grid, labels);
        }
    }
}

fn follow(at: Point, grid: &Grid, water: &Arc<Water>) -> Made {
    let way = water.path_from(grid, at);
    Made { at, water: water.clone(), way, catchment: water.catchment(grid, &[at]) }
}

impl Made {
    fn paint(&self, pen: &Pen, grid: &Grid, labels: &mut LabelBook) {
        if let Some(catchment) = &self.catchment {
            let mut mesh = Mesh::default();
            let tint = pen.palette.faint(pen.palette.next, 0.3);
            depth::add_cells(pen, grid, &catchment.cells, tint, &mut mesh);
            pen.painter.add(Shape::mesh(mesh));
        }
        let way = pen.lens.path(&self.way);
        pen.painter.add(Shape::line(way.clone(), Stroke::new(4.6, pen.palette.faint(pen.palette.paper, 0.85))));
        pen.painter.extend(Shape::dashed_line(&way, Stroke::new(2.6, pen.palette.water), 7.0, 4.0));
        let foot = pen.lens.to_screen(self.at);
        pen.painter.circle(foot, 6.0, pen.palette.water, Stroke::new(2.0, pen.palette.paper));
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
