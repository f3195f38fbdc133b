//! The drawing of a lesson under the map: a section of the ground, or one pipe at five grades.

use drawing::{Board, Form, Item, Role, Taught};
use egui::{Align2, Frame, Panel, RichText, Sense, Ui, Vec2, vec2};
use lesson::Topic;
use measure::{Point, Units};

use super::card::lesson::enlarge;
use super::{Sight, room_up};
use crate::canvas::{Camera, LabelBook, Lens, Pen};
use crate::theme::bold;

/// Seconds that a step takes to be seen.
const STEP_S: f32 = 0.9;

/// True for a topic that has such a drawing.
pub fn is_shown(topic: Topic) -> bool {
    matches!(topic, Topic::UnderTheGround | Topic::WhatGradeDoes)
}

/// Shows it.
pub fn strip(ui: &mut Ui, sight: &mut Sight) {
    let frame = super::frame(12, 6);
    let (name, usual) = if sight.view.lesson.large { ("large board", 470.0) } else { ("board", 390.0) };
    let panel = Panel::bottom(name)
        .frame(frame)
        .resizable(true)
        .default_size(room_up(ui.ctx(), usual, 0.7))
        .size_range(room_up(ui.ctx(), 180.0, 0.5)..=620.0);
    panel.show(ui, |ui| {
        enlarge(ui, sight.view.lesson.scale());
        let units = sight.session.plan().title.units;
        let step =
            ui.ctx().animate_value_with_time(ui.scope_id().with("step"), sight.view.lesson.step as f32, STEP_S);
        let (board, says) = match sight.view.lesson.topic {
            Topic::UnderTheGround => {
                let at = sight.view.lesson.step;
                let drying = sight.view.lesson.drying();
                (
                    drawing::under_ground(drying, f64::from(step) * measure::DAY_S, units),
                    drying.moment_words(at, units),
                )
            }
            _ => grades(sight, step, units),
        };
        ui.horizontal_wrapped(|ui| ui.label(RichText::new(&says).font(bold(15.0 * sight.view.lesson.scale()))));
        let keys = keys(sight.view.lesson.topic, sight.view.lesson.step);
        Panel::bottom("foot of the board").frame(Frame::NONE).show_separator_line(false).show(ui, |ui| {
            ui.spacing_mut().interact_size.y = 0.0;
            ui.horizontal_wrapped(|ui| keys.iter().for_each(|(what, word)| key(ui, sight, *what, word)));
            ui.label(RichText::new(sight.view.lesson.topic.caution()).small().color(sight.view.palette().soft_ink));
        });
        let size = ui.available_size();
        paint(ui, sight, &board, size);
    });
}

/// What the signs of a drawing mean.
fn keys(topic: Topic, step: usize) -> &'static [(Taught, &'static str)] {
    match topic {
        Topic::UnderTheGround => &[
            (Taught::AirPore, "pore with air; the soil round it still holds water"),
            (Taught::WaterPore, "pore full of water"),
            (Taught::RootDepth, "roots want air above"),
        ],
        Topic::WhatGradeDoes if step < Topic::WhatGradeDoes.steps() => {
            &[(Taught::SiltLine, "faster water carries silt out")]
        }
        _ => &[],
    }
}

/// A sign and what it means.
fn key(ui: &mut Ui, sight: &Sight, what: Taught, word: &str) {
    let side = ui.text_style_height(&egui::TextStyle::Small);
    let (rect, _) = ui.allocate_exact_size(vec2(side * 1.6, side), Sense::hover());
    let (left, middle, right) = (Point::new(0.0, 0.0), Point::new(0.5, 0.0), Point::new(1.0, 0.0));
    let form = match what {
        Taught::AirPore | Taught::WaterPore => Form::Sign(middle, middle),
        _ => Form::Path(vec![left, right].into()),
    };
    let camera = Camera { centre: middle, scale: f64::from(rect.width()) };
    let pen = Pen {
        painter: ui.painter(),
        lens: Lens { camera, rect },
        palette: sight.view.palette(),
        session: sight.session,
        view: sight.view,
    };
    pen.draw(&drawing::Scene { time_s: None, items: vec![Item::new(Role::Taught(what), form)] });
    ui.label(RichText::new(word).small());
}

/// One pipe at five grades; at the last step its dip.
fn grades(sight: &Sight, step: f32, units: Units) -> (Board<'static>, String) {
    let teaching = &sight.view.lesson;
    if teaching.step == Topic::WhatGradeDoes.steps() {
        let dip = teaching.dip;
        let says =
            format!("A dip of {} at {}.", lesson::small_words(dip.sunk_m, units), lesson::grade_words(dip.grade));
        return (drawing::pipe_with_dip(dip, teaching.pipe.inside_m, units), says);
    }
    let says = format!("So far runs the water of a full {} pipe in one second.", units.pipe(teaching.pipe.inside_m));
    (drawing::pipe_at_grades(teaching.pipe, f64::from(step), units), says)
}

/// Paints a drawing into a rectangle of the window.
fn paint(ui: &mut Ui, sight: &Sight, board: &Board, size: Vec2) {
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::Canvas, true, format!("Drawing of {}", sight.view.lesson.topic.name()))
    });
    let palette = sight.view.palette();
    let painter = ui.painter().with_clip_rect(rect);
    painter.rect_filled(rect, 2.0, palette.paper);
    let scene = board.on((size.x.into(), size.y.into()));
    let camera = Camera { centre: Point::new(f64::from(size.x) / 2.0, f64::from(size.y) / 2.0), scale: 1.0 };
    let pen =
        Pen { painter: &painter, lens: Lens { camera, rect }, palette, session: sight.session, view: sight.view };
    pen.draw(&scene);
    let mut labels = LabelBook::new(rect);
    scene.items.iter().for_each(|item| write(&pen, item, &mut labels));
    painter.rect_stroke(rect, 2.0, (1.0, palette.edge), egui::StrokeKind::Inside);
}

/// Writes the words of a thing: what explains stands where it was put, days where they lie on nothing.
fn write(pen: &Pen, item: &Item, labels: &mut LabelBook) {
    if item.says.is_empty() {
        return;
    }
    let look = pen.palette.look(item.role);
    let (colour, mut font) = look.words();
    font.size *= pen.view.lesson.scale();
    match &item.form {
        Form::Words(at) => {
            pen.painter.text(pen.lens.to_screen(*at), Align2::LEFT_CENTER, &item.says, font, colour);
        }
        Form::Path(points) => {
            let places: Vec<_> = beside(points).map(|at| (pen.lens.to_screen(at), Align2::CENTER_CENTER)).collect();
            labels.write(pen, &places, (&item.says, font, colour), |_| true);
        }
        _ => {}
    }
}

/// Places along the middle of a path, the middle first.
fn beside(points: &[Point]) -> impl Iterator<Item = Point> {
    let last = points.len().saturating_sub(1) as f64;
    let at = move |share: f64| points.get((last * share) as usize).copied();
    [0.44, 0.56, 0.4, 0.6, 0.5, 0.36, 0.64].into_iter().filter_map(at)
}
