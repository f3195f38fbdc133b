//! Pages to PDF: real text, vector lines, subset type. The same pages give the same bytes: no clock, no chance.
//!
//! What is written is PDF/A-2a (ISO 19005-2), to be opened in fifty years: every typeface in it, colours by a profile in it, every
//! letter told by its Unicode, and a tag tree that says what each part of a page is.

use std::num::NonZeroU16;
use std::sync::Arc;

use krilla::color::luma;
use krilla::configure::{Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Size, Transform};
use krilla::image::Image;
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Node, SpanTag, TableHeaderScope, Tag, TagGroup, TagKind, TagTree,
};
use krilla::text::{Font, TextDirection};
use krilla::{Document, SerializeSettings};

use crate::book::Book;
use crate::ink::{BOLD, Ink, POINT_MM, REGULAR, Run, SPARE};
use crate::page::{Align, Item, Page, Part, Shape, Stroke, Text};
use crate::picture::Picture;
use crate::tongue::Tongue;

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

/// Writes the pages of a book; `told` hears the number of each page before it is written and may stop the work.
pub fn pdf(book: &Book, told: &dyn Fn(usize) -> bool) -> Result<Vec<u8>, PdfError> {
    let font = |bytes: &'static [u8]| {
        Font::new(bytes.to_vec().into(), 0).ok_or_else(|| PdfError::Writer("the typeface cannot be read".into()))
    };
    let writer = Writer { regular: font(REGULAR)?, bold: font(BOLD)?, spare: font(SPARE)?, ink: Ink::default() };
    let mut document = kept_document()?;
    let book_tongue = tongue_of(book);
    document.set_metadata(metadata(book).language(book_tongue.tag().into()));
    let mut tree = TagTree::new();
    for (i, page) in book.pages.iter().enumerate() {
        if !told(i) {
            return Err(PdfError::Stopped);
        }
        let size = PageSettings::from_wh(points(page.width_mm), points(page.height_mm));
        let mut sheet = document.start_page_with(size.ok_or(PdfError::NoSize(i + 1))?);
        let mut surface = sheet.surface();
        let parts = writer.items(&mut surface, &page.items, Inside::Page);
        surface.finish();
        sheet.finish();
        // The set speaks English where its pages do not all speak one language.
        let own = (page.tongue != book_tongue).then(|| page.tongue.tag().to_string());
        tree.push(TagGroup::with_children(Tag::Section.with_lang(own), parts));
    }
    document.set_tag_tree(tree);
    document.set_outline(outline(&book.pages));
    document.finish().map_err(|error| PdfError::Writer(format!("{error:?}")))
}

/// A sheet or a part of one by which a reader goes to it: its level, its title, and where it is.
struct Bookmark {
    level: u16,
    title: String,
    place: XyzDestination,
}

/// The bookmarks of a book: its headings. A sheet that runs on over pages has one.
fn outline(pages: &[Page]) -> Outline {
    let mut outline = Outline::new();
    let mut found: Vec<Bookmark> = Vec::new();
    pages.iter().enumerate().for_each(|(i, page)| headings(i, &page.items, &mut found));
    let mut sheet: Option<OutlineNode> = None;
    let mut last = String::new();
    for Bookmark { level, title, place } in found {
        if level > 1 {
            sheet.iter_mut().for_each(|sheet| sheet.push_child(OutlineNode::new(title.clone(), place.clone())));
        } else if last != title {
            last.clone_from(&title);
            outline_push(&mut outline, sheet.replace(OutlineNode::new(title, place)));
        }
    }
    outline_push(&mut outline, sheet);
    outline
}

fn outline_push(outline: &mut Outline, sheet: Option<OutlineNode>) {
    sheet.into_iter().for_each(|sheet| outline.push_child(sheet));
}

fn headings(page: usize, items: &[Item], found: &mut Vec<Bookmark>) {
    for item in items {
        match item {
            Item::Part(Part::Heading(level), inner) => {
                let texts: Vec<&Text> = inner.iter().filter_map(Item::as_text).collect();
                let title = texts.iter().map(|text| text.text.as_str()).collect::<Vec<_>>().join(" ");
                let Some(first) = texts.first() else { continue };
                let top = Point::from_xy(0.0, points((first.at.1 - POINT_MM * first.size_pt * 1.5).max(0.0)));
                found.push(Bookmark { level: *level, title, place: XyzDestination::new(page, top) });
            }
            Item::Part(_, inner) => headings(page, inner, found),
            _ => {}
        }
    }
}

/// A document that is to be kept.
fn kept_document() -> Result<Document, PdfError> {
    let archival = ConfigurationBuilder::new().with_archival_validator(Archival::A2_A).finish();
    let configuration = archival.map_err(|error| PdfError::Writer(format!("{error:?}")))?;
    Ok(Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() }))
}

/// Width and height in pixels of a photo as it lies in its file; `None` where it cannot be written into a PDF. It is tried by
/// itself, for one photo must not spoil the book.
pub(crate) fn embedded_px(bytes: &Arc<Vec<u8>>) -> Option<(u32, u32)> {
    let image = image(bytes)?;
    let (width, height) = image.size();
    let mut document = kept_document().ok()?;
    let mut sheet = document.start_page_with(PageSettings::from_wh(10.0, 10.0)?);
    let mut surface = sheet.surface();
    let whole = surface.start_tagged(ContentTag::Other);
    surface.draw_image(image, Size::from_wh(10.0, 10.0)?);
    surface.end_tagged();
    surface.finish();
    sheet.finish();
    let mut tree = TagTree::new();
    tree.push(TagGroup::with_children(Tag::Figure(Some("photo".into())), vec![whole.into()]));
    document.set_tag_tree(tree);
    document.set_metadata(Metadata::new().title("photo".into()).language("en".into()).creation_date(day(NO_DAY)));
    document.finish().is_ok().then_some((width, height))
}

fn image(bytes: &Arc<Vec<u8>>) -> Option<Image> {
    let data = || {
        let shared: Arc<dyn AsRef<[u8]> + Send + Sync> = bytes.clone();
        shared.into()
    };
    // PDF/A forbids that a reader smooths pictures (ISO 19005-2, 6.2.8).
    Image::from_jpeg(data(), false).or_else(|_| Image::from_png(data(), false)).ok()
}

/// Puts a photo upright into a rectangle.
fn place(surface: &mut Surface, (x, y, w, h): (f64, f64, f64, f64), picture: &Picture) {
    let (corner, (across, down)) = match picture.turns() {
        1 => ((x + w, y), (h, w)),
        2 => ((x + w, y + h), (w, h)),
        3 => ((x, y + h), (h, w)),
        _ => ((x, y), (w, h)),
    };
    let Some((image, size)) = image(picture.bytes()).zip(Size::from_wh(points(across), points(down))) else { return };
    surface.push_transform(&Transform::from_translate(points(corner.0), points(corner.1)));
    surface.push_transform(&Transform::from_rotate(90.0 * f32::from(picture.turns())));
    surface.draw_image(image, size);
    surface.pop();
    surface.pop();
}

fn day((year, month, day): (u16, u8, u8)) -> DateTime {
    DateTime::new(year).month(month).day(day)
}

/// The day of a book that has none: the first of the calendar of machines, by which nobody is misled ([judgement]; a clock is
/// not asked, and the form wants a day).
const NO_DAY: (u16, u8, u8) = (1970, 1, 1);

/// The language of a book: the one of all its pages, else English.
fn tongue_of(book: &Book) -> Tongue {
    let first = book.pages.first().map_or(Tongue::English, |page| page.tongue);
    if book.pages.iter().all(|page| page.tongue == first) { first } else { Tongue::English }
}

/// Title and day of a book.
fn metadata(book: &Book) -> Metadata {
    let title = if book.title.trim().is_empty() { "Drainage plan" } else { &book.title };
    let number = |text: &str| text.parse::<u16>().ok();
    let stated = book.as_of.as_deref().and_then(|day| {
        let mut parts = day.split('-').map(number);
        let mut next = || parts.next().flatten();
        Some((next()?, u8::try_from(next()?).ok()?, u8::try_from(next()?).ok()?))
    });
    let date = day(stated.unwrap_or(NO_DAY));
    Metadata::new().title(measure::plain(title).into_owned()).creation_date(date)
}

/// In what things lie as they are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Inside {
    /// The page itself: a text is a paragraph.
    Page,
    /// A row of a table: a text is a cell.
    Row,
    /// A row of heads: a text is a head.
    Heads,
    /// A paragraph, heading or cell: a text is a piece of it.
    Block,
    /// What is tagged as a whole.
    Whole,
}

fn points(mm: f64) -> f32 {
    (mm / POINT_MM) as f32
}

struct Writer {
    regular: Font,
    bold: Font,
    spare: Font,
    ink: Ink,
}

impl Writer {
    /// Draws things; answers the parts of the tag tree that they are.
    fn items(&self, surface: &mut Surface, items: &[Item], inside: Inside) -> Vec<Node> {
        let is_shape = |item: &Item| matches!(item, Item::Shape(_));
        let mut parts = Vec::new();
        for run in items.chunk_by(|a, b| is_shape(a) && is_shape(b)) {
            match &run[0] {
                Item::Shape(_) => self.aside(surface, run, inside),
                Item::Picture(rect, picture) => place(surface, *rect, picture),
                Item::Text(text) => parts.extend(self.text(surface, text, inside)),
                Item::Part(part, inner) => parts.extend(self.part(surface, (part, inner), inside)),
                Item::Within((x, y, w, h), inner) => {
                    let corners = [(*x, *y), (x + w, *y), (x + w, y + h), (*x, y + h)];
                    if let Some(path) = path(&corners, true) {
                        surface.push_clip_path(&path, &FillRule::NonZero);
                        parts.extend(self.items(surface, inner, inside));
                        surface.pop();
                    }
                }
            }
        }
        parts
    }

    /// Draws what is no matter.
    fn aside(&self, surface: &mut Surface, items: &[Item], inside: Inside) {
        let is_tagged = inside == Inside::Whole;
        if !is_tagged {
            surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Other)));
        }
        for item in items {
            match item {
                Item::Shape(shape) => draw(surface, shape),
                item => drop(self.items(surface, std::slice::from_ref(item), Inside::Whole)),
            }
        }
        if !is_tagged {
            surface.end_tagged();
        }
    }

    /// Draws a part; answers its place in the tag tree.
    fn part(&self, surface: &mut Surface, (part, inner): (&Part, &[Item]), inside: Inside) -> Option<Node> {
        if inside == Inside::Whole {
            self.items(surface, inner, inside);
            return None;
        }
        let (kind, parts): (TagKind, Vec<Node>) = match part {
            Part::Aside => {
                self.aside(surface, inner, inside);
                return None;
            }
            Part::Figure(words) => {
                let whole = surface.start_tagged(ContentTag::Other);
                self.items(surface, inner, Inside::Whole);
                surface.end_tagged();
                (Tag::Figure(Some(measure::plain(words).into_owned())).into(), vec![whole.into()])
            }
            Part::Heading(level) => {
                let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
                (Tag::Hn(level, None).into(), self.items(surface, inner, Inside::Block))
            }
            Part::Paragraph => (Tag::P.into(), self.items(surface, inner, Inside::Block)),
            Part::Table => (Tag::Table.into(), self.items(surface, inner, Inside::Block)),
            Part::Heads => (Tag::TR.into(), self.items(surface, inner, Inside::Heads)),
            Part::Row => (Tag::TR.into(), self.items(surface, inner, Inside::Row)),
            Part::Cell => {
                let mut pieces = self.items(surface, inner, Inside::Block);
                if pieces.is_empty() {
                    // A cell with nothing in it is a cell all the same.
                    pieces.push(surface.start_tagged(ContentTag::Span(SpanTag::empty())).into());
                    surface.end_tagged();
                }
                (cell(inside), pieces)
            }
        };
        Some(TagGroup::with_children(kind, parts).into())
    }

    /// Draws a text; answers its place in the tag tree.
    fn text(&self, surface: &mut Surface, text: &Text, inside: Inside) -> Option<Node> {
        if text.text.is_empty() {
            return None;
        }
        if inside == Inside::Whole {
            self.letters(surface, text, false);
            return None;
        }
        let pieces: Vec<Node> = self.letters(surface, text, true);
        let kind: TagKind = match inside {
            Inside::Row | Inside::Heads => cell(inside),
            Inside::Page => Tag::P.into(),
            Inside::Block | Inside::Whole => Tag::Span.into(),
        };
        Some(TagGroup::with_children(kind, pieces).into())
    }

    /// Draws the letters of a text run by run; answers each run's mark where they are tagged.
    fn letters(&self, surface: &mut Surface, text: &Text, tagged: bool) -> Vec<Node> {
        let width_mm = self.ink.width_mm(&text.text, text.size_pt, text.bold);
        let mut at_mm = match text.align {
            Align::Left => 0.0,
            Align::Middle => -width_mm / 2.0,
            Align::Right => -width_mm,
        };
        surface.set_stroke(None);
        surface.set_fill(Some(filled(text.grey)));
        let place = Transform::from_translate(points(text.at.0), points(text.at.1));
        let turned = (text.turned_deg != 0.0).then(|| Transform::from_rotate(-text.turned_deg as f32));
        surface.push_transform(&place);
        turned.iter().for_each(|turned| surface.push_transform(turned));
        let mut marks = Vec::new();
        for run in self.ink.runs(&text.text, text.bold) {
            if tagged {
                let stands_for = run.stands_for.filter(|c| !crate::ink::is_private(*c)).map(String::from);
                let span = SpanTag::empty().with_actual_text(stands_for.as_deref());
                marks.push(surface.start_tagged(ContentTag::Span(span)).into());
            }
            self.run(surface, &run, text, at_mm);
            if tagged {
                surface.end_tagged();
            }
            at_mm += self.ink.width_mm(&run.drawn, text.size_pt, text.bold);
        }
        turned.iter().for_each(|_| surface.pop());
        surface.pop();
        marks
    }

    fn run(&self, surface: &mut Surface, run: &Run, text: &Text, at_mm: f64) {
        let (font, direction) = match (run.spare, text.bold) {
            (true, _) => (&self.spare, TextDirection::Auto),
            (false, true) => (&self.bold, TextDirection::LeftToRight),
            (false, false) => (&self.regular, TextDirection::LeftToRight),
        };
        let start = Point::from_xy(points(at_mm), 0.0);
        surface.draw_text(start, font.clone(), text.size_pt as f32, &run.drawn, false, direction);
    }
}

/// The kind of a cell.
fn cell(inside: Inside) -> TagKind {
    match inside {
        Inside::Heads => Tag::TH(TableHeaderScope::Column).into(),
        _ => Tag::TD.into(),
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
