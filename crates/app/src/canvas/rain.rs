//! A rain on the map: the moment that the clock tells, its gauge and its clock.

use std::sync::Arc;

use drawing::rain::{Gauge, Ponds, Rain};
use drawing::{Form, Item, Key, Role, Scene};
use egui::{Align2, Rect, Stroke, StrokeKind, pos2, vec2};
use lesson::Topic;

use super::Pen;
use crate::theme::{bold, plain};
use crate::view::Stage;

/// What is kept of the hollows from frame to frame.
#[derive(Default)]
pub struct RainCache {
    ponds: Ponds,
    /// The rain that the ponds are of.
    of: Option<Arc<Rain>>,
}

impl Pen<'_> {
    /// True while rain is shown on the map: lines that tell where it will go are not.
    pub fn is_raining(&self) -> bool {
        self.view.stage == Stage::Lesson && self.view.shower.clock.is_some() && !self.view.is_guessing()
    }

    /// The rows that the legend has for the rain.
    pub fn rain_keys(&self) -> Vec<Key> {
        let rows = [(Role::Running(1), "running water"), (Role::Pond, "standing water")];
        let rows = rows.into_iter().filter(|_| self.is_raining());
        rows.map(|(role, word)| Key { role, is_sign: false, word }).collect()
    }
}

impl RainCache {
    /// Paints what lies and runs on the ground.
    pub fn paint(&mut self, pen: &Pen) {
        let Some((rain, time_s)) = pen.view.shower.falling().filter(|_| pen.is_raining()) else { return };
        if !self.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, rain)) {
            *self = Self { of: Some(rain.clone()), ponds: Ponds::default() };
        }
        rain.fill(&mut self.ponds, time_s);
        pen.draw(&rain.scene(&self.ponds, time_s, pen.lens.seen()));
    }
}

/// Paints what runs in the pipes.
pub fn paint_pipes(pen: &Pen) {
    let Some((rain, time_s)) = pen.view.shower.falling().filter(|_| pen.is_raining()) else { return };
    if let Some((_, pipes)) = &pen.view.shower.pipes {
        pen.draw(&pipes.scene(rain.rainfall(), time_s, pen.lens.seen()));
    }
}

/// Paints where a class thinks that water gathers.
pub fn paint_guess(pen: &Pen) {
    let is_asked = pen.view.stage == Stage::Lesson && pen.view.lesson.topic == Topic::GuessFirst;
    let strokes = pen.view.guess.strokes.iter().filter(|_| is_asked);
    let items = strokes.map(|stroke| Item::new(Role::Guess, Form::Path(stroke.as_slice().into())));
    pen.draw(&Scene { time_s: None, items: items.collect() });
}

/// Where clock and gauge stand.
pub fn plate(pen: &Pen) -> Rect {
    let scale = pen.view.lesson.scale();
    Rect::from_min_size(pen.lens.rect.left_top() + vec2(12.0, 12.0), vec2(236.0, 96.0) * scale)
}

/// Paints the clock and the rain gauge.
pub fn paint_gauge(pen: &Pen) {
    let Some((rain, time_s)) = pen.view.shower.falling().filter(|_| pen.is_raining()) else { return };
    let (rect, scale, palette) = (plate(pen), pen.view.lesson.scale(), pen.palette);
    let edge = Stroke::new(1.0, palette.edge);
    pen.painter.rect(rect, 4.0, palette.faint(palette.paper, 0.92), edge, StrokeKind::Inside);
    let gauge = rain.gauge(time_s);
    tube(pen, rect, &gauge, rain.rainfall().depth_m);
    let units = pen.session.worked().plan.title.units;
    let words = [
        (format!("{} after it began", clock(time_s)), bold(15.0 * scale), palette.ink),
        (format!("Rain {}", units.rain(gauge.fallen_m)), bold(13.0 * scale), palette.ink),
        (format!("ran off {}", units.rain(gauge.ran_off_m)), plain(12.5 * scale), palette.water),
        (format!("soaked in {}", units.rain(gauge.soaked_m())), plain(12.5 * scale), palette.contour_ink),
    ];
    let mut y = rect.top() + 10.0 * scale;
    for (text, font, colour) in words {
        let at = pos2(rect.left() + 48.0 * scale, y);
        y = pen.painter.text(at, Align2::LEFT_TOP, text, font, colour).bottom() + 2.0 * scale;
    }
}

/// The gauge: a tube with what has fallen, of that at the bottom what soaked in and on it what ran off.
fn tube(pen: &Pen, plate: Rect, gauge: &Gauge, whole_m: f64) {
    let (scale, palette) = (pen.view.lesson.scale(), pen.palette);
    let tube = Rect::from_min_max(
        plate.left_top() + vec2(14.0, 10.0) * scale,
        pos2(plate.left() + 34.0 * scale, plate.bottom() - 10.0 * scale),
    );
    let height = |depth_m: f64| tube.height() * (depth_m / whole_m).clamp(0.0, 1.0) as f32;
    let (soaked, fallen) = (tube.bottom() - height(gauge.soaked_m()), tube.bottom() - height(gauge.fallen_m));
    let layer = |top: f32, bottom: f32, colour| {
        pen.painter.rect_filled(Rect::from_min_max(pos2(tube.left(), top), pos2(tube.right(), bottom)), 0.0, colour);
    };
    layer(soaked, tube.bottom(), palette.faint(palette.contour, 0.9));
    layer(fallen, soaked, palette.water);
    pen.painter.rect_stroke(tube, 2.0, Stroke::new(1.6, palette.ink), StrokeKind::Middle);
    for mark in 1..4 {
        let y = tube.bottom() - tube.height() * mark as f32 / 4.0;
        pen.painter.line_segment([pos2(tube.right() - 7.0, y), pos2(tube.right(), y)], Stroke::new(1.0, palette.ink));
    }
}

/// Hours and minutes: `0:35`.
pub fn clock(time_s: f64) -> String {
    let minutes = (time_s / 60.0).round() as u64;
    format!("{}:{:02}", minutes / 60, minutes % 60)
}
