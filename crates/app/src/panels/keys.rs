//! Every key: those of commands and tools from their tables, and what hand and keyboard do beside them.

use egui::{Grid, RichText, Ui};

use crate::command::{COMMANDS, HAND_KEYS, tools};
use crate::theme::bold;

/// Lists them, each with what it does.
pub fn list(ui: &mut Ui) {
    let commands = COMMANDS.iter().filter(|entry| !entry.keys.is_empty()).map(|entry| {
        let keys: Vec<String> = entry.keys.iter().map(|key| ui.ctx().format_shortcut(key)).collect();
        (keys.join(", "), entry.label.to_string())
    });
    let commands: Vec<_> = commands.collect();
    let by_hand = HAND_KEYS.iter().map(|(keys, does)| (keys.to_string(), does.to_string()));
    let tools = tools().map(|(tool, key, tip)| (key.name().to_string(), format!("{}: {tip}", tool.name())));
    table(ui, "On the map, in fields and dialogs", by_hand.collect());
    table(ui, "Commands", commands);
    table(ui, "Tools", tools.into());
}

fn table(ui: &mut Ui, name: &str, rows: Vec<(String, String)>) {
    ui.add_space(6.0);
    ui.label(RichText::new(name).font(bold(14.0)));
    Grid::new(name).num_columns(2).spacing([18.0, 2.0]).show(ui, |ui| {
        for (keys, does) in rows {
            ui.label(RichText::new(keys).weak());
            ui.add(egui::Label::new(does).wrap());
            ui.end_row();
        }
    });
}
