//! What is known of an old line on its card: how sure it is, what tells of it, how far aside it may lie, what is done with it.

use egui::{RichText, Ui};
use job::find_form::CONDITIONS;
use measure::Units;
use plan::{Confidence, Decision, Evidence, Material, OldTile};

use super::{choice, figure, table, text_field};
use crate::theme::bold;

/// Rows about an old line.
pub fn rows(ui: &mut Ui, old: &mut OldTile, units: Units) {
    let evidence = [(Evidence::Suspected, "suspected"), (Evidence::Seen, "seen"), (Evidence::Proved, "proved")];
    table(ui, "old tile", |ui| {
        choice(ui, "Evidence", &mut old.evidence, &evidence);
        choice(ui, "Material", &mut old.material, &Material::ALL);
        choice(ui, "Condition", &mut old.condition, &CONDITIONS);
    });
    told_by(ui, old, units);
    table(ui, "old tile decision", |ui| {
        let decisions: Vec<_> =
            [(None, "none yet")].into_iter().chain(Decision::ALL.map(|(d, word)| (Some(d), word))).collect();
        choice(ui, "Decision", &mut old.decision, &decisions);
        choice(ui, "Runs", &mut old.runs, &[(None, "not seen"), (Some(true), "yes"), (Some(false), "no")]);
    });
    ui.checkbox(&mut old.from_beyond, "Its water comes from beyond the boundary");
}

/// What tells of it, how far it is trusted and how far aside it may lie.
fn told_by(ui: &mut Ui, old: &mut OldTile, units: Units) {
    ui.label(RichText::new("What tells of it").font(bold(13.0)));
    let clues = &mut old.clues;
    ui.horizontal_wrapped(|ui| {
        for (clue, word) in [
            (&mut clues.photo, "air photo"),
            (&mut clues.outlet, "outlet seen"),
            (&mut clues.wet_streak, "wet streak"),
            (&mut clues.memory, "memory"),
            (&mut clues.probe, "probe"),
            (&mut clues.trench, "trench"),
        ] {
            ui.checkbox(clue, word);
        }
    });
    table(ui, "old tile trust", |ui| {
        let trust = [
            (None, "not said"),
            (Some(Confidence::Low), "may be there"),
            (Some(Confidence::Fair), "probably there"),
            (Some(Confidence::High), "is there"),
        ];
        choice(ui, "Trusted", &mut old.confidence, &trust);
        let shown = old.aside_m.map(|aside_m| figure(aside_m, units)).unwrap_or_default();
        let read = |text: &str| match text.trim() {
            "" => Ok(None),
            text => match measure::parse_length(text, units) {
                Ok(aside_m) if aside_m >= 0.0 => Ok(Some(aside_m)),
                Ok(_) => Err(format!("found {text}, expected a distance of zero or more")),
                Err(error) => Err(error.to_string()),
            },
        };
        if let Some(aside_m) = text_field(ui, "May lie aside by", shown, read) {
            old.aside_m = aside_m;
        }
    });
}
