//! What the measuring tool read, leg by leg, over the card; it can be copied.

use egui::{RichText, Ui};

use super::Sight;
use crate::theme::bold;
use crate::tools::{Measured, Tool};

/// What is measured now, while the tool is in hand.
pub fn measured(sight: &Sight) -> Option<Measured> {
    match &*sight.tool {
        Tool::Measure(tool) => tool.measured(sight.session),
        _ => None,
    }
}

/// The read-out line: the leg under the pointer and the whole.
pub fn line(sight: &Sight) -> Option<String> {
    let (measured, units) = (measured(sight)?, sight.session.plan().title.units);
    let last = measured.legs.last()?.words(units);
    let area = measured.area(units).map(|area| format!("   area {area}")).unwrap_or_default();
    Some(format!("{last}   whole {}{area}", measured.whole(units)))
}

/// The legs, the whole and the area, with a button that copies them.
pub fn card(ui: &mut Ui, sight: &Sight) {
    let Some(measured) = measured(sight) else { return };
    let units = sight.session.plan().title.units;
    ui.label(RichText::new("Measured").font(bold(17.0)));
    for (i, leg) in measured.legs.iter().enumerate() {
        ui.label(format!("{}   {}", i + 1, leg.words(units)));
    }
    ui.label(RichText::new(format!("Whole {}", measured.whole(units))).font(bold(14.0)));
    if let Some(area) = measured.area(units) {
        ui.label(RichText::new(format!("Area {area}")).font(bold(14.0)));
    }
    if ui.button("Copy").on_hover_text("Copy these figures as text").clicked() {
        ui.copy_text(measured.text(units));
    }
    ui.separator();
}
