//! Large jobs: plan sheets in parts at a scale at which lettering can be read, with match lines, neighbors and a key map.

use measure::Point;

use crate::book::Making;
use crate::labels::Rect;
use crate::page::{Align, Item, Page, Shape, Stroke, Text, line_item, text_item};
use crate::plan_sheet::{Map, map_rect};
use crate::scale;

/// The coarsest scale at which lettering can be read: 1 inch = 200 feet or 1:2,500 (own choice: laterals 50 ft or 15 m apart
/// stand 6 mm from each other, and type of 7.5 points is 2 mm high).
const READABLE: [f64; 2] = [2400.0, 2500.0];
/// Lines stand this far apart on paper at least, millimetres: a letter's height and as much again (own choice).
const APART: f64 = 4.0;
/// What a part shows beyond its match lines, and beyond the last of what is drawn, millimetres: room for the words at a line.
const BEYOND: f64 = 5.0;
const EDGE: f64 = 3.0;
/// Most parts; beyond them the scale goes up (own choice).
const MOST_PARTS: usize = 60;

/// A part of the plan on a sheet of its own.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SheetPart {
    /// Its number, from 1.
    pub number: usize,
    /// South-west and north-east corner of what lies between its match lines, metres.
    pub corners: (Point, Point),
    /// Column from the west and row from the north.
    cell: (usize, usize),
}

/// The parts of a job, and their scale.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Parts {
    pub scale: f64,
    pub parts: Vec<SheetPart>,
}

/// A side of a part: what it is called, and the way to the cell beyond.
const SIDES: [(&str, (isize, isize)); 4] =
    [("north", (0, -1)), ("east", (1, 0)), ("south", (0, 1)), ("west", (-1, 0))];

impl Parts {
    /// The part beyond a side.
    fn beyond(&self, part: &SheetPart, (dx, dy): (isize, isize)) -> Option<&SheetPart> {
        let cell = (part.cell.0.checked_add_signed(dx)?, part.cell.1.checked_add_signed(dy)?);
        self.parts.iter().find(|other| other.cell == cell)
    }

    /// "north part 2, east part 4".
    fn neighbors(&self, part: &SheetPart) -> String {
        let named = SIDES
            .iter()
            .filter_map(|(side, way)| self.beyond(part, *way).map(|other| format!("{side} part {}", other.number)));
        named.collect::<Vec<_>>().join(", ")
    }
}

impl Making<'_> {
    /// The plan sheets: the whole, and its parts where the whole is too small to be read.
    pub(crate) fn plan_sheets(&self) -> Vec<Page> {
        let Some(parts) = self.sheet_parts() else { return vec![self.plan_sheet()] };
        let count = parts.parts.len();
        let over = |making: &Self, map: &Map| making.outlines(map, &parts, None);
        let aside = |making: &Self, page: &mut Page, at: (f64, f64, f64)| making.parts_told(page, at, &parts);
        let whole = self.sheet_on("Plan", &|rect| self.map(rect, std::iter::empty()), &over, &aside);
        let sheet = |part: &SheetPart| {
            let title = format!("Plan, part {} of {count}", part.number);
            self.part_sheet(&title, &parts, part)
        };
        std::iter::once(whole).chain(parts.parts.iter().map(sheet)).collect()
    }

    /// The parts that the job needs; `None` where the whole can be read.
    pub(crate) fn sheet_parts(&self) -> Option<Parts> {
        let rect = map_rect(self.page(self.work.paper.lying_mm(), "Plan").1);
        let whole = self.map(rect, std::iter::empty());
        let mut scale = self.readable_scale();
        if whole.scale() <= scale {
            return None;
        }
        let scales = scale::of_maps(self.work.plan.title.units);
        loop {
            let parts = self.parts_at(rect, scale);
            if parts.len() <= MOST_PARTS || scale >= whole.scale() {
                return (parts.len() > 1).then_some(Parts { scale, parts });
            }
            scale = scale::from(&scales, scale * 1.01);
        }
    }

    /// False on a key map, whose parts have the findings.
    pub(crate) fn numbers_findings(&self, map: &Map) -> bool {
        map.scale() <= self.readable_scale() || self.sheet_parts().is_none()
    }

    /// New line of the plan, metres.
    pub(crate) fn new_line_m(&self) -> f64 {
        self.work.plan.lines.values().filter(|line| !line.kind.is_old()).map(plan::Line::length_m).sum()
    }

    /// The coarsest common scale at which lettering can be read and lines stand apart.
    pub(crate) fn readable_scale(&self) -> f64 {
        let plan = self.work.plan;
        let most = READABLE[usize::from(plan.title.units.is_metric())];
        let new_m = self.new_line_m();
        // On average lines lie so far apart as the field is wide for their length.
        let apart_m = plan.field.as_ref().filter(|_| new_m > 0.0).map(|field| field.area_m2() / new_m);
        let most = apart_m.map_or(most, |apart_m| most.min(apart_m * 1000.0 / APART));
        let scales = scale::of_maps(plan.title.units);
        scales.iter().copied().rfind(|scale| *scale <= most).unwrap_or(scales[0])
    }

    /// Parts side by side that together cover everything that is drawn; those over nothing are left out.
    fn parts_at(&self, (.., w, h): Rect, scale: f64) -> Vec<SheetPart> {
        let m = |mm: f64| mm * scale / 1000.0;
        let (low, high) = self.corners(std::iter::empty());
        let across = ends((low.x, high.x), (m(w), m(BEYOND), m(EDGE)));
        let up = ends((low.y, high.y), (m(h), m(BEYOND), m(EDGE)));
        let mut parts = Vec::new();
        for (row, up) in up.windows(2).rev().enumerate() {
            for (column, across) in across.windows(2).enumerate() {
                let corners = (Point::new(across[0], up[0]), Point::new(across[1], up[1]));
                if self.is_drawn_in(corners) {
                    parts.push(SheetPart { number: parts.len() + 1, corners, cell: (column, row) });
                }
            }
        }
        parts
    }

    /// True where field, lines or outlets lie in a rectangle.
    fn is_drawn_in(&self, (low, high): (Point, Point)) -> bool {
        let plan = self.work.plan;
        let frame = drawing::Frame { min: (low.x, low.y), max: (high.x, high.y) };
        let passes = |path: &[Point]| {
            let path: Vec<(f64, f64)> = path.iter().map(|p| (p.x, p.y)).collect();
            !drawing::within(&path, frame).is_empty()
        };
        let field = plan.field.iter().any(|field| {
            measure::ring_holds(&field.ring, measure::along(low, high, 0.5)) || passes(&measure::closed(&field.ring))
        });
        let holds = |at: Point| (low.x..=high.x).contains(&at.x) && (low.y..=high.y).contains(&at.y);
        field || plan.lines.values().any(|line| passes(&line.points)) || plan.outlets.values().any(|o| holds(o.at))
    }

    fn part_sheet(&self, title: &str, parts: &Parts, part: &SheetPart) -> Page {
        let (low, high) = part.corners;
        let map = |rect: Rect| Map::at(rect, measure::along(low, high, 0.5), parts.scale);
        let over = |making: &Self, map: &Map| making.match_lines(map, parts, part);
        let aside = |making: &Self, page: &mut Page, at: (f64, f64, f64)| making.key_map(page, at, parts, part);
        self.sheet_on(title, &map, &over, &aside)
    }

    /// The match lines of a part, each with the number of the part beyond.
    fn match_lines(&self, map: &Map, parts: &Parts, part: &SheetPart) -> Vec<Item> {
        let (low, high) = part.corners;
        let ((left, bottom), (right, top)) = (map.place(low), map.place(high));
        let lines = [
            ([(left, top), (right, top)], 0.0, ((left + right) / 2.0, top - 1.2)),
            ([(right, top), (right, bottom)], -90.0, (right + 1.2, (top + bottom) / 2.0)),
            ([(left, bottom), (right, bottom)], 0.0, ((left + right) / 2.0, bottom + 3.4)),
            ([(left, top), (left, bottom)], 90.0, (left - 1.2, (top + bottom) / 2.0)),
        ];
        let mut items = Vec::new();
        for ((_, way), (line, turned_deg, at)) in SIDES.iter().zip(lines) {
            let Some(other) = parts.beyond(part, *way) else { continue };
            items.push(line_item(&line, Stroke::dashed(0.6, &[7.0, 1.5, 1.5, 1.5])));
            let words = format!("MATCH LINE, see plan part {}", other.number);
            items.push(self.behind(&words, at, turned_deg));
            items.push(Item::Text(Text { turned_deg, ..Text::new(at, 8.0, true, Align::Middle, words) }));
        }
        items
    }

    /// White ground behind words on the map.
    fn behind(&self, words: &str, (x, y): (f64, f64), turned_deg: f64) -> Item {
        let (half_mm, (sin, cos)) =
            (self.ink.width_mm(words, 8.0, true) / 2.0 + 0.8, turned_deg.to_radians().sin_cos());
        let corner = |(along, up): (f64, f64)| (x + along * cos - up * sin, y - along * sin - up * cos);
        let points = [(-half_mm, -0.8), (half_mm, -0.8), (half_mm, 2.6), (-half_mm, 2.6)].map(corner).to_vec();
        Item::Shape(Shape { points, closed: true, stroke: None, fill: Some(255) })
    }

    /// Where every part lies, with its number; one of them shaded.
    fn outlines(&self, map: &Map, parts: &Parts, shaded: Option<usize>) -> Vec<Item> {
        let outline = |part: &SheetPart| {
            let ((left, bottom), (right, top)) = (map.place(part.corners.0), map.place(part.corners.1));
            let points = vec![(left, top), (right, top), (right, bottom), (left, bottom)];
            let fill = (shaded == Some(part.number)).then_some(205);
            let frame = Shape { points, closed: true, stroke: Some(Stroke::dashed(0.35, &[4.0, 1.5])), fill };
            let size_pt = if shaded.is_some() { 8.0 } else { 14.0 };
            let at = ((left + right) / 2.0, (top + bottom) / 2.0 + 1.2);
            [Item::Shape(frame), text_item(at, size_pt, true, Align::Middle, part.number.to_string())]
        };
        parts.parts.iter().flat_map(outline).collect()
    }

    /// On the whole plan: which parts there are, and at which scale; answers where that ends.
    fn parts_told(&self, page: &mut Page, (x, y, w): (f64, f64, f64), parts: &Parts) -> f64 {
        let scale = scale::words(parts.scale, self.work.plan.title.units);
        let words = format!(
            "KEY MAP. Read the parts 1 to {}, dashed here, on sheets of their own at {scale}.",
            parts.parts.len()
        );
        let mut y_mm = y;
        for line in self.ink.wrap(&words, 8.0, true, w) {
            y_mm += 3.6;
            page.text((x, y_mm), 8.0, true, Align::Left, line);
        }
        y_mm + 2.0
    }

    /// The key map beside a part: all parts and the field, this one shaded, and its neighbors; answers where it ends.
    fn key_map(&self, page: &mut Page, (x, y, w): (f64, f64, f64), parts: &Parts, part: &SheetPart) -> f64 {
        const HIGH: f64 = 24.0;
        page.text((x, y + 3.0), 9.0, true, Align::Left, "Key map of the parts");
        let rect = (x, y + 5.0, w, HIGH);
        let all = parts.parts.iter().flat_map(|part| [part.corners.0, part.corners.1]);
        let map = Map::fitted(rect, measure::extent(all).unwrap_or(part.corners), 2.0);
        let mut items = self.outlines(&map, parts, Some(part.number));
        if let Some(field) = &self.work.plan.field {
            items.push(line_item(&map.path(&measure::closed(&field.ring)), Stroke::black(0.3)));
        }
        page.items.push(Item::Within(rect, items));
        page.rect(rect, Some(Stroke::black(0.2)), None);
        let mut y_mm = y + 5.0 + HIGH;
        for line in self.ink.wrap(&format!("Joins {}.", parts.neighbors(part)), 7.5, false, w) {
            y_mm += 3.6;
            page.text((x, y_mm), 7.5, false, Align::Left, line);
        }
        y_mm + 2.0
    }
}

/// The ends of parts beside each other that together reach from one place to another. The first and the last show less than the
/// others beyond their outer end, where nothing follows, and so reach farther; all in the unit of the places.
fn ends((low, high): (f64, f64), (whole, beyond, edge): (f64, f64, f64)) -> Vec<f64> {
    let (inner, outer) = (whole - 2.0 * beyond, beyond - edge);
    let count = ((high - low - 2.0 * outer) / inner).ceil().max(1.0) as usize;
    let first = (low + high - count as f64 * inner) / 2.0;
    let aside = |i: usize| match i {
        0 => -outer,
        i if i == count => outer,
        _ => 0.0,
    };
    (0..=count).map(|i| first + i as f64 * inner + aside(i)).collect()
}
