//! The Lesson stage: what a lesson explains, what can be moved in it, and its question. Type can be made large, so that the
//! back row reads it; a key or a button goes on and back.

mod grade;
mod ground;
mod guess;
mod rain;

use egui::{Button, FontId, Frame, Panel, RichText, Slider, SliderClamping, Ui, vec2};
use lesson::{GRADES, Lesson, Topic};

use super::super::{Sight, room, scrolling, wide};
use crate::command::{Command, ToolKind};
use crate::theme::{bold, plain};
use crate::view::Teaching;
use crate::wish::Wish;

/// Height of the buttons, points: large enough to be hit from beside a projector.
const LARGE: f32 = 40.0;

/// The lessons to choose from.
pub fn list(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    ui.label(RichText::new("Lessons").font(plain(12.0)).color(sight.view.palette().soft_ink));
    for topic in Topic::ALL {
        if wide(ui, sight.view.lesson.topic == topic, RichText::new(topic.name())).clicked() {
            wishes.push(Wish::Teach(topic));
        }
    }
}

/// Shows the card: what goes on and back always stands at its foot.
pub fn show(ui: &mut Ui, sight: &mut Sight, frame: Frame, wishes: &mut Vec<Wish>) {
    let large = sight.view.lesson.large;
    let kept = sight.view.panels.lesson.unwrap_or(364.0);
    let (name, usual) = if large { ("large lesson", 450.0) } else { ("lesson", kept) };
    let ctx = ui.ctx();
    let sizes = room(ctx, 300.0, 0.42)..=room(ctx, 620.0, 0.6);
    let panel = Panel::right(name).frame(frame).resizable(true);
    let shown = panel.default_size(room(ctx, usual, 0.45)).size_range(sizes).show(ui, |ui| {
        enlarge(ui, sight.view.lesson.scale());
        Panel::bottom("steps").frame(Frame::NONE).show_separator_line(false).show(ui, |ui| {
            ui.add_space(6.0);
            steps(ui, sight, wishes);
            ui.horizontal(|ui| {
                ui.checkbox(&mut sight.view.lesson.large, "Large type");
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    if ui.button("Write lessons…").clicked() {
                        wishes.push(Wish::Run(Command::WriteLesson));
                    }
                });
            });
        });
        scrolling(ui.ctx()).auto_shrink([false, false]).show(ui, |ui| matter(ui, sight, wishes));
    });
    if !large {
        sight.view.panels.lesson = Some(shown.response.rect.width());
    }
}

/// What the lesson is about, what can be moved in it, and its question.
fn matter(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let lesson = lesson::lesson(sight.view.lesson.topic);
    ui.label(RichText::new(lesson.topic.name()).font(bold_at(ui, 22.0)));
    // Large type leaves no room for what was read out already.
    if !sight.view.lesson.large || sight.view.lesson.step == 0 {
        ui.label(lesson.explains.join(" "));
    }
    ui.add_space(6.0);
    match lesson.topic {
        Topic::WhereWaterGoes => {
            rain::card(ui, sight, wishes);
            on_the_map(ui, wishes);
        }
        Topic::GuessFirst => guess::card(ui, sight, wishes),
        Topic::UnderTheGround => ground::controls(ui, sight),
        Topic::WhatGradeDoes => grade::controls(ui, sight),
    }
    ui.add_space(6.0);
    question(ui, sight, &lesson);
}

/// Makes the type of a part of the window as large as the lesson asks.
pub fn enlarge(ui: &mut Ui, scale: f32) {
    ui.style_mut().text_styles.values_mut().for_each(|font| font.size *= scale);
    ui.style_mut().spacing.interact_size.y *= scale;
}

/// Heavy type of a size that grows with the rest.
fn bold_at(ui: &Ui, size: f32) -> FontId {
    let body = egui::TextStyle::Body.resolve(ui.style()).size;
    bold(size * body / 14.0)
}

/// What is done on the map.
fn on_the_map(ui: &mut Ui, wishes: &mut Vec<Wish>) {
    if ui.add_sized(vec2(ui.available_width(), LARGE), Button::new("Flow path")).clicked() {
        wishes.push(Wish::Take(ToolKind::FlowPath));
        wishes.push(Wish::Say("Click on the map: the flow path from there, and the land above it.".into()));
    }
}

/// The question, its answers, and what is said to the one that was given.
fn question(ui: &mut Ui, sight: &mut Sight, lesson: &Lesson) {
    let (palette, question) = (sight.view.palette(), &lesson.question);
    ui.label(RichText::new("Question").color(palette.soft_ink));
    ui.label(RichText::new(question.asks).font(bold_at(ui, 15.0)));
    let Teaching { answered, .. } = &mut sight.view.lesson;
    for (k, answer) in question.answers.iter().enumerate() {
        let button = Button::selectable(*answered == Some(k), answer.words).wrap();
        let size = vec2(ui.available_width(), LARGE);
        if ui.add(button.min_size(size).stroke((1.2, palette.ink))).clicked() {
            *answered = Some(k);
        }
    }
    if let Some(answer) = answered.and_then(|k| question.answers.get(k)) {
        let is_right = *answered == Some(question.right);
        let colour = if is_right { palette.lateral } else { palette.to_decide };
        ui.label(RichText::new(answer.why).color(colour).strong());
    }
}

/// On and back.
fn steps(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    let on = match (sight.view.lesson.topic, sight.view.lesson.step) {
        (Topic::UnderTheGround, 0) => "Let it rain",
        (Topic::UnderTheGround, step) if step < Topic::UnderTheGround.steps() => "Next day",
        (Topic::WhatGradeDoes, step) if step < GRADES.len() => "Next grade",
        (Topic::WhatGradeDoes, step) if step < Topic::WhatGradeDoes.steps() => "Show a dip",
        _ => "Next lesson",
    };
    ui.horizontal(|ui| {
        let width = (ui.available_width() - ui.spacing().item_spacing.x) / 2.0;
        let buttons = [("Back", Command::StepBack, "Page up"), (on, Command::NextStep, "Page down")];
        for (words, command, key) in buttons {
            let button = Button::new(words).min_size(vec2(width, LARGE));
            let enabled = command.is_enabled(sight.session, sight.view);
            if ui.add_enabled(enabled, button).on_hover_text(key).clicked() {
                wishes.push(Wish::Run(command));
            }
        }
    });
}

/// What a slider goes over, in the unit of the person: least, most and step, and what one of that unit is inside.
struct Reach {
    least: f64,
    most: f64,
    step: f64,
    unit: f64,
}

/// A slider under its name and what it is set to.
fn slider(ui: &mut Ui, name: &str, value: &mut f64, reach: &Reach, shown: impl Fn(f64) -> String) {
    ui.scope(|ui| {
        // Name, figure and slider belong together.
        ui.spacing_mut().item_spacing.y = 0.0;
        ui.spacing_mut().interact_size.y *= 0.8;
        let label = ui.horizontal(|ui| {
            let label = ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(RichText::new(shown(*value)).font(bold_at(ui, 15.0)));
            });
            label
        });
        ui.spacing_mut().slider_width = ui.available_width();
        let mut number = *value / reach.unit;
        let slider = Slider::new(&mut number, reach.least..=reach.most).step_by(reach.step).show_value(false);
        // What was set in other units stays until it is moved.
        let slider = ui.add(slider.clamping(SliderClamping::Never)).labelled_by(label.inner.id);
        if slider.changed() {
            *value = number * reach.unit;
        }
    });
}
