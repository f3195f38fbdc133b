//! Finds a command or a tool by a word, for those who would rather type than look through menus.

use egui::{Button, Key, ScrollArea, TextEdit, Ui};

use super::dialog::{Dialog, title};
use super::field;
use crate::command::{COMMANDS, tools};
use crate::view::View;
use crate::wish::Wish;
use job::Session;

/// The word being typed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FindAsk {
    text: String,
}

/// Something that can be done now.
struct Row {
    label: String,
    tip: &'static str,
    keys: String,
    wish: Wish,
}

/// Shows what is found; Enter does the first.
pub fn show(
    ui: &mut Ui,
    (session, view): (&Session, &View),
    wishes: &mut Vec<Wish>,
    mut ask: FindAsk,
) -> Option<Dialog> {
    title(ui, "Find a command");
    let label = ui.label("Type what you want to do");
    let field =
        field::add(ui, TextEdit::singleline(&mut ask.text).desired_width(f32::INFINITY)).labelled_by(label.id);
    let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    if !entered && ask.text.is_empty() {
        field.request_focus();
    }
    let found: Vec<Row> = rows(ui, session, view).into_iter().filter(|row| is_meant(row, &ask.text)).collect();
    let clicked = ScrollArea::vertical().max_height(320.0).show(ui, |ui| list(ui, &found)).inner;
    let done = clicked.or((entered && !found.is_empty()).then_some(0));
    if let Some(row) = done.and_then(|i| found.into_iter().nth(i)) {
        wishes.push(row.wish);
        return None;
    }
    let close = ui.button("Close").clicked();
    (!close).then_some(Dialog::Find(ask))
}

/// What can be done now, in the order of the menus and the tool list.
fn rows(ui: &Ui, session: &Session, view: &View) -> Vec<Row> {
    let enabled = COMMANDS.iter().filter(|entry| entry.command.is_enabled(session, view));
    let commands = enabled.map(|entry| Row {
        label: entry.label.to_string(),
        tip: entry.tip,
        keys: entry.keys.first().map(|key| ui.ctx().format_shortcut(key)).unwrap_or_default(),
        wish: Wish::Run(entry.command),
    });
    let tools = tools().into_iter().map(|(tool, key, tip)| Row {
        label: format!("Tool: {}", tool.name()),
        tip,
        keys: key.name().to_string(),
        wish: Wish::Take(tool),
    });
    commands.chain(tools).collect()
}

/// Every word that was typed stands in the label or in what it is for.
fn is_meant(row: &Row, text: &str) -> bool {
    let all = format!("{} {}", row.label, row.tip).to_lowercase();
    text.to_lowercase().split_whitespace().all(|word| all.contains(word))
}

/// The row that was clicked.
fn list(ui: &mut Ui, found: &[Row]) -> Option<usize> {
    if found.is_empty() {
        ui.label("No command is called that.");
    }
    let mut clicked = None;
    for (i, row) in found.iter().enumerate() {
        let button = Button::new(&row.label).shortcut_text(&row.keys).min_size(egui::vec2(520.0, 26.0));
        if ui.add(button).on_hover_text(row.tip).clicked() {
            clicked = Some(i);
        }
    }
    clicked
}
