//! The Record stage: the dossier, the signature under the record, flows at outlets, and what a wet spot tells.

use egui::{RichText, TextEdit, Ui};
use job::{Session, entering, trouble};
use plan::{Additions, OutletId, Plan};
use record::Suspect;

use super::super::field;
use super::title;
use crate::command::{Command, ToolKind};
use crate::signing;
use crate::theme::{bold, plain};
use crate::view::{Selection, View};
use crate::wish::Wish;

/// Suspects and reasons that are told (own choice).
const MOST_TOLD: usize = 4;
/// Entries of the record that are told, the latest (own choice).
const MOST_ENTRIES: usize = 12;

/// Shows the card; the signature it asks for stands above it, on the card of what was dug.
pub fn card(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    ui.separator();
    let tip = "A folder that tells what lies in the ground, for whoever digs there later";
    if ui.button(RichText::new("Dossier…").font(bold(15.0))).on_hover_text(tip).clicked() {
        wishes.push(Wish::Run(Command::WriteDossier));
    }
    ui.separator();
    // What was asked last stands at the head of the stage.
    if view.wet_spot.is_none() {
        wet_spot(ui, session, view, wishes);
        ui.separator();
    }
    flow(ui, session.plan(), view, wishes);
    ui.separator();
    signed(ui, session.plan(), view, wishes);
    ui.separator();
    entries(ui, session);
}

/// Who signed, or the button by which it is signed.
fn signed(ui: &mut Ui, plan: &Plan, view: &View, wishes: &mut Vec<Wish>) {
    if let Some(signed) = &plan.record.signed {
        ui.label(format!(
            "Signed by {}, {}: {}. Every addition is dated and chained.",
            signed.by, signed.on, signed.because
        ));
    } else {
        ui.label(
            "Not signed. From the signature on every addition is dated, named and chained to the one before it.",
        );
    }
    if let Some(k) = plan.record.broken_link() {
        let words = format!("Entry {} of the log is not what was signed.", k + 1);
        ui.colored_label(ui.visuals().error_fg_color, RichText::new(words).font(bold(14.0)));
    }
    let missing = signing::missing_reason(&view.signature);
    if ui.add_enabled(missing.is_none(), egui::Button::new("Sign the record")).clicked() {
        wishes.push(Wish::Edit(plan::sign_record(plan, &view.signature)));
    }
    missing.iter().for_each(|text| drop(ui.label(RichText::new(*text).font(plain(12.0)))));
}

/// A flow seen at an outlet, by bucket and watch.
fn flow(ui: &mut Ui, plan: &Plan, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, "Water at an outlet");
    let Some(first) = plan.outlets.keys().next().copied() else {
        ui.label("There is no outlet yet.");
        return;
    };
    let chosen = view.flow.outlet.filter(|id| plan.outlets.contains_key(id)).unwrap_or(first);
    ui.horizontal_wrapped(|ui| {
        for (id, outlet) in &plan.outlets {
            if ui.selectable_label(*id == chosen, &outlet.name).clicked() {
                view.flow.outlet = Some(*id);
            }
        }
    });
    let hint = if plan.title.units.is_metric() { "10 l in 22 s, runs, dry" } else { "5 gal in 22 s, runs, dry" };
    ui.horizontal(|ui| {
        let label = ui.label("Bucket and time");
        field::add(ui, TextEdit::singleline(&mut view.flow.ran).hint_text(hint).desired_width(150.0))
            .labelled_by(label.id);
    });
    ui.checkbox(&mut view.flow.cloudy, "It ran cloudy");
    if ui.button("Log the flow").clicked() {
        wishes.extend(logged(plan, chosen, view));
    }
}

/// The edit that logs a flow, or what it still lacks.
fn logged(plan: &Plan, outlet: OutletId, view: &mut View) -> Option<Wish> {
    let signed = &view.signature;
    if signed.by.trim().is_empty() || !plan::is_date(signed.on.trim()) {
        return Some(Wish::Say("A flow is logged by name and day: enter both first.".into()));
    }
    match entering::running(&view.flow.ran, plan.title.units) {
        Err(error) => Some(Wish::Say(error.to_string())),
        Ok(running) => {
            let flow = entering::flow(plan, (outlet, running, view.flow.cloudy), signed);
            let edit = plan::add_to_record(plan, Additions { flows: vec![flow], ..Additions::default() }, signed);
            view.flow.ran.clear();
            view.flow.cloudy = false;
            edit.map(Wish::Edit).or(Some(Wish::Say("It stands in the record already.".into())))
        }
    }
}

/// What a wet spot tells.
pub(super) fn wet_spot(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, "Trouble: a wet spot");
    if ui.button("Click a wet spot on the map").clicked() {
        wishes.push(Wish::Take(ToolKind::WetSpot));
    }
    let Some(spot) = view.wet_spot.clone() else { return };
    if spot.revision != session.history().revision() {
        ui.label("The plan was changed since: click the spot again.");
        return;
    }
    let plan = &session.at_rest().plan;
    for (number, suspect) in (1..).zip(spot.told.suspects.iter().take(MOST_TOLD)) {
        told(ui, plan, (number, suspect), view, wishes);
    }
    spot.told.else_words.iter().for_each(|words| drop(ui.label(words)));
    ui.label(RichText::new(trouble::FIRST).font(bold(13.0)));
}

fn told(ui: &mut Ui, plan: &Plan, (number, suspect): (usize, &Suspect), view: &mut View, wishes: &mut Vec<Wish>) {
    ui.label(RichText::new(format!("{number}. {}: {}", suspect.name, suspect.lies)).font(bold(14.0)));
    suspect.reasons.iter().take(MOST_TOLD).for_each(|reason| drop(ui.label(format!("– {}", reason.words))));
    if suspect.reasons.is_empty() {
        ui.label("– nothing is known against it but that it is near");
    }
    let dig = egui::Button::new(trouble::dig_words(plan, suspect)).wrap();
    if ui.add(dig).on_hover_text("Go there on the map and in the profile").clicked() {
        view.camera.centre = suspect.dig_at;
        view.station_m = Some(suspect.dig_station_m);
        wishes.push(Wish::Select(Selection::of(suspect.line)));
    }
    ui.add_space(6.0);
}

/// The latest of the record.
fn entries(ui: &mut Ui, session: &Session) {
    let worked = session.worked();
    let entries = record::entries(&worked.plan, &worked.design);
    title(ui, "The record");
    if entries.is_empty() {
        ui.label("Nothing was entered yet.");
    }
    for entry in entries.iter().rev().take(MOST_ENTRIES) {
        ui.label(entry.words(worked.plan.title.units));
    }
}
