//! The lessons on paper: what each explains, its pictures, its question and its exercises; the answers stand on pages of
//! their own, so that the rest can be set as an exam.

use drawing::{Board, Form, Item as Thing, Role, Taught};
use lesson::{Exercise, Topic};
use measure::Point;

use super::boards::{Seen, Show, shows};
use super::{LessonWork, number};
use crate::book::{Book, MARGIN, caution_foot, number as number_pages};
use crate::edition::Edition;
use crate::flow::{Flow, Pages};
use crate::ink::Ink;
use crate::labels::Rect;
use crate::look::{Look, Sign, look};
use crate::page::{Align, Item, Page, Paper, Part, Shape, Stroke, dot, line_item, text_item};

/// Height of a head over its rule, and of the foot, millimetres.
const HEAD: f64 = 10.0;
const FOOT: f64 = 3.5;
/// Type of the matter, points.
const BODY_PT: f64 = 10.5;
/// Height of a picture, millimetres.
const PICTURE: f64 = 72.0;
/// Room under an exercise to work it out, millimetres.
const ROOM: f64 = 20.0;
/// Radius of a pore, millimetres.
const PORE: f64 = 0.55;

/// Pages without a plan's head: their name over a rule, the cautions at the foot.
#[derive(Default)]
pub(crate) struct Plain {
    ink: Ink,
}

/// The lessons as pages.
pub fn lesson_book(work: &LessonWork, paper: Paper) -> Book {
    let class = Plain::default();
    let size_mm = paper.standing_mm();
    let mut pages: Vec<Page> = work.topics.iter().flat_map(|topic| class.lesson(work, *topic, size_mm)).collect();
    pages.extend(class.answers(work, size_mm));
    number_pages(&mut pages);
    let edition = Edition { title: "Lessons".into(), ..Edition::default() };
    Book { title: "Why low ground gets a pipe".into(), as_of: None, pages, edition }
}

impl Pages for Plain {
    fn page(&self, size_mm: (f64, f64), sheet: &str) -> (Page, Rect) {
        let mut page = Page::new(size_mm);
        let right = size_mm.0 - MARGIN;
        page.text((MARGIN, MARGIN + 6.0), 15.0, true, Align::Left, sheet);
        page.part_since(0, Part::Heading(1));
        let rule_mm = MARGIN + HEAD;
        page.line(&[(MARGIN, rule_mm), (right, rule_mm)], Stroke::black(0.5));
        let foot_mm = caution_foot(&mut page, &self.ink);
        page.part_since(1, Part::Aside);
        let top_mm = rule_mm + 2.0;
        (page, (MARGIN, top_mm, size_mm.0 - 2.0 * MARGIN, foot_mm - FOOT - top_mm))
    }

    fn ink(&self) -> &Ink {
        &self.ink
    }
}

impl Plain {
    fn lesson(&self, work: &LessonWork, topic: Topic, size_mm: (f64, f64)) -> Vec<Page> {
        let lesson = lesson::lesson(topic);
        let mut flow = Flow::new(self, size_mm, &format!("Lesson {}. {}", number(topic), topic.name()));
        flow.paragraph(&lesson.explains.join(" "), 11.5, false);
        if let Some(show) = shows(work, topic).first() {
            self.pictures(&mut flow, show);
        }
        flow.paragraph(topic.caution(), 8.5, false);
        flow.heading("Question");
        flow.paragraph(lesson.question.asks, BODY_PT, true);
        for (letter, answer) in ["A", "B", "C"].iter().zip(lesson.question.answers) {
            flow.paragraph(&format!("{letter}   {}", answer.words), BODY_PT, false);
        }
        flow.heading("Exercises");
        for (k, exercise) in lesson::exercises(topic, work.units).iter().enumerate() {
            flow.paragraph(&format!("{}.   {}", k + 1, exercise.asks), BODY_PT, false);
            flow.gap(ROOM);
        }
        flow.finish()
    }

    /// The pictures that stand on paper.
    fn pictures(&self, flow: &mut Flow, show: &Show) {
        let is_map = show.frames.iter().any(|frame| frame.seen == Seen::Always);
        for step in show.paper {
            let frames = show.frames.iter().filter(|frame| match frame.seen {
                Seen::Always => true,
                Seen::At(at) => at == step,
                Seen::From(from) => from <= step,
            });
            let frames: Vec<_> = frames.collect();
            let says =
                frames.iter().map(|frame| frame.says.as_str()).find(|says| !says.is_empty()).unwrap_or_default();
            let boards: Vec<&Board> = frames.iter().map(|frame| &frame.board).collect();
            let told = format!("{}: {says}", show.name);
            flow.drawing(PICTURE, &told, |page, rect| {
                draw(page, &boards, fitted(rect, is_map.then_some(show.shape)))
            });
            flow.paragraph(says, 9.5, true);
        }
    }

    fn answers(&self, work: &LessonWork, size_mm: (f64, f64)) -> Vec<Page> {
        let mut flow = Flow::new(self, size_mm, "Answers");
        for topic in work.topics {
            let lesson = lesson::lesson(*topic);
            flow.heading(&format!("Lesson {}. {}", number(*topic), topic.name()));
            let letter = ["A", "B", "C"].get(lesson.question.right).copied().unwrap_or_default();
            let why = lesson.question.answers.get(lesson.question.right).map_or("", |answer| answer.why);
            flow.paragraph(&format!("Question: {letter}. {why}"), BODY_PT, false);
            lesson::exercises(*topic, work.units).iter().enumerate().for_each(|(k, one)| answered(&mut flow, k, one));
        }
        flow.heading("Cautions");
        flow.paragraph(plan::CAUTION, 9.0, false);
        flow.finish()
    }
}

fn answered(flow: &mut Flow, k: usize, exercise: &Exercise) {
    flow.paragraph(&format!("{}.   {}", k + 1, exercise.working), 9.5, false);
    flow.paragraph(&format!("= {}", exercise.answer), BODY_PT, true);
}

/// The rectangle of a picture in the room it has: a map keeps its shape.
fn fitted((x, y, w, h): Rect, shape: Option<f64>) -> Rect {
    let Some(shape) = shape else { return (x, y, w, h) };
    let wide = w.min(h / shape);
    (x + (w - wide) / 2.0, y, wide, wide * shape)
}

/// Draws boards over each other into a rectangle.
fn draw(page: &mut Page, boards: &[&Board], rect: Rect) {
    let mut items = Vec::new();
    for board in boards {
        let pen = Pen { rect };
        board.on((rect.2, rect.3)).items.iter().for_each(|thing| pen.draw(thing, &mut items));
    }
    page.items.push(Item::Within(rect, items));
    page.rect(rect, Some(Stroke::grey(0.2, 120)), None);
}

/// Puts things of a board on paper.
struct Pen {
    rect: Rect,
}

impl Pen {
    fn place(&self, at: &Point) -> (f64, f64) {
        (self.rect.0 + at.x, self.rect.1 + self.rect.3 - at.y)
    }

    fn path(&self, points: &[Point]) -> Vec<(f64, f64)> {
        points.iter().map(|at| self.place(at)).collect()
    }

    fn draw(&self, thing: &Thing, items: &mut Vec<Item>) {
        let look = look(thing.role);
        match &thing.form {
            Form::Path(points) => {
                items.extend(look.stroke.clone().map(|stroke| line_item(&self.path(points), stroke)))
            }
            Form::Ring(points) => {
                let points = self.path(points);
                items.push(Item::Shape(Shape { points, closed: true, stroke: look.stroke.clone(), fill: None }));
            }
            Form::Strip(lower, upper) => {
                let points = self.path(&lower.iter().chain(upper.iter().rev()).copied().collect::<Vec<_>>());
                items.push(Item::Shape(Shape { points, closed: true, stroke: None, fill: look.fill }));
            }
            Form::Sign(at, _) => self.sign(thing.role, &look, self.place(at), items),
            _ => {}
        }
        self.words(thing, &look, items);
    }

    fn sign(&self, role: Role, look: &Look, at: (f64, f64), items: &mut Vec<Item>) {
        let radius_mm = match role {
            Role::Taught(Taught::AirPore | Taught::WaterPore) => PORE,
            Role::Taught(Taught::Leaves) => 2.4,
            Role::Taught(Taught::Drain) => 1.8,
            _ => 0.9,
        };
        if let Sign::Dot(fill) = look.sign {
            items.push(dot(at, radius_mm, fill));
        }
    }

    fn words(&self, thing: &Thing, look: &Look, items: &mut Vec<Item>) {
        let (at, align) = match &thing.form {
            _ if thing.says.is_empty() => return,
            Form::Words(at) => (self.place(at), Align::Left),
            Form::Path(points) if thing.role == Role::Taught(Taught::FormerTable) => {
                let Some(at) = points.get(points.len() * 4 / 9) else { return };
                (self.place(at), Align::Middle)
            }
            _ => return,
        };
        // The middle of the letters stands on the place.
        items.push(text_item((at.0, at.1 + look.type_pt * 0.12), look.type_pt, false, align, thing.says.clone()));
    }
}
