//! A detail drawn to scale: things in metres, drawn at the largest common scale at which they fit.

use measure::{Point, Units};

use crate::ink::Ink;
use crate::labels::{Labels, Rect, around, letter_mm};
use crate::page::{Align, Item, Shape, Stroke, Text, line_item};
use crate::scale;

/// Type of its words, points.
const WORDS_PT: f64 = 7.5;
/// Room for words round what is drawn, left and right and above and below, millimetres.
const ROOM: (f64, f64) = (30.0, 7.0);
/// Half a tick at the ends of a measure, millimetres.
const TICK: f64 = 1.0;

/// A thing of a detail, in metres: x to the right, y up.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Mark {
    /// A line.
    Line(Vec<Point>, Stroke),
    /// An area with its rim and its filling.
    Area(Vec<Point>, Option<Stroke>, Option<u8>),
    /// A measure upright at an x from a level to another, with its words.
    Up(f64, (f64, f64), String),
    /// A measure across at a level from an x to another, with its words.
    Across(f64, (f64, f64), String),
    /// Words beside a place.
    Says(Point, String),
}

/// A detail.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Sketch {
    /// What it shows.
    pub title: String,
    /// What is drawn, in this order.
    pub marks: Vec<Mark>,
    /// What is said below it.
    pub notes: Vec<String>,
}

impl Sketch {
    /// A rectangle from its lower left corner.
    pub fn rect(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), stroke: Option<Stroke>, fill: Option<u8>) {
        let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(|(x, y)| Point::new(x, y));
        self.marks.push(Mark::Area(corners.to_vec(), stroke, fill));
    }

    /// A circle.
    pub fn ring(&mut self, (x, y): (f64, f64), radius_m: f64, stroke: Option<Stroke>, fill: Option<u8>) {
        const CORNERS: i32 = 40;
        let corner = |i: i32| {
            let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / f64::from(CORNERS)).sin_cos();
            Point::new(x + radius_m * cos, y + radius_m * sin)
        };
        self.marks.push(Mark::Area((0..CORNERS).map(corner).collect(), stroke, fill));
    }

    /// A line.
    pub fn line(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        let points = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        self.marks.push(Mark::Line(points, stroke));
    }

    /// Words beside a place.
    pub fn says(&mut self, (x, y): (f64, f64), words: impl Into<String>) {
        self.marks.push(Mark::Says(Point::new(x, y), words.into()));
    }

    /// South-west and north-east corner of everything, metres.
    fn corners(&self) -> (Point, Point) {
        let ends = self.marks.iter().flat_map(|mark| match mark {
            Mark::Line(points, _) | Mark::Area(points, ..) => points.clone(),
            Mark::Up(x, (low, high), _) => vec![Point::new(*x, *low), Point::new(*x, *high)],
            Mark::Across(y, (left, right), _) => vec![Point::new(*left, *y), Point::new(*right, *y)],
            Mark::Says(at, _) => vec![*at],
        });
        measure::extent(ends).unwrap_or((Point::new(0.0, 0.0), Point::new(1.0, 1.0)))
    }

    /// The largest common scale at which it fits into so much room with its words.
    pub fn scale(&self, (w, h): (f64, f64), units: Units) -> f64 {
        let (low, high) = self.corners();
        let across = (high.x - low.x) * 1000.0 / (w - 2.0 * ROOM.0).max(10.0);
        let up = (high.y - low.y) * 1000.0 / (h - 2.0 * ROOM.1).max(10.0);
        scale::from(&scale::close_up(units), across.max(up))
    }

    /// It at a scale in the middle of a rectangle, and the words that found no room.
    pub fn drawn(&self, ink: &Ink, rect: Rect, scale: f64) -> (Vec<Item>, Vec<String>) {
        let ((low, high), mm_per_m) = (self.corners(), 1000.0 / scale);
        let (middle, (x, y, w, h)) = (measure::along(low, high, 0.5), rect);
        let place =
            |p: &Point| (x + w / 2.0 + (p.x - middle.x) * mm_per_m, y + h / 2.0 - (p.y - middle.y) * mm_per_m);
        let mut pen = Pen { items: Vec::new(), labels: Labels::new(ink, rect), left_out: Vec::new() };
        // Words keep off every line, so lines come first.
        self.marks.iter().for_each(|mark| pen.draw(mark, &place));
        self.marks.iter().for_each(|mark| pen.write(mark, &place));
        let Pen { mut items, mut labels, left_out } = pen;
        items.append(&mut labels.items);
        (items, left_out)
    }
}

struct Pen<'a> {
    items: Vec<Item>,
    labels: Labels<'a>,
    left_out: Vec<String>,
}

impl Pen<'_> {
    fn draw(&mut self, mark: &Mark, place: &dyn Fn(&Point) -> (f64, f64)) {
        let path = |points: &[Point]| points.iter().map(place).collect::<Vec<_>>();
        match mark {
            Mark::Line(points, stroke) => self.line(&path(points), stroke.clone()),
            Mark::Area(points, stroke, fill) => {
                let points = path(points);
                self.labels.keep_off_line(&points);
                self.items.push(Item::Shape(Shape { points, closed: true, stroke: stroke.clone(), fill: *fill }));
            }
            Mark::Up(x, (low, high), _) => {
                let (below, above) = (place(&Point::new(*x, *low)), place(&Point::new(*x, *high)));
                self.measure(below, above, (TICK, 0.0));
            }
            Mark::Across(y, (left, right), _) => {
                let (from, to) = (place(&Point::new(*left, *y)), place(&Point::new(*right, *y)));
                self.measure(from, to, (0.0, TICK));
            }
            Mark::Says(..) => {}
        }
    }

    fn line(&mut self, path: &[(f64, f64)], stroke: Stroke) {
        self.labels.keep_off_line(path);
        self.items.push(line_item(path, stroke));
    }

    /// A line with a tick across each end.
    fn measure(&mut self, from: (f64, f64), to: (f64, f64), (dx, dy): (f64, f64)) {
        self.line(&[from, to], Stroke::black(0.15));
        for (x, y) in [from, to] {
            self.items.push(line_item(&[(x - dx, y - dy), (x + dx, y + dy)], Stroke::black(0.4)));
        }
    }

    fn write(&mut self, mark: &Mark, place: &dyn Fn(&Point) -> (f64, f64)) {
        let (at, words) = match mark {
            Mark::Up(x, (low, high), words) => (place(&Point::new(*x, (low + high) / 2.0)), words),
            Mark::Across(y, (left, right), words) => (place(&Point::new((left + right) / 2.0, *y)), words),
            Mark::Says(at, words) => (place(at), words),
            Mark::Line(..) | Mark::Area(..) => return,
        };
        let places: Vec<Text> = match mark {
            Mark::Up(..) => beside(at, words),
            Mark::Across(..) => over(at, words),
            _ => around(at, WORDS_PT, false, words, 1.2),
        };
        if !words.is_empty() && !self.labels.put(places) {
            self.left_out.push(words.clone());
        }
    }
}

/// Places beside an upright measure: left and right of it, then lower and higher.
fn beside((x, y): (f64, f64), words: &str) -> Vec<Text> {
    let high_mm = letter_mm(WORDS_PT);
    let side = |down_mm: f64| {
        [(x - 1.4, Align::Right), (x + 1.4, Align::Left)]
            .map(|(x, align)| Text::new((x, y + high_mm / 2.0 + down_mm), WORDS_PT, false, align, words))
    };
    [0.0, 3.4, -3.4, 6.8, -6.8, 10.2, -10.2].into_iter().flat_map(side).collect()
}

/// Places over and under a measure across.
fn over((x, y): (f64, f64), words: &str) -> Vec<Text> {
    let high_mm = letter_mm(WORDS_PT);
    [-1.2, high_mm + 1.2, -4.6, high_mm + 4.6]
        .map(|down_mm| Text::new((x, y + down_mm), WORDS_PT, false, Align::Middle, words))
        .to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pipe of a foot across measures an inch at 1 inch = 1 foot: the scale is 1 in 12.
    #[test]
    fn a_known_length_measures_what_it_should() {
        let mut sketch = Sketch::default();
        sketch.line(&[(0.0, 0.0), (0.3048, 0.0)], Stroke::black(0.3));
        sketch.marks.push(Mark::Across(0.1, (0.0, 0.3048), "1.00 ft".into()));
        let scale = sketch.scale((90.0, 60.0), Units::Feet);
        assert_eq!(scale, 12.0);
        let ink = Ink::default();
        let (items, left_out) = sketch.drawn(&ink, (0.0, 0.0, 90.0, 60.0), scale);
        let Some(Item::Shape(line)) = items.first() else { panic!("no line") };
        assert!((line.points[1].0 - line.points[0].0 - 25.4).abs() < 1e-9);
        assert!(left_out.is_empty());
        assert_eq!(sketch.scale((90.0, 60.0), Units::Metric), 20.0, "30 mm are left for 305 mm");
    }
}
