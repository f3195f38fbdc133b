//! The question what to do with a ground in another coordinate system than the plan: asked before it is laid under it.

use std::path::PathBuf;

use egui::Ui;
use exchange::ReadOptions;

use super::changed::{choice, choices};
use super::dialog::{Dialog, title};
use crate::wish::Wish;
use job::ground::OtherSystem;
use job::words::file_name;

/// A ground that was read in another system, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemAsk {
    /// Its file.
    pub path: PathBuf,
    /// How it was read.
    pub options: ReadOptions,
    /// The two systems.
    pub other: OtherSystem,
}

/// Shows the question.
pub fn show(ui: &mut Ui, wishes: &mut Vec<Wish>, ask: Box<SystemAsk>) -> Option<Dialog> {
    let name = file_name(&ask.path);
    title(ui, &format!("{name} is in another coordinate system than the plan"));
    egui::Grid::new("systems").num_columns(2).spacing([14.0, 4.0]).show(ui, |ui| {
        for (what, system) in [("The plan", &ask.other.plan), ("The ground", &ask.other.ground)] {
            ui.label(what);
            ui.add(egui::Label::new(system).wrap());
            ui.end_row();
        }
    });
    ui.label("Laid under the plan as it is, nothing would lie where it was drawn.");
    let into = ask.other.into.clone();
    let how = match &into {
        Some(_) => "Its places are turned into the plan's system, a grid is resampled; levels stay.",
        None => "Not possible: coordinates of a local system have no known place on the earth.",
    };
    let [bring, keep, new] = choices(ui, |ui| {
        [
            choice(ui, "Bring it into the plan's system", into.is_some(), how),
            choice(ui, "Keep the present ground", true, "The plan stays as it is."),
            choice(
                ui,
                "New plan on this ground",
                true,
                "This plan is closed; you are asked first if it is not saved.",
            ),
        ]
    });
    if bring {
        wishes.push(Wish::ReadGround(ask.path.clone(), ReadOptions { into, ..ask.options.clone() }));
    } else if new {
        wishes.push(Wish::NewOn(ask.path.clone(), ask.options.clone()));
    }
    (!bring && !keep && !new).then_some(Dialog::System(ask))
}
