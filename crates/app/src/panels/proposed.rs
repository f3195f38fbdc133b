//! The profile of a layout that is looked at and not drawn: its main, or the line that is chosen.

use egui::{ComboBox, Ui};

use super::profile::{self, Of};
use crate::view::View;

/// Shows the profile; nothing where none is looked at.
pub fn show(ui: &mut Ui, view: &mut View) {
    let Some(proposal) = view.proposed().cloned() else { return };
    let Some(id) = view.proposals.line_of(&proposal) else { return };
    let of = Of::from(&*proposal);
    ui.horizontal(|ui| {
        let label = ui.label("Proposed");
        let name = |id| of.plan.lines.get(id).map_or("", |line| line.name.as_str());
        let choice = ComboBox::from_id_salt("proposed line").width(64.0).selected_text(name(&id)).show_ui(ui, |ui| {
            for (other, line) in of.plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
                if ui.selectable_label(*other == id, &line.name).clicked() {
                    view.proposals.line = Some(*other);
                }
            }
        });
        choice.response.labelled_by(label.id);
        profile::heading(ui, of, id, view.station_m, view.palette());
    });
    // It is not drawn yet: nothing is pulled in it.
    view.station_m = profile::chart(ui, of, view, id, ui.available_size()).hovered_m;
}
