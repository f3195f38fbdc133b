//! The title sheet: a sketch of the vicinity from the ground at hand, the title block at large, tickets, revisions, the index.

use drawing::{Form, Layer, MarkSort, Role, Scene};
use measure::Point;

use crate::book::Making;
use crate::labels::{Labels, Rect};
use crate::page::{Align, Item, Page, Part, Shape, Stroke};
use crate::plan_sheet::{Map, drawn};
use crate::scale;
use crate::sheet_index::Entry;

/// Share of the width that the sketch takes.
const SKETCH: f64 = 0.56;
/// Revisions that are listed, the last ones.
const MOST_REVISIONS: usize = 5;
/// From row to row of the lists, millimetres, and their type, points.
const ROW: f64 = 4.2;
const ROW_PT: f64 = 8.0;

/// What the sketch shows.
const LAYERS: [Layer; 5] = [Layer::Contours, Layer::Boundary, Layer::Watercourses, Layer::Marks, Layer::Outlets];

/// True for what tells where the field lies.
const fn is_shown(role: Role) -> bool {
    !matches!(role, Role::Contour | Role::Mark(_)) || matches!(role, Role::Mark(MarkSort::Road))
}

impl Making<'_> {
    /// The title sheet of a set with that index.
    pub(crate) fn title_sheet(&self, index: &[Entry]) -> Page {
        let (mut page, (x, y, w, h)) = self.page(self.work.paper.lying_mm(), "Title sheet");
        self.vicinity(&mut page, (x, y, w * SKETCH, h - 2.0));
        let column = (x + w * SKETCH + 6.0, w * (1.0 - SKETCH) - 6.0);
        let first = page.items.len();
        let mut y_mm = self.draw_title_rows(&mut page, (column.0, y, column.1)) + 2.0;
        let tickets = std::iter::once(self.ticket_words()).chain(self.utility_tickets());
        y_mm = self.lines(&mut page, (column.0, y_mm, column.1), "Locate tickets", tickets.collect());
        y_mm = self.lines(&mut page, (column.0, y_mm, column.1), "Revisions", self.revision_rows());
        page.part_since(first, Part::Paragraph);
        self.draw_index(&mut page, (column.0, y_mm, column.1, y + h - 2.0), index);
        page
    }

    /// Lines under a heading, broken; answers where they end.
    fn lines(&self, page: &mut Page, (x, y, w): (f64, f64, f64), heading: &str, lines: Vec<String>) -> f64 {
        let mut y_mm = y + 6.0;
        page.text((x, y_mm), 10.0, true, Align::Left, heading);
        for line in lines.iter().flat_map(|line| self.ink.wrap(line, ROW_PT, false, w)) {
            y_mm += ROW;
            page.text((x, y_mm), ROW_PT, false, Align::Left, line);
        }
        y_mm + 2.0
    }

    /// The last revisions, the newest first: letter, day, who and why.
    fn revision_rows(&self) -> Vec<String> {
        let revisions = &self.work.plan.revisions;
        if revisions.is_empty() {
            return vec!["None issued yet".into()];
        }
        let row = |revision: &plan::Revision| {
            let signed = &revision.signed;
            format!("{}  {}  {}: {}", revision.letter, signed.on, signed.by, signed.because)
        };
        revisions.iter().rev().take(MOST_REVISIONS).map(row).collect()
    }

    fn draw_index(&self, page: &mut Page, (x, y, w, bottom): Rect, index: &[Entry]) {
        let first = page.items.len();
        let mut y_mm = y + 6.0;
        page.text((x, y_mm), 10.0, true, Align::Left, "Sheets");
        page.text((x + w, y_mm), ROW_PT, false, Align::Right, "pages");
        let room = ((bottom - y_mm) / ROW) as usize;
        let most = if index.len() > room { room.saturating_sub(1) } else { room };
        for entry in index.iter().take(most) {
            y_mm += ROW;
            let pages = entry.pages_words();
            let width_mm = w - self.ink.width_mm(&pages, ROW_PT, false) - 3.0;
            let title = self.cut_short(&entry.title, ROW_PT, false, width_mm);
            page.text((x, y_mm), ROW_PT, false, Align::Left, title);
            page.text((x + w, y_mm), ROW_PT, false, Align::Right, pages);
        }
        if index.len() > most {
            let more = format!("and {} more", index.len() - most);
            page.text((x, y_mm + ROW), ROW_PT, false, Align::Left, more);
        }
        page.part_since(first, Part::Paragraph);
    }

    /// The whole ground at hand with the field on it.
    fn vicinity(&self, page: &mut Page, (x, y, w, h): Rect) {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let rect = (x, y, w, h - 12.0);
        let ground = self.work.contours.iter().flat_map(|contour| contour.points.iter().copied());
        let map = self.map(rect, ground);
        let scene = self.map_of().scene(&LAYERS);
        let shown = Scene { items: scene.items.into_iter().filter(|thing| is_shown(thing.role)).collect(), ..scene };
        let mut items: Vec<Item> = plan.field.iter().map(|field| shaded(&map, &field.ring)).collect();
        items.extend(drawn(&map, &shown).0.into_iter().map(thinned));
        let mut labels = Labels::new(&self.ink, rect);
        self.keep_off_north(&map, &mut labels);
        for thing in &shown.items {
            if let Form::Sign(at, _) = thing.form {
                labels.keep_off(map.place(at), 1.6);
            }
        }
        if let Some(field) = &plan.field {
            labels.put(crate::labels::around(map.place(field.middle()), 9.0, true, &plan.title.name, 0.0));
        }
        let names = self.map_of().labels(&[Layer::Outlets, Layer::Watercourses, Layer::Marks, Layer::Contours]);
        for label in names.iter().filter(|label| is_shown(label.role)) {
            labels.put(self.places(&map, label, &label.name));
        }
        items.append(&mut labels.items);
        let first = page.items.len();
        page.items.push(Item::Within(rect, items));
        page.rect(rect, Some(Stroke::black(0.5)), None);
        crate::plan_sheet::north(page, rect);
        let words =
            format!("Vicinity sketch of {}: the ground at hand with the field shaded, north up", plan.title.name);
        page.part_since(first, Part::Figure(words));
        let said = format!("Vicinity, {}. The field is shaded.", scale::words(map.scale(), units));
        page.text((x, y + h - 7.0), 9.0, true, Align::Left, self.cut_short(&said, 9.0, true, w));
        page.text((x, y + h - 2.5), 7.5, false, Align::Left, self.sketch_words());
    }

    /// What the sketch is drawn from.
    fn sketch_words(&self) -> String {
        let units = self.work.plan.title.units;
        match crate::title_block::interval_m(self.work.contours) {
            None => "No ground at hand: the sketch shows the plan alone.".into(),
            Some(interval_m) => {
                let every = measure::trimmed(interval_m * 5.0 / units.length_unit().metres(), 0, 2);
                let unit = if units.is_metric() { "meters" } else { "feet" };
                format!("From the ground of the plan, contours every {every} {unit}. Not surveyed beyond it.")
            }
        }
    }
}

fn shaded(map: &Map, ring: &[Point]) -> Item {
    Item::Shape(Shape { points: map.path(ring), closed: true, stroke: None, fill: Some(218) })
}

/// A line without places nearer to each other than a pen is wide.
fn thinned(item: Item) -> Item {
    const PEN_MM: f64 = 0.15;
    let Item::Shape(Shape { points, closed, stroke, fill }) = item else { return item };
    let mut kept: Vec<(f64, f64)> = Vec::new();
    let last = points.last().copied();
    for point in points {
        let far = |from: &(f64, f64)| (point.0 - from.0).hypot(point.1 - from.1) >= PEN_MM;
        if kept.last().is_none_or(far) || Some(point) == last {
            kept.push(point);
        }
    }
    Item::Shape(Shape { points: kept, closed, stroke, fill })
}
