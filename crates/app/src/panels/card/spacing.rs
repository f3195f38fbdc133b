//! How far apart drains should lie at the place in hand: the short form of the command `spacing`.

use egui::{CollapsingHeader, RichText, Ui};
use job::Session;
use job::spacing::{Question, brief};
use plan::LineId;

use crate::theme::plain;

/// Shows the section: for a chosen line half-way up it, else for the middle of the field. Nothing is worked out while it is
/// folded.
pub fn section(ui: &mut Ui, session: &Session, line: Option<LineId>) {
    let place = if line.is_some() { "half-way up the line" } else { "in the middle of the field" };
    CollapsingHeader::new("Spacing").id_salt("spacing").default_open(line.is_none()).show(ui, |ui| {
        let told = match Question::in_hand(session.worked(), line).map(Question::answer) {
            Some(Ok(advice)) => brief(&advice),
            Some(Err(why)) => vec![format!("None {place}: {why}.")],
            None => vec![format!(
                "No soil is known {place}: mark a pit with its layers, or tell the texture in the brief."
            )],
        };
        told.into_iter().for_each(|line| drop(ui.label(RichText::new(line).font(plain(12.5)))));
    });
}
