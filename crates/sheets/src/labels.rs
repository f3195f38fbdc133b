//! Where labels of a drawing go so that none lies on another.

use crate::ink::{Ink, POINT_MM};
use crate::page::{Align, Item, Text};

/// A left edge, a top edge, a width and a height, millimetres.
pub(crate) type Rect = (f64, f64, f64, f64);

/// A place that something takes, as a disc: centre and radius, millimetres.
type Disc = ((f64, f64), f64);

/// Labels of one drawing. The most important are to be put first: who comes later gives way.
pub(crate) struct Labels<'a> {
    ink: &'a Ink,
    within: Rect,
    taken: Vec<Disc>,
    /// Labels that found their place.
    pub items: Vec<Item>,
}

impl<'a> Labels<'a> {
    /// No labels yet; all are to lie within a rectangle.
    pub fn new(ink: &'a Ink, within: Rect) -> Self {
        Self { ink, within, taken: Vec::new(), items: Vec::new() }
    }

    /// Keeps labels off a disc.
    pub fn keep_off(&mut self, at: (f64, f64), radius_mm: f64) {
        self.taken.push((at, radius_mm));
    }

    /// Puts a label at the first of the places where it lies on nothing; false where there is none, and it is left out.
    pub fn put(&mut self, places: impl IntoIterator<Item = Text>) -> bool {
        let free = places.into_iter().map(|text| (self.discs(&text), text)).find(|(discs, _)| self.is_free(discs));
        let Some((discs, text)) = free else { return false };
        self.taken.extend(discs);
        self.items.push(Item::Text(text));
        true
    }

    /// Discs side by side that cover a text.
    fn discs(&self, text: &Text) -> Vec<Disc> {
        // Figures and capitals of the typeface stand 0.72 of its size high.
        let radius_mm = text.size_pt * POINT_MM * 0.72 / 2.0;
        let width_mm = self.ink.width_mm(&text.text, text.size_pt, text.bold);
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

    fn is_free(&self, discs: &[Disc]) -> bool {
        let (x, y, w, h) = self.within;
        let inside = |((px, py), r): &Disc| px - r >= x && px + r <= x + w && py - r >= y && py + r <= y + h;
        let apart = |(a, ra): &Disc, (b, rb): &Disc| (a.0 - b.0).hypot(a.1 - b.1) >= ra + rb;
        discs.iter().all(|disc| inside(disc) && self.taken.iter().all(|other| apart(disc, other)))
    }
}

/// A label at every side of a place, near ones first, so many millimetres off.
pub(crate) fn around((x, y): (f64, f64), size_pt: f64, bold: bool, text: &str, off_mm: f64) -> Vec<Text> {
    let high_mm = size_pt * POINT_MM * 0.72;
    let side = |(right, down): (f64, f64), off_mm: f64| {
        let align = if right > 0.0 {
            Align::Left
        } else if right < 0.0 {
            Align::Right
        } else {
            Align::Middle
        };
        let at = (x + right * off_mm, y + down * (off_mm + high_mm / 2.0) + high_mm / 2.0);
        Text { at, size_pt, bold, align, turned_deg: 0.0, text: text.to_string() }
    };
    let sides =
        [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
    [1.0, 2.2, 4.0].into_iter().flat_map(|far| sides.map(|at| side(at, off_mm * far))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64, text: &str) -> Text {
        Text { at: (x, y), size_pt: 7.0, bold: false, align: Align::Left, turned_deg: 0.0, text: text.into() }
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

    #[test]
    fn labels_keep_off_a_dot() {
        let ink = Ink::default();
        let mut labels = Labels::new(&ink, (0.0, 0.0, 60.0, 60.0));
        labels.keep_off((30.0, 30.0), 2.0);
        labels.put(around((30.0, 30.0), 6.0, false, "414.20", 1.0));
        let Some(Item::Text(text)) = labels.items.first() else { panic!("it found no place") };
        assert!((text.at.0 - 30.0).abs() > 1.0);
    }
}
