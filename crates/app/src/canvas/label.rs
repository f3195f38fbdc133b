//! Labels that do not lie on each other.

use drawing::{Frame, Labels, Place};
use egui::{Align2, Color32, FontId, Pos2, Rect, Stroke};

use super::Pen;

/// The places on a drawing that are taken by words.
pub struct LabelBook {
    book: Labels,
}

fn frame(rect: Rect) -> Frame {
    let side = |at: Pos2| (f64::from(at.x), f64::from(at.y));
    Frame { min: side(rect.min), max: side(rect.max) }
}

impl LabelBook {
    /// No words yet; all are to lie within a rectangle.
    pub fn new(within: Rect) -> Self {
        Self { book: Labels::new(frame(within)) }
    }

    /// Keeps labels out of a rectangle.
    pub fn reserve(&mut self, rect: Rect) {
        self.book.keep_off(Place::Box(frame(rect)));
    }

    /// True where no word lies yet.
    pub fn is_free(&self, rect: Rect) -> bool {
        self.book.is_free(&Place::Box(frame(rect)))
    }

    /// Takes the first of the rectangles where no word lies yet; `None` where there is none.
    pub fn take(&mut self, rects: impl IntoIterator<Item = Rect>) -> Option<Rect> {
        self.book.put(rects.into_iter().map(|rect| (Place::Box(frame(rect)), rect)))
    }

    /// Writes a label at the first of the places where it fits and that suits the writer, on a strip of paper; the rectangle
    /// it took, or `None` where it fits nowhere.
    pub fn write(
        &mut self,
        pen: &Pen,
        places: &[(Pos2, Align2)],
        (text, font, colour): (&str, FontId, Color32),
        suits: impl Fn(Rect) -> bool,
    ) -> Option<Rect> {
        let galley = pen.painter.layout_no_wrap(text.to_string(), font, colour);
        let rects =
            places.iter().map(|(at, align)| align.anchor_size(*at, galley.size()).expand2(egui::vec2(4.0, 1.5)));
        let rect = self.take(rects.filter(|rect| suits(*rect)))?;
        let stroke = Stroke::new(0.6, pen.palette.faint(pen.palette.edge, 0.8));
        pen.painter.rect(rect, 2.0, pen.palette.faint(pen.palette.paper, 0.86), stroke, egui::StrokeKind::Inside);
        pen.painter.galley(rect.min + egui::vec2(4.0, 1.5), galley, colour);
        Some(rect)
    }
}
