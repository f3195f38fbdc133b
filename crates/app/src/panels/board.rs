//! The drawing of a lesson under the map: a section of the ground, or one pipe at five grades.

use drawing::{Board, Form, Item, Role, Taught};
use egui::{Align2, Pos2, Rect, RichText, Sense, Ui, Vec2, vec2};
use lesson::{Drying, Topic};
use measure::{Point, Units};

use super::Sight;
use super::card::lesson::enlarge;
use crate::canvas::{Camera, LabelBook, Lens, Pen};
use crate::theme::bold;

/// Seconds that a step takes to be seen.
const STEP_S: f32 = 0.9;
/// What stands beside what is worked out for a class.
const INVENTED: &str = "Worked out for teaching, from an invented soil: an estimate. A field needs its own pits.";

/// True for a topic that has such a drawing.
pub fn is_shown(topic: Topic) -> bool {
    matches!(topic, Topic::UnderTheGround | Topic::WhatGradeDoes)
}

/// Shows it.
pub fn strip(ui: &mut Ui, sight: &mut Sight) {
    let frame = super::frame(sight, 12, 6);
    let panel =
        egui::Panel::bottom("board").frame(frame).resizable(true).default_size(390.0).size_range(180.0..=620.0);
    panel.show(ui, |ui| {
        enlarge(ui, sight.view.lesson.scale());
        let units = sight.session.plan().title.units;
        let step =
            ui.ctx().animate_value_with_time(ui.scope_id().with("step"), sight.view.lesson.step as f32, STEP_S);
        let (board, says) = match sight.view.lesson.topic {
            Topic::UnderTheGround => {
                let at = sight.view.lesson.step;
                let drying = sight.view.lesson.drying();
                (drawing::under_ground(drying, f64::from(step) * 86_400.0, units), moment_words(drying, at, units))
            }
            _ => grades(sight, step, units),
        };
        ui.horizontal_wrapped(|ui| ui.label(RichText::new(&says).font(bold(15.0 * sight.view.lesson.scale()))));
        let foot = ui.text_style_height(&egui::TextStyle::Small) + 6.0;
        let size = vec2(ui.available_width(), (ui.available_height() - foot).max(80.0));
        paint(ui, sight, &board, size, says);
        ui.label(RichText::new(INVENTED).small().color(sight.view.palette().soft_ink));
    });
}

/// The moment of the section in words.
fn moment_words(drying: &Drying, step: usize, units: Units) -> String {
    let deep = units.depth(drying.midway_m(step));
    let rain = lesson::small_words(drying.setting.rain_m, units);
    match step {
        0 => "Before the rain the water stands at the pipes.".into(),
        1 => format!("Day 0: {rain} of rain have soaked in. Midway the water stands {deep} deep."),
        step => format!("Day {}. Midway the water stands {deep} deep.", step - 1),
    }
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
fn paint(ui: &mut Ui, sight: &Sight, board: &Board, size: Vec2, says: String) {
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Canvas, true, &says));
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
    let galley = pen.painter.layout_no_wrap(item.says.clone(), font, colour);
    let hung = |at: Pos2, side: Align2| side.anchor_size(at, galley.size());
    let places: Vec<Rect> = match &item.form {
        Form::Words(at) => vec![hung(pen.lens.to_screen(*at), Align2::LEFT_BOTTOM)],
        Form::Path(points) => beside(points).map(|at| hung(pen.lens.to_screen(at), Align2::CENTER_BOTTOM)).collect(),
        _ => Vec::new(),
    };
    let first = places.first().copied();
    let is_fixed = item.role == Role::Taught(Taught::Words);
    if let Some(rect) = labels.take(places).or(first.filter(|_| is_fixed)) {
        pen.painter.galley(rect.min, galley, colour);
    }
}

/// Places along the middle of a path, the middle first.
fn beside(points: &[Point]) -> impl Iterator<Item = Point> {
    let last = points.len().saturating_sub(1) as f64;
    let at = move |share: f64| points.get((last * share) as usize).copied();
    [0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68].into_iter().filter_map(at)
}
