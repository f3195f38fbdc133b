//! The map: one transform, picking, and one file a layer. Layers only paint; they know no widgets and no tools, so the
//! window and the headless picture draw the same map.

mod band;
mod camera;
mod contours;
mod depth;
mod field;
mod findings;
mod furniture;
mod label;
mod lines;
mod outlets;
mod relief;
mod snap;
mod swales;

use egui::Painter;

pub use camera::{Camera, Lens};
pub use contours::ContourCache;
pub use findings::severity_mark;
pub use label::LabelBook;
pub use lines::stretch;
pub use relief::ReliefCache;
pub use snap::{Snap, SnapIndex, SnapKind};

use crate::session::Session;
use crate::theme::Palette;
use crate::view::View;

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
}

/// Paints the whole map, from the ground up.
pub fn paint(pen: &Pen, caches: &mut Caches) {
    pen.painter.rect_filled(pen.lens.rect, 0.0, pen.palette.paper);
    let mut labels = LabelBook::default();
    furniture::reserve(pen, &mut labels);
    if let Some(land) = pen.session.land() {
        if pen.view.layers.relief {
            caches.relief.paint(pen, land);
        }
        if pen.view.layers.water {
            depth::paint(pen, land);
        }
        if pen.view.layers.contours {
            caches.contours.paint(pen);
        }
        if pen.view.layers.water {
            swales::paint(pen, land, &mut caches.swales);
        }
    }
    field::paint(pen);
    lines::paint(pen);
    outlets::paint(pen, &mut labels);
    findings::paint_stretches(pen);
    if pen.view.layers.labels {
        lines::paint_labels(pen, &mut labels);
    }
    findings::paint_marks(pen, &mut labels);
    furniture::paint(pen);
}
