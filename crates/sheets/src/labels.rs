//! Where labels of a drawing go so that none lies on another.

use std::collections::HashMap;

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
    /// What no label may lie on: other labels, dots.
    taken: Discs,
    /// What a label lies on only where it must: lines.
    drawn: Discs,
    /// Labels that found their place.
    pub items: Vec<Item>,
}

impl<'a> Labels<'a> {
    /// No labels yet; all are to lie within a rectangle.
    pub fn new(ink: &'a Ink, within: Rect) -> Self {
        Self { ink, within, taken: Discs::default(), drawn: Discs::default(), items: Vec::new() }
    }

    /// Keeps labels off a disc.
    pub fn keep_off(&mut self, at: (f64, f64), radius_mm: f64) {
        self.taken.add((at, radius_mm));
    }

    /// Keeps labels off a line while there are other places.
    pub fn keep_off_line(&mut self, path: &[(f64, f64)]) {
        for pair in within(path, self.within).iter().flat_map(|part| part.windows(2)) {
            let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
            let count = (dx.hypot(dy) / LINE_STEP).ceil().max(1.0);
            let at = |i: usize| (pair[0].0 + dx * i as f64 / count, pair[0].1 + dy * i as f64 / count);
            (0..=count as usize).for_each(|i| self.drawn.add((at(i), LINE_STEP / 2.0)));
        }
    }

    /// Puts a label at the first of the places where it lies on nothing, else the first where it lies on lines only;
    /// false where there is none, and it is left out.
    pub fn put(&mut self, places: impl IntoIterator<Item = Text>) -> bool {
        self.put_apart(places, 0.0)
    }

    /// The same for a label that keeps later ones so far away.
    pub fn put_apart(&mut self, places: impl IntoIterator<Item = Text>, apart_mm: f64) -> bool {
        let places = places.into_iter().map(|text| (self.discs(&text), text));
        let mut free: Vec<(Vec<Disc>, Text)> = places.filter(|(discs, _)| self.is_free(discs)).collect();
        let clear = free.iter().position(|(discs, _)| !discs.iter().any(|disc| self.drawn.touch(disc))).unwrap_or(0);
        if free.is_empty() {
            return false;
        }
        let (discs, text) = free.swap_remove(clear);
        discs.into_iter().for_each(|(at, radius_mm)| self.taken.add((at, radius_mm.max(apart_mm / 2.0))));
        self.items.push(Item::Text(text));
        true
    }

    /// Discs side by side that cover a text.
    fn discs(&self, text: &Text) -> Vec<Disc> {
        let radius_mm = letter_mm(text.size_pt) / 2.0;
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
        discs.iter().all(|disc| inside(disc) && !self.taken.touch(disc))
    }
}

/// Discs by the square of the drawing that their centre lies in.
#[derive(Default)]
struct Discs(HashMap<(i32, i32), Vec<Disc>>);

/// Side of such a square, millimetres: no two discs reach each other over a whole one.
const SQUARE: f64 = 8.0;
/// Way between the discs along a line, millimetres.
const LINE_STEP: f64 = 0.8;

impl Discs {
    fn square((x, y): (f64, f64)) -> (i32, i32) {
        ((x / SQUARE).floor() as i32, (y / SQUARE).floor() as i32)
    }

    fn add(&mut self, disc: Disc) {
        self.0.entry(Self::square(disc.0)).or_default().push(disc);
    }

    /// True where a disc lies on one of these.
    fn touch(&self, (at, radius_mm): &Disc) -> bool {
        let (col, row) = Self::square(*at);
        let near = (col - 1..=col + 1).flat_map(|col| (row - 1..=row + 1).map(move |row| (col, row)));
        let mut near = near.filter_map(|square| self.0.get(&square)).flatten();
        near.any(|(other, other_mm)| (at.0 - other.0).hypot(at.1 - other.1) < radius_mm + other_mm)
    }
}

/// Height of figures and capitals, millimetres: 0.72 of the size of the type.
pub(crate) fn letter_mm(size_pt: f64) -> f64 {
    size_pt * POINT_MM * 0.72
}

/// The parts of a path inside a rectangle.
pub(crate) fn within(path: &[(f64, f64)], rect: Rect) -> Vec<Vec<(f64, f64)>> {
    let mut parts: Vec<Vec<(f64, f64)>> = Vec::new();
    for pair in path.windows(2) {
        let Some((from, to)) = clipped(pair[0], pair[1], rect) else { continue };
        match parts.last_mut().filter(|part| part.last() == Some(&from)) {
            Some(part) => part.push(to),
            None => parts.push(vec![from, to]),
        }
    }
    // A single place, as a path without length.
    if let [only] = path
        && clipped(*only, *only, rect).is_some()
    {
        parts.push(vec![*only]);
    }
    parts
}

/// The part of a straight piece inside a rectangle (Liang and Barsky: the share of it at which each side is passed).
fn clipped(a: (f64, f64), b: (f64, f64), (x, y, w, h): Rect) -> Option<((f64, f64), (f64, f64))> {
    let way = (b.0 - a.0, b.1 - a.1);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (step, room) in [(-way.0, a.0 - x), (way.0, x + w - a.0), (-way.1, a.1 - y), (way.1, y + h - a.1)] {
        if step == 0.0 && room < 0.0 {
            return None;
        }
        if step < 0.0 {
            from = from.max(room / step);
        } else if step > 0.0 {
            to = to.min(room / step);
        }
    }
    let at = |share: f64| match share {
        0.0 => a,
        1.0 => b,
        share => (a.0 + way.0 * share, a.1 + way.1 * share),
    };
    (from <= to).then(|| (at(from), at(to)))
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

    /// A path that comes in, goes out over the corner and comes in again; one that passes by; one right through.
    #[test]
    fn a_path_is_cut_at_the_frame() {
        let frame = (0.0, 0.0, 10.0, 10.0);
        let path = [(-5.0, 5.0), (5.0, 5.0), (5.0, -5.0), (8.0, -5.0), (8.0, 5.0)];
        let parts = [vec![(0.0, 5.0), (5.0, 5.0), (5.0, 0.0)], vec![(8.0, 0.0), (8.0, 5.0)]];
        assert_eq!(within(&path, frame), parts);
        assert!(within(&[(-5.0, 8.0), (5.0, 20.0)], frame).is_empty());
        assert_eq!(within(&[(-90.0, 5.0), (110.0, 5.0)], frame), [vec![(0.0, 5.0), (10.0, 5.0)]]);
        assert_eq!(within(&[(3.0, 3.0)], frame), [vec![(3.0, 3.0)]]);
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
        assert!(labels.discs(text).into_iter().all(apart), "{text:?}");
    }
}
