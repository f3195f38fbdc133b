//! Where words go so that none lies on another: one routine for every pen, in the pen's own units.

use std::collections::HashMap;

/// A place that something takes, as a disc: centre and radius.
pub type Disc = ((f64, f64), f64);

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Left and upper edge.
    pub min: (f64, f64),
    /// Right and lower edge.
    pub max: (f64, f64),
}

impl Frame {
    fn touches(&self, other: &Self) -> bool {
        let meets = |a: (f64, f64), b: (f64, f64)| a.0 <= b.1 && b.0 <= a.1;
        meets((self.min.0, self.max.0), (other.min.0, other.max.0))
            && meets((self.min.1, self.max.1), (other.min.1, other.max.1))
    }

    fn touches_disc(&self, ((x, y), radius): &Disc) -> bool {
        let (dx, dy) = (x - x.clamp(self.min.0, self.max.0), y - y.clamp(self.min.1, self.max.1));
        dx.hypot(dy) < *radius
    }

    fn holds(&self, min: (f64, f64), max: (f64, f64)) -> bool {
        self.min.0 <= min.0 && max.0 <= self.max.0 && self.min.1 <= min.1 && max.1 <= self.max.1
    }
}

/// What a text or a sign takes.
#[derive(Debug, Clone, PartialEq)]
pub enum Place {
    /// An upright rectangle.
    Box(Frame),
    /// Discs side by side, for what may be turned.
    Discs(Vec<Disc>),
}

/// The words of one drawing. The most important are to be put first: who comes later gives way.
#[derive(Debug, Clone)]
pub struct Labels {
    within: Frame,
    /// What no words may lie on: other words, signs.
    boxes: Vec<Frame>,
    taken: Discs,
    /// What words lie on only where they must: lines.
    drawn: Discs,
}

impl Labels {
    /// No words yet; all are to lie within a rectangle.
    pub fn new(within: Frame) -> Self {
        Self { within, boxes: Vec::new(), taken: Discs::default(), drawn: Discs::default() }
    }

    /// The rectangle in which all words lie.
    pub fn within(&self) -> Frame {
        self.within
    }

    /// Keeps words off a place.
    pub fn keep_off(&mut self, place: Place) {
        self.take(place, 0.0);
    }

    /// Keeps words off a line while there are other places.
    pub fn keep_off_line(&mut self, path: &[(f64, f64)]) {
        for pair in within(path, self.within).iter().flat_map(|part| part.windows(2)) {
            let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
            let count = (dx.hypot(dy) / LINE_STEP).ceil().max(1.0);
            let at = |i: usize| (pair[0].0 + dx * i as f64 / count, pair[0].1 + dy * i as f64 / count);
            (0..=count as usize).for_each(|i| self.drawn.add((at(i), LINE_STEP / 2.0)));
        }
    }

    /// Puts words at the first of the places where they lie on nothing, else the first where they lie on lines only, and
    /// answers what stands for that place; `None` where there is none, and they are left out.
    pub fn put<T>(&mut self, places: impl IntoIterator<Item = (Place, T)>) -> Option<T> {
        self.put_apart(places, 0.0)
    }

    /// The same for words in discs that keep later ones so far away.
    pub fn put_apart<T>(&mut self, places: impl IntoIterator<Item = (Place, T)>, apart: f64) -> Option<T> {
        let mut second = None;
        for (place, stands) in places {
            if !self.is_inside(&place) || !self.is_free(&place) {
                continue;
            }
            if !self.is_on_line(&place) {
                self.take(place, apart);
                return Some(stands);
            }
            second = second.or(Some((place, stands)));
        }
        let (place, stands) = second?;
        self.take(place, apart);
        Some(stands)
    }

    /// True where no words and no sign lie yet.
    pub fn is_free(&self, place: &Place) -> bool {
        match place {
            Place::Box(frame) => !self.boxes.iter().any(|other| other.touches(frame)) && !self.taken.touch_box(frame),
            Place::Discs(discs) => {
                let boxed = |disc: &Disc| self.boxes.iter().any(|other| other.touches_disc(disc));
                !discs.iter().any(|disc| self.taken.touch(disc) || boxed(disc))
            }
        }
    }

    fn is_inside(&self, place: &Place) -> bool {
        let inside = |((x, y), r): &Disc| self.within.holds((x - r, y - r), (x + r, y + r));
        match place {
            Place::Box(frame) => self.within.holds(frame.min, frame.max),
            Place::Discs(discs) => discs.iter().all(inside),
        }
    }

    fn is_on_line(&self, place: &Place) -> bool {
        match place {
            Place::Box(frame) => self.drawn.touch_box(frame),
            Place::Discs(discs) => discs.iter().any(|disc| self.drawn.touch(disc)),
        }
    }

    fn take(&mut self, place: Place, apart: f64) {
        match place {
            Place::Box(frame) => self.boxes.push(frame),
            Place::Discs(discs) => {
                discs.into_iter().for_each(|(at, radius)| self.taken.add((at, radius.max(apart / 2.0))));
            }
        }
    }
}

/// Discs by the square of the drawing that their centre lies in.
#[derive(Debug, Clone, Default)]
struct Discs(HashMap<(i32, i32), Vec<Disc>>);

/// Side of such a square: no two discs reach each other over a whole one.
const SQUARE: f64 = 8.0;
/// Way between the discs along a line.
const LINE_STEP: f64 = 0.8;

impl Discs {
    fn square((x, y): (f64, f64)) -> (i32, i32) {
        ((x / SQUARE).floor() as i32, (y / SQUARE).floor() as i32)
    }

    fn add(&mut self, disc: Disc) {
        self.0.entry(Self::square(disc.0)).or_default().push(disc);
    }

    /// The discs in two squares and all between them, and in those around.
    fn near(&self, low: (i32, i32), high: (i32, i32)) -> impl Iterator<Item = &Disc> {
        let squares =
            (low.0 - 1..=high.0 + 1).flat_map(move |col| (low.1 - 1..=high.1 + 1).map(move |row| (col, row)));
        squares.filter_map(|square| self.0.get(&square)).flatten()
    }

    /// True where a disc lies on one of these.
    fn touch(&self, (at, radius): &Disc) -> bool {
        let square = Self::square(*at);
        self.near(square, square).any(|(other, r)| (at.0 - other.0).hypot(at.1 - other.1) < radius + r)
    }

    fn touch_box(&self, frame: &Frame) -> bool {
        !self.0.is_empty()
            && self.near(Self::square(frame.min), Self::square(frame.max)).any(|disc| frame.touches_disc(disc))
    }
}

/// The parts of a path inside a rectangle.
pub fn within(path: &[(f64, f64)], frame: Frame) -> Vec<Vec<(f64, f64)>> {
    let mut parts: Vec<Vec<(f64, f64)>> = Vec::new();
    for pair in path.windows(2) {
        let Some((from, to)) = clipped(pair[0], pair[1], frame) else { continue };
        match parts.last_mut().filter(|part| part.last() == Some(&from)) {
            Some(part) => part.push(to),
            None => parts.push(vec![from, to]),
        }
    }
    // A single place, as a path without length.
    if let [only] = path
        && clipped(*only, *only, frame).is_some()
    {
        parts.push(vec![*only]);
    }
    parts
}

/// The part of a straight piece inside a rectangle (Liang and Barsky: the share of it at which each side is passed).
fn clipped(a: (f64, f64), b: (f64, f64), frame: Frame) -> Option<((f64, f64), (f64, f64))> {
    let way = (b.0 - a.0, b.1 - a.1);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let rooms = [
        (-way.0, a.0 - frame.min.0),
        (way.0, frame.max.0 - a.0),
        (-way.1, a.1 - frame.min.1),
        (way.1, frame.max.1 - a.1),
    ];
    for (step, room) in rooms {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn square(side: f64) -> Frame {
        Frame { min: (0.0, 0.0), max: (side, side) }
    }

    /// A path that comes in, goes out over the corner and comes in again; one that passes by; one right through.
    #[test]
    fn a_path_is_cut_at_the_frame() {
        let frame = square(10.0);
        let path = [(-5.0, 5.0), (5.0, 5.0), (5.0, -5.0), (8.0, -5.0), (8.0, 5.0)];
        let parts = [vec![(0.0, 5.0), (5.0, 5.0), (5.0, 0.0)], vec![(8.0, 0.0), (8.0, 5.0)]];
        assert_eq!(within(&path, frame), parts);
        assert!(within(&[(-5.0, 8.0), (5.0, 20.0)], frame).is_empty());
        assert_eq!(within(&[(-90.0, 5.0), (110.0, 5.0)], frame), [vec![(0.0, 5.0), (10.0, 5.0)]]);
        assert_eq!(within(&[(3.0, 3.0)], frame), [vec![(3.0, 3.0)]]);
    }

    fn at(x: f64, y: f64) -> Place {
        Place::Box(Frame { min: (x, y), max: (x + 10.0, y + 3.0) })
    }

    #[test]
    fn words_give_way_to_those_before_and_to_signs() {
        let mut labels = Labels::new(square(60.0));
        labels.keep_off(Place::Discs(vec![((25.0, 20.0), 2.0)]));
        assert_eq!(labels.put([(at(10.0, 10.0), "first")]), Some("first"));
        assert_eq!(
            labels.put([(at(12.0, 11.0), "on it"), (at(22.0, 19.0), "on the sign"), (at(12.0, 30.0), "free")]),
            Some("free")
        );
        assert_eq!(labels.put([(at(55.0, 30.0), "runs out")]), None);
        assert!(!labels.is_free(&Place::Discs(vec![((11.0, 11.0), 0.5)])));
    }

    /// A line is avoided where there is room beside it and written on where there is none.
    #[test]
    fn lines_are_kept_off_if_they_can_be() {
        let mut labels = Labels::new(square(60.0));
        labels.keep_off_line(&[(0.0, 20.0), (60.0, 20.0)]);
        assert_eq!(labels.put([(at(10.0, 18.5), "on it"), (at(10.0, 30.0), "beside")]), Some("beside"));
        assert_eq!(labels.put([(at(30.0, 18.5), "on it")]), Some("on it"));
    }
}
