//! What is asked where a plan file is not what it was: changed by another, open elsewhere, damaged, or with kept work.

use std::path::{Path, PathBuf};

use egui::{Button, Panel, RichText, ScrollArea, Ui};

use super::Sight;
use super::dialog::{Dialog, title};
use crate::command::Command;
use crate::theme::bold;
use crate::wish::{FileWish, Wish};
use plan::Plan;

use job::Session;
use job::clock;
use job::differing::{self, Sides};
use job::files::{self, Damaged};
use job::on_file::Change;
use job::salvage::{Kind, Spare};
use job::words::file_name;

/// Width of the first column of choices, points.
const CHOICE: f32 = 170.0;

/// A plan that another program wrote since it was read here.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangedAsk {
    /// The file.
    pub path: PathBuf,
    /// When it was written, in words.
    pub written: String,
    /// What is in it now, or why it cannot be read.
    pub theirs: Result<(), String>,
    /// What differs, by name.
    pub rows: Vec<String>,
    /// True once the difference is looked at.
    pub looking: bool,
}

impl ChangedAsk {
    /// The question about the file under the open plan.
    pub fn of(here: &Plan, base: Option<&Plan>, path: &Path, looking: bool) -> Self {
        let there = files::read_whole(path);
        let called = ["here", "in the file"];
        let rows = there.as_ref().map(|there| differing::rows(&Sides { base, here, there, called }));
        let rows = rows.unwrap_or_default();
        let theirs = there.map(drop).map_err(|error| error.to_string());
        Self { path: path.to_path_buf(), written: clock::written_words(path), theirs, rows, looking }
    }
}

/// A line under the title while the file is not what was read, or is open in another window.
pub fn banner(ui: &mut Ui, sight: &mut Sight, open: Option<&Dialog>, wishes: &mut Vec<Wish>) {
    let Some(path) = sight.session.path() else { return };
    let (other, change) = (&sight.file.other, &sight.file.change);
    // The question says it all, and more.
    let is_asked = matches!(open, Some(Dialog::Changed(_)));
    // Nothing moves under a hand that drags.
    let is_held = !sight.view.file_told && ui.input(|input| input.pointer.any_down());
    sight.view.file_told = !is_held && !is_asked && (other.is_some() || change.is_some());
    if !sight.view.file_told {
        return;
    }
    let palette = sight.view.palette();
    let fill = palette.faint(palette.next, 0.25);
    let frame = egui::Frame::new().fill(palette.panel.blend(fill)).inner_margin(egui::Margin::symmetric(14, 6));
    Panel::top("changed").frame(frame).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| match (other, change) {
            (Some(by), _) => {
                ui.label(RichText::new("Read-only.").font(bold(14.0)));
                ui.label(format!("{} is open in {by}.", file_name(path)));
                if ui.button("Save under another name…").clicked() {
                    wishes.push(Wish::Run(Command::SaveAs));
                }
                if ui.button("Work on it here").clicked() {
                    wishes.push(Wish::File(FileWish::WorkHere));
                }
            }
            (None, Some(change)) => {
                ui.label(RichText::new(change_words(path, change)).font(bold(14.0)));
                changed_buttons(ui, sight.session, path, change, wishes);
            }
            _ => {}
        });
    });
}

/// The choices of the banner: one click where nothing is unsaved.
fn changed_buttons(ui: &mut Ui, session: &Session, path: &Path, change: &Change, wishes: &mut Vec<Wish>) {
    if *change == Change::Gone {
        return;
    }
    let mut ask = |wish: fn(PathBuf) -> FileWish| wishes.push(Wish::File(wish(path.to_path_buf())));
    let is_unsaved = session.history().is_unsaved();
    if is_unsaved && ui.button("Keep both").clicked() {
        ask(FileWish::KeepBoth);
    }
    let take = if is_unsaved { "Take theirs" } else { "Read it anew" };
    if ui.button(take).clicked() {
        ask(FileWish::TakeTheirs);
    }
    if ui.button("Look at the difference").clicked() {
        ask(FileWish::Compare);
    }
}

/// A button and what it does, in two columns; true when it was pressed.
pub(super) fn choice(ui: &mut Ui, label: &str, enabled: bool, what: &str) -> bool {
    let pressed = ui.add_enabled(enabled, Button::new(label).min_size(egui::vec2(CHOICE, 28.0))).clicked();
    ui.add(egui::Label::new(what).wrap());
    ui.end_row();
    pressed
}

pub(super) fn choices<R>(ui: &mut Ui, inside: impl FnOnce(&mut Ui) -> R) -> R {
    ui.add_space(6.0);
    egui::Grid::new("choices").num_columns(2).min_col_width(CHOICE).spacing([14.0, 8.0]).show(ui, inside).inner
}

/// The plan file was written by another since it was read: what to do with the two.
pub fn changed(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>, mut ask: Box<ChangedAsk>) -> Option<Dialog> {
    let name = file_name(&ask.path);
    title(ui, &format!("{name} was changed by another program"));
    ui.label(format!("It was written at {}, after it was read here. Nothing has been written over.", ask.written));
    if let Err(why) = &ask.theirs {
        ui.label(format!("What is in it now cannot be read: {why}."));
    }
    if ask.looking {
        difference(ui, &ask.rows);
    }
    let is_unsaved = session.history().is_unsaved();
    let mine = file_name(&files::free_beside(&ask.path, "mine"));
    let kept = match is_unsaved {
        true => format!("Read {name} anew. Yours is kept beside it as {mine}."),
        false => format!("Read {name} anew. Nothing of yours is unsaved."),
    };
    let backup = file_name(&exchange::backup_path(&ask.path));
    let done = choices(ui, |ui| {
        let both = format!("Save yours beside it as {mine} and go on with that; {name} stays as the other wrote it.");
        let over = format!("Save yours as {name}. What the other wrote stays as {backup}.");
        let both = choice(ui, "Keep both", true, &both).then_some(FileWish::KeepBoth as fn(PathBuf) -> FileWish);
        let theirs = choice(ui, "Take theirs", ask.theirs.is_ok(), &kept).then_some(FileWish::TakeTheirs as _);
        let over = choice(ui, "Write over it", true, &over).then_some(FileWish::WriteOver as _);
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
        Some(wish) => {
            wishes.push(Wish::File(wish(ask.path)));
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
    pub fn of(spare: Spare, kept: &Plan, plan: &Plan, has_file: bool) -> Self {
        let called = ["in the autosave", "in the plan file"];
        let sides = Sides { base: None, here: kept, there: plan, called };
        Self { spare, rows: has_file.then(|| differing::rows(&sides)) }
    }
}

/// Work that was not saved last time, with the dates of both.
pub fn recover(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>, ask: Box<RecoverAsk>) -> Option<Dialog> {
    let spare = &ask.spare;
    title(ui, "Unsaved work of last time");
    let path = sight.session.path().map(Path::to_path_buf);
    ui.label("The program ended before the last changes were saved. They were kept:");
    ui.label(measure::capital(&spare.words()));
    if let Some(path) = &path {
        let holds = job::salvage::holding(sight.session.plan());
        ui.label(format!("Plan file of {}: {holds}", clock::written_words(path)));
        if spare.written < clock::written(path) {
            let newer =
                "The plan file was written after the autosave. Look at both before you save one over the other.";
            ui.label(RichText::new(newer).color(sight.view.palette().to_decide));
        }
    }
    ask.rows.iter().for_each(|rows| difference(ui, rows));
    let (back, later, drop) = choices(ui, |ui| {
        let back = "Go on with the autosave. The plan file stays as it is until you save, and then as the backup.";
        let later = "Go on with the plan as it was opened. The autosave stays where it is.";
        (
            choice(ui, "Recover it", true, back),
            choice(ui, "Not now", true, later),
            choice(ui, "Delete it", true, "Delete the autosave. It cannot be brought back."),
        )
    });
    if back {
        wishes.push(Wish::File(FileWish::Recover { kept: spare.path.clone(), plan: path }));
    }
    if drop {
        wishes.push(Wish::File(FileWish::ThrowAway(spare.path.clone())));
    }
    (!back && !later && !drop).then_some(Dialog::Recover(ask))
}

/// The plan is open in another window; this one is to look.
pub fn another(ui: &mut Ui, wishes: &mut Vec<Wish>, path: PathBuf, by: String) -> Option<Dialog> {
    let name = file_name(&path);
    title(ui, &format!("{name} is open in another window"));
    ui.label(format!("It is open in {by}, which may hold work that is not saved yet."));
    ui.label("So that neither is lost, it is read-only here.");
    let (look, save) = choices(ui, |ui| {
        let look = format!("See {name} as it was saved last; nothing can be changed.");
        let save = "Save it under another name and work on that.";
        (choice(ui, "Open read-only", true, &look), choice(ui, "Go on with a copy…", true, save))
    });
    if save {
        wishes.push(Wish::Run(Command::SaveAs));
    }
    (!look && !save).then_some(Dialog::Another { path, by })
}

/// A plan file that cannot be read, and what could stand in for it.
pub fn damaged(ui: &mut Ui, wishes: &mut Vec<Wish>, damaged: Damaged) -> Option<Dialog> {
    title(ui, &format!("{} cannot be read", file_name(&damaged.path)));
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
                Kind::Backup => "Open the backup",
                Kind::Autosave => "Open the autosave",
            };
            let pressed = choice(ui, label, spare.holds.is_ok(), &measure::capital(&spare.words()));
            taken.or(pressed.then(|| spare.path.clone()))
        })
    });
    ui.add_space(6.0);
    let (open, leave) =
        ui.horizontal(|ui| (ui.button("Open another plan…").clicked(), ui.button("Cancel").clicked())).inner;
    if let Some(kept) = &taken {
        wishes.push(Wish::File(FileWish::Recover { kept: kept.clone(), plan: Some(damaged.path.clone()) }));
    }
    if open {
        wishes.push(Wish::Run(Command::Open));
    }
    (taken.is_none() && !open && !leave).then_some(Dialog::Damaged(damaged))
}

/// What another program did to the file, in one sentence.
fn change_words(path: &Path, change: &Change) -> String {
    let name = file_name(path);
    match change {
        Change::Written(when) => format!("{name} was changed by another program at {when}."),
        Change::Gone => format!("{name} was taken away or renamed by another program; saving writes it again."),
    }
}
