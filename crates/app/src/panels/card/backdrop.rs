//! The air photo or map image under the plan: how strongly it is drawn, and where it lies if a person had to say so.

use egui::{RichText, Slider, Ui};
use measure::{LengthUnit, Point};
use plan::{Backdrop, Placing};

use super::{row, table, text_field};
use crate::command::Command;
use crate::panels::Sight;
use crate::theme::{bold, plain};
use crate::wish::Wish;
use job::words::file_name;
use std::path::Path;

/// Its section of the card Ground.
pub fn section(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    ui.add_space(6.0);
    ui.label(RichText::new("Air photo or map image").font(bold(13.0)));
    let session = sight.session;
    let Some(backdrop) = &session.plan().backdrop else {
        if ui.button("Open picture…").on_hover_text("GeoTIFF, JPEG or PNG with a world file").clicked() {
            wishes.push(Wish::Run(Command::OpenBackdrop));
        }
        return;
    };
    let mut next = backdrop.clone();
    ui.label(file_name(Path::new(&backdrop.file)));
    if let Some(why) = &sight.view.backdrop.why {
        ui.label(RichText::new(why).font(plain(12.5)).color(sight.view.palette().to_fix));
    }
    ui.checkbox(&mut next.shown, "Shown");
    strength(ui, sight, &mut next);
    if let Some(placing) = &mut next.placing {
        place(ui, placing, job::ground::plane(session.plan()).unit());
    }
    if next != *backdrop {
        wishes.push(Wish::Edit(plan::set_backdrop("Change the picture under the plan", Some(next))));
    }
    ui.horizontal(|ui| {
        if ui.button("Other picture…").clicked() {
            wishes.push(Wish::Run(Command::OpenBackdrop));
        }
        if ui.button("Remove picture").clicked() {
            wishes.push(Wish::Edit(plan::set_backdrop("Remove the picture under the plan", None)));
        }
    });
}

/// The slider: seen while it is moved, an edit once it is let go.
fn strength(ui: &mut Ui, sight: &mut Sight, next: &mut Backdrop) {
    let live = &mut sight.view.backdrop.strength;
    let mut percent = (live.unwrap_or(next.strength) * 100.0).round();
    ui.horizontal(|ui| {
        let label = ui.label("Strength");
        let slider = ui.add(Slider::new(&mut percent, 0.0..=100.0).integer().suffix(" %")).labelled_by(label.id);
        if slider.changed() {
            *live = Some(percent / 100.0);
        }
        let done = slider.drag_stopped() || slider.changed() && !slider.dragged();
        if done && let Some(strength) = live.take() {
            next.strength = strength;
        }
    });
}

/// Its upper left corner and its pixels, in the numbers of the plane.
fn place(ui: &mut Ui, placing: &mut Placing, unit: LengthUnit) {
    let unit_m = unit.metres();
    let Placing { first, along_row, to_next_row } = *placing;
    let (pixel_m, turn) = (along_row.x.hypot(along_row.y), along_row.y.atan2(along_row.x));
    let number = |text: &str| {
        let read = text.trim().replace('−', "-").parse::<f64>().ok().filter(|number| number.is_finite());
        read.ok_or_else(|| format!("found '{}', expected a number", text.trim()))
    };
    let told = |along_m: f64| measure::true_minus(&measure::fixed(along_m / unit_m, 2));
    table(ui, "placing", |ui| {
        if let Some(east) = text_field(ui, "First pixel, E", told(first.x), number) {
            placing.first.x = east * unit_m;
        }
        if let Some(north) = text_field(ui, "First pixel, N", told(first.y), number) {
            placing.first.y = north * unit_m;
        }
        if let Some(size) = text_field(ui, "Pixel size", format!("{:.4}", pixel_m / unit_m), number) {
            let scale = size.abs().max(1e-4) * unit_m / pixel_m;
            placing.along_row = Point::new(along_row.x * scale, along_row.y * scale);
            placing.to_next_row = Point::new(to_next_row.x * scale, to_next_row.y * scale);
        }
        if turn != 0.0 {
            row(ui, "Turned", measure::true_minus(&format!("{}°", measure::fixed(turn.to_degrees(), 2))));
        }
    });
}
