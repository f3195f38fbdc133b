//! The print preview: the pages of the sheets as data, the same that are written as PDF, page by page.

use std::sync::Arc;

use egui::epaint::{PathShape, PathStroke, TextShape};
use egui::{
    Color32, Event, Key, Painter, Pos2, Rect, Response, RichText, ScrollArea, Sense, Shape, Stroke, Ui, WidgetInfo,
};
use egui::{pos2, vec2};
use sheets::{Align, Book, Item, Page, Paper, Text, Tongue};

use super::Sight;
use super::dialog::{Dialog, title};
use crate::command::Command;
use crate::theme::{bold, plain, printed};
use crate::view::View;
use crate::wish::Wish;
use measure::Units;

/// Millimetres of a point of type.
const POINT_MM: f32 = 25.4 / 72.0;
/// Lines are at least so wide on the screen, points.
const THINNEST: f32 = 0.7;

/// The pages that are looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct PreviewAsk {
    /// The pages.
    pub book: Arc<Book>,
    /// The one that is shown, from 0.
    pub page: usize,
    /// True where it is as wide as there is room for, false where all of it is in sight.
    pub wide: bool,
}

/// Shows it; `None` once it is left.
pub fn show(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>, mut ask: Box<PreviewAsk>) -> Option<Dialog> {
    let count = ask.book.pages.len();
    turn(ui, &mut ask, count);
    title(ui, &ask.book.title);
    let mut leave = false;
    ui.horizontal_wrapped(|ui| {
        if ui.add_enabled(ask.page > 0, egui::Button::new("Previous page")).clicked() {
            ask.page -= 1;
        }
        ui.label(format!("page {} of {count}", ask.page + 1));
        if ui.add_enabled(ask.page + 1 < count, egui::Button::new("Next page")).clicked() {
            ask.page += 1;
        }
        ui.checkbox(&mut ask.wide, "Page width");
        leave = choices(ui, sight, wishes);
        if ui.button("Write PDF…").clicked() {
            wishes.push(Wish::Run(Command::WriteSheets));
            leave = true;
        }
        leave |= ui.button("Close").clicked();
    });
    if let Some(page) = ask.book.pages.get(ask.page) {
        let room = vec2(ui.available_width(), ui.ctx().content_rect().height() - 180.0);
        sheet(ui, page, (room, ask.wide), ask.page);
    }
    (!leave).then_some(Dialog::Preview(ask))
}

/// Page keys turn pages, Home and End go to the first and the last, W changes how large a page is.
fn turn(ui: &Ui, ask: &mut PreviewAsk, count: usize) {
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    let last = count.saturating_sub(1);
    ask.page = match () {
        () if pressed(Key::PageDown) => (ask.page + 1).min(last),
        () if pressed(Key::PageUp) => ask.page.saturating_sub(1),
        () if pressed(Key::Home) => 0,
        () if pressed(Key::End) => last,
        () => ask.page.min(last),
    };
    ask.wide ^= ui.input(|input| input.events.iter().any(|event| matches!(event, Event::Text(text) if text == "w")));
}

/// The papers: what is usual for the units until one is picked. True where another was.
pub fn papers(ui: &mut Ui, view: &mut View, units: Units) -> bool {
    let now = view.paper.unwrap_or(Paper::usual(units));
    let mut picked = now;
    for (paper, name) in Paper::ALL {
        let upper = if name.starts_with('a') { name.to_uppercase() } else { name.to_string() };
        ui.selectable_value(&mut picked, paper, upper);
    }
    let other = picked != now;
    view.paper = view.paper.or(other.then_some(picked)).map(|_| picked);
    other
}

/// The languages in which the crew may read cut sheets and field page. True where another was picked.
pub fn tongues(ui: &mut Ui, view: &mut View) -> bool {
    let now = view.tongue;
    ui.label("Crew reads");
    for tongue in Tongue::ALL {
        ui.selectable_value(&mut view.tongue, tongue, tongue.name())
            .on_hover_text("Cut sheets and field page; plan sheet and lists stay English");
    }
    view.tongue != now
}

/// Paper, language and units: what is printed follows, so the pages are made anew.
fn choices(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) -> bool {
    let units = sight.session.plan().title.units;
    let other_paper = papers(ui, sight.view, units) | tongues(ui, sight.view);
    let switched = ui.button(if units.is_metric() { "Switch to feet" } else { "Switch to meters" }).clicked();
    if switched {
        wishes.push(Wish::Run(Command::Units));
    }
    let anew = switched || other_paper;
    if anew {
        wishes.push(Wish::Run(Command::Preview));
    }
    anew
}

/// One page as it is printed.
fn sheet(ui: &mut Ui, page: &Page, (room, wide): (egui::Vec2, bool), number: usize) -> Response {
    let (width_mm, height_mm) = (page.width_mm as f32, page.height_mm as f32);
    let to_width = (room.x - 24.0) / width_mm;
    let scale = if wide { to_width } else { to_width.min((room.y - 12.0) / height_mm) };
    let scroll = ScrollArea::both().id_salt(("sheet", number, wide)).max_height(room.y).auto_shrink(false);
    scroll
        .show(ui, |ui| {
            ui.add_space(4.0);
            let (rect, response) = ui.allocate_exact_size(vec2(width_mm, height_mm) * scale, Sense::hover());
            let says = page.texts().join("\n");
            response.widget_info(|| WidgetInfo::labeled(egui::Role::Image, true, &says));
            let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
            painter.rect_filled(rect, 0.0, printed(255));
            let press = Press { painter: &painter, origin: rect.min, scale };
            page.items.iter().for_each(|item| press.item(item));
            response
        })
        .inner
}

/// What puts a page on the screen.
struct Press<'a> {
    painter: &'a Painter,
    origin: Pos2,
    /// Screen points a millimetre.
    scale: f32,
}

impl Press<'_> {
    fn at(&self, (x, y): (f64, f64)) -> Pos2 {
        self.origin + vec2(x as f32, y as f32) * self.scale
    }

    fn rect(&self, (x, y, w, h): (f64, f64, f64, f64)) -> Rect {
        Rect::from_min_max(self.at((x, y)), self.at((x + w, y + h)))
    }

    fn item(&self, item: &Item) {
        match item {
            Item::Text(text) => self.text(text),
            Item::Shape(shape) => self.shape(shape),
            Item::Picture(rect, _) => {
                self.painter.rect_filled(self.rect(*rect), 0.0, printed(225));
            }
            Item::Within(rect, inner) => {
                let clip = self.rect(*rect).intersect(self.painter.clip_rect());
                let painter = self.painter.with_clip_rect(clip);
                let press = Press { painter: &painter, ..*self };
                inner.iter().for_each(|item| press.item(item));
            }
            Item::Part(_, inner) => inner.iter().for_each(|item| self.item(item)),
        }
    }

    fn text(&self, text: &Text) {
        let size = text.size_pt as f32 * POINT_MM * self.scale;
        let font = if text.bold { bold(size) } else { plain(size) };
        let color = printed(text.grey);
        let galley = self.painter.layout_no_wrap(text.text.clone(), font, color);
        let row = galley.rows.first();
        let baseline = row.and_then(|row| Some(row.pos.y + row.glyphs.first()?.pos.y)).unwrap_or(galley.size().y);
        let back = match text.align {
            Align::Left => 0.0,
            Align::Middle => galley.size().x / 2.0,
            Align::Right => galley.size().x,
        };
        let angle = -(text.turned_deg as f32).to_radians();
        let corner = self.at(text.at) - egui::emath::Rot2::from_angle(angle) * vec2(back, baseline);
        self.painter.add(TextShape::new(corner, galley, color).with_angle(angle));
    }

    fn shape(&self, shape: &sheets::Shape) {
        let mut points: Vec<Pos2> = shape.points.iter().map(|at| self.at(*at)).collect();
        if let Some(fill) = shape.fill {
            self.fill(&points, printed(fill));
        }
        let Some(pen) = &shape.stroke else { return };
        let stroke = Stroke::new((pen.width_mm as f32 * self.scale).max(THINNEST), printed(pen.grey));
        if pen.dash_mm.len() < 2 {
            let closed = shape.closed;
            let fill = Color32::TRANSPARENT;
            self.painter.add(PathShape { points, closed, fill, stroke: PathStroke::from(stroke) });
            return;
        }
        points.extend(points.first().copied().filter(|_| shape.closed));
        let turn = |odd: usize| {
            pen.dash_mm.iter().skip(odd).step_by(2).map(|mm| (*mm as f32 * self.scale).max(0.5)).collect::<Vec<f32>>()
        };
        self.painter.extend(Shape::dashed_line_with_offset(&points, stroke, &turn(0), &turn(1), 0.0));
    }

    /// Fills what a ring goes round, also where it bends inward.
    fn fill(&self, ring: &[Pos2], color: Color32) {
        let mut mesh = egui::Mesh::default();
        ring.iter().for_each(|at| mesh.colored_vertex(*at, color));
        triangles(ring).into_iter().for_each(|[a, b, c]| mesh.add_triangle(a, b, c));
        self.painter.add(Shape::mesh(mesh));
    }
}

/// A ring in triangles, ear by ear.
fn triangles(ring: &[Pos2]) -> Vec<[u32; 3]> {
    let turn = |a: Pos2, b: Pos2, c: Pos2| (b - a).rot90().dot(c - a);
    let area: f32 = (0..ring.len()).map(|i| turn(pos2(0.0, 0.0), ring[i], ring[(i + 1) % ring.len()])).sum();
    let mut left: Vec<u32> = (0..ring.len() as u32).collect();
    let mut triangles = Vec::new();
    while left.len() > 2 {
        let at = |i: usize| ring[left[i % left.len()] as usize];
        let is_ear = |i: &usize| {
            let (a, b, c) = (at(i + left.len() - 1), at(*i), at(i + 1));
            let outward = turn(a, b, c) * area;
            let inside = |p: Pos2| [(a, b), (b, c), (c, a)].iter().all(|(from, to)| turn(*from, *to, p) * area > 0.0);
            outward >= 0.0 && !left.iter().any(|other| inside(ring[*other as usize]))
        };
        // A ring that crosses itself has no ear left in the end: any corner will do.
        let ear = (0..left.len()).find(is_ear).unwrap_or(0);
        let count = left.len();
        triangles.push([left[(ear + count - 1) % count], left[ear], left[(ear + 1) % count]]);
        left.remove(ear);
    }
    triangles
}

/// The words on the card that open it.
pub fn button(ui: &mut Ui, wishes: &mut Vec<Wish>) {
    if ui.button(RichText::new("Print preview…")).on_hover_text("The pages as they are printed").clicked() {
        wishes.push(Wish::Run(Command::Preview));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The triangles of a ring have its area, also of one that bends inward and of one that turns the other way.
    #[test]
    fn a_ring_is_filled_and_nothing_beside_it() {
        let hook = [(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (4.0, 6.0), (4.0, 2.0), (0.0, 2.0)].map(|(x, y)| pos2(x, y));
        let mut back = hook;
        back.reverse();
        for ring in [hook, back] {
            let area = |[a, b, c]: [u32; 3]| {
                let [a, b, c] = [a, b, c].map(|i| ring[i as usize]);
                ((b - a).rot90().dot(c - a) / 2.0).abs()
            };
            let all: f32 = triangles(&ring).into_iter().map(area).sum();
            assert!((all - 20.0).abs() < 1e-4, "{all}");
        }
        assert!(triangles(&[]).is_empty());
    }
}
