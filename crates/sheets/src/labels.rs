//! Where labels of a drawing go so that none lies on another.

use drawing::{Disc, Frame, Place};

use crate::ink::{Ink, POINT_MM};
use crate::page::{Align, Item, Text};

/// A left edge, a top edge, a width and a height, millimetres.
pub(crate) type Rect = (f64, f64, f64, f64);

/// Words of one drawing on paper. The most important are to be put first: who comes later gives way.
pub(crate) struct Labels<'a> {
    /// How wide they are.
    pub ink: &'a Ink,
    book: drawing::Labels,
    /// Labels that found their place.
    pub items: Vec<Item>,
}

/// The same rectangle by its edges.
fn frame((x, y, w, h): Rect) -> Frame {
    Frame { min: (x, y), max: (x + w, y + h) }
}

impl<'a> Labels<'a> {
    /// No labels yet; all are to lie within a rectangle.
    pub fn new(ink: &'a Ink, within: Rect) -> Self {
        Self { ink, book: drawing::Labels::new(frame(within)), items: Vec::new() }
    }

    /// Keeps labels off a disc.
    pub fn keep_off(&mut self, at: (f64, f64), radius_mm: f64) {
        self.book.keep_off(Place::Discs(vec![(at, radius_mm)]));
    }

    /// Keeps labels off the words of an item that is drawn over them.
    pub fn keep_off_item(&mut self, item: &Item) {
        match item {
            Item::Text(text) => {
                discs(self.ink, text).into_iter().for_each(|(at, radius_mm)| self.keep_off(at, radius_mm))
            }
            Item::Within(_, inner) | Item::Part(_, inner) => inner.iter().for_each(|item| self.keep_off_item(item)),
            Item::Shape(_) | Item::Picture(..) => {}
        }
    }

    /// Keeps labels off a line while there are other places.
    pub fn keep_off_line(&mut self, path: &[(f64, f64)]) {
        self.book.keep_off_line(path);
    }

    /// Puts a label at the first of the places where it lies on nothing, else the first where it lies on lines only;
    /// false where there is none, and it is left out.
    pub fn put(&mut self, places: impl IntoIterator<Item = Text>) -> bool {
        self.put_apart(places, 0.0)
    }

    /// The same for a label that keeps later ones so far away.
    pub fn put_apart(&mut self, places: impl IntoIterator<Item = Text>, apart_mm: f64) -> bool {
        let ink = self.ink;
        let places = places.into_iter().map(|text| (Place::Discs(discs(ink, &text)), text));
        let found = self.book.put_apart(places, apart_mm);
        let put = found.is_some();
        self.items.extend(found.map(Item::Text));
        put
    }
}

/// Discs side by side that cover a text.
fn discs(ink: &Ink, text: &Text) -> Vec<Disc> {
    let radius_mm = letter_mm(text.size_pt) / 2.0;
    let width_mm = ink.width_mm(&text.text, text.size_pt, text.bold);
    let left_mm = match text.align {
        Align::Left => 0.0,
        Align::Middle => -width_mm / 2.0,
        Align::Right => -width_mm,
    };
    let (sin, cos) = text.turned_deg.to_radians().sin_cos();
    let count = (width_mm / radius_mm).ceil().max(1.0);
    let disc = |i: usize| {
        let along_mm = left_mm + width_mm * (i as f64 + 0.5) / count;
        let (x, y) = (along_mm * cos - radius_mm * sin, -along_mm * sin - radius_mm * cos);
        ((text.at.0 + x, text.at.1 + y), radius_mm * 1.1)
    };
    (0..count as usize).map(disc).collect()
}

/// Height of figures and capitals, millimetres: 0.72 of the size of the type.
pub(crate) fn letter_mm(size_pt: f64) -> f64 {
    size_pt * POINT_MM * 0.72
}

/// The parts of a path inside a rectangle.
pub(crate) fn within(path: &[(f64, f64)], rect: Rect) -> Vec<Vec<(f64, f64)>> {
    drawing::within(path, frame(rect))
}

/// A label at every side of a place, near ones first, so many millimetres off.
pub(crate) fn around((x, y): (f64, f64), size_pt: f64, bold: bool, text: &str, off_mm: f64) -> Vec<Text> {
    let high_mm = letter_mm(size_pt);
    let side = |(right, down): (f64, f64), off_mm: f64| {
        let align = if right > 0.0 {
            Align::Left
        } else if right < 0.0 {
            Align::Right
        } else {
            Align::Middle
        };
        let at = (x + right * off_mm, y + down * (off_mm + high_mm / 2.0) + high_mm / 2.0);
        Text::new(at, size_pt, bold, align, text)
    };
    let sides =
        [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
    [1.0, 2.2, 4.0].into_iter().flat_map(|far| sides.map(|at| side(at, off_mm * far))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64, text: &str) -> Text {
        Text::new((x, y), 7.0, false, Align::Left, text)
    }

    #[test]
    fn a_label_gives_way_to_the_one_before() {
        let ink = Ink::default();
        let mut labels = Labels::new(&ink, (0.0, 0.0, 60.0, 40.0));
        assert!(labels.put([at(10.0, 10.0, "416.90")]));
        assert!(labels.put([at(12.0, 10.5, "417.35"), at(12.0, 20.0, "417.35")]));
        assert!(!labels.put([at(14.0, 10.0, "418.00")]));
        assert!(!labels.put([at(58.0, 30.0, "runs out of the frame")]));
        let places: Vec<(f64, f64)> =
            labels.items.iter().filter_map(|item| if let Item::Text(t) = item { Some(t.at) } else { None }).collect();
        assert_eq!(places, [(10.0, 10.0), (12.0, 20.0)]);
    }

    /// A turned text takes the place it is drawn on, and only that.
    #[test]
    fn a_turned_label_takes_its_own_place() {
        let ink = Ink::default();
        let mut labels = Labels::new(&ink, (0.0, 0.0, 60.0, 60.0));
        assert!(labels.put([Text { turned_deg: 90.0, ..at(20.0, 40.0, "straight up the page") }]));
        assert!(labels.put([at(24.0, 40.0, "beside")]));
        assert!(!labels.put([at(16.0, 30.0, "across")]));
    }

    /// A line is avoided where there is room beside it and written on where there is none.
    #[test]
    fn labels_keep_off_lines_if_they_can() {
        let ink = Ink::default();
        let mut labels = Labels::new(&ink, (0.0, 0.0, 60.0, 60.0));
        labels.keep_off_line(&[(0.0, 20.0), (60.0, 20.0)]);
        assert!(labels.put([at(10.0, 20.5, "on it"), at(10.0, 30.0, "beside")]));
        assert!(labels.put([at(30.0, 20.5, "on it")]));
        let texts: Vec<&str> = labels
            .items
            .iter()
            .filter_map(|item| if let Item::Text(t) = item { Some(&*t.text) } else { None })
            .collect();
        assert_eq!(texts, ["beside", "on it"]);
    }

    #[test]
    fn labels_keep_off_a_dot() {
        let ink = Ink::default();
        let mut labels = Labels::new(&ink, (0.0, 0.0, 60.0, 60.0));
        labels.keep_off((30.0, 30.0), 2.0);
        labels.put(around((30.0, 30.0), 6.0, false, "414.20", 1.0));
        let Some(Item::Text(text)) = labels.items.first() else { panic!("it found no place") };
        let apart = |((x, y), radius_mm): Disc| (x - 30.0).hypot(y - 30.0) >= 2.0 + radius_mm;
        assert!(discs(&ink, text).into_iter().all(apart), "{text:?}");
    }
}
