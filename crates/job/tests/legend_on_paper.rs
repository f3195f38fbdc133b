//! The legend of a plan sheet holds the signs that are drawn on it, all of them and no other, on every demo field.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::collections::BTreeSet;

use job::handing::{self, PaperWish};
use job::{Progress, Worked, demo, ground};
use measure::Units;
use plan::Plan;
use sheets::{Item, Page, Paper, Shape, Stroke, Text};

/// A sign or a line as a reader of the paper tells it from others.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Ink {
    Arrow,
    /// A cross in a ring.
    Barred,
    /// A number in a box, on such a ground.
    Box(u8),
    /// A cross of the grid.
    Cross,
    Dot(u8),
    Square,
    Ticks,
    Triangle,
    /// A line of such a width in hundredths of a millimeter, such a grey and such dashes.
    Line(i64, u8, String),
}

fn line(stroke: &Stroke) -> Ink {
    Ink::Line((stroke.width_mm * 100.0).round() as i64, stroke.grey, format!("{:?}", stroke.dash_mm))
}

type Rect = (f64, f64, f64, f64);

/// Left, top, width and height, millimeters.
fn extent(shape: &Shape) -> Rect {
    let [x, y] = [|p: &(f64, f64)| p.0, |p: &(f64, f64)| p.1].map(|of| {
        let values = || shape.points.iter().map(of);
        (values().fold(f64::MAX, f64::min), values().fold(f64::MIN, f64::max))
    });
    (x.0, y.0, x.1 - x.0, y.1 - y.0)
}

fn middle(shape: &Shape) -> (f64, f64) {
    let (x, y, wide, high) = extent(shape);
    (x + wide / 2.0, y + high / 2.0)
}

fn holds((x, y, wide, high): Rect, at: (f64, f64)) -> bool {
    (x..=x + wide).contains(&at.0) && (y..=y + high).contains(&at.1)
}

/// What a shape is read as; `None` for what stands behind other things only.
fn read(shape: &Shape) -> Option<Ink> {
    let (.., wide_mm, high_mm) = extent(shape);
    let long_mm = wide_mm.hypot(high_mm);
    Some(match (shape.points.len(), shape.closed, &shape.stroke, shape.fill) {
        (16, true, Some(_), Some(fill)) if long_mm < 3.0 => Ink::Dot(fill),
        (3, true, None, Some(0)) => Ink::Arrow,
        (3, true, Some(_), Some(255)) if long_mm < 5.0 => Ink::Triangle,
        (4, true, Some(_), Some(255)) if (wide_mm - 2.8).abs() < 1e-6 && (high_mm - 2.8).abs() < 1e-6 => Ink::Square,
        (4, true, Some(_), Some(fill @ (0 | 255))) if long_mm < 12.0 => Ink::Box(fill),
        (2, false, Some(stroke), _) if stroke.width_mm < 0.25 && long_mm < 2.5 && stroke.grey > 0 => Ink::Cross,
        (2, false, Some(stroke), _) if stroke.width_mm <= 0.3 && long_mm < 2.1 && stroke.dash_mm.is_empty() => {
            Ink::Ticks
        }
        (_, _, Some(stroke), _) => line(stroke),
        _ => return None,
    })
}

fn signs<'i>(items: impl IntoIterator<Item = &'i Item>) -> BTreeSet<Ink> {
    let sign = |item: &Item| match item {
        Item::Shape(shape) => read(shape),
        // The only sign of two things.
        Item::Within(..) => Some(Ink::Barred),
        _ => None,
    };
    items.into_iter().filter_map(sign).collect()
}

/// The map of a sheet and what is drawn on it.
fn on_map(page: &Page) -> (Rect, BTreeSet<Ink>) {
    let within =
        |item: &'_ Item| if let Item::Within(rect, items) = item { Some((*rect, signs(items))) } else { None };
    page.flat().into_iter().find_map(within).unwrap()
}

/// The samples of the legend, row by row, each with its word.
fn in_legend(page: &Page, right_mm: f64) -> Vec<(String, BTreeSet<Ink>)> {
    let texts = page.flat().into_iter().filter_map(Item::as_text);
    let beside: Vec<&Text> = texts.filter(|text| text.at.0 > right_mm).collect();
    let at = |words: &str| beside.iter().find(|text| text.text == words).unwrap().at;
    let ((x, top), (word_x, foot)) = (at("Legend"), at("easting and northing"));
    let words = beside.iter().filter(|text| text.at.0 == word_x && text.at.1 > top && text.at.1 <= foot);
    let row = |word: &&Text| {
        let rect = (x - 0.1, word.at.1 - 1.7, 14.3, 1.4);
        let is_in = |item: &&Item| match item {
            Item::Shape(shape) => holds(rect, middle(shape)),
            Item::Within((left, top, wide, high), _) => holds(rect, (left + wide / 2.0, top + high / 2.0)),
            _ => false,
        };
        (word.text.clone(), signs(page.flat().into_iter().filter(is_in)))
    };
    words.map(row).collect()
}

/// The pipe on which a sample lies is no sign by itself.
fn alone((word, mut signs): (String, BTreeSet<Ink>)) -> BTreeSet<Ink> {
    if signs.len() > 1 {
        signs.remove(&line(&Stroke::black(0.5)));
    }
    assert!(!signs.is_empty(), "'{word}' has no sample");
    signs
}

fn hold(plan: Plan, paper: Paper) {
    let land = ground::open_plan(&plan, None, &Progress::default()).unwrap();
    let worked = Worked::of(plan, &land);
    let book = handing::book(&worked, &PaperWish { paper, ..PaperWish::default() });
    let page = book.pages.iter().find(|page| page.texts().contains(&"Legend")).unwrap();
    let ((x, _, wide, _), mut drawn) = on_map(page);
    // Frames of the parts have their word beside the map.
    if page.texts().iter().any(|text| text.starts_with("KEY MAP")) {
        drawn.remove(&line(&Stroke { width_mm: 0.35, dash_mm: vec![4.0, 1.5], grey: 0 }));
    }
    let rows = in_legend(page, x + wide);
    let words: BTreeSet<&String> = rows.iter().map(|(word, _)| word).collect();
    assert_eq!(words.len(), rows.len(), "a word stands once: {rows:?}");
    let told: BTreeSet<Ink> = rows.into_iter().flat_map(alone).collect();
    let (missing, idle): (Vec<_>, Vec<_>) = (drawn.difference(&told).collect(), told.difference(&drawn).collect());
    let name = &worked.plan.title.name;
    assert!(missing.is_empty() && idle.is_empty(), "{name}: drawn, not told {missing:?}; told, not drawn {idle:?}");
}

#[test]
fn the_legend_holds_what_is_drawn_and_no_more() {
    for field in [demo::first_plan, demo::second_plan, demo::ten_mistakes] {
        for (units, paper) in [(Units::Feet, Paper::Letter), (Units::Metric, Paper::A3)] {
            let mut plan = field().unwrap();
            plan.title.units = units;
            hold(plan, paper);
        }
    }
}
