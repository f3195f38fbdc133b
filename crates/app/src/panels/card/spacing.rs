//! How far apart drains should lie at the place in hand: the short form of the command `spacing`.

use egui::{CollapsingHeader, RichText, Ui};
use job::Session;
use job::spacing::{Question, pit, short, source};
use plan::LineId;

use crate::theme::plain;

/// Shows the section: for a chosen line half-way up it, else for the middle of the field. Nothing is worked out while it is
/// folded.
pub fn section(ui: &mut Ui, session: &Session, line: Option<LineId>) {
    CollapsingHeader::new("Spacing").id_salt("spacing").default_open(line.is_none()).show(ui, |ui| {
        let place = if line.is_some() { "Half-way up the line" } else { "In the middle of the field" };
        let said = match Question::in_hand(session.worked(), line).map(Question::answer) {
            Some(Ok(advice)) => {
                // Rows of text, none as tall as a button.
                ui.spacing_mut().interact_size.y = 0.0;
                short(&advice).into_iter().for_each(|(name, figure)| pair(ui, name, figure));
                format!("{place}, {}. {}", source(&advice), pit(&advice))
            }
            Some(Err(why)) => format!("{place}: {why}."),
            None => {
                format!("{place} no soil is known: mark a pit with its layers, or tell the texture in the brief.")
            }
        };
        ui.label(RichText::new(said).font(plain(12.5)));
    });
}

/// A name and its figure, which wrap where the card is narrow: it grows no wider for them.
fn pair(ui: &mut Ui, name: String, figure: String) {
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(name).font(plain(13.0)).color(ui.visuals().weak_text_color()));
        ui.label(RichText::new(figure).font(plain(13.0)));
    });
}
