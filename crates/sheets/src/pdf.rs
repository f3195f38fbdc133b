//! Pages to PDF: real text, vector lines, subset type. The same pages give the same bytes: no date, no chance.

use krilla::Document;
use krilla::color::luma;
use krilla::geom::{PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};

use crate::ink::{BOLD, Ink, POINT_MM, REGULAR};
use crate::page::{Align, Item, Page, Shape, Stroke, Text};

/// Why no PDF could be made.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// A page has no size.
    #[error("page {0} has no size")]
    NoSize(usize),
    /// The typeface or the writer failed.
    #[error("the PDF could not be written: {0}")]
    Writer(String),
    /// Nobody wants it any more.
    #[error("stopped")]
    Stopped,
}

/// Writes pages; `told` hears the number of each page before it is written and may stop the work.
pub fn pdf(title: &str, pages: &[Page], told: &dyn Fn(usize) -> bool) -> Result<Vec<u8>, PdfError> {
    let font = |bytes: &'static [u8]| {
        Font::new(bytes.to_vec().into(), 0).ok_or_else(|| PdfError::Writer("the typeface cannot be read".into()))
    };
    let writer = Writer { regular: font(REGULAR)?, bold: font(BOLD)?, ink: Ink::default() };
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(title.into()).language("en".into()));
    for (i, page) in pages.iter().enumerate() {
        if !told(i) {
            return Err(PdfError::Stopped);
        }
        let size = PageSettings::from_wh(points(page.width_mm), points(page.height_mm));
        let mut sheet = document.start_page_with(size.ok_or(PdfError::NoSize(i + 1))?);
        let mut surface = sheet.surface();
        writer.items(&mut surface, &page.items);
        surface.finish();
        sheet.finish();
    }
    document.finish().map_err(|error| PdfError::Writer(format!("{error:?}")))
}

fn points(mm: f64) -> f32 {
    (mm / POINT_MM) as f32
}

struct Writer {
    regular: Font,
    bold: Font,
    ink: Ink,
}

impl Writer {
    fn items(&self, surface: &mut Surface, items: &[Item]) {
        for item in items {
            match item {
                Item::Text(text) => self.text(surface, text),
                Item::Shape(shape) => draw(surface, shape),
                Item::Within(rect, inner) => {
                    let (x, y, w, h) = *rect;
                    let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
                    if let Some(path) = path(&corners, true) {
                        surface.push_clip_path(&path, &FillRule::NonZero);
                        self.items(surface, inner);
                        surface.pop();
                    }
                }
            }
        }
    }

    fn text(&self, surface: &mut Surface, text: &Text) {
        if text.text.is_empty() {
            return;
        }
        let width_mm = self.ink.width_mm(&text.text, text.size_pt, text.bold);
        let left_mm = match text.align {
            Align::Left => 0.0,
            Align::Middle => -width_mm / 2.0,
            Align::Right => -width_mm,
        };
        surface.set_stroke(None);
        surface.set_fill(Some(filled(text.grey)));
        let font = if text.bold { &self.bold } else { &self.regular };
        let place = Transform::from_translate(points(text.at.0), points(text.at.1));
        let turned = (text.turned_deg != 0.0).then(|| Transform::from_rotate(-text.turned_deg as f32));
        surface.push_transform(&place);
        turned.iter().for_each(|turned| surface.push_transform(turned));
        let start = Point::from_xy(points(left_mm), 0.0);
        surface.draw_text(start, font.clone(), text.size_pt as f32, &text.text, false, TextDirection::LeftToRight);
        turned.iter().for_each(|_| surface.pop());
        surface.pop();
    }
}

fn filled(grey: u8) -> Fill {
    Fill { paint: luma::Color::new(grey).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero }
}

fn draw(surface: &mut Surface, shape: &Shape) {
    let Some(path) = path(&shape.points, shape.closed) else { return };
    surface.set_fill(shape.fill.map(filled));
    surface.set_stroke(shape.stroke.as_ref().map(pen));
    surface.draw_path(&path);
}

fn pen(stroke: &Stroke) -> Pen {
    let array: Vec<f32> = stroke.dash_mm.iter().map(|mm| points(*mm)).collect();
    Pen {
        paint: luma::Color::new(stroke.grey).into(),
        width: points(stroke.width_mm),
        miter_limit: 4.0,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        opacity: NormalizedF32::ONE,
        dash: (!array.is_empty()).then_some(StrokeDash { array, offset: 0.0 }),
    }
}

fn path(corners: &[(f64, f64)], closed: bool) -> Option<krilla::geom::Path> {
    let (first, rest) = corners.split_first().filter(|(_, rest)| !rest.is_empty())?;
    let mut builder = PathBuilder::new();
    builder.move_to(points(first.0), points(first.1));
    rest.iter().for_each(|(x, y)| builder.line_to(points(*x), points(*y)));
    if closed {
        builder.close();
    }
    builder.finish()
}
