//! Pages as data: what stands where, in millimetres from the top left corner. Black, white and grey only, so that any
//! printer and a wet copy keep them.

use measure::Units;
use plan::LineId;

use crate::picture::Picture;
use crate::tongue::Tongue;

/// The smallest type on any page, points: what is smaller is lost on a copy of a copy (judgement).
pub const LEAST_PT: f64 = 7.0;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 8 1/2 by 11 in.
    #[default]
    Letter,
    /// 11 by 17 in.
    Tabloid,
    /// 210 by 297 mm.
    A4,
    /// 297 by 420 mm.
    A3,
}

impl Paper {
    /// Every size with its name.
    pub const ALL: [(Self, &'static str); 4] =
        [(Self::Letter, "letter"), (Self::Tabloid, "tabloid"), (Self::A4, "a4"), (Self::A3, "a3")];

    /// The usual size where people measure so.
    pub const fn usual(units: Units) -> Self {
        if units.is_metric() { Self::A4 } else { Self::Letter }
    }

    /// A size by its name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|(_, other)| other.eq_ignore_ascii_case(name)).map(|(paper, _)| paper)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        Self::ALL.into_iter().find(|(paper, _)| *paper == self).map_or("", |(_, name)| name)
    }

    /// Width and height lying on its long side, millimetres.
    pub const fn lying_mm(self) -> (f64, f64) {
        match self {
            Self::Letter => (279.4, 215.9),
            Self::Tabloid => (431.8, 279.4),
            Self::A4 => (297.0, 210.0),
            Self::A3 => (420.0, 297.0),
        }
    }

    /// Width and height standing, millimetres.
    pub const fn standing_mm(self) -> (f64, f64) {
        let (width, height) = self.lying_mm();
        (height, width)
    }
}

/// Where a text hangs on its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// The place is its left end.
    Left,
    /// Its middle.
    Middle,
    /// Its right end.
    Right,
}

/// A line of text; the place lies on the line it stands on.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Place, millimetres.
    pub at: (f64, f64),
    /// Height of the type, points.
    pub size_pt: f64,
    /// Heavy type.
    pub bold: bool,
    /// How it hangs.
    pub align: Align,
    /// Turned so many degrees against the clock.
    pub turned_deg: f64,
    /// 0 for black, 255 for white, which is for black ground only.
    pub grey: u8,
    /// What it says.
    pub text: String,
}

impl Text {
    /// A black text that is not turned.
    pub fn new(at: (f64, f64), size_pt: f64, bold: bool, align: Align, text: impl Into<String>) -> Self {
        let text = measure::true_minus(&measure::plain(&text.into()));
        Self { at, size_pt, bold, align, turned_deg: 0.0, grey: 0, text }
    }
}

/// How a line is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Its width, millimetres.
    pub width_mm: f64,
    /// Lengths of dash and gap, millimetres; none for a whole line.
    pub dash_mm: Vec<f64>,
    /// 0 for black, 255 for white.
    pub grey: u8,
}

impl Stroke {
    /// A whole black line.
    pub const fn black(width_mm: f64) -> Self {
        Self { width_mm, dash_mm: Vec::new(), grey: 0 }
    }

    /// A whole grey line.
    pub const fn grey(width_mm: f64, grey: u8) -> Self {
        Self { width_mm, dash_mm: Vec::new(), grey }
    }

    /// A broken black line.
    pub fn dashed(width_mm: f64, dash_mm: &[f64]) -> Self {
        Self { width_mm, dash_mm: dash_mm.to_vec(), grey: 0 }
    }
}

/// A line or an area.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Its corners, millimetres.
    pub points: Vec<(f64, f64)>,
    /// True where it comes back to its first corner.
    pub closed: bool,
    /// Its line.
    pub stroke: Option<Stroke>,
    /// Its filling: 0 black to 255 white.
    pub fill: Option<u8>,
}

/// What a part of a page is to a reader who does not see it: an element of the tag tree of a PDF (ISO 32000-1, 14.8).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// What stands on every page, or is only drawn: no part of the matter.
    Aside,
    /// A heading of a level, 1 the highest.
    Heading(u16),
    /// Lines that belong together.
    Paragraph,
    /// A table: its parts are rows.
    Table,
    /// A row of a table with the heads of its columns. A text in a row that is in no cell is a cell by itself.
    Heads,
    /// A row of a table.
    Row,
    /// A cell of more than one line, or of none.
    Cell,
    /// A drawing, with what it shows in words.
    Figure(String),
}

/// Something on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Text.
    Text(Text),
    /// A line or an area.
    Shape(Shape),
    /// A photo, upright in a rectangle: left, top, width, height.
    Picture((f64, f64, f64, f64), Picture),
    /// Things of which only what lies in a rectangle is drawn: left, top, width, height.
    Within((f64, f64, f64, f64), Vec<Item>),
    /// A part that is told to who does not see it.
    Part(Part, Vec<Item>),
}

impl Item {
    /// The text that it is.
    pub fn as_text(&self) -> Option<&Text> {
        if let Self::Text(text) = self { Some(text) } else { None }
    }
}

/// A page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// Width, millimetres.
    pub width_mm: f64,
    /// Height, millimetres.
    pub height_mm: f64,
    /// What is on it, drawn in this order.
    pub items: Vec<Item>,
    /// Lines that it is about, for the index.
    pub lines: Vec<LineId>,
    /// In what language it speaks.
    pub tongue: Tongue,
    /// Where "Sheet 2 of 24" is written in its title block once all are counted, millimetres.
    pub number_at: Option<(f64, f64)>,
}

impl Page {
    /// An empty page.
    pub fn new((width_mm, height_mm): (f64, f64)) -> Self {
        Self { width_mm, height_mm, ..Self::default() }
    }

    /// Puts a text on it.
    pub fn text(&mut self, at: (f64, f64), size_pt: f64, bold: bool, align: Align, text: impl Into<String>) {
        self.items.push(text_item(at, size_pt, bold, align, text));
    }

    /// Puts a heavy white text on it, which stands on black ground.
    pub fn white(&mut self, at: (f64, f64), size_pt: f64, text: impl Into<String>) {
        self.items.push(Item::Text(Text { grey: 255, ..Text::new(at, size_pt, true, Align::Left, text) }));
    }

    /// Draws a line.
    pub fn line(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        self.items.push(line_item(points, stroke));
    }

    /// Draws a rectangle: left, top, width, height.
    pub fn rect(&mut self, rect: (f64, f64, f64, f64), stroke: Option<Stroke>, fill: Option<u8>) {
        self.items.push(rect_item(rect, stroke, fill));
    }

    /// Makes a part of everything that was put on the page since it had so many things.
    pub fn part_since(&mut self, first: usize, part: Part) {
        let inner = self.items.split_off(first.min(self.items.len()));
        if !inner.is_empty() || part == Part::Cell {
            self.items.push(Item::Part(part, inner));
        }
    }

    /// Everything on it in the order drawn, without the parts it belongs to.
    pub fn flat(&self) -> Vec<&Item> {
        flat(&self.items)
    }

    /// Every text of the page in the order drawn.
    pub fn texts(&self) -> Vec<&str> {
        texts_of(&self.items)
    }
}

fn flat<'a>(items: &'a [Item]) -> Vec<&'a Item> {
    let of = |item: &'a Item| if let Item::Part(_, inner) = item { flat(inner) } else { vec![item] };
    items.iter().flat_map(of).collect()
}

fn texts_of(items: &[Item]) -> Vec<&str> {
    let mut all = Vec::new();
    for item in items {
        match item {
            Item::Text(text) => all.push(text.text.as_str()),
            Item::Within(_, inner) | Item::Part(_, inner) => all.extend(texts_of(inner)),
            Item::Shape(_) | Item::Picture(..) => {}
        }
    }
    all
}

/// A text.
pub fn text_item(at: (f64, f64), size_pt: f64, bold: bool, align: Align, text: impl Into<String>) -> Item {
    Item::Text(Text::new(at, size_pt, bold, align, text))
}

/// A line.
pub fn line_item(points: &[(f64, f64)], stroke: Stroke) -> Item {
    Item::Shape(Shape { points: points.to_vec(), closed: false, stroke: Some(stroke), fill: None })
}

/// A rectangle: left, top, width, height.
pub fn rect_item((x, y, w, h): (f64, f64, f64, f64), stroke: Option<Stroke>, fill: Option<u8>) -> Item {
    let points = vec![(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
    Item::Shape(Shape { points, closed: true, stroke, fill })
}

/// A filled circle as a polygon, good enough for a dot.
pub fn dot((x, y): (f64, f64), radius_mm: f64, fill: u8) -> Item {
    let corner = |i: i32| {
        let (sin, cos) = (f64::from(i) * std::f64::consts::PI / 8.0).sin_cos();
        (x + radius_mm * cos, y + radius_mm * sin)
    };
    let stroke = Some(Stroke::black(0.25));
    Item::Shape(Shape { points: (0..16).map(corner).collect(), closed: true, stroke, fill: Some(fill) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_on_paper_holds_nothing_hidden() {
        let mut page = Page::new((210.0, 297.0));
        page.text((10.0, 10.0), 9.0, false, Align::Left, "L1\u{1b}[31m\u{202e}\nO1");
        assert_eq!(page.texts(), ["L1\\u{1b}[31m\\u{202e} O1"]);
    }
}
