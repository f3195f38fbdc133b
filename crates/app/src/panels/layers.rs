//! What is drawn, one by one: a list that opens from the head and stays open while it is used.

use egui::containers::menu::{MenuButton, MenuConfig};
use egui::{ComboBox, Grid, PopupCloseBehavior, Stroke, Ui, vec2};

use super::Sight;
use crate::layers::{Switch, Tint};

/// Rows of a column: two columns are as high as the smallest window has room for.
const ROWS: usize = Switch::ALL.len().div_ceil(2);

/// The button and its list.
pub fn menu(ui: &mut Ui, sight: &mut Sight) {
    let config = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let button = MenuButton::new("Layers").config(config);
    let (button, _) = button.ui(ui, |ui| list(ui, sight));
    button.on_hover_text("What is drawn on the map, one by one");
}

fn list(ui: &mut Ui, sight: &mut Sight) {
    // In a menu nothing has an edge, and a box that is not ticked would not be seen.
    ui.visuals_mut().widgets.inactive.bg_stroke = Stroke::new(1.0, sight.view.palette().soft_ink);
    ui.horizontal(|ui| {
        if ui.button("All").on_hover_text("Show everything").clicked() {
            sight.view.layers.set_all(true);
        }
        if ui.button("None").on_hover_text("Show nothing").clicked() {
            sight.view.layers.set_all(false);
        }
        if ui.button("As usual").on_hover_text("Show what belongs to each stage").clicked() {
            sight.view.layers.as_usual();
        }
    });
    Grid::new("layers").num_columns(2).spacing(vec2(18.0, 2.0)).show(ui, |ui| {
        for row in 0..ROWS {
            for (switch, word, _) in [row, row + ROWS].into_iter().filter_map(|i| Switch::ALL.get(i)) {
                let mut on = sight.view.shows(*switch);
                if ui.checkbox(&mut on, *word).changed() {
                    sight.view.layers.set(*switch, on);
                }
            }
            ui.end_row();
        }
    });
    tint(ui, sight);
}

/// What the ground is tinted by.
pub fn tint(ui: &mut Ui, sight: &mut Sight) {
    let tint = &mut sight.view.layers.tint;
    ui.horizontal(|ui| {
        let label = ui.label("Tint by");
        let chosen = Tint::ALL.into_iter().find(|(one, _)| one == tint).map_or("", |(_, word)| word);
        let choice = ComboBox::from_id_salt("tint").selected_text(chosen).show_ui(ui, |ui| {
            for (one, word) in Tint::ALL {
                ui.selectable_value(tint, one, word);
            }
        });
        choice.response.labelled_by(label.id);
    });
}
