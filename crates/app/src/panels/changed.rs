//! What is asked where a plan file is not what it was: changed by another, open elsewhere, damaged, or with kept work.

use std::path::{Path, PathBuf};

use egui::{Button, Panel, RichText, ScrollArea, Ui};

use super::dialog::{Dialog, title};
use crate::apply;
use crate::command::Command;
use crate::desk::Desk;
use crate::saving::{self, ChangedAsk};
use crate::theme::bold;
use crate::wish::Wish;
use job::Session;
use job::clock;
use job::differing::{self, Sides};
use job::files::Damaged;
use job::on_file::Change;
use job::salvage::{Kind, Spare};

/// Width of the first column of choices, points.
const CHOICE: f32 = 170.0;

/// A line under the title while the file is not what was read, or is open in another window.
pub fn banner(ui: &mut Ui, desk: &mut Desk) {
    let Some(path) = desk.session.path().map(Path::to_path_buf) else { return };
    let (other, change) = (desk.file.other.clone(), desk.file.change.clone());
    // The question says it all, and more.
    let is_asked = matches!(desk.dialog, Some(Dialog::Changed(_)));
    // Nothing moves under a hand that drags.
    let is_held = !desk.file.shown && ui.input(|input| input.pointer.any_down());
    desk.file.shown = !is_held && !is_asked && (other.is_some() || change.is_some());
    if !desk.file.shown {
        return;
    }
    let palette = desk.view.palette();
    let fill = palette.faint(palette.next, 0.25);
    let frame = egui::Frame::new().fill(palette.panel.blend(fill)).inner_margin(egui::Margin::symmetric(14, 6));
    Panel::top("changed").frame(frame).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| match (other, change) {
            (Some(by), _) => {
                ui.label(RichText::new("Only to look at.").font(bold(14.0)));
                ui.label(format!("{} is open in {by}.", apply::file_name(&path)));
                if ui.button("Save under another name…").clicked() {
                    apply::carry_out(desk, Wish::Run(Command::SaveAs), ui.ctx());
                }
                if ui.button("Work on it here").clicked() {
                    let done = saving::work_here(desk, ui.ctx());
                    apply::tell(desk, done);
                }
            }
            (None, Some(change)) => {
                ui.label(RichText::new(saving::change_words(&path, &change)).font(bold(14.0)));
                changed_buttons(ui, desk, &path, &change);
            }
            _ => {}
        });
    });
}

/// The choices of the banner: one click where nothing is unsaved.
fn changed_buttons(ui: &mut Ui, desk: &mut Desk, path: &Path, change: &Change) {
    if *change == Change::Gone {
        return;
    }
    let is_unsaved = desk.session.history().is_unsaved();
    if is_unsaved && ui.button("Keep both").clicked() {
        let done = saving::keep_both(desk, path);
        apply::tell(desk, done);
    }
    let take = if is_unsaved { "Take theirs" } else { "Read it anew" };
    if ui.button(take).clicked() {
        let done = saving::take_theirs(desk, path, ui.ctx());
        apply::tell(desk, done);
    }
    if ui.button("Look at the difference").clicked() {
        desk.dialog = Some(Dialog::Changed(Box::new(ChangedAsk::of(desk, path, true))));
    }
}

/// A button and what it does, in two columns; true when it was pressed.
fn choice(ui: &mut Ui, label: &str, enabled: bool, what: &str) -> bool {
    let pressed = ui.add_enabled(enabled, Button::new(label).min_size(egui::vec2(CHOICE, 28.0))).clicked();
    ui.add(egui::Label::new(what).wrap());
    ui.end_row();
    pressed
}

fn choices<R>(ui: &mut Ui, inside: impl FnOnce(&mut Ui) -> R) -> R {
    ui.add_space(6.0);
    egui::Grid::new("choices").num_columns(2).min_col_width(CHOICE).spacing([14.0, 8.0]).show(ui, inside).inner
}

/// The plan file was written by another since it was read: what to do with the two.
pub fn changed(ui: &mut Ui, desk: &mut Desk, mut ask: Box<ChangedAsk>) -> Option<Dialog> {
    let name = apply::file_name(&ask.path);
    title(ui, &format!("{name} was changed by another program"));
    ui.label(format!("It was written at {}, after it was read here. Nothing has been written over.", ask.written));
    if let Err(why) = &ask.theirs {
        ui.label(format!("What is in it now cannot be read: {why}."));
    }
    if ask.looking {
        difference(ui, &ask.rows);
    }
    let is_unsaved = desk.session.history().is_unsaved();
    let mine = apply::file_name(&job::files::free_beside(&ask.path, "mine"));
    let kept = match is_unsaved {
        true => format!("Read {name} anew. Yours is kept beside it as {mine}."),
        false => format!("Read {name} anew. Nothing of yours is unsaved."),
    };
    let backup = apply::file_name(&exchange::backup_path(&ask.path));
    let done = choices(ui, |ui| {
        let both = format!("Save yours beside it as {mine} and go on with that; {name} stays as the other wrote it.");
        let over = format!("Save yours as {name}. What the other wrote stays as {backup}.");
        let both = choice(ui, "Keep both", true, &both).then(|| saving::keep_both(desk, &ask.path));
        let theirs = choice(ui, "Take theirs", ask.theirs.is_ok(), &kept);
        let theirs = theirs.then(|| saving::take_theirs(desk, &ask.path, ui.ctx()));
        let over = choice(ui, "Write over it", true, &over).then(|| saving::write_over(desk, &ask.path));
        both.or(theirs).or(over)
    });
    ui.add_space(6.0);
    let (look, cancel) = ui
        .horizontal(|ui| {
            let may_look = ask.theirs.is_ok() && !ask.looking;
            let look = ui.add_enabled(may_look, Button::new("Look at the difference")).clicked();
            (look, ui.button("Cancel").clicked())
        })
        .inner;
    ask.looking |= look;
    match done {
        Some(done) => {
            apply::tell(desk, done);
            None
        }
        None => (!cancel).then_some(Dialog::Changed(ask)),
    }
}

/// What differs, one sentence a row.
fn difference(ui: &mut Ui, rows: &[String]) {
    ui.add_space(4.0);
    ui.label(RichText::new("What differs").font(bold(14.0)));
    if rows.is_empty() {
        ui.label("Nothing: both hold the same plan.");
        return;
    }
    ScrollArea::vertical().max_height(260.0).auto_shrink([false, true]).show(ui, |ui| {
        for row in rows {
            ui.add(egui::Label::new(row).wrap());
        }
    });
}

/// Work that was not saved last time.
#[derive(Debug, Clone, PartialEq)]
pub struct RecoverAsk {
    spare: Spare,
    /// What differs from the plan file, by name; `None` where there is no file.
    rows: Option<Vec<String>>,
}

impl RecoverAsk {
    /// The question about kept work and the plan that was opened.
    pub fn of(spare: Spare, kept: &plan::Plan, session: &Session) -> Self {
        let called = ["in the autosave", "in the plan file"];
        let sides = Sides { base: None, here: kept, there: session.plan(), called };
        Self { spare, rows: session.path().map(|_| differing::rows(&sides)) }
    }
}

/// Work that was not saved last time, with the dates of both.
pub fn recover(ui: &mut Ui, desk: &mut Desk, ask: Box<RecoverAsk>) -> Option<Dialog> {
    let spare = &ask.spare;
    title(ui, "Unsaved work of last time");
    let path = desk.session.path().map(Path::to_path_buf);
    ui.label("The program ended before the last changes were saved. They were kept:");
    ui.label(upper(&spare.words()));
    if let Some(path) = &path {
        let holds = job::salvage::holding(desk.session.plan());
        ui.label(format!("Plan file of {}: {holds}", clock::written_words(path)));
        if spare.written < clock::written(path) {
            let newer =
                "The plan file was written after the autosave. Look at both before you save one over the other.";
            ui.label(RichText::new(newer).color(desk.view.palette().to_decide));
        }
    }
    ask.rows.iter().for_each(|rows| difference(ui, rows));
    let (back, later, drop) = choices(ui, |ui| {
        let back = "Go on with the autosave. The plan file stays as it is until you save, and then as the backup.";
        let later = "Go on with the plan as it was opened. The autosave stays where it is.";
        (
            choice(ui, "Take it up again", true, back),
            choice(ui, "Leave it for now", true, later),
            choice(ui, "Throw it away", true, "Delete the autosave. It cannot be brought back."),
        )
    });
    if back {
        saving::take_up(desk, &spare.path, path, ui.ctx());
    }
    if drop && let Err(error) = std::fs::remove_file(&spare.path) {
        desk.told = Some(format!("{} could not be deleted: {error}", spare.path.display()));
    }
    (!back && !later && !drop).then_some(Dialog::Recover(ask))
}

/// A sentence begins with a capital.
fn upper(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// The plan is open in another window; this one is to look.
pub fn another(ui: &mut Ui, desk: &mut Desk, path: PathBuf, by: String) -> Option<Dialog> {
    let name = apply::file_name(&path);
    title(ui, &format!("{name} is open in another window"));
    ui.label(format!("It is open in {by}, which may hold work that is not saved yet."));
    ui.label("So that neither is lost, it is only to look at here.");
    let (look, save) = choices(ui, |ui| {
        let look = format!("See {name} as it was saved last; nothing can be changed.");
        let save = "Save it under another name and work on that.";
        (choice(ui, "Open to look", true, &look), choice(ui, "Go on with a copy…", true, save))
    });
    if save {
        apply::carry_out(desk, Wish::Run(Command::SaveAs), ui.ctx());
    }
    (!look && !save).then_some(Dialog::Another { path, by })
}

/// A plan file that cannot be read, and what could stand in for it.
pub fn damaged(ui: &mut Ui, desk: &mut Desk, damaged: Damaged) -> Option<Dialog> {
    title(ui, &format!("{} cannot be read", apply::file_name(&damaged.path)));
    ScrollArea::vertical().max_height(120.0).show(ui, |ui| ui.add(egui::Label::new(&damaged.why).wrap()));
    let usable = damaged.spares.iter().any(|spare| spare.holds.is_ok());
    let words = match (usable, damaged.spares.is_empty()) {
        (true, _) => "Nothing was changed. Beside it lies what could stand in for it; the damaged file is kept.",
        (false, true) => "Nothing was changed. No backup and no autosave lies beside it.",
        (false, false) => "Nothing was changed. What lies beside it cannot be read either.",
    };
    ui.label(words);
    let taken = choices(ui, |ui| {
        damaged.spares.iter().fold(None, |taken, spare| {
            let label = match spare.kind {
                Kind::Backup => "Take up the backup",
                Kind::Autosave => "Take up the autosave",
            };
            let pressed = choice(ui, label, spare.holds.is_ok(), &upper(&spare.words()));
            taken.or(pressed.then(|| spare.path.clone()))
        })
    });
    ui.add_space(6.0);
    let (open, leave) =
        ui.horizontal(|ui| (ui.button("Open another plan…").clicked(), ui.button("Leave it").clicked())).inner;
    if let Some(kept) = &taken {
        saving::take_up(desk, kept, Some(damaged.path.clone()), ui.ctx());
    }
    if open {
        apply::carry_out(desk, Wish::Run(Command::Open), ui.ctx());
    }
    (taken.is_none() && !open && !leave).then_some(Dialog::Damaged(damaged))
}
