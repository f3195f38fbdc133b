//! The question in what unit the coordinates of a local ground are: nothing in the file says, and it is never assumed.

use std::path::PathBuf;

use egui::{RichText, Ui};
use exchange::ReadOptions;
use measure::LengthUnit;

use super::dialog::{Dialog, title};
use crate::wish::Wish;

/// A ground whose unit is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitAsk {
    path: PathBuf,
    options: ReadOptions,
    unit: Option<LengthUnit>,
}

impl UnitAsk {
    /// The question about a file; nothing is chosen yet.
    pub fn new(path: PathBuf, options: ReadOptions) -> Self {
        Self { path, options, unit: None }
    }
}

/// Shows the question.
pub fn show(ui: &mut Ui, wishes: &mut Vec<Wish>, mut ask: Box<UnitAsk>) -> Option<Dialog> {
    title(ui, "In what unit are the coordinates?");
    let name = ask.path.file_name().unwrap_or_default().to_string_lossy();
    ui.label(format!("{name} names neither a coordinate system nor a unit."));
    choice(ui, &mut ask.unit);
    ui.label(RichText::new("Outlet, boundary, lines and stakes are in this unit. Levels are in it too unless the file says otherwise.").small().weak());
    ui.add_space(6.0);
    let buttons = ui.horizontal(|ui| {
        let read = ui.add_enabled(ask.unit.is_some(), egui::Button::new("Read the ground")).clicked();
        (read, ui.button("Cancel").clicked())
    });
    let (read, cancel) = buttons.inner;
    if read {
        let options = ReadOptions { horizontal_unit: ask.unit, ..ask.options };
        wishes.push(Wish::ReadGround(ask.path, options));
        return None;
    }
    (!cancel).then_some(Dialog::Unit(ask))
}

/// The units to choose from; none is chosen to begin with.
pub fn choice(ui: &mut Ui, unit: &mut Option<LengthUnit>) {
    ui.horizontal_wrapped(|ui| {
        for each in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::SurveyFoot] {
            ui.selectable_value(unit, Some(each), format!("Coordinates in {}", each.words()));
        }
    });
}
