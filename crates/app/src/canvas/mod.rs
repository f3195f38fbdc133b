//! The map: one transform, picking, and one file a layer. Layers only paint; they know no widgets and no tools, so the
//! window and the headless picture draw the same map.

mod band;
mod contours;
mod depth;
mod drop;
mod field;
mod findings;
mod furniture;
mod holes;
mod label;
mod landmarks;
mod lines;
mod outlets;
mod relief;
mod section;
mod shots;
mod snap;
mod swales;
mod tint;
mod watercourses;

use egui::Painter;

pub use crate::camera::{Camera, Lens};
pub use contours::ContourCache;
pub use findings::severity_mark;
pub use label::LabelBook;
pub use lines::stretch;
pub use relief::ReliefCache;
pub use shots::shot_mark;
pub use snap::{Snap, SnapIndex, SnapKind};

use crate::theme::Palette;
use crate::view::{Tint, View};
use job::Session;
use land::Land;
use terrain::Grid;

/// What a layer needs to paint.
pub struct Pen<'a> {
    /// Where the paint goes.
    pub painter: &'a Painter,
    /// From the plan to the screen.
    pub lens: Lens,
    /// Colours.
    pub palette: &'static Palette,
    /// The plan and what follows from it.
    pub session: &'a Session,
    /// What is chosen.
    pub view: &'a View,
}

/// What the map keeps between frames.
#[derive(Default)]
pub struct Caches {
    relief: ReliefCache,
    contours: ContourCache,
    swales: swales::SwaleCache,
    tint: tint::TintCache,
    drop: drop::DropCache,
    holes: holes::HoleCache,
}

/// Paints the ground and the water on it.
fn paint_ground(pen: &Pen, land: &Land, grid: &Grid, caches: &mut Caches) {
    if pen.view.layers.relief {
        caches.relief.paint(pen, land);
    }
    caches.tint.paint(pen, land);
    if pen.view.layers.water && pen.view.layers.tint != Tint::Depth {
        depth::paint(pen, grid, &land.depressions);
    }
    if pen.view.layers.contours {
        caches.contours.paint(pen);
    }
    holes::paint(pen, land, &mut caches.holes);
    if pen.view.layers.water {
        swales::paint(pen, &land.swales, &mut caches.swales);
    }
}

/// Paints the whole map, from the ground up.
pub fn paint(pen: &Pen, caches: &mut Caches) {
    pen.painter.rect_filled(pen.lens.rect, 0.0, pen.palette.paper);
    let mut labels = LabelBook::new(pen.lens.rect);
    furniture::reserve(pen, &mut labels);
    findings::reserve(pen, &mut labels);
    let land = pen.session.land();
    if let Some(grid) = land.grid() {
        paint_ground(pen, land, grid, caches);
    }
    caches.drop.paint(pen, &mut labels);
    field::paint(pen);
    watercourses::paint(pen);
    landmarks::paint(pen, &mut labels);
    lines::paint(pen);
    outlets::paint(pen, &mut labels);
    findings::paint_stretches(pen);
    watercourses::paint_names(pen, &mut labels);
    landmarks::paint_names(pen, &mut labels);
    if pen.view.layers.labels {
        lines::paint_labels(pen, &mut labels);
    }
    section::paint(pen);
    shots::paint(pen, &mut labels);
    findings::paint_marks(pen, &mut labels);
    caches.contours.write_levels(pen, &labels);
    furniture::paint(pen);
}
