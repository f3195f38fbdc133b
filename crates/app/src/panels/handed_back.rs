//! What a field page handed back, looked at before it is taken.

use egui::{RichText, ScrollArea, Ui};
use job::Session;
use job::handed_back::Preview;

use super::dialog::{Dialog, title};
use crate::theme::bold;
use crate::wish::Wish;

/// What a file would bring.
#[derive(Debug, Clone, PartialEq)]
pub struct HandedBackAsk {
    /// Name of the file.
    pub file: String,
    /// What it would bring.
    pub preview: Preview,
}

/// Shows what is new, what is refused and where two disagree; takes it where that is wished, as one edit.
pub fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>, ask: Box<HandedBackAsk>) -> Option<Dialog> {
    let (preview, edit) = (&ask.preview, ask.preview.taking(session.plan()));
    title(ui, "Bring in from the field page?");
    ui.label(RichText::new(&ask.file).small().weak());
    ui.label(format!("{}.", preview.words()));
    preview.told.iter().for_each(|words| drop(ui.label(RichText::new(words).font(bold(14.0)))));
    ScrollArea::vertical().max_height(360.0).auto_shrink([false, true]).show(ui, |ui| {
        list(ui, "Two say different things of one place; both are kept", &preview.conflicts);
        list(ui, "Refused", &preview.refused);
        list(ui, "New", &preview.new);
    });
    ui.add_space(6.0);
    let (take, leave) = ui
        .horizontal(|ui| {
            let take = ui.add_enabled(edit.is_some(), egui::Button::new("Bring it in")).clicked();
            (take, ui.button("Cancel").clicked())
        })
        .inner;
    wishes.extend(edit.filter(|_| take).map(Wish::Edit));
    (!take && !leave).then_some(Dialog::HandedBack(ask))
}

fn list(ui: &mut Ui, heading: &str, all: &[String]) {
    if all.is_empty() {
        return;
    }
    ui.add_space(4.0);
    ui.label(RichText::new(heading).font(bold(14.0)));
    all.iter().for_each(|one| drop(ui.label(one)));
}
